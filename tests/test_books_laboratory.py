"""Standard checks: which can be judged, and what a failed one throws doubt on."""

from datetime import UTC, date, datetime, timedelta

import pytest
from sqlalchemy import event

from app.database import reading, writing
from app.exports.doubts import doubts_on
from app.ledger.recording import Draft, Faulty, write_records
from app.web.doubtful import instruments_page

CHECK = {"at": "07:00", "kind": "polarimeter", "instrument": "P1", "standard": "other",
         "certified": "10", "reading": "10", "tolerance": "0.1"}  # fmt: skip
FIRST = date(2026, 6, 3)
LATER = datetime(2026, 9, 1, tzinfo=UTC)


def check(bench, day, at=LATER, **typed):
    with writing(bench.engine) as connection:
        draft = Draft("standard_checks", day, 1, CHECK | typed, late_reason="the book was full")
        write_records(connection, bench.season, [draft], by=bench.ann, at=at)


def doubted(bench, day, now=LATER):
    """When each doubt that reaches into the first shift of a day came up."""
    span = bench.mill.clock.shift_bounds(day, 1)
    with reading(bench.engine) as connection:
        found = doubts_on(connection, bench.mill, bench.season, span, now)
    return [bench.mill.clock.local(doubt.failed.at).date() for doubt in found]


@pytest.mark.parametrize(
    ("typed", "field", "words"),
    [
        ({"tolerance": "0"}, "tolerance", "Nothing is within a tolerance of 0"),
        ({"standard": "quartz_plate"}, "temperature", "depends on its temperature"),
    ],
)
def test_a_check_that_cannot_be_judged_is_refused(bench, typed, field, words):
    with pytest.raises(Faulty, match=words) as faulty:
        check(bench, FIRST, **typed)
    assert list(faulty.value.wrong) == [field]
    check(bench, FIRST, **typed | {"tolerance": "0.05", "temperature": "23"})


def test_a_check_that_fails_days_later_throws_doubt_back_to_the_last_good_one(bench):
    check(bench, FIRST)
    failed = FIRST + timedelta(days=5)
    check(bench, failed, reading="11")
    check(bench, failed + timedelta(days=2))
    expected = {-1: [], 0: [failed], 1: [failed], 4: [failed], 6: [failed], 8: []}
    assert {gone: doubted(bench, FIRST + timedelta(days=gone)) for gone in expected} == expected
    with reading(bench.engine) as connection:
        page = instruments_page(connection, bench.mill, bench.season, failed, LATER)
    (doubtful,) = page.doubtful
    assert bench.mill.clock.local(doubtful.doubt.after).date() == FIRST


def test_the_doubts_of_a_shift_are_found_in_as_many_questions_however_many_checks_there_were(bench):
    asked = []
    event.listen(bench.engine, "before_cursor_execute", lambda *said: asked.append(said))
    counts = []
    for day in (FIRST, FIRST + timedelta(days=1), FIRST + timedelta(days=2)):
        check(bench, day, reading="11")
        asked.clear()
        assert doubted(bench, FIRST) == [FIRST]
        counts.append(len(asked))
    assert len(set(counts)) == 1
