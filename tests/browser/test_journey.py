"""A chemist's morning, a manager's and an auditor's, in the browser they would use."""

import csv
import math
from datetime import date
from pathlib import Path

import pytest
from playwright.sync_api import Locator, Page, expect

from app.plant.measures import MEASURES, SHIFT
from demo_data.season import PASSWORD
from tests.browser.conftest import Ledger

TODAY, YESTERDAY = date(2026, 10, 28), date(2026, 10, 27)
SHEET = f"/shifts/{TODAY}/2"


def sign_in(page: Page, username: str = "ines") -> None:
    page.goto("/sign-in")
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
            page.keyboard.press("Enter" if MEASURES[here].prop == "weight" else "Tab")
        assert saved.value.ok, here
    pytest.fail(f"the keyboard does not come to {sorted(left)}")


def results_of_shift(ledger: Ledger) -> dict[str, str]:
    """What is due each shift, as it was yesterday at this time."""
    return {
        name: typed
        for name, typed in ledger.results(YESTERDAY, 2).items()
        if MEASURES[name].due and MEASURES[name].grain == SHIFT
    }


def test_a_shift_is_typed_with_the_keyboard_alone(page: Page, ledger: Ledger):
    results = results_of_shift(ledger)
    assert len(results) > 50
    sign_in(page)
    page.get_by_role("link", name="Open shift").first.press("Enter")
    page.wait_for_url(f"**{SHEET}")
    page.wait_for_load_state()
    type_sheet(page, results)
    assert ledger.results(TODAY, 2) == results
    pol, brix = (float(results[f"mixed_juice_{p}"].replace(",", ".")) for p in ("pol", "brix"))
    expect(page.locator("main")).to_contain_text(f"{100 * pol / brix:.2f}")
    account = page.get_by_role("row", name="Pol extraction")
    expect(account).to_contain_text("% pol in cane")
    expect(account).to_contain_text("9")


def test_what_cannot_be_is_refused_and_what_was_typed_stays(page: Page, ledger: Ledger):
    sign_in(page)
    page.goto(SHEET)
    box(page, "mixed_juice_brix").fill("145")
    box(page, "mixed_juice_brix").press("Enter")
    expect(cell(page, "mixed_juice_brix")).to_contain_text("lies between 3 and 30")
    expect(box(page, "mixed_juice_brix")).to_have_value("145")
    assert ledger.results(TODAY, 2) == {}
    box(page, "mixed_juice_brix").fill("14,5")
    box(page, "mixed_juice_brix").press("Enter")
    expect(cell(page, "mixed_juice_brix")).not_to_contain_text("lies between")
    box(page, "mixed_juice_pol").fill("15.2")
    box(page, "mixed_juice_pol").press("Enter")
    expect(cell(page, "mixed_juice_pol")).to_contain_text("15.2 is above its brix 14.5")
    assert ledger.results(TODAY, 2) == {"mixed_juice_brix": "14,5"}


def test_a_correction_asks_for_its_reason(page: Page, ledger: Ledger):
    shift = f"/shifts/{TODAY}/1"
    before = ledger.results(TODAY, 1)["bagasse_pol"]
    sign_in(page)
    page.goto(shift)
    box(page, "bagasse_pol").fill("1.93")
    box(page, "bagasse_pol").press("Enter")
    page.locator('[name="reason:bagasse_pol"]').select_option("figures exchanged")
    cell(page, "bagasse_pol").get_by_role("button", name="Correct").press("Enter")
    expect(page.locator('[name="reason:bagasse_pol"]')).to_have_count(0)
    assert ledger.results(TODAY, 1)["bagasse_pol"] == "1.93"
    page.goto(f"{shift}/cells/bagasse_pol")
    trail = page.locator("main")
    for words in (before, "1.93", "figures exchanged", "Ines Okello"):
        expect(trail).to_contain_text(words)


def test_a_refused_pol_is_judged_again_once_its_brix_is_right(page: Page, ledger: Ledger):
    sign_in(page)
    page.goto(SHEET)
    for measure, typed in (("mixed_juice_brix", "12.4"), ("mixed_juice_pol", "12.8")):
        box(page, measure).fill(typed)
        box(page, measure).press("Enter")
    expect(cell(page, "mixed_juice_pol")).to_contain_text("12.8 is above its brix 12.4")
    box(page, "mixed_juice_brix").fill("14.2")
    box(page, "mixed_juice_brix").press("Enter")
    page.locator('[name="reason:mixed_juice_brix"]').select_option("figures exchanged")
    cell(page, "mixed_juice_brix").get_by_role("button", name="Correct").press("Enter")
    expect(cell(page, "mixed_juice_pol")).not_to_contain_text("is above its brix")
    assert ledger.results(TODAY, 2) == {"mixed_juice_brix": "14.2", "mixed_juice_pol": "12.8"}


def refuse(page: Page, measure: str, typed: str) -> None:
    box(page, measure).fill(typed)
    box(page, measure).press("Enter")
    expect(box(page, measure)).to_have_attribute("aria-invalid", "true")


def test_leaving_a_refused_box_sends_it_again(page: Page):
    sign_in(page)
    page.goto(SHEET)
    refuse(page, "mixed_juice_brix", "145")
    for leave in ("Enter", "Tab"):
        box(page, "mixed_juice_brix").focus()
        with page.expect_response(f"**{SHEET}/cells/mixed_juice_brix") as answer:
            page.keyboard.press(leave)
        assert answer.value.status == 422
        page.wait_for_timeout(100)
    expect(box(page, "mixed_juice_brix")).to_have_value("145")


def test_esc_puts_back_what_stands_and_leaving_a_page_warns_of_what_does_not(page: Page):
    warned: list[str] = []
    page.on("dialog", lambda dialog: (warned.append(dialog.type), dialog.accept()))
    sign_in(page)
    page.goto(SHEET)
    refuse(page, "mixed_juice_brix", "145")
    page.reload()
    assert warned == ["beforeunload"]
    refuse(page, "mixed_juice_brix", "145")
    box(page, "mixed_juice_brix").press("Escape")
    expect(box(page, "mixed_juice_brix")).not_to_have_attribute("aria-invalid", "true")
    expect(box(page, "mixed_juice_brix")).to_have_value("")
    assert focused(page) == "mixed_juice_brix"
    page.reload()
    assert warned == ["beforeunload"]


def test_the_keyboard_stays_in_the_sheet_after_a_correction(page: Page, ledger: Ledger):
    before = ledger.results(TODAY, 1)["mixed_juice_brix"]
    sign_in(page)
    page.goto(f"/shifts/{TODAY}/1")
    reason = page.locator('[name="reason:mixed_juice_brix"]')
    panel = cell(page, "mixed_juice_brix")
    refuse(page, "mixed_juice_brix", "14.99")
    below = focused(page)
    assert below not in ("", "mixed_juice_brix")
    with page.expect_response("**/cells/mixed_juice_brix"):
        panel.get_by_role("button", name="Correct").press("Enter")
    expect(reason).to_be_focused()
    panel.get_by_role("button", name="Keep").press("Enter")
    expect(reason).to_have_count(0)
    expect(box(page, below)).to_be_focused()
    refuse(page, "mixed_juice_brix", "14.99")
    box(page, "mixed_juice_brix").press("Escape")
    expect(reason).to_have_count(0)
    expect(box(page, "mixed_juice_brix")).to_be_focused()
    expect(box(page, "mixed_juice_brix")).to_have_value(before)
    assert ledger.results(TODAY, 1)["mixed_juice_brix"] == before


def test_a_panel_is_not_covered_by_its_neighbours(page: Page):
    sign_in(page)
    page.goto(SHEET)
    for measure, typed in (("mixed_juice_brix", "145"), ("mixed_juice_pol", "99")):
        refuse(page, measure, typed)
    box(page, "clear_juice_brix").focus()
    for measure in ("mixed_juice_brix", "mixed_juice_pol"):
        panel = cell(page, measure).locator(".message")
        assert panel.evaluate("""(panel) => {
            const at = panel.getBoundingClientRect();
            return [[.05, .1], [.5, .5], [.95, .9]].every(([x, y]) => panel.contains(
                document.elementFromPoint(at.x + x * at.width, at.y + y * at.height)));
        }"""), measure


def test_the_morning_report_opens_down_to_a_figure(page: Page):
    sign_in(page, "ruth")
    page.get_by_role("link", name="Yesterday’s report").first.click()
    page.wait_for_url(f"**/days/{YESTERDAY}")
    expect(page.get_by_role("heading", name="Morning report")).to_contain_text("27 October 2026")
    number = page.locator(f'a[href="/days/{YESTERDAY}/figures/pol_extraction"]').first
    printed = number.inner_text()
    assert 90 < float(printed) < 100
    number.click()
    expect(page.locator(".headline")).to_contain_text(printed)
    expect(page.locator(".formula")).to_have_text("100 × pol in mixed juice ÷ pol in cane")


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
        if row["record"] == "entry" and row["state"] == "number"
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
    with page.expect_response(f"**{SHEET}/cells/cane") as saved:
        box(page, "cane").press("Enter")
    assert saved.value.ok
    assert ledger.results(TODAY, 2) == {"cane": "1800"}


@pytest.mark.parametrize(
    "path",
    [
        "/", SHEET, f"/shifts/{YESTERDAY}/3", f"/shifts/{YESTERDAY}/3/cells/cane",
        f"/days/{YESTERDAY}", "/weeks/2026-W43", "/seasons/2026", "/figures",
        f"/days/{YESTERDAY}/figures/undetermined_loss", "/nothing-here",
    ],
)  # fmt: skip
def test_a_page_fits_a_telephone(page: Page, path: str):
    page.set_viewport_size({"width": 390, "height": 844})
    sign_in(page)
    answer = page.goto(path)
    assert answer.status == (404 if "nothing" in path else 200)
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
