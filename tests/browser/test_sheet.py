"""The shift sheet under a chemist's hands: typed, refused, corrected, and never lost."""

from playwright.sync_api import Page, expect

from app.plant.measures import MEASURES, SHIFT
from tests.browser.conftest import Ledger
from tests.browser.hands import SHEET, TODAY, YESTERDAY, box, cell, focused, sign_in, type_sheet


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
    page.get_by_role("link", name="Shift", exact=True).first.press("Enter")
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
