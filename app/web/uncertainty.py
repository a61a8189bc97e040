"""How sure the laboratory is: what is stated of each measure, and pairs of results of a sample."""

from datetime import date
from typing import Annotated
from urllib.parse import urlencode

from fastapi import APIRouter, Depends, HTTPException, Request, Response
from pydantic import TypeAdapter, ValidationError

from app.language import _
from app.ledger import uncertainty
from app.ledger.cells import Refused
from app.ledger.people import Person
from app.ledger.uncertainty import WrongFields
from app.plant.measures import MEASURES, Measure
from app.plant.typed import Unreadable, number
from app.reports.dates import calendar_day
from app.web.requests import Day, Form, Now, Once, Reading, Viewer, Writing, allow, done, render
from app.web.uncertainty_page import (
    MAY_STATE,
    MAY_TEST,
    Book,
    Said,
    book_of,
    measure_page,
    uncertainty_page,
)

router = APIRouter(prefix="/uncertainty")

Tester = Annotated[Person, Depends(allow(*MAY_TEST))]
Administrator = Annotated[Person, Depends(allow(*MAY_STATE))]

_PAIR = ("measure", "day", "first", "second")
_STATEMENT = ("random", "systematic", "relative", "since", "source")
_DONE = {"withdrawn": "The pair is withdrawn: it stays on this page and counts no more."}
_DAY: TypeAdapter[date] = TypeAdapter(Day)


@router.get("")
def every_measure(
    request: Request, by: Viewer, reading: Reading, now: Now, kept: str = "", measure: str = ""
) -> Response:
    """Show how sure each measure is, with a form for a pair."""
    book = book_of(reading, now)
    done = (
        _("{measure}: the pair is kept.", measure=_(MEASURES[kept].title))
        if kept in MEASURES
        else ""
    )
    typed = {"measure": kept or measure, "day": str(book.day), "first": "", "second": ""}
    return _every(request, book, by, Said(done, typed=typed))


@router.post("")
def add_pair(
    request: Request, by: Tester, writing: Writing, form: Form, now: Now, once: Once
) -> Response:
    """Keep two results of one sample."""
    typed = {name: form.get(name, "") for name in _PAIR}
    measure, first, second = typed["measure"], typed["first"], typed["second"]
    book = book_of(writing, now)
    try:
        if measure not in book.choices:
            raise WrongFields({"measure": _("Choose what was tested twice")})
        uncertainty.add_duplicate(
            writing, book.mill, measure=measure, day=_day(typed["day"]), first=first,
            second=second, by=by, at=now,
        )  # fmt: skip
    except WrongFields as wrong:
        said = Said(not_done=_("The pair was not kept"), typed=typed, wrong=wrong.problems)
        return _every(request, book, by, said)
    return done(once, f"/uncertainty?{urlencode({'kept': measure})}")


@router.get("/{name}")
def one_measure(
    request: Request, by: Viewer, reading: Reading, now: Now, name: str, done: str = "",
    counts: str = "",
) -> Response:  # fmt: skip
    """Show all that was stated of a measure, and all its pairs."""
    since = _day(counts)
    words = (
        _("It is stated, and counts from {day} on.", day=calendar_day(since))
        if since
        else _(_DONE.get(done, ""))
    )
    return _one(request, book_of(reading, now), _named(name), by, Said(words))


@router.post("/{name}")
def state(
    request: Request, by: Administrator, writing: Writing, form: Form, now: Now, name: str,
    once: Once,
) -> Response:  # fmt: skip
    """State the uncertainties of a measure from a day on."""
    measure, book = _named(name), book_of(writing, now)
    typed = {each: form.get(each, "") for each in _STATEMENT}
    try:
        counts = uncertainty.add_uncertainty(
            writing, book.mill, measure=name, random=_number(typed["random"]),
            systematic=_number(typed["systematic"]), relative=typed["relative"] == "yes",
            since=_day(typed["since"]), source=typed["source"], by=by, at=now,
        )  # fmt: skip
    except WrongFields as wrong:
        said = Said(not_done=_("Nothing was stated"), typed=typed, wrong=wrong.problems)
        return _one(request, book, measure, by, said)
    return done(once, _address(name, counts=f"{counts}"))


@router.post("/{name}/own")
def use_own(by: Administrator, writing: Writing, now: Now, name: str, once: Once) -> Response:
    """Let the mill's own repeatability be the random part from today; the systematic part stays."""
    book = book_of(writing, now)
    line = book.line(_named(name))
    if line.own is None or not line.own.usable:
        raise HTTPException(
            422, _("The pairs of this measure are too few, or none of them differs.")
        )
    try:
        counts = uncertainty.add_uncertainty(
            writing, book.mill, measure=name, random=line.own.standard,
            systematic=line.stated.systematic, relative=line.stated.relative, since=book.day,
            source=line.own_source, by=by, at=now,
        )  # fmt: skip
    except WrongFields as wrong:
        raise HTTPException(422, f"{wrong}.") from None
    return done(once, _address(name, counts=f"{counts}"))


@router.post("/{name}/pairs/{pair}/withdrawal")
def withdraw(  # noqa: PLR0913, PLR0917
    request: Request, by: Tester, writing: Writing, form: Form, now: Now, name: str, pair: int,
    once: Once,
) -> Response:  # fmt: skip
    """Let a pair count no more, with a reason."""
    measure, book = _named(name), book_of(writing, now)
    if not any(row.id == pair and row.measure == name for row in book.pairs):
        raise HTTPException(404, _("There is no such pair."))
    typed = {"reason": form.get("reason", "")}
    try:
        uncertainty.withdraw_duplicate(writing, book.mill, pair, **typed, by=by, at=now)
    except Refused as refused:
        wrong = {"reason": str(refused)}
        said = Said(not_done=_("The pair was not withdrawn"), typed=typed, wrong=wrong, pair=pair)
        return _one(request, book, measure, by, said)
    return done(once, _address(name, done="withdrawn"))


def _named(name: str) -> Measure:
    if name not in MEASURES:
        raise HTTPException(404, _("No measure is called {name}.", name=name))
    return MEASURES[name]


def _day(text: str) -> date | None:
    try:
        return _DAY.validate_python(text.strip())
    except ValidationError:
        return None


def _number(text: str) -> float:
    try:
        return float(number(text))
    except Unreadable:
        return float("nan")


def _address(name: str, **what: str) -> str:
    return f"/uncertainty/{name}?{urlencode(what)}"


def _every(request: Request, book: Book, by: Person, said: Said) -> Response:
    page, status = uncertainty_page(book, by, said), 422 if said.wrong else 200
    return render(request, "uncertainty/index.html", status, page=page)


def _one(request: Request, book: Book, measure: Measure, by: Person, said: Said) -> Response:
    page, status = measure_page(book, measure, by, said), 422 if said.wrong else 200
    return render(request, "uncertainty/measure.html", status, page=page)
