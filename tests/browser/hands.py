"""What a person does at a page: signs in, finds a box, types."""

from datetime import date

import pytest
from playwright.sync_api import Locator, Page

from app.plant.measures import MEASURES
from demo_data.season import PASSWORD

TODAY, YESTERDAY = date(2026, 10, 28), date(2026, 10, 27)
SHEET = f"/shifts/{TODAY}/2"


def sign_in(page: Page, username: str = "ines") -> None:
    page.goto("/sign-in")
    page.locator("[name=username]").focus()
    page.keyboard.type(username)
    page.keyboard.press("Tab")
    page.keyboard.type(PASSWORD)
    page.keyboard.press("Enter")
    page.wait_for_url(lambda address: "/sign-in" not in address)


def box(page: Page, measure: str) -> Locator:
    return page.locator(f'input[name="result:{measure}"]')


def cell(page: Page, measure: str) -> Locator:
    """The cell of the sheet around the box of a measure."""
    return page.locator("td").filter(has=box(page, measure))


def focused(page: Page) -> str:
    """The measure whose box has the keyboard, or nothing."""
    name = page.evaluate("document.activeElement.getAttribute('name') ?? ''")
    return name.removeprefix("result:") if name.startswith("result:") else ""


def type_sheet(page: Page, results: dict[str, str]) -> None:
    """Type `results` as the keyboard comes to their boxes: Enter after a weight, else Tab."""
    left = dict(results)
    for _ in range(6 * len(MEASURES)):
        if not left:
            return
        here = focused(page)
        if here not in left:
            page.keyboard.press("Tab")
            continue
        page.keyboard.type(left.pop(here))
        with page.expect_response(lambda answer: answer.request.method == "POST") as saved:
            page.keyboard.press("Enter" if MEASURES[here].prop == "weight" else "Tab")
        assert saved.value.ok, here
    pytest.fail(f"the keyboard does not come to {sorted(left)}")
