"""Take a picture of every page: `.venv/bin/python -m tests.look FOLDER [words of page names]`.

Each page is saved at 1440 and 390 px, and, where pdftoppm is installed, as it prints on A4.
"""

import shutil
import subprocess
import sys
import tempfile
from datetime import UTC, datetime
from itertools import product
from pathlib import Path

from playwright.sync_api import Browser, Page, sync_playwright

from app.settings import Settings
from demo_data.season import PASSWORD
from tests.run import find_browser
from tests.served import demo_database, served

NOW = datetime(2026, 10, 28, 8, 20, tzinfo=UTC)
WIDTHS = (1440, 390)

PAGES = {
    "sign-in": "/sign-in",
    "today": "/",
    "sheet": "/shifts/2026-10-28/1",
    "sheet-of-yesterday": "/shifts/2026-10-27/3",
    "books": "/books",
    "book": "/books/stops/2026-10-28/1",
    "imports": "/imports",
    "book-report": "/books/stops",
    "book-of-cane": "/books/consignments/2026-10-28/1",
    "book-report-of-cane": "/books/consignments?first=2026-10-26&last=2026-10-28",
    "book-report-of-mills": "/books/mill_survey?first=2026-10-26&last=2026-10-28",
    "book-report-of-evaporator": "/books/evaporator?first=2026-10-26&last=2026-10-28",
    "book-report-of-water": "/books/water?first=2026-10-26&last=2026-10-28",
    "book-report-of-lots": "/books/bagging?first=2026-10-26&last=2026-10-28",
    "book-of-strikes": "/books/strikes/2026-10-28/1",
    "book-report-of-strikes": "/books/strikes?first=2026-10-26&last=2026-10-28",
    "book-report-of-curing": "/books/centrifugals?first=2026-10-26&last=2026-10-28",
    "book-of-vessels": "/books/calibrations/2026-10-26/1",
    "book-of-dips": "/books/dips/2026-10-27/3",
    "book-report-of-dips": "/books/dips?first=2026-10-26&last=2026-10-28",
    "book-report-of-loads": "/books/dispatch?first=2026-10-26&last=2026-10-28",
    "trail": "/shifts/2026-10-27/1/cells/bagasse_pol",
    "signature": "/shifts/2026-10-27/1/signature",
    "blanks": "/shifts/2026-10-28/1/signature",
    "approval": "/days/2026-10-27/approval",
    "issues": "/days/2026-10-27/issues",
    "trail-of-day": "/trail?day=2026-10-24",
    "after-signing": "/trail?signed=yes",
    "morning-report": "/days/2026-10-27",
    "morning-report-clean": "/days/2026-07-06",
    "week": "/weeks/2026-W43",
    "month": "/months/2026-10",
    "season": "/seasons/2026",
    "points": "/days/2026-10-27/points",
    "points-of-week": "/weeks/2026-W43/points?against=before",
    "points-of-season": "/seasons/2026/points?against=last-season",
    "what-if": "/days/2026-10-27/what-if",
    "what-if-of-month": "/months/2026-10/what-if?pol_extraction=96,5&final_molasses_purity=35"
    "&price=512.50&currency=USD",
    "what-if-refused": "/weeks/2026-W43/what-if?pol_extraction=101&sugar_purity=high"
    "&final_molasses_purity=34&price=1,250",
    "what-if-of-run": "/runs/2026-10-12/2026-10-22/what-if?undetermined_loss=1.5&price=480",
    "balance": "/days/2026-10-27/balance",
    "balance-clean": "/days/2026-08-20/balance",
    "balance-of-season": "/seasons/2026/balance",
    "forecast": "/seasons/2026/forecast",
    "return": "/seasons/2026/return",
    "runs": "/runs",
    "runs-refused": "/runs?first=2026-10-22&last=2026-10-12&hours=long",
    "comparison": "/comparison",
    "run": "/runs/2026-10-12/2026-10-22",
    "trends": "/trends",
    "trends-unknown": "/trends?of=extraktion",
    "control-chart": "/trends?of=pol_extraction",
    "control-chart-of-shifts": "/trends?of=mixed_juice_brix&per=shift&from=2026-09-01"
    "&to=2026-09-30&judged=yes&rule=beyond&rule=nine&rule=four_of_five",
    "trend-of-seasons": "/trends/season",
    "trend-of-stops": "/trends/stops",
    "trend-of-time": "/trends/time",
    "trend-of-mills": "/trends/mills",
    "trend-of-molasses": "/trends/molasses",
    "stations": "/days/2026-10-27/figures",
    "manual": "/manual",
    "manual-boiling": "/manual/pans_and_crystallizers",
    "manual-measures": "/manual/measures",
    "manual-conventions": "/manual/conventions",
    "figure-of-shift": "/shifts/2026-10-27/1/figures/undetermined_loss",
    "figure-lacking": "/days/2026-10-27/figures/java_ratio",
    "figure": "/days/2026-10-27/figures/pol_extraction",
    "figure-of-season": "/seasons/2026/figures/boiling_house_recovery",
    "bench": "/bench",
    "bench-worked-out": "/bench?conversion=brix&reading=15,2&temperature=28&table=1936",
    "bench-refused": "/bench?conversion=pol&reading=60&brix=95&clarification=dry&dilution=1",
    "uncertainty": "/uncertainty",
    "uncertainty-of-measure": "/uncertainty/mixed_juice_brix",
    "plant": "/plant",
    "plant-measure": "/plant/measures/clear_juice_ph",
    "plant-part": "/plant/parts/filter_cake",
    "plant-equipment": "/plant/conventions/equipment",
    "plant-conventions": "/plant/conventions",
    "plant-targets": "/plant/targets",
    "plant-review": "/plant/conventions/standard_molasses_brix/review"
    "?standard_molasses_brix=86&since=2026-10-29&reason=the+trade",
    "people": "/people",
    "instruments": "/instruments",
    "status": "/status",
    "account": "/account",
    "roles": "/manual/roles",
    "manual-reports": "/manual/reports",
    "manual-api": "/manual/api",
    "trust": "/manual/trust",
    "accessibility": "/manual/accessibility",
    "not-found": "/nothing-here",
}
SEEN_BY = {"sign-in": "", "people": "noor", "instruments": "noor", "status": "noor"}
SEEN_BY |= dict.fromkeys(("plant-measure", "plant-part", "plant-equipment", "plant-review"), "noor")


def look(folder: Path, words: list[str]) -> None:
    """Save the pictures of the pages whose name holds one of `words`, or of all."""
    names = [name for name in PAGES if not words or any(word in name for word in words)]
    folder.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as scratch, sync_playwright() as playwright:
        database = demo_database(Path(scratch))
        settings = Settings(database_url=f"sqlite:///{database}", demo=True, clock=NOW)
        with served(settings) as address:
            browser = playwright.chromium.launch(executable_path=find_browser())
            for width, username in product(WIDTHS, ("", "ines", "noor")):
                seen = [name for name in names if SEEN_BY.get(name, "ines") == username]
                if seen:
                    page = _signed_in(browser, address, width, username)
                    _take(page, seen, folder, width)
            browser.close()


def _signed_in(browser: Browser, address: str, width: int, username: str) -> Page:
    page = browser.new_page(base_url=address, viewport={"width": width, "height": 900})
    page.on("console", lambda message: print(f"{page.url}: {message.text}"))
    if username:
        page.goto("/sign-in")
        page.locator("[name=username]").fill(username)
        page.locator("[name=password]").fill(PASSWORD)
        page.locator("[name=password]").press("Enter")
        page.wait_for_url("/")
    return page


def _take(page: Page, names: list[str], folder: Path, width: int) -> None:
    for name in names:
        page.goto(PAGES[name])
        page.screenshot(path=folder / f"{name}-{width}.png", full_page=True)
        if width == WIDTHS[0]:
            _print(page, folder / name)


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
