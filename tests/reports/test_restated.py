"""As issued and as known now: what differs, by how much, and for which entries."""

import json
from decimal import Decimal

import pytest

from app.database import open_database, reading, writing
from app.ledger import book, chain, issues, mills, people, signing
from app.ledger.book import Typed
from app.ledger.shifts import shift_table
from app.ledger.signed import signed
from app.ledger.uncertainty import uncertainty_rows
from app.reports.day import day_report
from app.reports.restated import changes, frozen_figures, lines_of, rests_on
from app.reports.season_books import SeasonBooks
from demo_data.season import NOW
from tests.served import demo_database

# by day of October and shift: the measure, and by how much it is corrected; twenty of them
AMENDED = {
    (7 + n, n % 3 + 1): (("mixed_juice", "cane", "filter_cake")[n % 3], str(n + 1))
    for n in range(20)
}


@pytest.fixture(scope="module")
def ledger(tmp_path_factory):
    engine = open_database(f"sqlite:///{demo_database(tmp_path_factory.mktemp('demo'))}")
    yield engine
    engine.dispose()


def report(connection, day):
    mill = mills.the_mill(connection)
    season = mills.season_of(connection, mill, day)
    books = SeasonBooks(
        shift_table(connection, mill, season), mills.convention_rows(connection, mill),
        uncertainty_rows(connection, mill),
    )  # fmt: skip
    return season, day_report(books, day, {})


@pytest.fixture(scope="module")
def amended(ledger):
    """The report of 26 October as issued, then twenty results corrected, and it as known now."""
    day = NOW.date().replace(day=26)
    with reading(ledger) as connection:
        season, before = report(connection, day)
        head = chain.head(connection)
    with writing(ledger) as connection:
        by = people.add_person(
            connection, username="cora", printed_name="Cora", role="chief chemist",
            password="a long password for tests", at=NOW,
        )  # fmt: skip
        for (number, shift), (measure, change) in AMENDED.items():
            where = (season, day.replace(day=number), shift)
            if signed(connection, season, where[1], where[1])[where[1], None].signature:
                why = {"reason": "tickets were found", "by": by, "at": NOW}
                signing.reopen(connection, season, where[1], None, **why)
            entry = book.sheet(connection, *where)[measure]
            cell = Typed(measure, str(entry.value + Decimal(change)), entry.id, "weighed again")
            place = dict(zip(("season", "day", "number"), where, strict=True))
            assert book.record_sheet(connection, **place, cells=[cell], by=by, at=NOW) == {}
    with reading(ledger) as connection:
        _, now = report(connection, day)
        since = issues.amendments(connection, season, head.number)
    return season, before, now, since


@pytest.fixture(scope="module")
def found(amended):
    season, before, now, since = amended
    return changes(frozen_figures(before), now, season.first_day, since)


def test_a_report_that_nobody_amended_differs_in_nothing(amended):
    season, before, *_ = amended
    assert changes(frozen_figures(before), before, season.first_day, ()) == ()


def test_exactly_the_numbers_that_changed_are_told(amended, found):
    """A-34"""
    _, before, now, _ = amended
    old = {line.name: line for line in lines_of(before)}
    expected = {
        (line.name, column)
        for line in lines_of(now)
        for column, was, cell in zip(now.columns, old[line.name].cells, line.cells, strict=True)
        if was.value != cell.value
    }
    assert {(change.name, change.column) for change in found} == expected
    assert len(expected) > 50


def test_every_number_that_changed_names_an_amendment_that_it_rests_on(found):
    """A-35"""
    for change in found:
        assert change.behind, change
        measures, _ = rests_on(change.name)
        assert {amendment.subject for amendment in change.behind} <= measures


def test_the_change_of_a_weight_is_the_sum_of_its_amendments(amended, found):
    """A-35: to the last digit entered."""
    _, before, now, since = amended
    firsts = {"Day": 26, "Week to date": 26, "Season to date": 1}
    for column, first in firsts.items():
        asked = [a for a in since if a.subject == "cane" and a.day.day >= first]
        index = now.columns.index(column)
        was, value = (
            next(line for line in lines_of(page) if line.name == "cane").cells[index].value
            for page in (before, now)
        )
        difference = Decimal(str(round(value, 6))) - Decimal(str(round(was, 6)))
        assert difference == sum(amendment.change for amendment in asked)
        told = next(c for c in found if (c.name, c.column) == ("cane", column))
        assert [a.event for a in told.behind] == [a.event for a in asked]


def test_an_amendment_tells_what_stood_before_who_and_why(amended):
    *_, since = amended
    assert [(a.day.day, a.number) for a in since] == list(AMENDED)
    first = since[0]
    assert (first.subject, first.change, first.recorded_name) == ("mixed_juice", Decimal(1), "Cora")
    assert Decimal(first.after) - Decimal(first.before.replace(",", ".")) == 1
    assert first.reason == "weighed again"


def test_frozen_numbers_are_exact_and_as_printed(amended):
    _, before, *_ = amended
    frozen = json.loads(frozen_figures(before))["figures"]
    line = next(line for line in lines_of(before) if line.name == "pol_extraction")
    assert frozen["pol_extraction"]["values"] == [cell.value for cell in line.cells]
    assert frozen["pol_extraction"]["printed"] == [cell.text for cell in line.cells]
