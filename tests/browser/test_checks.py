"""Checks beside the sheet, answered from the keyboard."""

from playwright.sync_api import Page, expect

from tests.browser.conftest import Ledger
from tests.browser.hands import SHEET, TODAY, box, open_sheet, saved, sign_in, type_in

POL = "answer-pol_under_brix:mixed_juice_brix"


def test_a_check_appears_once_the_box_is_left_and_is_answered_by_enter(page: Page, ledger: Ledger):
    """C-10: it links to its cells, and asks no more once it is answered."""
    sign_in(page)
    open_sheet(page)
    type_in(page, "mixed_juice_brix", "12.9")
    expect(saved(page, "mixed_juice_brix")).to_be_visible()
    type_in(page, "mixed_juice_pol", "13.1")
    expect(page.locator(f'[id="{POL}"]')).to_be_visible()
    checks = page.locator("#checks")
    checks.get_by_role("link", name="Mixed juice, brix").first.press("Enter")
    expect(box(page, "mixed_juice_brix")).to_be_in_viewport()
    page.locator(f'[id="{POL}"]').focus()
    page.keyboard.type("tested again, the same")
    page.keyboard.press("Enter")
    expect(page.locator(f'[id="{POL}"]')).to_have_count(0)
    expect(checks).to_contain_text("tested again, the same")
    assert ledger.results(TODAY, 2)["mixed_juice_pol"] == "13.1"


def test_after_an_answer_the_keyboard_is_in_the_next_one(page: Page):
    """One stop for each check: Enter answers it and goes on."""
    sign_in(page)
    open_sheet(page)
    for measure, typed in (("clear_juice_ph", "7.9"), ("bagasse_moisture", "55")):
        type_in(page, measure, typed)
        expect(saved(page, measure)).to_be_visible()
    answers = page.locator("#checks input[name=words]")
    expect(answers).to_have_count(2)
    answers.first.focus()
    said = ("lime was off", "mill 5 ran open")
    for words in said:
        page.keyboard.type(words)
        page.keyboard.press("Enter")
    expect(answers).to_have_count(0)
    page.reload()
    for words in said:
        expect(page.locator("#checks")).to_contain_text(words)


def test_an_answer_that_the_ledger_refuses_or_does_not_get_stays_in_its_box(page: Page):
    sign_in(page)
    open_sheet(page)
    type_in(page, "clear_juice_ph", "7.9")
    answer = page.locator('[id="answer-usual_range:clear_juice_ph"]')
    answer.press("Enter")
    expect(page.locator("#checks .wrong")).to_contain_text("Say it in words")
    page.context.set_offline(True)
    answer.fill("lime was off")
    answer.press("Enter")
    expect(page.locator("#checks .wrong")).to_contain_text("The ledger does not answer")
    expect(answer).to_have_value("lime was off")
    page.context.set_offline(False)
    answer.press("Enter")
    expect(page.locator("#checks")).to_contain_text("Seen by you: lime was off")


def test_what_is_typed_into_an_answer_stays_while_results_are_saved(page: Page):
    sign_in(page)
    open_sheet(page)
    type_in(page, "clear_juice_ph", "7.9")
    answer = page.locator('[id="answer-usual_range:clear_juice_ph"]')
    answer.fill("half a sen")
    type_in(page, "syrup_ph", "6.4")
    expect(saved(page, "syrup_ph")).to_be_visible()
    expect(answer).to_have_value("half a sen")


def test_a_check_is_answered_without_script(browser, ledger: Ledger):
    """C-19"""
    context = browser.new_context(base_url=ledger.address, java_script_enabled=False)
    page = context.new_page()
    sign_in(page)
    page.goto(SHEET)
    box(page, "clear_juice_ph").fill("7.9")
    page.get_by_role("button", name="Save the sheet").click()
    answer = page.locator('[id="answer-usual_range:clear_juice_ph"]')
    answer.fill("lime was off")
    answer.press("Enter")
    expect(page.locator("#checks")).to_contain_text("lime was off")
    context.close()
