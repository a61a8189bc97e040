"""What the pages of the other books say: their records, what follows in each, what they give."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from types import MappingProxyType
from typing import Any, Protocol
from zoneinfo import ZoneInfo

from app.figures.conventions import CONVENTIONS
from app.figures.of_records import FOLLOWING, follow
from app.language import _
from app.plant.books import BOOKS
from app.plant.books.declare import DATE, NUMBER, TIME, Book, Field, Value
from app.plant.books.giving import Given, Giving, together
from app.plant.books.reading import Span, clock_words
from app.plant.measures import MEASURES, Measure
from app.plant.plan import Plan
from app.reports.dates import calendar_day, clock_time, short_day
from app.reports.growers import growers_report
from app.reports.numbers import analysed_words, enough_decimals, printed, typed_words
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
    def span(self) -> Span: ...  # noqa: D102
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
    """One record as a page prints it; `marks` is what else is to be known of it."""

    record: Record
    boxes: tuple[Box, ...]
    marks: tuple[str, ...] = ()


@dataclass(frozen=True)
class GivenLine:
    """What the records give of a measure: printed, with the share of them that was analysed where
    that is not all, or why it is none."""

    measure: Measure
    value: str
    count: int
    lacking: tuple[Record, ...] = ()
    absent: tuple[str, ...] = ()
    share: str = ""


@dataclass(frozen=True)
class BookOfShift:
    """The records of a book on one shift, or on several days, as a page prints them."""

    book: Book
    columns: tuple[Column, ...]
    lines: tuple[Line, ...]
    gives: tuple[GivenLine, ...] = ()

    @property
    def shown(self) -> tuple[int, ...]:
        """The places of the columns in which a record says something, and of the first."""
        said = {n for line in self.lines for n, box in enumerate(line.boxes) if box.text}
        return tuple(sorted(said | {0}))

    @property
    def unsaid(self) -> tuple[str, ...]:
        """The titles of the other columns."""
        return tuple(c.title for n, c in enumerate(self.columns) if n not in self.shown)


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


# what follows in a record: what it may be at most
ALLOWED = {"error_on_tolerance": 100}

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


def lines_of(
    book: Book,
    records: Iterable[tuple[Record, Values]],
    marks: Mapping[int, tuple[str, ...]] = MappingProxyType({}),
) -> tuple[Line, ...]:
    """Return records as a page prints them: what was typed digit by digit as it was typed.

    `marks` is what else is to be known of some, by their ids. Times are those of the clock, unless
    one of them lies outside its shift: then all name the day.
    """
    found = list(records)
    dated = any(
        not record.span.begins <= value <= record.span.ends
        for record, values in found
        for name in book.times
        if isinstance(value := values.get(name), datetime)
    )
    return tuple(
        Line(record, _boxes(book, record, values, dated), marks.get(record.id, ()))
        for record, values in found
    )


def _boxes(book: Book, record: Record, values: Values, dated: bool) -> tuple[Box, ...]:
    fields = {each.name: each for each in book.fields}
    decimals = {each.name: each.decimals for each in book.worked}
    decimals |= {each.name: each.decimals for each in FOLLOWING.get(book.name, [])}
    typed = {each.name: each.inputs for each in book.worked if each.as_typed}
    boxes = []
    for column in columns_of(book):
        value = values.get(column.name)
        if column.name in fields:
            boxes.append(_typed(fields[column.name], record, value, dated))
        elif isinstance(value, float | int):
            places = decimals[column.name]
            if column.name in typed:
                places = max(_decimals_typed(record, name) for name in typed[column.name])
            side = int(column.name in ALLOWED and value > ALLOWED[column.name])
            boxes.append(Box(printed(value, enough_decimals(value, places)), side))
        else:
            boxes.append(Box("" if value is None else f"{value}"))
    return tuple(boxes)


def _decimals_typed(record: Record, name: str) -> int:
    return len(record.fields.get(name, "").replace(",", ".").partition(".")[2])


def _typed(field: Field, record: Record, value: Value | None, dated: bool) -> Box:
    text = said_in(field, record.fields.get(field.name, ""))
    if isinstance(value, datetime):
        local = value.astimezone(ZoneInfo(record.span.zone))
        clock = clock_time(local)
        day = short_day(local.date()).replace(" ", "\u00a0")
        text = f"{day}, {clock}" if dated else clock
    return Box(text, field.side(value, record.fields) if isinstance(value, float) else 0)


def said_in(field: Field, text: str) -> str:
    """Return what a field of a record says, as it is kept, in the language chosen."""
    if field.kind == NUMBER:
        return typed_words(text)
    if field.kind == DATE:
        return calendar_day(text) if text else text
    if field.kind == TIME:
        return clock_words(text)
    return _(field.choices[text]) if text in field.choices else text


def record_name(book: Book, fields: Mapping[str, str]) -> str:
    """Return what a record is known by: its key, else when, what and where, as its fields begin."""
    names = [book.field(book.key)] if book.key else [f for f in book.fields[:3] if f.kind != NUMBER]
    return " ".join(said_in(each, fields[each.name]) for each in names if each.name in fields)


def given_lines(giving: Giving, records: Sequence[Record]) -> tuple[GivenLine, ...]:
    """Return what records give, in the order of the sheet, and what lacks for the rest."""
    told = {*giving.given, *giving.none}
    names = [name for name in MEASURES if name in told]
    found = []
    for name in names:
        measure, given = MEASURES[name], giving.given.get(name, giving.none.get(name))
        if given is None:
            continue
        lacking = tuple(records[n] for n in giving.lacking.get(name, ()))
        value, absent = printed(given.value, measure.decimals), giving.absent.get(name, ())
        share = analysed_words(given.share) if 0 < given.share < 1 else ""
        found.append(GivenLine(measure, value, given.count, lacking, absent, share))
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
