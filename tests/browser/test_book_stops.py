"""The book of stops by keyboard: to the hours of the sheet, the morning report and its own."""

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


def test_a_stop_is_written_corrected_and_found_in_the_time_account(page: Page):
    sign_in(page)
    page.goto(f"/books/stops/{SHIFT}")
    expect(page.get_by_text("locked out")).to_be_visible()
    assert findings(page) == []
    type_fields(
        page, "14:10", "14:05", "Mechanical", "Crushing stopped", "Milling", "mill 2", "scraper",
    )  # fmt: skip
    expect(page.locator("#field-ends-wrong")).to_have_text("It ended before it began.")
    assert findings(page) == []
    ends = page.get_by_label("Ended")
    expect(ends).to_have_value("14:05")
    ends.fill("14:40")
    ends.press("Enter")
    expect(page.get_by_text("The record is kept.")).to_be_visible()
    given = page.locator(".gives")
    expect(given).to_contain_text("0.50")

    page.locator(".records tbody a").first.press("Enter")
    page.get_by_label("Ended").fill("14:55")
    why = page.get_by_label("Why")
    why.fill("it restarted later")
    why.press("Enter")
    expect(page.get_by_text("The record is corrected.")).to_be_visible()
    assert findings(page) == []

    page.goto(f"/shifts/{SHIFT}")
    for measure in ("mechanical_stop_hours", "stopped_hours"):
        expect(page.locator(f'[id="cell-{measure}"]')).to_contain_text("0.75")

    page.goto(f"/books/stops?first=2026-10-26&last={TODAY}")
    causes = page.get_by_role("table", name="Stops by cause")
    row = causes.locator("tr", has=page.get_by_role("rowheader", name="Mechanical stops"))
    # 0.10 h of the night of the 27th, by the minute, and 0.75 h
    expect(row.locator("td")).to_have_text(["2", "0.85", "0.75"])
    choke = causes.locator("tr", has=page.get_by_role("rowheader", name="Foreign matter"))
    expect(choke.locator("td").first).to_have_text("3")  # two of its four records are one stop
    assert findings(page) == []


def test_the_morning_report_tells_the_hours_stopped(page: Page):
    sign_in(page, "ruth")
    page.goto("/days/2026-10-26")
    row = page.locator("tr", has=page.get_by_role("rowheader", name="Stops of every cause, hours"))
    # 4, 5 and 4 minutes
    expect(row.first).to_contain_text("0.22")
