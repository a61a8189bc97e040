"""Take a picture of every page: `.venv/bin/python -m tests.look FOLDER [words of page names]`.

Each page is saved at 1440 and 390 px, and, where pdftoppm is installed, as it prints on A4.
"""

import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterable
from datetime import UTC, datetime
from pathlib import Path

from playwright.sync_api import Browser, Page, sync_playwright

from app.settings import Settings
from demo_data.season import demo_season
from tests.run import find_browser
from tests.served import demo_database, served

NOW = datetime(2026, 10, 28, 8, 20, tzinfo=UTC)
WIDTHS = (1440, 390)


def pages(season: str) -> dict[str, str]:
    """Return the address of each page by the name of its picture."""
    return {
        "today": "/",
        "sheet": "/shifts/2026-10-28/1",
        "sheet-of-yesterday": "/shifts/2026-10-27/3",
        "sheet-empty": "/shifts/2026-10-28/2",
        "trail": "/shifts/2026-10-27/1/cells/bagasse_pol",
        "morning-report": "/days/2026-10-27",
        "week": "/weeks/2026-W43",
        "season": f"/seasons/{season}",
        "figures": "/figures",
        "figure": "/days/2026-10-27/figures/pol_extraction",
        "figure-of-season": f"/seasons/{season}/figures/boiling_house_recovery",
        "people": "/people",
        "not-found": "/nothing-here",
    }


def look(folder: Path, words: list[str]) -> None:
    """Save the pictures of the pages whose name holds one of `words`, or of all."""
    data = demo_season()
    wanted = {
        name: address
        for name, address in pages(data.season["name"]).items()
        if not words or any(word in name for word in words)
    }
    folder.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as scratch, sync_playwright() as playwright:
        database = demo_database(Path(scratch))
        settings = Settings(database_url=f"sqlite:///{database}", demo=True, clock=NOW)
        with served(settings) as address:
            browser = playwright.chromium.launch(executable_path=find_browser())
            for width in WIDTHS:
                page = _signed_in(browser, address, width, data.people)
                for name, path in wanted.items():
                    page.goto(address + path)
                    page.screenshot(path=folder / f"{name}-{width}.png", full_page=True)
                    if width == WIDTHS[0]:
                        _print(page, folder / name)
            browser.close()


def _signed_in(
    browser: Browser, address: str, width: int, people: Iterable[dict[str, str]]
) -> Page:
    administrator = next(person for person in people if person["role"] == "administrator")
    page = browser.new_page(base_url=address, viewport={"width": width, "height": 900})
    page.on("console", lambda message: print(f"{page.url}: {message.text}"))
    page.goto("/sign-in")
    page.screenshot(path=Path(sys.argv[1]) / f"sign-in-{width}.png", full_page=True)
    page.locator("[name=username]").fill(administrator["username"])
    page.locator("[name=password]").fill(administrator["password"])
    page.locator("[name=password]").press("Enter")
    page.wait_for_url("/")
    return page


def _print(page: Page, stem: Path) -> None:
    document = stem.with_suffix(".pdf")
    page.pdf(path=document, format="A4", prefer_css_page_size=True)
    if shutil.which("pdftoppm"):
        subprocess.run(["pdftoppm", "-r", "80", "-png", document, f"{stem}-printed"], check=True)
        document.unlink()


if __name__ == "__main__":
    if len(sys.argv) < 2:
        sys.exit(__doc__)
    look(Path(sys.argv[1]), sys.argv[2:])
