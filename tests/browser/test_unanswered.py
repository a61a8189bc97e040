"""What is typed, taken back or emptied while an answer is on its way or lost: all of it counts."""

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page, Route, expect

from tests.browser.conftest import Ledger
from tests.browser.hands import (
    SHEET,
    box,
    entries,
    open_sheet,
    panel,
    saved,
    sign_in,
    state,
    type_in,
)

ADDRESS = f"**{SHEET}/cells"


@pytest.fixture
def sheet(page: Page) -> Page:
    page.on("dialog", lambda dialog: dialog.accept())
    sign_in(page)
    open_sheet(page)
    return page


@pytest.fixture
def other(browser: Browser, ledger: Ledger) -> Iterator[Page]:
    """The sheet before a colleague."""
    with browser.new_context(base_url=ledger.address) as context:
        page = context.new_page()
        sign_in(page, "tomas")
        open_sheet(page)
        yield page


def wait_for(page: Page, routes: list[Route]) -> Route:
    """Wait until the network has a request that it keeps back."""
    for _ in range(250):
        if routes:
            return routes[0]
        page.wait_for_timeout(20)
    return pytest.fail("nothing was sent")


def hold(page: Page, typed: str) -> Route:
    """Type lime, and keep back the request that sends it."""
    routes: list[Route] = []
    page.route(ADDRESS, lambda route: route.continue_() if routes else routes.append(route))
    type_in(page, "lime", typed)
    return wait_for(page, routes)


def lose(page: Page, typed: str, *keys: str) -> None:
    """Type lime, which the ledger gets and whose answer is lost."""

    def arrive(route: Route) -> None:
        route.fetch()
        route.abort()

    page.route(ADDRESS, arrive)
    type_in(page, "lime", typed)
    for key in keys:
        page.keyboard.press(key)
    expect(state(page, "lime")).to_have_text("not sent")


def empty(page: Page) -> None:
    box(page, "lime").focus()
    page.keyboard.press("Delete")
    page.keyboard.press("Enter")


def lime(ledger: Ledger) -> list[tuple[str, str | None]]:
    return [(typed, reason) for measure, typed, reason in entries(ledger) if measure == "lime"]


def test_a_box_emptied_while_its_result_is_on_its_way_asks_why(sheet: Page, ledger: Ledger):
    first = hold(sheet, "1.1")
    empty(sheet)
    first.continue_()
    expect(panel(sheet, "lime")).to_contain_text("Take 1.1 out: why?")
    expect(box(sheet, "lime")).to_have_value("")
    expect(sheet.locator("#unsent")).to_have_text("1 not in the ledger yet")
    sheet.locator("#reason-lime").focus()
    sheet.keyboard.press("1")
    sheet.keyboard.press("Enter")
    expect(saved(sheet, "lime")).to_be_attached()
    assert lime(ledger) == [("1.1", None), ("", "decimal point slipped")]


def test_a_box_emptied_by_hand_and_left_by_the_pointer_asks_why(sheet: Page):
    first = hold(sheet, "1.1")
    box(sheet, "lime").focus()
    sheet.keyboard.press("Delete")
    box(sheet, "cane").click()
    first.continue_()
    expect(panel(sheet, "lime")).to_contain_text("Take 1.1 out: why?")


def test_an_answer_that_comes_while_a_box_is_typed_anew_writes_nothing_into_it(sheet: Page):
    first = hold(sheet, "1.1")
    box(sheet, "lime").focus()
    sheet.keyboard.press("Delete")
    first.continue_()
    expect(saved(sheet, "lime")).to_be_attached()
    expect(box(sheet, "lime")).to_have_value("")
    sheet.keyboard.type("2.2")
    expect(box(sheet, "lime")).to_have_value("2.2")
    sheet.keyboard.press("Enter")
    expect(panel(sheet, "lime")).to_contain_text("Correct 1.1 to 2.2: why?")


def test_escape_leaves_alone_what_is_on_its_way(sheet: Page, ledger: Ledger):
    first = hold(sheet, "1.1")
    box(sheet, "lime").focus()
    sheet.keyboard.type("7")
    sheet.keyboard.press("Escape")
    expect(box(sheet, "lime")).to_have_value("1.1")
    sheet.keyboard.press("Escape")
    expect(box(sheet, "lime")).to_have_value("1.1")
    first.continue_()
    expect(saved(sheet, "lime")).to_be_attached()
    assert lime(ledger) == [("1.1", None)]


@pytest.mark.parametrize("way", ["emptied", "put back"])
def test_what_is_taken_out_after_a_lost_answer_is_asked_of(sheet: Page, ledger: Ledger, way: str):
    """The ledger has what the sheet could not know: both are shown."""
    lose(sheet, "1.1")
    if way == "emptied":
        empty(sheet)
    else:
        box(sheet, "lime").focus()
        sheet.keyboard.press("Escape")
    sheet.unroute(ADDRESS)
    expect(state(sheet, "lime")).to_have_text("conflict")
    expect(panel(sheet, "lime")).to_contain_text("Ines Okello wrote 1.1 here")
    expect(panel(sheet, "lime")).to_contain_text("You typed nothing")
    expect(box(sheet, "lime")).to_have_value("")
    sheet.locator("#reason-lime").focus()
    sheet.keyboard.press("1")
    sheet.keyboard.press("Enter")
    expect(saved(sheet, "lime")).to_be_attached()
    assert lime(ledger) == [("1.1", None), ("", "decimal point slipped")]


def test_what_never_arrived_is_emptied_without_a_trace(sheet: Page, ledger: Ledger):
    sheet.route(ADDRESS, lambda route: route.abort())
    type_in(sheet, "lime", "1.1")
    expect(state(sheet, "lime")).to_have_text("not sent")
    empty(sheet)
    sheet.unroute(ADDRESS)
    expect(sheet.locator("[data-state]")).to_have_count(0)
    expect(panel(sheet, "lime")).to_have_count(0)
    assert sheet.evaluate("localStorage.length") == 0
    assert lime(ledger) == []


def test_undo_after_a_lost_answer_takes_out_what_arrived(sheet: Page, ledger: Ledger):
    lose(sheet, "1.1")
    sheet.keyboard.press("Control+z")
    expect(box(sheet, "lime")).to_have_value("")
    sheet.unroute(ADDRESS)
    expect(saved(sheet, "lime")).to_be_attached()
    expect(box(sheet, "lime")).to_have_value("")
    assert lime(ledger) == [("1.1", None), ("", "undone")]


def test_a_correction_typed_back_after_a_lost_answer_is_asked_of(sheet: Page, ledger: Ledger):
    type_in(sheet, "lime", "1.1")
    expect(saved(sheet, "lime")).to_be_attached()
    lose(sheet, "1.2", "1", "Enter")
    type_in(sheet, "lime", "1.1")
    sheet.unroute(ADDRESS)
    expect(panel(sheet, "lime")).to_contain_text("Ines Okello wrote 1.2 here")
    expect(box(sheet, "lime")).to_have_value("1.1")
    assert lime(ledger) == [("1.1", None), ("1.2", "decimal point slipped")]


def test_undo_takes_nothing_out_that_a_colleague_wrote(sheet: Page, other: Page, ledger: Ledger):
    """B-45"""
    first = hold(sheet, "1.1")
    type_in(other, "lime", "9.9")
    expect(saved(other, "lime")).to_be_attached()
    sheet.keyboard.press("Control+z")
    first.continue_()
    expect(state(sheet, "lime")).to_have_text("conflict")
    expect(panel(sheet, "lime")).to_contain_text("Tomas Bhagwan wrote 9.9 here")
    expect(panel(sheet, "lime")).to_contain_text("You typed nothing")
    panel(sheet, "lime").get_by_role("button", name="Keep 9.9").click()
    expect(box(sheet, "lime")).to_have_value("9.9")
    expect(sheet.locator("#unsent")).to_be_empty()
    assert lime(ledger) == [("9.9", None)]


def note(page: Page, measure: str) -> None:
    box(page, measure).focus()
    page.keyboard.press("F9")
    page.keyboard.type("scale was cleaned")
    page.keyboard.press("Enter")


def test_a_note_changes_no_box(sheet: Page, other: Page, ledger: Ledger):
    """C-18: what is refused stays so, what is asked stays based on what its writer saw."""
    type_in(sheet, "lime", "1.1")
    expect(saved(sheet, "lime")).to_be_attached()
    type_in(sheet, "lime", "1.2")
    expect(state(sheet, "lime")).to_have_text("why?")
    type_in(sheet, "imbibition", "99999")
    expect(state(sheet, "imbibition")).to_have_text("refused")
    other.reload()
    type_in(other, "lime", "7.7")
    other.keyboard.press("1")
    other.keyboard.press("Enter")
    expect(saved(other, "lime")).to_be_attached()
    note(sheet, "cane")
    expect(sheet.locator("#said")).to_have_text("The note is kept.")
    expect(sheet.locator("#cell-cane .marks")).to_contain_text("n")
    expect(state(sheet, "imbibition")).to_have_text("refused")
    sheet.locator("#reason-lime").focus()
    sheet.keyboard.press("1")
    sheet.keyboard.press("Enter")
    expect(state(sheet, "lime")).to_have_text("conflict")
    assert lime(ledger) == [("1.1", None), ("7.7", "decimal point slipped")]


def test_the_sheet_after_a_note_may_come_late(sheet: Page):
    """What was saved meanwhile stands, in its box and beside it."""
    routes: list[Route] = []

    def delay(route: Route) -> None:
        if routes or route.request.resource_type != "fetch":
            route.continue_()
        else:
            answer = route.fetch()
            routes.append(route)
            late.append(answer)

    late: list = []
    sheet.route(f"**{SHEET}", delay)
    note(sheet, "cane")
    route = wait_for(sheet, routes)
    type_in(sheet, "lime", "1.1")
    expect(saved(sheet, "lime")).to_be_attached()
    done = sheet.locator("#due").inner_text()
    route.fulfill(response=late[0])
    expect(sheet.locator("#said")).to_have_text("The note is kept.")
    expect(box(sheet, "lime")).to_have_value("1.1")
    expect(sheet.locator("#due")).to_have_text(done)
    type_in(sheet, "lime", "1.3")
    expect(panel(sheet, "lime")).to_contain_text("Correct 1.1 to 1.3: why?")
