"""What the browser keeps of what is not sent: over a reload, beside another window, or nothing."""

import pytest
from playwright.sync_api import Page, expect

from demo_data.season import PASSWORD
from tests.browser.conftest import Ledger
from tests.browser.hands import SHEET, box, entries, open_sheet, saved, sign_in, state, type_in

ADDRESS = f"**{SHEET}/cells"


@pytest.fixture
def sheet(page: Page) -> Page:
    page.on("dialog", lambda dialog: dialog.accept())
    sign_in(page)
    open_sheet(page)
    return page


def test_a_window_forgets_only_what_it_sent_itself(sheet: Page, ledger: Ledger):
    """B-56: two windows of one person on one shift, each with its own text of a box."""
    second = sheet.context.new_page()
    open_sheet(second)
    sheet.route(ADDRESS, lambda route: route.abort())
    type_in(sheet, "lime", "1.1")
    expect(state(sheet, "lime")).to_have_text("not sent")
    type_in(second, "lime", "2.2")
    expect(saved(second, "lime")).to_be_attached()
    sheet.wait_for_function("localStorage.length === 1")
    sheet.unroute(ADDRESS)
    sheet.reload()
    expect(state(sheet, "lime")).to_have_text("conflict")
    expect(box(sheet, "lime")).to_have_value("1.1")
    assert entries(ledger) == [("lime", "2.2", None)]


def test_what_is_thrown_away_in_one_window_is_not_kept_again_by_another(sheet: Page):
    """B-61"""
    sheet.route(ADDRESS, lambda route: route.abort())
    type_in(sheet, "lime", "1.1")
    expect(state(sheet, "lime")).to_have_text("not sent")
    second = sheet.context.new_page()
    second.goto("/")
    second.get_by_role("button", name="Sign out").click()
    second.get_by_role("button", name="throw them away").click()
    second.wait_for_url("**/sign-in*")
    sheet.wait_for_timeout(500)  # the other window hears of it within that
    assert sheet.evaluate("localStorage.length") == 0


def test_what_is_typed_over_a_question_outlives_the_page(sheet: Page):
    """B-56"""
    type_in(sheet, "lime", "1.1")
    expect(saved(sheet, "lime")).to_be_attached()
    type_in(sheet, "lime", "1.2")
    expect(state(sheet, "lime")).to_have_text("why?")
    box(sheet, "lime").focus()
    sheet.keyboard.type("1.3")
    sheet.reload()
    expect(sheet.locator("html.scripted")).to_be_attached()
    expect(box(sheet, "lime")).to_have_value("1.3")
    expect(state(sheet, "lime")).to_have_text("why?")


def test_a_browser_that_keeps_nothing_says_so_and_sends_all(sheet: Page, ledger: Ledger):
    """B-56: its storage is full, or closed to the page."""
    sheet.evaluate(
        """() => {
             for (const name of ["setItem", "getItem", "removeItem"])
               Storage.prototype[name] = () => { throw new DOMException("it is full"); };
           }"""
    )
    sheet.route(ADDRESS, lambda route: route.abort())
    type_in(sheet, "lime", "1.1")
    expect(state(sheet, "lime")).to_have_text("not sent")
    expect(sheet.locator("#unsent")).to_contain_text("This browser keeps nothing")
    sheet.unroute(ADDRESS)
    expect(saved(sheet, "lime")).to_be_attached()
    expect(sheet.locator("#unsent")).to_be_empty()
    type_in(sheet, "cane", "1845")
    expect(saved(sheet, "cane")).to_be_attached()
    assert entries(ledger) == [("lime", "1.1", None), ("cane", "1845", None)]


def test_a_plus_sign_is_typed_while_a_box_is_edited(sheet: Page):
    """C-02: else it goes to the next box that is due."""
    box(sheet, "cane").focus()
    sheet.keyboard.press("F2")
    sheet.keyboard.type("+12")
    expect(box(sheet, "cane")).to_have_value("+12")
    expect(box(sheet, "cane")).to_be_focused()
    sheet.keyboard.press("Escape")
    sheet.keyboard.press("+")
    expect(box(sheet, "cane")).not_to_be_focused()


def test_nobody_signs_a_shift_of_which_results_of_theirs_are_not_sent(sheet: Page):
    """B-55"""
    sheet.route(ADDRESS, lambda route: route.abort())
    type_in(sheet, "lime", "1.1")
    expect(state(sheet, "lime")).to_have_text("not sent")
    sheet.goto(f"{SHEET}/signature")
    sheet.get_by_label("Because").fill("the mill stood still")
    sheet.get_by_role("button", name="Enter this for every blank").click()
    sheet.get_by_label("Your password").fill(PASSWORD)
    sheet.locator("form[action$='/signature'] button").click()
    expect(sheet.locator("#unsent-notice a")).to_be_focused()
    expect(sheet.locator("main")).to_contain_text("This shift is not signed yet")


@pytest.mark.parametrize("kind", ["dragstart", "drop"])
def test_a_result_is_not_drawn_into_another_box_with_the_pointer(sheet: Page, kind: str):
    """A box selects its text when it is come to; the browser would move that text."""
    goes_on = box(sheet, "lime").evaluate(
        "(box, kind) => box.dispatchEvent("
        "new DragEvent(kind, { bubbles: true, cancelable: true }))",
        kind,
    )
    assert goes_on is False
