import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.chemistry import refining as relation
from app.chemistry.validity import OutOfRange

# Floating point alone parts the two sides of an identity, on numbers of about 100.
EXACT = 1e-9


@given(cake=st.floats(20, 40), filtrate=st.floats(0.05, 2), feed=st.floats(3, 12))
def test_filter_retention_from_analyses_is_that_from_weights(cake, filtrate, feed):
    cake_share = (feed - filtrate) / (cake - filtrate)
    retained = 100 * cake_share * cake / feed
    found = relation.filter_retention(cake, feed, filtrate)
    assert found == pytest.approx(retained, abs=EXACT, rel=0)
    left = 100 * (1 - cake_share) * filtrate / feed
    assert found + left == pytest.approx(100, abs=EXACT, rel=0)


# By hand: of 100 with 5, 16.667 leave as cake with 25 and 83.333 as filtrate with 1.
def test_filter_retention_of_a_usual_filter():
    assert relation.filter_retention(25.0, 5.0, 1.0) == pytest.approx(100 * 2.5 / 3, abs=EXACT)


def test_a_filter_that_makes_or_loses_solids_is_refused():
    with pytest.raises(OutOfRange, match="filter retention"):
        relation.filter_retention(25.0, 1.0, 2.0)
    with pytest.raises(OutOfRange, match="filter retention"):
        relation.filter_retention(5.0, 6.0, 1.0)


def test_colour_removal_may_be_negative():
    found = relation.colour_removal([1000.0, 1000.0], [250.0, 1100.0])
    assert found.tolist() == pytest.approx([75, -10], abs=EXACT)


@given(melted=st.floats(100, 5000), out=st.floats(0.9, 1), change=st.floats(-0.05, 0.05))
def test_melt_is_what_left_what_stayed_and_what_was_lost(melted, out, change):
    lost = relation.melt_loss(melted, out * melted, change * melted)
    assert lost == pytest.approx(100 * (1 - out - change), abs=EXACT, rel=0)


def test_refined_yield_is_refined_sugar_on_the_melt():
    assert relation.refined_yield([970.0, np.nan], 1000.0).tolist() == pytest.approx(
        [97, np.nan], abs=EXACT, nan_ok=True
    )


def test_weights_below_nothing_are_refused():
    with pytest.raises(OutOfRange, match="melt is -1"):
        relation.refined_yield(1.0, -1.0)
