"""What stands on paper, and what a narrow screen holds."""

import pytest
from playwright.sync_api import Page, expect

from tests.browser.hands import sign_in

REPORTS = ("/days/2026-10-27", "/weeks/2026-W43", "/seasons/2026")
NARROW = {"width": 390, "height": 844}


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
