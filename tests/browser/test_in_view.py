"""Heads, row titles and the box with the keyboard stay in view; a telephone has one station."""

import pytest
from playwright.sync_api import Page, expect

from tests.browser.conftest import Ledger
from tests.browser.hands import SHEET, TODAY, box, focused, open_sheet, saved, sign_in, type_in

OVER = f"/shifts/{TODAY}/1"

# what is wrong with how the box that has the keyboard is seen, in words; nothing if it is well
SEEN = """() => {
  const box = document.activeElement, td = box.closest("td"), table = td.closest("table");
  const inside = (r) => r.top >= -1 && r.left >= -1 && r.bottom <= innerHeight + 1
    && r.right <= innerWidth + 1;
  const top = (r, x, y) => document.elementFromPoint(r.left + x, r.top + y);
  const b = box.getBoundingClientRect();
  if (!inside(b)) return `${box.id} is out of view`;
  for (const [x, y] of [[3, 3], [b.width - 3, 3], [3, b.height - 3], [b.width - 3, b.height - 3]]) {
    const over = top(b, x, y);
    if (!td.contains(over)) return `${box.id} is covered by ${over.tagName} ${over.className}`;
  }
  if (getComputedStyle(table).display === "block") return "";
  const head = table.tHead.rows[0].cells[td.cellIndex], title = td.parentElement.cells[0];
  for (const [what, of] of [["head", head], ["title", title]]) {
    const r = of.getBoundingClientRect();
    const over = top(r, Math.min(8, r.width / 2), r.height - 4);
    if (!of.contains(over)) return `${what} of ${box.id} is not in view`;
  }
  return "";
}"""


@pytest.mark.parametrize(
    ("width", "height"), [(1440, 900), (1366, 768), (683, 384), (390, 844)], ids=str
)
def test_heads_and_titles_stay_in_view_at_every_box(page: Page, width: int, height: int):
    """C-13: 683 × 384 is a screen of 1366 × 768 at 200 %."""
    page.set_viewport_size({"width": width, "height": height})
    sign_in(page)
    open_sheet(page)
    page.keyboard.press("Control+Home")
    walked = set()
    while focused(page) not in walked | {""}:
        walked.add(focused(page))
        assert page.evaluate(SEEN) == ""
        page.keyboard.press("Tab")
    assert len(walked) > 60


def test_the_sheet_opens_on_the_first_due_empty_box(page: Page):
    """C-14"""
    sign_in(page)
    open_sheet(page)
    first = focused(page)
    assert "14:00" in box(page, first).get_attribute("aria-label")  # when the shift began
    expect(page.locator("#due")).to_contain_text("0 of ")
    expect(page.locator("#due")).to_contain_text("next due")
    type_in(page, first, "14.1")
    expect(saved(page, first)).to_be_attached()
    expect(page.locator("#due")).to_contain_text("1 of ")
    page.reload()
    expect(page.locator("html.scripted")).to_be_attached()
    second = focused(page)
    assert second not in ("", first)
    assert "14:00" in box(page, second).get_attribute("aria-label")
    page.goto("/")
    expect(page.locator("main")).to_contain_text("1 of ")
    expect(page.locator("main")).to_contain_text("next due")


def test_what_is_late_is_said_and_leads_to_its_box(page: Page):
    """C-14: the shift before ended over an hour ago."""
    sign_in(page)
    open_sheet(page, OVER)
    late = page.locator("#due a")
    expect(late).to_contain_text("late")
    late.click()
    here = late.get_attribute("href").removeprefix("#")
    expect(page.locator(f'[id="{here}"]')).to_be_in_viewport()


def test_a_telephone_shows_the_boxes_of_one_station_large_enough(page: Page, ledger: Ledger):
    """C-36: without sideways scrolling, each box below its name."""
    page.set_viewport_size({"width": 390, "height": 844})
    sign_in(page)
    open_sheet(page)
    page.get_by_role("link", name="Clarification", exact=True).click()
    page.wait_for_url("**?station=clarification")
    expect(page.locator("html.scripted")).to_be_attached()
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    shown = page.locator("#results input[name^='result:']")
    assert shown.count() > 10
    assert box(page, "cane").count() == 0
    for at in shown.evaluate_all("boxes => boxes.map((b) => b.getBoundingClientRect().height)"):
        assert at >= 44
    expect(page.locator("#cell-clear_juice_brix")).to_have_attribute("data-label", "brix, °Bx")
    box(page, "clear_juice_brix").focus()
    page.keyboard.type("14.1")
    page.keyboard.press("Enter")
    assert focused(page) == "clear_juice_pol"  # the next below, where boxes stand in one column
    expect(saved(page, "clear_juice_brix")).to_be_attached()
    assert ledger.results(TODAY, 2) == {"clear_juice_brix": "14.1"}


@pytest.mark.browser_context_args(java_script_enabled=False)
def test_without_script_one_station_is_a_form(page: Page, ledger: Ledger):
    """C-19"""
    sign_in(page)
    page.goto(f"{SHEET}?station=clarification")
    box(page, "clear_juice_ph").fill("7.1")
    page.get_by_role("button", name="Save the sheet").click()
    page.wait_for_url("**?saved&station=clarification")
    assert ledger.results(TODAY, 2) == {"clear_juice_ph": "7.1"}
