"""A sign-in that ends while somebody types: unlocked in place, and nothing is lost."""

from datetime import datetime, timedelta

import pytest
from playwright.sync_api import Locator, Page, expect
from sqlalchemy import update

from app.database import open_database, writing
from app.ledger import people, tables
from app.ledger.people import Person
from demo_data.season import PASSWORD
from tests.browser.conftest import NOW, Ledger
from tests.browser.hands import SHEET, TODAY, box, focused, open_sheet, saved, sign_in, type_in


def change(ledger: Ledger, what) -> None:
    engine = open_database(ledger.database_url)
    with writing(engine) as connection:
        what(connection)
    engine.dispose()


def leave_for(ledger: Ledger, away: timedelta, begun: datetime = NOW) -> None:
    """Let every sign-in have been left alone for a while."""
    moved = {"seen_at": NOW - away, "begun_at": begun - away}
    change(ledger, lambda connection: connection.execute(update(tables.sign_in).values(moved)))


def lock(page: Page) -> Locator:
    return page.get_by_role("dialog", name="Your sign-in is over")


def unlock(page: Page, password: str = PASSWORD) -> None:
    lock(page).get_by_label("Password of Ines Okello").fill(password)
    page.keyboard.press("Enter")


@pytest.mark.parametrize("away", [timedelta(minutes=31), timedelta(hours=13)])
def test_typing_goes_on_after_the_password(page: Page, ledger: Ledger, away: timedelta):
    """B-58: dialog, password, value saved."""
    sign_in(page)
    open_sheet(page)
    leave_for(ledger, away)
    type_in(page, "cane", "1845")
    expect(lock(page)).to_be_visible()
    expect(lock(page)).to_contain_text("1 result is not saved yet")
    expect(lock(page).get_by_label("Password of Ines Okello")).to_be_focused()
    unlock(page, "not my password")
    expect(lock(page)).to_contain_text("This is not your password")
    expect(box(page, "cane")).to_have_value("1845")
    assert ledger.results(TODAY, 2) == {}
    unlock(page)
    expect(lock(page)).to_be_hidden()
    expect(saved(page, "cane")).to_be_attached()
    assert ledger.results(TODAY, 2) == {"cane": "1845"}
    assert focused(page)
    type_in(page, "mixed_juice_brix", "14.5")
    expect(saved(page, "mixed_juice_brix")).to_be_attached()
    assert ledger.results(TODAY, 2) == {"cane": "1845", "mixed_juice_brix": "14.5"}


def test_several_results_are_sent_after_the_password(page: Page, ledger: Ledger):
    sign_in(page)
    open_sheet(page)
    leave_for(ledger, timedelta(minutes=31))
    typed = {"cane": "1845", "mixed_juice_brix": "14.5", "clear_juice_ph": "7.1"}
    for measure, text in typed.items():
        type_in(page, measure, text)
        expect(lock(page)).to_be_visible()
        page.keyboard.press("Escape")  # the password can wait
        expect(lock(page)).to_be_hidden()
    page.get_by_role("button", name="Save the sheet").click()
    expect(lock(page)).to_contain_text("3 results are not saved yet")
    unlock(page)
    expect(page.locator("#unsent")).to_be_empty()
    expect(page.locator("#sheet .saved")).to_have_count(3)
    assert ledger.results(TODAY, 2) == typed


def test_what_one_person_typed_is_not_sent_by_another(page: Page, ledger: Ledger):
    """B-57: somebody else signs in at the same workstation."""
    warned: list[str] = []
    page.on("dialog", lambda dialog: (warned.append(dialog.type), dialog.accept()))
    sign_in(page)
    open_sheet(page)
    leave_for(ledger, timedelta(minutes=31))
    type_in(page, "cane", "1845")
    expect(lock(page)).to_be_visible()
    other = page.context.new_page()
    sign_in(other, "tomas")
    page.keyboard.press("Escape")
    page.get_by_role("button", name="Save the sheet").click()
    expect(lock(page)).to_contain_text("1 result is not saved yet")
    lock(page).get_by_role("link", name="Sign in afresh").click()
    page.wait_for_url("**/sign-in")
    assert warned == ["beforeunload"]
    expect(page.locator("#unsent-notice")).to_contain_text("Ines Okello has 1 result")
    open_sheet(other)
    expect(other.locator("#unsent-notice")).to_contain_text("Ines Okello has 1 result")
    expect(box(other, "cane")).to_have_value("")
    type_in(other, "lime", "1.5")
    expect(saved(other, "lime")).to_be_attached()
    assert ledger.results(TODAY, 2) == {"lime": "1.5"}


def test_somebody_deactivated_is_refused_and_the_text_stays(page: Page, ledger: Ledger):
    """B-58, B-77"""

    def deactivate(connection) -> None:
        ines = people.person_named(connection, "ines")
        assert isinstance(ines, Person)
        people.deactivate(connection, ines, by=ines, at=NOW)

    sign_in(page)
    open_sheet(page)
    change(ledger, deactivate)
    type_in(page, "cane", "1845")
    unlock(page)
    expect(lock(page)).to_contain_text("This is not your password")
    expect(box(page, "cane")).to_have_value("1845")
    assert ledger.results(TODAY, 2) == {}


@pytest.mark.browser_context_args(java_script_enabled=False)
def test_without_script_a_sheet_is_carried_along(page: Page, ledger: Ledger):
    """B-58"""
    sign_in(page)
    page.goto(SHEET)
    box(page, "cane").fill("1845")
    leave_for(ledger, timedelta(minutes=31))
    page.get_by_role("button", name="Save the sheet").click()
    expect(page.get_by_role("heading", name="Locked")).to_be_visible()
    page.get_by_label("Password of Ines Okello").fill(PASSWORD)
    page.keyboard.press("Enter")
    page.get_by_role("button", name="Send it now").click()
    page.wait_for_url(f"**{SHEET}?saved")
    assert ledger.results(TODAY, 2) == {"cane": "1845"}


def test_a_page_asked_for_while_locked_is_shown_after_the_password(page: Page, ledger: Ledger):
    sign_in(page)
    leave_for(ledger, timedelta(minutes=31))
    page.goto("/bench?conversion=brix&reading=15")
    expect(page.get_by_role("heading", name="Locked")).to_be_visible()
    page.get_by_label("Password of Ines Okello").fill(PASSWORD)
    page.keyboard.press("Enter")
    page.wait_for_url("**/bench?conversion=brix&reading=15")
