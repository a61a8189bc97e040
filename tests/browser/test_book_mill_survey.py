"""A survey of the tandem by keyboard: to the results of each mill and the extraction they make."""

from playwright.sync_api import Page, expect

from tests.browser.axe import findings
from tests.browser.hands import TODAY, sign_in
from tests.browser.test_book_stops import type_fields

SHIFT = f"{TODAY}/2"


def test_a_mill_is_sampled_corrected_and_stands_in_the_curve_of_the_tandem(page: Page):
    sign_in(page)
    page.goto(f"/books/mill_survey/{SHIFT}")
    expect(page.get_by_text("never from between rollers")).to_be_visible()
    assert findings(page) == []
    type_fields(page, "14:20", "Mill 1", "8.1", "57.8", "18.9", "16.0", "180", "3.6", "14")
    expect(page.get_by_text("The record is kept.")).to_be_visible()
    page.get_by_label("Sampled").focus()
    type_fields(page, "14:26", "Mill 2", "5.9", "55.4", "96.6", "7.8", "186", "3.8", "12")
    expect(page.locator("#field-juice_brix-wrong")).to_contain_text("lies between 0 and 35")
    page.get_by_label("Juice brix").fill("9.66")
    page.get_by_label("Juice brix").press("Enter")
    expect(page.get_by_text("The record is kept.")).to_be_visible()
    expect(page.locator(".gives")).to_contain_text("5.90")
    assert findings(page) == []

    page.locator(".records tbody tr").nth(1).locator("a").press("Enter")
    page.get_by_label("Bagasse pol").fill("5.6")
    page.get_by_label("Why").fill("read from the wrong line")
    page.get_by_label("Why").press("Enter")
    expect(page.get_by_text("The record is corrected.")).to_be_visible()
    assert findings(page) == []

    page.goto(f"/books/mill_survey?first={TODAY}&last={TODAY}")
    survey = page.get_by_role("table", name="Survey of shift 2")
    second = survey.locator("tbody tr").nth(1)
    # by hand: 100 - 55.4 - 100 × 5.6 ÷ (100 × 7.8 ÷ 9.66) = 37.66 fibre, of which 14.87 pol; mill 1
    # 100 - 57.8 - 100 × 8.1 ÷ 84.66 = 32.63, 24.82; and 100 × (1 - 14.87 ÷ 24.82) = 40.10
    expect(second.locator("td")).to_have_text(
        ["9.66", "80.75", "3.91", "37.66", "14.87", "–", "40.10", "186", "3.80", "12.0"]
    )
    assert findings(page) == []


def test_a_survey_of_yesterday_has_its_extraction_with_the_cane_of_the_day(page: Page):
    sign_in(page, "ruth")
    page.goto("/books/mill_survey?first=2026-10-26&last=2026-10-28")
    survey = page.get_by_role("table", name="Survey of shift 1")
    found = [float(text) for text in survey.locator("tbody td:nth-child(7)").all_inner_texts()]
    assert found == sorted(found)
    page.goto("/days/2026-10-27/figures/pol_extraction")
    tandem = float(page.locator(".headline strong").inner_text())
    assert abs(found[-1] - tandem) < 0.5
