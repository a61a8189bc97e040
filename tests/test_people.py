"""Sign-in, its waiting times and its end, and the mill's dated choices."""

from datetime import date, timedelta

import pytest
from sqlalchemy import select

from app.database import writing
from app.ledger import mills, people, tables
from tests.bench import NOON, PASSWORD

pytestmark = pytest.mark.both_engines

SECOND = timedelta(seconds=1)


@pytest.fixture
def connection(bench):
    with writing(bench.engine) as connection:
        yield connection


def test_the_right_password_gives_a_token_that_tells_who(bench, connection):
    token = people.sign_in(connection, " Ann", PASSWORD, "10.0.0.1", NOON)
    person, csrf = people.person_of(connection, token, NOON)
    assert person == bench.ann
    assert len(csrf) > 40
    assert csrf != token


def test_neither_password_nor_token_is_kept(connection):
    token = people.sign_in(connection, "ann", PASSWORD, "10.0.0.1", NOON)
    people.add_person(connection, username="eve", printed_name="Eve Marsh", role="auditor",
                      password=PASSWORD, at=NOON)  # fmt: skip
    kept = str(connection.execute(select(tables.person)).all())
    kept += str(connection.execute(select(tables.sign_in)).all())
    assert "$argon2id$v=19$m=19456,t=2,p=1$" in kept
    assert PASSWORD not in kept
    assert token not in kept


@pytest.mark.parametrize("guess", [("ann", PASSWORD + " "), ("ann", ""), ("nobody", PASSWORD)])
def test_anything_else_gives_none(connection, guess):
    assert people.sign_in(connection, *guess, "10.0.0.1", NOON) is None
    assert people.person_of(connection, guess[1], NOON) is None


@pytest.mark.parametrize("password", ["x" * 14, "x" * 1025])
def test_a_password_is_long_but_not_endless(connection, password):
    with pytest.raises(ValueError, match="at least 15"):
        people.add_person(connection, username="eve", printed_name="Eve Marsh", role="auditor",
                          password=password, at=NOON)  # fmt: skip


@pytest.mark.parametrize("password", ["x" * 15, "गन्ना और चीनी का बही-खाता 🌾", " " * 64])
def test_any_characters_make_a_password(connection, password):
    people.add_person(connection, username="Eve", printed_name="Eve Marsh", role="auditor",
                      password=password, at=NOON)  # fmt: skip
    assert people.sign_in(connection, "eve", password, "10.0.0.1", NOON)


def test_a_role_is_one_of_four(connection):
    with pytest.raises(ValueError, match="A role is one of"):
        people.add_person(connection, username="eve", printed_name="Eve", role="owner",
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
    assert people.sign_in(connection, "bob", PASSWORD, "10.0.0.1", NOON)


def fail(connection, times, at=NOON, username="ann", address="10.0.0.1"):
    for _ in range(times):
        assert people.sign_in(connection, username, "wrong", address, at) is None


def test_guessing_waits_longer_each_time(connection):
    fail(connection, 5)
    at, waits = NOON, []
    for _ in range(12):
        wait = people.wait_before(connection, "Ann", "10.0.0.1", at)
        waits.append(wait)
        assert people.sign_in(connection, "ann", PASSWORD, "10.0.0.1", at + wait - SECOND) is None
        at += wait
        fail(connection, 1, at)
    assert waits[:4] == [2 * SECOND, 4 * SECOND, 8 * SECOND, 16 * SECOND]
    assert waits[-1] == timedelta(minutes=15)
    late = at + timedelta(minutes=15)
    assert people.sign_in(connection, "ann", PASSWORD, "10.0.0.1", late)
    assert people.wait_before(connection, "ann", "10.0.0.1", late) is None


def test_guesses_elsewhere_do_not_keep_the_owner_out(connection):
    fail(connection, 20, address="10.0.0.66")
    assert people.sign_in(connection, "ann", PASSWORD, "10.0.0.66", NOON) is None
    assert people.sign_in(connection, "ann", PASSWORD, "10.0.0.1", NOON)


def test_one_address_does_not_try_every_name(connection):
    for n in range(30):
        fail(connection, 1, username=f"name{n}")
    assert people.sign_in(connection, "ann", PASSWORD, "10.0.0.1", NOON) is None


@pytest.mark.parametrize(
    ("later", "holds"),
    [
        (timedelta(hours=3, minutes=59), True),
        (timedelta(hours=4), False),
    ],
)
def test_an_idle_sign_in_ends(connection, later, holds):
    token = people.sign_in(connection, "ann", PASSWORD, "10.0.0.1", NOON)
    assert (people.person_of(connection, token, NOON + later) is not None) == holds


def test_a_sign_in_at_work_ends_after_twelve_hours(connection):
    token = people.sign_in(connection, "ann", PASSWORD, "10.0.0.1", NOON)
    for hours in (3, 6, 9, 11):
        people.seen(connection, token, NOON + timedelta(hours=hours))
    assert people.person_of(connection, token, NOON + timedelta(hours=11, minutes=59))
    assert people.person_of(connection, token, NOON + timedelta(hours=12)) is None


def test_signing_out_ends_this_sign_in_alone(connection):
    here, there = (people.sign_in(connection, "ann", PASSWORD, "10.0.0.1", NOON) for _ in "ab")
    people.sign_out(connection, here)
    assert people.person_of(connection, here, NOON) is None
    assert people.person_of(connection, there, NOON)


def test_somebody_deactivated_is_out_at_once_and_stays_in_the_list(bench, connection):
    token = people.sign_in(connection, "bob", PASSWORD, "10.0.0.1", NOON)
    people.deactivate(connection, bench.bob, by=bench.ann, at=NOON)
    assert people.person_of(connection, token, NOON) is None
    assert people.sign_in(connection, "bob", PASSWORD, "10.0.0.1", NOON) is None
    assert [(p.username, p.active) for p in people.people(connection)] == [
        ("ann", True),
        ("bob", False),
    ]


def test_a_season_is_found_by_day_and_by_name(bench, connection):
    old = mills.add_season(
        connection, bench.mill, name="2025", first_day=date(2025, 6, 1), last_day=date(2025, 12, 9),
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
