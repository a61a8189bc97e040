"""Signs the demonstration's shifts as its people would, and approves its days."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from functools import cached_property
from typing import Any

from sqlalchemy import Connection

from app.exports.books import books_of
from app.exports.checks import checks_of
from app.exports.doubts import checks_until
from app.ledger import book, signing
from app.ledger.book import Typed
from app.ledger.entries import Entry
from app.ledger.mills import Mill, Season
from app.ledger.people import Person
from app.reports.checks import FIGURES_ASKED
from app.reports.instruments import Doubt, doubts
from app.reports.season_books import SeasonBooks
from app.reports.sheet import Filling, measures_of_shift, sheet_of


@dataclass(frozen=True)
class Signer:
    """Whoever typed last in a shift signs it; the day before the last is the last approved."""

    connection: Connection
    mill: Mill
    season: Season
    demo: Any
    crew: Mapping[str, Person]

    def sign(self) -> None:
        """Sign every shift that is over, and approve every day but the last one."""
        books = books_of(self.connection, self.mill, self.season)
        books.need(FIGURES_ASKED)
        yesterday = self.mill.clock.shift_at(self.demo.now)[0] - timedelta(days=1)
        for shift in books.shifts:
            ends = self.mill.clock.shift_bounds(shift.day, shift.number)[1]
            if ends + self.demo.signed_after > self.demo.now:
                continue
            self._sign_shift(books, shift.day, shift.number, ends)
            if shift.number == self.mill.shifts_a_day and shift.day < yesterday:
                self._approve(shift.day, ends + self.demo.approved_after, self.demo.approver)
        self._correct_after_approval()

    def _sign_shift(self, books: SeasonBooks, day: date, number: int, ends: datetime) -> None:
        """Say of each blank that it was not measured, and sign with a remark for every state."""
        place: dict[str, Any] = {"season": self.season, "day": day, "number": number}
        stands = book.sheet(self.connection, self.season, day, number)
        by, at = self._signer(stands, ends + self.demo.signed_after)
        clock = self.mill.clock
        measures = measures_of_shift(books.plan.on(day).values(), clock, day, number)
        follows = books.results_of_readings(day, number)
        filling = Filling(
            clock, clock.shift_bounds(day, number), stands, follows=follows,
            booked=books.booked_on(day, number),
        )  # fmt: skip
        sheet = sheet_of(measures, filling)
        cells = [
            Typed(
                cell.measure.name, "nm", cell.result.id if cell.result else None,
                self.demo.why_blank, sample=cell.place.sample,
            )
            for cell in sheet.missing
        ]  # fmt: skip
        book.record_sheet(self.connection, **place, cells=cells, by=by, at=at)
        remarks = {key: self.demo.remarks.get(entry.state, "") for key, entry in stands.items()}
        checks = checks_of(
            self.connection, self.mill, self.season, (day, number), sheet, stands, books,
            [doubt for doubt in self._doubts if doubt.failed.at < at],
        )  # fmt: skip
        answers = {
            question.about: self.demo.answer(question.raised.check.name, turn + day.toordinal())
            for turn, question in enumerate(checks.open)
        }
        signing.sign_shift(
            self.connection, **place, blank=(), remarks=remarks, by=by, at=at, answers=answers
        )

    @cached_property
    def _doubts(self) -> list[Doubt]:
        last = self.mill.clock.shift_at(self.demo.now)[0]
        return doubts(checks_until(self.connection, self.mill, self.season, last))

    def _signer(self, stands: Mapping[str, Entry], earliest: datetime) -> tuple[Person, datetime]:
        last = max(stands.values(), key=lambda entry: entry.recorded_at)
        by = next(p for p in self.crew.values() if p.printed_name == last.recorded_name)
        return by, max(earliest, last.recorded_at + timedelta(minutes=10))

    def _correct_after_approval(self) -> None:
        """Let the chief chemist open a day again and correct a weight, and a manager approve it."""
        late = self.demo.found_later
        by = self.crew[self.demo.approver]
        signing.reopen(
            self.connection, self.season, late.day, None, reason=late.reason, by=by, at=late.at
        )
        place: dict[str, Any] = {"season": self.season, "day": late.day, "number": late.number}
        stands = book.sheet(self.connection, self.season, late.day, late.number)[late.measure]
        cell = Typed(late.measure, late.typed, stands.id, late.reason)
        book.record_sheet(self.connection, **place, cells=[cell], by=by, at=late.at)
        self._approve(late.day, late.at + timedelta(minutes=40), late.approver)

    def _approve(self, day: date, at: datetime, username: str) -> None:
        by = self.crew[username]
        signing.approve_day(
            self.connection, self.season, day, shifts_a_day=self.mill.shifts_a_day, by=by, at=at
        )
