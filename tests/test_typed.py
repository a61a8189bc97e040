"""How a typed result is read."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.plant.typed import Unreadable, both_readings, number, read


@pytest.mark.parametrize(
    ("typed", "value"),
    [
        ("14.25", "14.25"),
        ("14,25", "14.25"),
        (" 14,25 ", "14.25"),
        ("1 234,5", "1234.5"),
        ("1\u00a0234\u202f567", "1234567"),
        ("15.20", "15.20"),
        ("0", "0"),
        ("007", "7"),
        ("+3", "3"),
        ("-0.5", "-0.5"),
        ("\u22120,5", "-0.5"),
        ("\u20130,5", "-0.5"),
        (".25", "0.25"),
        (",25", "0.25"),
        ("12 345.67", "12345.67"),
    ],
)
def test_a_number_is_read_exactly(typed, value):
    state, found = read(typed)
    assert (state, str(found)) == ("number", value)


@pytest.mark.parametrize(
    ("typed", "state"),
    [
        ("nm", "not measured"),
        ("BD", "below detection"),
        (" if ", "instrument failed"),
        ("nd", "not due"),
        ("Not  Measured", "not measured"),
    ],
)
def test_a_state_is_read_short_or_in_full(typed, state):
    assert read(typed) == (state, None)


UNREADABLE = (
    *(
        "",
        " ",
        ".",
        "n.m.",
        "b.d.",
        "5.",
        "1e3",
        "NaN",
        "inf",
        "Infinity",
        "0x10",
        "14.2?",
        "n/a",
        "--1",
    ),
    *("1_000", "½", "number", "void"),
)


@pytest.mark.parametrize("typed", UNREADABLE)
def test_anything_else_is_unreadable(typed):
    with pytest.raises(Unreadable, match="Write a number"):
        read(typed)


@pytest.mark.parametrize("typed", ["1.234,5", "1,234.5", "1.234.567", "1,2,3"])
def test_marks_between_thousands_are_told_apart_from_a_decimal_sign(typed):
    with pytest.raises(Unreadable, match="one decimal sign"):
        read(typed)


@pytest.mark.parametrize("typed", ["9 99", "1 2", "14 .5", "14, 5", "1234 567", "0 123", "1 23,5"])
def test_blanks_part_digits_in_threes_alone(typed):
    with pytest.raises(Unreadable, match=f"^{typed}: take the blank out"):
        read(typed)


@pytest.mark.parametrize(
    ("typed", "readings"),
    [
        ("1,250", ("1250", "1.25")),
        (" 1.845 ", ("1845", "1.8450")),
        ("12.000", ("12000", "12.0")),
        ("-1.250", ("-1250", "-1.25")),
        ("00,250", ("00250", "00.25")),
        *((typed, None) for typed in ("0,250", ".250", "1,25", "1,2500", "1250", "1234.567", "nm")),
    ],
)
def test_three_digits_after_a_mark_may_mean_two_things(typed, readings):
    assert both_readings(typed) == readings
    assert readings is None or not any(both_readings(reading) for reading in readings)


def test_a_state_is_not_a_number():
    assert number("12,5") == Decimal("12.5")
    with pytest.raises(Unreadable, match="not measured is not a number"):
        number("nm")


@given(st.decimals(-100_000, 100_000, places=3), st.sampled_from(".,"))
def test_whatever_is_written_out_reads_back_exactly(value, sign):
    assert number(f"{value:f}".replace(".", sign)) == value


@given(st.text(max_size=12))
def test_any_text_is_a_finite_number_or_a_state_or_unreadable(text):
    try:
        state, value = read(text)
    except Unreadable:
        return
    assert (state == "number") == (value is not None)
    assert value is None or value.is_finite()
