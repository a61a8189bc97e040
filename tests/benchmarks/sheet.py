"""How fast the shift sheet is: `.venv/bin/python -m tests.benchmarks.sheet`.

Prints key to screen on the full sheet of the demonstration, at the speed of this machine and four
times slower, the bytes of the first page, and how long the answer to a saved box takes.
"""

import statistics
import tempfile
import time
from datetime import UTC, datetime
from pathlib import Path

from playwright.sync_api import Page, sync_playwright

from app.settings import Settings
from tests.browser.hands import SHEET, focused, open_sheet, sign_in
from tests.run import find_browser
from tests.served import demo_database, served

NOW = datetime(2026, 10, 28, 13, 0, tzinfo=UTC)
LISTEN = """() => {
  window.waits = [];
  document.addEventListener("keydown", (event) => {
    requestAnimationFrame(() => setTimeout(() => waits.push(performance.now() - event.timeStamp)));
  }, true);
}"""


def percentile(values: list[float], share: float) -> float:
    """Return the value under which `share` of all lie."""
    return sorted(values)[min(len(values) - 1, int(share * len(values)))]


def key_to_screen(page: Page, slower: int) -> list[float]:
    """Type two digits and Enter into a hundred boxes, and time every key."""
    page.context.new_cdp_session(page).send("Emulation.setCPUThrottlingRate", {"rate": slower})
    open_sheet(page)
    page.evaluate(LISTEN)
    page.keyboard.press("Control+Home")
    for _ in range(100):
        page.keyboard.type("12", delay=30)
        page.keyboard.press("Enter", delay=30)
    page.wait_for_timeout(500)
    return page.evaluate("waits")


def saving(page: Page) -> list[float]:
    """Save thirty boxes, one at a time, and time each answer."""
    waits = []
    page.keyboard.press("Control+Home")
    while len(waits) < 30 and focused(page):
        page.keyboard.type("13")
        with page.expect_response(f"**{SHEET}/cells") as answer:
            began = time.perf_counter()
            page.keyboard.press("Enter")
        answer.value.finished()
        waits.append(1000 * (time.perf_counter() - began))
    return waits


def main() -> None:
    """Measure and print."""
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as playwright:
        database = f"sqlite:///{demo_database(Path(folder))}"
        with served(Settings(database_url=database, demo=True, clock=NOW)) as address:
            browser = playwright.chromium.launch(executable_path=find_browser())
            page = browser.new_page(base_url=address)
            sign_in(page)
            answer = page.goto(SHEET)
            boxes = page.locator("#sheet input[name^='result:']").count()
            print(f"first page: {len(answer.body()) / 1000:.0f} kB, {boxes} boxes")
            waits = saving(page)
            print(f"answer to a saved box: {statistics.median(waits):.0f} ms, "
                  f"95 in 100 under {percentile(waits, 0.95):.0f} ms")  # fmt: skip
            for slower in (1, 4):
                waits = key_to_screen(page, slower)
                print(f"key to screen, {slower} times slower, {len(waits)} keys: "
                      f"{statistics.median(waits):.0f} ms, "
                      f"95 in 100 under {percentile(waits, 0.95):.0f} ms")  # fmt: skip
            browser.close()


if __name__ == "__main__":
    main()
