"""What stands on paper, and what a narrow screen holds."""

import pytest
from playwright.sync_api import Page, expect

from tests.browser.hands import sign_in

REPORTS = ("/days/2026-10-27", "/weeks/2026-W43", "/seasons/2026")
NARROW = {"width": 390, "height": 844}
A4 = {"width": round((210 - 2 * 12) / 25.4 * 96), "height": 1000}  # within its margins


@pytest.mark.parametrize("address", REPORTS)
def test_the_conventions_of_a_report_are_printed_though_folded(page: Page, address):
    sign_in(page)
    page.goto(address)
    row = page.locator("details.conventions").get_by_text("Standard brix of final molasses")
    expect(row).not_to_be_visible()
    page.emulate_media(media="print")
    expect(row).to_be_visible()


def test_what_a_figure_follows_from_is_printed_though_folded(page: Page):
    sign_in(page)
    page.goto("/days/2026-10-27/figures/undetermined_loss")
    fold = page.locator("details:has(> .tree)")
    assert fold.get_attribute("open") is None
    leaf = fold.locator("li").last
    expect(leaf).not_to_be_visible()
    page.emulate_media(media="print")
    expect(leaf).to_be_visible()


# how far the mark behind a number ends before what stands in the cell after it, in pixels
ROOM = """() => [...document.querySelectorAll("td:has(.part) + td:not(:empty)")].map((after) => {
  const range = document.createRange();
  range.selectNodeContents(after);
  const mark = document.createRange();
  mark.selectNode(after.previousElementSibling.querySelector(".part").firstChild);
  return range.getBoundingClientRect().left - mark.getBoundingClientRect().right;
}).filter(Number.isFinite)"""


@pytest.mark.parametrize("address", [*REPORTS, "/months/2026-10"])
@pytest.mark.parametrize("paper", [True, False])
def test_the_mark_of_what_is_estimated_stands_apart_from_the_next_column(page, address, paper):
    sign_in(page)
    page.set_viewport_size(A4 if paper else NARROW)
    page.emulate_media(media="print" if paper else "screen")
    page.goto(address)
    room = page.evaluate(ROOM)
    assert room
    assert min(room) > 1.5


@pytest.mark.parametrize(
    "address", ["/days/2026-10-27/figures", "/manual/measures", "/manual/evaporation"]
)
def test_a_narrow_screen_is_as_wide_as_the_page(page: Page, address):
    sign_in(page)
    page.set_viewport_size(NARROW)
    page.goto(address)
    assert page.evaluate("document.documentElement.scrollWidth") == NARROW["width"]


def test_whoever_has_no_mouse_reaches_what_scrolls_in_the_manual(page: Page):
    sign_in(page)
    page.set_viewport_size(NARROW)
    page.goto("/manual/pans_and_crystallizers")
    wide = page.locator(".entry").evaluate_all(
        "all => all.filter(e => e.scrollWidth > e.clientWidth).map(e => !!e.querySelector('a'))"
    )
    assert wide
    assert all(wide)


LANDSCAPE = {"width": round((297 - 2 * 8) / 25.4 * 96), "height": 700}  # A4 within its margins


@pytest.mark.parametrize("book", ["consignments", "strikes", "centrifugals", "standard_checks"])
def test_every_column_of_a_wide_book_stands_on_the_paper(page: Page, book):
    sign_in(page)
    page.set_viewport_size(LANDSCAPE)
    page.goto(f"/books/{book}?first=2026-10-22&last=2026-10-28")
    page.emulate_media(media="print")
    wide = page.locator("table").evaluate_all("all => all.map(table => table.offsetWidth)")
    assert max(wide) <= LANDSCAPE["width"]


@pytest.mark.parametrize("what", ["morning report", "certificate", "trail"])
def test_a_narrow_screen_holds_what_is_handed_out(page: Page, what):
    sign_in(page, "ruth")
    page.goto("/books/bagging?first=2026-10-26&last=2026-10-26")
    lot = page.locator("ul.index a").first.get_attribute("href")
    page.set_viewport_size(NARROW)
    page.goto({"morning report": "/days/2026-10-27", "certificate": lot}.get(what, "/trail"))
    assert page.evaluate("document.documentElement.scrollWidth") == NARROW["width"]
    if what == "morning report":
        share = page.locator("table.account tbody td").first
        assert share.bounding_box()["x"] < NARROW["width"]
        target = page.locator("table.account tbody tr").first.locator("td").nth(3).bounding_box()
        assert target["x"] + target["width"] <= NARROW["width"]
    if what == "trail":
        expect(page.locator(".trail-list .about").first).to_be_in_viewport(ratio=1)
