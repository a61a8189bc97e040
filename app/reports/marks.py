"""What is to be known of a record beside others: stops that overlap, a lot that nobody bagged."""

from collections.abc import Callable, Mapping, Sequence
from datetime import date, datetime
from typing import Any
from zoneinfo import ZoneInfo

from app.language import _, ngettext
from app.plant.books.declare import Book
from app.plant.utilities import CAUSES
from app.reports.books import Line, Record, record_name
from app.reports.dates import calendar_day, clock_time
from app.reports.numbers import printed

Values = Mapping[str, Any]


def overlaps(records: Sequence[Values], zone: str) -> dict[int, str]:
    """Return, by their places, which stops of crushing overlap another, and what of them counts."""
    stops = [
        (n, each) for n, each in enumerate(records)
        if each["crushing"] == "stopped" and "ends" in each
    ]  # fmt: skip
    found = {}
    for n, stop in stops:
        other = next((other for m, other in stops if m != n and _overlap(stop, other)), None)
        if other is None:
            continue
        title = CAUSES[other["cause"]]
        said = {
            "begins": _clock(other["begins"], zone), "ends": _clock(other["ends"], zone),
            "cause": _(title),
        }  # fmt: skip
        whole, counts = printed(stop["hours"], 2), printed(stop["counted"], 2)
        found[n] = (
            _("overlaps the stop {begins} to {ends}, {cause}", **said)
            if whole == counts
            else _("overlaps the stop {begins} to {ends}, {cause}, which began first: {counts} h "
                   "count here", counts=counts, **said)
        )  # fmt: skip
    return found


def _overlap(one: Values, other: Values) -> bool:
    return bool(max(one["begins"], other["begins"]) < min(one["ends"], other["ends"]))


def _clock(at: datetime, zone: str) -> str:
    return clock_time(at.astimezone(ZoneInfo(zone)))


def never_bagged(records: Sequence[Values], _zone: str) -> dict[int, str]:
    """Return, by their places, which loads are of a lot that is in no book of this season."""
    return {
        n: _("no lot {lot} in the book of bagging of this season", lot=each["lot"])
        for n, each in enumerate(records)
        if each.get("bagged_here") == "no"
    }


MARKED: Mapping[str, Callable[[Sequence[Values], str], dict[int, str]]] = {
    "stops": overlaps,
    "dispatch": never_bagged,
}


def marks_of(book: Book, records: Sequence[Values], zone: str) -> dict[int, str]:
    """Return what is to be known of some records that count, by their places."""
    return MARKED[book.name](records, zone) if book.name in MARKED else {}


def still_open(book: Book, ended: tuple[date, int] | None) -> str:
    """Return what is to be known of a record that was open on its shift, and where it `ended`."""
    if ended is None:
        return _(book.open.words) if book.open else ""
    day, number = ended
    return _("completed on shift {number} of {day}", number=number, day=calendar_day(day))


def completes(begun: tuple[date, int]) -> str:
    """Return what is to be known of a record that completes one of an earlier shift."""
    day, number = begun
    wrote = calendar_day(day)
    return _("completes what shift {number} of {day} wrote", number=number, day=wrote)


def to_look_at(book: Book, line: Line) -> tuple[str, ...]:
    """Return what is to be looked at again in a record: what is unusual, and its marks."""
    unusual = [
        _("{title} is above the usual: {typed}", title=_(field.title), typed=box.text)
        if box.side > 0
        else _("{title} is below the usual: {typed}", title=_(field.title), typed=box.text)
        for field, box in zip(book.fields, line.boxes, strict=False)
        if box.side
    ]
    return (*unusual, *line.marks)


def lacking_words(book: Book, records: Sequence[Record]) -> str:
    """Return why the records of a book give nothing: which of them are not finished."""
    names = "; ".join(record_name(book, record.fields) for record in records)
    return ngettext(
        "{book} gives none: {count} record is not finished, {names}",
        "{book} gives none: {count} records are not finished, {names}",
        len(records), book=_(book.title), names=names,
    )  # fmt: skip
