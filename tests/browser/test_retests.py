"""Tests of one sample in a browser, from the sheet and back, with and without script."""

import pytest
from playwright.sync_api import Page, expect

from tests.browser.hands import sign_in

SHEET = "/shifts/2026-10-28/1"
TWICE = f"{SHEET}/tests/mixed_juice_pol-2"


def test_a_chemist_leaves_a_test_out_from_the_keyboard_and_takes_it_in(page: Page):
    sign_in(page)
    page.goto(SHEET)
    page.get_by_role("link", name="2 of 2 tests count").focus()
    page.keyboard.press("Enter")
    page.wait_for_url(f"**{TWICE}")
    expect(page.locator(".headline")).to_contain_text("2 of 2 count")
    page.get_by_role("button", name="Leave it out of the mean").nth(1).click()
    expect(page.get_by_role("alert")).to_contain_text("Nothing was saved")
    page.get_by_role("link", name="Say why.").click()
    why = page.locator("#reason-2")
    expect(why).to_be_focused()
    why.fill("spilt")
    page.keyboard.press("Tab")
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    expect(page.get_by_role("status").first).to_contain_text("counts no more")
    expect(page.locator("#test-2")).to_contain_text("left out")
    expect(page.locator("#test-2")).to_contain_text("spilt")
    page.locator("#reason-2").fill("not spilt")
    page.get_by_role("button", name="Let it count again").click()
    expect(page.locator(".headline")).to_contain_text("2 of 2 count")


@pytest.mark.browser_context_args(java_script_enabled=False)
def test_without_script_a_test_is_added_and_kept_as_a_pair(page: Page):
    sign_in(page)
    page.goto(f"{SHEET}/tests/syrup_brix")
    page.get_by_label("What it gave").first.fill("63.5")
    page.get_by_label("Why it was tested again").fill("asked for")
    page.get_by_label("as a pair for the repeatability").check()
    page.get_by_role("button", name="Add the test").click()
    expect(page.get_by_role("status").first).to_contain_text("as a pair")
    expect(page.locator("#test-2")).to_contain_text("63.5")
