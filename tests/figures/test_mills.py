"""Mill by mill, in tandems and diffusers made forwards."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.figures import mills as figures_of_mills
from app.plant import milling
from tests.figures.mills import figures_of, measured, mills, one_mill, plausible
from tests.figures.tandem import bagasse_made, mills_measured, pol_left, tandems

# Floating point alone parts the two sides: a system of 14 equations, and shares of some hundred.
EXACT = 1e-7


def same(found: np.ndarray, expected: np.ndarray) -> None:
    assert np.isfinite(expected).all()
    np.testing.assert_allclose(found, expected, rtol=0, atol=EXACT)


def figures_of_tandem(made_of, tandem):
    """Figures of a mill whose extraction is that of the tandem, and what each mill left."""
    left, juice = pol_left(tandem["true"])
    made_of = made_of | {"extraction": np.full_like(made_of["cane"], 100 * (1 - left[-1]))}
    cane = made_of["cane"]
    pol = cane * made_of["brix"] * made_of["purity"] / 10000
    entered = measured(made_of) | mills_measured(cane * made_of["fibre"] / 100, pol, tandem)
    mills_there = str(len(tandem["true"]))
    return figures_of(entered, tandem_mills=mills_there), left, juice


def test_mills_are_those_of_the_plant():
    assert figures_of_mills.MOST_MILLS == milling.MOST_MILLS


@plausible
@given(mills(at_most=2), tandems())
def test_figures_find_what_each_mill_of_the_tandem_extracts(made_of, tandem):
    found, left, _ = figures_of_tandem(made_of, tandem)
    unit = np.ones_like(made_of["cane"])
    same(found["primary_extraction"], tandem["true"][0] * unit)
    for mill in range(2, len(left)):
        same(found[f"mill_{mill}_extraction"], 100 * (1 - left[mill - 1]) * unit)
        net = 100 * (1 - left[mill - 1] / left[mill - 2])
        same(found[f"mill_{mill}_net_extraction"], net * unit)
        same(found[f"mill_{mill}_true_extraction"], tandem["true"][mill - 1] * unit)
    same(found["last_mill_extraction"], tandem["true"][-1] * unit)
    same(found["pol_extraction"], 100 * (1 - left[-1]) * unit)


@plausible
@given(mills(at_most=2), tandems())
def test_what_mills_leave_multiplies_to_what_the_tandem_leaves(made_of, tandem):
    found, left, juice = figures_of_tandem(made_of, tandem)
    kept = 1 - found["primary_extraction"] / 100
    for mill in range(2, len(left)):
        kept = kept * (1 - found[f"mill_{mill}_net_extraction"] / 100)
    kept = kept * (1 - found["last_mill_extraction"] / 100)
    same(100 * kept, 100 - found["pol_extraction"])
    same(100 * juice[:2].sum() + 0 * kept, found["pol_extraction"])


@plausible
@given(mills(at_most=2), tandems())
def test_bagasse_of_each_mill_is_fibre_water_and_its_own_juice(made_of, tandem):
    found, _, _ = figures_of_tandem(made_of, tandem)
    for mill, purity in enumerate(tandem["purity"], 1):
        bagasse = f"mill_{mill}_bagasse"
        same(found[f"mill_{mill}_juice_purity"], 0 * found["cane"] + purity)
        dry = found[f"{bagasse}_fibre"] + 100 * found[f"{bagasse}_pol"] / purity
        same(dry + found[f"{bagasse}_moisture"], 0 * dry + 100)


def test_bagasse_of_a_mill_without_juice_takes_the_purity_of_residual_juice():
    sample = {"mill_2_bagasse_pol": 3.5, "mill_2_bagasse_moisture": 55.0}
    found = figures_of(sample | {"last_expressed_juice_purity": 70.0})
    assert found["mill_2_bagasse_fibre"][0] == pytest.approx(40.0, abs=EXACT)


def test_a_mill_that_was_not_tested_has_no_extraction_and_leaves_none_to_the_next():
    tandem = {"true": [60.0] * 5, "moisture": [55.0] * 4, "purity": [78.0] * 4}
    left, _ = pol_left(tandem["true"])
    made_of = one_mill(extraction=100 * (1 - left[-1]))
    fibre = made_of["cane"] * made_of["fibre"] / 100
    pol = made_of["cane"] * made_of["brix"] * made_of["purity"] / 10000
    entered = measured(made_of) | mills_measured(fibre, pol, tandem)
    del entered["mill_2_bagasse_pol"]
    found = figures_of(entered)
    for name in ("mill_2_extraction", "mill_2_net_extraction", "mill_3_net_extraction"):
        assert np.isnan(found[name][0]), name
    for name in ("mill_3_extraction", "mill_4_true_extraction", "last_mill_extraction"):
        assert np.isfinite(found[name][0]), name


DEWATERED = {
    "moisture": st.floats(78, 86),
    "purity": st.floats(66, 80),
    "extraction": st.floats(75, 90),
}


@plausible
@given(mills(at_most=2), st.fixed_dictionaries(DEWATERED))
def test_press_water_is_what_dewatering_takes_from_the_bagasse_of_the_diffuser(made_of, bed):
    entered, cane = measured(made_of), made_of["cane"]
    fibre = cane * made_of["fibre"] / 100
    pol = cane * made_of["brix"] * made_of["purity"] / 10000
    unpressed, percent = bagasse_made(
        fibre, pol * (1 - bed["extraction"] / 100), bed["moisture"], bed["purity"]
    )
    unit = np.ones_like(cane)
    found = figures_of(entered | {
        "diffuser_bagasse_pol": percent,
        "diffuser_bagasse_moisture": bed["moisture"] * unit,
        "press_water_brix": 1.5 * unit,
        "press_water_pol": 1.5 * bed["purity"] / 100 * unit,
    })  # fmt: skip
    same(found["press_water_purity"], bed["purity"] * unit)
    same(found["diffuser_bagasse_fibre"], 100 * fibre / unpressed)
    same(found["diffuser_extraction"], bed["extraction"] * unit)
    pressed_out = unpressed - entered["bagasse"]
    same(found["press_water_on_cane"], 100 * pressed_out / cane)
    same(found["press_water_on_fibre"], 100 * pressed_out / fibre)
