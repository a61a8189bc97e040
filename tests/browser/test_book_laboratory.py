"""Standard checks and reagents, by keyboard, to the results that a failed check throws doubt on."""

from playwright.sync_api import Page, expect

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


def test_an_instrument_that_fails_its_check_throws_doubt_on_the_sheet_and_the_report(page: Page):
    sign_in(page)
    page.goto(f"/books/standard_checks/{SHIFT}")
    assert findings(page) == []
    expect(page.get_by_label("Time")).to_be_focused()
    type_fields(
        page, "14:20", "Polarimeter", "P-2", "Quartz", "QP 41-7", "99.87", "100.05", "24.0", "0.03",
        "tube looked at",
    )  # fmt: skip
    expect(page.get_by_text("Look at it again: failed: off by 0.122")).to_be_in_viewport()
    last = page.locator(".records tbody tr").last
    # 99.87 × (1 + 0.000144 × 4) = 99.9275, by hand
    expect(last).to_contain_text("99.928")
    expect(last).to_contain_text("0.122")
    assert findings(page) == []

    page.goto(f"/shifts/{SHIFT}")
    doubt = page.locator(".doubt")
    expect(doubt).to_contain_text("Polarimeter P-2 failed its standard check on 28 Oct 2026, 14:20")
    expect(doubt).to_contain_text("off by 0.122")

    page.goto(f"/days/{TODAY}")
    first = page.get_by_role("region", name="What to look at first").get_by_role("listitem")
    first = first.filter(has_text="Polarimeter P-2 failed its standard check")
    first.get_by_role("link", name="The results in doubt").click()
    one = page.locator("li[id^=doubt]", has_text="P-2")
    expect(one.get_by_text("results were typed meanwhile")).to_be_visible()
    results = one.locator("li a")
    count = int(one.locator("summary").inner_text().split()[0])
    expect(results).to_have_count(count)
    results.first.click()
    expect(page.locator("h1")).to_contain_text("pol")

    page.goto(f"/books/standard_checks?last={TODAY}")
    expect(page.get_by_text("out of tolerance")).to_be_visible()
    expect(page.get_by_text("It has not passed since.")).to_be_visible()
    assert findings(page) == []


def test_a_check_misread_is_corrected_in_the_open(page: Page):
    sign_in(page)
    page.goto(f"/books/standard_checks/{SHIFT}")
    type_fields(
        page, "14:20", "Weighing balance", "W-1", "Check mass", "M 200", "200", "200.5", "24",
        "0.002",
    )  # fmt: skip
    page.locator(".records tbody a").first.click()
    reading = page.get_by_label("Reading")
    reading.fill("200.0005")
    reading.press("Enter")
    expect(page.locator("#summary")).to_contain_text("Say why it is corrected")
    expect(page.locator("#summary")).to_be_focused()
    expect(page.locator("#summary")).to_be_in_viewport()
    page.get_by_label("Why").fill("read from the wrong line")
    page.get_by_label("Why").press("Enter")
    expect(page.get_by_text("The record is corrected.")).to_be_visible()
    expect(page.locator("del")).to_have_text("200.5")
    assert findings(page) == []
    page.goto(f"/shifts/{SHIFT}")
    expect(page.locator(".doubt")).to_have_count(0)


def test_a_reagent_is_written_with_its_caution_and_found_in_its_report(page: Page):
    sign_in(page)
    page.goto(f"/books/reagents/{SHIFT}")
    expect(page.get_by_text("Lead salts are poisonous")).to_be_visible()
    type_fields(page, "FA-119", "Fehling", "Fehling’s solution", "Ines Okello")
    expect(page.get_by_text("The record is kept.")).to_be_in_viewport()
    expect(page.get_by_label("Lot")).to_be_focused()
    page.goto(f"/books/reagents?last={TODAY}")
    expect(page.locator(".records")).to_contain_text("FA-119")
    assert findings(page) == []
