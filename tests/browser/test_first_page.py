"""The first page of the morning report: read in two minutes, on a screen, a phone and one sheet."""

import io

import pytest
from playwright.sync_api import Page, expect
from pypdf import PdfReader

from tests.browser.hands import YESTERDAY, sign_in

FILL_TO_SEVEN = """() => {
  const list = document.querySelector(".exceptions ol");
  while (list.children.length < 7) list.append(list.lastElementChild.cloneNode(true));
}"""


@pytest.mark.browser_context_args(java_script_enabled=False)
def test_a_manager_reads_what_is_first_and_goes_where_one_acts(page: Page):
    sign_in(page, "ruth")
    page.goto(f"/days/{YESTERDAY}")
    first = page.get_by_role("region", name="What to look at first")
    items = first.get_by_role("listitem")
    expect(items).to_have_count(3)
    expect(items.nth(0)).to_contain_text("Mixed juice, weight likeliest reads about 1.4")
    expect(items.nth(1)).to_contain_text("Mixed juice purity 83.59 %; target 84.50: 0.91 below")
    expect(items.nth(1)).to_contain_text("5.0 ±\u00a04.5 t of sugar lost, 2392\u00a0USD; more than")
    expect(items.nth(1)).to_contain_text("14 days: lowest 83.24 (25 Oct), highest 85.02 (17 Oct)")
    expect(items.nth(1).locator("svg")).to_be_visible()
    items.nth(0).get_by_role("link", name="Is the balance right?").click()
    expect(page.get_by_role("region", name="What the balances say")).to_be_visible()
    page.go_back()
    items.nth(1).get_by_role("link", name="Where the points went").click()
    expect(page.get_by_role("region", name="In words")).to_be_visible()


def test_it_fits_one_sheet_of_paper_with_seven_exceptions(page: Page):
    sign_in(page, "ruth")
    page.goto(f"/days/{YESTERDAY}")
    page.evaluate(FILL_TO_SEVEN)
    sheets = PdfReader(io.BytesIO(page.pdf(prefer_css_page_size=True))).pages
    one, two = (sheet.extract_text() for sheet in sheets[:2])
    assert "Chain head" in one
    assert "Checks of the day" not in one
    assert "Checks of the day" in two


def test_on_a_telephone_it_does_not_scroll_sideways(page: Page):
    page.set_viewport_size({"width": 390, "height": 844})
    sign_in(page, "ruth")
    page.goto(f"/days/{YESTERDAY}")
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    expect(page.get_by_role("region", name="What to look at first")).to_be_in_viewport()
