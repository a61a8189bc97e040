"""Stock-taking by vessel, by keyboard: tables, dips, the group on the sheet, and the report."""

from playwright.sync_api import Locator, Page, expect

from tests.browser.axe import findings
from tests.browser.hands import TODAY, sign_in

SHIFT = f"{TODAY}/2"


def type_fields(page: Page, *texts: str) -> None:
    """Fill the form from its first field on, which has the keyboard, and send it."""
    for turn, text in enumerate(texts):
        if turn:
            page.keyboard.press("Tab")
        page.keyboard.type(text)
    page.keyboard.press("Enter")


def correct(page: Page, record: Locator, field: str, text: str) -> None:
    """Correct one field of a record, and say why."""
    record.press("Enter")
    page.get_by_label(field).fill(text)
    why = page.get_by_label("Why")
    why.fill("tape slipped")
    why.press("Enter")
    expect(page.get_by_text("The record is corrected.")).to_be_visible()


def test_the_vessels_of_a_group_are_dipped_and_make_its_stock(page: Page):
    sign_in(page)
    page.goto(f"/books/dips/{SHIFT}")
    expect(page.get_by_text("confined spaces")).to_be_visible()
    assert findings(page) == []
    type_fields(page, "Y1", "14:10", "5.2", "", "60", "64", "84")
    expect(page.locator("#field-level-wrong")).to_contain_text("goes from 0 to 5 m")
    assert findings(page) == []
    level = page.get_by_label("Level")
    expect(level).to_have_value("5.2")
    level.fill("2.5")
    level.press("Enter")
    expect(page.get_by_text("The record is kept.")).to_be_visible()
    # half of 110.2 m³; the other tank of the group is not dipped yet
    expect(page.locator(".records tbody")).to_contain_text("55.10")
    expect(page.locator(".gives")).to_contain_text("none: not written yet, Y2")
    type_fields(page, "Y2", "14:12", "1", "", "62", "65", "83")
    expect(page.get_by_text("The record is kept.")).to_be_visible()
    expect(page.locator(".gives")).to_contain_text("77.1")  # 55.10 + 22.04
    assert findings(page) == []

    correct(page, page.locator(".records tbody a").last, "Level", "1.5")
    page.goto(f"/shifts/{SHIFT}/figures/syrup_tanks_stock")
    expect(page.locator("main")).to_contain_text("88.2")

    see_growth(page)


def see_growth(page: Page) -> None:
    """Find the last stock-taking in the report, and what grew since the one before."""
    page.goto(f"/books/dips?first=2026-10-26&last={TODAY}")
    stock = page.get_by_role("table", name="Stock by vessel")
    expect(stock).to_contain_text("shift 2 of Wednesday 28 October 2026")
    syrup = stock.locator("tbody", has_text="Syrup tanks")
    together = syrup.locator("tr", has_text="Together")
    expect(together.locator("td").first).to_have_text("88.2")
    growth = syrup.locator("tr", has_text="Growth since 27 Oct")
    expect(growth.locator("td").first).to_have_text("\u221279.1")  # from 167.3
    whole = stock.locator("tbody").last
    expect(whole.locator("td").first).to_have_text("–")  # of other groups nothing was dipped
    assert findings(page) == []


def test_a_table_of_volumes_is_surveyed_anew(page: Page):
    sign_in(page)
    page.goto(f"/books/calibrations/{SHIFT}")
    assert findings(page) == []
    type_fields(page, "Y1", "Syrup tank 1", "Syrup tanks", "0=0; 5=110; 4=120", "by tape")
    expect(page.locator("#field-table-wrong")).to_contain_text("Levels rise from pair to pair")
    assert findings(page) == []
    table = page.get_by_label("Table of volumes")
    expect(table).to_have_value("0=0; 5=110; 4=120")
    table.fill("0=0; 5=100")
    page.get_by_label("How it was surveyed").press("Enter")
    expect(page.get_by_text("The record is kept.")).to_be_visible()
    page.goto(f"/books/dips/{SHIFT}")
    type_fields(page, "Y1", "14:10", "2.5", "", "60", "64", "84")
    expect(page.locator(".records tbody")).to_contain_text("50.00")
    page.goto(f"/books/calibrations?first=2026-10-26&last={TODAY}")
    assert findings(page) == []
