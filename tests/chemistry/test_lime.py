import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.chemistry import lime as relation
from app.chemistry.validity import OutOfRange
from tests.examples import published

# Floating point alone parts the two sides of an identity.
EXACT = 1e-9


# The shipped table is these rows: this guards it, and cannot say that it is right.
@pytest.mark.parametrize("row", published("milk_of_lime"), ids=lambda row: f"{row['baume']} °Bé")
def test_milk_of_lime_is_that_of_the_table(row):
    found = relation.calcium_oxide_in_milk_of_lime(float(row["baume"]))
    assert found == pytest.approx(float(row["calcium_oxide"]), abs=EXACT, rel=0), row["source"]


@given(baume=st.floats(10, 30))
def test_a_mill_may_bring_its_own_table(baume):
    found = relation.calcium_oxide_in_milk_of_lime(baume, [10, 30], [100, 340])
    assert found == pytest.approx(100 + 12 * (baume - 10), abs=EXACT, rel=0)


def test_milk_of_lime_outside_the_table_and_a_table_out_of_order_are_refused():
    with pytest.raises(OutOfRange, match="milk of lime is 5 °Bé"):
        relation.calcium_oxide_in_milk_of_lime(5.0)
    with pytest.raises(ValueError, match="rise"):
        relation.calcium_oxide_in_milk_of_lime(15.0, [10, 10], [94, 95])


# 56.08 and 74.09 g/mol, as common tables round them, are 6e-5 of themselves from ours.
def test_quicklime_and_slaked_lime_stand_as_56_08_to_74_09():
    assert relation.slaked_lime(56.08) == pytest.approx(74.09, abs=0.006, rel=0)
    assert relation.quicklime(1.0) == pytest.approx(0.757, abs=0.0005, rel=0)


@given(mass=st.floats(0, 1000))
def test_slaking_takes_up_water_and_no_lime(mass):
    assert relation.quicklime(relation.slaked_lime(mass)) == pytest.approx(mass, abs=EXACT, rel=0)
    taken_up = relation.slaked_lime(mass) - mass
    assert taken_up == pytest.approx(mass * 18.015 / 56.077, abs=EXACT, rel=1e-12)


def test_available_lime_is_what_can_act():
    assert relation.available_lime([10.0, 2.0], 85.0).tolist() == [8.5, 1.7]
    with pytest.raises(OutOfRange, match="available lime is 101 %"):
        relation.available_lime(10.0, 101.0)


def test_the_rule_for_sulphur_dioxide_is_a_thousandth_high():
    by_rule, by_mass = relation.sulphur_dioxide_by_rule(50.0), relation.sulphur_dioxide(50.0)
    assert by_rule == 100
    assert by_rule / by_mass - 1 == pytest.approx(0.001, abs=5e-5, rel=0)


def test_less_than_nothing_is_refused_and_what_was_not_weighed_stays_unknown():
    with pytest.raises(OutOfRange, match="sulphur is -1"):
        relation.sulphur_dioxide(-1.0)
    assert np.isnan(relation.slaked_lime(np.nan))
    assert np.isnan(relation.calcium_oxide_in_milk_of_lime(np.nan))
