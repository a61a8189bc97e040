"""The administrator at the pages of the plant: by keyboard alone, without script, on a phone."""

import pytest
from playwright.sync_api import Page, expect

from app.database import open_database, reading
from app.ledger import mills
from app.ledger.plan import Choices, choices_of
from tests.browser.conftest import Ledger
from tests.browser.hands import TODAY, YESTERDAY, sign_in

TOMORROW = TODAY.replace(day=29)
PH = "/plant/measures/clear_juice_ph"
REVIEW = (
    "/plant/conventions/standard_molasses_brix/review"
    f"?standard_molasses_brix=86&since={YESTERDAY}&reason=the+trade"
)


def choices(ledger: Ledger) -> Choices:
    engine = open_database(ledger.database_url)
    with reading(engine) as connection:
        found = choices_of(connection, mills.the_mill(connection))
    engine.dispose()
    return found


def tab_to(page: Page, what: str) -> None:
    """Press Tab until the focus is on the field of that name, or on what has those words."""
    for _ in range(400):
        here = "document.activeElement"
        said = page.evaluate(f"[{here}.getAttribute('name'), {here}.innerText, {here}.id]")
        if what in said:
            return
        page.keyboard.press("Tab")
    pytest.fail(f"the keyboard does not come to {what}")


def follow(page: Page, words: str) -> None:
    """Go by keyboard to what has those words, and press Enter."""
    tab_to(page, words)
    enter(page)


def enter(page: Page) -> None:
    with page.expect_navigation():
        page.keyboard.press("Enter")


def write(page: Page, name: str, text: str) -> None:
    """Go by keyboard to a field and write over what stands in it."""
    tab_to(page, name)
    page.keyboard.press("Control+A")
    page.keyboard.type(text)


def choose(page: Page, name: str, words: str) -> None:
    """Go by keyboard to a list and choose what begins with those words."""
    tab_to(page, name)
    page.keyboard.type(words)


def confirm(page: Page) -> None:
    follow(page, page.get_by_role("button", name="Confirm").inner_text())
    expect(page.get_by_role("status").first).to_contain_text("It is chosen")


def test_clear_juice_ph_is_taken_every_two_hours_and_narrowed_by_keyboard_alone(
    page: Page, ledger: Ledger
):
    before = choices(ledger).plan.every(TODAY)["clear_juice_ph"]
    assert before.every != 2
    sign_in(page, "noor")
    follow(page, "Plant")
    write(page, "words", "clear juice, ph")
    enter(page)
    follow(page, "Clear juice, pH")
    choose(page, "often", "every 2")
    write(page, "usual_high", "7,2")
    write(page, "hard_low", "7")
    write(page, "reason", "a closer watch")
    enter(page)
    expect(page.get_by_role("alert")).to_contain_text("Possible from: The hard limits hold")
    tab_to(page, "Possible from: The hard limits hold the usual range, which begins at 6.9.")
    page.keyboard.press("Enter")
    expect(page.locator("#hard_low")).to_be_focused()
    write(page, "hard_low", "5")
    enter(page)
    sheet = page.get_by_role("region", name="On the sheet")
    expect(sheet).to_contain_text("4 boxes, at 06:00, 08:00, 10:00, 12:00, in place of")
    expect(page.locator("main")).to_contain_text("Every day before 29 Oct stays as it is")
    confirm(page)
    plan = choices(ledger).plan
    now, then = (plan.every(day)["clear_juice_ph"] for day in (TODAY, TOMORROW))
    assert now == before
    assert (then.every, then.usual, then.hard) == (2, (6.9, 7.2), (5, before.hard[1]))


def test_the_tandem_gets_a_sixth_mill_by_keyboard_alone(page: Page, ledger: Ledger):
    sign_in(page, "noor")
    page.goto("/plant")
    follow(page, "Equipment")
    choose(page, "tandem_mills", "6")
    write(page, "reason", "a sixth mill")
    enter(page)
    expect(page.locator("main")).to_contain_text("Mill 5 bagasse, pol: 1 box, new")
    confirm(page)
    plan = choices(ledger).plan
    assert "mill_5_bagasse_pol" not in plan.on(TODAY)
    assert "mill_5_bagasse_pol" in plan.on(TOMORROW)


def test_the_standard_brix_is_changed_and_its_effect_read_by_keyboard_alone(
    page: Page, ledger: Ledger
):
    sign_in(page, "noor")
    page.goto("/plant/conventions")
    follow(page, "Standard brix of final molasses")
    write(page, "standard_molasses_brix", "86")
    write(page, "reason", "the trade")
    enter(page)
    table = page.get_by_role("region", name="Figures that change")
    row = table.get_by_role("row").filter(has_text="Final molasses % cane, at standard brix")
    expect(row).to_contain_text("4.00")
    expect(table).to_contain_text("What would have been, had it held since 1 Jun 2026")
    confirm(page)
    held = choices(ledger)
    assert held.convention("standard_molasses_brix", TODAY) is None
    assert held.convention("standard_molasses_brix", TOMORROW) == "86"


def test_a_new_sheet_has_the_boxes_that_were_chosen(page: Page):
    sign_in(page, "noor")
    chosen = f"taken=due&often=shift-4&rule=mean&since={TODAY}&reason=a+closer+watch"
    page.goto(f"{PH}/review?{chosen}&usual_low=6.9&usual_high=7.3&hard_low=2&hard_high=13")
    expect(page.get_by_role("alert")).to_contain_text("would lose their boxes")
    limits = "usual_low=0.1&usual_high=0.6&hard_low=0&hard_high=10"
    page.goto(f"/plant/measures/sugar_moisture/review?{chosen}&{limits}")
    confirm(page)
    sign_in(page, "ines")
    page.goto(f"/shifts/{TODAY}/2")
    expect(page.locator('input[name="result:sugar_moisture"]')).to_have_count(1)
    expect(page.locator('input[name="result:sugar_moisture-2"]')).to_have_count(1)


@pytest.mark.parametrize(
    "path",
    [
        "/plant", PH, "/plant/conventions/equipment", "/plant/conventions", "/plant/targets",
        "/plant/parts/filter_cake", REVIEW,
    ],
)  # fmt: skip
@pytest.mark.parametrize("width", [390, 320])
def test_a_page_of_the_plant_fits_a_telephone(page: Page, path: str, width: int):
    """C-39"""
    page.set_viewport_size({"width": width, "height": 844})
    sign_in(page, "noor")
    page.goto(path)
    assert page.evaluate("document.documentElement.scrollWidth") <= width


@pytest.mark.parametrize("username", ["ines", "mira", "ruth", "samir", "noor"])
def test_the_links_at_the_top_stand_in_one_line(page: Page, username: str):
    page.set_viewport_size({"width": 1440, "height": 900})
    sign_in(page, username)
    boxes = [link.bounding_box() for link in page.locator("header.top a").all()]
    tops = [box["y"] + box["height"] / 2 for box in boxes if box]
    assert max(tops) - min(tops) < 10


def test_everything_is_chosen_without_script(browser, ledger: Ledger):
    """C-19"""
    context = browser.new_context(base_url=ledger.address, java_script_enabled=False)
    page = context.new_page()
    page.goto("/sign-in")
    page.locator("[name=username]").fill("noor")
    page.locator("[name=password]").fill("cane to bag, demo")
    page.locator("[name=password]").press("Enter")
    page.goto("/plant/parts/lime")
    page.get_by_label("In use").select_option("no")
    page.get_by_label("Why").fill("none bought")
    page.get_by_role("button", name="See what it does").click()
    page.get_by_role("button", name="Confirm").click()
    expect(page.get_by_role("status").first).to_contain_text("It is chosen")
    context.close()
    assert choices(ledger).plan.is_off("lime", TOMORROW)


def test_a_review_is_printed_without_its_form(page: Page):
    sign_in(page, "noor")
    page.emulate_media(media="print")
    page.goto(REVIEW)
    expect(page.get_by_role("region", name="Figures that change")).to_be_visible()
    for button in page.locator("main button").all():
        expect(button).to_be_hidden()
    page.goto("/plant")
    for button in page.locator("main button").all():
        expect(button).to_be_hidden()
