"""Sugar bagged and dispatched by keyboard: to the sheet, the store and a lot's certificate."""

from playwright.sync_api import Page, expect

from tests.browser.axe import findings
from tests.browser.hands import TODAY, sign_in
from tests.browser.test_book_stops import type_fields

SHIFT = f"{TODAY}/2"


def test_a_lot_is_bagged_corrected_and_certified_as_a_draft_until_its_shift_is_signed(page: Page):
    sign_in(page)
    page.goto(f"/books/bagging/{SHIFT}")
    assert findings(page) == []
    type_fields(
        page, "S150-2A", "15:00", "1360", "50", "", "98.9", "0.24", "1680", "", "", "", "34"
    )
    expect(page.get_by_text("The record is kept.")).to_be_visible()
    expect(page.locator(".gives")).to_contain_text("68.0")
    page.locator(".records tbody a").first.press("Enter")
    page.get_by_label("Bags").fill("1350")
    page.get_by_label("Why").fill("ten bags were torn")
    page.get_by_label("Why").press("Enter")
    expect(page.get_by_text("The record is corrected.")).to_be_visible()
    assert findings(page) == []
    page.get_by_role("link", name="Certificate of quality").press("Enter")
    expect(page.get_by_text("DRAFT.")).to_be_visible()
    expect(page.get_by_text("67.500: 1350 bags of 50.00 kg")).to_be_visible()
    expect(page.get_by_text("Not analysed: Ash, Reducing sugars, Mean aperture.")).to_be_visible()
    expect(page.get_by_text("no statement that the sugar is fit for food")).to_be_visible()
    assert findings(page) == []

    page.goto(f"/shifts/{SHIFT}")
    expect(page.locator('[id="cell-sugar"]')).to_contain_text("67.5")
    expect(page.locator('[id="cell-sugar_pol"]')).to_contain_text("98.90")


def test_the_certificate_of_a_signed_lot_says_who_signed_and_the_chain(page: Page):
    sign_in(page, "samir")
    page.goto("/books/bagging?first=2026-10-26&last=2026-10-26")
    page.get_by_role("link", name="S148-1A").first.press("Enter")
    page.goto("/books/bagging?first=2026-10-26&last=2026-10-26")
    assert findings(page) == []
    page.locator("ul.index").get_by_role("link", name="S148-1A").press("Enter")
    expect(page.get_by_role("heading", name="Certificate of quality")).to_be_visible()
    expect(page.get_by_text("DRAFT.")).to_have_count(0)
    expect(page.get_by_text("signed as entered by Ines Okello")).to_be_visible()
    expect(page.locator("dd code")).to_have_count(1)
    assert findings(page) == []


def test_a_load_leaves_the_store_and_is_found_with_its_customer(page: Page):
    sign_in(page)
    page.goto(f"/books/dispatch/{SHIFT}")
    assert findings(page) == []
    type_fields(page, "79999", "14:30", "S149-1A", "K77", "TR 9", "611", "Yes", "30.5")
    expect(page.get_by_text("The record is kept.")).to_be_visible()
    page.goto(f"/shifts/{SHIFT}")
    expect(page.locator('[id="cell-sugar_dispatched"]')).to_contain_text("30.5")
    page.goto(f"/books/dispatch?first={TODAY}&last={TODAY}")
    customers = page.get_by_role("table", name="By customer")
    row = customers.locator("tr", has=page.get_by_role("rowheader", name="K77"))
    expect(row.locator("td")).to_have_text(["1", "1", "30.50"])
    assert findings(page) == []

    page.goto("/days/2026-10-27")
    store = page.locator("tr", has=page.get_by_role("rowheader", name="Sugar counted above"))
    # 0.4 t a day is swept up, and what was bagged is known to 0.1 t a shift
    apart = float(store.first.locator("td.num").first.inner_text().replace("−", "-"))
    assert abs(apart + 0.4) < 0.35
