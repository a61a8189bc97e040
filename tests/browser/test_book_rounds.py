"""Rounds of juice house, boilers and water: typed by keyboard, to the figure each of them feeds."""

from typing import NamedTuple

import pytest
from playwright.sync_api import Page, expect

from tests.browser.axe import findings
from tests.browser.hands import TODAY, sign_in
from tests.browser.test_book_stops import type_fields

SHIFT = f"{TODAY}/2"


class Case(NamedTuple):
    """What is typed into a book from its first field on, and where it is found again.

    `gives` is the result with its value; `figure` one of the shift that it feeds, as printed.
    """

    book: str
    typed: tuple[str, ...]
    gives: tuple[str, str]
    figure: tuple[str, str]


CASES = (
    Case("clarifier", ("14:30", "C1", "", "102.4"), ("Limed juice, temperature", "102.4"),
         ("limed_juice_temperature", "102.4")),
    Case("dosing", ("14:30", "Lime", "421", "tank 1"), ("Lime", "0.421"), ("lime", "0.421")),
    Case("filters", ("14:30", "F1", "13", "52", "1.62", "74.10"), ("Filter cake, pol", "1.62"),
         ("filter_cake_pol", "1.62")),
    Case("evaporator", ("14:30", "Effect 1", "19.85", "109.2", "107.4", "130.5", "116.0"),
         ("Effect 1, brix", "19.85"), ("effect_1_brix", "19.85")),
    Case("boilers", ("14:30", "B2", "43.6", "428", "103", "9.4", "196", "6.4", "29"),
         ("Flue gas, oxygen", "6.4"), ("flue_gas_oxygen", "6.4")),
    Case("meters", ("Power generated", "G-1", "100", "152.5", ""), ("Power generated", "52.5"),
         ("power", "52.5")),
    Case("water", ("14:30", "Process condensate", "6", "7.1"),
         ("Process condensate, sugar trace", "6"), ("condensate_sugar_trace", "6.0")),
    Case("effluent", ("14:30", "640", "6.8", "36", "1700", "", "220", "900", "O-1"),
         ("Effluent, volume", "640"), ("effluent_demand_from_sugar", "59")),
)  # fmt: skip


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.book)
def test_a_reading_is_typed_and_found_in_the_figure_it_feeds(page: Page, case: Case):
    sign_in(page)
    page.goto(f"/books/{case.book}/{SHIFT}")
    assert findings(page) == []
    for turn, text in enumerate(case.typed):
        if turn:
            page.keyboard.press("Tab")
        page.keyboard.type(text)
    page.keyboard.press("Enter")
    expect(page.get_by_text("The record is kept.")).to_be_visible()
    title, value = case.gives
    given = page.locator(".gives tbody tr").filter(has=page.get_by_role("link", name=title))
    expect(given.first).to_contain_text(value)
    assert findings(page) == []

    page.goto(f"/books/{case.book}?last={TODAY}")
    expect(page.locator(".records tbody tr").last).to_contain_text("Ines Okello")
    assert findings(page) == []

    name, printed = case.figure
    page.goto(f"/shifts/{SHIFT}/figures/{name}")
    expect(page.locator(".headline strong")).to_have_text(printed)


def test_a_meter_does_not_run_backwards(page: Page):
    sign_in(page)
    page.goto(f"/books/meters/{SHIFT}")
    for turn, text in enumerate(("Steam raised", "SM-1", "900", "850")):
        if turn:
            page.keyboard.press("Tab")
        page.keyboard.type(text)
    page.keyboard.press("Enter")
    expect(page.locator("#field-closing-wrong")).to_contain_text("A meter does not run backwards")
    expect(page.get_by_label("Reading, closing")).to_have_value("850")


def correct(page: Page, label: str, text: str, why: str) -> None:
    """Correct the last record on the page of a shift."""
    page.locator(".records tbody tr").last.locator("a").first.press("Enter")
    page.get_by_label(label).fill(text)
    page.get_by_label("Why").fill(why)
    page.get_by_label("Why").press("Enter")
    expect(page.get_by_text("The record is corrected.")).to_be_visible()


def test_vapour_of_which_the_pressure_is_read_has_the_temperature_of_saturation(page: Page):
    """16.0 kPa saturates at 55.3 °C, 20.0 kPa at 60.1 °C: IAPWS-IF97."""
    sign_in(page)
    page.goto(f"/books/evaporator/{SHIFT}")
    type_fields(page, "14:40", "Effect 3", "38.2", "", "", "16.0")
    expect(page.get_by_text("The record is kept.")).to_be_visible()
    line = page.locator(".records tbody tr").last
    expect(line).to_contain_text("55.3")
    correct(page, "Vapour pressure", "20.0", "the other gauge")
    page.goto(f"/books/evaporator/{SHIFT}")
    expect(line).to_contain_text("60.1")
    expect(page.locator(".gives")).to_contain_text("Effect 3, vapour pressure, absolute")

    page.goto("/books/evaporator?first=2026-10-26&last=2026-10-28")
    scaling = page.get_by_role("table", name="How the tubes scale")
    expect(scaling.locator("tbody th")).to_have_text(["26 Oct", "27 Oct"])
    assert findings(page) == []
    first_effect = scaling.locator("tbody tr").nth(1).locator("td a").first
    printed = first_effect.inner_text()
    first_effect.click()
    expect(page.locator(".headline strong")).to_have_text(printed)


def test_sugar_in_boiler_water_is_told_on_the_sheet_and_in_the_morning_report(page: Page):
    sign_in(page)
    page.goto(f"/books/water/{SHIFT}")
    type_fields(page, "14:35", "Boiler feed water", "45", "6.2")
    expect(page.get_by_text("The record is kept.")).to_be_visible()
    said = page.get_by_text("Sugar in water, Boiler feed water: 1 trace above the usual, 45 mg/kg.")
    for address in (f"/shifts/{SHIFT}", f"/days/{TODAY}"):
        page.goto(address)
        expect(said).to_be_visible()
        expect(page.get_by_text("Not every one says what was done.")).to_be_visible()
    assert findings(page) == []

    page.get_by_role("link", name="Sugar traces in water").click()
    alarms = page.get_by_role("table", name="Sugar above the usual, and what was done")
    expect(alarms.locator("tbody tr").first).to_contain_text("nothing is written")
    assert findings(page) == []
    page.goto(f"/books/water/{SHIFT}")
    correct(page, "What was done", "condensate of effect 1 to drain", "done meanwhile")
    page.goto(f"/books/water?last={TODAY}")
    expect(alarms.locator("tbody tr").first).to_contain_text("condensate of effect 1 to drain")
    page.goto(f"/days/{TODAY}")
    expect(said).to_be_visible()
    expect(page.get_by_text("Not every one says what was done.")).to_have_count(0)
