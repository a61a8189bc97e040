"""The demonstration: an invented mill with a season in its ledger."""

import importlib
import sys
from collections.abc import Iterable, Iterator, Mapping
from datetime import date, datetime, timedelta
from types import ModuleType
from typing import Any, NamedTuple

from sqlalchemy import Connection, Engine

from app.database import writing
from app.ledger import bench, book, history, mills, people, signing, uncertainty
from app.ledger.book import Typed
from app.ledger.entries import Entry
from app.ledger.shifts import shift_table
from app.plant.streams import streams_in_use
from app.reports.season_books import SeasonBooks
from app.reports.sheet import Filling, measures_of_shift, sheet_of
from app.settings import shared


def fill(engine: Engine) -> None:
    """Load the demonstration season into an empty, migrated database."""
    demo = demo_season().demo_season()
    with writing(engine) as connection:
        at = demo.set_up_at
        mill = mills.add_mill(connection, at=at, **demo.mill)
        season = mills.add_season(connection, mill, at=at, **demo.season)
        crew = {
            person["username"]: people.add_person(connection, **person, at=at)
            for person in demo.people
        }
        administrator = next(p for p in crew.values() if p.role == "administrator")
        for convention in demo.conventions:
            mills.add_convention(connection, mill, **convention, by=administrator, at=at)
        for target in demo.targets:
            mills.add_target(connection, mill, **target, by=administrator, at=at)
        for said in demo.uncertainties:
            uncertainty.add_uncertainty(connection, mill, **said, by=administrator)
        for pair in demo.duplicates:
            uncertainty.add_duplicate(connection, mill, **_by(pair, crew))
        for dose in demo.lime_doses:
            bench.set_lime_dose(connection, mill, **_by(dose, crew))
        history.load_history(connection, season, _with_persons(demo.history, crew))
        _sign(connection, mill, season, demo, crew)


def _sign(
    connection: Connection,
    mill: mills.Mill,
    season: mills.Season,
    demo: Any,
    crew: Mapping[str, people.Person],
) -> None:
    """Sign every shift that is over, and approve every day but the last one."""
    books = SeasonBooks(
        shift_table(connection, mill, season), mills.convention_rows(connection, mill)
    )
    for shift in books.shifts:
        ends = mill.clock.shift_bounds(shift.day, shift.number)[1]
        if ends + demo.signed_after > demo.now:
            continue
        place = Place(season, shift.day, shift.number)
        _sign_shift(connection, books, place, mill, demo, crew, ends)
        if shift.number == mill.shifts_a_day and shift.day < books.days[-1] - timedelta(days=1):
            approved_at = ends + demo.approved_after
            signing.approve_day(
                connection, season, shift.day, shifts_a_day=mill.shifts_a_day,
                by=crew[demo.approver], at=approved_at,
            )  # fmt: skip


class Place(NamedTuple):
    """A shift of the season."""

    season: mills.Season
    day: date
    number: int


def _sign_shift(  # noqa: PLR0913, PLR0917
    connection: Connection,
    books: SeasonBooks,
    place: Place,
    mill: mills.Mill,
    demo: Any,
    crew: Mapping[str, people.Person],
    ends: datetime,
) -> None:
    """Say of each blank that it was not measured, and sign with a remark for every state."""
    stands = book.sheet(connection, *place)
    by = next(p for p in crew.values() if stands and p.printed_name == _last(stands).recorded_name)
    at = max(ends + demo.signed_after, _last(stands).recorded_at + demo.signed_after)
    rows = mills.convention_rows(connection, mill)
    streams = streams_in_use(mills.equipment(mill, rows, place.day))
    measures = measures_of_shift(streams, mill.clock, place.day, place.number)
    day_and_number = place.day, place.number
    follows = books.results_of_readings(*day_and_number)
    filling = Filling(mill.clock, stands, book.usual, follows=follows)
    blank = [cell.measure.name for cell in sheet_of(measures, filling).missing]
    cells = [
        Typed(name, "nm", stands[name].id if name in stands else None, demo.why_blank, None)
        for name in blank
    ]
    book.record_sheet(connection, **place._asdict(), cells=cells, by=by, at=at)
    remarks = {name: demo.remarks.get(entry.state, "") for name, entry in stands.items()}
    signing.sign_shift(connection, *place, blank=(), remarks=remarks, by=by, at=at)


def _last(stands: Mapping[str, Entry]) -> Entry:
    return max(stands.values(), key=lambda entry: entry.recorded_at)


def demo_season() -> ModuleType:
    """Return the module that makes the season, from the checkout or the wheel."""
    folder = str(shared("demo_data").parent)
    if folder not in sys.path:
        sys.path.append(folder)
    return importlib.import_module("demo_data.season")


def _by(said: Mapping[str, Any], crew: Mapping[str, people.Person]) -> dict[str, Any]:
    return {**said, "by": crew[said["by"]]}


def _with_persons(
    told: Iterable[Any], crew: Mapping[str, people.Person]
) -> Iterator[history.HistoryEntry]:
    for entry in told:
        yield history.HistoryEntry(
            day=entry.day,
            number=entry.number,
            measure=entry.measure,
            typed=entry.typed,
            reason=entry.reason,
            person_id=crew[entry.username].id,
            recorded_at=entry.recorded_at,
            corrects_previous=entry.corrects_previous,
        )
