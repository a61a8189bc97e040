"""The shift sheet under a chemist's hands: typed, refused, corrected, and never lost."""

from playwright.sync_api import Page, expect

from app.plant.measures import MEASURES, SHIFT
from app.plant.samples import Place, place_of
from tests.browser.conftest import Ledger
from tests.browser.hands import (
    SHEET,
    TODAY,
    YESTERDAY,
    box,
    focused,
    open_sheet,
    panel,
    saved,
    sign_in,
    state,
    type_in,
    type_sheet,
)

OVER = f"/shifts/{TODAY}/1"


def results_of_shift(ledger: Ledger) -> dict[str, str]:
    """What is due each shift, as it was yesterday at this time."""
    return {
        name: typed
        for name, typed in ledger.results(YESTERDAY, 2).items()
        if _is_due(place_of(name))
    }


def _is_due(place: Place) -> bool:
    measure = MEASURES[place.measure]
    return measure.due and measure.grain == SHIFT and place.determination == 1


def test_a_shift_is_typed_with_the_keyboard_alone(page: Page, ledger: Ledger):
    results = results_of_shift(ledger)
    assert len(results) > 50
    sign_in(page)
    page.get_by_role("link", name="Shift", exact=True).first.press("Enter")
    page.wait_for_url(f"**{SHEET}")
    page.wait_for_load_state()
    type_sheet(page, results)
    found = ledger.results(TODAY, 2)
    assert {name: found[name] for name in results} == results
    pol, brix = (float(results[f"clear_juice_{p}"].replace(",", ".")) for p in ("pol", "brix"))
    expect(page.locator("main")).to_contain_text(f"{100 * pol / brix:.2f}")
    account = page.get_by_role("row", name="Pol extraction")
    expect(account).to_contain_text("% pol in cane")
    expect(account).to_contain_text("9")


def test_what_cannot_be_is_refused_and_what_was_typed_stays(page: Page, ledger: Ledger):
    """C-10, C-11: nothing is said before the box is left, and below it then."""
    sign_in(page)
    open_sheet(page)
    box(page, "bagasse_moisture").focus()
    page.keyboard.type("145", delay=60)
    expect(panel(page, "bagasse_moisture")).to_have_count(0)
    page.keyboard.press("Enter")
    expect(panel(page, "bagasse_moisture")).to_contain_text("lies between")
    expect(state(page, "bagasse_moisture")).to_have_text("refused")
    expect(box(page, "bagasse_moisture")).to_have_value("145")
    assert "bagasse_moisture" not in ledger.results(TODAY, 2)
    type_in(page, "bagasse_moisture", "49,5")
    expect(saved(page, "bagasse_moisture")).to_be_attached()
    expect(panel(page, "bagasse_moisture")).to_have_count(0)
    expect(state(page, "bagasse_moisture")).to_have_count(0)
    assert ledger.results(TODAY, 2)["bagasse_moisture"] == "49,5"


def test_a_correction_asks_for_its_reason_at_once_and_goes_on(page: Page, ledger: Ledger):
    """C-02: a digit chooses, Enter records, and the keyboard is where Enter would have gone."""
    before = ledger.results(TODAY, 1)["bagasse_pol"]
    sign_in(page)
    open_sheet(page, OVER)
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    type_in(page, "bagasse_pol", "1.93")
    expect(panel(page, "bagasse_pol")).to_contain_text(f"Correct {before} to 1.93: why?")
    expect(page.locator('[name="reason:bagasse_pol"]')).to_be_focused()
    assert asked == []  # no round trip
    page.keyboard.press("2")
    page.keyboard.press("Enter")
    below = focused(page)
    assert below not in ("", "bagasse_pol")
    expect(saved(page, "bagasse_pol")).to_be_attached()
    assert ledger.results(TODAY, 1)["bagasse_pol"] == "1.93"
    page.goto(f"{OVER}/cells/bagasse_pol")
    trail = page.locator("main")
    for words in (before, "1.93", "figures exchanged", "Ines Okello"):
        expect(trail).to_contain_text(words)


def test_a_reason_is_chosen_by_its_letter_or_said_in_words(page: Page):
    sign_in(page)
    open_sheet(page, OVER)
    type_in(page, "bagasse_pol", "1.93")
    page.keyboard.press("Enter")  # none is chosen yet
    expect(page.locator("#said")).to_contain_text("Choose a reason")
    page.keyboard.press("o")
    page.keyboard.press("Enter")
    expect(page.locator("#said")).to_contain_text("Say the other reason in words")
    expect(page.locator('[name="words:bagasse_pol"]')).to_be_focused()
    page.keyboard.type("bench book p. 7")
    page.keyboard.press("Enter")
    expect(saved(page, "bagasse_pol")).to_be_attached()
    page.goto(f"{OVER}/cells/bagasse_pol")
    expect(page.locator("main")).to_contain_text("bench book p. 7")


def test_digits_typed_on_without_looking_choose_no_reason(page: Page, ledger: Ledger):
    before = ledger.results(TODAY, 1)["bagasse_pol"]
    sign_in(page)
    page.goto(f"/shifts/{TODAY}/1")
    box(page, "bagasse_pol").focus()
    page.keyboard.type("1.93")
    page.keyboard.press("Enter")
    reason = page.locator('[name="reason:bagasse_pol"]')
    expect(reason).to_be_focused()
    page.keyboard.type("47.2")
    page.keyboard.press("Enter")
    expect(reason).to_be_focused()
    expect(page.locator("#said")).to_contain_text("Choose a reason")
    assert ledger.results(TODAY, 1)["bagasse_pol"] == before


def test_esc_puts_back_what_stands(page: Page, ledger: Ledger):
    before = ledger.results(TODAY, 1)["mixed_juice_ph"]
    sign_in(page)
    open_sheet(page, OVER)
    box(page, "mixed_juice_ph").focus()
    page.keyboard.type("5.99")
    page.keyboard.press("Escape")
    expect(box(page, "mixed_juice_ph")).to_have_value(before)
    type_in(page, "mixed_juice_ph", "5.99")
    expect(page.locator('[name="reason:mixed_juice_ph"]')).to_be_focused()
    page.keyboard.press("Escape")
    expect(panel(page, "mixed_juice_ph")).to_have_count(0)
    expect(box(page, "mixed_juice_ph")).to_have_value(before)
    assert focused(page) == "mixed_juice_ph"
    assert ledger.results(TODAY, 1)["mixed_juice_ph"] == before


def test_leaving_a_page_warns_only_of_what_is_not_sent(page: Page):
    """B-62: what was typed and put back by hand is nothing to warn of."""
    warned: list[str] = []
    page.on("dialog", lambda dialog: (warned.append(dialog.type), dialog.accept()))
    sign_in(page)
    open_sheet(page, OVER)
    type_in(page, "bagasse_moisture", "145")
    expect(state(page, "bagasse_moisture")).to_have_text("why?")
    page.reload()
    assert warned == ["beforeunload"]
    expect(page.locator("html.scripted")).to_be_attached()
    expect(box(page, "bagasse_moisture")).to_have_value("145")  # it was kept
    box(page, "bagasse_moisture").press("Escape")
    expect(panel(page, "bagasse_moisture")).to_have_count(0)
    standing = box(page, "bagasse_moisture").input_value()
    box(page, "bagasse_moisture").focus()
    page.keyboard.type("5")
    for _ in "5":
        page.keyboard.press("Backspace")
    page.keyboard.type(standing)
    page.reload()
    assert warned == ["beforeunload"]


def test_leaving_a_refused_box_sends_it_again(page: Page):
    sign_in(page)
    open_sheet(page)
    type_in(page, "bagasse_moisture", "145")
    expect(state(page, "bagasse_moisture")).to_have_text("refused")
    for leave in ("Enter", "Tab"):
        box(page, "bagasse_moisture").focus()
        with page.expect_response(f"**{SHEET}/cells") as answer:
            page.keyboard.press(leave)
        assert answer.value.status == 422
        expect(state(page, "bagasse_moisture")).to_have_text("refused")
    expect(box(page, "bagasse_moisture")).to_have_value("145")


def test_panels_cover_no_box_and_nothing_covers_them(page: Page):
    """C-13: at every width, and below the box that they belong to."""
    sign_in(page)
    for width, height in ((1440, 900), (1366, 768), (683, 384), (390, 844)):
        page.set_viewport_size({"width": width, "height": height})
        open_sheet(page)
        for measure in ("bagasse_moisture", "bagasse_pol"):
            type_in(page, measure, "145")
            expect(state(page, measure)).to_have_text("refused")
        for measure in ("bagasse_moisture", "bagasse_pol"):
            panel(page, measure).scroll_into_view_if_needed()
            assert panel(page, measure).evaluate(SEEN), (width, measure)
            assert panel(page, measure).evaluate(BELOW, measure), (width, measure)
        for measure in ("bagasse_moisture", "bagasse_pol"):
            box(page, measure).press("Escape")


SEEN = """(panel) => {
    const at = panel.getBoundingClientRect();
    return at.left >= 0 && at.right <= innerWidth && [[.05, .2], [.5, .5], [.95, .9]].every(
        ([x, y]) => panel.contains(
            document.elementFromPoint(at.x + x * at.width, at.y + y * at.height)));
}"""
BELOW = """(panel, key) =>
    panel.getBoundingClientRect().top >= document.getElementById(key).getBoundingClientRect().bottom
"""
