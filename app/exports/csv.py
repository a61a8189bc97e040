"""One CSV file of a period: totals, what each shift gives to them, every standing entry, notes.

RFC 4180: a header, CRLF, quotes doubled, UTF-8, a point as decimal sign, instants in UTC.
"""

import csv
import io
import re
from collections.abc import Iterable, Iterator
from datetime import UTC, datetime

import numpy as np

from app.exports.columns import COLUMNS
from app.figures import FIGURES
from app.figures.evaluate import ADDS
from app.figures.readings import RESULTS
from app.figures.sheets import Period
from app.language import ENGLISH, speaking
from app.ledger.notes import Note
from app.ledger.shifts import Kept
from app.plant.books import GIVEN_BY
from app.plant.measures import MEASURES, SHIFT, Measure
from app.plant.samples import RULES, Place
from app.reports.lines import missing_words
from app.reports.numbers import plain
from app.reports.season_books import SeasonBooks

Row = dict[str, object]

_NUMBER = re.compile(r"[+-]?\d+([.,]\d+)?(e[+-]?\d+)?")
_WIDE = "\uff1d\uff0b\uff0d\uff20"  # = + - @ as East Asian keyboards give them
_RUN_BY_SPREADSHEETS = (*"=+-@\t\r\n", *_WIDE)
# what would run where columns are parted at semicolons, as many languages set it, or at tabs
_PARTED = re.compile(rf"(?<=[;\t\r\n])(?=[\s\"]*[=+\-@{_WIDE}])")


def inert(text: str) -> str:
    """Return text that no spreadsheet runs as a formula; a number is left as it is.

    An apostrophe goes before what would run, at the beginning or behind a semicolon, tab or line.
    """
    text = _PARTED.sub("'", text)
    if text.startswith(_RUN_BY_SPREADSHEETS) and not _NUMBER.fullmatch(text):
        return f"'{text}"
    return text


def instant(moment: datetime) -> str:
    """Return a moment as files write it: in UTC, to the second."""
    return moment.astimezone(UTC).isoformat(timespec="seconds")


@speaking(ENGLISH)
def period_csv(
    books: SeasonBooks,
    period: Period,
    title: str,
    entries: Iterable[Kept],
    notes: Iterable[Note] = (),
    status: str = "draft",
) -> str:
    """Return the file of a period as text."""
    out = io.StringIO()
    writer = csv.DictWriter(out, COLUMNS.keys(), restval="", lineterminator="\r\n")
    writer.writeheader()
    for rows in (
        totals(books, period), _conventions(books, period), _plan(books, period),
        shares(books, period), of_readings(books, period), of_books(books, period),
        _entries(entries), _notes(notes),
    ):  # fmt: skip
        writer.writerows(_inert_row({"period": title, "status": status} | row) for row in rows)
    return out.getvalue()


def _inert_row(row: Row) -> Row:
    return {name: inert(said) if isinstance(said, str) else said for name, said in row.items()}


def totals(books: SeasonBooks, period: Period) -> Iterator[Row]:
    """Yield every figure of a period, its texts as they are."""
    books.need(FIGURES)
    result = books.over(period)
    result.certainty.cover(tuple(n for n in FIGURES if np.isfinite(result.values[n][0])))
    for name, figure in FIGURES.items():
        if figure.internal:
            continue
        value = result.values[name][0]
        there = bool(np.isfinite(value))
        yield {
            "record": "total",
            "name": name,
            "title": figure.title,
            "value": repr(float(value)) if there else "",
            "printed": plain(float(value), figure.decimals),
            "unit": figure.unit,
            "standard_uncertainty": f"{result.certainty.standard(name):.6g}" if there else "",
            "coverage": f"{result.coverage[name][0]:.4f}" if there else "",
            "missing": "" if there else missing_words(result.missing(name), books),
            "formula": result.way(name).formula,
            "source": str(figure.source_of(result.way(name))),
        }


def _conventions(books: SeasonBooks, period: Period) -> Iterator[Row]:
    for convention in books.in_force(books.days[period.last - 1]):
        yield {
            "record": "convention",
            "day": convention.since or "",
            "name": convention.name,
            "title": convention.title,
            "value": convention.value,
            "unit": convention.unit,
            "formula": convention.note,
            "source": convention.source,
        }


def _plan(books: SeasonBooks, period: Period) -> Iterator[Row]:
    for measure in books.plan.on(books.days[period.last - 1]).values():
        yield {
            "record": "plan",
            "name": measure.name,
            "title": measure.title,
            "unit": measure.unit,
            "state": "due" if measure.due else "not always",
            "formula": how_often(measure),
        }


def how_often(measure: Measure) -> str:
    """Say how a mill takes a measure: "each 2 hours, mean of the samples"."""
    if measure.every:
        hours = "each hour" if measure.every == 1 else f"each {measure.every} hours"
        return f"{hours}, {RULES[measure.rule]}"
    if measure.grain == SHIFT:
        return "each shift"
    composite = measure.carrier and measure.grain != MEASURES[measure.name].grain
    return f"composite of the {measure.grain}" if composite else f"once a {measure.grain}"


def shares(books: SeasonBooks, period: Period) -> Iterator[Row]:
    """Yield what each shift gives to the totals of a period."""
    for name in ADDS:
        figure = FIGURES[name]
        if figure.internal or not np.isfinite(books.books.rows[name]).any():
            continue
        for row in range(period.first, period.last):
            value = float(books.books.filled[name][row])
            analysed = np.isfinite(books.books.rows[name][row])
            if not np.isfinite(value) or not (analysed or value):
                continue
            shift = books.shifts[row]
            yield {
                "record": "shift",
                "day": shift.day,
                "shift": shift.number,
                "name": name,
                "title": figure.title,
                "value": repr(value),
                "printed": plain(value, figure.decimals),
                "unit": figure.unit,
                "state": "analysed" if analysed else "estimated",
            }


def of_readings(books: SeasonBooks, period: Period) -> Iterator[Row]:
    """Yield the results of a period that follow from readings."""
    for name, ways in books.books.ways_of_results.items():
        measure, result = MEASURES[name], RESULTS[name]
        for row in range(period.first, period.last):
            if ways[row] < 0:
                continue
            shift, way = books.shifts[row], result.ways[ways[row]]
            value = float(books.books.entered[name][row])
            yield {
                "record": "reading",
                "day": shift.day,
                "shift": shift.number,
                "name": name,
                "title": measure.title,
                "value": repr(value),
                "printed": plain(value, measure.decimals),
                "unit": measure.unit,
                "formula": way.formula,
                "source": str(result.source_of(way)),
            }


def of_books(books: SeasonBooks, period: Period) -> Iterator[Row]:
    """Yield the results of a period that the other books give."""
    for row, name in sorted(books.booked):
        if not period.first <= row < period.last:
            continue
        measure, shift = MEASURES[name], books.shifts[row]
        value = float(books.measures[name][row])
        yield {
            "record": "book",
            "day": shift.day,
            "shift": shift.number,
            "name": name,
            "title": measure.title,
            "value": repr(value),
            "printed": plain(value, measure.decimals),
            "unit": measure.unit,
            "coverage": f"{books.shares.get((row, name), 1.0):.4f}",
            "source": GIVEN_BY[name].title,
        }


def _entries(entries: Iterable[Kept]) -> Iterator[Row]:
    for kept in entries:
        if kept.status != "standing":
            continue
        entry, measure = kept.entry, MEASURES[kept.entry.measure]
        yield {
            "record": "entry",
            "day": kept.day,
            "shift": kept.number,
            **_of_place(entry.place),
            "sampled_at": instant(entry.observed_at) if entry.observed_at else "",
            "name": entry.measure,
            "title": measure.title,
            "value": "" if entry.value is None else f"{entry.value:f}",
            "printed": plain(entry.value, measure.decimals),
            "unit": entry.unit,
            "state": entry.state,
            "typed": entry.typed,
            "carried": "yes" if entry.carried else "",
            "reason": entry.reason or "",
            "recorded_by": entry.recorded_name,
            "recorded_at": instant(entry.recorded_at),
            "entry": entry.id,
        }


def _notes(notes: Iterable[Note]) -> Iterator[Row]:
    for note in notes:
        yield {
            "record": "note",
            "day": note.day,
            "shift": note.number,
            **_of_place(note.place),
            "name": note.place.measure,
            "title": MEASURES[note.place.measure].title,
            "reason": note.words,
            "source": note.rule,
            "recorded_by": note.recorded_name,
            "recorded_at": instant(note.recorded_at),
            "entry": ",".join(map(str, sorted(note.entries))),
        }


def _of_place(place: Place) -> Row:
    return {"sample": place.sample, "test": place.determination}
