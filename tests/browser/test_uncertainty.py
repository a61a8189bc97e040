"""Pairs of results in a browser: entered, refused, withdrawn, used; with and without script."""

import pytest
from playwright.sync_api import Page, expect

from app.database import open_database, reading, writing
from app.ledger import mills, people, uncertainty
from tests.browser.conftest import NOW, Ledger
from tests.browser.hands import TODAY, YESTERDAY, sign_in

PAGE = "/uncertainty"
BRIX = f"{PAGE}/mixed_juice_brix"
NEWEST = "tr[id^=pair-]"


def enter(ledger: Ledger, count: int) -> None:
    engine = open_database(ledger.database_url)
    with writing(engine) as connection:
        mill = mills.the_mill(connection)
        by = next(person for person in people.people(connection) if person.username == "ines")
        for n in range(count):
            uncertainty.add_duplicate(
                connection, mill, measure="mixed_juice_brix", day=YESTERDAY, first="14.20",
                second=f"14.2{n % 7}", by=by, at=NOW,
            )  # fmt: skip
    engine.dispose()


def kept(ledger: Ledger) -> list[tuple[str, str, bool]]:
    engine = open_database(ledger.database_url)
    with reading(engine) as connection:
        pairs = uncertainty.duplicates(connection, mills.the_mill(connection))
    engine.dispose()
    return [
        (pair.first, pair.second, pair.withdrawal is None)
        for pair in pairs
        if pair.measure == "mixed_juice_brix"
    ]


def test_a_chemist_types_a_pair_from_the_keyboard(page: Page, ledger: Ledger):
    sign_in(page)
    page.get_by_role("link", name="Uncertainty").click()
    page.get_by_label("Measure").select_option(label="Mixed juice, brix, °Bx")
    expect(page.get_by_label("Day")).to_have_value(str(TODAY))
    page.get_by_label("First result").focus()
    page.keyboard.type("14,20")
    page.keyboard.press("Tab")
    page.keyboard.type("142")
    page.keyboard.press("Enter")
    expect(page.get_by_role("alert")).to_contain_text("The pair was not kept")
    page.get_by_role("link", name="Second result: ").click()
    box = page.get_by_label("Second result")
    expect(box).to_be_focused()
    expect(box).to_have_accessible_description(
        "Mixed juice, brix lies between 3 and 30 °Bx; 142 was typed."
    )
    expect(page.get_by_label("First result")).to_have_value("14,20")
    box.fill("14.26")
    box.press("Enter")
    expect(page.get_by_role("status")).to_have_text("Mixed juice, brix: the pair is kept.")
    expect(page.locator(NEWEST).first).to_contain_text("0.06 °Bx")
    assert kept(ledger) == [("14,20", "14.26", True)]


@pytest.mark.browser_context_args(java_script_enabled=False)
def test_without_script_a_pair_is_withdrawn_and_ten_are_used(page: Page, ledger: Ledger):
    enter(ledger, 11)
    sign_in(page, "ines")
    page.goto(PAGE)
    row = page.locator(NEWEST).first
    row.get_by_text("Withdraw", exact=True).click()
    row.get_by_label("Why?").fill("another sample")
    row.get_by_role("button", name="Withdraw it").click()
    expect(page.locator(NEWEST).first).to_contain_text("withdrawn by Ines Okello: another sample")
    sign_in(page, "noor")
    page.goto(PAGE)
    page.get_by_role("button", name="Use the repeatability of Mixed juice, brix from today").click()
    expect(page.get_by_role("status")).to_contain_text("It is stated")
    stated = page.get_by_role("region", name="What was stated")
    expect(stated.get_by_role("row").last).to_contain_text("own duplicates, 10 pairs")
    expect(stated.get_by_role("row").last).to_contain_text("holds today")
    assert [counts for _, _, counts in kept(ledger)].count(True) == 10


@pytest.mark.parametrize("path", [PAGE, BRIX])
def test_a_page_of_uncertainty_fits_a_telephone(page: Page, ledger: Ledger, path: str):
    enter(ledger, 3)
    page.set_viewport_size({"width": 390, "height": 844})
    sign_in(page, "noor")
    page.goto(path)
    assert page.evaluate("document.documentElement.scrollWidth") <= 390


def test_what_is_printed_has_no_forms(page: Page, ledger: Ledger):
    enter(ledger, 11)
    sign_in(page, "noor")
    page.emulate_media(media="print")
    for path in (PAGE, BRIX):
        page.goto(path)
        expect(page.locator("main h1")).to_be_visible()
        expect(page.locator(NEWEST).first).to_be_visible()
        for button in page.locator("main button").all():
            expect(button).to_be_hidden()
