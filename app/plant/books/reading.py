"""How a record is read: what was typed in its fields, as numbers, moments and choices."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta, timezone
from decimal import Decimal
from functools import cache
from zoneinfo import ZoneInfo

from app.language import ENGLISH, LANGUAGES, _, speaking
from app.plant.books.declare import CHOICE, DATE, TEXT, TIME, Book, Field, Value
from app.plant.typed import Unreadable, both_readings, read

LONGEST = 2000  # characters of any field: a table of forty points
CLOCKS_DIFFER = timedelta(minutes=5)
EARLIEST = timedelta(days=30)  # before its shift: nothing is boiled or cooled for so long

# 07:40, 7.40, 0740, 7h40 or 7, with a date before it where it is not of these days, and with its
# offset from UTC behind it where clocks change
_CLOCK = re.compile(
    r"(?:(?P<day>\d{4}-\d{2}-\d{2})[ T])?(?P<hour>\d{1,2})(?:[:.h ]?(?P<minute>\d{2}))?"
    r"(?: ?(?P<offset>Z|[+-]\d{2}:\d{2}))?",
    re.ASCII,
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
    """What was typed in a field cannot be kept; the message says why.

    `kept` is what it is read as where it was kept all the same, of old.
    """

    def __init__(self, words: str, kept: Value | None = None) -> None:
        super().__init__(words)
        self.kept = kept


def said(book: Book, typed: Mapping[str, str]) -> dict[str, str]:
    """Return what was typed in the fields of a book as it is kept, blank fields left away.

    A choice is kept by its name, whatever language its title was typed in; so no language changes
    what a record says.
    """
    texts = {each.name: " ".join(typed.get(each.name, "").split()) for each in book.fields}
    for each in book.fields:
        if each.kind == CHOICE:
            texts[each.name] = _chosen(each, texts[each.name]) or texts[each.name]
    return {name: text for name, text in texts.items() if text}


def read_record(
    book: Book, typed: Mapping[str, str], span: Span, now: datetime | None = None
) -> tuple[dict[str, Value], dict[str, str]]:
    """Return the values of what was typed, and what is wrong, both by field; blanks are left out.

    A field that is needed and blank is wrong, and so is a time later than `now`, where that is
    told.
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
            values |= {field.name: why.kept} if why.kept is not None else {}
    if now is not None:
        wrong |= _ahead(book, values, span, now)
    for rule in book.rules:
        wrong |= {name: why for name, why in rule(values).items() if name not in wrong}
    return values, wrong


def _ahead(book: Book, values: Mapping[str, Value], span: Span, now: datetime) -> dict[str, str]:
    """Return what is wrong with times that are yet to come; clocks of a mill differ a little."""
    time = f"{now.astimezone(ZoneInfo(span.zone)):%H:%M}"
    return {
        field.name: _("It is {time} now: write the date before a time of another day", time=time)
        if field.earlier
        else _("It is {time} now: write it once it has happened", time=time)
        for field in book.fields
        if field.kind == TIME
        and isinstance(at := values.get(field.name), datetime)
        and at > now + CLOCKS_DIFFER
    }


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
    if (name := _chosen(field, words)) is not None:
        return name
    offered = ", ".join(_(title) for title in field.choices.values())
    raise Unfit(_("Choose one of: {offered}", offered=offered))


def _chosen(field: Field, words: str) -> str | None:
    """Return the name of the choice that goes by some words: its name, or a title of it."""
    if words in field.choices:
        return words
    return _by_title(tuple(field.choices.items())).get(words.casefold())


@cache
def _by_title(choices: tuple[tuple[str, str], ...]) -> Mapping[str, str]:
    """Return the names of choices by themselves and by their titles in every language.

    Where two say the same in different languages, names come first, and then English.
    """
    found = {name.casefold(): name for name, _title in choices}
    for language in (ENGLISH, *LANGUAGES):
        with speaking(language):
            for name, title in choices:
                found.setdefault(_(title).casefold(), name)
    return found


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
    """Return the moment that a clock time names, with or without a date and an offset from UTC.

    Unfit where clocks are put back at that time, and nothing says which of two moments it is, and
    where they are put forward, and it is none.
    """
    day, minutes, offset = _clock(words)
    zone = offset or ZoneInfo(span.zone)
    first, last = (at.astimezone(zone).date() for at in (span.begins, span.ends))
    days = [day] if day else [last, first, first - timedelta(days=1)]
    for candidate in days:
        try:
            clock = datetime.combine(candidate, time.min) + timedelta(minutes=minutes)
            either = [clock.replace(tzinfo=zone, fold=fold) for fold in (0, 1)]
            moments = {local.astimezone(UTC): local for local in either}
        except OverflowError:
            raise Unfit(_("The calendar has no such day")) from None
        fit = {
            at: local
            for at, local in moments.items()
            if at <= span.ends and (field.earlier or at >= span.begins)
        }
        if fit:
            return _the_one(fit, span)
    if field.earlier:
        raise Unfit(_("It lies after the end of this shift, {shift}", shift=span.words()))
    raise Unfit(_("It lies outside this shift, {shift}", shift=span.words()))


def _the_one(fit: Mapping[datetime, datetime], span: Span) -> datetime:
    """Return the moment that a clock time names, of those that it may, with the clock at each."""
    at, local = next(iter(fit.items()))
    if at.astimezone(local.tzinfo).replace(tzinfo=None) != local.replace(tzinfo=None):
        words = _("Clocks are put forward on that day: there is no {time}", time=f"{local:%H:%M}")
        raise Unfit(words, at)
    if len(fit) > 1:
        one, other = (each.isoformat(" ", "minutes") for each in fit.values())
        words = _("Clocks change at that time: write {one} or {other}", one=one, other=other)
        raise Unfit(words, at)
    if at < span.begins - EARLIEST:
        words = _("It lies more than {days} days before this shift, {shift}",
                  days=EARLIEST.days, shift=span.words())  # fmt: skip
        raise Unfit(words, at)
    return at


def _clock(words: str) -> tuple[date | None, int, timezone | None]:
    """Return the date, if there is one, the minutes after midnight, and the offset from UTC."""
    found = _CLOCK.fullmatch(words)
    if not found:
        raise Unfit(_("Write a time of day, such as 07:40"))
    minutes = int(found["hour"]) * 60 + int(found["minute"] or 0)
    if int(found["minute"] or 0) > 59 or minutes > 24 * 60:
        raise Unfit(_("A day has no such time"))
    day = _day(found["day"]) if found["day"] else None
    return day, minutes, _offset(found["offset"]) if found["offset"] else None


def clock_words(words: str) -> str:
    """Return a time as clocks show it, however it was typed: 12:25 for 12.25 and 1225."""
    found = _CLOCK.fullmatch(words)
    if not found:
        return words
    before = f"{found['day']} " if found["day"] else ""
    after = f" {found['offset']}" if found["offset"] else ""
    return f"{before}{int(found['hour']):02d}:{found['minute'] or '00'}{after}"


def _offset(words: str) -> timezone:
    if words == "Z":
        return UTC
    hours, minutes = int(words[1:3]), int(words[4:])
    if hours > 14 or minutes > 59:
        raise Unfit(_("No clock is so far from UTC"))
    ahead = timedelta(hours=hours, minutes=minutes)
    return timezone(-ahead if words[0] == "-" else ahead)
