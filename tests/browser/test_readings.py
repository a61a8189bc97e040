"""Instrument readings typed on the sheet: the result follows at once, and both are kept."""

from playwright.sync_api import Locator, Page, expect

from tests.browser.conftest import Ledger
from tests.browser.hands import SHEET, TODAY, box, panel, sign_in


def follows(page: Page, measure: str) -> Locator:
    return page.locator(f"output#{measure}")


def typed(page: Page, measure: str, text: str) -> None:
    box(page, measure).fill(text)
    with page.expect_response(lambda answer: answer.request.method == "POST"):
        box(page, measure).press("Tab")


# By hand: 26 × 60 ÷ (99.718 × 1.074145) = 14.56 % pol in juice of 18 °Bx; purity 80.91.
def test_a_result_follows_from_its_readings(page: Page, ledger: Ledger):
    sign_in(page)
    page.goto(SHEET)
    page.locator("summary", has_text="Instrument readings").press("Enter")
    typed(page, "clear_juice_refractometer_reading", "18,00")
    expect(follows(page, "clear_juice_brix")).to_have_text("= 18.00")
    typed(page, "clear_juice_polarimeter_reading", "60")
    expect(follows(page, "clear_juice_pol")).to_have_text("= 14.56")
    expect(follows(page, "clear_juice_purity")).to_have_text("= 80.91")
    assert ledger.results(TODAY, 2) == {
        "clear_juice_refractometer_reading": "18,00", "clear_juice_polarimeter_reading": "60",
    }  # fmt: skip


def test_a_reading_taken_out_gives_the_box_of_its_result_back(page: Page):
    sign_in(page)
    page.goto(SHEET)
    page.locator("summary", has_text="Instrument readings").press("Enter")
    masses = {"dish_mass": "50", "wet_mass": "150", "dried_mass": "99,5"}
    for mass, text in masses.items():
        typed(page, f"bagasse_{mass}", text)
    expect(follows(page, "bagasse_moisture")).to_have_text("= 50.50")
    box(page, "bagasse_dried_mass").fill("")
    page.keyboard.press("Tab")
    panel(page, "bagasse_dried_mass").get_by_label("Reason", exact=True).select_option(
        "tested again"
    )
    panel(page, "bagasse_dried_mass").get_by_role("button", name="Take it out").click()
    expect(box(page, "bagasse_moisture")).to_be_visible()
    expect(box(page, "bagasse_moisture")).to_have_value("")
