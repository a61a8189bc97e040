"""How a typed result is read: by a table of texts, each with what it means, and by properties."""

import csv
import re
from decimal import Decimal
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.plant.typed import STATES, Unreadable, both_readings, number, read


def as_it_is(text: str) -> str:
    r"""Return a text of the table, in which what cannot be seen is written like \u00a0."""
    return re.sub(
        r"\\u[0-9a-f]{4}|\\[nt]", lambda found: found[0].encode().decode("unicode_escape"), text
    )


with (Path(__file__).parent / "checks" / "typed.csv").open(encoding="utf-8", newline="") as table:
    TABLE = [
        (as_it_is(row["typed"]), row["read_as"], row["value"]) for row in csv.DictReader(table)
    ]


@pytest.mark.parametrize(("typed", "read_as", "value"), TABLE)
def test_a_text_is_read_as_the_table_says(typed, read_as, value):
    """C-05, C-06: a number exactly, a state, two readings that are offered, or refused in words."""
    if read_as == "refused":
        assert both_readings(typed) is None
        with pytest.raises(Unreadable, match=re.escape(value)):
            read(typed)
    elif read_as == "two readings":
        assert both_readings(typed) == tuple(value.split(" or "))
    else:
        assert both_readings(typed) is None
        state, found = read(typed)
        assert (state, str(found)) == (read_as, value or "None")


def test_the_table_holds_every_kind_and_no_text_twice():
    assert len({typed for typed, _, _ in TABLE}) == len(TABLE) >= 150
    assert {read_as for _, read_as, _ in TABLE} == {
        "number",
        "two readings",
        "refused",
        *STATES.values(),
    }


@pytest.mark.parametrize(
    "readings", [value for _, read_as, value in TABLE if read_as == "two readings"]
)
def test_what_is_offered_in_place_of_two_readings_means_one_thing(readings):
    """C-06."""
    first, second = readings.split(" or ")
    assert both_readings(first) is None
    assert both_readings(second) is None
    assert number(first) == 1000 * number(second)


def test_a_state_is_not_a_number():
    assert number("12,5") == Decimal("12.5")
    with pytest.raises(Unreadable, match="not measured is not a number"):
        number("nm")


@given(st.decimals(-100_000, 100_000, places=3), st.sampled_from(".,\u066b\uff0e\uff0c"))
def test_whatever_is_written_out_reads_back_exactly(value, sign):
    assert number(f"{value:f}".replace(".", sign)) == value


@given(st.decimals(0, 100_000, places=3), st.sampled_from("0\u0966\u0e50\u09e6\u0660\u06f0\uff10"))
def test_digits_of_any_one_script_read_as_plain_ones(value, zero):
    script = str.maketrans({str(n): chr(ord(zero) + n) for n in range(10)})
    assert number(f"{value:f}".translate(script)) == value


@given(st.text(max_size=12))
def test_any_text_is_a_finite_number_or_a_state_or_unreadable(text):
    try:
        state, value = read(text)
    except Unreadable:
        return
    assert (state == "number") == (value is not None)
    assert value is None or value.is_finite()
