"""What was ever written in a box, from the sheet and back; and what comes late."""

from playwright.sync_api import Page, expect

from tests.browser.conftest import Ledger
from tests.browser.hands import (
    TODAY,
    box,
    focused,
    open_sheet,
    panel,
    saved,
    sign_in,
    type_in,
)

OVER = f"/shifts/{TODAY}/1"  # the shift ended at 14:00, three hours ago


def test_one_key_opens_the_history_of_a_box_and_another_goes_back(page: Page, ledger: Ledger):
    """A-10, A-17"""
    sign_in(page)
    open_sheet(page, OVER)
    before = ledger.results(TODAY, 1)["bagasse_pol"]
    type_in(page, "bagasse_pol", "1.93")
    page.keyboard.press("2")
    page.keyboard.press("Enter")
    expect(page.locator("#said")).to_contain_text("saved")
    box(page, "bagasse_pol").focus()
    page.keyboard.press("F4")
    history = page.get_by_role("dialog", name="Bagasse, pol, %")
    expect(history).to_contain_text(before)
    expect(history).to_contain_text("figures exchanged")
    expect(history.get_by_role("row")).to_have_count(3)
    page.keyboard.press("Escape")
    expect(history).to_be_hidden()
    assert focused(page) == "bagasse_pol"
    assert page.url.endswith(OVER)


def test_the_history_of_an_empty_box_says_so(page: Page, ledger: Ledger):
    sign_in(page)
    open_sheet(page)
    box(page, "cane").focus()
    page.keyboard.press("F4")
    expect(page.get_by_role("dialog")).to_contain_text("Nothing was ever written in this box")
    assert ledger.results(TODAY, 2) == {}


def test_what_comes_late_says_why_once_for_the_whole_sheet(page: Page, ledger: Ledger):
    """A-03, A-09"""
    sign_in(page)
    open_sheet(page, OVER)
    type_in(page, "cane", "1900")
    expect(panel(page, "cane")).to_contain_text("say above the sheet why it comes late")
    assert "cane" not in ledger.results(TODAY, 1)
    page.get_by_label("Why does it come late?").fill("typed from paper")
    page.get_by_label("Who saw it, if not you?").fill("Tomas Bhagwan")
    box(page, "cane").focus()
    expect(panel(page, "cane")).to_have_count(0)
    type_in(page, "imbibition", "610")
    expect(saved(page, "imbibition")).to_be_attached()
    found = ledger.results(TODAY, 1)
    assert (found["cane"], found["imbibition"]) == ("1900", "610")
    page.goto(f"{OVER}/cells/imbibition")
    expect(page.locator("#trail")).to_contain_text("late: typed from paper")
    expect(page.locator("#trail")).to_contain_text("seen by Tomas Bhagwan")
