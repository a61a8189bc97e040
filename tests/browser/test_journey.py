"""A chemist's morning, a manager's and an auditor's, in the browser they would use."""

import csv
import math
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from demo_data.season import PASSWORD
from tests.browser.conftest import Ledger
from tests.browser.hands import SHEET, TODAY, YESTERDAY, box, sign_in


def test_the_morning_report_opens_down_to_a_figure(page: Page):
    sign_in(page, "ruth")
    page.get_by_role("link", name="Yesterday", exact=True).first.click()
    page.wait_for_url(f"**/days/{YESTERDAY}")
    expect(page.get_by_role("heading", name="Morning report")).to_contain_text("27 October 2026")
    number = page.locator(f'a[href="/days/{YESTERDAY}/figures/pol_extraction"]').first
    printed = number.inner_text()
    assert 90 < float(printed) < 100
    number.click()
    expect(page.locator(".headline")).to_contain_text(printed)
    formula = page.locator(".formula math")
    expect(formula).to_have_attribute("alttext", "100 × pol in mixed juice ÷ pol in cane")


def download_season(page: Page, folder: Path) -> list[dict[str, str]]:
    page.get_by_role("link", name="Season", exact=True).first.click()
    with page.expect_download() as download:
        page.get_by_role("link", name="CSV of the season").click()
    path = folder / "season.csv"
    download.value.save_as(path)
    with path.open(encoding="utf-8", newline="") as lines:
        return list(csv.DictReader(lines))


def test_the_season_is_recomputed_from_its_file(page: Page, tmp_path: Path):
    sign_in(page, "samir")
    rows = download_season(page, tmp_path)
    totals = {row["name"]: row for row in rows if row["record"] == "total"}
    parts: dict[str, dict[tuple[str, str], dict[str, str]]] = {}
    for row in rows:
        if row["record"] == "shift":
            parts.setdefault(row["name"], {})[row["day"], row["shift"]] = row
    entries = {
        (row["name"], row["day"], row["shift"]): float(row["value"])
        for row in rows
        if row["record"] == "book" or (row["record"] == "entry" and row["state"] == "number")
    }
    sums_are_totals(parts, totals)
    parts_are_entries_worked_out(parts["pol_in_sugar_bagged"], entries)
    losses_follow(totals)


def sums_are_totals(parts, totals):
    added = {name for name in parts if totals[name]["value"]}
    assert {"cane", "pol_in_mixed_juice", "pol_in_bagasse", "pol_in_filter_cake"} <= added
    for name in added:
        total = math.fsum(float(row["value"]) for row in parts[name].values())
        assert float(totals[name]["value"]) == pytest.approx(total, rel=1e-9), name
    assert all(totals[name]["missing"] for name in parts.keys() - added)


def parts_are_entries_worked_out(parts, entries):
    analysed = {key: row for key, row in parts.items() if row["state"] == "analysed"}
    assert len(analysed) > 400
    for key, row in analysed.items():
        worked_out = entries["sugar", *key] * entries.get(("sugar_pol", *key), 0) / 100
        assert float(row["value"]) == pytest.approx(worked_out, rel=1e-9), key


def losses_follow(totals):
    tonnes = {
        place: float(totals[f"pol_in_{place}"]["value"])
        for place in ("mixed_juice", "sugar", "bagasse", "filter_cake", "final_molasses")
    }
    pol_in_cane = tonnes.pop("mixed_juice") + tonnes["bagasse"]
    recovery = 100 * tonnes["sugar"] / pol_in_cane
    undetermined = 100 * (pol_in_cane - sum(tonnes.values())) / pol_in_cane
    assert float(totals["overall_recovery"]["value"]) == pytest.approx(recovery, rel=1e-9)
    assert float(totals["undetermined_loss"]["value"]) == pytest.approx(undetermined, rel=1e-6)


@pytest.mark.browser_context_args(java_script_enabled=False)
def test_without_script_the_sheet_is_a_form(page: Page, ledger: Ledger):
    sign_in(page)
    page.goto(SHEET)
    box(page, "cane").fill("1845,5")
    box(page, "clear_juice_ph").fill("7.1")
    box(page, "clear_juice_ph").press("Enter")
    page.wait_for_url(f"**{SHEET}?saved")
    expect(page.locator("main")).to_contain_text("Saved")
    expect(box(page, "cane")).to_have_value("1845,5")
    assert ledger.results(TODAY, 2) == {"cane": "1845,5", "clear_juice_ph": "7.1"}


def test_another_computer_of_the_network_uses_plain_http(page: Page, ledger: Ledger):
    port = ledger.address.rpartition(":")[2]
    page.goto(f"http://mill.test:{port}/sign-in")
    page.locator("[name=username]").fill("ines")
    page.locator("[name=password]").fill(PASSWORD)
    page.locator("[name=password]").press("Enter")
    page.wait_for_url(f"http://mill.test:{port}/")
    page.goto(f"http://mill.test:{port}{SHEET}")
    box(page, "cane").fill("1800")
    with page.expect_response(f"**{SHEET}/cells") as saved:
        box(page, "cane").press("Enter")
    assert saved.value.ok
    assert ledger.results(TODAY, 2) == {"cane": "1800"}


@pytest.mark.parametrize(
    "path",
    [
        "/", SHEET, f"/shifts/{YESTERDAY}/3", f"/shifts/{YESTERDAY}/3/cells/cane",
        f"/days/{YESTERDAY}", "/weeks/2026-W43", "/seasons/2026", "/manual",
        f"/days/{YESTERDAY}/figures/undetermined_loss", "/nothing-here",
    ],
)  # fmt: skip
def test_a_page_fits_a_telephone(page: Page, path: str):
    page.set_viewport_size({"width": 390, "height": 844})
    sign_in(page)
    answer = page.goto(path)
    assert answer.status == (404 if "nothing" in path else 200)
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
