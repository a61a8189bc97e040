"""Each key of the shift sheet: what it does, and that it does nothing else."""

import pytest
from playwright.sync_api import Page, expect

from tests.browser.conftest import Ledger
from tests.browser.hands import (
    TODAY,
    box,
    entries,
    focused,
    open_sheet,
    saved,
    sign_in,
    type_in,
)

OVER = f"/shifts/{TODAY}/1"


@pytest.fixture
def sheet(page: Page) -> Page:
    sign_in(page)
    open_sheet(page)
    return page


def unfold_readings(page: Page) -> None:
    page.locator("details.fold:has(#readings)").evaluate("details => { details.open = true; }")


def press(page: Page, *keys: str) -> str:
    """Press keys and return whose box has the keyboard then."""
    for key in keys:
        page.keyboard.press(key)
    return focused(page)


def test_enter_saves_and_goes_down_and_shift_enter_up(sheet: Page):
    """C-02"""
    box(sheet, "clear_juice_brix").focus()
    sheet.keyboard.type("14.1")
    assert press(sheet, "Enter") == "filtrate_brix"
    expect(saved(sheet, "clear_juice_brix")).to_be_attached()
    assert press(sheet, "Shift+Enter") == "clear_juice_brix"


def test_after_a_run_of_tabs_enter_returns_to_its_column(sheet: Page):
    """C-02"""
    box(sheet, "clear_juice_brix").focus()
    assert press(sheet, "Tab", "Tab") == "clear_juice_purity"
    assert press(sheet, "Enter") == "filtrate_brix"
    box(sheet, "clear_juice_brix").focus()
    assert press(sheet, "Tab", "ArrowDown", "Enter") != "syrup_brix"  # an arrow ends the run


def test_tab_goes_right_and_leaves_the_sheet_at_its_ends(sheet: Page):
    """C-02, C-36"""
    box(sheet, "clear_juice_brix").focus()
    assert press(sheet, "Tab") == "clear_juice_pol"
    assert press(sheet, "Shift+Tab") == "clear_juice_brix"
    sheet.keyboard.press("Control+Home")
    assert press(sheet, "Shift+Tab") == ""
    last = press(sheet, "Tab", "Control+End")
    assert last != ""
    assert press(sheet, "Tab") == ""
    assert press(sheet, "Shift+Tab") == last


def test_plus_saves_and_goes_to_the_next_box_that_is_due_and_empty(sheet: Page):
    """C-01, C-14: the optional purity and pH are passed over, and what is filled."""
    box(sheet, "syrup_ph").fill("6.4")
    box(sheet, "clear_juice_brix").focus()
    sheet.keyboard.type("14.1")
    assert press(sheet, "NumpadAdd") == "clear_juice_pol"
    expect(saved(sheet, "clear_juice_brix")).to_be_attached()
    sheet.keyboard.type("11.9")
    after = press(sheet, "NumpadAdd")
    assert not box(sheet, after).evaluate("box => box.closest('td').matches('.optional')")
    expect(saved(sheet, "clear_juice_pol")).to_be_attached()
    expect(box(sheet, "clear_juice_pol")).to_have_value("11.9")


def test_arrows_move_while_nothing_is_edited_and_stay_at_the_edge(sheet: Page):
    """C-02"""
    box(sheet, "clear_juice_brix").focus()
    assert press(sheet, "ArrowRight") == "clear_juice_pol"
    assert press(sheet, "ArrowDown") == "filtrate_pol"
    assert press(sheet, "ArrowLeft") == "filtrate_brix"
    assert press(sheet, "ArrowUp") == "clear_juice_brix"
    assert press(sheet, *["ArrowLeft"] * 3) == "clear_juice"
    top = press(sheet, *["ArrowUp"] * 20)
    assert (top, press(sheet, "ArrowUp")) == ("cane", "cane")
    sheet.keyboard.type("1845")
    assert press(sheet, "ArrowDown") == "cane_received"  # what is begun is saved
    expect(saved(sheet, "cane")).to_be_attached()


def test_typing_replaces_what_is_there(sheet: Page):
    """C-02"""
    type_in(sheet, "cane", "1845")
    expect(saved(sheet, "cane")).to_be_attached()
    box(sheet, "cane").focus()
    sheet.keyboard.type("2")
    expect(box(sheet, "cane")).to_have_value("2")


def test_f2_edits_in_place_and_esc_restores(sheet: Page, ledger: Ledger):
    """C-02"""
    type_in(sheet, "cane", "1845")
    expect(saved(sheet, "cane")).to_be_attached()
    box(sheet, "cane").focus()
    assert press(sheet, "F2", "ArrowLeft", "7") == "cane"
    expect(box(sheet, "cane")).to_have_value("18475")
    assert press(sheet, "Home", "ArrowRight", "Delete") == "cane"
    expect(box(sheet, "cane")).to_have_value("1475")
    sheet.keyboard.press("Escape")
    expect(box(sheet, "cane")).to_have_value("1845")
    assert press(sheet, "ArrowDown") == "cane_received"
    assert [typed for _, typed, _ in entries(ledger)] == ["1845"]


def test_a_second_click_edits_in_place(sheet: Page):
    type_in(sheet, "cane", "1845")
    expect(saved(sheet, "cane")).to_be_attached()
    box(sheet, "lime").click()
    box(sheet, "cane").click()
    assert box(sheet, "cane").evaluate("box => box.selectionEnd - box.selectionStart") == 4
    box(sheet, "cane").click()
    assert press(sheet, "End", "ArrowLeft", "9") == "cane"
    expect(box(sheet, "cane")).to_have_value("18495")


def test_home_and_end_go_to_the_ends_of_the_row_and_of_the_sheet(sheet: Page):
    """C-02"""
    box(sheet, "clear_juice_pol").focus()
    assert press(sheet, "Home") == "clear_juice"
    assert press(sheet, "End") == "clear_juice_ash"
    first = sheet.locator("#sheet input[name^='result:']").first.get_attribute("id")
    assert press(sheet, "Control+Home") == first
    last = press(sheet, "Control+End")
    assert last == sheet.locator("#sheet details[open] input[name^='result:']").last.get_attribute(
        "id"
    )


def test_page_up_and_down_move_by_a_page(sheet: Page):
    """C-02"""
    box(sheet, "cane").focus()
    below = press(sheet, "PageDown")
    assert below not in ("cane", "cane_received")
    assert press(sheet, "PageUp") == "cane"
    assert press(sheet, *["PageDown"] * 9) == press(sheet, "PageDown")


def test_within_a_half_typed_box_undoing_is_the_browser_s_own(sheet: Page, ledger: Ledger):
    """C-09"""
    type_in(sheet, "cane", "1845")
    expect(saved(sheet, "cane")).to_be_attached()
    box(sheet, "lime").focus()
    sheet.keyboard.type("1.5")
    sheet.keyboard.press("Control+z")
    expect(box(sheet, "lime")).not_to_have_value("1.5")
    expect(box(sheet, "cane")).to_have_value("1845")
    assert [typed for _, typed, _ in entries(ledger)] == ["1845"]


def test_control_d_carries_a_tare_over_and_nothing_that_is_measured(sheet: Page):
    """C-15: from the same box of the shift before; it is marked as carried."""
    open_sheet(sheet, OVER)
    unfold_readings(sheet)
    sheet.get_by_label("Why does it come late?").fill("typed from paper")
    type_in(sheet, "filter_cake_dish_mass", "50.12")
    expect(saved(sheet, "filter_cake_dish_mass")).to_be_attached()
    open_sheet(sheet)
    unfold_readings(sheet)
    box(sheet, "filter_cake_dish_mass").focus()
    sheet.keyboard.press("Control+d")
    expect(sheet.locator("#cell-filter_cake_dish_mass .carried")).to_be_attached()
    expect(box(sheet, "filter_cake_dish_mass")).to_have_value("50.12")
    box(sheet, "clear_juice_ph").focus()
    sheet.keyboard.press("Control+d")
    expect(sheet.locator("#said")).to_contain_text("is measured anew each time")
    expect(box(sheet, "clear_juice_ph")).to_have_value("")


def test_a_key_says_why_there_is_no_number(sheet: Page, ledger: Ledger):
    """C-17"""
    box(sheet, "clear_juice_ph").focus()
    sheet.keyboard.press("F8")
    expect(sheet.get_by_role("dialog")).to_contain_text("Clear juice, pH")
    sheet.keyboard.press("3")
    expect(saved(sheet, "clear_juice_ph")).to_be_attached()
    box(sheet, "limed_juice_ph").focus()
    press(sheet, "F8", "Enter")
    expect(saved(sheet, "limed_juice_ph")).to_be_attached()
    box(sheet, "cane").focus()
    press(sheet, "F8", "Escape")
    assert focused(sheet) == "cane"
    assert ledger.results(TODAY, 2) == {"clear_juice_ph": "if", "limed_juice_ph": "nm"}


def test_a_key_opens_a_note_for_a_box(sheet: Page):
    """C-18: with the keyboard alone; it is read on the sheet at once."""
    type_in(sheet, "clear_juice_ph", "7.1")
    expect(saved(sheet, "clear_juice_ph")).to_be_attached()
    box(sheet, "clear_juice_ph").focus()
    sheet.keyboard.press("F9")
    expect(sheet.get_by_role("dialog")).to_contain_text("Note on Clear juice, pH")
    sheet.keyboard.type("electrode was cleaned")
    sheet.keyboard.press("Enter")
    expect(sheet.locator("#said")).to_have_text("The note is kept.")
    expect(sheet.locator("#checks")).to_contain_text("electrode was cleaned")
    assert focused(sheet) == "clear_juice_ph"


def test_a_question_mark_lists_the_keys_unless_something_is_typed(sheet: Page):
    """C-02"""
    box(sheet, "cane").focus()
    sheet.keyboard.type("1")
    sheet.keyboard.press("?")
    expect(box(sheet, "cane")).to_have_value("1?")
    expect(sheet.get_by_role("dialog")).to_have_count(0)
    press(sheet, "Escape", "?")
    expect(sheet.get_by_role("dialog", name="Keys of the sheet")).to_be_visible()
    for key in ("F2", "F4", "F8", "F9", "Ctrl", "Esc", "Home", "Tab"):
        expect(sheet.get_by_role("dialog")).to_contain_text(key)
    sheet.keyboard.press("Escape")
    assert focused(sheet) == "cane"
    expect(box(sheet, "cane")).to_have_value("")


def test_a_key_jumps_out_of_the_sheet_to_its_signature(sheet: Page):
    """C-36"""
    box(sheet, "filtrate_brix").focus()
    sheet.keyboard.type("12")
    sheet.keyboard.press("Control+Enter")
    expect(sheet.get_by_role("link", name="Sign the shift")).to_be_focused()
    expect(saved(sheet, "filtrate_brix")).to_be_attached()


def test_neither_wheel_nor_arrows_change_a_value(sheet: Page):
    """C-04"""
    type_in(sheet, "cane", "1845")
    expect(saved(sheet, "cane")).to_be_attached()
    box(sheet, "cane").focus()
    box(sheet, "cane").hover()
    sheet.mouse.wheel(0, 300)
    press(sheet, "ArrowUp", "ArrowUp")
    expect(box(sheet, "cane")).to_have_value("1845")
    assert box(sheet, "cane").get_attribute("type") == "text"
