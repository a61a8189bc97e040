"""The trail tells, for each way of asking, exactly what happened of the kind."""

from datetime import timedelta

import pytest

from app.database import writing
from app.ledger import signing, trail
from app.ledger.cells import Refused
from app.ledger.trail import Asked
from tests.bench import NOON

pytestmark = pytest.mark.both_engines

LATER = NOON + timedelta(minutes=1)


@pytest.fixture
def story(bench, chief):
    """Two shifts: one signed and corrected afterwards, one of the next day."""
    first = bench.write("cane", "1250")
    bench.write("lime", "1.5", by=bench.bob)
    with writing(bench.engine) as connection:
        signing.sign_shift(
            connection, bench.season, bench.day, 1, blank=(), remarks={}, by=bench.ann, at=LATER
        )
    bench.write("cane", "1205", based_on=first.id, reason="swapped", by=chief)
    next_day = bench.day + timedelta(days=1)
    bench.write("cane", "900", day=next_day, at=NOON + timedelta(days=1))
    return next_day


def told(bench, **asked):
    return bench.read(trail.told, Asked(**asked))


def kinds(found):
    return [(event.kind, event.name) for event in reversed(found)]


def test_a_day_has_all_that_happened_to_it_in_order(bench, story):
    """A-15"""
    assert kinds(told(bench, day=bench.day)) == [
        ("shift", "Ann Field"), ("entry", "Ann Field"), ("entry", "Bob Stone"),
        ("signature", "Ann Field"), ("entry", "Cora Chief"),
    ]  # fmt: skip
    assert kinds(told(bench, day=story)) == [("shift", "Ann Field"), ("entry", "Ann Field")]


@pytest.mark.usefixtures("story")
def test_a_person_has_what_was_done_by_them_alone(bench):
    assert kinds(told(bench, person_id=bench.bob.id)) == [("entry", "Bob Stone")]


@pytest.mark.usefixtures("story")
def test_what_changed_after_signing_is_told_with_what_stood_before(bench):
    (event,) = told(bench, after_signing=True)
    assert (event.name, event.before, event.content["typed"]) == ("Cora Chief", "1250", "1205")
    assert (event.shift, event.content["reason"]) == (1, "swapped")


def test_a_review_is_an_event_and_covers_what_it_names(bench, chief, story):
    newest = told(bench, day=bench.day)[0].number
    with writing(bench.engine) as connection:
        trail.review(
            connection, bench.season, bench.day, upto=newest, remark="fine", by=chief, at=LATER
        )
    day = told(bench, day=bench.day)
    assert day[0].kind == "review"
    assert {event.reviewed_by for event in day[1:]} == {"Cora Chief"}
    assert [event.day for event in told(bench, unreviewed=True)] == [story, story]


@pytest.mark.usefixtures("story")
def test_what_happens_after_a_review_is_not_reviewed(bench, chief):
    newest = told(bench, day=bench.day)[0].number
    with writing(bench.engine) as connection:
        trail.review(connection, bench.season, bench.day, upto=newest, remark="", by=chief, at=NOON)
    bench.write("imbibition", "400", reason="forgotten", by=chief)
    event = told(bench, unreviewed=True, day=bench.day)[0]
    assert (event.content["measure"], event.reviewed_by) == ("imbibition", None)


def test_a_review_names_an_event_of_its_day(bench, chief, story):
    other = told(bench, day=story)[0].number
    with writing(bench.engine) as connection, pytest.raises(Refused, match="not one of this day"):
        trail.review(connection, bench.season, bench.day, upto=other, remark="", by=chief, at=NOON)


@pytest.mark.usefixtures("story")
def test_the_trail_goes_on_before_a_number(bench):
    every = told(bench)
    assert told(bench, before=every[2].number) == every[3:]
