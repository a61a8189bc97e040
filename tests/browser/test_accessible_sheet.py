"""The sheet in each of its states and all that opens over it: nothing found, nothing by colour."""

import random

import pytest
from playwright.sync_api import Page, expect

from tests.browser.axe import findings
from tests.browser.hands import SHEET, TODAY, box, cell, sign_in

WINDOWS = {"wide": {"width": 1440, "height": 900}, "narrow": {"width": 390, "height": 844}}


@pytest.fixture(params=WINDOWS)
def sheet(request, page: Page) -> Page:
    """The sheet of a shift that is filled, in a wide and in a narrow window."""
    page.set_viewport_size(WINDOWS[request.param])
    sign_in(page)
    page.goto(f"/shifts/{TODAY}/1")
    return page


def type_in(page: Page, measure: str, text: str) -> None:
    box(page, measure).focus()
    page.keyboard.type(text)
    page.keyboard.press("Enter")


def test_nothing_is_found_where_a_result_is_refused_unusual_or_asks_why(sheet: Page):
    """C-41, C-35."""
    type_in(sheet, "mixed_juice_ph", "55")
    sheet.keyboard.press("Escape")
    type_in(sheet, "bagasse_pol", "1.93")
    expect(sheet.locator(".message select")).to_be_visible()
    assert findings(sheet) == []
    sheet.keyboard.press("Escape")
    sheet.goto(SHEET)
    type_in(sheet, "mixed_juice_brix", "145")
    expect(box(sheet, "mixed_juice_brix")).to_have_attribute("aria-invalid", "true")
    type_in(sheet, "mixed_juice_ph", "2.5")
    expect(cell(sheet, "mixed_juice_ph").locator(".mark")).to_have_count(1)
    assert findings(sheet) == []


@pytest.mark.parametrize(
    ("key", "dialog"), [("F4", "history"), ("?", "keys"), ("F8", "states"), ("F9", "note")]
)
def test_nothing_is_found_in_what_a_key_opens(sheet: Page, key: str, dialog: str):
    """C-41; Esc closes it, and the keyboard is where it was."""
    box(sheet, "mixed_juice_brix").focus()
    sheet.keyboard.press(key)
    expect(sheet.locator(f"#{dialog}")).to_be_visible()
    assert findings(sheet) == []
    sheet.keyboard.press("Escape")
    expect(sheet.locator(f"#{dialog}")).to_be_hidden()
    expect(box(sheet, "mixed_juice_brix")).to_be_focused()


@pytest.mark.parametrize("block", ["14.2\t12.1\n1\t2\n", "brix\tpol\n14.2\t12.1\n"])
def test_nothing_is_found_in_what_a_block_would_do(sheet: Page, block: str):
    """C-41, C-07."""
    box(sheet, "mixed_juice_brix").focus()
    sheet.evaluate(
        """(block) => {
            const data = { clipboardData: new DataTransfer(), bubbles: true, cancelable: true };
            data.clipboardData.setData("text/plain", block);
            document.activeElement.dispatchEvent(new ClipboardEvent("paste", data));
        }""",
        block,
    )
    expect(sheet.locator("#paste")).to_be_visible()
    assert findings(sheet) == []
    sheet.keyboard.press("Escape")
    expect(sheet.locator("#paste")).to_have_count(0)


def test_nothing_is_found_where_a_password_is_asked_for_over_the_sheet(sheet: Page):
    """C-41."""
    sheet.evaluate("document.dispatchEvent(new CustomEvent('locked'))")
    expect(sheet.locator("dialog[open] [name=password]")).to_be_visible()
    assert findings(sheet) == []


def test_nothing_is_found_while_the_ledger_does_not_answer(sheet: Page):
    """C-41, B-55."""
    sheet.goto(SHEET)
    sheet.context.set_offline(True)
    type_in(sheet, "mixed_juice_brix", "14.2")
    expect(cell(sheet, "mixed_juice_brix")).to_have_attribute("data-state", "unsent")
    assert findings(sheet) == []
    sheet.context.set_offline(False)
    expect(cell(sheet, "mixed_juice_brix")).not_to_have_attribute("data-state", "unsent")


def test_nothing_is_found_on_a_sheet_without_script_that_was_not_saved(browser, ledger):
    """C-41, C-31: errors stand first, with the words beside the boxes."""
    context = browser.new_context(base_url=ledger.address, java_script_enabled=False)
    page = context.new_page()
    page.goto("/sign-in")
    page.locator("[name=username]").fill("ines")
    page.locator("[name=password]").fill("cane to bag, demo")
    page.locator("main button").first.click()
    page.goto(SHEET)
    box(page, "mixed_juice_brix").fill("145")
    page.get_by_role("button", name="Save the sheet").click()
    expect(page.locator("#summary")).to_contain_text("lies between 3 and 30")
    html, address = page.content(), page.url
    context.close()
    seen = browser.new_context(base_url=ledger.address).new_page()
    seen.route("**/as-it-was", lambda route: route.fulfill(body=html, content_type="text/html"))
    seen.goto(address.rsplit("/", 1)[0] + "/as-it-was")
    assert findings(seen) == []
    seen.context.close()


STATES = """() => [...document.querySelectorAll("#sheet input[name^='result:']")].map((box) => {
    const td = box.closest("td");
    const said = (box.getAttribute("aria-describedby") ?? "").split(" ").filter(Boolean)
        .map((id) => document.getElementById(id)?.textContent.trim() ?? null);
    return {
        key: box.id, name: box.getAttribute("aria-label"), state: td.dataset.state ?? "",
        wrong: box.getAttribute("aria-invalid"), said,
        outside: td.classList.contains("outside"), refused: td.classList.contains("refused"),
        mark: td.querySelector(".mark")?.textContent.trim() ?? "",
        word: td.querySelector(".state")?.textContent.trim() ?? "",
    };
})"""
TEXTS = ("14.2", "145", "x", "1,234.5", "nm", "2.5", "", "85", "7.1", "0")


def amiss(states: list[dict]) -> list[tuple[str, str]]:
    """What is not as it should be of any box: what it tells a screen reader, and how it looks."""
    found = []
    for one in states:
        if one["wrong"] not in (None, "true"):
            found.append((one["key"], "aria-invalid is true or is not there"))
        if one["refused"] and one["wrong"] != "true":
            found.append((one["key"], "a refused box is not said to be wrong"))
        if one["wrong"] == "true" and not one["said"]:
            found.append((one["key"], "why it is wrong is not tied to it"))
        if not all(one["said"]):
            found.append((one["key"], "it is described by what is not there, or empty"))
        if one["outside"] and not one["mark"]:
            found.append((one["key"], "unusual by its colour alone"))
        if one["state"] in ("unsent", "refused", "conflict", "asks") and not one["word"]:
            found.append((one["key"], "its state is not in words"))
    names = [one["name"] for one in states]
    assert len(set(names)) == len(names)
    return found


@pytest.mark.parametrize("seed", range(3))
def test_each_box_says_its_state_at_every_moment(page: Page, seed: int):
    """C-34, C-35, C-30: after any of many texts, in any box, with and without the ledger."""
    draw = random.Random(seed)
    sign_in(page)
    page.goto(SHEET)
    keys = [one["key"] for one in page.evaluate(STATES)]
    for turn in range(25):
        page.context.set_offline(turn in range(10, 14))
        measure = draw.choice(keys[:30])
        if not box(page, measure).count():
            continue  # it follows now
        type_in(page, measure, draw.choice(TEXTS))
        assert amiss(page.evaluate(STATES)) == []
        page.wait_for_function("() => !document.querySelector('[data-state=sending]')")
        assert amiss(page.evaluate(STATES)) == []
        page.keyboard.press("Escape")
