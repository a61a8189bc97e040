"""What a loss is worth in sugar: cane not crushed for want of hours and of rate, and pol."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.figures.conventions import CONVENTIONS
from app.figures.effects_of_loss import CURRENCY, PRICE, cane_not_crushed, sugar_of_pol

hours, rates = st.floats(0.1, 24), st.floats(1, 1000)


@given(hours=hours, rate=rates, hours_wanted=hours, rate_wanted=rates)
def test_want_of_hours_and_of_rate_add_to_the_cane_not_crushed(
    hours, rate, hours_wanted, rate_wanted
):
    """Source: definition, cane = hours × rate."""
    found = cane_not_crushed(hours, rate, (hours_wanted, rate_wanted))
    assert sum(found) == pytest.approx(hours_wanted * rate_wanted - hours * rate, abs=1e-8)


def test_want_of_hours_alone_is_the_hours_at_the_rate():
    """Two hours at 230 t/h. Source: by hand."""
    assert cane_not_crushed(20, 230, (22, 230)) == (460, 0)


def test_a_mill_that_stood_lost_hours_and_no_rate():
    assert cane_not_crushed(0, float("nan"), (21.6, 230)) == (21.6 * 230, 0)


def test_pol_is_told_as_the_sugar_that_was_bagged():
    """9.9 t of pol in sugar of 99 pol are 10 t of it. Source: by hand."""
    assert sugar_of_pol(9.9, 500, 495) == pytest.approx(10)


def test_where_no_sugar_was_bagged_nothing_is_told():
    assert sugar_of_pol(9.9, 0, 0) != sugar_of_pol(9.9, 0, 0)  # not a number


def test_without_a_price_nothing_is_stated_and_a_currency_is_a_short_word():
    assert CONVENTIONS[PRICE].default == 0
    assert CONVENTIONS[CURRENCY].read(" EUR ") == "EUR"
    for wrong in ("", "   ", "a long sentence", 7):
        with pytest.raises(ValueError, match="at most 8 characters"):
            CONVENTIONS[CURRENCY].read(wrong)
