"""The invented season as people typed it: noise, gaps, mistakes and one instrument that drifts.

From 2026-09-21 the mixed juice scale reads high, more every day, by 1.5 % on 2026-10-27. Bagasse,
by difference, then comes out too light and the undetermined loss too high: the fault to be found.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time, timedelta
from functools import cache
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np

from app.plant.calendar import Clock
from app.plant.measures import MEASURES, Measure

from .factory import SEED, SHIFTS, SHIFTS_A_DAY, Draw, Values, run_season
from .mistakes import Mistake, find_mistakes
from .samples import MILLS, due_measures, taken, true_measures

ZONE = "Etc/GMT-4"
FIRST_DAY = date(2026, 6, 1)
NOW = datetime(2026, 10, 28, 12, 20, tzinfo=ZoneInfo(ZONE)).astimezone(UTC)
SET_UP_AT = datetime(2026, 5, 29, 10, 0, tzinfo=ZoneInfo(ZONE)).astimezone(UTC)
CLOCK = Clock(ZONE, time(6, 0), SHIFTS_A_DAY)

SCALE_DRIFTS_FROM, SCALE_DRIFTS_TO, SCALE_DRIFT = date(2026, 9, 21), date(2026, 10, 27), 0.015
LAST_WITHOUT_GAPS = 6  # shifts: the demonstration's yesterday is complete

PASSWORD = "cane to bag, demo"  # noqa: S105  printed for whoever tries the demonstration
PEOPLE = tuple(
    {"username": username, "printed_name": printed_name, "role": role, "password": PASSWORD}
    for username, printed_name, role in (
        ("ines", "Ines Okello", "chemist"),
        ("tomas", "Tomas Bhagwan", "chemist"),
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

TARGETS = {
    "pol_extraction": 96.5,
    "reduced_extraction": 96.8,
    "imbibition_on_fibre": 225.0,
    "crushing_rate": 232.0,
    "time_efficiency": 90.0,
    "boiling_house_recovery": 88.5,
    "boiling_house_efficiency": 95.5,
    "overall_recovery": 85.4,
    "bagasse_loss": 3.5,
    "filter_cake_loss": 0.5,
    "final_molasses_loss": 9.3,
    "undetermined_loss": 1.3,
    "final_molasses_purity": 35.5,
    "cane_per_sugar": 8.7,
}

CONVENTIONS = {
    "suspended_solids": "counted as fibre",
    "bagasse_weight": "by difference",
    "sugar_accounted": "made and estimated",
    "standing_sugar_purity": "99.15",
    "standing_sugar_pol": "98.9",
    "standing_molasses_purity": "36",
}
MANUAL = "mill's laboratory manual, invented for the demonstration"

# Standard deviation of one result: by property in its unit, or by weight in parts of it.
BY_PROPERTY = {
    "brix": 0.05, "pol": 0.06, "purity": 0.4, "moisture": 0.3, "ph": 0.04, "colour": 60,
    "suspended_solids": 0.04, "reducing_sugars": 0.25, "ash": 0.2, "temperature": 0.5,
    "open_cells": 0.5, "sugar_trace": 0.8,
}  # fmt: skip
BY_MEASURE = {
    "sugar_moisture": 0.01, "filter_cake_pol": 0.08, "filter_cake_moisture": 0.5,
    "syrup_pol": 0.15, "syrup_brix": 0.15, "clarified_syrup_pol": 0.15, "final_molasses_pol": 0.2,
}  # fmt: skip
BY_WEIGHT = {
    "cane": 0.001, "imbibition": 0.005, "mixed_juice": 0.002, "lime": 0.01, "filter_cake": 0.02,
    "sugar": 0.0005, "final_molasses": 0.002, "steam": 0.01, "power": 0.002, "crushing_hours": 0,
}  # fmt: skip
OF_VOLUME = 0.01
HEAVY_BRIX = 0.2  # massecuites, magmas and molasses are weighed out and dissolved first


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


@dataclass(frozen=True)
class Demo:
    """All that the demonstration's ledger is filled with.

    `mill` and `season`, and each of `people`, `targets` and `conventions`, hold the fields of a row
    by name. `history` is in order of recording and ends before `now`, where the clock stands.
    """

    mill: dict[str, Any]
    people: tuple[dict[str, str], ...]
    season: dict[str, Any]
    targets: tuple[dict[str, Any], ...]
    conventions: tuple[dict[str, Any], ...]
    set_up_at: datetime
    now: datetime
    history: list[HistoryRow] = field(repr=False)


def demo_season() -> Demo:
    """Return the demonstration's mill, people and season, the same at every call."""
    rows = [row for row in _rows(typed_texts()) if row.recorded_at < NOW]
    return Demo(
        mill=dict(MILL),
        people=PEOPLE,
        season={"name": "2026", "first_day": FIRST_DAY},
        targets=tuple({"figure": f, "value": v, "since": FIRST_DAY} for f, v in TARGETS.items()),
        conventions=tuple(
            {"name": name, "value": value, "since": FIRST_DAY, "source": MANUAL}
            for name, value in CONVENTIONS.items()
        ),
        set_up_at=SET_UP_AT,
        now=NOW,
        history=sorted(rows, key=lambda row: row.recorded_at),
    )


@cache
def true_season() -> dict[str, Values]:
    """Return the true value of every due measure, by shift."""
    draw = Draw()
    return true_measures(run_season(draw), draw)


def typed_texts() -> dict[str, list[str]]:
    """Return what was rightly typed for each due measure, a text a shift, "" where nothing."""
    random = np.random.Generator(np.random.PCG64(SEED + 1))
    return {measure.name: _texts(measure, random) for measure in due_measures()}


def _spread(measure: Measure) -> float | Values:
    true = true_season()[measure.name]
    if measure.name in BY_WEIGHT:
        return true * BY_WEIGHT[measure.name]
    if measure.prop == "volume":
        return true * OF_VOLUME
    if measure.prop == "brix" and measure.usual[0] >= 56:
        return BY_MEASURE.get(measure.name, HEAVY_BRIX)
    return BY_MEASURE.get(measure.name, BY_PROPERTY[measure.prop])


def _scale_drift() -> Values:
    """Return the factor by which the mixed juice scale reads too high on each shift."""
    began, full = ((day - FIRST_DAY).days for day in (SCALE_DRIFTS_FROM, SCALE_DRIFTS_TO))
    return np.interp(np.arange(SHIFTS) // SHIFTS_A_DAY, (began - 1, full), (1, 1 + SCALE_DRIFT))


def _texts(measure: Measure, random: np.random.Generator) -> list[str]:
    values = true_season()[measure.name] + random.normal(0, 1, SHIFTS) * _spread(measure)
    if measure.name == "mixed_juice":
        values = values * _scale_drift()
    found = [_text(measure, value) for value in values]
    if measure.carrier:
        _leave_gaps(found, random)
    return [text if due else "" for text, due in zip(found, taken(measure), strict=True)]


def _text(measure: Measure, value: float) -> str:
    if np.isnan(value):
        return "nd"
    if measure.prop == "sugar_trace" and value < 1:
        return "bd"
    return f"{max(value, 0):.{measure.decimals}f}"


def _leave_gaps(texts: list[str], random: np.random.Generator) -> None:
    """Leave 1 % of analyses blank and name 0.4 % as not measured or as an instrument's failure."""
    for shift, chance in enumerate(random.random(SHIFTS - SHIFTS_A_DAY - LAST_WITHOUT_GAPS)):
        if texts[shift] != "nd" and chance < 0.014:
            texts[shift] = "" if chance < 0.01 else "nm" if chance < 0.012 else "if"


def _chemist(shift: int) -> str:
    """Return who is on duty: the two change turns, and change again every week."""
    return ("ines", "tomas")[(shift + shift // (7 * SHIFTS_A_DAY)) % 2]


def _written(text: str, username: str) -> str:
    return text.replace(".", ",") if username == TYPES_COMMAS else text


def _bounds(shift: int) -> tuple[date, int, datetime, datetime]:
    day, number = FIRST_DAY + timedelta(days=shift // SHIFTS_A_DAY), shift % SHIFTS_A_DAY + 1
    return day, number, *CLOCK.shift_bounds(day, number)


def _rows(texts: dict[str, list[str]]) -> Iterator[HistoryRow]:
    """Yield every row: analyses through the shift, weights and dips once it is over."""
    mistakes = find_mistakes(texts)
    order = sorted(texts, key=lambda name: not MEASURES[name].carrier)
    for shift in range(SHIFTS):
        filled = [name for name in order if texts[name][shift]]
        analyses = sum(1 for name in filled if MEASURES[name].carrier)
        for place, name in enumerate(filled):
            at = _recorded(shift, place, analyses)
            yield from _cell(shift, name, at, texts[name][shift], mistakes.get((shift, name)))


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
