"""The tests of one sample: those that count in its mean, a further one, one left out of it."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from functools import cached_property
from itertools import pairwise

from sqlalchemy import Connection

from app.language import _
from app.ledger import book
from app.ledger.book import Typed
from app.ledger.cells import Refused
from app.ledger.entries import Entry, entries_of_shift
from app.ledger.mills import Season
from app.ledger.people import Person
from app.plant.samples import Place, mean
from app.plant.typed import LEFT_OUT

MOST = 9


@dataclass(frozen=True)
class Determination:
    """One test of a sample: everything written of it, oldest first, of which the last stands."""

    entries: tuple[Entry, ...]

    @property
    def stands(self) -> Entry:
        """What stands of it."""
        return self.entries[-1]

    @property
    def tested(self) -> Entry:
        """The entry by which its number came: leaving it out or taking it in is no test."""
        found = self.entries[0]
        for before, entry in pairwise(self.entries):
            if entry.typed != before.typed or LEFT_OUT not in (before.state, entry.state):
                found = entry
        return found

    @property
    def turned(self) -> Entry | None:
        """The entry that left it out, or took it in again; None where none ever did."""
        found = None
        for before, entry in pairwise(self.entries):
            if (entry.state == LEFT_OUT) != (before.state == LEFT_OUT):
                found = entry
        return found

    @property
    def number(self) -> int:
        """Which test of the sample it is, from 1."""
        return self.stands.determination

    @property
    def counts(self) -> bool:
        """Whether it has a number that counts in the mean."""
        return self.stands.value is not None

    @property
    def left_out(self) -> bool:
        """Whether it was left out of the mean."""
        return self.stands.state == LEFT_OUT


def determinations(entries: Iterable[Entry], place: Place) -> tuple[Determination, ...]:
    """Return the tests of the sample of `place`, in their order."""
    found: dict[int, list[Entry]] = {}
    for entry in entries:
        if entry.place[:2] == place[:2]:
            found.setdefault(entry.determination, []).append(entry)
    return tuple(Determination(tuple(written)) for _, written in sorted(found.items()))


def mean_of(tests: Iterable[Determination]) -> float | None:
    """Return the mean of the tests that count; None where none does."""
    return mean([float(t.stands.value) for t in tests if t.stands.value is not None])


@dataclass(frozen=True)
class Sample:
    """A sample of a shift, whose tests `by` adds to, corrects and leaves out.

    Each is an entry by the rules of the book, and raises what the book raises of a cell, or Closed.
    """

    connection: Connection
    season: Season
    day: date
    number: int
    place: Place
    by: Person
    at: datetime

    @cached_property
    def tests(self) -> tuple[Determination, ...]:
        """The tests of the sample, as they were when they were first asked for."""
        written = entries_of_shift(self.connection, self.season, self.day, self.number)
        return determinations(written, self.place)

    def add(self, typed: str, reason: str) -> None:
        """Write a further test; Refused where the sample has no first one yet, or nine."""
        if not self.tests:
            raise Refused(_("The first test of a sample is typed on the sheet"))
        last = self.tests[-1].number
        if last >= MOST:
            raise Refused(_("A sample has at most {count} tests", count=MOST))
        if not typed.strip():
            raise Refused(_("Write what the test gave"))
        self._write(last + 1, typed, reason)

    def correct(self, number: int, typed: str, based_on: int | None, reason: str) -> None:
        """Correct what was typed of a test; an empty text takes it out."""
        test = self._test(number)
        if typed.strip() == test.stands.typed.strip():
            raise Refused(_("This is what stands already"))
        self._write(number, typed, reason, based_on, left_out=test.left_out and bool(typed.strip()))

    def leave_out(self, number: int, based_on: int | None, reason: str) -> None:
        """Let a test count no more; Refused for one that does not, or alone does."""
        test = self._test(number)
        if not test.counts:
            raise Refused(_("This test does not count already"))
        if sum(each.counts for each in self.tests) == 1:
            raise Refused(_("No other test of this sample counts: correct it, or test once more"))
        self._write(number, test.stands.typed, reason, based_on, left_out=True)

    def take_in(self, number: int, based_on: int | None, reason: str) -> None:
        """Let a test count again that was left out; Refused for one that was not."""
        test = self._test(number)
        if not test.left_out:
            raise Refused(_("This test was not left out"))
        self._write(number, test.stands.typed, reason, based_on, left_out=False)

    def _test(self, number: int) -> Determination:
        found = next((test for test in self.tests if test.number == number), None)
        if found is None:
            raise Refused(_("There is no such test"))
        return found

    def _write(
        self,
        number: int,
        typed: str,
        reason: str,
        based_on: int | None = None,
        left_out: bool | None = None,
    ) -> None:
        test = next((test for test in self.tests if test.number == number), None)
        stands = test.stands if test else None
        cell = Typed(
            self.place.measure,
            typed,
            based_on,
            reason,
            late_reason=reason,
            observed_by=self._tester(test, typed) if test else None,
            sample=self.place.sample,
            determination=number,
            carried=stands is not None and stands.carried and typed == stands.typed,
            left_out=left_out,
        )
        failures = book.record_sheet(
            self.connection,
            season=self.season,
            day=self.day,
            number=self.number,
            cells=[cell],
            by=self.by,
            at=self.at,
        )
        if failures:
            raise failures[cell.key]

    def _tester(self, test: Determination, typed: str) -> str | None:
        """Return who did a test, where somebody else writes of it and leaves its number."""
        tested = test.tested
        others = typed == tested.typed and tested.recorded_by != self.by.id
        return tested.observed_by or (tested.recorded_name if others else None)
