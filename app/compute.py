"""`mill-ledger compute`: figures of one period, or of several and to date, from JSON alone."""

import difflib
from collections.abc import Iterable
from decimal import Decimal
from typing import NamedTuple

import numpy as np

from app.figures import CONVENTIONS, FIGURES
from app.figures.certainty import default_of_rows
from app.figures.declare import OPENING
from app.figures.evaluate import in_force
from app.figures.periods import OPENINGS, Books, Result
from app.figures.sheets import Period, Sheets, Stated
from app.plant.measures import ASKED, CARRIERS, EXTRA_PROPERTIES, HARD, MEASURES
from app.plant.streams import STREAMS
from app.plant.typed import Unreadable, read

OTHER_ENTRIES = frozenset(
    {"gross_hours"} | {f"{stream}_{prop}" for stream in STREAMS for prop in EXTRA_PROPERTIES}
)
# an auditor may ask what follows from values that no sheet takes, but nothing weighs less than none
_FROM_NOTHING_UP = OTHER_ENTRIES | {name for name, (low, _) in HARD.items() if low >= 0}
_PARTS = frozenset({"random", "systematic", "relative"})


class Parsed(NamedTuple):
    """One period as it was given: numbers, chosen conventions, and stated uncertainties."""

    measures: dict[str, float]
    conventions: dict[str, object]
    uncertainties: object


class BadDocument(ValueError):
    """The document cannot be computed; the message names the place and says what is expected."""


def compute(document: object) -> dict[str, object]:
    """Return figures for `{"measures": {…}, "conventions": {…}}`, or for a list of such periods.

    A measure is a number or a text (decimal comma or point). A figure may be given in place of the
    measures it follows from. A list gives `{"periods": […], "to_date": …}`, in which tonnes are
    summed over the list. `uncertainty` is a standard uncertainty, from the defaults or from
    `"uncertainties": {measure: {"random": …, "systematic": …, "relative": true or false}}`; a part
    that is left out keeps its default. Raises BadDocument, also for a negative measure that cannot
    be one; other hard limits of the sheet do not hold here.
    """
    many = isinstance(document, list)
    periods = document if isinstance(document, list) else [document]
    if not periods:
        raise BadDocument("The list holds no period")
    parsed = [
        _parsed(period, f"period {n}: " if many else "") for n, period in enumerate(periods, 1)
    ]
    books = Books(_sheets(parsed))
    size = len(parsed)
    result = _over(books, [Period(i, i + 1) for i in range(size)])
    answers = [_figures(result, i) for i in range(size)]
    if not many:
        return answers[0]
    return {"periods": answers, "to_date": _figures(_over(books, [Period(0, size)]), 0)}


def _over(books: Books, periods: list[Period]) -> Result:
    """Return all figures of some periods, ready to be asked how sure they are."""
    result = books.over(periods)
    result.certainty.cover(tuple(FIGURES))
    return result


def _figures(result: Result, index: int) -> dict[str, object]:
    return {
        "figures": {
            name: {
                "value": _number(result.values[name][index]),
                "unit": figure.unit,
                "missing": list(result.missing(name, index)),
                "coverage": _number(result.coverage[name][index] + 0 * result.values[name][index]),
                "uncertainty": _number(result.certainty.standard(name, index)),
            }
            for name, figure in FIGURES.items()
            if not figure.internal
        }
    }


def _number(value: float) -> float | None:
    return float(value) if np.isfinite(value) else None


def _parsed(period: object, where: str) -> Parsed:
    if not isinstance(period, dict) or not isinstance(period.get("measures"), dict):
        raise BadDocument(f'{where}expected an object with "measures" (and "conventions")')
    extra = period.keys() - {"measures", "conventions", "uncertainties"}
    if extra:
        raise BadDocument(f"{where}{min(extra)} is neither measures nor conventions")
    conventions = period.get("conventions")
    conventions = {} if conventions is None else conventions
    if not isinstance(conventions, dict):
        raise BadDocument(f"{where}conventions is an object of names and values")
    check_names(conventions, CONVENTIONS.keys(), f"{where}no convention")
    measures = {n: v for n, v in period["measures"].items() if v is not None}
    names = MEASURES.keys() | OTHER_ENTRIES | FIGURES.keys() | {OPENING + n for n in OPENINGS}
    check_names(measures, names, f"{where}no measure or figure")
    values = {name: _read(name, value, where) for name, value in measures.items()}
    for name, value in values.items():
        if value < 0 and name in _FROM_NOTHING_UP:
            raise BadDocument(f"{where}{name} is 0 or more, not {value:g}")
    uncertainties = period.get("uncertainties")
    return Parsed(values, conventions, {} if uncertainties is None else uncertainties)


def check_names(given: Iterable[str], known: Iterable[str], what: str) -> None:
    """Raise BadDocument for the first name that is not known, with the nearest that is."""
    known = list(known)
    for name in given:
        if name not in known:
            near = difflib.get_close_matches(name, known, 1)
            hint = f"; {near[0]} is one" if near else ""
            raise BadDocument(f"{what} is called {name}{hint}")


def _read(name: str, value: object, where: str) -> float:
    if isinstance(value, str):
        if not value.strip():
            return float("nan")
        try:
            exact = read(value)[1]  # a named state is no number: its measure lacks
        except Unreadable as problem:
            raise BadDocument(f"{where}{name}: {value!r}. {problem}") from None
        if exact is None:
            return float("nan")
        value = exact
    if isinstance(value, bool) or not isinstance(value, int | float | Decimal):
        raise BadDocument(f"{where}{name} is a number or a text, not {value!r}")
    try:
        number = float(value)
    except OverflowError:
        number = float("inf")
    if not np.isfinite(number):
        raise BadDocument(f"{where}{name} is not a finite number")
    return number


def _stated(each: list[object], size: int) -> dict[str, Stated]:
    """Return the uncertainties that the periods state, the defaults standing where they do not."""
    found: dict[str, Stated] = {}
    for row, stated in enumerate(each):
        if not isinstance(stated, dict):
            raise BadDocument("uncertainties is an object of measures")
        check_names(stated, MEASURES.keys() | OTHER_ENTRIES, "uncertainties: no measure")
        for measure, parts in stated.items():
            rows = found.setdefault(measure, default_of_rows(measure, size))
            _state(rows, row, parts, f"uncertainties: {measure} ")
    return found


def _state(rows: Stated, row: int, parts: object, where: str) -> None:
    if not isinstance(parts, dict) or parts.keys() - _PARTS:
        raise BadDocument(f"{where}takes random, systematic and relative")
    relative = parts.get("relative", bool(rows.relative[row]))
    if not isinstance(relative, bool):
        raise BadDocument(f"{where}relative is true or false")
    if relative != rows.relative[row] and not parts.keys() >= _PARTS:
        # the default of the part left out is in the other unit
        raise BadDocument(f"{where}takes random and systematic where relative is not its default")
    rows.relative[row] = relative
    for part, column in (("random", rows.random), ("systematic", rows.systematic)):
        if part in parts:
            column[row] = _read(part, parts[part], where)
        if not column[row] >= 0:
            raise BadDocument(f"{where}{part} is a number from 0 up")


def _sheets(parsed: list[Parsed]) -> Sheets:
    size = len(parsed)
    names = dict.fromkeys(name for period in parsed for name in period.measures)
    columns = {
        name: np.array([period.measures.get(name, np.nan) for period in parsed]) for name in names
    }
    entered = {n: c for n, c in columns.items() if n in MEASURES or n in OTHER_ENTRIES}
    return Sheets(
        entered=entered,
        given={n: c for n, c in columns.items() if n not in entered},
        conventions=_conventions([period.conventions for period in parsed]),
        day=np.zeros(size, dtype=np.int64),
        week=np.zeros(size, dtype=np.int64),
        carriers=CARRIERS,
        asked=ASKED,
        limits=HARD,
        stated=_stated([period.uncertainties for period in parsed], size),
        starts_empty=False,
    )


def _conventions(chosen: list[dict[str, object]]) -> dict[str, np.ndarray]:
    try:
        each = [in_force(choice, 1) for choice in chosen]
    except (ValueError, TypeError) as problem:
        raise BadDocument(str(problem)) from None
    return {name: np.concatenate([choice[name] for choice in each]) for name in CONVENTIONS}
