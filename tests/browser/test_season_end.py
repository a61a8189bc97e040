"""From the season to when it ends, and what that stands on."""

from playwright.sync_api import Page, expect

from tests.browser.axe import findings
from tests.browser.hands import sign_in


def test_a_manager_reads_when_the_season_ends_and_with_how_much_sugar(page: Page):
    sign_in(page, "ruth")
    page.goto("/seasons/2026")
    page.get_by_role("link", name="When it ends").press("Enter")
    said = page.get_by_role("region", name="The forecast")
    expect(said).to_contain_text("Crushing ends about Friday 13 November 2026")
    expect(said).to_contain_text("In 8 cases of 10 between")
    expect(page.locator(".picture.wide svg")).to_have_count(2)
    assert findings(page) == []
    page.set_viewport_size({"width": 390, "height": 844})
    expect(page.locator(".picture.narrow svg").first).to_be_visible()
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    page.get_by_role("link", name="The estimate").click()
    expect(page.locator("h1")).to_contain_text("Cane of the whole season, estimated")
