"""One cell of the sheet under impatient hands and a poor network: one entry, and none is lost."""

import time
from concurrent.futures import ThreadPoolExecutor
from http.client import HTTPConnection
from urllib.parse import urlencode, urlsplit

import pytest
from playwright.sync_api import Browser, Page, expect
from sqlalchemy import func, select

from app.database import open_database, reading
from app.ledger import soundness, tables
from tests.browser.conftest import Ledger
from tests.browser.hands import (
    SHEET,
    TODAY,
    box,
    open_sheet,
    panel,
    saved,
    sign_in,
    state,
    type_in,
)

BRIX = "mixed_juice_brix"
ADDRESS = f"**{SHEET}/cells"
WITHOUT_SCRIPT = pytest.mark.browser_context_args(java_script_enabled=False)


def entries(ledger: Ledger, measure: str = BRIX) -> list[str]:
    """Everything typed in a cell of the running shift, oldest first."""
    engine = open_database(ledger.database_url)
    entry, shift = tables.entry.c, tables.shift.c
    with reading(engine) as connection:
        query = select(entry.typed).join(tables.shift, shift.id == entry.shift_id)
        query = query.where(shift.day == TODAY, shift.number == 2, entry.measure == measure)
        found = list(connection.scalars(query.order_by(entry.id)))
        told = select(func.count()).where(tables.event.c.kind == "entry")
        assert connection.scalar(told) == connection.scalar(
            select(func.count()).select_from(tables.entry)
        )
        assert soundness.faults(connection, since=connection.scalar(
            select(func.max(tables.event.c.number))) - 20) == []  # fmt: skip
    engine.dispose()
    return found


def test_two_browsers_in_one_cell_each_see_both_values(
    page: Page, browser: Browser, ledger: Ledger
):
    """F-26, B-45: the second is shown both; what both typed elsewhere is kept."""
    other = browser.new_context(base_url=ledger.address).new_page()
    for each, name in ((page, "ines"), (other, "tomas")):
        sign_in(each, name)
        open_sheet(each)
    box(page, BRIX).fill("14.5")
    with page.expect_response(ADDRESS):
        box(page, BRIX).press("Enter")
    box(other, BRIX).fill("14.9")
    with other.expect_response(ADDRESS) as answer:
        box(other, BRIX).press("Enter")
    assert answer.value.status == 409
    expect(panel(other, BRIX)).to_contain_text("Ines Okello wrote 14.5 here")
    expect(panel(other, BRIX)).to_contain_text("You typed 14.9")
    expect(state(other, BRIX)).to_have_text("conflict")
    expect(box(other, BRIX)).to_have_value("14.9")
    assert entries(ledger) == ["14.5"]
    with other.expect_response(ADDRESS) as answer:
        box(other, "cane").fill("1250")
        box(other, "cane").press("Enter")
    assert answer.value.status == 200
    assert entries(ledger, "cane") == ["1250"]
    box(other, BRIX).focus()
    other.keyboard.press("Enter")  # goes to the reason, and Record mine
    other.keyboard.press("6")
    other.keyboard.press("Enter")
    expect(saved(other, BRIX)).to_be_attached()
    assert entries(ledger) == ["14.5", "14.9"]
    other.context.close()


def test_one_keeps_what_another_wrote(page: Page, browser: Browser, ledger: Ledger):
    """B-45"""
    other = browser.new_context(base_url=ledger.address).new_page()
    for each, name in ((page, "ines"), (other, "tomas")):
        sign_in(each, name)
        open_sheet(each)
    type_in(page, BRIX, "14.5")
    expect(saved(page, BRIX)).to_be_attached()
    type_in(other, BRIX, "14.9")
    panel(other, BRIX).get_by_role("button", name="Keep 14.5").click()
    expect(box(other, BRIX)).to_have_value("14.5")
    expect(panel(other, BRIX)).to_have_count(0)
    expect(other.locator("#unsent")).to_be_empty()
    assert entries(ledger) == ["14.5"]
    other.context.close()


def test_held_enter_saves_a_cell_once(page: Page, ledger: Ledger):
    """F-27, B-49"""
    sign_in(page)
    open_sheet(page)
    box(page, BRIX).fill("14.5")
    with page.expect_response(ADDRESS):
        for _ in range(6):
            page.keyboard.down("Enter")
        page.keyboard.up("Enter")
    page.wait_for_load_state("networkidle")
    assert entries(ledger) == ["14.5"]


def test_a_double_click_corrects_once(page: Page, ledger: Ledger):
    """F-27, B-49"""
    sign_in(page)
    open_sheet(page)
    type_in(page, BRIX, "14.5")
    expect(saved(page, BRIX)).to_be_attached()
    type_in(page, BRIX, "14.7")
    page.locator(f'[name="reason:{BRIX}"]').select_option("figures exchanged")
    panel(page, BRIX).get_by_role("button", name="Correct").dblclick()
    page.wait_for_load_state("networkidle")
    expect(panel(page, BRIX)).to_have_count(0)
    assert entries(ledger) == ["14.5", "14.7"]


@WITHOUT_SCRIPT
@pytest.mark.parametrize("habit", ["double click", "reload", "back and resubmit"])
def test_without_script_a_sheet_is_saved_once(page: Page, ledger: Ledger, habit: str):
    """F-27, B-49"""
    sign_in(page)
    page.goto(SHEET)
    box(page, BRIX).fill("14.5")
    save = page.get_by_role("button", name="Save the sheet")
    if habit == "double click":
        save.dblclick()
    else:
        save.click()
    page.wait_for_url("**?saved*")
    if habit == "reload":
        page.reload()
    if habit == "back and resubmit":
        page.go_back()
        box(page, BRIX).fill("14.5")
        save.click()
        page.wait_for_load_state()
    assert entries(ledger) == ["14.5"]


def test_an_answer_that_is_lost_is_sent_again_and_kept_once(page: Page, ledger: Ledger):
    """F-30: the ledger had committed; the page says that it was not saved, and sends it again."""
    lost = []

    def lose(route):
        if lost:
            route.continue_()
            return
        lost.append(route.fetch().status)  # it arrives, and its answer does not
        route.abort("connectionreset")

    page.route(ADDRESS, lose)
    sign_in(page)
    open_sheet(page)
    type_in(page, BRIX, "14.5")
    expect(page.locator("#said")).to_contain_text("does not answer")
    assert lost == [200]
    assert entries(ledger) == ["14.5"]
    expect(box(page, BRIX)).to_have_value("14.5")
    expect(saved(page, BRIX)).to_be_attached()  # a second later, by itself
    assert entries(ledger) == ["14.5"]


def test_a_late_answer_does_not_overwrite_what_was_typed_since(page: Page, ledger: Ledger):
    """F-29, B-50: the answer to the first text comes three seconds late."""
    slow = []

    def delay(route):
        if not slow:
            slow.append(route)
            answer = route.fetch()
            time.sleep(3)
            route.fulfill(response=answer)
        else:
            route.continue_()

    page.route(ADDRESS, delay)
    sign_in(page)
    open_sheet(page)
    with page.expect_response(ADDRESS):
        type_in(page, BRIX, "145")  # which is refused
        type_in(page, BRIX, "14.5")
    expect(box(page, BRIX)).to_have_value("14.5")
    expect(saved(page, BRIX)).to_be_attached()
    expect(box(page, BRIX)).to_have_value("14.5")
    expect(box(page, BRIX)).not_to_have_attribute("aria-invalid", "true")
    assert entries(ledger) == ["14.5"]


def test_fifty_copies_of_a_cell_at_once_are_one_entry(page: Page, ledger: Ledger):
    """B-48, F-28: the network sends one request many times; all are told that it is saved."""
    sign_in(page)
    page.goto(SHEET)
    token = page.locator('#sheet [name="token"]').input_value()
    cookies = {cookie["name"]: cookie["value"] for cookie in page.context.cookies()}
    server = urlsplit(ledger.address)
    form = urlencode({"token": token, f"result:{BRIX}": "14.5", f"based_on:{BRIX}": ""})
    headers = {
        "Cookie": "; ".join(f"{name}={value}" for name, value in cookies.items()),
        "Origin": ledger.address, "X-Fragment": "sheet",
        "Content-Type": "application/x-www-form-urlencoded",
    }  # fmt: skip

    def send(_: int) -> int:
        connection = HTTPConnection(server.netloc, timeout=60)
        connection.request("POST", f"{SHEET}/cells", form, headers)
        status = connection.getresponse().status
        connection.close()
        return status

    with ThreadPoolExecutor(50) as threads:
        assert set(threads.map(send, range(50))) == {200}
    assert entries(ledger) == ["14.5"]
