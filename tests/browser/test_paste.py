"""A block out of a spreadsheet, pasted by the keyboard: shown, accepted, undone; and copied out."""

from decimal import Decimal

import pytest
from playwright.sync_api import Page, expect

from tests.browser.conftest import Ledger
from tests.browser.hands import SHEET, TODAY, box, focused, sign_in
from tests.test_spreadsheet import opened

BLOCK = "18,25\t15.15\r\n4.05\t3.02\r\n"  # as a spreadsheet copies 2 rows by 2 columns


def put_on_clipboard(page: Page, text: str) -> None:
    """Copy a text as another program would, without the browser's leave to write clipboards."""
    page.evaluate(
        """(text) => document.addEventListener("copy", (event) => {
            event.clipboardData.setData("text/plain", text);
            event.preventDefault();
            event.stopImmediatePropagation();
        }, { once: true, capture: true })""",
        text,
    )
    page.keyboard.press("Control+c")


def paste(page: Page, measure: str, block: str) -> None:
    box(page, measure).focus()
    put_on_clipboard(page, block)
    page.keyboard.press("Control+v")


def clipboard(page: Page) -> str:
    """What the clipboard holds, by pasting it into a field of another page."""
    other = page.context.new_page()
    other.set_content("<textarea></textarea>")
    other.locator("textarea").focus()
    other.keyboard.press("Control+v")
    text = other.locator("textarea").input_value()
    other.close()
    return text


@pytest.fixture(params=["127.0.0.1", "mill.test"])
def sheet(request, page: Page, ledger: Ledger) -> Page:
    """The running shift, on this machine and over plain HTTP from elsewhere."""
    address = ledger.address.replace("127.0.0.1", request.param)
    page.goto(f"{address}/sign-in")
    page.locator("[name=username]").fill("ines")
    page.locator("[name=password]").fill("cane to bag, demo")
    page.locator("[name=password]").press("Enter")
    page.wait_for_url(lambda there: "/sign-in" not in there)
    page.goto(f"{address}{SHEET}")
    return page


def test_a_block_is_shown_first_and_then_written_by_the_keyboard_alone(sheet: Page, ledger: Ledger):
    """C-07, B-59: also where browsers keep the clipboard from scripts."""
    before = ledger.results(TODAY, 2)
    paste(sheet, "first_expressed_juice_brix", BLOCK)
    dialog = sheet.locator("#paste")
    expect(dialog).to_be_visible()
    expect(dialog).to_contain_text("Paste 2 rows by 2: nothing is written yet")
    expect(dialog.locator("#paste-counts")).to_contain_text("4 fill, 0 change")
    assert ledger.results(TODAY, 2) == before
    expect(sheet.get_by_role("button", name="Write 4 results")).to_be_focused()
    sheet.keyboard.press("Enter")
    expect(dialog).to_have_count(0)
    assert focused(sheet) == "first_expressed_juice_brix"
    expect(box(sheet, "first_expressed_juice_brix")).to_have_value("18,25")
    expect(box(sheet, "last_expressed_juice_brix")).to_have_value("4.05")
    sheet.wait_for_function("() => !document.querySelector('#sheet [data-state]')")
    written = dict(ledger.results(TODAY, 2).items() - before.items())
    assert sorted(written.values()) == ["15.15", "18,25", "3.02", "4.05"]
    assert written["first_expressed_juice_pol"] == "15.15"


def test_esc_leaves_everything_as_it_was(page: Page, ledger: Ledger):
    sign_in(page)
    page.goto(SHEET)
    before = ledger.results(TODAY, 2)
    paste(page, "first_expressed_juice_brix", BLOCK)
    expect(page.locator("#paste")).to_be_visible()
    page.keyboard.press("Escape")
    expect(page.locator("#paste")).to_have_count(0)
    assert focused(page) == "first_expressed_juice_brix"
    expect(box(page, "first_expressed_juice_brix")).to_have_value("")
    assert ledger.results(TODAY, 2) == before


def test_a_pasted_block_is_one_step_of_undoing(page: Page, ledger: Ledger):
    """C-07, C-09."""
    sign_in(page)
    page.goto(SHEET)
    paste(page, "first_expressed_juice_brix", BLOCK)
    page.get_by_role("button", name="Write 4 results").press("Enter")
    expect(box(page, "first_expressed_juice_pol")).to_have_value("15.15")
    page.wait_for_function("() => !document.querySelector('#sheet [data-state]')")
    page.keyboard.press("Control+z")
    for measure in ("first_expressed_juice_brix", "first_expressed_juice_pol"):
        expect(box(page, measure)).to_have_value("")
    page.wait_for_function("() => !document.querySelector('#sheet [data-state]')")
    assert not {"18,25", "4.05", "15.15", "3.02"} & set(ledger.results(TODAY, 2).values())


def test_what_a_block_changes_asks_for_one_reason(page: Page, ledger: Ledger):
    """C-07."""
    earlier = f"/shifts/{TODAY}/1"
    sign_in(page)
    page.goto(earlier)
    old = ledger.results(TODAY, 1)
    paste(page, "mixed_juice_brix", f"{old['mixed_juice_brix']}\t12.34\n")
    dialog = page.locator("#paste")
    expect(dialog.locator("#paste-counts")).to_contain_text("0 fill, 1 change, 1 stand already")
    page.get_by_role("button", name="Write 1 result").press("Enter")
    expect(dialog.locator("#paste-wrong")).to_have_text("Choose why what stands is changed.")
    expect(page.locator("#paste-reason")).to_be_focused()
    page.locator("#paste-reason").select_option("figures exchanged")
    page.get_by_role("button", name="Write 1 result").press("Enter")
    expect(box(page, "mixed_juice_pol")).to_have_value("12.34")
    page.wait_for_function("() => !document.querySelector('#sheet [data-state]')")
    assert ledger.results(TODAY, 1) == old | {"mixed_juice_pol": "12.34"}
    page.goto(f"{earlier}/cells/mixed_juice_pol")
    expect(page.locator("main")).to_contain_text("figures exchanged")


def test_one_cell_goes_into_its_box_as_it_is(page: Page):
    """C-07: 1×1, as a spreadsheet copies it, is an ordinary paste."""
    sign_in(page)
    page.goto(SHEET)
    paste(page, "mixed_juice_brix", "14.25\n")
    expect(box(page, "mixed_juice_brix")).to_have_value("14.25")
    assert page.locator("#paste").count() == 0


def test_a_block_that_is_too_large_or_has_heads_says_so_and_writes_nothing(
    page: Page, ledger: Ledger
):
    """C-07."""
    sign_in(page)
    page.goto(SHEET)
    before = ledger.results(TODAY, 2)
    large = "\n".join(["\t".join(["1"] * 100)] * 100)
    for block, words in ((large, "100 rows by 100 columns"), ("brix\tpol\n1\t2", "(brix, pol)")):
        paste(page, "mixed_juice_brix", block)
        expect(page.locator("#paste")).to_contain_text(words)
        page.keyboard.press("Enter")
        expect(page.locator("#paste")).to_have_count(0)
    assert ledger.results(TODAY, 2) == before


def test_places_without_a_box_are_named(page: Page):
    """C-07."""
    sign_in(page)
    page.goto(SHEET)
    paste(page, "cane", "1200\t2\t3\t4\t5\t6\n")
    dialog = page.locator("#paste")
    expect(dialog.locator("tr.refuse th").first).to_contain_text("Cane")
    expect(dialog).to_contain_text("nothing is typed there")


def test_a_block_is_copied_as_it_was_typed(page: Page, ledger: Ledger):
    """C-08: chosen with Shift and the arrows, seen and announced."""
    sign_in(page)
    page.goto(f"/shifts/{TODAY}/1")
    typed = ledger.results(TODAY, 1)
    box(page, "first_expressed_juice_brix").focus()
    for key in ("Shift+ArrowRight", "Shift+ArrowRight", "Shift+ArrowDown"):
        page.keyboard.press(key)
    expect(page.locator("#sheet td.chosen")).to_have_count(6)
    expect(page.locator("#said")).to_have_text("2 rows by 3 columns chosen. Ctrl+C copies.")
    assert focused(page) == "first_expressed_juice_brix"
    page.keyboard.press("Control+c")
    rows = [line.split("\t") for line in clipboard(page).split("\n")]
    assert rows[0][:2] == [typed["first_expressed_juice_brix"], typed["first_expressed_juice_pol"]]
    assert float(rows[0][2]) == pytest.approx(
        100
        * float(typed["first_expressed_juice_pol"].replace(",", "."))
        / float(typed["first_expressed_juice_brix"].replace(",", ".")),
        abs=0.005,
    )
    page.keyboard.press("ArrowDown")
    expect(page.locator("#sheet td.chosen")).to_have_count(0)


def test_a_copied_block_opens_in_a_spreadsheet_as_the_same_numbers(
    page: Page, ledger: Ledger, tmp_path
):
    """C-08: LibreOffice reads what was copied, to the last digit."""
    sign_in(page)
    page.goto(f"/shifts/{TODAY}/1")
    box(page, "first_expressed_juice_brix").focus()
    for key in ("Shift+ArrowRight", "Shift+ArrowDown"):
        page.keyboard.press(key)
    page.keyboard.press("Control+c")
    path = tmp_path / "block.csv"
    path.write_text(clipboard(page), encoding="utf-8")
    cells = [[content for _, _, content in row][:2] for row in opened(path, "9,34,76,1")[:2]]
    typed = ledger.results(TODAY, 1)
    assert [[Decimal(text.replace(",", ".")) for text in row] for row in cells] == [
        [Decimal(typed[f"{stream}_{prop}"].replace(",", ".")) for prop in ("brix", "pol")]
        for stream in ("first_expressed_juice", "last_expressed_juice")
    ]


def test_a_block_is_chosen_by_the_pointer_with_shift(page: Page):
    """C-08, C-36: nothing needs dragging."""
    sign_in(page)
    page.goto(f"/shifts/{TODAY}/1")
    box(page, "first_expressed_juice_brix").focus()
    page.locator("#cell-bagasse_pol").click(modifiers=["Shift"])
    assert page.locator("#sheet td.chosen").count() >= 4
    assert focused(page) == "first_expressed_juice_brix"
    page.keyboard.press("Escape")
    expect(page.locator("#sheet td.chosen")).to_have_count(0)


def test_what_is_copied_is_pasted_back_the_same(page: Page):
    """C-08: nothing is lost on the way out and in."""
    sign_in(page)
    page.goto(f"/shifts/{TODAY}/1")
    box(page, "first_expressed_juice_brix").focus()
    for key in ("Shift+ArrowRight", "Shift+ArrowDown"):
        page.keyboard.press(key)
    page.keyboard.press("Control+c")
    page.keyboard.press("Control+v")
    expect(page.locator("#paste-counts")).to_contain_text("0 fill, 0 change, 4 stand already")
