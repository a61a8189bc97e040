"""The trail: what happened, by day, by person, or after signing; and that somebody looked."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Annotated
from urllib.parse import urlencode

from fastapi import APIRouter, Depends, HTTPException, Request, Response
from pydantic import TypeAdapter, ValidationError

from app.language import _
from app.ledger import mills, people, trail
from app.ledger.cells import Refused
from app.ledger.mills import Mill
from app.ledger.people import Person
from app.ledger.plan import history
from app.ledger.trail import CORRECTED, MAY_REVIEW, SHEETS, TAKEN_OUT, Asked, Told
from app.plant.books import BOOKS
from app.plant.books.declare import Book
from app.plant.calendar import Clock
from app.web.requests import Day, Form, Now, Once, Reading, Viewer, Writing, allow, done, render
from app.web.told import CHOICES, Line, line_of, with_before

router = APIRouter(prefix="/trail")

Reviewer = Annotated[Person, Depends(allow(*MAY_REVIEW))]
AT_MOST = 200
_NOBODY = 0
_FIELDS = ("day", "person", "what", "where", "signed", "unreviewed", "before")

_DAY: TypeAdapter[date] = TypeAdapter(Day)


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
    books: Mapping[str, Book] = field(default_factory=lambda: BOOKS)

    @property
    def newest(self) -> str:
        """Where the newest events of the same kind are."""
        asked = {name: text for name, text in self.typed.items() if text and name != "before"}
        return f"/trail?{urlencode(asked)}"

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
    wrong = {"day": _("Write the day like 2026-07-14")} if sent["day"] and day is None else {}
    asked = Asked(
        day,
        next((p.id for p in everybody if p.username == sent["person"]), _NOBODY)
        if sent["person"]
        else None,
        bool(sent["signed"]),
        bool(sent["unreviewed"]),
        _number(sent["before"]),
        sent["what"] if sent["what"] in (CORRECTED, TAKEN_OUT) else "",
        sent["where"] if sent["where"] in (SHEETS, trail.BOOKS, *BOOKS) else "",
    )
    found = [] if wrong else trail.told(reading, asked, AT_MOST)
    whole = not any(sent[name] for name in _FIELDS if name != "day")
    page = TrailPage(
        _lines(reading, mill, found),
        day if whole else None,
        sent,
        everybody,
        mill.clock,
        by.role in MAY_REVIEW,
        _older(sent, found),
        wrong,
    )
    return render(request, "trail.html", 422 if wrong else 200, page=page)


def _lines(reading: Reading, mill: Mill, found: Sequence[Told]) -> list[Line]:
    chosen = history(reading, mill) if any(told.kind in CHOICES for told in found) else []
    return [with_before(line_of(told, mill.clock), mill, chosen) for told in found]


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
        raise HTTPException(422, _("This form does not say which events were looked through."))
    mill = mills.the_mill(writing)
    season = mills.season_of(writing, mill, day)
    if season is None:
        raise HTTPException(404, _("This day is in no season of this mill."))
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
