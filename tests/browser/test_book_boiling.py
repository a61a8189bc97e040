"""Strikes, crystallizers and centrifugals by keyboard: from the pan to the sheet and the report."""

from playwright.sync_api import Locator, Page, expect

from tests.browser.axe import findings
from tests.browser.hands import TODAY, sign_in

SHIFT = f"{TODAY}/2"
DAYS = f"first={TODAY}&last={TODAY}"


def type_fields(page: Page, *texts: str) -> None:
    """Fill the form from its first field on, which has the keyboard, and send it."""
    for turn, text in enumerate(texts):
        if turn:
            page.keyboard.press("Tab")
        page.keyboard.type(text)
    page.keyboard.press("Enter")


def write(page: Page, book: str, *texts: str) -> None:
    page.goto(f"/books/{book}/{SHIFT}")
    type_fields(page, *texts)
    expect(page.get_by_text("The record is kept.")).to_be_visible()


def correct(page: Page, record: Locator, field: str, text: str) -> None:
    """Correct one field of a record, and say why."""
    record.press("Enter")
    page.get_by_label(field).first.fill(text)
    why = page.get_by_label("Why")
    why.fill("read against the wrong glass")
    why.press("Enter")
    expect(page.get_by_text("The record is corrected.")).to_be_visible()


def test_a_strike_is_written_corrected_and_followed_to_the_centrifugals(page: Page):
    sign_in(page)
    page.goto(f"/books/strikes/{SHIFT}")
    expect(page.get_by_text("alcohol in seed slurry burns")).to_be_visible()
    assert findings(page) == []
    strike = ("C 901", "C", "P6", "Batch", "Slurry", "6", "15:30", "", "14:10", "80", "96", "57",
              "", "66.5", "38")  # fmt: skip
    type_fields(page, *strike)
    expect(page.locator("#field-started-wrong")).to_contain_text("It lies after the strike was")
    assert findings(page) == []
    started = page.get_by_label("Started")
    expect(started).to_have_value("15:30")
    started.fill("11:50")
    started.press("Enter")
    expect(page.get_by_text("The record is kept.")).to_be_visible()
    given = page.locator(".gives")
    expect(given).to_contain_text("C massecuite struck")
    # 100 × (57 - 38) ÷ (100 - 38) ÷ 57, by hand, is 53.8 % of the sucrose
    expect(page.locator(".records tbody tr")).to_contain_text("53.8")

    correct(page, page.locator(".records tbody a").first, "Volume", "82")
    assert findings(page) == []
    page.goto(f"/shifts/{SHIFT}")
    expect(page.locator('[id="cell-c_massecuite_volume"]')).to_contain_text("82.0")
    expect(page.locator('[id="cell-c_massecuite_purity"]')).to_contain_text("57.00")

    write(page, "crystallizers", "c 901", "K2", "14:12", "14:18", "66", "43.5", "54", "34.5")
    write(page, "centrifugals", "14:19", "C", "C 901", "M7", "Continuous", "", "", "", "", "",
          "36.3", "89.5", "82")  # fmt: skip
    page.goto(f"/shifts/{SHIFT}")
    expect(page.locator('[id="cell-c_massecuite_cooled_temperature"]')).to_contain_text("43.5")
    expect(page.locator('[id="cell-c_magma_purity"]')).to_contain_text("82.00")

    see_its_life(page)


def see_its_life(page: Page) -> None:
    """Find the strike in the report, with its crystallizer and its centrifugal."""
    page.goto(f"/books/strikes?{DAYS}")
    life = page.get_by_role("table", name="Each strike to the centrifugals")
    row = life.locator("tr", has=page.get_by_role("rowheader", name="C 901"))
    for text in ("57.00", "38.00", "53.8", "K2", "43.5", "34.50", "M7", "36.30", "1.80"):
        expect(row).to_contain_text(text)
    grades = page.get_by_role("table", name="By grade and pan")
    expect(grades).to_contain_text("All C")
    assert findings(page) == []


def test_the_books_of_crystallizers_and_centrifugals_can_be_reached_by_everybody(page: Page):
    sign_in(page, "ruth")
    for book in ("crystallizers", "centrifugals"):
        page.goto(f"/books/{book}/{TODAY}/1")
        expect(page.locator(".caution")).to_be_visible()
        assert findings(page) == []
        page.goto(f"/books/{book}?first=2026-10-26&last={TODAY}")
        assert findings(page) == []
