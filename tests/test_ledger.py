"""What the book keeps and what it refuses, and that its reading side says the same."""

import random
from datetime import date
from decimal import Decimal

import numpy as np
import pytest
from sqlalchemy import func, select, text

from app.database import reading, writing
from app.ledger import book, shifts, tables
from app.ledger.book import Conflict, NeedsReason, Refused, Typed
from app.plant.measures import MEASURES
from tests.bench import NOON

pytestmark = pytest.mark.both_engines


def save(bench, *cells):
    with writing(bench.engine) as connection:
        return book.record_sheet(
            connection,
            season=bench.season,
            day=bench.day,
            number=bench.number,
            cells=[Typed(*cell) for cell in cells],
            by=bench.ann,
            at=NOON,
        )


def standing(bench):
    return bench.read(book.sheet, bench.season, bench.day, bench.number)


def count(bench, table):
    with reading(bench.engine) as connection:
        return connection.scalar(select(func.count()).select_from(table))


def test_an_entry_keeps_text_value_writer_and_time(bench):
    entry = bench.write("cane", "1 234,50")
    assert entry == bench.trail("cane")[0]
    assert (entry.typed, entry.value, entry.unit) == ("1 234,50", Decimal("1234.50"), "t")
    assert str(entry.value) == "1234.50"
    assert (entry.recorded_name, entry.recorded_at) == ("Ann Field", NOON)
    assert entry.recorded_at.tzinfo is not None


def test_comma_and_point_say_the_same(bench):
    comma = bench.write("mixed_juice_brix", "14,25")
    point = bench.write("clear_juice_brix", "14.25")
    assert comma.value == point.value == Decimal("14.25")


def test_a_correction_asks_a_reason_and_keeps_what_it_corrects(bench):
    first = bench.write("cane", "1250")
    with pytest.raises(NeedsReason) as asked:
        bench.write("cane", "1205", based_on=first.id, reason="  ")
    assert asked.value.standing == first
    second = bench.write("cane", "1205", based_on=first.id, reason="digits\nswapped", by=bench.bob)
    assert bench.trail("cane") == [first, second]
    assert (second.supersedes_id, second.reason) == (first.id, "digits swapped")
    assert second.recorded_name == "Bob Stone"
    assert standing(bench)["cane"] == second


def test_an_emptied_cell_is_voided_for_a_reason_and_may_be_filled_again(bench):
    first = bench.write("cane", "1250")
    with pytest.raises(NeedsReason):
        bench.write("cane", "", based_on=first.id)
    void = bench.write("cane", " ", based_on=first.id, reason="of another shift")
    assert (void.state, void.value) == ("void", None)
    again = bench.write("cane", "1300", based_on=void.id, reason="found")
    assert [entry.state for entry in bench.trail("cane")] == ["number", "void", "number"]
    assert standing(bench)["cane"] == again


def test_nothing_is_kept_of_an_empty_cell_left_empty(bench):
    assert bench.write("cane", "") is None
    assert count(bench, tables.shift) == 0


def test_the_later_of_two_writers_is_shown_the_other(bench):
    first = bench.write("cane", "1250")
    by_bob = bench.write("cane", "1260", based_on=first.id, reason="weighed again", by=bench.bob)
    for based_on in (first.id, None):
        with pytest.raises(Conflict, match=r"Bob Stone .* 1260") as told:
            bench.write("cane", "1270", based_on=based_on, reason="mine")
        assert told.value.standing == by_bob
    assert len(bench.trail("cane")) == 2


def test_the_same_text_is_no_new_entry(bench):
    first = bench.write("cane", "1250")
    assert bench.write("cane", " 1250 ", based_on=first.id) == first
    assert bench.write("cane", "1250", by=bench.bob) == first
    assert bench.trail("cane") == [first]


def test_a_form_opened_before_another_wrote_does_not_undo_it(bench):
    cane = bench.write("cane", "1250")
    corrected = bench.write("cane", "1205", based_on=cane.id, reason="swapped", by=bench.bob)
    brix = bench.write("mixed_juice_brix", "14.2", by=bench.bob)
    untouched = (("cane", "1250", cane.id), ("mixed_juice_brix", ""))
    assert save(bench, *untouched, ("bagasse", "330")) == {}
    now = standing(bench)
    assert (now["cane"], now["mixed_juice_brix"]) == (corrected, brix)
    assert now["bagasse"].value == 330


@pytest.mark.parametrize("typed", ["145", "2.99", "-3", "30,001"])
def test_outside_hard_limits_is_refused_and_says_them(bench, typed):
    with pytest.raises(Refused, match=r"Mixed juice, brix lies between 3 and 30 °Bx; .* was typed"):
        bench.write("mixed_juice_brix", typed)
    assert count(bench, tables.entry) == 0


@pytest.mark.parametrize(
    ("measure", "typed", "words"),
    [
        ("cane", "1,250", "1,250: write 1250 or 1.25"),
        ("cane", " 1.845", "1.845: write 1845 or 1.8450"),
        ("clear_juice_colour", "9,999", "9,999: write 9999 or 9.9990"),
    ],
)
def test_what_may_mean_two_numbers_is_refused_with_both(bench, measure, typed, words):
    with pytest.raises(Refused, match=f"^{words}$"):
        bench.write(measure, typed)
    assert count(bench, tables.entry) == 0


@pytest.mark.parametrize(
    ("measure", "typed", "value"),
    [
        ("lime", "1,250", "1.250"),  # weighed to the kilogram
        ("mixed_juice_brix", "14.250", "14.250"),  # 14250 °Bx cannot be meant
        ("cane", "1.8450", "1.8450"),
        ("imbibition_temperature", "65.0", "65.0"),
    ],
)
def test_what_can_mean_one_number_alone_is_kept(bench, measure, typed, value):
    assert str(bench.write(measure, typed).value) == value


def test_a_unit_is_not_said_twice(bench):
    with pytest.raises(
        Refused, match=r"^Boiler feed water, pH lies between 2 and 13; 99 was typed$"
    ):
        bench.write("feed_water_ph", "99")


def test_the_limits_themselves_are_allowed(bench):
    assert bench.write("mixed_juice_brix", "30").value == 30


@pytest.mark.parametrize("typed", ["1.234,5", "fifteen", "12..1", "1e3", "nan", "1" * 41])
def test_what_cannot_be_read_is_refused(bench, typed):
    with pytest.raises(Refused):
        bench.write("cane", typed)


def test_what_has_no_place_is_refused(bench):
    with pytest.raises(Refused, match="no measure"):
        bench.write("moonlight", "1")
    with pytest.raises(Refused, match="not a day of the season"):
        bench.write("cane", "1250", day=date(2026, 5, 31))
    with pytest.raises(ValueError, match="numbered 1 to 3"):
        bench.write("cane", "1250", number=4)


def test_a_sheet_is_written_wholly_or_not_at_all(bench):
    cane = bench.write("cane", "1250")
    failures = save(
        bench,
        ("bagasse", "330"),
        ("mixed_juice_brix", "145"),
        ("cane", "1260", cane.id),
        ("imbibition", "four"),
    )
    assert {measure: type(failure) for measure, failure in failures.items()} == {
        "mixed_juice_brix": Refused,
        "cane": NeedsReason,
        "imbibition": Refused,
    }
    assert standing(bench) == {"cane": cane}


def test_a_failure_beside_writing_leaves_nothing(bench):
    def write_and_fail():
        with writing(bench.engine) as connection:
            connection.execute(
                tables.season.insert().values(mill_id=1, name="x", first_day=bench.day)
            )
            raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        write_and_fail()
    assert count(bench, tables.season) == 1


def test_named_states_differ_from_blank_and_zero(bench):
    states = {"nm": "not measured", "bd": "below detection", "if": "instrument failed",
              "nd": "not due"}  # fmt: skip
    for number, (short, state) in enumerate(states.items()):
        entry = bench.write("lime", short, day=date(2026, 6, 4 + number))
        assert (entry.state, entry.typed, entry.value) == (state, short, None)
    assert bench.write("lime", "0").value == 0
    table = bench.read(shifts.shift_table, bench.mill, bench.season)
    numbers = table.measures["lime"][~np.isnan(table.measures["lime"])]
    assert numbers.tolist() == [0.0]
    # three shifts a day from 3 June, the first day written on: the first of 4 June is the fourth
    assert table.states == {(3 + 3 * n, "lime"): state for n, state in enumerate(states.values())}


def test_usual_ranges_mark_and_do_not_refuse(bench):
    brix = MEASURES["mixed_juice_brix"]
    assert brix.side(bench.write("mixed_juice_brix", "16.5").value) == "above the usual 16"
    assert brix.side(Decimal(11)) == "below the usual 11.5"
    assert brix.side(Decimal(16)) == ""


def test_the_reading_side_equals_the_entries_after_any_work(bench):
    chance = random.Random(7)
    for _ in range(120):
        measure = chance.choice(["cane", "cane_ash", "mixed_juice_brix", "mixed_juice_pol"])
        seen = standing(bench).get(measure)
        based_on = chance.choice([seen.id if seen else None] * 4 + [None, 1])
        typed = chance.choice(["", "nm", "abc", str(chance.randint(0, 30)), "12,5", "8"])
        try:
            bench.write(measure, typed, based_on, chance.choice(["", "because", "because"]))
        except (Refused, NeedsReason, Conflict):
            continue
    assert count(bench, tables.entry) > 20
    assert bench.read(shifts.differences) == []


def test_a_reading_side_that_was_tampered_with_is_named(bench):
    entry = bench.write("cane", "1250")
    with writing(bench.engine) as connection:
        connection.execute(text("UPDATE standing SET value = 1350"))
    (difference,) = bench.read(shifts.differences)
    assert (difference.place, difference.entries) == ("cane", (entry.id, 1250.0))
    assert difference.standing == (entry.id, 1350.0)


def test_a_box_sent_by_itself_that_says_what_was_shown_does_not_pass_over_a_colleague(bench):
    """B-45: whoever types the old text anew is told of what stands; a whole sheet is left alone."""
    shown = bench.write("lime", "1.1")
    bench.write("lime", "9.9", based_on=shown.id, reason="weighed again", by=bench.bob)
    cell = book.Typed("lime", "1.1", shown.id, "typed back")
    place = {"season": bench.season, "day": bench.day, "number": bench.number}
    with writing(bench.engine) as connection:
        alone = book.record_sheet(
            connection, cells=[cell], by=bench.ann, at=NOON, whole=False, **place
        )
        whole = book.record_sheet(connection, cells=[cell], by=bench.ann, at=NOON, **place)
    assert isinstance(alone["lime"], Conflict)
    assert whole == {}
