"""What a report said when it was issued beside what is known now, and what lies behind it."""

import json
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal
from functools import lru_cache
from typing import Protocol, TypeVar

from app.figures import FIGURES
from app.figures.declare import ENTERED
from app.figures.evaluate import behind
from app.plant.measures import CARRIERS, MEASURES
from app.plant.readings import READINGS
from app.reports.day import DayReport
from app.reports.lines import Line
from app.reports.numbers import MINUS, as_read, printed, rounded


class Amended(Protocol):
    """Something entered after an issue: a result of a shift, or a choice from a day on."""

    @property
    def event(self) -> int: ...  # noqa: D102
    @property
    def day(self) -> date: ...  # noqa: D102
    @property
    def number(self) -> int: ...  # noqa: D102
    @property
    def subject(self) -> str: ...  # noqa: D102
    @property
    def before(self) -> str: ...  # noqa: D102
    @property
    def after(self) -> str: ...  # noqa: D102
    @property
    def change(self) -> Decimal | None: ...  # noqa: D102
    @property
    def reason(self) -> str: ...  # noqa: D102
    @property
    def recorded_name(self) -> str: ...  # noqa: D102
    @property
    def recorded_at(self) -> datetime: ...  # noqa: D102
    @property
    def convention(self) -> bool: ...  # noqa: D102


AnyAmended = TypeVar("AnyAmended", bound=Amended)


@dataclass(frozen=True)
class Change:
    """A number of the report that is no longer what was issued, and what was entered since."""

    name: str
    title: str
    unit: str
    column: str
    issued: str
    now: str
    difference: str
    behind: tuple[Amended, ...]

    @property
    def seen(self) -> bool:
        """Whether it differs as printed, and not only in digits that are not."""
        return self.issued != self.now


def lines_of(page: DayReport) -> list[Line]:
    """Return every line of a morning report that holds numbers, each once."""
    account = [page.account.pol_in_cane]
    account += [line for row in page.account.rows for line in (row.tonnes, row.share)]
    sections = (*page.sections, page.stock, page.analyses)
    every = [*account, *(line for section in sections for line in section.lines)]
    return list({line.name: line for line in every}.values())


def frozen_figures(page: DayReport) -> bytes:
    """Return the numbers of a report as JSON: by name, for each column, exact and as printed.

    It reads alike in every language: `page` is one that was made in English.
    """
    figures = {
        line.name: {
            "title": line.title,
            "unit": line.unit,
            "values": [cell.value for cell in line.cells],
            "printed": [cell.text for cell in line.cells],
        }
        for line in lines_of(page)
    }
    said = {"day": f"{page.day}", "columns": page.columns, "figures": figures}
    return json.dumps(said, ensure_ascii=False, indent=1, allow_nan=False).encode()


def changes(
    issued: bytes, page: DayReport, first_day: date, amended: Iterable[AnyAmended]
) -> tuple[Change, ...]:
    """Return the numbers of `page` that differ from those `issued`, with what lies behind each.

    `first_day` is the season's.
    """
    before = json.loads(issued)["figures"]
    monday = page.day - timedelta(days=page.day.weekday())
    firsts = (page.day, monday, first_day)
    since = list(amended)
    found = []
    for line in lines_of(page):
        told = before.get(line.name)
        for index, column in enumerate(page.columns):
            was, text = (told["values"][index], told["printed"][index]) if told else (None, "")
            cell = line.cells[index]
            if was == cell.value:
                continue
            because = _behind(line.name, firsts[index], page.day, since)
            difference = _difference(line.name, was, cell.value)
            found.append(
                Change(
                    line.name, line.title, line.unit, column,
                    as_read(text) or "–", cell.text or "–", difference, because,
                )
            )  # fmt: skip
    return tuple(found)


def _difference(name: str, was: float | None, now: float | None) -> str:
    if was is None or now is None:
        return ""
    decimals = FIGURES[name].decimals if name in FIGURES else MEASURES[name].decimals
    # of the numbers as they are printed, so that a reader can check it
    text = printed(rounded(now, decimals) - rounded(was, decimals), decimals)
    return text if text.startswith(MINUS) else f"+{text}"


def _behind(name: str, first: date, last: date, amended: Sequence[Amended]) -> tuple[Amended, ...]:
    """Return what was entered that a figure of some days rests on.

    That is what its measures were amended by on these days; where nothing was, it rests on the
    stock at the end of the day before, or on an estimate from another day of the same week.
    """
    measures, conventions = rests_on(name)
    on_it = [
        a
        for a in amended
        if a.subject in measures or a.subject in conventions
        if a.day <= last or not a.convention
    ]
    within = tuple(a for a in on_it if a.convention or first <= a.day <= last)
    if within:
        return within
    monday = first - timedelta(days=max(first.weekday(), 1))
    sunday = last + timedelta(days=6 - last.weekday())
    return tuple(a for a in on_it if monday <= a.day <= sunday)


@lru_cache(maxsize=512)
def rests_on(name: str) -> tuple[frozenset[str], frozenset[str]]:
    """Return the measures and the conventions that a figure, or the mean of a measure, rests on."""
    asked = {name} if name in MEASURES else set()
    for figure in behind((name,)):
        for way in FIGURES[figure].ways:
            asked |= {given.removeprefix(ENTERED) for given in (*way.inputs, *way.when)}
    measures = {given for given in asked if given in MEASURES}
    measures |= {CARRIERS[given] for given in measures if given in CARRIERS}
    measures |= {reading for given in measures for reading in READINGS.get(given, ())}
    return frozenset(measures), frozenset(asked - measures - FIGURES.keys())
