"""What the pages of the other books say: their records, what follows in each, what they give."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any, Protocol

from app.figures.conventions import CONVENTIONS
from app.figures.of_records import FOLLOWING, follow
from app.language import _
from app.plant.books import BOOKS
from app.plant.books.declare import NUMBER, TIME, Book, Field, Value
from app.plant.books.giving import Given, Giving, together
from app.plant.measures import MEASURES, Measure
from app.plant.plan import Plan
from app.reports.growers import growers_report
from app.reports.numbers import printed
from app.reports.pan_log import strikes_report
from app.reports.stock_taking import stock_report
from app.reports.stops import stops_report
from app.reports.sugar_lots import dispatch_report, lots_bagged

Values = Mapping[str, Value]
ConventionRow = tuple[str, str, date, str]


class Record(Protocol):
    """A line of a book as the ledger keeps it."""

    @property
    def id(self) -> int: ...  # noqa: D102
    @property
    def day(self) -> date: ...  # noqa: D102
    @property
    def number(self) -> int: ...  # noqa: D102
    @property
    def fields(self) -> Mapping[str, str]: ...  # noqa: D102
    @property
    def state(self) -> str: ...  # noqa: D102
    @property
    def supersedes_id(self) -> int | None: ...  # noqa: D102
    @property
    def reason(self) -> str | None: ...  # noqa: D102
    @property
    def recorded_name(self) -> str: ...  # noqa: D102
    @property
    def recorded_at(self) -> datetime: ...  # noqa: D102


@dataclass(frozen=True)
class Column:
    """A column of a book: a field of it, or what follows in a record."""

    name: str
    title: str
    unit: str
    is_number: bool
    formula: str = ""


@dataclass(frozen=True)
class Box:
    """What a record says in one column, and on which side of the usual it lies."""

    text: str
    side: int = 0


@dataclass(frozen=True)
class Line:
    """One record as a page prints it."""

    record: Record
    boxes: tuple[Box, ...]


@dataclass(frozen=True)
class GivenLine:
    """What the records give of a measure: printed, or why it is none."""

    measure: Measure
    value: str
    count: int
    lacking: tuple[Record, ...] = ()
    absent: tuple[str, ...] = ()


@dataclass(frozen=True)
class BookOfShift:
    """The records of a book on one shift, or on several days, as a page prints them."""

    book: Book
    columns: tuple[Column, ...]
    lines: tuple[Line, ...]
    gives: tuple[GivenLine, ...] = ()


@dataclass(frozen=True)
class DayLine:
    """What a book had on one day: how many records, and what they give."""

    day: date
    records: int
    gives: Mapping[str, Given] = field(default_factory=dict)

    def printed(self, measure: Measure) -> str:
        """Return what the day's records give of a measure, as printed."""
        given = self.gives.get(measure.name)
        return printed(given.value, measure.decimals) if given else ""


# book: other books whose records its report takes beside its own
BESIDE: dict[str, tuple[str, ...]] = {
    "strikes": ("crystallizers", "centrifugals"),
    "dips": ("calibrations",),
}

# book: what its report says besides, made of the values of its records and of those beside them
SPECIAL: dict[str, Callable[..., Any]] = {
    "consignments": growers_report,
    "bagging": lots_bagged,
    "dispatch": dispatch_report,
    "strikes": strikes_report,
    "dips": stock_report,
    "stops": stops_report,
}


def books_in_use(plan: Plan, day: date) -> tuple[Book, ...]:
    """Return the books that a mill keeps on a day: of the stations that it has."""
    stations = {measure.station for measure in plan.on(day).values()}
    return tuple(book for book in BOOKS.values() if book.station in stations or not book.station)


def conventions_on(rows: Iterable[ConventionRow], day: date) -> dict[str, Value]:
    """Return the value of every convention in force on a day, by name."""
    found: dict[str, Value] = {name: each.default for name, each in CONVENTIONS.items()}
    for name, value, since, _source in sorted(rows, key=lambda row: row[2]):
        if since <= day:
            found[name] = CONVENTIONS[name].read(value)
    return found


def columns_of(book: Book) -> tuple[Column, ...]:
    """Return the columns of a book: its fields, and then what follows in a record."""
    fields = [Column(f.name, f.title, f.unit, f.kind == NUMBER) for f in book.fields]
    worked = [
        Column(w.name, w.title, w.unit, is_number=bool(w.unit or w.decimals), formula=w.formula)
        for w in book.worked
        if w.title
    ]
    follows = [
        Column(f.name, f.title, f.unit, is_number=True, formula=f.formula)
        for f in FOLLOWING.get(book.name, [])
    ]
    return (*fields, *worked, *follows)


def with_following(
    book: Book, values: Values, conventions: Mapping[str, Value]
) -> dict[str, Value]:
    """Return the values of a record with all that follows in it, by the conventions of its day."""
    return {**values, **follow(book.name, values, conventions)}


def line_of(book: Book, record: Record, values: Values) -> Line:
    """Return a record as a page prints it: what was typed as it was typed."""
    fields = {each.name: each for each in book.fields}
    decimals = {each.name: each.decimals for each in book.worked}
    decimals |= {each.name: each.decimals for each in FOLLOWING.get(book.name, [])}
    boxes = []
    for column in columns_of(book):
        value = values.get(column.name)
        if column.name in fields:
            boxes.append(_typed(fields[column.name], record, value))
        elif isinstance(value, float | int):
            boxes.append(Box(printed(value, decimals[column.name])))
        else:
            boxes.append(Box("" if value is None else f"{value}"))
    return Line(record, tuple(boxes))


def _typed(field: Field, record: Record, value: Value | None) -> Box:
    text = record.fields.get(field.name, "")
    if field.kind == TIME or value is None:
        return Box(text)
    if isinstance(value, float):
        return Box(text, field.side(value))
    return Box(_(field.choices[value]) if isinstance(value, str) and field.choices else text)


def given_lines(giving: Giving, records: Sequence[Record]) -> tuple[GivenLine, ...]:
    """Return what records give, in the order of the sheet, and what lacks for the rest."""
    told = {*giving.given, *giving.lacking, *giving.absent}
    names = [name for name in MEASURES if name in told]
    found = []
    for name in names:
        measure, given = MEASURES[name], giving.given.get(name)
        lacking = tuple(records[n] for n in giving.lacking.get(name, ()))
        value = printed(given.value, measure.decimals) if given else ""
        absent = giving.absent.get(name, ())
        found.append(GivenLine(measure, value, given.count if given else 0, lacking, absent))
    return tuple(found)


def day_lines(parts: Iterable[tuple[date, Given]], counts: Mapping[date, int]) -> list[DayLine]:
    """Return what a book gave day by day, from what it gave on each shift in their order."""
    of_day: dict[date, dict[str, list[Given]]] = {day: {} for day in counts}
    for day, given in parts:
        of_day.setdefault(day, {}).setdefault(given.measure, []).append(given)
    return [
        DayLine(day, counts.get(day, 0), {name: together(g) for name, g in measures.items()})
        for day, measures in sorted(of_day.items())
    ]


def whole_of(days: Sequence[DayLine]) -> dict[str, Given]:
    """Return what several days give together, by measure."""
    names = {name for day in days for name in day.gives}
    return {
        name: together([day.gives[name] for day in days if name in day.gives]) for name in names
    }
