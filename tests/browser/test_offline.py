"""The network fails, the server dies, the browser is killed: nothing that was typed is lost."""

import shutil
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserType, Error, Page, expect

from tests.browser.conftest import Ledger
from tests.browser.hands import (
    SHEET,
    TODAY,
    box,
    entries,
    focused,
    open_sheet,
    saved,
    sign_in,
    state,
    type_in,
)
from tests.browser.program import Program
from tests.browser.test_sheet import results_of_shift

OTHER = f"/shifts/{TODAY}/1"


@pytest.fixture
def program(demonstration: Path, tmp_path: Path) -> Iterator[tuple[Program, Ledger]]:
    """A ledger that can be killed and started again, and where its entries are."""
    url = f"sqlite:///{shutil.copy(demonstration, tmp_path / 'own.db')}"
    with Program(url) as running:
        yield running, Ledger(running.address, url)


def unsent(page: Page) -> str:
    return page.locator("#unsent").inner_text()


def kept(page: Page) -> int:
    """How many values the browser keeps."""
    return page.evaluate("localStorage.length")


def cut(page: Page) -> None:
    page.context.set_offline(True)


def mend(page: Page) -> None:
    page.context.set_offline(False)


def test_the_head_counts_what_is_not_sent_until_the_network_is_back(page: Page, ledger: Ledger):
    """B-55: each box says its state; without a click the count falls to nothing."""
    sign_in(page)
    open_sheet(page)
    cut(page)
    for count, measure in enumerate(("cane", "imbibition", "lime"), start=1):
        type_in(page, measure, "12")
        expect(state(page, measure)).to_have_text("not sent")
        assert unsent(page).startswith(f"{count} not in the ledger yet")
    assert kept(page) == 3
    mend(page)
    expect(page.locator("#unsent")).to_be_empty()
    for measure in ("cane", "imbibition", "lime"):
        expect(saved(page, measure)).to_be_attached()
    assert kept(page) == 0
    assert [typed for _, typed, _ in entries(ledger)] == ["12", "12", "12"]


def test_what_was_not_sent_outlives_the_page(page: Page, ledger: Ledger):
    """B-56: put back into its boxes as not sent, and sent: one entry each."""
    page.on("dialog", lambda dialog: dialog.accept())
    sign_in(page)
    open_sheet(page)
    page.route(f"**{SHEET}/cells", lambda route: route.abort())
    type_in(page, "cane", "1845")
    type_in(page, "lime", "1.5")
    box(page, "imbibition").focus()
    page.keyboard.type("600")  # half typed
    page.reload()
    expect(page.locator("html.scripted")).to_be_attached()
    for measure, text in (("cane", "1845"), ("lime", "1.5"), ("imbibition", "600")):
        expect(box(page, measure)).to_have_value(text)
        expect(state(page, measure)).to_have_text("not sent")
    page.unroute(f"**{SHEET}/cells")
    page.get_by_role("button", name="Try now").click()
    expect(page.locator("#unsent")).to_be_empty()
    assert sorted(typed for _, typed, _ in entries(ledger)) == ["1.5", "1845", "600"]
    assert kept(page) == 0


def test_what_was_not_sent_outlives_the_browser(
    browser_type: BrowserType, browser_type_launch_args, tmp_path: Path, ledger: Ledger
):
    """B-56: the browser is killed; opened again, the same person goes on."""

    def opened() -> Page:
        context = browser_type.launch_persistent_context(
            tmp_path / "profile", base_url=ledger.address, **browser_type_launch_args
        )
        return context.pages[0]

    page = opened()
    sign_in(page)
    open_sheet(page)
    page.route(f"**{SHEET}/cells", lambda route: route.abort())
    type_in(page, "cane", "1845")
    expect(state(page, "cane")).to_have_text("not sent")
    page.wait_for_timeout(6000)  # a browser writes its storage to the disk within seconds
    with suppress(Error):  # which is all that it answers
        page.context.new_cdp_session(page).send("Browser.crash")
    page = opened()
    sign_in(page)
    expect(page.locator("#unsent-notice")).to_contain_text("1 result of yours not sent yet")
    page.locator("#unsent-notice").get_by_role("link").click()
    expect(saved(page, "cane")).to_be_attached()
    assert [typed for _, typed, _ in entries(ledger)] == ["1845"]
    page.context.close()


def test_nobody_sends_what_another_typed(page: Page, ledger: Ledger):
    """B-57, B-61: signing out asks; the next person is told, and nothing is sent."""
    page.on("dialog", lambda dialog: dialog.accept())
    sign_in(page)
    open_sheet(page)
    page.route(f"**{SHEET}/cells", lambda route: route.abort())
    type_in(page, "cane", "1845")
    expect(state(page, "cane")).to_have_text("not sent")
    page.get_by_role("button", name="Sign out").click()
    asked = page.get_by_role("dialog")
    expect(asked).to_contain_text("1 result of yours not sent yet")
    asked.get_by_role("button", name="Stay").click()
    expect(asked).to_be_hidden()
    page.get_by_role("button", name="Sign out").click()
    asked.get_by_role("button", name="keep them").click()
    page.wait_for_url("**/sign-in*")
    page.unroute(f"**{SHEET}/cells")
    sign_in(page, "tomas")
    open_sheet(page)
    expect(page.locator("#unsent-notice")).to_contain_text("Ines Okello has 1 result")
    expect(box(page, "cane")).to_have_value("")
    page.wait_for_timeout(1500)
    assert entries(ledger) == []
    page.get_by_role("button", name="Sign out").click()
    page.wait_for_url("**/sign-in*")
    sign_in(page)
    open_sheet(page)
    expect(saved(page, "cane")).to_be_attached()
    assert [typed for _, typed, _ in entries(ledger)] == ["1845"]


def test_signing_out_throws_away_what_is_not_wanted(page: Page, ledger: Ledger):
    """B-61: the browser keeps nothing then."""
    page.on("dialog", lambda dialog: dialog.accept())
    sign_in(page)
    open_sheet(page)
    type_in(page, "bagasse_moisture", "145")
    expect(state(page, "bagasse_moisture")).to_have_text("refused")
    page.get_by_role("button", name="Sign out").click()
    page.get_by_role("button", name="throw them away").click()
    page.wait_for_url("**/sign-in*")
    assert kept(page) == 0
    assert entries(ledger) == []


def test_a_dead_server_is_asked_seldom(page: Page, ledger: Ledger):
    """B-60: at most 20 requests of a page in ten minutes, however much is typed meanwhile."""
    page.clock.install()
    sign_in(page)
    open_sheet(page)
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    dead = ["dead"]
    page.route(f"**{SHEET}/cells", lambda route: route.abort() if dead else route.continue_())

    def minute() -> None:
        for _ in range(6):
            page.clock.run_for(10_000)
            page.wait_for_timeout(50)  # for the network, which knows no other clock

    for n in range(10):
        type_in(page, ("cane", "lime", "imbibition")[n % 3], str(12 + n))
        minute()
    assert 10 <= len(asked) <= 20
    dead.clear()
    minute()
    minute()
    expect(page.locator("#unsent")).to_be_empty()
    assert {typed for _, typed, _ in entries(ledger)} == {"21", "19", "20"}


def test_a_correction_without_a_network_asks_its_reason_and_is_sent_later(
    page: Page, ledger: Ledger
):
    before = ledger.results(TODAY, 1)["bagasse_pol"]
    sign_in(page)
    open_sheet(page, OTHER)
    cut(page)
    type_in(page, "bagasse_pol", "1.93")
    page.keyboard.press("2")
    page.keyboard.press("Enter")
    expect(state(page, "bagasse_pol")).to_have_text("not sent")
    assert ledger.results(TODAY, 1)["bagasse_pol"] == before
    mend(page)
    expect(saved(page, "bagasse_pol")).to_be_attached()
    assert ledger.results(TODAY, 1)["bagasse_pol"] == "1.93"


def test_a_colleague_s_result_meanwhile_is_shown_and_not_overwritten(
    page: Page, browser: Browser, ledger: Ledger
):
    """B-45, B-56: what was typed without a network was based on an empty box."""
    sign_in(page)
    open_sheet(page)
    cut(page)
    type_in(page, "cane", "1845")
    expect(state(page, "cane")).to_have_text("not sent")
    other = browser.new_context(base_url=ledger.address).new_page()
    sign_in(other, "tomas")
    open_sheet(other)
    type_in(other, "cane", "1900")
    expect(saved(other, "cane")).to_be_attached()
    mend(page)
    expect(state(page, "cane")).to_have_text("conflict")
    expect(box(page, "cane")).to_have_value("1845")
    assert [typed for _, typed, _ in entries(ledger)] == ["1900"]
    other.context.close()


def test_a_shift_is_typed_through_a_cut_and_a_dead_server(page: Page, program):
    """B-55, B-56: by keyboard alone, offline in the middle, then the server is killed."""
    running, ledger = program
    results = results_of_shift(ledger)
    sign_in(page, at=running.address)
    open_sheet(page, f"{running.address}{SHEET}")
    happens = {40: lambda: cut(page), 110: lambda: mend(page)}
    happens |= {160: running.kill, 230: running.start}
    left = dict(results)
    page.keyboard.press("Control+Home")
    for step in range(page.locator("input[name^='result:']").count()):
        happens.get(step, lambda: None)()
        here = focused(page)
        if here in left:
            page.keyboard.type(left.pop(here))
        page.keyboard.press("Tab")
    assert left == {}
    page.get_by_role("button", name="Save the sheet").press("Enter")
    expect(page.locator("#unsent")).to_be_empty(timeout=70_000)
    expect(page.locator("[data-state]")).to_have_count(0)
    found = ledger.results(TODAY, 2)
    assert {name: found.get(name) for name in results} == results
    assert len(entries(ledger)) == len(results)  # each once
    assert kept(page) == 0
