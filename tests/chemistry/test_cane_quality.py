import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.chemistry import cane_quality as relation
from app.chemistry.validity import OutOfRange
from tests.examples import checks, published

MILLS = published("cane_quality")
POL, BRIX, FIBRE = st.floats(8, 20), st.floats(20, 26), st.floats(9, 20)
# Floating point alone parts the two sides of an identity, on numbers of about 100.
EXACT = 1e-9


def of(row, *names):
    return [float(row[name]) for name in names]


@pytest.mark.parametrize("row", MILLS, ids=lambda row: row["mill"])
def test_recoverable_value_fits_the_printed_season_means(row):
    # d was chosen from these four rows, so this holds the form and no constant. Half the last
    # digit of the print is 0.005, and that of sucrose and brix is worth up to 0.009 more.
    found = relation.recoverable_value(*of(row, "sucrose", "brix", "fibre"), d=0.385, c=0.020)
    printed = float(row["recoverable_value"])
    assert found == pytest.approx(printed, abs=0.006, rel=0), row["source"]


@pytest.mark.parametrize("row", MILLS, ids=lambda row: row["mill"])
def test_the_round_constants_of_recoverable_value_read_low_by_what_was_found(row):
    found = relation.recoverable_value(*of(row, "sucrose", "brix", "fibre"), d=0.4, c=0.02)
    assert 0.02 < float(row["recoverable_value"]) - found < 0.05, row["source"]


# Fitted to these four rows too, with hardly a degree of freedom left: a guard of the form alone.
@pytest.mark.parametrize("row", MILLS, ids=lambda row: row["mill"])
def test_recoverable_crystal_fits_the_printed_season_means(row):
    found = relation.estimated_recoverable_crystal(
        *of(row, "sucrose", "brix", "fibre"), a=0.974, b=0.535, c=0.018
    )
    printed = float(row["recoverable_crystal"])
    assert found == pytest.approx(printed, abs=0.006, rel=0), row["source"]


@pytest.mark.parametrize("row", MILLS, ids=lambda row: row["mill"])
def test_recoverable_crystal_on_sucrose_agrees_with_print(row):
    crystal, sucrose, printed = of(
        row, "recoverable_crystal", "sucrose", "recoverable_crystal_on_sucrose"
    )
    # half the last digit of crystal, of sucrose and of the print itself
    within = 0.005 * (100 + printed) / sucrose + 0.005
    found = relation.recoverable_on_sucrose(crystal, sucrose)
    assert found == pytest.approx(printed, abs=within, rel=0), row["source"]


@given(pol=POL, brix=BRIX, fibre=FIBRE)
def test_both_ways_of_writing_commercial_cane_sugar_agree(pol, brix, fibre):
    of_cane = relation.commercial_cane_sugar_of_cane(
        relation.pol_in_cane_from_first_juice(pol, fibre),
        relation.brix_in_cane_from_first_juice(brix, fibre),
    )
    found = relation.commercial_cane_sugar(pol, brix, fibre)
    assert found == pytest.approx(of_cane, abs=EXACT, rel=0)


@pytest.mark.parametrize("row", published("queensland_price"), ids=["CCS 12"])
def test_the_grower_has_two_thirds_of_the_value_as_stated(row):
    sugar_content, coefficient = of(row, "commercial_cane_sugar", "coefficient")
    cane = relation.queensland_cane_price(300.0, sugar_content, 0.0, coefficient)
    sugar = 300.0 * coefficient / 100 * sugar_content / 100
    assert row["growers_share"] == "two thirds"
    assert cane / sugar == pytest.approx(2 / 3, abs=EXACT, rel=0), row["source"]


# Four decimals are printed, and reached exactly.
@pytest.mark.parametrize("row", published("jamaican_press_juice"), ids=lambda row: row["fibre"])
def test_the_jamaican_factor_of_press_juice_is_that_printed(row):
    found = relation.jamaican_press_juice_factor(float(row["fibre"]))
    assert found == pytest.approx(float(row["factor"]), abs=EXACT, rel=0), row["source"]


# Two decimals are printed.
@pytest.mark.parametrize("row", published("jamaican_allowance"), ids=["1.03"])
def test_the_jamaican_allowance_is_the_product_printed(row):
    found = relation.jamaican_allowance(*of(row, "after_cake", "after_undetermined", "to_96_pol"))
    assert found == pytest.approx(float(row["allowance"]), abs=0.005, rel=0), row["source"]


# Two decimals were worked out.
@pytest.mark.parametrize("row", checks("jamaican_short_form"), ids=lambda row: row["fibre"])
def test_the_short_form_of_jamaica_parts_from_the_product_by_what_is_said(row):
    short, product = (
        rule(20.0, 85.0, float(row["fibre"]))
        for rule in (
            relation.jamaican_recoverable_sugar_simplified,
            relation.jamaican_recoverable_sugar,
        )
    )
    found = 100 * (short / product - 1)
    assert found == pytest.approx(float(row["short_over_product"]), abs=0.005, rel=0), row["source"]


# By hand, at 14 % fibre: 0.81; 0.9584 × 0.86; 0.86 × 0.9508.
def test_each_country_takes_another_pol_of_cane_from_one_juice():
    rules = (
        relation.pol_in_cane_from_first_juice,
        relation.pol_in_cane_from_jamaican_press,
        relation.pol_in_cane_from_sao_paulo_press,
    )
    found = [float(rule(100.0, 14.0)) for rule in rules]
    assert found == pytest.approx([81.0, 82.4224, 81.7688], abs=EXACT, rel=0)


@given(pol=POL, fibre=FIBRE)
def test_juice_as_poor_as_the_molasses_of_winter_carp_gives_jamaica_nothing(pol, fibre):
    found = relation.jamaican_recoverable_sugar(pol, 200 / 7, fibre)
    assert found == pytest.approx(0, abs=EXACT, rel=0)


def test_rows_are_worked_out_at_once_and_what_lacks_stays_unknown():
    found = relation.recoverable_value([14.0, np.nan], 16.0, 14.0, d=[0.4, 0.4], c=0.02)
    assert found[0] == pytest.approx(14 - 0.4 * 2 - 0.02 * 14, abs=EXACT)
    assert np.isnan(found[1])


@pytest.mark.parametrize(
    ("relation_of", "values", "said"),
    [
        (relation.commercial_cane_sugar, (17.0, 120.0, 14.0), "brix is 120 %"),
        (relation.jamaican_recoverable_sugar, (17.0, 20.0, 14.0), "purity is 20"),
        (relation.pol_in_cane_from_sao_paulo_press, (17.0, -1.0), "fibre is -1 %"),
    ],
)
def test_what_no_cane_can_have_is_refused(relation_of, values, said):
    with pytest.raises(OutOfRange, match=said):
        relation_of(*values)
