"""Consignments of cane by keyboard: to cane received, the report by grower and the morning."""

from playwright.sync_api import Page, expect

from tests.browser.axe import findings
from tests.browser.hands import TODAY, sign_in
from tests.browser.test_book_stops import type_fields

SHIFT = f"{TODAY}/2"


def test_a_load_is_weighed_corrected_and_found_with_its_grower(page: Page):
    sign_in(page)
    page.goto(f"/books/consignments/{SHIFT}")
    assert findings(page) == []
    load = ("50001", "14:12", "G900", "G900-1", "river red", "Burnt")
    type_fields(page, *load, "77.5", "81.5", "19", "16", "15", "", "", "6")
    wrong = page.locator("#field-tare-wrong")
    expect(wrong).to_contain_text("The vehicle weighs more empty than full")
    page.get_by_label("Tare").fill("21.5")
    page.get_by_label("Tare").press("Enter")
    expect(page.get_by_text("The record is kept.")).to_be_visible()
    # by hand: 16 × 0.80 = 12.80, 19 × 0.82 = 15.58, 12.80 - 2.78 ÷ 2 = 11.41, of 56 t 6.390 t
    for worked in ("56.00", "12.80", "15.58", "11.41", "6.390"):
        expect(page.locator(".records tbody tr")).to_contain_text(worked)
    assert findings(page) == []

    page.locator(".records tbody a").first.press("Enter")
    page.get_by_label("Gross").fill("76.5")
    page.get_by_label("Why").fill("the ticket says so")
    page.get_by_label("Why").press("Enter")
    expect(page.get_by_text("The record is corrected.")).to_be_visible()
    assert findings(page) == []

    page.goto(f"/shifts/{SHIFT}")
    expect(page.locator('[id="cell-cane_received"]')).to_contain_text("55.0")

    page.goto(f"/books/consignments?first={TODAY}&last={TODAY}")
    expect(page.get_by_text("This is no account of payment.").first).to_be_visible()
    growers = page.get_by_role("table", name="By grower")
    row = growers.locator("tr", has=page.get_by_role("rowheader", name="G900"))
    expect(row.locator("td")).to_have_text(
        ["1", "1", "55.00", "15.00", "12.80", "84.21", "6.0", "11.41", "6.28"]
    )
    expect(page.get_by_text("Tickets missing")).to_contain_text("40324")
    assert findings(page) == []


def test_the_morning_report_holds_cane_received_against_cane_crushed(page: Page):
    sign_in(page, "ruth")
    page.goto("/days/2026-10-27")
    title = "Cane received less growth of the yard, above cane crushed"
    row = page.locator("tr", has=page.get_by_role("rowheader", name=title))
    # the weighbridge was made to read 0.15 % over the scale at the carrier
    expect(row.first.locator("td.num").first).to_contain_text("0.1")
