"""Impatient hands: what is sent twice is done once, with script and without."""

import pytest
from playwright.sync_api import Page, expect
from sqlalchemy import func, select

from app.database import open_database, reading
from app.ledger import tables
from tests.browser.conftest import Ledger
from tests.browser.hands import sign_in


def events(ledger: Ledger, kind: str, name: str) -> int:
    """How many events of a kind say a name."""
    engine = open_database(ledger.database_url)
    c = tables.event.c
    with reading(engine) as connection:
        query = select(func.count()).where(c.kind == kind, c.content.contains(name))
        found = connection.scalar(query)
    engine.dispose()
    return found


def add_eve(page: Page) -> None:
    sign_in(page, "noor")
    page.goto("/people")
    page.get_by_label("User name without blanks").fill("eve")
    page.get_by_label("Name as printed").fill("Eve Marsh")


def listed(page: Page) -> None:
    page.wait_for_load_state()
    expect(page.get_by_role("rowheader", name="eve")).to_be_visible()


def double_click(page: Page) -> None:
    page.get_by_role("button", name="Add and give a code").dblclick()


def held_enter(page: Page) -> None:
    page.get_by_label("Name as printed").focus()
    page.keyboard.down("Enter")
    page.keyboard.down("Enter")
    page.keyboard.down("Enter")
    page.keyboard.up("Enter")


def reload(page: Page) -> None:
    page.get_by_role("button", name="Add and give a code").click()
    listed(page)
    page.reload()


def back_and_resubmit(page: Page) -> None:
    page.get_by_role("button", name="Add and give a code").click()
    listed(page)
    page.reload()
    page.go_back()
    page.go_forward()


def two_at_once(page: Page) -> None:
    form = page.locator("form", has=page.locator("#username"))
    sent = {
        name: form.locator(f"[name={name}]").input_value()
        for name in ("token", "once", "username", "printed_name", "role")
    }
    page.request.post("/people", form=sent, headers={"Origin": page.url.removesuffix("/people")})
    page.get_by_role("button", name="Add and give a code").click()


HABITS = [double_click, held_enter, reload, back_and_resubmit, two_at_once]


@pytest.mark.parametrize("habit", HABITS)
def test_what_is_sent_twice_is_done_once(page: Page, ledger: Ledger, habit):
    """B-49"""
    add_eve(page)
    habit(page)
    listed(page)
    assert events(ledger, "person", '"eve"') == 2  # added, and given a code


@pytest.mark.browser_context_args(java_script_enabled=False)
@pytest.mark.parametrize("habit", HABITS)
def test_without_script_what_is_sent_twice_is_done_once(page: Page, ledger: Ledger, habit):
    """B-49"""
    add_eve(page)
    habit(page)
    listed(page)
    assert events(ledger, "person", '"eve"') == 2
