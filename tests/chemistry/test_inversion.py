import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from app.chemistry.inversion import (
    entrainment_loss,
    inversion_loss,
    inversion_rate,
    ph_for_loss,
)
from app.chemistry.validity import OutOfRange, outside_is_nothing
from tests.examples import checks, published

# Density of juice of 15 °Bx near 100 °C, kg/m³, and its sucrose if all solids are.
JUICE = (1020, 153)


# The equation was recalled before the data were found: 1.4 % under them. pH 1.09 instead of 1.00,
# as activity, would bring it to 0.80 of them, so that no more than this can be asked.
@pytest.mark.parametrize("row", published("inversion"), ids=lambda row: row["temperature"])
def test_inversion_agrees_with_physical_chemistry(row):
    given_ = (row[name] for name in ("ph", "temperature", "density", "sucrose"))
    assert inversion_rate(*map(float, given_)) == pytest.approx(float(row["rate"]), rel=0.015)


# The paper prints whole kJ/mol (0.5); the equation has 108.55.
@pytest.mark.parametrize("row", published("inversion_activation"), ids=["activation"])
def test_inversion_has_the_activation_energy_measured(row):
    kelvin = np.array([303.15, 333.15])
    rate = inversion_rate(3, kelvin - 273.15, *JUICE)
    found = 8.314e-3 * np.log(rate[1] / rate[0]) / (1 / kelvin[0] - 1 / kelvin[1])
    assert found == pytest.approx(float(row["activation_energy"]), abs=0.6), row["source"]


# The check prints two decimals (0.005) and does not say its density: 2 % of what is not sucrose
# are 0.01 of a pH.
@pytest.mark.parametrize("row", checks("inversion_ph"), ids=lambda row: row["temperature"])
def test_ph_for_the_limit_of_detection_is_that_worked_out_apart(row):
    found = ph_for_loss(0.1, 60, float(row["temperature"]), *JUICE)
    assert found == pytest.approx(float(row["ph"]), abs=0.015), row["source"]


# Worked out: 0.027 % per hour at 100 °C and pH 7, under the 0.1 % that can just be seen; so
# practice, which holds clarifiers of pH 7 safe (van Hengel 1962, read), agrees.
def test_a_clarifier_of_ph_7_is_safe():
    loss = inversion_loss(inversion_rate(7, 100, *JUICE), 60)
    assert loss == pytest.approx(0.027, abs=0.001)


def test_loss_grows_tenfold_with_a_unit_of_ph_and_26_fold_with_10_kelvin():
    rate = inversion_rate([6, 7], 100, *JUICE)
    assert rate[0] / rate[1] == pytest.approx(10, rel=1e-12)
    rate = inversion_rate(7, [95, 105], *JUICE)
    assert rate[1] / rate[0] == pytest.approx(2.6, abs=0.1)  # worked out to one decimal


def test_no_more_than_all_sucrose_is_lost_and_half_in_the_half_life():
    assert inversion_loss(0.01, np.log(2) / 0.01) == pytest.approx(50, abs=1e-9)
    assert inversion_loss(1, 1e6) == 100
    assert inversion_loss(1, 0) == 0


# What can be seen of a loss of 0.0001 % in 64-bit numbers.
@given(st.floats(1e-4, 50), st.floats(1, 600), st.floats(60, 125))
def test_at_the_ph_for_a_loss_that_loss_is_had(loss, minutes, temperature):
    with outside_is_nothing():
        ph = ph_for_loss(loss, minutes, temperature, *JUICE)
    assume(np.isfinite(ph))
    found = inversion_loss(inversion_rate(ph, temperature, *JUICE), minutes)
    assert found == pytest.approx(loss, rel=1e-9)


# Worked out to three decimals: 10 mg/kg over 10 t of water per t of cane of 13.5 % pol.
def test_entrainment_per_100_pol():
    assert 100 * entrainment_loss(10, 10) / 0.135 == pytest.approx(0.074, abs=0.0005)
    assert entrainment_loss(1e6, 30, 20) == pytest.approx(10, abs=1e-9)


@pytest.mark.parametrize(
    "values",
    [(0.5, 100, *JUICE), (9, 100, *JUICE), (7, 10, *JUICE), (7, 130, *JUICE), (7, 100, 1000, 1100)],
)
def test_inversion_outside_its_range_is_refused(values):
    with pytest.raises(OutOfRange):
        inversion_rate(*values)
    with outside_is_nothing():
        assert np.isnan(inversion_rate(*values))


def test_times_and_losses_that_cannot_be_are_refused():
    for relation, values in (
        (inversion_loss, (0.1, -1)),
        (ph_for_loss, (100, 60, 100, *JUICE)),
        (ph_for_loss, (0.1, 0, 100, *JUICE)),
        (ph_for_loss, (1e-8, 1e6, 20, *JUICE)),
        (entrainment_loss, (-1, 10)),
    ):
        with pytest.raises(OutOfRange):
            relation(*values)
