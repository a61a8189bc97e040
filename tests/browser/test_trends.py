"""Trends by keyboard: a control chart is asked for, its baseline kept, and told in the trail."""

from playwright.sync_api import Page, expect

from tests.browser.axe import findings
from tests.browser.hands import sign_in


def test_a_chart_is_asked_for_and_its_baseline_kept(page: Page):
    """C-55, C-56"""
    sign_in(page, "mira")
    page.goto("/seasons/2026")
    page.get_by_role("link", name="Trends", exact=True).press("Enter")
    asked = page.get_by_label("Measure or figure")
    asked.fill("Pol extractoin")
    asked.press("Enter")
    expect(page.locator("#of-wrong")).to_have_text("No measure or figure is called Pol extractoin.")
    assert findings(page) == []
    page.get_by_role("link", name="Pol extraction", exact=True).first.press("Enter")
    found = page.get_by_role("region", name="What the rules found")
    expect(found).to_contain_text("11 days in a row above the centre")
    expect(found).to_contain_text("no baseline is kept")

    page.get_by_label("Baseline from").fill("2026-08-14")
    page.get_by_label("Baseline to").fill("2026-09-08")
    page.get_by_role("button", name="Show").press("Enter")
    expect(found).to_contain_text("nobody keeps them")
    limits = page.locator("tbody", has=page.get_by_role("cell")).first.inner_text()

    reason = page.get_by_label("Why these days")
    reason.fill("even weeks after the new knives")
    reason.press("Enter")
    expect(found).to_contain_text("even weeks after the new knives")
    assert page.locator("tbody", has=page.get_by_role("cell")).first.inner_text() == limits
    assert findings(page) == []
    page.goto("/trail?person=mira")
    expect(page.locator(".trail-list")).to_contain_text("Control chart of Pol extraction")


def test_a_chemist_looks_and_keeps_nothing(page: Page):
    sign_in(page)
    page.goto("/trends?of=pol_extraction")
    expect(page.get_by_role("heading", name="Pol extraction")).to_be_visible()
    expect(page.get_by_label("Why these days")).to_have_count(0)
