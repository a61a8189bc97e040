"""A sheet typed fast, with the number pad, on a slow network; and each change taken back."""

import pytest
from playwright.sync_api import Page, expect

from app.database import open_database, writing
from app.ledger import chain, mills, people, tables
from tests.browser.conftest import NOW, Ledger
from tests.browser.hands import (
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

OPEN_BOXES = """() => [...document.querySelectorAll("input[name^='result:']")].filter(
    (box) => !box.closest("details:not([open])")).length"""
HOURLY = ("clear_juice_ph", "limed_juice_ph", "mixed_juice_ph")


@pytest.fixture
def sheet(page: Page) -> Page:
    sign_in(page)
    open_sheet(page)
    return page


def test_five_saved_edits_undone_are_five_more_entries(sheet: Page, ledger: Ledger):
    """C-09: undoing is a new entry with its reason, never an erasure; redoing too."""
    for measure in ("cane", "imbibition", "lime", "mixed_juice", "bagasse"):
        type_in(sheet, measure, "12")
        expect(saved(sheet, measure)).to_be_attached()
    sheet.keyboard.press("Control+z")
    expect(box(sheet, "bagasse")).to_have_value("")
    assert focused(sheet) == "bagasse"
    for _ in range(4):
        sheet.keyboard.press("Control+z")
    expect(box(sheet, "cane")).to_have_value("")
    expect(sheet.locator("[data-state=sending]")).to_have_count(0)
    written = entries(ledger)
    assert len(written) == 10
    assert {reason for _, _, reason in written[5:]} == {"undone"}
    assert all(typed == "" for _, typed, _ in written[5:])
    sheet.keyboard.press("Control+z")
    expect(sheet.locator("#said")).to_have_text("There is nothing to undo.")
    sheet.keyboard.press("Control+y")
    expect(box(sheet, "cane")).to_have_value("12")
    expect(saved(sheet, "cane")).to_be_attached()
    assert entries(ledger)[10] == ("cane", "12", "done again")


def take_each_hour(ledger: Ledger) -> None:
    """Let the mill take some results each hour of a shift."""
    engine = open_database(ledger.database_url)
    with writing(engine) as connection:
        mill, noor = mills.the_mill(connection), people.person_named(connection, "noor")
        for measure in HOURLY:
            values = {
                "mill_id": mill.id, "measure": measure, "since": TODAY, "taken": "due",
                "grain": "shift", "every": 1, "rule": "mean", "usual_low": 5, "usual_high": 9,
                "hard_low": 2, "hard_high": 13, "reason": "a closer watch",
                "recorded_by": noor.id, "recorded_at": NOW,
            }  # fmt: skip
            chain.add(connection, tables.sampling, values, by=noor, at=NOW)
    engine.dispose()


def test_a_whole_sheet_is_filled_with_the_number_pad_and_enter_alone(page: Page, ledger: Ledger):
    """C-01: samples of each hour and all else; every box of the sheet that is not folded."""
    take_each_hour(ledger)
    sign_in(page)
    open_sheet(page)
    page.keyboard.press("Control+Home")
    typed: dict[str, str] = {}
    for _ in range(500):
        here = focused(page)
        if here in typed:
            break
        typed[here] = "7.1" if "_ph" in here else "12"
        page.keyboard.type(typed[here])
        page.keyboard.press("NumpadEnter")
    assert len(typed) == page.evaluate(OPEN_BOXES) > 100
    expect(page.locator("[data-state=sending]")).to_have_count(0)
    refused = {key for key in typed if state(page, key).count()}
    results = ledger.results(TODAY, 2)
    assert {key: results.get(key) for key in typed.keys() - refused} == {
        key: text for key, text in typed.items() if key not in refused
    }
    assert all(f"{name}-8" in results for name in HOURLY)


def test_half_typed_text_and_caret_survive_every_answer(page: Page):
    """C-03: ten characters a second, answers 300 ms late, refusals among them."""
    sign_in(page)
    open_sheet(page)
    page.context.new_cdp_session(page).send(
        "Network.emulateNetworkConditions",
        {"offline": False, "latency": 300, "downloadThroughput": -1, "uploadThroughput": -1},
    )
    texts = ("1845", "600,25", "12x", "1900.5", "0.123456789", "33")
    page.keyboard.press("Control+Home")
    order = []
    for text in texts:
        order.append(focused(page))
        page.keyboard.type(text, delay=100)
        page.keyboard.press("Enter")
    half = focused(page)
    page.keyboard.type("12.3456789012", delay=100)
    page.keyboard.press("F2")
    for _ in range(3):
        page.keyboard.press("ArrowLeft", delay=100)
    expect(page.locator("[data-state=sending]")).to_have_count(0)
    for measure, text in zip(order, texts, strict=True):
        expect(box(page, measure)).to_have_value(text)
    expect(box(page, half)).to_have_value("12.3456789012")
    assert box(page, half).evaluate("box => box.selectionStart") == 10
    assert focused(page) == half


def test_few_requests_carry_what_a_fast_typist_types(page: Page, ledger: Ledger):
    """What waits while a request is on its way goes together in the next."""
    sign_in(page)
    open_sheet(page)
    page.context.new_cdp_session(page).send(
        "Network.emulateNetworkConditions",
        {"offline": False, "latency": 500, "downloadThroughput": -1, "uploadThroughput": -1},
    )
    sent: list[str] = []
    page.on("request", lambda request: sent.append(request.url))
    page.keyboard.press("Control+Home")
    for _ in range(12):
        page.keyboard.type("12")
        page.keyboard.press("Enter")
    expect(page.locator("[data-state=sending]")).to_have_count(0)
    assert len(sent) <= 4
    assert len(entries(ledger)) + page.locator("[data-state=refused]").count() == 12
