"""What a person does at a page: signs in, finds a box, types."""

from datetime import date

import pytest
from playwright.sync_api import Locator, Page, expect
from sqlalchemy import select

from app.database import open_database, reading
from app.ledger import tables
from app.plant.measures import MEASURES
from app.plant.samples import place_of
from demo_data.season import PASSWORD
from tests.browser.conftest import Ledger

TODAY, YESTERDAY = date(2026, 10, 28), date(2026, 10, 27)
SHEET = f"/shifts/{TODAY}/2"


def sign_in(page: Page, username: str = "ines", at: str = "") -> None:
    page.goto(f"{at}/sign-in")
    page.locator("[name=username]").focus()
    page.keyboard.type(username)
    page.keyboard.press("Tab")
    page.keyboard.type(PASSWORD)
    page.keyboard.press("Enter")
    page.wait_for_url(lambda address: "/sign-in" not in address)


def box(page: Page, measure: str) -> Locator:
    return page.locator(f'input[name="result:{measure}"]')


def cell(page: Page, measure: str) -> Locator:
    """The cell of the sheet around the box of a measure."""
    return page.locator("td").filter(has=box(page, measure))


def panel(page: Page, measure: str) -> Locator:
    """What is said below a box that was not saved, and asked of it."""
    return page.locator(f'[id="message-{measure}"]')


def state(page: Page, measure: str) -> Locator:
    """The word that tells how a box stands: not sent, refused …"""
    return page.locator(f'[id="cell-{measure}"] .state')


def saved(page: Page, measure: str) -> Locator:
    """The mark of a box that was saved just now."""
    return page.locator(f'[id="cell-{measure}"] .saved')


def type_in(page: Page, measure: str, typed: str, key: str = "Enter") -> None:
    """Come to a box, type over it and leave it by a key."""
    box(page, measure).focus()
    page.keyboard.type(typed)
    page.keyboard.press(key)


def open_sheet(page: Page, address: str = SHEET) -> None:
    """Open a sheet and wait until its keys work."""
    page.goto(address)
    expect(page.locator("html.scripted")).to_be_attached()


def entries(ledger: Ledger) -> list[tuple[str, str, str | None]]:
    """Everything written on the running shift: measure, text and reason, oldest first."""
    engine = open_database(ledger.database_url)
    entry, shift = tables.entry.c, tables.shift.c
    with reading(engine) as connection:
        query = select(entry.measure, entry.typed, entry.reason).join(
            tables.shift, shift.id == entry.shift_id
        )
        query = query.where(shift.day == TODAY, shift.number == 2).order_by(entry.id)
        found = [tuple(row) for row in connection.execute(query)]
    engine.dispose()
    return found


def focused(page: Page) -> str:
    """The measure whose box has the keyboard, or nothing."""
    name = page.evaluate("document.activeElement.getAttribute('name') ?? ''")
    return name.removeprefix("result:") if name.startswith("result:") else ""


def type_sheet(page: Page, results: dict[str, str]) -> None:
    """Type `results` as the keyboard comes to their boxes: Enter after a weight, else Tab."""
    left = dict(results)
    for _ in range(6 * len(MEASURES)):
        if not left:
            return
        here = focused(page)
        if here not in left:
            page.keyboard.press("Tab")
            continue
        page.keyboard.type(left.pop(here))
        with page.expect_response(lambda answer: answer.request.method == "POST") as saved:
            page.keyboard.press(
                "Enter" if MEASURES[place_of(here).measure].prop == "weight" else "Tab"
            )
        assert saved.value.ok, here
    pytest.fail(f"the keyboard does not come to {sorted(left)}")
