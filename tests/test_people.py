"""People, their roles and codes, and the mill's dated choices."""

import json
from dataclasses import replace
from datetime import date, timedelta

import pytest
from sqlalchemy import delete, select
from sqlalchemy.exc import DBAPIError

from app.database import writing
from app.ledger import mills, passwords, people, soundness, tables
from tests.bench import NOON, PASSWORD
from tests.letting_in import sign_in

pytestmark = pytest.mark.both_engines

SECOND = timedelta(seconds=1)


@pytest.fixture
def connection(bench):
    with writing(bench.engine) as connection:
        yield connection


def test_a_role_is_one_that_people_have(connection):
    with pytest.raises(ValueError, match="A role is one of"):
        people.add_person(connection, username="eve", printed_name="Eve", role="instrument",
                          password=PASSWORD, at=NOON)  # fmt: skip


@pytest.mark.parametrize(
    ("username", "printed_name", "words"),
    [
        ("eve mill", "Eve Marsh", "A user name has no blanks"),
        ("eve", " ann  FIELD ", "ann is already printed as Ann Field"),
        ("eve", " ", "A person has a user name and a printed name"),
    ],
)
def test_people_are_told_apart_by_their_names(connection, username, printed_name, words):
    with pytest.raises(ValueError, match=words):
        people.add_person(connection, username=username, printed_name=printed_name,
                          role="auditor", password=PASSWORD, at=NOON)  # fmt: skip


def test_a_name_is_free_again_once_its_bearer_is_deactivated(bench, connection):
    people.deactivate(connection, bench.bob, by=bench.ann, at=NOON)
    people.add_person(connection, username="eve", printed_name="Bob Stone", role="auditor",
                      password=PASSWORD, at=NOON)  # fmt: skip
    gone = next(p for p in people.people(connection) if p.username == "bob")
    with pytest.raises(ValueError, match="eve is already printed as Bob Stone"):
        people.activate(connection, gone, by=bench.ann, at=NOON)


def test_somebody_activated_again_has_their_password(bench, connection):
    people.deactivate(connection, bench.bob, by=bench.ann, at=NOON)
    gone = next(p for p in people.people(connection) if p.username == "bob")
    people.activate(connection, gone, by=bench.ann, at=NOON)
    assert sign_in(connection, "bob", PASSWORD, "10.0.0.1", NOON)


def told_of(connection, username):
    """What the chain tells of a person: what, and how they then were."""
    query = select(tables.event.c.content).where(tables.event.c.kind == "person")
    told = [json.loads(content) for content in connection.scalars(query)]
    return [event for event in told if event["username"] == username]


def test_every_change_of_a_person_is_told_in_the_chain(bench, connection):
    people.change_role(connection, bench.bob, "manager", by=bench.ann, at=NOON)
    bob = people.person_named(connection, "Bob")
    people.change_role(connection, bob, "manager", by=bench.ann, at=NOON)
    people.deactivate(connection, bob, by=bench.ann, at=NOON)
    people.activate(connection, replace(bob, active=False), by=bench.ann, at=NOON)
    people.give_code(connection, bob, by=bench.ann, at=NOON)
    told = [(event["what"], event["role"], event["active"]) for event in told_of(connection, "bob")]
    assert told == [
        ("added", "chemist", "true"), ("role changed", "manager", "true"),
        ("deactivated", "manager", "false"), ("activated", "manager", "true"),
        ("code given", "manager", "true"),
    ]  # fmt: skip
    assert soundness.faults(connection) == []


@pytest.mark.parametrize("role", ["king", "instrument", ""])
def test_nobody_is_given_a_role_that_people_do_not_have(bench, connection, role):
    with pytest.raises(ValueError, match="A role is one of"):
        people.change_role(connection, bench.bob, role, by=bench.ann, at=NOON)


def test_a_person_without_a_password_signs_in_once_they_set_one(bench, connection):
    """B-76: the administrator never knows it."""
    eve = people.add_person(
        connection, username="eve", printed_name="Eve", role="auditor", by=bench.ann, at=NOON
    )
    for guess in ("", "None", "eve"):
        assert sign_in(connection, "eve", guess, "10.0.0.1", NOON) is None
    code = people.give_code(connection, eve, by=bench.ann, at=NOON)
    assert people.who_has_code(connection, "eve", code.lower(), NOON) == eve
    people.set_password(connection, eve, passwords.hashed(PASSWORD), at=NOON)
    assert people.who_has_code(connection, "eve", code, NOON) is None
    assert sign_in(connection, "eve", PASSWORD, "10.0.0.1", NOON)
    assert [event["what"] for event in told_of(connection, "eve")] == [
        "added", "code given", "password set",
    ]  # fmt: skip


@pytest.mark.parametrize("lasts", [timedelta(hours=1), people.CODE_LASTS])
def test_a_code_dies(bench, connection, lasts):
    """B-74, B-76"""
    code = people.give_code(connection, bench.bob, by=None, at=NOON, lasts=lasts)
    assert people.who_has_code(connection, "bob", code, NOON + lasts - SECOND) == bench.bob
    assert people.who_has_code(connection, "bob", code, NOON + lasts) is None
    assert people.who_has_code(connection, "ann", code, NOON) is None


def test_no_code_is_given_to_who_cannot_sign_in(bench, connection):
    people.deactivate(connection, bench.bob, by=bench.ann, at=NOON)
    with pytest.raises(ValueError, match="cannot sign in"):
        people.give_code(connection, replace(bench.bob, active=False), by=bench.ann, at=NOON)


def test_deactivating_ends_the_code_too(bench, connection):
    code = people.give_code(connection, bench.bob, by=bench.ann, at=NOON)
    people.deactivate(connection, bench.bob, by=bench.ann, at=NOON)
    people.activate(connection, replace(bench.bob, active=False), by=bench.ann, at=NOON)
    assert people.who_has_code(connection, "bob", code, NOON) is None


def test_a_person_who_wrote_cannot_be_taken_away(bench):
    """A-02: the database refuses it."""
    bench.write("cane", "1800")
    with pytest.raises(DBAPIError), writing(bench.engine) as connection:
        connection.execute(delete(tables.person).where(tables.person.c.id == bench.ann.id))


def test_a_season_is_found_by_day_and_by_name(bench, connection):
    old = mills.add_season(
        connection,
        bench.mill,
        name="2025",
        first_day=date(2025, 6, 1),
        last_day=date(2025, 12, 9),
        at=NOON,
    )
    assert mills.the_mill(connection) == bench.mill
    assert mills.seasons(connection, bench.mill) == [bench.season, old]
    assert mills.season_of(connection, bench.mill, date(2025, 12, 9)) == old
    assert mills.season_of(connection, bench.mill, date(2025, 12, 10)) is None
    assert mills.season_of(connection, bench.mill, date(2026, 12, 10)) == bench.season
    assert mills.season_named(connection, bench.mill, "2025") == old
    assert mills.season_named(connection, bench.mill, "1999") is None


def test_the_target_in_force_is_the_last_one_set_for_the_day(bench, connection):
    july, june = date(2026, 7, 1), date(2026, 6, 1)
    for value, since in ((96.0, july), (95.5, june), (95.0, june)):
        mills.add_target(
            connection, bench.mill, figure="pol_extraction", value=value, since=since,
            by=bench.ann, at=NOON,
        )  # fmt: skip
    days = (date(2026, 5, 31), date(2026, 6, 30), july)
    found = [mills.targets(connection, bench.mill, day) for day in days]
    assert found == [{}, {"pol_extraction": 95.0}, {"pol_extraction": 96.0}]


def test_conventions_come_by_name_and_date(bench, connection):
    who = {"by": bench.ann, "at": NOON, "source": "the mill"}
    for value, since in (("86", date(2026, 7, 1)), ("85", date(2026, 6, 1))):
        mills.add_convention(
            connection, bench.mill, name="standard_molasses_brix", value=value, since=since, **who
        )
    assert mills.convention_rows(connection, bench.mill) == [
        ("standard_molasses_brix", "85", date(2026, 6, 1), "the mill"),
        ("standard_molasses_brix", "86", date(2026, 7, 1), "the mill"),
    ]
