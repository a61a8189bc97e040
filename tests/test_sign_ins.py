"""Sign-ins: who is let in, who waits, when it is locked and when it is over."""

from datetime import timedelta

import pytest
from argon2 import PasswordHasher
from sqlalchemy import select, update

from app.database import writing
from app.ledger import passwords, people, sign_ins, tables
from tests.bench import NOON, PASSWORD
from tests.letting_in import confirms, sign_in

pytestmark = pytest.mark.both_engines

SECOND = timedelta(seconds=1)


@pytest.fixture
def connection(bench):
    with writing(bench.engine) as connection:
        yield connection


def test_the_right_password_gives_a_token_that_tells_who(bench, connection):
    token = sign_in(connection, " Ann", PASSWORD, "10.0.0.1", NOON)
    person, csrf = sign_ins.person_of(connection, token, NOON)
    assert person == bench.ann
    assert len(csrf) > 40
    assert csrf != token


def test_neither_password_nor_token_is_kept(connection):
    token = sign_in(connection, "ann", PASSWORD, "10.0.0.1", NOON)
    people.add_person(connection, username="eve", printed_name="Eve Marsh", role="auditor",
                      password=PASSWORD, at=NOON)  # fmt: skip
    kept = str(connection.execute(select(tables.person)).all())
    kept += str(connection.execute(select(tables.sign_in)).all())
    assert "$argon2id$v=19$m=19456,t=2,p=1$" in kept
    assert PASSWORD not in kept
    assert token not in kept


@pytest.mark.parametrize("guess", [("ann", PASSWORD + " "), ("ann", ""), ("nobody", PASSWORD)])
def test_anything_else_gives_none(connection, guess):
    assert sign_in(connection, *guess, "10.0.0.1", NOON) is None
    assert sign_ins.person_of(connection, guess[1], NOON) is None


def fail(connection, times, at=NOON, username="ann", address="10.0.0.1"):
    for _ in range(times):
        assert sign_in(connection, username, "wrong", address, at) is None


def test_guessing_waits_longer_each_time(connection):
    fail(connection, 5)
    at, waits = NOON, []
    for _ in range(12):
        wait = sign_ins.wait_before(connection, "Ann", "10.0.0.1", at)
        waits.append(wait)
        assert sign_in(connection, "ann", PASSWORD, "10.0.0.1", at + wait - SECOND) is None
        at += wait
        fail(connection, 1, at)
    assert waits[:4] == [2 * SECOND, 4 * SECOND, 8 * SECOND, 16 * SECOND]
    assert waits[-1] == timedelta(minutes=15)
    late = at + timedelta(minutes=15)
    assert sign_in(connection, "ann", PASSWORD, "10.0.0.1", late)
    assert sign_ins.wait_before(connection, "ann", "10.0.0.1", late) is None


def test_guesses_elsewhere_do_not_keep_the_owner_out(connection):
    fail(connection, 20, address="10.0.0.66")
    assert sign_in(connection, "ann", PASSWORD, "10.0.0.66", NOON) is None
    assert sign_in(connection, "ann", PASSWORD, "10.0.0.1", NOON)


def test_one_address_does_not_try_every_name(connection):
    for n in range(30):
        fail(connection, 1, username=f"name{n}")
    assert sign_in(connection, "ann", PASSWORD, "10.0.0.1", NOON) is None


@pytest.mark.parametrize(
    ("later", "holds"),
    [
        (timedelta(minutes=29, seconds=59), True),
        (timedelta(minutes=30), False),
    ],
)
def test_a_sign_in_without_use_is_locked(connection, later, holds):
    token = sign_in(connection, "ann", PASSWORD, "10.0.0.1", NOON)
    assert (sign_ins.person_of(connection, token, NOON + later) is not None) == holds


def test_a_sign_in_at_work_ends_after_twelve_hours(connection):
    token = sign_in(connection, "ann", PASSWORD, "10.0.0.1", NOON)
    for minutes in range(25, 720, 25):
        assert sign_ins.person_of(connection, token, NOON + timedelta(minutes=minutes))
        sign_ins.seen(connection, token, NOON + timedelta(minutes=minutes))
    assert sign_ins.person_of(connection, token, NOON + timedelta(hours=11, minutes=59))
    assert sign_ins.person_of(connection, token, NOON + timedelta(hours=12)) is None


def test_signing_out_ends_this_sign_in_alone(connection):
    here, there = (sign_in(connection, "ann", PASSWORD, "10.0.0.1", NOON) for _ in "ab")
    sign_ins.sign_out(connection, here)
    assert sign_ins.person_of(connection, here, NOON) is None
    assert sign_ins.person_of(connection, there, NOON)


def test_somebody_deactivated_is_out_at_once_and_stays_in_the_list(bench, connection):
    token = sign_in(connection, "bob", PASSWORD, "10.0.0.1", NOON)
    people.deactivate(connection, bench.bob, by=bench.ann, at=NOON)
    assert sign_ins.person_of(connection, token, NOON) is None
    assert sign_in(connection, "bob", PASSWORD, "10.0.0.1", NOON) is None
    assert [(p.username, p.active) for p in people.people(connection)] == [
        ("ann", True),
        ("bob", False),
    ]


def test_a_guesser_who_never_tires_does_not_keep_the_owner_out(connection):
    """B-73: 200 guesses from one place, each as soon as it is allowed."""
    at = NOON
    for _ in range(200):
        at += sign_ins.wait_before(connection, "ann", "10.0.0.66", at) or timedelta(0)
        fail(connection, 1, at, address="10.0.0.66")
    assert at > NOON + timedelta(hours=40)
    assert sign_ins.wait_before(connection, "ann", "10.0.0.66", at)
    assert sign_in(connection, "ann", PASSWORD, "10.0.0.1", at)


def test_guessing_from_many_places_at_one_account_waits(connection):
    """B-73"""
    for n in range(30):
        fail(connection, 1, address=f"10.0.1.{n}")
    assert sign_ins.wait_before(connection, "ann", "10.0.0.1", NOON) == 2 * SECOND
    assert sign_in(connection, "ann", PASSWORD, "10.0.0.1", NOON) is None
    assert sign_in(connection, "ann", PASSWORD, "10.0.0.1", NOON + 2 * SECOND)


def test_guessing_all_over_is_slowed_but_keeps_nobody_out_for_long(connection):
    """B-73: there is a limit overall."""
    rows = [
        {"username": f"n{n}", "address": f"10.{n % 250}.{n // 250}.1", "at": NOON}
        for n in range(2000)
    ]
    connection.execute(tables.sign_in_failure.insert(), rows)
    assert sign_ins.wait_before(connection, "ann", "10.0.0.1", NOON) == timedelta(minutes=1)
    assert sign_in(connection, "ann", PASSWORD, "10.0.0.1", NOON + timedelta(minutes=1))


def test_unknown_wrong_and_deactivated_take_the_same_work(bench, connection, monkeypatch):
    """B-73: nobody learns from the time of an answer who has an account."""

    class Counting(PasswordHasher):
        def verify(self, kept, typed):
            asked.append(kept.rpartition("$")[0].rpartition("$")[0])
            return super().verify(kept, typed)

    asked = []
    passwords._hash_of_nobody.cache_clear()
    monkeypatch.setattr(passwords, "_hasher", Counting(2, 19 * 1024, 1))
    set_anew = {"password_hash": passwords.hashed(PASSWORD)}
    connection.execute(update(tables.person).values(set_anew))
    people.deactivate(connection, bench.bob, by=bench.ann, at=NOON)
    people.add_person(connection, username="eve", printed_name="Eve", role="auditor", at=NOON)
    for name, password in (("nobody", "x"), ("ann", "x"), ("bob", PASSWORD), ("eve", "x")):
        assert sign_ins.who_knows(connection, name, password, "10.0.0.1", NOON) is None
    assert asked == ["$argon2id$v=19$m=19456,t=2,p=1"] * 4


def test_a_hash_made_with_less_work_is_made_anew_at_the_next_sign_in(bench, connection):
    """B-72"""
    c = tables.person.c
    weak = PasswordHasher(time_cost=1, memory_cost=8 * 1024, parallelism=1).hash(PASSWORD)
    connection.execute(update(tables.person).where(c.id == bench.ann.id).values(password_hash=weak))
    find = select(c.password_hash).where(c.id == bench.ann.id)
    assert sign_in(connection, "ann", "wrong", "10.0.0.1", NOON) is None
    assert connection.scalar(find) == weak
    assert sign_in(connection, "ann", PASSWORD, "10.0.0.1", NOON)
    renewed = connection.scalar(find)
    assert renewed.startswith("$argon2id$v=19$m=19456,t=2,p=1$")
    assert sign_in(connection, "ann", PASSWORD, "10.0.0.1", NOON)
    assert connection.scalar(find) == renewed


def test_a_password_typed_again_is_judged_as_at_sign_in(bench, connection):
    for _ in range(5):
        assert not confirms(connection, bench.ann, "wrong", "10.0.0.1", NOON)
    assert not confirms(connection, bench.ann, PASSWORD, "10.0.0.1", NOON)
    assert confirms(connection, bench.ann, PASSWORD, "10.0.0.1", NOON + 2 * SECOND)
    assert sign_ins.wait_before(connection, "ann", "10.0.0.1", NOON + 2 * SECOND) is None
    assert not confirms(connection, bench.bob, "", "10.0.0.1", NOON)


def test_a_sign_in_that_is_locked_or_over_is_still_known_by_name(bench, connection):
    token = sign_in(connection, "ann", PASSWORD, "10.0.0.1", NOON)
    assert sign_ins.person_of(connection, token, NOON + timedelta(hours=13)) is None
    assert sign_ins.holder_of(connection, token) == bench.ann
    assert sign_ins.holder_of(connection, "guess") is None
    people.deactivate(connection, bench.ann, by=bench.bob, at=NOON)
    assert sign_ins.holder_of(connection, token) is None


def test_sign_ins_of_long_ago_are_forgotten(connection):
    old = sign_in(connection, "ann", PASSWORD, "10.0.0.1", NOON)
    sign_in(connection, "bob", PASSWORD, "10.0.0.1", NOON + timedelta(days=2))
    assert sign_ins.holder_of(connection, old) is None
    assert len(connection.execute(select(tables.sign_in)).all()) == 1
