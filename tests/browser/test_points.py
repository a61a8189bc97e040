"""From the morning report to where the points went, by links alone."""

from playwright.sync_api import Page, expect

from tests.browser.hands import YESTERDAY, sign_in


def test_a_manager_sees_where_yesterdays_points_went_and_opens_what_to_look_at(page: Page):
    sign_in(page, "ruth")
    page.goto(f"/days/{YESTERDAY}")
    page.get_by_role("link", name="Where the points went").first.click()
    words = page.get_by_role("region", name="In words")
    expect(words).to_contain_text("Overall recovery 81.82 against 85.40 (Target)")
    expect(words).to_contain_text("Most was lost by:")
    expect(page.locator(".picture.wide svg").first).to_be_visible()
    page.get_by_role("link", name="The day before").click()
    expect(words).to_contain_text("(26\u00a0Oct)")
    words.get_by_text("Open first").get_by_role("link").first.click()
    expect(page.locator("h1")).to_be_visible()
    assert f"/days/{YESTERDAY}/figures/" in page.url


def test_on_a_telephone_the_narrow_pictures_are_shown_and_the_page_does_not_scroll_sideways(
    page: Page,
):
    page.set_viewport_size({"width": 390, "height": 844})
    sign_in(page, "ruth")
    page.goto(f"/days/{YESTERDAY}/points")
    expect(page.locator(".picture.narrow svg")).to_have_count(2)
    expect(page.locator(".picture.narrow svg").first).to_be_visible()
    expect(page.locator(".picture.wide svg").first).to_be_hidden()
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
