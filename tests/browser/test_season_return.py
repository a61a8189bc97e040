"""The season-end return in a browser: nothing wrong to a reader of screens, none too wide."""

from playwright.sync_api import Page, expect

from tests.browser.axe import findings
from tests.browser.hands import sign_in


def test_an_auditor_reads_the_return_and_opens_a_number(page: Page):
    sign_in(page, "samir")
    page.goto("/seasons/2026")
    page.get_by_role("link", name="Return", exact=True).press("Enter")
    expect(page.locator("h1")).to_contain_text("Return of season 2026")
    assert findings(page) == []
    row = page.get_by_role("row", name="Reduced extraction")
    row.get_by_role("link").nth(1).click()
    expect(page).to_have_url("/months/2026-06/figures/reduced_extraction")
    page.set_viewport_size({"width": 390, "height": 844})
    page.goto("/seasons/2026/return")
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
