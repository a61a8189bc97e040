"""The demonstration: an invented mill with a season in its ledger."""

import importlib
import sys
from collections.abc import Iterable, Iterator, Mapping
from types import ModuleType
from typing import Any

from sqlalchemy import Connection, Engine

from app.database import writing
from app.demo_signing import Signer
from app.ledger import bench, book, history, mills, people, plan, uncertainty
from app.ledger.mills import Mill, Season
from app.ledger.recording import Draft, write_records
from app.ledger.retests import Sample
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
        for change in demo.plan_changes:
            plan.choose(connection, mill, change, by=administrator, at=demo.plan_chosen_at)
        history.load_history(connection, season, _with_persons(demo.history, crew))
        for row in demo.records:
            draft = Draft(row.book, row.day, row.number, row.typed)
            write_records(connection, season, [draft], by=crew[row.username], at=row.recorded_at)
        _test_again(connection, mill, season, demo, crew[demo.retested_by])
        Signer(connection, mill, season, demo, crew).sign()


def _test_again(
    connection: Connection, mill: Mill, season: Season, demo: Any, by: people.Person
) -> None:
    """Test some samples twice, leave one of the tests out, and carry the mass of a dish over."""
    for said in demo.tested_again:
        sample = Sample(
            connection, season, said.day, said.number, said.place, by, said.at(mill.clock)
        )
        if said.typed:
            sample.add(said.typed, said.reason)
        else:
            last = sample.tests[-1]
            sample.leave_out(last.number, last.stands.id, said.reason)
    dish = demo.carried
    book.record_sheet(
        connection, season=season, day=dish.day, number=dish.number, by=by, at=dish.at(mill.clock),
        cells=[book.Typed(dish.place.measure, dish.typed, carried=True)],
    )  # fmt: skip


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
            sample=entry.sample,
        )
