"""The trail: what happened, by day, by person, or after signing; and that somebody looked."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Annotated, Any
from urllib.parse import urlencode

from fastapi import APIRouter, Depends, HTTPException, Request, Response
from pydantic import TypeAdapter, ValidationError

from app.ledger import mills, people, trail
from app.ledger.cells import Refused
from app.ledger.people import Person
from app.ledger.trail import MAY_REVIEW, Asked, Told
from app.plant.calendar import Clock
from app.plant.samples import Place
from app.plant.typed import LEFT_OUT
from app.reports.checks import title_of_check
from app.reports.lines import title_of
from app.reports.places import place_title
from app.reports.plant import limits_text, part_titles
from app.web.requests import Day, Form, Now, Once, Reading, Viewer, Writing, allow, done, render

router = APIRouter(prefix="/trail")

Reviewer = Annotated[Person, Depends(allow(*MAY_REVIEW))]
AT_MOST = 200
_NOBODY = 0
_FIELDS = ("day", "person", "signed", "unreviewed", "before")

_DAY: TypeAdapter[date] = TypeAdapter(Day)


@dataclass(frozen=True)
class Line:
    """An event in words: what it is about, what was and what is, and why; where it opens."""

    told: Told
    about: str
    before: str
    after: str
    why: str
    address: str


@dataclass(frozen=True)
class TrailPage:
    """The events asked for, the form that asks, and what may be marked as looked through."""

    lines: Sequence[Line]
    day: date | None
    typed: Mapping[str, str]
    people: Sequence[Person]
    clock: Clock
    may_review: bool
    older: str
    wrong: Mapping[str, str] = field(default_factory=dict)

    @property
    def upto(self) -> int:
        """The last event of the day."""
        return max((line.told.number for line in self.lines), default=0)

    @property
    def unreviewed(self) -> int:
        """How many events of the day nobody has looked through."""
        return sum(
            line.told.reviewed_by is None and line.told.kind != "review" for line in self.lines
        )


@router.get("")
def trail_page(request: Request, by: Viewer, reading: Reading, now: Now) -> Response:
    """Show the newest events that are asked for; those of today where nothing is."""
    mill = mills.the_mill(reading)
    everybody = people.people(reading)
    sent = {name: request.query_params.get(name, "").strip() for name in _FIELDS}
    if not request.query_params:
        sent["day"] = str(mill.clock.shift_at(now)[0])
    day = _day(sent["day"])
    wrong = {"day": "Write the day like 2026-07-14"} if sent["day"] and day is None else {}
    asked = Asked(
        day,
        next((p.id for p in everybody if p.username == sent["person"]), _NOBODY)
        if sent["person"]
        else None,
        bool(sent["signed"]),
        bool(sent["unreviewed"]),
        _number(sent["before"]),
    )
    found = [] if wrong else trail.told(reading, asked, AT_MOST)
    whole = not any(sent[name] for name in _FIELDS if name != "day")
    page = TrailPage(
        [line_of(told, mill.clock) for told in found],
        day if whole else None,
        sent,
        everybody,
        mill.clock,
        by.role in MAY_REVIEW,
        _older(sent, found),
        wrong,
    )
    return render(request, "trail.html", 422 if wrong else 200, page=page)


def _older(sent: Mapping[str, str], found: Sequence[Told]) -> str:
    if len(found) < AT_MOST:
        return ""
    asked = {name: text for name, text in sent.items() if text}
    return f"/trail?{urlencode(asked | {'before': found[-1].number})}"


def _number(text: str) -> int | None:
    return int(text) if text.isdecimal() and len(text) < 16 else None


@router.post("/reviews")
def review(by: Reviewer, writing: Writing, form: Form, now: Now, once: Once) -> Response:
    """Keep that the trail of a day was looked through."""
    day, upto = _day(form.get("day", "")), _number(form.get("upto", ""))
    if day is None or upto is None:
        raise HTTPException(422, "This form does not say which events were looked through.")
    mill = mills.the_mill(writing)
    season = mills.season_of(writing, mill, day)
    if season is None:
        raise HTTPException(404, "This day is in no season of this mill.")
    try:
        trail.review(writing, season, day, upto=upto, remark=form.get("remark", ""), by=by, at=now)
    except Refused as refused:
        raise HTTPException(422, f"{refused}.") from None
    return done(once, f"/trail?day={day}")


def _day(text: str) -> date | None:
    try:
        return _DAY.validate_python(text.strip())
    except ValidationError:
        return None


def line_of(told: Told, clock: Clock) -> Line:
    """Return an event in words."""
    of_place = _OF_PLACE.get(told.kind)
    words = of_place(told, clock) if of_place else _WORDS.get(told.kind, _anything)(told)
    about, before, after, why, address = words
    return Line(told, about, before, after, why, address)


Words = tuple[str, str, str, str, str]


def _entry(told: Told, clock: Clock) -> Words:
    c = told.content
    place, title = _place(c, clock)
    after = c["typed"].strip() or "(emptied)"
    if c["state"] == LEFT_OUT:
        after += ", left out of the mean"
    elif told.before and told.before.strip() == after:
        after += ", counts again"
    after += ", carried over" if c.get("carried") == "true" else ""
    why = ("late: " if c.get("late") == "true" else "") + (c["reason"] or "")
    if c.get("observed_by"):
        why = f"{why}; seen by {c['observed_by']}".lstrip("; ")
    address = f"/shifts/{told.day}/{told.shift}/cells/{place.key}"
    return f"{title}, shift {told.shift}", told.before or "", after, why, address


def _place(c: Mapping[str, Any], clock: Clock) -> tuple[Place, str]:
    """Return the place that an event is about, and its title; of old, a cell had one test."""
    place = Place(c["measure"], int(c["sample"]), int(c.get("determination", 1)))
    at = c.get("observed_at")
    return place, place_title(place, datetime.fromisoformat(at) if at else None, clock)


def _shift(told: Told) -> Words:
    return f"Shift {told.content['number']}", "", "its sheet was begun", "", ""


def _signature(told: Told) -> Words:
    c = told.content
    what = f"Shift {c['number']}" if c["number"] else "The day"
    meaning = "signed as entered" if c["meaning"] == "entered" else c["meaning"]
    address = f"/days/{c['day']}/approval"
    if c["number"]:
        address = f"/shifts/{c['day']}/{c['number']}/signature"
    after = meaning if c["meaning"] == "reopened" else f"{meaning}, {c['entries']} entries"
    return what, "", after, c["reason"] or "", address


def _issue(told: Told) -> Words:
    c = told.content
    name = f"{c['day']}/{c['number']}"
    return "Morning report", "", f"issued as {name}", c["reason"] or "", f"/days/{c['day']}/issues"


def _review(told: Told) -> Words:
    return "Trail", "", f"looked through as far as event {told.content['upto']}", (
        told.content["remark"] or ""
    ), ""  # fmt: skip


def _person(told: Told) -> Words:
    c = told.content
    what = c.get("what", "was here before the chain began")
    return f"{c['printed_name']} ({c['username']})", "", f"{what}; {c['role']}", "", ""


def _dated(told: Told) -> Words:
    c = told.content
    name = title_of(c.get("name") or c.get("figure") or c["measure"])
    value = c.get("value") or f"random {c.get('random')}, systematic {c.get('systematic')}"
    return name, "", f"{value} since {c['since']}", c.get("source", ""), ""


def _sampling(told: Told) -> Words:
    c = told.content
    often = f"each {c['grain']}" + (f", every {c['every']} h" if int(c["every"]) else "")
    usual, hard = (
        limits_text((float(c[f"{of}_low"]), float(c[f"{of}_high"]))) for of in ("usual", "hard")
    )
    after = f"{c['taken']}, {often}, {c['rule']}; usual {usual}, hard {hard}; since {c['since']}"
    return title_of(c["measure"]), "", after, c["reason"], f"/plant/measures/{c['measure']}"


def _part(told: Told) -> Words:
    c = told.content
    title = part_titles().get(c["name"], title_of(c["name"]))
    switched = "on" if c["in_use"] == "true" else "off"
    after = f"switched {switched} since {c['since']}"
    return title, "", after, c["reason"], f"/plant/parts/{c['name']}"


def _note(told: Told, clock: Clock) -> Words:
    c = told.content
    what = f"in answer to: {title_of_check(c['rule'])}" if c["rule"] else "note"
    return f"{_place(c, clock)[1]}, {what}", "", c["words"], "", f"/days/{told.day}#checks"


def _duplicate(told: Told) -> Words:
    c = told.content
    done = "withdrawn" if c["withdraws_id"] else "entered"
    pair = f"pair {c['first']} and {c['second']} {done}"
    return title_of(c["measure"]), "", pair, c["reason"] or "", f"/uncertainty/{c['measure']}"


def _export(told: Told) -> Words:
    c = told.content
    return f"Archive of season {c['season']}", "", f"made, to event {c['head']}", "", ""


def _instrument(told: Told) -> Words:
    c = told.content
    said = "; ".join(f"{value}" for name, value in c.items() if name != "what" and value)
    return "Instrument", "", str(c.get("what", "")), said, ""


def _anything(told: Told) -> Words:
    said = "; ".join(f"{name} {value}" for name, value in told.content.items() if value)
    return told.kind.replace("_", " "), "", said, "", ""


_OF_PLACE: Mapping[str, Callable[[Told, Clock], Words]] = {"entry": _entry, "note": _note}
_WORDS: Mapping[str, Callable[[Told], Words]] = {
    "shift": _shift,
    "signature": _signature,
    "issue": _issue,
    "review": _review,
    "person": _person,
    "convention": _dated,
    "target": _dated,
    "uncertainty": _dated,
    "sampling": _sampling,
    "part": _part,
    "duplicate": _duplicate,
    "export": _export,
    "instrument": _instrument,
}
