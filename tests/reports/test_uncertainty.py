"""How uncertainties are printed, and which statement holds on a day."""

from datetime import date

import pytest

from app.reports.uncertainty import Statement, in_force, two_digits


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (0, "0"), (0.0456, "0.046"), (0.1, "0.10"), (0.98, "0.98"), (2.13, "2.1"), (14.6, "15"),
        (574.2, "574"), (0.00017, "0.00017"),
    ],
)  # fmt: skip
def test_an_uncertainty_has_two_digits_and_no_fewer_than_its_tens(value, text):
    assert two_digits(value) == text


def test_what_was_stated_keeps_no_zeros_that_nobody_wrote():
    stated = Statement(0.05, 2.0, relative=False, unit="%", source="", mark="")
    assert stated.parts == ("0.05", "2")


def test_both_parts_of_one_result_add_as_squares_and_are_doubled():
    stated = Statement(0.3, 0.4, relative=False, unit="%", source="", mark="")
    assert stated.of_one_result == "±\u00a01.0"


def test_the_last_statement_that_has_begun_holds():
    june, july = date(2026, 6, 1), date(2026, 7, 1)
    said = [
        Statement(n, 0, relative=False, unit="%", source="", mark="", since=since)
        for n, since in enumerate((None, june, june, july))
    ]
    held = [in_force(said, day).random for day in (date(2026, 5, 31), june, july)]
    assert held == [0, 2, 3]
