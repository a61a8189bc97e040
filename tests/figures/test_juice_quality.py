"""Colour and reducing sugars: juices poured together, and sucrose inverted, made forwards."""

import numpy as np
import pytest
from chemicals.elements import molecular_weight
from hypothesis import given
from hypothesis import strategies as st

from app.figures.juice_quality import SUCROSE_PER_INVERT
from tests.figures.mills import figures_of, plausible, several_plausible
from tests.figures.together import EXACT, found_in, shifts

JUICES = {"mixed_juice": 14.0, "clear_juice": 15.0, "syrup": 64.0, "clarified_syrup": 62.0}


LOTS = st.lists(
    st.tuples(st.floats(500, 2600), st.floats(0.8, 1.2), st.floats(0.3, 1.2)),
    min_size=2, max_size=5,
)  # fmt: skip


@several_plausible
@given(LOTS)
def test_a_period_is_as_its_juices_poured_together(lots):
    weights, thickness, part = np.array(lots).T
    entered = {"mixed_juice": weights, "cane": weights}
    for stream, middle in JUICES.items():
        brix = middle * thickness
        entered |= {
            f"{stream}_brix": brix, f"{stream}_pol": 0.85 * brix,
            f"{stream}_colour": 20_000 * part, f"{stream}_reducing_sugars": part,
        }  # fmt: skip
    found = shifts(entered, [0] * len(lots))
    for stream, middle in JUICES.items():
        # light is absorbed by each solid as if alone: absorbency × mass adds, as grams do
        solids = (weights * middle * thickness).sum()
        absorbing = (weights * middle * thickness * 20_000 * part).sum()
        assert found[f"{stream}_colour"] == pytest.approx(absorbing / solids, **EXACT)
        if stream == "clarified_syrup":
            continue
        reducing = 100 * (weights * part).sum()
        assert found[f"{stream}_reducing_sugars_on_brix"] == pytest.approx(
            reducing / solids, **EXACT
        )
        assert found[f"{stream}_reducing_sugars_on_pol"] == pytest.approx(
            reducing / (0.85 * solids), **EXACT
        )


@plausible
@given(st.floats(8000, 25_000), st.floats(0.2, 0.7), st.floats(-0.3, 0.1), st.floats(0.1, 0.5))
def test_colour_left_is_what_each_station_leaves(colour, first, second, third):
    left = np.cumprod([1, 1 - first, 1 - second, 1 - third]) * colour
    found = found_in({f"{s}_colour": c for s, c in zip(JUICES, left, strict=True)})
    for station, removed in (
        ("clarification", first), ("evaporation", second), ("syrup_clarification", third),
    ):  # fmt: skip
        assert found[f"{station}_colour_removal"] == pytest.approx(100 * removed, abs=1e-6)


def test_one_of_sucrose_makes_two_of_invert_sugar_and_takes_up_water():
    sucrose = molecular_weight({"C": 12, "H": 22, "O": 11})
    invert = 2 * molecular_weight({"C": 6, "H": 12, "O": 6})
    # molar masses of two decimals: half a unit of the last in 342 and in 360
    assert pytest.approx(sucrose / invert, rel=3e-5) == SUCROSE_PER_INVERT


@plausible
@given(st.floats(78, 88), st.floats(2, 8), st.floats(0.05, 2))
def test_sucrose_inverted_is_found_in_the_rise_of_reducing_sugars(purity, reducing, inverted):
    pol = purity * (1 - inverted / 100)
    made = purity * inverted / 100 / SUCROSE_PER_INVERT
    solids = 100 + made - purity * inverted / 100
    after = {
        "brix": 15.0,
        "pol": 15 * pol / solids,
        "reducing_sugars": 15 * (reducing + made) / solids,
    }
    before = {"brix": 14.0, "pol": 14 * purity / 100, "reducing_sugars": 14 * reducing / 100}
    thick = {name: 4 * value for name, value in after.items()}
    for step, first, second in (
        ("clarification", ("mixed_juice", before), ("clear_juice", after)),
        ("evaporation", ("clear_juice", before), ("syrup", thick)),
    ):
        entered = {f"{s}_{name}": v for s, sample in (first, second) for name, v in sample.items()}
        found = found_in(entered)
        # water taken up, a twentieth of the invert sugar, adds to brix: it dilutes the up to 8 % of
        # reducing sugars there were, by 0.4 % of the rise, and the rise itself by 0.1 %
        assert found[f"{step}_inversion_by_analysis"] == pytest.approx(inverted, rel=5e-3)
        ratio = found[f"{first[0]}_reducing_sugars_on_pol"]
        assert ratio == pytest.approx(100 * reducing / purity, **EXACT)
        rise = (
            found[f"{second[0]}_reducing_sugars_on_brix"]
            - found[f"{first[0]}_reducing_sugars_on_brix"]
        )
        assert found[f"{step}_reducing_sugars_rise"] == pytest.approx(rise, abs=1e-9)
        assert rise > 0


def test_a_sample_stands_for_itself():
    found = figures_of({"syrup_brix": [64.0], "syrup_reducing_sugars": [2.56]})
    assert found["syrup_reducing_sugars_on_brix"][0] == pytest.approx(4, **EXACT)


@plausible
@given(st.floats(6.5, 7.8), st.floats(-0.2, 1.5))
def test_ph_drop_is_what_juice_lost_on_its_way(cold, drop):
    found = found_in({"clear_juice_ph": cold, "syrup_ph": cold - drop})
    assert found["evaporation_ph_drop"] == pytest.approx(drop, abs=1e-9)
