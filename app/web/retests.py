"""The tests of one sample: a further one, one corrected, left out of their mean, or taken in."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Annotated

from fastapi import APIRouter, Depends, HTTPException, Request, Response
from sqlalchemy import Connection

from app.language import _
from app.ledger.book import Closed, Conflict, Late, NeedsReason
from app.ledger.cells import Refused
from app.ledger.entries import entries_of_shift
from app.ledger.people import Person
from app.ledger.retests import MOST, Determination, Sample
from app.ledger.signing import MAY_SIGN
from app.ledger.uncertainty import WrongFields, add_duplicate
from app.plant.calendar import LATE_AFTER
from app.plant.measures import MEASURES, Measure
from app.plant.samples import Place
from app.reports.places import place_title, test_words
from app.reports.uncertainty import is_sampled
from app.web.forms import WithProblems
from app.web.open_shift import OpenShift, ShiftToRead, ShiftToWrite
from app.web.places import SampleLine, line_of_sample, place_named, sampled_at
from app.web.requests import Form, Now, Once, Reading, Viewer, Writing, allow, done, render
from app.web.seal import Seal, seal_of
from app.web.shift_form import entry_number

router = APIRouter(prefix="/shifts/{day}/{number}/tests/{key}")

Chemist = Annotated[Person, Depends(allow(*MAY_SIGN))]

_DONE = {
    "added": "The test is kept.",
    "paired": "The test is kept, and with the test before as a pair for the repeatability.",
    "corrected": "The test is corrected.",
    "left-out": "The test counts no more; it stays on this page.",
    "taken-in": "The test counts again.",
}


@dataclass(frozen=True)
class TestsPage(WithProblems):
    """The tests of one sample, and the forms that change them; `pairs_with` the one before."""

    shift: OpenShift
    measure: Measure
    key: str
    title: str
    line: SampleLine
    seal: Seal
    may_type: bool
    asks_why: bool
    pairs_with: Determination | None = None
    typed: Mapping[str, str] = field(default_factory=dict)
    wrong: Mapping[str, str] = field(default_factory=dict)
    done: str = ""

    @property
    def may_add(self) -> bool:
        """Whether a further test may be typed."""
        return self.may_type and 0 < len(self.line.tests) < MOST

    @property
    def why_not(self) -> str:
        """Why the reader does not change the tests."""
        if self.seal.role not in MAY_SIGN:
            return _("Chemists test again and leave out; you read.")
        if self.seal.day.signature:
            return _(
                "The day is approved by {name}: no test of it is changed until it is opened again.",
                name=self.seal.day.by,
            )
        return _(
            "The shift is signed by {name}: the chief chemist alone changes its tests, "
            "until it is opened again.",
            name=self.seal.shift.by,
        )

    @property
    def next(self) -> str:
        """How the next test is called."""
        return test_words(self.line.tests[-1].number + 1)

    def words(self, test: Determination) -> str:
        """How a test is called."""
        return test_words(test.number).capitalize()


@router.get("")
def show_tests(
    request: Request, by: Viewer, shift: ShiftToRead, reading: Reading, key: str, now: Now,
    done: str = "",
) -> Response:  # fmt: skip
    """Show the tests of one sample."""
    return _page(request, reading, shift, _sample(shift, key), by, now, said=_(_DONE.get(done, "")))


@router.post("")
def add_test(  # noqa: PLR0913, PLR0917
    request: Request, by: Chemist, form: Form, shift: ShiftToWrite, writing: Writing, key: str,
    now: Now, once: Once,
) -> Response:  # fmt: skip
    """Keep a further test of a sample, and with the one before as a pair where that is ticked."""
    place = _sample(shift, key)
    sample = _of(writing, shift, place, by, now)
    typed, reason = form.get("typed", ""), form.get("reason", "")
    paired = _pairs_with(sample.tests, by) if form.get("pair") else None
    try:
        with writing.begin_nested():
            if paired:
                add_duplicate(
                    writing, shift.mill, measure=place.measure, day=shift.day,
                    first=paired.stands.typed, second=typed, by=by, at=now,
                )  # fmt: skip
            sample.add(typed, reason)
    except (Refused, NeedsReason, Late) as why:
        where = "reason" if isinstance(why, NeedsReason | Late) else "typed"
        wrong = {where: _said(why)}
        return _page(request, writing, shift, place, by, now, wrong=wrong, form=form)
    except Closed as closed:
        raise HTTPException(403, f"{closed}.") from None
    return done(once, f"{shift.address}/tests/{key}?done={'paired' if paired else 'added'}")


@router.post("/{test}")
def change_test(  # noqa: PLR0913, PLR0917
    request: Request, by: Chemist, form: Form, shift: ShiftToWrite, writing: Writing, key: str,
    test: int, now: Now, once: Once,
) -> Response:  # fmt: skip
    """Correct a test, leave it out of the mean, or take it in again, for a reason."""
    place = _sample(shift, key)
    sample = _of(writing, shift, place, by, now)
    entry = entry_number(form.get("based_on", ""))
    reason, what = form.get("reason", ""), form.get("what", "")
    try:
        if what == "left-out":
            sample.leave_out(test, entry, reason)
        elif what == "taken-in":
            sample.take_in(test, entry, reason)
        elif what == "corrected":
            sample.correct(test, form.get("typed", ""), entry, reason)
        else:
            raise HTTPException(422, _("This form does not say what to do."))
    except (Refused, NeedsReason, Late, Conflict) as why:
        where = "reason" if isinstance(why, NeedsReason | Late) else "typed"
        wrong = {f"{where}-{test}": _said(why)}
        return _page(request, writing, shift, place, by, now, wrong=wrong, form=form)
    except Closed as closed:
        raise HTTPException(403, f"{closed}.") from None
    return done(once, f"{shift.address}/tests/{key}?done={what}")


def _said(why: Exception) -> str:
    if isinstance(why, WrongFields):
        return "; ".join(why.problems.values())
    return _("Say why") if isinstance(why, NeedsReason | Late) else str(why)


def _sample(shift: OpenShift, key: str) -> Place:
    """Return the first test of a sample that the shift has."""
    place = place_named(key)
    if place not in shift.places or not is_sampled(MEASURES[place.measure]):
        raise HTTPException(404, _("This shift has no such sample."))
    return place


def _of(
    connection: Connection, shift: OpenShift, place: Place, by: Person, now: datetime
) -> Sample:
    return Sample(connection, shift.season, shift.day, shift.number, place, by, now)


def _pairs_with(tests: tuple[Determination, ...], by: Person) -> Determination | None:
    """Return the last test that counts, where the same person did it: it may make a pair."""
    counted = [test for test in tests if test.counts]
    return counted[-1] if counted and counted[-1].tested.recorded_by == by.id else None


def _page(  # noqa: PLR0913  what went wrong is named part by part
    request: Request, connection: Connection, shift: OpenShift, place: Place, by: Person,
    now: datetime, *, said: str = "", wrong: Mapping[str, str] | None = None,
    form: Mapping[str, str] | None = None,
) -> Response:  # fmt: skip
    written = entries_of_shift(connection, shift.season, shift.day, shift.number)
    measure = shift.plan.every(shift.day)[place.measure]
    line = line_of_sample(shift, measure, written, place)
    seal = seal_of(connection, shift, by)
    page = TestsPage(
        shift,
        measure,
        place.key,
        place_title(place, sampled_at(shift, place, ()), shift.mill.clock),
        line,
        seal,
        seal.open_to(by),
        seal.shift.signature is not None or now > shift.bounds[1] + LATE_AFTER,
        _pairs_with(line.tests, by),
        form or {},
        wrong or {},
        said,
    )
    return render(request, "shifts/tests.html", 422 if wrong else 200, page=page)
