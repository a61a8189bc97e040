"""A chemist brings a season's history in from a workbook: the pages, by mouse and keyboard."""

import io
from datetime import date

import xlsxwriter
from playwright.sync_api import Page, expect

from tests.browser.axe import findings
from tests.browser.hands import sign_in

DAY = date(2026, 10, 28)


def workbook(*rows) -> dict:
    """A workbook as a browser sends it."""
    out = io.BytesIO()
    book = xlsxwriter.Workbook(out)
    sheet = book.add_worksheet("Laboratory")
    for n, row in enumerate(rows):
        sheet.write_row(n, 0, row)
    book.close()
    kind = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
    return {"name": "laboratory.xlsx", "mimeType": kind, "buffer": out.getvalue()}


def test_what_is_wrong_with_a_workbook_is_said_and_nothing_of_it_is_written(page: Page, ledger):
    """C-20: all rows are checked first, and nothing is written until it is accepted."""
    sign_in(page)
    page.goto("/plant")
    page.get_by_role("link", name="Imports").click()
    assert findings(page) == []
    headings = ["Date", "Shift", "Steam", "Electricity"]
    page.get_by_label("File").set_input_files(
        workbook(headings, ["28/10/2026", 1, 180.5, 160], ["28/10/2026", 9, 180, 160])
    )
    page.get_by_role("button", name="Read it").press("Enter")
    expect(page.get_by_label("Column A, Date, is")).to_have_value("Day")
    expect(page.get_by_label("Column D, Electricity, is")).to_have_value("")
    assert findings(page) == []
    page.get_by_label("Column D, Electricity, is").fill("Treacle")
    page.get_by_role("button", name="Check all 2 rows").press("Enter")
    expect(page.locator("#column-3-wrong")).to_contain_text("There is nothing called Treacle")
    assert findings(page) == []
    page.get_by_label("Column D, Electricity, is").fill("power")
    page.get_by_role("button", name="Check all 2 rows").press("Enter")
    expect(page.get_by_text("1 row of 2 cannot be brought in, so nothing is.")).to_be_visible()
    expect(page.locator("#faults tbody")).to_contain_text("Shifts of this mill are numbered 1 to 3")
    assert findings(page) == []
    with page.expect_download() as download:
        page.get_by_role("link", name="These rows as CSV, with reasons").click()
    rejected = download.value.path().read_text("utf-8")
    assert rejected.splitlines()[1].startswith("28/10/2026,9,180,160,3,")
    assert "steam" not in ledger.results(DAY, 1)


def test_what_is_accepted_stands_on_the_sheet(page: Page, ledger):
    """C-20"""
    sign_in(page)
    page.goto("/imports")
    headings = ["Date", "Shift", "Steam", "power"]
    page.get_by_label("File").set_input_files(workbook(headings, ["28/10/2026", 1, 180.5, 160]))
    page.get_by_role("button", name="Read it").press("Enter")
    page.get_by_role("button", name="Check 1 row").press("Enter")
    page.get_by_role("button", name="Accept: write all 2").press("Enter")
    expect(page.get_by_text("2 were written.")).to_be_visible()
    assert findings(page) == []
    assert ledger.results(DAY, 1)["steam"] == "180.5"
    page.goto(f"/shifts/{DAY}/1")
    expect(page.locator('input[name="result:power"]')).to_have_value("160")


def test_a_wide_table_fits_a_phone(page: Page):
    sign_in(page)
    page.set_viewport_size({"width": 390, "height": 844})
    page.goto("/imports")
    rows = [["Day", "Shift", *(f"Column of a long name, number {n}" for n in range(30))]]
    rows += [[f"2026-06-{1 + n // 3:02}", n % 3 + 1, *range(30)] for n in range(60)]
    page.get_by_label("File").set_input_files(workbook(*rows))
    page.get_by_role("button", name="Read it").click()
    page.get_by_text("The first rows").click()
    width = page.evaluate("document.documentElement.scrollWidth")
    assert width <= 390
    assert findings(page) == []
