"""A shift typed into the sheet and into a spreadsheet: keys, seconds and slips that are noticed.

    .venv/bin/python -m tests.benchmarks.typing

The sheet is typed through a real Chromium with keys alone. The spreadsheet is counted by the rules
of its keys: typing replaces what is in a cell, and Enter enters it and goes down, Tab to the right
(so the module on spreadsheets of http://www.openicdl.org.za/courses/mod4/ch02.html), an arrow its
own way; after a run of Tabs Enter goes below the cell where the run began; between two cells the
fewest such keys are taken. Its table is laid out as the sheet is, the heads not counted. A second
spreadsheet is prepared: all but the due cells are locked, and Tab goes from one to the next.

A key takes 0.20 s of an average skilled typist and 0.28 s of an average typist: Card, Moran and
Newell, "The keystroke-level model for user performance time with interactive systems",
Communications of the ACM 23 (1980) 396-410. Thinking (M, 1.35 s) is the same in both and left out.
"""

import random
import shutil
import tempfile
import time
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

from playwright.sync_api import Page, sync_playwright

from app.database import open_database, reading, writing
from app.ledger import book, chain, mills, people, tables
from app.plant.measures import MEASURES, SHIFT
from app.plant.samples import place_of
from app.settings import Settings
from tests.browser.conftest import NOW, QUIET
from tests.browser.hands import SHEET, TODAY, YESTERDAY, focused, sign_in
from tests.run import find_browser
from tests.served import demo_database, served

RATES = (0.20, 0.28)  # seconds a key
BY_THE_HOUR = {
    "clear_juice_ph": (1, "7.1"), "limed_juice_ph": (1, "7.8"),
    "mixed_juice_brix": (2, "14.2"), "mixed_juice_pol": (2, "12.1"),
    "syrup_brix": (2, "64.5"),
}  # fmt: skip
WHO_AND_WHEN = ("io", "14:20")  # what a spreadsheet is told once a shift, and the ledger knows
LAYOUT = """() => [...document.querySelectorAll('#sheet table.sheet tbody tr:not(.group, .panels)')]
    .map((row) => [...row.cells].slice(1)
        .map((td) => td.querySelector("input[name^='result:']")?.id ?? ''))"""
WAYS = {"Tab to every box": "Tab", "+ to the next box that is due": "NumpadAdd"}
SETTLED = "() => !document.querySelector('#sheet [data-state=sending]')"

Layout = list[list[str]]


@dataclass(frozen=True)
class Count:
    """What typing took: keys, and seconds that a typist has to wait for the program."""

    keys: int
    waited: float = 0.0
    handled: float = 0.0


def results(engine, day, number) -> dict[str, str]:
    """Return what was typed on a shift and stands, by the keys of its places."""
    with reading(engine) as connection:
        season = mills.season_of(connection, mills.the_mill(connection), day)
        entries = book.sheet(connection, season, day, number)
    return {key: entry.typed for key, entry in entries.items() if entry.value is not None}


def due_each_shift(found: dict[str, str]) -> dict[str, str]:
    """Return those that every shift owes."""
    measures = {key: MEASURES[place_of(key).measure] for key in found}
    return {key: found[key] for key, m in measures.items() if m.due and m.grain == SHIFT}


def take(engine, every: dict[str, int]) -> None:
    """Let the mill take some results so often, in hours, from today on."""
    with writing(engine) as connection:
        mill, noor = mills.the_mill(connection), people.person_named(connection, "noor")
        for name, hours in every.items():
            m = MEASURES[name]
            values = {
                "mill_id": mill.id, "measure": name, "since": TODAY, "taken": "due",
                "grain": "shift", "every": hours, "rule": "mean", "reason": "as agreed",
                "recorded_by": noor.id, "recorded_at": NOW,
            }  # fmt: skip
            limits = ("usual_low", "usual_high", "hard_low", "hard_high")
            values |= dict(zip(limits, (*m.usual, *m.hard), strict=True))
            chain.add(connection, tables.sampling, values, by=noor, at=NOW)


def type_all(page: Page, wanted: dict[str, str], onward: str) -> Count:
    """Type what is wanted, going from box to box with one key."""
    page.goto(SHEET)
    page.wait_for_load_state()
    if onward == "Tab":
        page.keyboard.press("Control+Home")
    left, keys, begun = dict(wanted), 0, time.perf_counter()
    for _ in range(600):
        text = left.pop(focused(page), "")
        for sign in text:
            page.keyboard.press(sign)
        page.keyboard.press(onward)
        keys += len(text) + 1
        if not left:
            break
    handled = (time.perf_counter() - begun) / keys
    assert not left, f"{onward} does not come to {sorted(left)}"
    done = time.perf_counter()
    page.wait_for_function(SETTLED)
    return Count(keys, time.perf_counter() - done, handled)


def in_a_spreadsheet(layout: Layout, wanted: dict[str, str]) -> Count:
    """Count the fewest keys, row by row or column by column, and who and when."""
    places = {key: (r, c) for r, row in enumerate(layout) for c, key in enumerate(row) if key}
    told = sum(len(text) + 1 for text in (*wanted.values(), *WHO_AND_WHEN))
    orders = [sorted(places[key] for key in wanted)]
    orders += [sorted(orders[0], key=lambda place: place[::-1])]
    return Count(told + min(sum(_more_moves(order)) for order in orders))


def _more_moves(order: list[tuple[int, int]]) -> Iterator[int]:
    """Yield how many keys beyond the one that enters a cell lead to the next."""
    began = order[0][1]
    for (row, column), (to_row, to_column) in pairwise(order):
        straight = abs(to_row - row) + abs(to_column - column)
        by_enter = 1 + abs(to_row - row - 1) + abs(to_column - began)
        yield min(straight, by_enter) - 1
        if to_row != row:
            began = to_column


def prepared(wanted: dict[str, str]) -> Count:
    """Count the keys where Tab goes from one due cell to the next."""
    return Count(sum(len(text) + 1 for text in (*wanted.values(), *WHO_AND_WHEN)))


def slips(typed: dict[str, str], last: dict[str, str]) -> dict[str, list[dict[str, str]]]:
    """Return slips by kind, each what it leaves in which boxes; drawn with a fixed seed."""
    draw = random.Random(27102026)
    analyses = sorted(key for key in typed if MEASURES[place_of(key).measure].prop != "weight")
    decimals = [key for key in analyses if typed[key].replace(",", ".").count(".") == 1]
    pairs = [key for key in decimals if key.endswith("_brix") and f"{key[:-4]}pol" in typed]
    twelve = draw.sample(decimals, 12)
    made = {
        "slipped decimal": [{key: _slipped(typed[key])} for key in twelve],
        "pol and brix exchanged": [
            {key: typed[f"{key[:-4]}pol"], f"{key[:-4]}pol": typed[key]} for key in pairs[:6]
        ],
        "wrong box": [
            {key: typed[draw.choice([other for other in decimals if other != key])]}
            for key in draw.sample(decimals, 12)
        ],
        "first digits exchanged": [{key: _exchanged(typed[key], 0)} for key in twelve],
        "last digits exchanged": [{key: _exchanged(typed[key], -2)} for key in twelve],
        "last shift typed again": [{key: last[key]} for key in twelve if key in last],
    }
    return {
        kind: [slip for slip in found if any(typed[key] != text for key, text in slip.items())]
        for kind, found in made.items()
    }


def _slipped(text: str) -> str:
    """Move the decimal sign a place to the right."""
    whole, sign, fraction = text.partition("," if "," in text else ".")
    return f"{whole}{fraction[0]}{sign}{fraction[1:]}".rstrip(",.")


def _exchanged(text: str, at: int) -> str:
    """Exchange two digits that stand beside each other, from the left or right end."""
    places = [n for n, sign in enumerate(text) if sign.isdigit()]
    first, second = places[at : at + 2 or None][:2] if len(places) > 1 else (0, 0)
    signs = list(text)
    signs[first], signs[second] = signs[second], signs[first]
    return "".join(signs)


STANDS_OUT = """() => [
    ...[...document.querySelectorAll('#sheet :is([aria-invalid=true], .outside > input[id])')]
        .map((box) => box.id),
    ...[...document.querySelectorAll('#checks a[href*="#"]')].map((link) => link.hash.slice(1)),
]"""


def put(page: Page, texts: dict[str, str]) -> set[str]:
    """Put texts into their boxes as corrections; gives the boxes that stand out then."""
    changes = [{"key": key, "text": text, "reason": "tested again"} for key, text in texts.items()]
    page.evaluate(
        "(all) => import('/static/sheet/sender.js').then((sender) => sender.send(all))", changes
    )
    page.wait_for_function(SETTLED)
    return set(page.evaluate(STANDS_OUT))


def noticed(page: Page, slip: dict[str, str], typed: dict[str, str]) -> tuple[bool, bool]:
    """Tell whether the sheet notices a slip, and a spreadsheet that knows what cannot be."""
    before = set(page.evaluate(STANDS_OUT))
    after = put(page, slip)
    put(page, {key: typed[key] for key in slip})
    cannot_be = any(
        not low <= float(text.replace(",", ".")) <= high
        for key, text in slip.items()
        for low, high in [MEASURES[place_of(key).measure].hard]
    )
    return bool((after - before) & set(slip)), cannot_be


def row(name: str, count: Count) -> None:
    """Print one way of typing."""
    seconds = "".join(f"{count.keys * rate:8.0f} s" for rate in RATES)
    print(f"{name:52}{count.keys:6}{seconds}{count.waited * 1000:9.0f} ms")


def what_is_due(engine, every: int) -> dict[str, str]:
    """Return the results of a shift, some of them by the hour where `every` is 1."""
    wanted = due_each_shift(results(engine, YESTERDAY, 2))
    wanted = {k: t for k, t in wanted.items() if place_of(k).measure not in BY_THE_HOUR}
    for name, (hours, text) in BY_THE_HOUR.items():
        count = 8 // hours if every else 1
        wanted |= {f"{name}-{n}" if n > 1 else name: text for n in range(1, count + 1)}
    return wanted


def compare(playwright, database: Path, title: str, every: int) -> None:
    """Print what typing the same results takes in each."""
    for words, onward in WAYS.items():
        copy = Path(shutil.copy(database, database.with_name(f"{every}-{onward}.db")))
        url = f"sqlite:///{copy}"
        engine = open_database(url)
        take(engine, {name: hours * every for name, (hours, _) in BY_THE_HOUR.items()})
        wanted = what_is_due(engine, every)
        with served(Settings(database_url=url, demo=True, clock=NOW)) as address:
            browser = playwright.chromium.launch(executable_path=find_browser(), args=[*QUIET])
            page = browser.new_page(base_url=address, viewport={"width": 1440, "height": 900})
            sign_in(page)
            page.goto(SHEET)
            if onward == "Tab":
                print(f"\n{title}: {len(wanted)} results, {sum(map(len, wanted.values()))} signs")
                print(f"{'':52}{'keys':>6}{'at 0.20':>10}{'at 0.28':>10}{'waited':>12}")
                row(
                    "a spreadsheet of the same layout",
                    in_a_spreadsheet(page.evaluate(LAYOUT), wanted),
                )
                row("a spreadsheet prepared for these results alone", prepared(wanted))
            ours = type_all(page, wanted, onward)
            row(f"the sheet, {words}", ours)
            print(f"{'':6}each key handled in {1000 * ours.handled:.1f} ms, with the driver's time")
            assert wanted.items() <= results(engine, TODAY, 2).items()
            if onward != "Tab" and not every:
                notice(page, wanted, results(engine, TODAY, 1))
            browser.close()
        engine.dispose()


def main() -> None:
    """Print both tables."""
    with tempfile.TemporaryDirectory() as scratch, sync_playwright() as playwright:
        database = demo_database(Path(scratch))
        for title, every in (("Each result once a shift", 0), ("Samples by the hour", 1)):
            compare(playwright, database, title, every)


def notice(page: Page, typed: dict[str, str], last: dict[str, str]) -> None:
    """Print how many slips of each kind are noticed."""
    theirs = "spreadsheet that knows what cannot be"
    print(f"\n{'slips noticed while typing':32}{'sheet':>12}{theirs:>42}")
    for kind, made in slips(typed, last).items():
        told = [noticed(page, slip, typed) for slip in made]
        ours, theirs = (sum(one[n] for one in told) for n in (0, 1))
        print(f"{kind:32}{ours:6} of {len(made):2}{theirs:36} of {len(made):2}")
    print("A plain spreadsheet, without limits for each cell, notices none of them.")


if __name__ == "__main__":
    main()
