"""How a record is read: what was typed in its fields, as numbers, moments and choices."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from decimal import Decimal
from zoneinfo import ZoneInfo

from app.language import _
from app.plant.books.declare import CHOICE, DATE, TEXT, TIME, Book, Field, Value
from app.plant.typed import Unreadable, both_readings, read

LONGEST = 2000  # characters of any field: a table of forty points

# 07:40, 7.40, 0740, 7h40 or 7, with a date before it where it is not of these days
_CLOCK = re.compile(
    r"(?:(?P<day>\d{4}-\d{2}-\d{2})[ T])?(?P<hour>\d{1,2})(?:[:.h ]?(?P<minute>\d{2}))?", re.ASCII
)


@dataclass(frozen=True)
class Span:
    """A shift as its times are read: its zone, and when it begins and ends."""

    zone: str
    begins: datetime
    ends: datetime

    def words(self) -> str:
        """Return "06:00 to 14:00"."""
        begins, ends = (at.astimezone(ZoneInfo(self.zone)) for at in (self.begins, self.ends))
        return _("{begins} to {ends}", begins=f"{begins:%H:%M}", ends=f"{ends:%H:%M}")


class Unfit(ValueError):
    """What was typed in a field cannot be kept; the message says why."""


def read_record(
    book: Book, typed: Mapping[str, str], span: Span
) -> tuple[dict[str, Value], dict[str, str]]:
    """Return the values of what was typed, and what is wrong, both by field; blanks are left out.

    A field that is needed and blank is wrong.
    """
    values: dict[str, Value] = {}
    wrong: dict[str, str] = {}
    for field in book.fields:
        words = typed.get(field.name, "").strip()
        if not words:
            if field.needed:
                wrong[field.name] = _("{field} is needed", field=_(field.title))
            continue
        try:
            values[field.name] = read_field(field, words, span)
        except Unfit as why:
            wrong[field.name] = str(why)
    for rule in book.rules:
        wrong |= {name: why for name, why in rule(values).items() if name not in wrong}
    return values, wrong


def read_field(field: Field, words: str, span: Span) -> Value:
    """Return what was typed in one field; Unfit where it cannot be kept."""
    if len(words) > field.longest:
        raise Unfit(_("Write at most {count} characters", count=field.longest))
    if field.kind == TEXT:
        if not words.isprintable():
            raise Unfit(_("There is a sign in it that cannot be seen: type it anew"))
        return words
    if field.kind == CHOICE:
        return _choice(field, words)
    if field.kind == DATE:
        return _day(words).isoformat()
    return moment(field, words, span) if field.kind == TIME else _number(field, words)


def _day(words: str) -> date:
    if not re.fullmatch(r"\d{4}-\d{2}-\d{2}", words, re.ASCII):
        raise Unfit(_("Write a day as 2026-07-14"))
    try:
        return date.fromisoformat(words)
    except ValueError:
        raise Unfit(_("The calendar has no such day")) from None


def _choice(field: Field, words: str) -> str:
    for value, title in field.choices.items():
        if words.casefold() in (value.casefold(), title.casefold(), _(title).casefold()):
            return value
    offered = ", ".join(_(title) for title in field.choices.values())
    raise Unfit(_("Choose one of: {offered}", offered=offered))


def _number(field: Field, words: str) -> float:
    try:
        _state, value = read(words)
    except Unreadable as why:
        raise Unfit(str(why)) from None
    if value is None:
        raise Unfit(_("Write a number, or leave it blank"))
    low, high = (Decimal(str(limit)) for limit in field.hard)
    readings = both_readings(words) if field.decimals < 3 else None
    if readings and low <= Decimal(readings[0]) <= high:
        raise Unfit(_("{typed}: write {one} or {other}", typed=words, one=readings[0],
                      other=readings[1]))  # fmt: skip
    if not low <= value <= high:
        raise Unfit(
            _(
                "{field} lies between {low} and {high} {unit}; {typed} was typed",
                field=_(field.title), low=f"{field.hard[0]:g}", high=f"{field.hard[1]:g}",
                unit=_(field.unit), typed=words,
            )
        )  # fmt: skip
    return float(value)


def moment(field: Field, words: str, span: Span) -> datetime:
    """Return the moment that a clock time, with or without a date before it, names."""
    day, minutes = _clock(words)
    zone = ZoneInfo(span.zone)
    first, last = (at.astimezone(zone).date() for at in (span.begins, span.ends))
    days = [day] if day else [last, first, first - timedelta(days=1)]
    for candidate in days:
        clock = datetime.combine(candidate, time.min) + timedelta(minutes=minutes)
        at = clock.replace(tzinfo=zone).astimezone(UTC)
        if at <= span.ends and (field.earlier or at >= span.begins):
            return at
    if field.earlier:
        raise Unfit(_("It lies after the end of this shift, {shift}", shift=span.words()))
    raise Unfit(_("It lies outside this shift, {shift}", shift=span.words()))


def _clock(words: str) -> tuple[date | None, int]:
    """Return the date, if there is one, and the minutes after midnight of a time of day."""
    found = _CLOCK.fullmatch(words)
    if not found:
        raise Unfit(_("Write a time of day, such as 07:40"))
    minutes = int(found["hour"]) * 60 + int(found["minute"] or 0)
    if int(found["minute"] or 0) > 59 or minutes > 24 * 60:
        raise Unfit(_("A day has no such time"))
    return _day(found["day"]) if found["day"] else None, minutes
