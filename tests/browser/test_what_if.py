"""What if: from the morning report to what better molasses would have given; a phone and paper."""

import re

import pytest
from playwright.sync_api import Page, expect

from tests.browser.hands import YESTERDAY, sign_in

OF_MONTH = "/months/2026-10/what-if?pol_extraction=97&price=512.5&currency=USD"
pytestmark = pytest.mark.usefixtures("ledger")


def what_it_would_be(page: Page):
    return page.get_by_role("region", name="What it would have been")


@pytest.mark.browser_context_args(java_script_enabled=False)
def test_a_manager_tries_better_molasses_and_sends_the_address(page: Page):
    sign_in(page, "ruth")
    page.goto(f"/days/{YESTERDAY}")
    page.get_by_role("link", name="What if", exact=True).click()
    recovery = what_it_would_be(page).get_by_role("row", name="Overall recovery")
    expect(recovery).to_contain_text("81.82")
    page.get_by_label("Final molasses purity").fill("33,5")
    page.get_by_label("Price of a tonne of sugar").fill("500")
    page.get_by_label("In which money").fill("USD")
    page.keyboard.press("Enter")
    words = page.get_by_role("region", name="In words")
    expect(words).to_contain_text(re.compile(r"t more sugar; overall recovery 82\.\d\d instead of"))
    expect(words).to_contain_text("USD")
    expect(page.get_by_label("Final molasses purity")).to_have_value("33,5")
    told = what_it_would_be(page).inner_text()
    kept = page.url
    page.goto("/")
    page.goto(kept)
    assert what_it_would_be(page).inner_text() == told
    page.get_by_role("link", name="Clear all boxes").click()
    expect(page.get_by_label("Final molasses purity")).to_have_value("")


def test_what_cannot_be_has_the_keyboard_led_to_its_box(page: Page):
    sign_in(page, "ruth")
    page.goto(f"/days/{YESTERDAY}/what-if")
    page.get_by_label("Pol extraction").fill("101")
    page.keyboard.press("Enter")
    expect(page.get_by_role("alert")).to_be_focused()
    page.get_by_role("alert").get_by_role("link").click()
    extraction = page.get_by_label("Pol extraction")
    expect(extraction).to_be_focused()
    expect(extraction).to_have_accessible_description("Write a number from 1 to 100.")
    expect(extraction).to_have_value("101")


@pytest.mark.parametrize("address", [f"/days/{YESTERDAY}/what-if", OF_MONTH])
def test_on_a_telephone_every_difference_is_in_sight(page: Page, address: str):
    page.set_viewport_size({"width": 390, "height": 844})
    sign_in(page, "ruth")
    page.goto(address)
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    for name in ("Try other figures", "What it would have been", "What one step is worth"):
        region = page.get_by_role("region", name=name)
        assert region.evaluate("here => here.scrollWidth <= here.clientWidth"), name


def test_it_prints_on_one_page_with_what_was_typed_and_without_buttons(page: Page):
    sign_in(page, "ruth")
    page.goto(OF_MONTH)
    printed = page.pdf(format="A4", prefer_css_page_size=True)
    assert len(re.findall(rb"/Type\s*/Page\b", printed)) == 1
    page.emulate_media(media="print")
    expect(page.get_by_role("button", name="Work out")).to_be_hidden()
    expect(page.get_by_label("Pol extraction")).to_have_value("97")
    expect(page.get_by_label("Pol extraction")).to_be_visible()
