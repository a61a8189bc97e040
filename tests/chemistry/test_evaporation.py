import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.chemistry.evaporation import (
    dessin_coefficient,
    evaporation_coefficient,
    evaporation_rate,
    heat_transfer_coefficient,
    water_evaporated,
)
from app.chemistry.steam import latent_heat, saturation_pressure
from app.chemistry.validity import OutOfRange, outside_is_nothing
from tests.examples import checks


# Worked out to two decimals.
def test_juice_of_14_brix_to_syrup_of_62_loses_77_percent():
    assert water_evaporated(14.2, 62) == pytest.approx(77.10, abs=0.005)


# Each vessel takes off its share of what the one before leaves.
@given(st.floats(8, 20), st.floats(21, 40), st.floats(41, 75))
def test_the_water_of_the_vessels_is_that_of_the_set(juice, between, syrup):
    first = water_evaporated(juice, between)
    second = (100 - first) * water_evaporated(between, syrup) / 100
    assert first + second == pytest.approx(water_evaporated(juice, syrup), abs=1e-9)


# The coefficient is given in hundredths. What latent heat was taken is not said: that of steam 10 K
# away is 1 % off.
@pytest.mark.parametrize("row", checks("heat_transfer"), ids=lambda row: row["coefficient"])
def test_the_coefficient_of_dessin_is_a_usual_heat_transfer(row):
    steam = float(row["steam_temperature"])
    coefficient = dessin_coefficient(float(row["brix_out"]), steam)
    assert coefficient == pytest.approx(float(row["coefficient"]), abs=0.005), row["source"]
    found = heat_transfer_coefficient(coefficient, latent_heat(saturation_pressure(steam)))
    assert found == pytest.approx(float(row["heat_transfer"]), rel=0.01), row["source"]


def test_rate_and_coefficient_are_found_back():
    # 100 t in 2 h over 2500 m² are 20 kg/m² h; over 10 K of fall 2 kg/m² h K.
    rate = evaporation_rate(100, 2500, 2)
    assert rate == pytest.approx(20, abs=1e-12)
    assert evaporation_coefficient(rate, 112, 102) == pytest.approx(2, abs=1e-12)


# Heat through the surface is the latent heat of what evaporates: 1 kW/m² evaporates 3600/L kg/h.
def test_heat_transfer_is_latent_heat_over_time():
    coefficient = evaporation_coefficient(3600 / 2250, 101, 100)
    assert heat_transfer_coefficient(coefficient, 2250) == pytest.approx(1000, abs=1e-9)


@pytest.mark.parametrize(
    ("relation", "values"),
    [
        (water_evaporated, (15, 0)),
        (water_evaporated, (-1, 60)),
        (evaporation_rate, (10, 0)),
        (evaporation_rate, (10, 100, 0)),
        (dessin_coefficient, (60, 53)),
        (dessin_coefficient, (91, 100)),
        (evaporation_coefficient, (20, 100, 100)),
        (heat_transfer_coefficient, (2, 900)),
    ],
)
def test_evaporation_outside_its_range_is_refused(relation, values):
    with pytest.raises(OutOfRange):
        relation(*values)
    with outside_is_nothing():
        assert np.isnan(relation(*values))


def test_evaporation_takes_arrays_of_any_shape():
    found = water_evaporated(np.array([[13.0], [15.0]]), np.array([55.0, np.nan, 65.0]))
    assert found.shape == (2, 3)
    assert found[1, 2] == water_evaporated(15, 65)
    assert np.isnan(found[:, 1]).all()
