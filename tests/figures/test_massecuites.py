"""Massecuites: crystal, exhaustion, volume and analyses are those of what was boiled."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.chemistry.density import sucrose_solution_density
from app.compute import compute
from tests.figures.mills import figures_of, measured, mills, plausible

# Floating point alone parts the two sides: a dozen operations on numbers of up to some thousands.
EXACT = 1e-8
MOLASSES = {"a": "a_molasses", "b": "b_molasses", "c": "final_molasses"}
OF_MOLASSES = {
    "a_molasses_purity": 66.0, "b_molasses_purity": 50.0,
    "final_molasses": 40.0, "final_molasses_brix": 85.0, "final_molasses_pol": 30.0,
}  # fmt: skip


def same(found, expected) -> None:
    assert np.isfinite(expected).all()
    np.testing.assert_allclose(found, expected, rtol=0, atol=EXACT)


GRADES = st.sampled_from(sorted(MOLASSES))


@plausible
@given(GRADES, st.floats(200, 600), st.floats(100, 400), st.floats(50, 200), st.floats(10, 60))
def test_figures_find_the_crystal_that_a_massecuite_was_made_of(
    grade, crystal, sucrose, other, water
):
    total, solids = crystal + sucrose + other + water, crystal + sucrose + other
    liquor_purity = 100 * sucrose / (sucrose + other)
    found = figures_of(
        {
            f"{grade}_massecuite_brix": 100 * solids / total,
            f"{grade}_massecuite_purity": 100 * (crystal + sucrose) / solids,
            f"{MOLASSES[grade]}_purity": liquor_purity,
        }
    )
    same(found[f"{grade}_massecuite_crystal_on_massecuite"], np.array([100 * crystal / total]))
    same(found[f"{grade}_massecuite_crystal"], np.array([100 * crystal / solids]))
    exhausted = 100 * crystal / (crystal + sucrose)
    same(found[f"{grade}_massecuite_exhaustion"], np.array([exhausted]))
    dropped = 100 * (crystal + sucrose) / solids - liquor_purity
    same(found[f"{grade}_massecuite_purity_drop"], np.array([dropped]))
    # the same in the massecuite as in the liquor between its crystals
    same(found[f"{grade}_massecuite_non_sucrose_over_water"], np.array([other / water]))


@plausible
@given(st.floats(80, 88), st.floats(66, 72), st.floats(46, 52), st.floats(32, 38))
def test_three_boilings_with_all_b_and_c_sugar_remelted_obey_the_sjm_rule(syrup, a, b, last):
    sugar, b_magma, c_magma = 99.3, 93.0, 84.0
    # of each unit of solids in A molasses: what comes back as B magma and as C magma
    b_back = (a - b) / (b_magma - b)
    c_back = (1 - b_back) * (b - last) / (c_magma - last)
    back_pol = b_back * b_magma + c_back * c_magma
    # solids and pol of the A boiling: syrup and magma in, sugar and A molasses out
    made, a_out = np.linalg.solve([[1, 1 - b_back - c_back], [sugar, a - back_pol]], [1, syrup])
    purity = (syrup + a_out * back_pol) / (made + a_out)
    found = figures_of(
        {
            **{"mixed_juice_purity": syrup, "sugar_purity": sugar, "final_molasses_purity": last},
            **{"b_magma_purity": b_magma, "c_magma_purity": c_magma},
            **{"a_molasses_purity": a, "b_molasses_purity": b},
            **{"a_massecuite_purity": purity, "b_massecuite_purity": a, "c_massecuite_purity": b},
        }
    )
    split = {grade: found[f"{grade}_massecuite_solids_to_sugar"][0] / 100 for grade in MOLASSES}
    same(split["a"] * (made + a_out), np.array(made))
    same(split["b"], np.array(b_back))
    same((1 - split["b"]) * split["c"], np.array(c_back))
    same(found["sjm_solids_to_sugar"], np.array([100 * made]))
    same(100 - found["sjm_solids_to_sugar"], 100 * a_out * (1 - split["b"]) * (1 - split["c"]))


@plausible
@given(GRADES, st.floats(100, 900), st.floats(90, 97), st.floats(60, 70), st.floats(0, 10))
def test_massecuite_is_what_filled_the_volume_beside_the_air(grade, tonnes, brix, warm, air):
    solid = 1000 * tonnes / sucrose_solution_density(brix, warm)
    found = figures_of(
        {
            f"{grade}_massecuite_volume": solid / (1 - air / 100),
            f"{grade}_massecuite_brix": brix,
            f"{grade}_massecuite_temperature": warm,
        },
        massecuite_air=air,
    )
    same(found[f"{grade}_massecuite"], np.array([tonnes]))


LIQUORS = {
    "a": "standing_a_molasses_purity",
    "b": "standing_b_molasses_purity",
    "c": "standing_molasses_purity",
}


@plausible
@given(
    GRADES, st.floats(100, 400), st.floats(0, 300), st.floats(35, 60), st.floats(10, 25),
    st.floats(0, 10),
)  # fmt: skip
def test_massecuite_is_what_its_crystals_and_mother_liquor_fill(
    grade, liquor, crystal, purity, water, air
):
    solids, massecuite = liquor * (100 - water) / 100, f"{grade}_massecuite"
    volume = crystal / 1588 + liquor / sucrose_solution_density(100 - water, 65)
    sheet = {f"{massecuite}_volume": 1000 * volume / (1 - air / 100)}
    sheet[f"{massecuite}_brix"] = 100 * (solids + crystal) / (liquor + crystal)
    sheet[f"{massecuite}_purity"] = (solids * purity + 100 * crystal) / (solids + crystal)
    sheet[f"{massecuite}_temperature"] = 65.0
    found = figures_of(sheet, massecuite_air=air, **{LIQUORS[grade]: purity})
    same(found[massecuite], np.array([liquor + crystal]))


# By hand, of equal cane: 300 m³ at 80 purity and 50 m³ at 90 are (300 × 80 + 50 × 90) ÷ 350 =
# 81.428 571; by cane they would be 85. Brix of 92 and 95 mix likewise, and carry the pol.
@pytest.mark.parametrize("grade", sorted(MOLASSES))
def test_massecuite_of_a_period_is_analysed_by_the_volume_struck(grade):
    massecuite = f"{grade}_massecuite"

    def to_date(brixes, volumes, prop="purity", values=(80.0, 90.0)):
        names = [f"{massecuite}_{p}" for p in ("brix", "volume", prop)]
        shifts = [
            {"cane": 1000.0} | OF_MOLASSES | dict(zip(names, shift, strict=True))
            for shift in zip(brixes, volumes, values, strict=True)
        ]
        answer = compute([{"measures": shift} for shift in shifts])
        return {name: found["value"] for name, found in answer["to_date"]["figures"].items()}

    close = {"abs": EXACT, "rel": 0}
    alike = to_date((92.0, 92.0), (300.0, 50.0))
    assert alike[f"{massecuite}_purity"] == pytest.approx(28500 / 350, **close)
    unlike = to_date((92.0, 95.0), (300.0, 50.0))
    assert unlike[f"{massecuite}_brix"] == pytest.approx((300 * 92 + 50 * 95) / 350, **close)
    pol, brix = 300 * 92 * 80 + 50 * 95 * 90, 300 * 92 + 50 * 95
    assert unlike[f"{massecuite}_purity"] == pytest.approx(pol / brix, **close)
    by_pol = to_date((92.0, 95.0), (300.0, 50.0), "pol", (73.6, 85.5))
    assert by_pol[f"{massecuite}_purity"] == pytest.approx(pol / brix, **close)
    drop = unlike[f"{massecuite}_purity"] - unlike[f"{MOLASSES[grade]}_purity"]
    assert unlike[f"{massecuite}_purity_drop"] == pytest.approx(drop, **close)
    # the brix of one shift is not known: the purities by their volumes
    alone = to_date((92.0, None), (300.0, 50.0))
    assert alone[f"{massecuite}_purity"] == pytest.approx(28500 / 350, **close)
    # where a volume lacks, by cane; where nothing was struck, no analysis is asked for
    by_cane = to_date((92.0, 92.0), (300.0, None))
    assert by_cane[f"{massecuite}_purity"] == pytest.approx(85.0, **close)
    one_strike = to_date((92.0, None), (300.0, 0.0), values=(80.0, None))
    assert one_strike[f"{massecuite}_purity"] == pytest.approx(80.0, **close)


@plausible
@given(mills())
def test_each_massecuite_adds_to_all_of_it_per_brix_and_per_cane(made_of):
    struck = {"a": 150.0, "b": 60.0, "c": 40.0}
    volumes = {f"{g}_massecuite_volume": v + 0 * made_of["cane"] for g, v in struck.items()}
    juice = measured(made_of)
    purity = 100 * juice["mixed_juice_pol"] / juice["mixed_juice_brix"]
    found = figures_of(juice | volumes | {"filtrate_purity": purity})
    for per in ("on_brix", "on_cane"):
        same(sum(found[f"{g}_massecuite_{per}"] for g in struck), found[f"massecuite_{per}"])
    in_cake = found["pol_in_filter_cake"] / purity * 100
    same(found["massecuite_on_brix"] * (found["brix_in_mixed_juice"] - in_cake), np.array(250.0))
    same(found["massecuite_on_cane"] * found["cane"], np.array(2500.0))


def test_brix_to_the_pans_may_be_that_of_clear_juice_weighed():
    sheet = {"clear_juice": 1000.0, "clear_juice_brix": 15.0, "mixed_juice": 1100.0}
    sheet |= {"mixed_juice_brix": 14.0, "filter_cake": 0.0, "filter_cake_pol": 1.5}
    sheet |= {"filtrate_purity": 80.0}
    same(figures_of(sheet)["brix_to_pans"], np.array([154.0]))
    weighed = figures_of(sheet, brix_to_pans_from="clear juice weighed")
    same(weighed["brix_to_pans"], np.array([150.0]))


# 50 t of remelt of 64 °Bx hold 32 t of brix, whatever volume they fill.
def test_remelt_holds_the_brix_of_its_weight():
    volume = 50_000 / sucrose_solution_density(64, 65)
    sheet = {"remelt_volume": volume, "remelt_brix": 64, "remelt_temperature": 65}
    found = compute({"measures": sheet | {"brix_to_pans": 160}})["figures"]
    assert found["brix_in_remelt"]["value"] == pytest.approx(32.0, abs=EXACT, rel=0)
    assert found["remelt_share"]["value"] == pytest.approx(20.0, abs=EXACT, rel=0)


def test_cooling_and_curing_are_differences_of_what_was_measured():
    sheet = {"c_massecuite_temperature": 66, "c_massecuite_cooled_temperature": 42}
    sheet |= {"c_massecuite_reheated_temperature": 54, "final_molasses_purity": 36}
    sheet |= {"c_mother_liquor_at_strike_purity": 38, "c_mother_liquor_purity": 34}
    sheet |= {"a_molasses_purity": 70, "a_mother_liquor_purity": 67}
    sheet |= {"b_molasses_purity": 50, "b_mother_liquor_purity": 48.5}
    found = figures_of(sheet)
    expected = {"c_massecuite_cooling": 24, "c_massecuite_reheating": 12}
    expected |= {"c_crystallizer_purity_drop": 4, "c_centrifugal_purity_rise": 2}
    expected |= {"a_centrifugal_purity_rise": 3, "b_centrifugal_purity_rise": 1.5}
    assert {name: found[name][0] for name in expected} == expected
