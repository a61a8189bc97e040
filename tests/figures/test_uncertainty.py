"""Uncertainty of a season and a shift, beside two independent libraries."""

from types import SimpleNamespace

import GTC
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from uncertainties import ufloat

from app.compute import compute
from app.figures.evaluate import in_force
from app.figures.periods import Books
from app.figures.sheets import Period, Sheets, Stated
from app.figures.stock import VESSELS
from app.plant.measures import ASKED, CARRIERS
from tests.figures.mills import RANGES, measured, mills, several_plausible

JUICE = {"mixed_juice_polarimeter_reading": 60, "mixed_juice_refractometer_reading": 18}
JUICE_SPREADS = {
    "mixed_juice_polarimeter_reading": {"random": 0.1 / 2.8, "systematic": 0},
    "mixed_juice_refractometer_reading": {"random": 0.05, "systematic": 0},
}


# Worked out apart: pol 14.564 of u 0.0092, purity 80.910 of u 0.246. Pol and brix share a brix; as
# if they did not, the purity would be of u 0.230.
def test_purity_counts_a_brix_that_pol_shares_once():
    document = {
        "measures": JUICE | {"mixed_juice": 1000}, "uncertainties": JUICE_SPREADS,
    }  # fmt: skip
    purity = compute(document)["figures"]["mixed_juice_purity"]
    assert purity["value"] == pytest.approx(80.910, abs=0.0005)
    assert purity["uncertainty"] == pytest.approx(0.246, abs=0.0005)
    assert abs(purity["uncertainty"] - 0.230) > 0.01


def season(size, of=None):
    random = np.random.default_rng(7)
    made_of = of or {name: random.uniform(*ends, size) for name, ends in RANGES.items()}
    return measured(made_of)


def books(entered, stated=None, **conventions):
    size = len(entered["cane"])
    each = {} if stated is None else stated
    return Books(
        Sheets(
            entered, in_force(conventions, size), np.arange(size) // 3, np.arange(size) // 21,
            CARRIERS, asked=ASKED, stated=each,
        )
    )  # fmt: skip


def stated(entered, random, systematic):
    """The same uncertainties for every measure: 0.5 % of a weight, 0.05 of an analysis, scaled."""
    found = {}
    for name, column in entered.items():
        relative = "_" not in name or name in ("mixed_juice", "filter_cake", "final_molasses")
        size = 0.5 if relative else 0.05
        found[name] = Stated(
            np.full(len(column), size * random), np.full(len(column), size * systematic),
            np.full(len(column), relative),
        )  # fmt: skip
    return found


FOUND = ("pol_extraction", "undetermined_loss", "undetermined_pol", "boiling_house_recovery",
         "overall_recovery", "cane_fibre", "final_molasses_loss", "mixed_juice_purity")  # fmt: skip


def account(x):
    """The season's account written straight, of numbers that carry their own uncertainty."""
    rows = range(len(x.cane))
    pol_in_juice = sum(x.mixed_juice[i] * x.mixed_juice_pol[i] / 100 for i in rows)
    brix_in_juice = sum(x.mixed_juice[i] * x.mixed_juice_brix[i] / 100 for i in rows)
    pol_in_bagasse = sum(x.bagasse[i] * x.bagasse_pol[i] / 100 for i in rows)
    purity = [100 * x.last_expressed_juice_pol[i] / x.last_expressed_juice_brix[i] for i in rows]
    fibre = sum(
        x.bagasse[i] * (1 - x.bagasse_moisture[i] / 100 - x.bagasse_pol[i] / purity[i])
        for i in rows
    )
    cane = sum(x.cane[i] for i in rows)
    sugar = sum(x.sugar[i] * x.sugar_pol[i] / 100 for i in rows)
    cake = sum(x.filter_cake[i] * x.filter_cake_pol[i] / 100 for i in rows)
    molasses = sum(x.final_molasses[i] * x.final_molasses_pol[i] / 100 for i in rows)
    whole = pol_in_juice + pol_in_bagasse
    lost = whole - sugar - pol_in_bagasse - cake - molasses
    return {
        "pol_extraction": 100 * pol_in_juice / whole,
        "undetermined_loss": 100 * lost / whole,
        "undetermined_pol": lost,
        "boiling_house_recovery": 100 * sugar / pol_in_juice,
        "overall_recovery": 100 * sugar / whole,
        "cane_fibre": 100 * fibre / cane,
        "final_molasses_loss": 100 * molasses / whole,
        "mixed_juice_purity": 100 * pol_in_juice / brix_in_juice,
    }


def unsure(entered, uncertain, *, random, systematic):
    """Every entry with an error of its own, and with one that its measure has everywhere."""
    found = {}
    for name, says in stated(entered, random, systematic).items():
        unit = np.where(says.relative, entered[name] / 100, 1.0)
        everywhere = uncertain(0.0, 1.0)
        found[name] = [
            uncertain(float(value), float(r)) + everywhere * float(s)
            for value, r, s in zip(
                entered[name], says.random * unit, says.systematic * unit, strict=True
            )
        ]
    return SimpleNamespace(**found)


# Both take slopes exactly, ours are central differences with a step of one uncertainty: a purity,
# the most curved of these, differs by less than 1 part in 1000.
@pytest.mark.parametrize("name", FOUND)
@pytest.mark.parametrize(("random", "systematic"), [(1, 1e-9), (1e-9, 1), (1, 0.6)])
def test_a_season_is_as_unsure_as_by_an_independent_library(name, random, systematic):
    entered = season(30)
    found = books(entered, stated(entered, random, systematic)).over([Period(0, 30)])
    other = account(unsure(entered, ufloat, random=random, systematic=systematic))[name]
    assert found.values[name][0] == pytest.approx(other.nominal_value, rel=1e-9)
    assert found.certainty.standard(name) == pytest.approx(other.std_dev, rel=1e-3)


@pytest.mark.parametrize("name", FOUND)
def test_a_shift_is_as_unsure_as_by_a_library_of_a_metrology_institute(name):
    entered = season(4)
    found = books(entered, stated(entered, 1, 0.6)).over([Period(i, i + 1) for i in range(4)])
    first = {measure: column[:1] for measure, column in entered.items()}
    other = account(unsure(first, GTC.ureal, random=1, systematic=0.6))[name]
    assert found.certainty.standard(name, 0) == pytest.approx(GTC.uncertainty(other), rel=1e-3)


def test_what_is_random_shrinks_over_a_season_and_what_is_systematic_does_not():
    middle = {name: np.full(400, sum(ends) / 2) for name, ends in RANGES.items()}
    entered = season(400, middle)
    alike = [Period(0, 4), Period(0, 400)]
    for random, systematic, ratio in ((1, 0, 10), (0, 1, 1)):
        sure = books(entered, stated(entered, random, systematic)).over(alike).certainty
        few, many = (sure.standard("pol_extraction", n) for n in (0, 1))
        assert few / many == pytest.approx(ratio, rel=1e-3)


@several_plausible
@given(mills(at_least=2), st.floats(0.1, 10))
def test_errors_twice_as_large_make_figures_twice_as_unsure(made_of, factor):
    entered = measured(made_of)
    whole = [Period(0, len(entered["cane"]))]
    one = books(entered, stated(entered, 0.01, 0.01)).over(whole).certainty
    more = books(entered, stated(entered, 0.01 * factor, 0.01 * factor)).over(whole).certainty
    for name in FOUND:
        assert more.standard(name) == pytest.approx(factor * one.standard(name), rel=1e-3)


def test_what_is_exact_makes_nothing_unsure():
    entered = season(6)
    sure = books(entered, stated(entered, 0, 0)).over([Period(0, 6), Period(2, 3)]).certainty
    assert [sure.standard(name, index) for name in FOUND for index in (0, 1)] == [0.0] * 16


def test_parts_of_an_uncertainty_make_the_whole():
    entered = season(12)
    found = books(entered).over([Period(0, 12), Period(3, 4)])
    for index in (0, 1):
        parts = found.certainty.budget("undetermined_loss", index)
        whole = np.sqrt(sum(part**2 for part in parts.values()))
        assert whole == pytest.approx(found.certainty.standard("undetermined_loss", index))
        assert list(parts.values()) == sorted(parts.values(), reverse=True)


def test_an_estimate_is_less_sure_than_an_analysis():
    entered = season(30)
    gap = {name: column.copy() for name, column in entered.items()}
    gap["bagasse_pol"][4] = np.nan
    whole, lacking = (
        books(each).over([Period(3, 6)]).certainty.standard("pol_in_bagasse")
        for each in (entered, gap)
    )
    assert lacking > 1.2 * whole


STOCK = {"syrup_tanks_volume": 200.0, "syrup_tanks_temperature": 60.0, "syrup_tanks_brix": 64.0,
         "syrup_tanks_purity": 85.0}  # fmt: skip


def test_a_dip_stick_that_reads_false_at_both_ends_does_not_change_the_difference():
    entered = season(3)
    for vessel in VESSELS:
        for prop, value in STOCK.items():
            name = prop.replace("syrup_tanks", vessel)
            entered[name] = np.array([value, np.nan, value])
    for random, systematic in ((0, 1), (1, 0)):
        found = books(entered, stated(entered, random, systematic)).over([Period(1, 3)])
        level = found.certainty.standard("brix_in_stock")
        change = found.certainty.standard("change_of_brix_in_stock")
        if random:
            assert change == pytest.approx(np.sqrt(2) * level, rel=1e-6)
        else:
            assert change == pytest.approx(0.0, abs=1e-9)
            assert level > 0


def test_what_is_dipped_once_a_day_makes_a_longer_period_unsure_too():
    entered = season(6)
    for vessel in VESSELS:
        for prop, value in STOCK.items():
            column = np.array([np.nan, np.nan, value, np.nan, np.nan, value])
            entered[prop.replace("syrup_tanks", vessel)] = column
    found = books(entered, sugar_accounted="made and estimated").over([Period(3, 6)])
    parts = found.certainty.budget("boiling_house_recovery")
    assert {"syrup_tanks_volume", "mixed_juice_pol", "sugar"} <= parts.keys()
    whole = found.certainty.standard("boiling_house_recovery")
    assert whole == pytest.approx(np.sqrt(sum(part**2 for part in parts.values())))


def test_a_figure_given_in_place_of_its_measures_has_no_stated_uncertainty():
    given = {"pol_in_mixed_juice": 120.0, "pol_in_bagasse": 6.0, "cane": 1000.0}
    figures = compute({"measures": given})["figures"]
    assert figures["pol_extraction"]["value"] == pytest.approx(95.238, abs=0.001)
    assert figures["pol_extraction"]["uncertainty"] is None
    assert figures["cane"]["uncertainty"] > 0
