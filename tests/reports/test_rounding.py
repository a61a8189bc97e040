import pytest

from app.reports.numbers import plain, plus_minus, printed
from tests.examples import checks


@pytest.mark.parametrize("row", checks("rounding"), ids=lambda row: row["value"])
def test_half_goes_to_the_even_digit_of_the_decimal_number(row):
    assert plain(float(row["value"]), int(row["decimals"])) == row["printed"], row["source"]


def test_a_page_prints_the_same_digits_with_a_true_minus_and_thin_spaces():
    assert printed(96.265, 2) == "96.26"
    assert printed(-0.035, 2) == "\u22120.04"
    assert printed(12345.675, 2) == "12\u202f345.68"


def test_what_rounds_to_nothing_has_no_sign():
    assert printed(-0.001, 2) == "0.00"


@pytest.mark.parametrize("nothing", [None, float("nan"), float("inf")])
def test_no_number_prints_as_no_text_and_never_as_zero(nothing):
    assert printed(nothing, 2) == ""


def test_a_plus_minus_is_shown_until_it_is_more_than_nothing_and_never_as_nothing():
    told = [plus_minus(standard, 2) for standard in (0.155, 0.0021, 0.000011, 1e-13, 0.0, 1e400)]
    assert told == ["±\u00a00.31", "±\u00a00.004", "±\u00a00.00002", "", "", ""]
    assert plus_minus(0.0045, 2) == "±\u00a00.01"  # no more digits than its figure needs
