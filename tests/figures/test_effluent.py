"""Effluent of a mill made forwards: sugar and water of known amount go out, and are found."""

import numpy as np
import pytest
from chemicals.elements import molecular_weight, nested_formula_parser
from hypothesis import given
from hypothesis import strategies as st

from app.compute import compute
from app.figures.effluent import OXYGEN_PER_SUCROSE
from app.figures.of_records import follow
from tests.figures.mills import plausible

EXACT = {"abs": 0, "rel": 1e-12}


def to_date(sheets):
    """The figures of several sheets together."""
    found = compute([{"measures": sheet} for sheet in sheets])["to_date"]["figures"]
    return {name: figure["value"] for name, figure in found.items()}


def test_sucrose_asks_for_the_oxygen_that_its_formula_says():
    """Beside the atomic weights of the library chemicals."""
    sucrose, oxygen = (molecular_weight(nested_formula_parser(f)) for f in ("C12H22O11", "O2"))
    assert pytest.approx(12 * oxygen / sucrose, rel=1e-4) == OXYGEN_PER_SUCROSE


@plausible
@given(st.integers(0, 1000))
def test_sugar_and_oxygen_demand_made_forwards_are_found_over_several_shifts(seed):
    """A period adds volumes and loads, and weighs its analyses by volume as numpy does."""
    random = np.random.default_rng(seed)
    volume, cane = random.uniform(200, 2000, 4), random.uniform(900, 2200, 4)
    sugar = random.uniform(0, 1.5, 4)  # t
    other = random.uniform(0.05, 2, 4)  # t of oxygen asked for by what is no sugar
    demand = other + OXYGEN_PER_SUCROSE * sugar
    found = to_date(
        [
            {
                "cane": c, "effluent_volume": v, "effluent_sugar_trace": 1e6 * s / v,
                "effluent_chemical_oxygen_demand": 1e6 * d / v, "effluent_ph": p,
            }
            for c, v, s, d, p in zip(
                cane, volume, sugar, demand, random.uniform(5, 9, 4), strict=True
            )
        ]
    )  # fmt: skip
    assert found["effluent_volume"] == pytest.approx(volume.sum(), **EXACT)
    assert found["pol_in_effluent"] == pytest.approx(sugar.sum(), **EXACT)
    assert found["effluent_oxygen_demand"] == pytest.approx(demand.sum(), **EXACT)
    assert found["effluent_per_cane"] == pytest.approx(volume.sum() / cane.sum(), **EXACT)
    share = 100 * OXYGEN_PER_SUCROSE * sugar.sum() / demand.sum()
    assert found["effluent_demand_from_sugar"] == pytest.approx(share, **EXACT)
    weighed = np.average(1e6 * demand / volume, weights=volume)
    assert found["effluent_chemical_oxygen_demand"] == pytest.approx(weighed, **EXACT)
    on_cane = 1000 * demand.sum() / cane.sum()
    assert found["effluent_oxygen_demand_on_cane"] == pytest.approx(on_cane, **EXACT)


def test_sugar_that_went_out_is_a_part_of_the_pol_that_came_in():
    known = {"pol_in_effluent": 1.3, "pol_in_cane": 650.0}
    figures = compute({"measures": known})["figures"]
    assert figures["effluent_loss"]["value"] == pytest.approx(0.2, **EXACT)


def test_vapour_of_the_last_effect_is_saturated_where_steam_tables_say():
    """15.7614 kPa at 55 °C and 101.418 kPa at 100 °C: IAPWS-IF97, as CoolProp gives them."""
    coolprop = pytest.importorskip("CoolProp.CoolProp")
    for kelvin in (328.15, 373.15):
        pressure = coolprop.PropsSI("P", "T", kelvin, "Q", 1, "IF97::Water") / 1000
        found = follow("evaporator", {"vapour_pressure": pressure}, {})
        assert found["vapour_saturated_at"] == pytest.approx(kelvin - 273.15, abs=1e-3)
