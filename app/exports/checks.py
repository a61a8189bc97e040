"""What the sheet of a shift is asked, read from the ledger, with the answers that stand."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from sqlalchemy import Connection

from app.ledger.entries import Entry
from app.ledger.mills import Mill, Season
from app.ledger.notes import Asks, Note, answers, notes_of, standing_entries
from app.plant.grains import WEEK
from app.plant.readings import READINGS
from app.plant.samples import place_of
from app.reports.checks import STANDARD_CHECK_FAILED, Raised, in_doubt, raised_on
from app.reports.instruments import Doubt
from app.reports.season_books import SeasonBooks
from app.reports.sheet import Sheet


@dataclass(frozen=True)
class Question:
    """A check that a sheet raises, what an answer to it is about, and the answer that stands."""

    raised: Raised
    about: Asks
    answer: Note | None

    @property
    def name(self) -> str:
        """How a form names it."""
        return self.raised.name

    @property
    def entries(self) -> str:
        """The entries that it is about, as a form sends them back."""
        return ",".join(map(str, sorted(self.about.entries)))


@dataclass(frozen=True)
class Checks:
    """What a sheet is asked, the largest first, and what was noted on its results."""

    questions: tuple[Question, ...] = ()
    notes: tuple[Note, ...] = ()

    @property
    def open(self) -> tuple[Question, ...]:
        """The questions without an answer."""
        return tuple(question for question in self.questions if question.answer is None)

    @property
    def answered(self) -> tuple[Question, ...]:
        """The questions with an answer."""
        return tuple(question for question in self.questions if question.answer)

    def noted(self, key: str) -> tuple[Note, ...]:
        """Return what was noted on the result of one cell."""
        return tuple(note for note in self.notes if note.place.key == key)


def checks_of(  # noqa: PLR0913, PLR0917
    connection: Connection,
    mill: Mill,
    season: Season,
    shift: tuple[date, int],
    sheet: Sheet,
    standing: Mapping[str, Entry],
    books: SeasonBooks,
    doubts: Iterable[Doubt] = (),
) -> Checks:
    """Return what the sheet of a shift is asked, by books that reach back far enough.

    `doubts` are those that failed checks of instruments may throw on it.
    """
    day, number = shift
    raised = list(raised_on(sheet, standing, books, shift, mill.shifts_a_day))
    if not books.plan.is_off(STANDARD_CHECK_FAILED.name, day):
        raised[:0] = in_doubt(doubts, sheet, standing, mill.clock)
    said = [n for n in notes_of(connection, season, day, day) if n.number == number]
    answered = answers(said)
    questions = (_question(connection, season, day, each, answered) for each in raised)
    return Checks(tuple(questions), tuple(note for note in said if not note.rule))


def _question(
    connection: Connection,
    season: Season,
    day: date,
    raised: Raised,
    answered: Mapping[tuple[str, frozenset[int]], Note],
) -> Question:
    entries = frozenset(raised.entries)
    if raised.measures:
        first = day - timedelta(days=day.weekday()) if raised.check.grain == WEEK else day
        entries |= standing_entries(connection, season, (first, day), _behind(raised.measures))
    about = Asks(place_of(raised.cells[0].key), raised.rule, entries)
    return Question(raised, about, answered.get((raised.rule, entries)))


def _behind(measures: Sequence[str]) -> Iterable[str]:
    return {*measures, *(reading for name in measures for reading in READINGS.get(name, ()))}
