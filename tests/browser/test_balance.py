"""Is the balance right: from the morning report to what to do first; on a phone and on paper."""

import pytest
from playwright.sync_api import Page, expect

from tests.browser.hands import YESTERDAY, sign_in

LINK = "Is the balance right? Which measurement likeliest reads wrong"
QUIET = "/days/2026-08-20"
pytestmark = pytest.mark.usefixtures("ledger")


@pytest.mark.browser_context_args(java_script_enabled=False)
def test_a_manager_comes_from_the_morning_report_to_what_is_likeliest_wrong(page: Page):
    sign_in(page, "ruth")
    page.goto(f"/days/{YESTERDAY}")
    page.get_by_role("link", name=LINK).click()
    says = page.get_by_role("region", name="What the balances say")
    first = says.get_by_role("paragraph").first
    expect(first).to_contain_text("Mixed juice, weight likeliest reads about 1.4")
    expect(first).to_contain_text("high, more each day since about")
    expect(says).to_contain_text("First: Weigh a known load on it")
    expect(says).to_contain_text("really lost behind the juice scale would look the same")
    expect(says).to_contain_text("The account stays as measured.")
    account = page.get_by_role("region", name="The account of pol")
    expect(account.get_by_role("row", name="Undetermined")).to_contain_text("22.22")


@pytest.mark.parametrize("address", [QUIET, "/weeks/2026-W30", "/months/2026-07"])
def test_where_nothing_is_wrong_the_page_says_so_first(page: Page, address: str):
    sign_in(page, "ruth")
    page.goto(address)
    page.get_by_role("link", name=LINK).click()
    says = page.get_by_role("region", name="What the balances say")
    expect(says.get_by_role("paragraph").first).to_have_text(
        "Nothing stands out: all measurements fit the balances within what is stated of them."
    )


def test_what_is_reconciled_leaves_the_report_as_it_was(page: Page):
    sign_in(page, "ruth")
    account = page.get_by_role("region", name="The sugar account")
    page.goto(f"/days/{YESTERDAY}")
    before = account.inner_text()
    page.goto(f"/days/{YESTERDAY}/balance")
    page.goto(f"/days/{YESTERDAY}")
    assert account.inner_text() == before


@pytest.mark.parametrize("address", [f"/days/{YESTERDAY}/balance", "/seasons/2026/balance"])
def test_the_page_fits_a_telephone_and_prints_what_it_says(page: Page, address: str):
    page.set_viewport_size({"width": 390, "height": 844})
    sign_in(page, "ruth")
    page.goto(address)
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    for caption in page.locator(".scroll caption").all():
        caption.evaluate("each => each.closest('.scroll').scrollTo(300, 0)")
        box = caption.bounding_box()
        assert box["x"] >= 0
        assert box["x"] + box["width"] <= 390
    page.emulate_media(media="print")
    expect(page.get_by_text("likeliest reads about").first).to_be_visible()
