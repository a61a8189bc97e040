"""The bench in a browser: worked out by keyboard alone, kept on a telephone and in print."""

import pytest
from playwright.sync_api import Page, expect

from tests.browser.hands import sign_in

BRIX = "/bench?conversion=brix&reading=15.2&temperature=28&table=1936"
REFUSED = "/bench?conversion=brix&reading=15.2&temperature=35&table=1936"


def tab_to(page: Page, name: str) -> None:
    """Press Tab until the element of that id has the keyboard."""
    for _ in range(200):
        if page.evaluate("document.activeElement.id") == name:
            return
        page.keyboard.press("Tab")
    pytest.fail(f"the keyboard does not come to {name}")


def test_pol_is_worked_out_with_the_keyboard_alone(page: Page):
    sign_in(page)
    page.get_by_role("link", name="Bench").press("Enter")
    page.wait_for_url("**/bench")
    page.wait_for_load_state()
    tab_to(page, "pol-reading")
    page.keyboard.type("60")
    page.keyboard.press("Tab")
    page.keyboard.type("12,5")
    page.keyboard.press("Tab")
    page.keyboard.type("Dry")
    tab_to(page, "pol-dilution")
    page.keyboard.press("Enter")
    page.wait_for_url("**/bench?conversion=pol&**")
    expect(page.locator("#pol-reading")).to_have_attribute("aria-invalid", "true")
    expect(page.locator("#pol-reading")).to_be_focused()
    expect(page.locator("#pol-reading-said")).to_contain_text("above its brix of 12.5")
    page.keyboard.press("Control+A")
    page.keyboard.type("40")
    page.keyboard.press("Enter")
    result = page.locator("#pol [role=status]")
    expect(result).to_be_focused()
    expect(result).to_be_in_viewport()
    # 40 °Z at 12.5 °Bx is 9.928 % by the definition of the sugar scale; 100 × 9.928 ÷ 12.5 = 79.42
    expect(result).to_contain_text("9.93")
    expect(result).to_contain_text("79.42")
    expect(page.locator("#pol-brix")).to_have_value("12,5")


def test_the_mill_s_lime_is_kept_used_and_taken_out(page: Page):
    sign_in(page)
    page.goto("/bench#lime-table")
    for name, typed in (("from_ph", "5,1"), ("to_ph", "7.4"), ("dose", "0.65")):
        page.locator(f"#dose-{name}").fill(typed)
    page.locator("#dose-dose").press("Enter")
    page.wait_for_url("**/bench?done=kept#lime-table")
    expect(page.locator("#lime-table")).to_be_in_viewport()
    page.locator("#lime-step").select_option("5.1-7.4")
    page.locator("#lime-juice").fill("200")
    page.locator("#lime-juice").press("Enter")
    expect(page.locator("#lime [role=status]")).to_contain_text("130.0 kg")
    row = page.locator("#lime-table tbody tr").first
    row.locator("summary").press("Enter")
    row.get_by_role("button").press("Enter")
    page.wait_for_url("**/bench?done=out#lime-table")
    expect(page.locator("#lime-table tbody tr").first).not_to_contain_text("5.1")


@pytest.mark.parametrize("path", ["/bench", BRIX, REFUSED])
def test_the_bench_fits_a_telephone(page: Page, path: str):
    page.set_viewport_size({"width": 390, "height": 844})
    sign_in(page)
    page.goto(path)
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    if path != "/bench":
        expect(page.locator("[autofocus]").first).to_be_in_viewport()
        expect(page.locator("[autofocus]").first).to_be_focused()


def test_boxes_and_links_are_large_enough_to_touch(page: Page):
    page.set_viewport_size({"width": 390, "height": 844})
    sign_in(page)
    page.goto("/bench")
    # 24 px: WCAG 2.2, success criterion 2.5.8
    touched = page.locator("main :is(a, button, select, input:not([type=hidden]))")
    assert touched.count() > 50
    small = touched.evaluate_all(
        "all => all.filter(one => one.getBoundingClientRect().height < 24).map(one => one.id)"
    )
    assert small == []


def test_an_answer_prints_alone(page: Page):
    sign_in(page)
    page.goto(BRIX)
    page.emulate_media(media="print")
    expect(page.locator("#brix")).to_be_visible()
    expect(page.locator("#hydrometer")).to_be_hidden()
    expect(page.locator("#pol")).to_be_hidden()
    page.goto("/bench")
    expect(page.locator("#hydrometer")).to_be_visible()
    expect(page.locator("#pol")).to_be_visible()
