"""One place of a sheet: everything written there, and all samples of its measure."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import datetime

from fastapi import APIRouter, HTTPException, Request, Response

from app.language import _
from app.ledger.booked import lacking_on
from app.ledger.chain import numbers_of
from app.ledger.entries import Entry, entries_of_shift
from app.ledger.notes import Note
from app.ledger.records import Record
from app.ledger.retests import Determination, determinations, mean_of
from app.plant.books import GIVEN_BY
from app.plant.books.declare import Book
from app.plant.measures import MEASURES, SHIFT, Measure
from app.plant.readings import READINGS
from app.plant.samples import RULES, Place, made, place_of, times
from app.reports.marks import lacking_words
from app.reports.numbers import printed
from app.reports.places import place_title, sample_title
from app.reports.uncertainty import is_sampled
from app.web.checked import notes_about
from app.web.open_shift import OpenShift, ShiftToRead
from app.web.periods import books_of
from app.web.requests import Reading, Viewer, render

router = APIRouter(prefix="/shifts/{day}/{number}")


@dataclass(frozen=True)
class SampleLine:
    """One sample of a measure: its tests, and their mean as printed."""

    title: str
    key: str
    tests: tuple[Determination, ...]
    mean: str

    @property
    def counted(self) -> int:
        """How many of its tests count."""
        return sum(test.counts for test in self.tests)


@dataclass(frozen=True)
class TrailPage:
    """Everything ever written in one place, and all samples of its measure on that shift.

    `made` is what they make, by the `rule`; `follows` what now follows from readings, `booked`
    what another book gives, `unfinished` the records of it that keep it from giving.
    """

    shift: OpenShift
    measure: Measure
    key: str
    title: str
    entries: tuple[Entry, ...]
    samples: tuple[SampleLine, ...]
    made: str
    follows: str = ""
    readings: tuple[Measure, ...] = ()
    events: Mapping[int, int] = field(default_factory=dict)
    notes: tuple[Note, ...] = ()
    booked: str = ""
    unfinished: tuple[Record, ...] = ()

    @property
    def lacking(self) -> str:
        """Why the other book gives none of it, where records of it are not finished."""
        if self.book is None or not self.unfinished:
            return ""
        return lacking_words(self.book, self.unfinished)

    @property
    def book(self) -> Book | None:
        """The other book that gives it, where one may."""
        return GIVEN_BY.get(self.measure.name)

    @property
    def of_book(self) -> str:
        """Where the records are that give it."""
        if self.book is None:
            return ""
        days = f"?first={self.shift.day}&last={self.shift.day}"
        of_shift = f"/{self.shift.day}/{self.shift.number}"
        return f"/books/{self.book.name}{of_shift if self.measure.grain == SHIFT else days}"

    @property
    def rule(self) -> str:
        """How the samples of the shift make its result."""
        return RULES[self.measure.rule]

    @property
    def several(self) -> bool:
        """Whether the shift has more of this measure than one test of one sample."""
        return len(self.samples) > 1 or any(len(line.tests) > 1 for line in self.samples)

    @property
    def may_be_retested(self) -> bool:
        """Whether the sample may be tested once more: not what is weighed or counted."""
        return is_sampled(self.measure) and place_of(self.of_sample) in self.shift.places

    @property
    def of_sample(self) -> str:
        """The place of the first test of the same sample, whose page has all tests."""
        return place_of(self.key)._replace(determination=1).key


@router.get("/cells/{key}")
def show_trail(
    request: Request, _by: Viewer, shift: ShiftToRead, reading: Reading, key: str
) -> Response:
    """Show everything ever written in one place, and the other samples of the shift."""
    place = place_named(key)
    measure = shift.plan.every(shift.day)[place.measure]
    written = entries_of_shift(reading, shift.season, shift.day, shift.number)
    here = tuple(entry for entry in written if entry.place == place)
    samples = _samples(shift, measure, written)
    due = len(times(*shift.bounds, measure.every))
    means = [value for line in samples if (value := mean_of(line.tests)) is not None]
    books = books_of(reading, shift.mill, shift.season, only=shift.day, plan=shift.plan)
    follows = books.results_of_readings(shift.day, shift.number).get(measure.name)
    page = TrailPage(
        shift,
        measure,
        key,
        place_title(place, sampled_at(shift, place, here), shift.mill.clock),
        here,
        samples,
        printed(made(measure.rule, means, due), measure.decimals),
        printed(follows, measure.decimals),
        tuple(MEASURES[name] for name in READINGS.get(measure.name, ())),
        numbers_of(reading, "entry", [entry.id for entry in here]),
        notes_about(reading, shift, place, [entry.id for entry in here]),
        printed(books.booked_on(shift.day, shift.number).get(measure.name), measure.decimals),
        lacking_on(reading, shift.season, shift.day, shift.number).get(measure.name, ()),
    )
    return render(request, "shifts/trail.html", page=page)


def place_named(key: str) -> Place:
    """Return the place of a key; 404 for one that no sheet has."""
    try:
        place = place_of(key)
    except ValueError:
        place = None
    if place is None or place.measure not in MEASURES:
        raise HTTPException(404, _("There is no such measure."))
    return place


def _samples(
    shift: OpenShift, measure: Measure, written: Iterable[Entry]
) -> tuple[SampleLine, ...]:
    """Return the samples of a measure that the shift has, or of which something was written."""
    own = [entry for entry in written if entry.measure == measure.name]
    due = {place.sample for place in shift.places if place.measure == measure.name}
    numbers = sorted(due | {entry.sample for entry in own})
    return tuple(
        line_of_sample(shift, measure, own, Place(measure.name, number)) for number in numbers
    )


def line_of_sample(
    shift: OpenShift, measure: Measure, written: Iterable[Entry], place: Place
) -> SampleLine:
    """Return a sample of a shift with its tests."""
    tests = determinations(written, place)
    entries = [test.stands for test in tests]
    title = sample_title(place, sampled_at(shift, place, entries), shift.mill.clock)
    return SampleLine(title, place.key, tests, printed(mean_of(tests), measure.decimals))


def sampled_at(shift: OpenShift, place: Place, entries: Iterable[Entry]) -> datetime | None:
    """Return when a sample of several was due: as its entries say, else by the plan of the day."""
    said = next((entry.observed_at for entry in entries if entry.observed_at), None)
    every = shift.plan.every(shift.day)[place.measure].every
    if said or not every:
        return said
    due = times(*shift.bounds, every)
    return due[place.sample - 1] if place.sample <= len(due) else None
