"""An event in words, as the trail tells it: what it is about, what was, what is, and why."""

import json
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import Any

from app.figures import CONVENTIONS
from app.language import _
from app.ledger.incoming_records import LATE
from app.ledger.mills import Mill
from app.ledger.plan import Chosen
from app.ledger.records import VOID
from app.ledger.trail import Told
from app.plant.books import BOOKS
from app.plant.books.declare import Book
from app.plant.books.reading import said
from app.plant.calendar import Clock
from app.plant.measures import MEASURES
from app.plant.plan import as_declared
from app.plant.samples import Place
from app.plant.typed import LEFT_OUT
from app.reports.books import record_name, said_in
from app.reports.checks import title_of_check
from app.reports.dates import calendar_day
from app.reports.lines import title_of
from app.reports.numbers import typed_words
from app.reports.places import place_title
from app.reports.plant import limits_text, part_titles, value_words
from app.web.plant_subjects import begins_with
from app.web.shift_page import reason_words
from app.web.told_issued import WORDS as OF_ISSUES
from app.web.told_issued import Words


@dataclass(frozen=True)
class Line:
    """An event in words: what it is about, what was and what is, and why; where it opens."""

    told: Told
    about: str
    before: str
    after: str
    why: str
    address: str


def line_of(told: Told, clock: Clock) -> Line:
    """Return an event in words."""
    of_place = _OF_PLACE.get(told.kind)
    words = of_place(told, clock) if of_place else _WORDS.get(told.kind, _anything)(told)
    about, before, after, why, address = words
    return Line(told, about, before, after, why, address)


def with_before(line: Line, mill: Mill, chosen: Sequence[Chosen]) -> Line:
    """Return what was `chosen` for a day with what held there before; any other event as it is."""
    if line.told.kind not in CHOICES:
        return line
    return replace(line, before=_held_before(line.told, mill, chosen))


def _held_before(told: Told, mill: Mill, chosen: Sequence[Chosen]) -> str:
    """Return what was in force on its day before something was chosen."""
    kind, named_by = CHOICES[told.kind]
    name, since = told.content[named_by], date.fromisoformat(told.content["since"])
    rows = [row for row in chosen if (row.kind, row.name) == (kind, name)]
    before = [row for row in rows if row.since <= since and row.recorded_at < told.at]
    if before:
        return value_words(name, max(before, key=lambda row: (row.since, row.recorded_at)).value)
    if kind == "targets":
        return _("no target")
    if kind == "parts":
        return _("switched on")
    if kind == "measures":
        return value_words(name, as_declared(MEASURES[name]))
    return value_words(name, f"{begins_with(mill, name)}") if name in CONVENTIONS else ""


def _entry(told: Told, clock: Clock) -> Words:
    c = told.content
    place, title = _place(c, clock)
    after = typed_words(c["typed"].strip()) or _("(emptied)")
    if c["state"] == LEFT_OUT:
        after = _("{result}, left out of the mean", result=after)
    elif told.before and told.before.strip() == c["typed"].strip():
        after = _("{result}, counts again", result=after)
    if c.get("carried") == "true":
        after = _("{result}, carried over", result=after)
    address = f"/shifts/{told.day}/{told.shift}/cells/{place.key}"
    about = _("{title}, shift {number}", title=title, number=told.shift)
    return about, typed_words((told.before or "").strip()), after, _why(c), address


def _record(told: Told) -> Words:
    c = told.content
    book = BOOKS[c["book"]]
    fields = said(book, json.loads(c["fields"]))
    old = said(book, json.loads(told.before)) if told.before else {}
    # of a correction, what it changed
    names = [each.name for each in book.fields if fields.get(each.name) != old.get(each.name)]
    after = _fields(book, fields, names)
    if c["state"] == VOID:
        after = _("taken out")
    elif c["completes"] == "true":
        after = _("{fields}, completed", fields=after)
    name = record_name(book, fields or old)
    about = _(
        "{title}, {record}, shift {number}", title=_(book.title), record=name, number=told.shift
    )
    before = _fields(book, old, names)
    return about, before, after, _why(c), f"/books/{book.name}/records/{c['id']}"


def _fields(book: Book, fields: Mapping[str, str], names: Sequence[str]) -> str:
    """Return what fields of a record say."""
    return "; ".join(
        f"{_(each.title)} {said_in(each, fields[each.name])}"
        for each in book.fields
        if each.name in names and each.name in fields
    )


def _why(c: Mapping[str, Any]) -> str:
    """Return why an entry was made, and who saw what it says, as far as that was told."""
    by_itself = LATE if c.get("instrument", "none") != "none" else ""
    why = reason_words(c["reason"] or by_itself)
    if c.get("late") == "true":
        why = _("late: {reason}", reason=why)
    if c.get("observed_by"):
        seen = _("seen by {name}", name=c["observed_by"])
        why = f"{why}; {seen}" if why else seen
    return why


def _place(c: Mapping[str, Any], clock: Clock) -> tuple[Place, str]:
    """Return the place that an event is about, and its title; of old, a cell had one test."""
    place = Place(c["measure"], int(c["sample"]), int(c.get("determination", 1)))
    at = c.get("observed_at")
    return place, place_title(place, datetime.fromisoformat(at) if at else None, clock)


def _shift(told: Told) -> Words:
    about = _("Shift {number}", number=told.content["number"])
    return about, "", _("its sheet was begun"), "", ""


def _signature(told: Told) -> Words:
    c = told.content
    what = _("Shift {number}", number=c["number"]) if c["number"] else _("The day")
    address = f"/days/{c['day']}/approval"
    if c["number"]:
        address = f"/shifts/{c['day']}/{c['number']}/signature"
    after = _("reopened")
    if c["meaning"] == "entered":
        after = _("signed as entered, {entries} entries", entries=c["entries"])
    elif c["meaning"] == "approved":
        after = _("approved, {entries} entries", entries=c["entries"])
    return what, "", after, c["reason"] or "", address


def _review(told: Told) -> Words:
    after = _("looked through as far as event {number}", number=told.content["upto"])
    return _("Trail"), "", after, told.content["remark"] or "", ""


def _person(told: Told) -> Words:
    c = told.content
    what = _(c.get("what", WAS_HERE))
    return f"{c['printed_name']} ({c['username']})", "", f"{what}; {_(c['role'])}", "", ""


def _dated(told: Told) -> Words:
    c = told.content
    name = _(title_of(c.get("name") or c.get("figure") or c["measure"]))
    value = c.get("value")
    if not value:
        parts = {part: typed_words(c.get(part) or "") for part in ("random", "systematic")}
        value = _("random {random}, systematic {systematic}", **parts)
    after = _("{value} since {day}", value=typed_words(_(value)), day=calendar_day(c["since"]))
    return name, "", after, c.get("source", ""), ""


def _sampling(told: Told) -> Words:
    c = told.content
    grain, taken, rule = c["grain"], c["taken"], c["rule"]
    often = _(EACH[grain])
    if int(c["every"]):
        often = _("{often}, every {hours} h", often=often, hours=c["every"])
    usual, hard = (
        limits_text((float(c[f"{of}_low"]), float(c[f"{of}_high"]))) for of in ("usual", "hard")
    )
    after = _(
        "{taken}, {often}, {rule}; usual {usual}, hard {hard}; since {day}",
        taken=_(taken), often=often, rule=_(rule), usual=usual, hard=hard,
        day=calendar_day(c["since"]),
    )  # fmt: skip
    return _(title_of(c["measure"])), "", after, c["reason"], f"/plant/measures/{c['measure']}"


def _part(told: Told) -> Words:
    c = told.content
    title = _(part_titles().get(c["name"], title_of(c["name"])))
    after = _("switched off since {day}", day=calendar_day(c["since"]))
    if c["in_use"] == "true":
        after = _("switched on since {day}", day=calendar_day(c["since"]))
    return title, "", after, c["reason"], f"/plant/parts/{c['name']}"


def _note(told: Told, clock: Clock) -> Words:
    c = told.content
    what = _("note")
    if c["rule"]:
        what = _("in answer to: {check}", check=_(title_of_check(c["rule"])))
    return f"{_place(c, clock)[1]}, {what}", "", c["words"], "", f"/days/{told.day}#checks"


def _duplicate(told: Told) -> Words:
    c = told.content
    pair = _("pair {first} and {second} entered", first=c["first"], second=c["second"])
    if c["withdraws_id"]:
        pair = _("pair {first} and {second} withdrawn", first=c["first"], second=c["second"])
    return _(title_of(c["measure"])), "", pair, c["reason"] or "", f"/uncertainty/{c['measure']}"


def _instrument(told: Told) -> Words:
    c = told.content
    books = {f"book:{name}": book.title for name, book in BOOKS.items()}
    writes = [_(books.get(name) or title_of(name)) for name in c.get("measures") or ()]
    said = "; ".join([c.get("name", ""), *writes])
    return _("Instrument"), "", _(c.get("what", "")), said, "/instruments"


def _import(told: Told) -> Words:
    c = told.content
    after = _(
        "{written} brought in from {file}, {first} to {last}; {already} were there already",
        written=c["written"], file=c["file"], first=c["first_day"], last=c["last_day"],
        already=c["already"],
    )  # fmt: skip
    return _("Import"), "", after, f"sha256 {c['sha256'][:12]}", "/imports"


def _taken_back(told: Told) -> Words:
    c = told.content
    after = _("{count} taken back that event {number} brought in from {file}",
              count=c["count"], number=c["import"], file=c["file"])  # fmt: skip
    return _("Import"), "", after, c["reason"], "/imports"


def _columns(told: Told) -> Words:
    columns = told.content["columns"]
    named = sum(1 for _heading, what in columns if what)
    after = _("{named} of {count} said to be something", named=named, count=len(columns))
    return _("Columns of a table"), "", after, "", "/imports"


def _anything(told: Told) -> Words:
    said = "; ".join(f"{name} {value}" for name, value in told.content.items() if value)
    return _(told.kind.replace("_", " ")), "", said, "", ""


WAS_HERE = "was here before the chain began"
# what else the chain tells of people and instruments, in these words
DONE = (
    "added", "role changed", "deactivated", "activated", "language chosen", "code given",
    "password set", "token made", "token revoked",
)  # fmt: skip

EACH = {"shift": "each shift", "day": "each day", "week": "each week"}

# what is chosen for a day: the kind of its page, and what names it
CHOICES = {
    "sampling": ("measures", "measure"),
    "part": ("parts", "name"),
    "convention": ("conventions", "name"),
    "target": ("targets", "figure"),
}
_OF_PLACE: Mapping[str, Callable[[Told, Clock], Words]] = {"entry": _entry, "note": _note}
_WORDS: Mapping[str, Callable[[Told], Words]] = {
    "record": _record,
    "shift": _shift,
    "signature": _signature,
    "review": _review,
    "person": _person,
    "convention": _dated,
    "target": _dated,
    "uncertainty": _dated,
    "sampling": _sampling,
    "part": _part,
    "duplicate": _duplicate,
    "instrument": _instrument,
    "import": _import,
    "columns": _columns,
    "taken_back": _taken_back,
    **OF_ISSUES,
}
