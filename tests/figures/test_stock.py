"""Stock in process: vessels hold what was put into them, and the balances close with it."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.chemistry.density import sucrose_solution_density
from app.compute import compute
from app.figures.periods import OPENINGS
from app.figures.stock import VESSELS
from tests.figures.mills import figures_of, measured, one_mill, plausible

# Floating point alone parts the two sides: a dozen operations on numbers of up to some thousands.
EXACT = 1e-8
CLOSE = {"abs": EXACT, "rel": 0}


def same(found, expected) -> None:
    assert np.isfinite(expected).all()
    np.testing.assert_allclose(found, expected, rtol=0, atol=EXACT)


def house(made_of):
    """What is entered for such a mill, the juice in filter cake being mixed juice."""
    entered = measured(made_of)
    purity = 100 * entered["mixed_juice_pol"] / entered["mixed_juice_brix"]
    return entered | {"filtrate_purity": purity}


def stock(openings):
    properties = {"volume": 100.0, "temperature": 60.0, "brix": 80.0, "purity": 70.0}
    held = {f"{v}_{prop}": value for v in VESSELS for prop, value in properties.items()}
    return held | {f"opening_{level}": openings for level in OPENINGS}


def test_with_stock_in_process_the_balances_of_pol_brix_and_non_sucrose_still_close():
    sheet = {name: float(column[0]) for name, column in house(one_mill()).items()} | stock(100.0)
    chosen = {"sugar_accounted": "made and estimated"}
    answer = compute({"measures": sheet, "conventions": chosen})["figures"]
    found = {name: answer[name]["value"] for name in answer}
    bagged = found["sugar"] * (1 - sheet["sugar_moisture"] / 100)
    weighed = found["brix_in_final_molasses_weighed"]
    grown = found["brix_in_sugar"] + found["brix_in_final_molasses"] - bagged - weighed
    assert grown == pytest.approx(found["brix_in_stock"] - 100.0, **CLOSE)
    # sugar of 98.9 pol and 99.2 purity, and molasses of 85 °Bx, hold all the solids in stock
    in_sugar = 98.9 / 99.2
    held = in_sugar * found["sugar_in_stock"] + 0.85 * found["molasses_in_stock"]
    assert held == pytest.approx(found["brix_in_stock"], **CLOSE)
    more_sugar = found["sugar_made_and_estimated"] - found["sugar"]
    more_molasses = found["molasses_made_and_estimated"] - weighed / 0.85
    grown = in_sugar * more_sugar + 0.85 * more_molasses
    assert grown == pytest.approx(held - 100 * (in_sugar + 0.85), **CLOSE)
    not_pol = found["undetermined_brix"] - found["undetermined_pol"]
    assert found["undetermined_non_sucrose"] == pytest.approx(not_pol, **CLOSE)


HELD = {"volume": st.floats(0, 300), "temperature": st.floats(20, 80), "brix": st.floats(10, 97)}


@plausible
@given(st.data(), st.floats(98, 99.9), st.floats(30, 40))
def test_stock_purer_than_sugar_closes_in_solids_and_pol(data, sugar, molasses):
    entered = {f"{v}_{prop}": data.draw(held) for v in VESSELS for prop, held in HELD.items()}
    purities = st.one_of(st.floats(20, 100), st.floats(sugar, 100))
    entered |= {f"{vessel}_purity": data.draw(purities) for vessel in VESSELS}
    standing = {"standing_sugar_purity": sugar, "standing_molasses_purity": molasses}
    found = figures_of(entered, **standing)
    of_sugar, of_molasses = found["recoverable_solids_in_stock"], 0.85 * found["molasses_in_stock"]
    assert of_sugar >= 0
    # a difference of numbers up to some thousands
    assert of_molasses >= -EXACT
    same(of_sugar + of_molasses, found["brix_in_stock"])
    assert found["recoverable_pol_in_stock"] >= of_sugar * sugar / 100 - EXACT
    assert found["recoverable_pol_in_stock"] <= found["pol_in_stock"] + EXACT


# By hand: remelt of 99.8 purity beside sugar of 99.2 is sugar to its last solid.
def test_remelt_purer_than_sugar_leaves_no_molasses():
    sheet = {f"{vessel}_volume": 0.0 for vessel in VESSELS}
    held = {"volume": 50.0, "temperature": 60.0, "brix": 65.0, "purity": 99.8}
    sheet |= {f"remelt_tank_{prop}": value for prop, value in held.items()}
    found = figures_of(sheet, standing_sugar_purity=99.2)
    assert found["molasses_in_stock"][0] == 0
    same(found["recoverable_pol_in_stock"], found["pol_in_stock"])


LIQUORS = {
    "a_pans": "standing_a_molasses_purity",
    "b_pans": "standing_b_molasses_purity",
    "c_pans": "standing_molasses_purity",
    "magma_mixers": "standing_b_molasses_purity",
}


@plausible
@given(
    st.sampled_from(sorted(LIQUORS)), st.floats(100, 400), st.floats(0, 600), st.floats(30, 60),
    st.floats(15, 30), st.floats(0, 10),
)  # fmt: skip
def test_a_vessel_of_crystals_and_mother_liquor_holds_what_was_put_in(
    vessel, liquor, crystal, purity, water, air
):
    solids = liquor * (100 - water) / 100
    volume = crystal / 1588 + liquor / sucrose_solution_density(100 - water, 55)
    tonnes = crystal + liquor
    sheet = {f"{vessel}_volume": 1000 * volume / (1 - air / 100), f"{vessel}_temperature": 55.0}
    sheet[f"{vessel}_brix"] = 100 * (solids + crystal) / tonnes
    sheet[f"{vessel}_purity"] = (solids * purity + 100 * crystal) / (solids + crystal)
    found = figures_of(sheet, stock_air=air, **{LIQUORS[vessel]: purity})
    same(found[f"{vessel}_stock"], np.array([tonnes]))
