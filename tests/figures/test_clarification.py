"""Mixed juice to clear juice, made forwards from what is known, and found again."""

import numpy as np
import pytest
from chemicals.elements import molecular_weight
from hypothesis import given
from hypothesis import strategies as st

from app.compute import compute
from tests.figures.mills import plausible
from tests.figures.together import EXACT, NONE, found_in, shifts

CANE, JUICE = st.floats(600, 2600), st.floats(600, 2800)


def clarified(*, juice, brix, purity, cake, cake_pol, filtrate_purity, water, thrown_down):
    """What exact instruments find where `thrown_down` % of the brix is precipitated non-sugar."""
    dissolved = juice * brix / 100
    in_cake = cake * cake_pol / filtrate_purity
    left = dissolved * (1 - thrown_down / 100) - in_cake
    pol = dissolved * purity / 100 - cake * cake_pol / 100
    clear = juice + water - cake
    return {
        "cane": juice / 1.02, "mixed_juice": juice, "mixed_juice_brix": brix,
        "mixed_juice_pol": brix * purity / 100, "filter_cake": cake, "filter_cake_pol": cake_pol,
        "filtrate_brix": 12.0, "filtrate_pol": 12 * filtrate_purity / 100, "clear_juice": clear,
        "clear_juice_brix": 100 * left / clear, "clear_juice_pol": 100 * pol / clear,
    }  # fmt: skip


HOUSES = st.fixed_dictionaries({
    "juice": JUICE, "brix": st.floats(12, 16), "purity": st.floats(79, 86),
    "cake": st.floats(20, 60), "cake_pol": st.floats(0.8, 2.5),
    "filtrate_purity": st.floats(76, 84), "water": st.floats(40, 120),
})  # fmt: skip


@plausible
@given(HOUSES)
def test_the_brix_balance_finds_the_clear_juice_that_was_made(made_of):
    entered = clarified(**made_of, thrown_down=0)
    found = found_in(entered, clear_juice_weight="by brix balance")
    weighed = found_in(entered)
    made = entered["clear_juice"]
    assert found["clear_juice"] == pytest.approx(made, **EXACT)
    assert found["clear_juice_on_cane"] == pytest.approx(100 * made / entered["cane"], **EXACT)
    for name in ("brix_in_clear_juice", "pol_in_clear_juice"):
        assert found[name] == pytest.approx(weighed[name], **EXACT)
    kept = found["brix_in_clear_juice"] + found["brix_in_filter_cake"]
    assert kept == pytest.approx(
        entered["mixed_juice"] * entered["mixed_juice_brix"] / 100, **EXACT
    )
    assert weighed["clarification_brix_loss"] == pytest.approx(0, abs=1e-9)


@plausible
@given(HOUSES, st.floats(0.5, 4))
def test_what_lime_throws_down_is_the_brix_lost_in_clarification(made_of, thrown_down):
    found = found_in(clarified(**made_of, thrown_down=thrown_down))
    assert found["clarification_brix_loss"] == pytest.approx(thrown_down, **EXACT)


@plausible
@given(st.floats(80, 88), st.floats(0.01, 0.3))
def test_purity_rises_by_the_non_sugar_taken_out(purity, removed):
    non_sugar = (100 - purity) * (1 - removed)
    clear = {"clear_juice_brix": 15.0, "clear_juice_pol": 15 * purity / (purity + non_sugar)}
    syrup = {"syrup_brix": 64.0, "syrup_pol": 64 * purity / (purity + non_sugar)}
    mixed = {"mixed_juice_brix": 14.0, "mixed_juice_pol": 14 * purity / 100}
    fine = {"clarified_syrup_brix": 62.0, "clarified_syrup_pol": 62 * purity / (purity + non_sugar)}
    filtrate = {"filtrate_brix": 12.0, "filtrate_pol": 12 * purity / 100}
    found = found_in(mixed | clear | syrup | fine | filtrate)
    # pol stays and the rest shrinks: the rise is J(100 - J)r ÷ (100 - (100 - J)r)
    rise = purity * (100 - purity) * removed / (100 - (100 - purity) * removed)
    assert found["clarification_purity_rise"] == pytest.approx(rise, **EXACT)
    assert found["evaporation_purity_rise_from_mixed_juice"] == pytest.approx(rise, **EXACT)
    assert found["filtrate_purity_drop"] == pytest.approx(rise, **EXACT)
    assert found["evaporation_purity_rise"] == pytest.approx(0, abs=1e-9)
    assert found["syrup_clarification_purity_rise"] == pytest.approx(0, abs=1e-9)


# The library has sulphur at 32.065 and we at 32.06, as natural sulphur spans 32.059 to 32.076:
# 7 parts in 100 000 of its dioxide. The other atomic weights differ in the fourth decimal.
@plausible
@given(CANE, st.floats(0.4, 2.6), st.floats(0.3, 1.5))
def test_lime_and_sulphur_react_by_molar_mass(cane, lime, sulphur):
    found = found_in({"cane": cane, "lime": lime, "sulphur": sulphur})
    slaked = molecular_weight({"Ca": 1, "O": 2, "H": 2}) / molecular_weight({"Ca": 1, "O": 1})
    dioxide = molecular_weight({"S": 1, "O": 2}) / molecular_weight({"S": 1})
    assert found["slaked_lime_per_cane"] == pytest.approx(1000 * lime * slaked / cane, rel=1e-5)
    expected = 1000 * sulphur * dioxide / cane
    assert found["sulphur_dioxide_per_cane"] == pytest.approx(expected, rel=7e-5)
    assert found["lime_per_cane"] == pytest.approx(10 * found["lime_on_cane"], **EXACT)
    per_sulphur = found["lime_on_cane"] / found["sulphur_on_cane"]
    assert found["lime_per_sulphur"] == pytest.approx(per_sulphur, **EXACT)


@plausible
@given(CANE, st.floats(0.4, 2.6), st.floats(75, 95))
def test_lime_as_bought_counts_by_what_of_it_can_act(cane, active, available):
    bought = {"cane": cane, "lime": 100 * active / available}
    titrated = found_in(bought | {"lime_available": available}, lime_weighed="as bought")
    standing = found_in(bought, lime_weighed="as bought", standing_available_lime=available)
    as_oxide = found_in({"cane": cane, "lime": active})
    for found in (titrated, standing, as_oxide):
        assert found["active_lime"] == pytest.approx(active, **EXACT)
        assert found["lime_on_cane"] == pytest.approx(100 * active / cane, **EXACT)
    assert np.isnan(found_in(bought, lime_weighed="as bought")["lime_on_cane"])


@plausible
@given(JUICE, CANE, st.floats(50, 800), st.floats(0, 300), st.floats(1, 12), st.floats(3, 20))
def test_what_is_dosed_is_found_in_what_it_is_dosed_to(
    juice, cane, phosphate, acid, flocculant, bagacillo
):
    found = found_in({
        "mixed_juice": juice, "cane": cane, "mixed_juice_phosphate": phosphate,
        "phosphoric_acid": acid, "flocculant": flocculant, "bagacillo": bagacillo,
    })  # fmt: skip
    milligrams, kilograms = phosphate * juice * 1e3 + acid * 1e6, juice * 1e3
    assert found["phosphate_to_liming"] == pytest.approx(milligrams / kilograms, **EXACT)
    added = found["phosphate_to_liming"] - found["mixed_juice_phosphate"]
    assert found["phosphate_added"] == pytest.approx(added, abs=1e-9)
    assert found["flocculant_on_cane"] * cane / 1000 == pytest.approx(flocculant, **EXACT)
    assert found["bagacillo_on_cane"] * cane / 1000 == pytest.approx(bagacillo, **EXACT)


@plausible
@given(st.floats(15, 28), st.floats(0.5, 2), st.floats(0.1, 0.3), CANE, st.floats(20, 120))
def test_filter_retention_is_what_the_weights_of_cake_and_filtrate_say(
    cake, filtrate, share, cane, wash
):
    mud = share * cake + (1 - share) * filtrate
    weight = 0.04 * cane
    found = found_in({
        "cane": cane, "filter_cake": weight, "filter_wash": wash,
        "filter_cake_suspended_solids": cake, "filter_cake_moisture": 72.0, "filter_cake_pol": 1.5,
        "mud_suspended_solids": mud, "filtrate_suspended_solids": filtrate,
    })  # fmt: skip
    assert found["filter_retention"] == pytest.approx(100 * share * cake / mud, **EXACT)
    assert found["filter_cake_on_cane"] == pytest.approx(4, **EXACT)
    assert found["filter_wash_on_cake"] == pytest.approx(
        found["filter_wash_on_cane"] / found["filter_cake_on_cane"] * 100, **EXACT
    )
    dry = weight - found["water_in_filter_cake"]
    assert dry == pytest.approx(0.28 * weight, **EXACT)


# 100 of mud at 5 % part into 16.667 of cake at 25 % and 83.333 of filtrate at 1 %.
def test_filter_retention_of_a_usual_filter():
    found = found_in({
        "filter_cake_suspended_solids": 25, "mud_suspended_solids": 5,
        "filtrate_suspended_solids": 1,
    })  # fmt: skip
    assert found["filter_retention"] == pytest.approx(100 * (100 / 6 * 0.25) / 5, **EXACT)


def test_mud_analysed_once_a_day_has_its_mean_over_the_days():
    found = shifts(
        {
            "cane": [500, 800, 1000, 900, 700, 3000],
            "mud_suspended_solids": [NONE, NONE, 6, NONE, NONE, 8],
        },
        [0, 0, 0, 1, 1, 1],
    )
    # by the cane of the two sheets that have it; a shift without it is no zero
    assert found["mud_suspended_solids"] == pytest.approx((1000 * 6 + 3000 * 8) / 4000, **EXACT)


def test_lime_titrated_once_a_week_counts_for_all_lime_of_the_week():
    found = shifts(
        {"cane": [900] * 21, "lime": [1.0] * 21, "lime_available": [NONE] * 20 + [80]},
        [n // 3 for n in range(21)],
        lime_weighed="as bought",
    )
    assert found["active_lime"] == pytest.approx(21 * 0.8, **EXACT)


def test_clarification_tells_which_analysis_lacks():
    figures = compute({"measures": {"cane": 1000, "filter_cake_suspended_solids": 22}})["figures"]
    missing = figures["filter_retention"]["missing"]
    assert set(missing) == {"mud_suspended_solids", "filtrate_suspended_solids"}


MEANS = {
    "limed_juice_ph": "mixed_juice", "limed_juice_temperature": "mixed_juice",
    "sulphited_juice_ph": "mixed_juice", "sulphited_juice_temperature": "mixed_juice",
    "mixed_juice_phosphate": "mixed_juice", "mixed_juice_reducing_sugars": "mixed_juice",
    "filter_cake_pol": "filter_cake", "filter_cake_moisture": "filter_cake",
    "filter_cake_suspended_solids": "filter_cake", "condensate_sugar_trace": "steam",
    "lime_available": "lime",
} | dict.fromkeys((
    "clear_juice_brix", "clear_juice_ph", "clear_juice_turbidity", "clear_juice_sulphur_dioxide",
    "clear_juice_calcium_oxide", "clear_juice_reducing_sugars", "filtrate_suspended_solids",
    "mud_suspended_solids", "syrup_brix", "syrup_ph", "syrup_sulphur_dioxide",
    "syrup_reducing_sugars", "clarified_syrup_brix", "clarified_syrup_ph",
    "clarified_syrup_turbidity", "evaporator_steam_temperature", "condenser_inlet_sugar_trace",
    "condenser_outlet_sugar_trace",
    *(f"effect_{n}_{what}" for n in range(1, 7)
      for what in ("brix", "temperature", "vapour_temperature")),
), "cane")  # fmt: skip


@pytest.mark.parametrize(("measure", "carrier"), MEANS.items())
def test_a_period_has_the_weighted_mean_of_its_samples(measure, carrier):
    weights, values = [500.0, 800.0, 1000.0], [6.0, 7.0, 7.5]
    found = shifts({carrier: weights, measure: values}, [0, 0, 0])
    assert found[measure] == pytest.approx(np.average(values, weights=weights), **EXACT)
