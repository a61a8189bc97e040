"""The invented season as people typed it: a mill, its people, and every result in order of time.

`typed` tells what stands in a cell, `mistakes` what stood there before; `stated` what the mill says
of its instruments.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time, timedelta
from functools import cache
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np

from app.ledger.plan import Change
from app.plant.calendar import Clock
from app.plant.measures import MEASURES

from .answers import answer
from .books import SINCE, RecordRow, Shift
from .factory import SHIFTS, SHIFTS_A_DAY, Draw, Values, run_season
from .kept import given, record_rows
from .laboratory import chosen_measures
from .mistakes import Mistake, find_mistakes
from .readings import Cell, readings_for
from .sampled import (
    CARRIED,
    CHOSEN_ON,
    READY_AFTER,
    RETESTED_BY,
    TESTED_AGAIN,
    Retest,
    plan_changes,
    samples_of,
)
from .samples import MILLS, true_measures
from .stated import CONVENTIONS, ESTIMATES, MANUAL, TARGETS, duplicates, lime_doses, uncertainties
from .typed import FIRST_DAY, chosen_texts, due_texts

ZONE = "Etc/GMT-4"
NOW = datetime(2026, 10, 28, 12, 20, tzinfo=ZoneInfo(ZONE)).astimezone(UTC)
SET_UP_AT = datetime(2026, 5, 29, 10, 0, tzinfo=ZoneInfo(ZONE)).astimezone(UTC)
CLOCK = Clock(ZONE, time(6, 0), SHIFTS_A_DAY)

PASSWORD = "cane to bag, demo"  # noqa: S105  printed for whoever tries the demonstration
PEOPLE = tuple(
    {"username": username, "printed_name": printed_name, "role": role, "password": PASSWORD}
    for username, printed_name, role in (
        ("ines", "Ines Okello", "chemist"),
        ("tomas", "Tomas Bhagwan", "chemist"),
        ("mira", "Mira Solano", "chief chemist"),
        ("ruth", "Ruth Vandermeer", "manager"),
        ("samir", "Samir Lachance", "auditor"),
        ("noor", "Noor Achterberg", "administrator"),
    )
)
TYPES_COMMAS = "tomas"

MILL = {
    "name": "Saltmarsh Ridge Sugar Mill",
    "place": "Port Amaranth",
    "zone": ZONE,
    "day_starts": "06:00",
    "shifts_a_day": SHIFTS_A_DAY,
    "extraction_plant": "tandem",
    "mills": MILLS,
}

# what a signer says of results that are no numbers
REMARKS = {
    "not measured": "the sample was missed",
    "below detection": "below the limit of the method",
    "instrument failed": "the instrument was under repair",
    "not due": "not due on this shift",
}


@dataclass(frozen=True)
class HistoryRow:
    """One result as typed; `corrects_previous` where it supersedes the last one of its cell."""

    day: date
    number: int
    measure: str
    typed: str
    reason: str | None
    username: str
    recorded_at: datetime
    corrects_previous: bool
    sample: int = 1


@dataclass(frozen=True)
class FoundLater:
    """A weight that was found wrong once its day was approved, and who approved the day anew."""

    day: date
    number: int
    measure: str
    typed: str
    reason: str
    at: datetime
    approver: str


FOUND_LATER = FoundLater(
    date(2026, 10, 24), 2, "filter_cake", "71.9", "a trailer ticket was found",
    datetime(2026, 10, 25, 9, 30, tzinfo=ZoneInfo(ZONE)).astimezone(UTC), "ruth",
)  # fmt: skip


@dataclass(frozen=True)
class Demo:
    """All that the demonstration's ledger is filled with.

    `mill` and `season`, and each of `people`, `targets` and `conventions`, hold the fields of a row
    by name; so do `uncertainties`, `duplicates` and `lime_doses`, each with when it was said.
    `plan_changes` were chosen at `plan_chosen_at`; what was `tested_again` and `carried` over was
    typed by `retested_by`. `answer` gives the words for a check, by its name and the turn it is.
    `history` and `records` are in order of recording and end before `now`, where the clock stands.
    """

    mill: dict[str, Any]
    people: tuple[dict[str, str], ...]
    season: dict[str, Any]
    targets: tuple[dict[str, Any], ...]
    conventions: tuple[dict[str, Any], ...]
    uncertainties: tuple[dict[str, Any], ...]
    duplicates: tuple[dict[str, Any], ...]
    lime_doses: tuple[dict[str, Any], ...]
    set_up_at: datetime
    now: datetime
    signed_after: timedelta
    approved_after: timedelta
    approver: str
    why_blank: str
    remarks: dict[str, str]
    answer: Callable[[str, int], str]
    found_later: FoundLater
    plan_changes: tuple[Change, ...]
    plan_chosen_at: datetime
    tested_again: tuple[Retest, ...]
    carried: Retest
    retested_by: str
    history: list[HistoryRow] = field(repr=False)
    records: list[RecordRow] = field(repr=False)


def demo_season() -> Demo:
    """Return the demonstration's mill, people and season, the same at every call."""
    booked = given()
    rows = [
        row
        for row in _season_rows()
        if row.recorded_at < NOW and not (row.day >= SINCE and row.measure in booked)
    ]
    return Demo(
        mill=dict(MILL),
        people=PEOPLE,
        season={"name": "2026", "first_day": FIRST_DAY},
        targets=tuple({"figure": f, "value": v, "since": FIRST_DAY} for f, v in TARGETS.items()),
        conventions=tuple(
            {"name": name, "value": value, "since": FIRST_DAY, "source": MANUAL}
            for name, value in CONVENTIONS.items()
        )
        + tuple(
            {"name": "cane_estimate", "value": value, "since": since, "source": source}
            for value, since, source in ESTIMATES
        ),
        uncertainties=uncertainties(CLOCK),
        duplicates=duplicates(CLOCK, true_season()),
        lime_doses=lime_doses(CLOCK),
        set_up_at=SET_UP_AT,
        now=NOW,
        signed_after=timedelta(minutes=45),
        approved_after=timedelta(hours=2),
        approver="mira",
        why_blank="the sample was missed",
        remarks=dict(REMARKS),
        answer=answer,
        found_later=FOUND_LATER,
        plan_changes=plan_changes(),
        plan_chosen_at=CLOCK.shift_bounds(CHOSEN_ON, 1)[0] + timedelta(hours=4),
        tested_again=TESTED_AGAIN,
        carried=CARRIED,
        retested_by=RETESTED_BY,
        history=sorted(rows, key=lambda row: row.recorded_at),
        records=[row for row in _records() if row.recorded_at < NOW],
    )


@cache
def true_season() -> dict[str, Values]:
    """Return the true value of every measure that is taken, by shift."""
    draw = Draw()
    balance = run_season(draw)
    due = true_measures(balance, draw)
    return due | chosen_measures(balance, due)


def _chemist(shift: int) -> str:
    """Return who is on duty: the two change turns, and change again every week."""
    return ("ines", "tomas")[(shift + shift // (7 * SHIFTS_A_DAY)) % 2]


def _written(text: str, username: str) -> str:
    return text.replace(".", ",") if username == TYPES_COMMAS else text


@cache
def _bounds(shift: int) -> tuple[date, int, datetime, datetime]:
    day, number = FIRST_DAY + timedelta(days=shift // SHIFTS_A_DAY), shift % SHIFTS_A_DAY + 1
    return day, number, *CLOCK.shift_bounds(day, number)


def _season_rows() -> Iterator[HistoryRow]:
    """Yield every row of the season, not yet in order of time."""
    due = due_texts(true_season())
    sampled, mistakes = samples_of(due), find_mistakes(due)
    once = {
        name: ["" if (shift, name) in sampled else text for shift, text in enumerate(texts)]
        for name, texts in due.items()
    }
    yield from _rows(once, mistakes, readings_for(due, set(mistakes)))
    yield from _rows(chosen_texts(true_season(), due), {}, {})
    yield from _samples(sampled)


def _records() -> list[RecordRow]:
    """Return the records of the other books, in order of time."""
    due = due_texts(true_season())
    texts = {**chosen_texts(true_season(), due), **due}
    first = (SINCE - FIRST_DAY).days * SHIFTS_A_DAY
    shifts = []
    for number in range(first, SHIFTS):
        day, of_day, begins, ends = _bounds(number)
        local = (at.astimezone(ZoneInfo(ZONE)) for at in (begins, ends))
        on_sheet = {name: text[number] for name, text in texts.items()}
        random = np.random.default_rng(20_261_026 + number)
        shifts.append(Shift(number, day, of_day, *local, on_sheet, random))
    return sorted(record_rows(shifts, _chemist), key=lambda row: row.recorded_at)


def _samples(sampled: dict[Cell, list[str]]) -> Iterator[HistoryRow]:
    for (shift, name), texts in sampled.items():
        day, number, begins, _ = _bounds(shift)
        typist, every = _chemist(shift), timedelta(hours=8 / max(len(texts), 1))
        for n, text in enumerate(texts):
            at, written = begins + n * every + READY_AFTER, _written(text, typist)
            yield HistoryRow(day, number, name, written, None, typist, at, False, n + 1)


def _rows(
    texts: dict[str, list[str]],
    mistakes: dict[Cell, Mistake],
    readings: dict[Cell, dict[str, str]],
) -> Iterator[HistoryRow]:
    """Yield rows of each shift: analyses or their readings through it, weights once it is over."""
    order = sorted(texts, key=lambda name: not MEASURES[name].carrier)
    for shift in range(SHIFTS):
        filled = [name for name in order if texts[name][shift]]
        analyses = sum(1 for name in filled if MEASURES[name].carrier)
        for place, name in enumerate(filled):
            at = _recorded(shift, place, analyses)
            cell = shift, name
            for typed_of, text in readings.get(cell, {name: texts[name][shift]}).items():
                yield from _cell(shift, typed_of, at, text, mistakes.get(cell))


def _recorded(shift: int, place: int, analyses: int) -> datetime:
    """Return when the cell at that `place` of the sheet is typed."""
    _, _, begins, ends = _bounds(shift)
    if place >= analyses:
        return ends + timedelta(minutes=5, seconds=20 * (place - analyses))
    started = begins + timedelta(hours=3)
    done = (ends - started).total_seconds() * (place + 1) / (analyses + 1)
    return started + timedelta(seconds=round(done))


def _cell(
    shift: int, name: str, at: datetime, right: str, mistake: Mistake | None
) -> Iterator[HistoryRow]:
    """Yield a cell's result; where it was mistaken, first the mistake, then its correction."""
    day, number, *_ = _bounds(shift)
    typist, later = _chemist(shift), _chemist(shift + 1)
    if mistake is None:
        yield HistoryRow(day, number, name, _written(right, typist), None, typist, at, False)
        return
    wrong = _written(mistake.typed, typist)
    yield HistoryRow(day, number, name, wrong, None, typist, at, False)
    found = at + timedelta(hours=mistake.hours_to_find)
    yield HistoryRow(day, number, name, _written(right, later), mistake.reason, later, found, True)
