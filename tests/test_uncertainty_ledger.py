"""What the ledger keeps of uncertainties and pairs, and what it refuses."""

from datetime import date, timedelta

import pytest

from app.database import writing
from app.ledger import uncertainty
from app.ledger.cells import Refused
from app.ledger.uncertainty import WrongFields
from tests.bench import NOON

pytestmark = pytest.mark.both_engines

JUNE = date(2026, 6, 1)


def state(bench, measure="mixed_juice_brix", **otherwise):
    said = {"measure": measure, "random": 0.04, "systematic": 0.05, "relative": False}
    said |= {"since": JUNE, "source": "the chief chemist", "by": bench.ann, "at": NOON}
    with writing(bench.engine) as connection:
        return uncertainty.add_uncertainty(connection, bench.mill, **said | otherwise)


def keep(bench, first="14.20", second="14,26", **otherwise):
    pair = {"measure": "mixed_juice_brix", "day": bench.day, "first": first, "second": second}
    with writing(bench.engine) as connection:
        uncertainty.add_duplicate(
            connection, bench.mill, **pair | {"by": bench.ann, "at": NOON} | otherwise
        )


def withdraw(bench, pair, reason="another sample"):
    with writing(bench.engine) as connection:
        uncertainty.withdraw_duplicate(
            connection, bench.mill, pair, reason=reason, by=bench.bob, at=NOON
        )


def pairs(bench, *measure):
    return bench.read(uncertainty.duplicates, bench.mill, *measure)


def rows(bench):
    return bench.read(uncertainty.uncertainty_rows, bench.mill)


def test_what_is_stated_comes_back_earliest_first(bench):
    july = date(2026, 7, 1)
    state(bench, since=july, random=0.03)
    state(bench, "cane", random=0.5, systematic=0, relative=True, source="  scale\n proved ")
    state(bench, since=july, random=0.02)
    assert rows(bench) == [
        ("cane", 0.5, 0.0, True, JUNE, "scale proved"),
        ("mixed_juice_brix", 0.03, 0.05, False, july, "the chief chemist"),
        ("mixed_juice_brix", 0.02, 0.05, False, july, "the chief chemist"),
    ]
    first = bench.read(uncertainty.stated, bench.mill)[0]
    assert (first.recorded_name, first.recorded_at) == ("Ann Field", NOON)


@pytest.mark.parametrize(
    ("wrong", "field", "words"),
    [
        ({"measure": "mixed_juice_brx"}, "measure", "no measure called mixed_juice_brx"),
        ({"random": -0.01}, "random", "from 0 to"),
        ({"random": float("nan")}, "random", "from 0 to"),
        ({"systematic": float("inf")}, "systematic", "from 0 to"),
        ({"systematic": 27.1}, "systematic", "from 0 to 27 °Bx"),
        ({"random": 100.1, "relative": True}, "random", "from 0 to 100 %"),
        ({"since": None}, "since", "Write the day"),
        ({"source": "  "}, "source", "Say in words"),
        ({"source": "x" * 501}, "source", "at most 500"),
    ],
)
def test_an_impossible_uncertainty_is_refused_in_words(bench, wrong, field, words):
    with pytest.raises(WrongFields) as refused:
        state(bench, **wrong)
    assert list(refused.value.problems) == [field]
    assert words in refused.value.problems[field]
    assert rows(bench) == []


def test_an_uncertainty_counts_from_its_day_but_not_before_the_first_season(bench):
    assert state(bench, since=date(2024, 1, 1)) == JUNE
    assert state(bench, since=date(2026, 7, 1)) == date(2026, 7, 1)
    assert [row[4] for row in rows(bench)] == [date(2024, 1, 1), date(2026, 7, 1)]


def test_a_pair_is_kept_as_typed_and_read_exactly(bench):
    keep(bench, " 14.20", "14,26")
    kept = pairs(bench)[0]
    assert (kept.first, kept.second) == ("14.20", "14,26")
    assert [str(value) for value in kept.values] == ["14.20", "14.26"]
    assert (kept.day, kept.recorded_name, kept.recorded_at) == (bench.day, "Ann Field", NOON)
    assert kept.withdrawal is None


def test_pairs_come_by_their_day_and_of_one_measure_where_asked(bench):
    keep(bench)
    keep(bench, day=JUNE)
    keep(bench, "1.9", "2", measure="bagasse_pol")
    found = [(pair.measure, pair.day) for pair in pairs(bench)]
    assert found == [
        ("mixed_juice_brix", JUNE), ("mixed_juice_brix", bench.day), ("bagasse_pol", bench.day),
    ]  # fmt: skip
    assert [pair.first for pair in pairs(bench, "bagasse_pol")] == ["1.9"]


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        ({"first": "fourteen"}, {"first": "Write a number"}),
        ({"first": "1.234,5"}, {"first": "one decimal sign"}),
        ({"second": ""}, {"second": "two numbers"}),
        ({"second": "nm"}, {"second": "two numbers"}),
        ({"first": "140"}, {"first": "lies between"}),
        ({"first": "x" * 41, "second": "-1"}, {"first": "at most 40", "second": "lies between"}),
        ({"day": None}, {"day": "Write the day"}),
        ({"day": date(2026, 6, 4)}, {"day": "has not begun"}),
        ({"day": date(2026, 5, 31)}, {"day": "first season of this mill began on 2026-06-01"}),
        ({"first": "14." + "2" * 5000}, {"first": "at most 40"}),
        ({"measure": "brix"}, {"measure": "no measure called brix"}),
    ],
)
def test_an_impossible_pair_is_refused_at_each_wrong_field(bench, wrong, words):
    with pytest.raises(WrongFields) as refused:
        keep(bench, **wrong)
    problems = refused.value.problems
    assert problems.keys() == words.keys()
    assert all(words[field] in problems[field] for field in words)
    assert pairs(bench) == []


def test_a_withdrawn_pair_stays_with_its_reason(bench):
    keep(bench)
    keep(bench, "14.3", "14.3")
    first, second = pairs(bench)
    withdraw(bench, first.id, " not one  sample ")
    gone, stays = pairs(bench)
    assert (gone.id, gone.first, stays) == (first.id, "14.20", second)
    assert (gone.withdrawal.reason, gone.withdrawal.recorded_name) == (
        "not one sample",
        "Bob Stone",
    )
    assert gone.withdrawal.recorded_at == NOON


def test_a_withdrawal_asks_a_reason_and_comes_once(bench):
    keep(bench)
    pair = pairs(bench)[0].id
    with pytest.raises(Refused, match="Say in words why"):
        withdraw(bench, pair, " ")
    withdraw(bench, pair)
    with pytest.raises(Refused, match="withdrawn already"):
        withdraw(bench, pair, "again")
    assert pairs(bench)[0].withdrawal.reason == "another sample"
    for missing in (pair + 1, pair + 2):  # the withdrawal itself, and what nobody wrote
        with pytest.raises(LookupError):
            withdraw(bench, missing)


def test_a_day_begins_on_the_clock_of_the_mill(bench):
    early = NOON.replace(hour=10, minute=59)  # 05:59 in Chicago: still the day before
    with pytest.raises(WrongFields):
        keep(bench, day=bench.day, at=early)
    keep(bench, day=bench.day - timedelta(days=1), at=early)
    assert len(pairs(bench)) == 1
