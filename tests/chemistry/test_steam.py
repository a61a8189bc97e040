import numpy as np
import pytest
from chemicals import iapws
from CoolProp.CoolProp import PropsSI
from hypothesis import given
from hypothesis import strategies as st

from app.chemistry import steam
from app.chemistry.validity import OutOfRange, outside_is_nothing
from tests.examples import published

SATURATED = {
    "temperature": steam.saturation_temperature,
    "enthalpy of water": steam.saturated_water_enthalpy,
    "enthalpy of steam": steam.saturated_steam_enthalpy,
    "latent heat": steam.latent_heat,
    "volume of steam": steam.saturated_steam_volume,
}
SUPERHEATED = {
    "enthalpy": steam.steam_enthalpy,
    "volume": steam.steam_volume,
    "entropy": steam.steam_entropy,
}


PRESSURES = [5, 20, 101.325, 250, 1000, 3100, 6500, 12_000, 30_000, 90_000]


def water_of(pressure):
    boils = steam.saturation_temperature(pressure) if pressure < 16_500 else 350
    return np.linspace(0.5, boils - 0.1, 20)


def steam_of(pressure):
    """Temperatures of steam, those above 350 °C short of the limit of the region."""
    beyond = 430 if pressure < 50_000 else 580
    boils = steam.saturation_temperature(pressure) if pressure < 16_500 else beyond
    return np.linspace(boils + 0.1, 790, 20)


def named(row):
    return " ".join(
        row[column] for column in ("pressure", "temperature", "quantity") if row[column]
    )


# The table prints six digits: half of the sixth is at most 5e-6 of the value.
@pytest.mark.parametrize(
    "row", published("steam_saturation"), ids=lambda row: f"{row['quantity']} at {row['pressure']}"
)
def test_saturated_steam_agrees_with_the_table(row):
    found = SATURATED[row["quantity"]](1000 * float(row["pressure"]))
    assert found == pytest.approx(float(row["value"]), rel=5e-6), row["source"]


# As above.
@pytest.mark.parametrize("row", published("steam_superheated"), ids=named)
def test_superheated_steam_agrees_with_the_table(row):
    found = SUPERHEATED[row["quantity"]](1000 * float(row["pressure"]), float(row["temperature"]))
    assert found == pytest.approx(float(row["value"]), rel=5e-6), row["source"]


# The release prints nine digits: half of the ninth is at most 5e-9 of the value.
@pytest.mark.parametrize("row", published("steam_release"), ids=named)
def test_steam_gives_the_check_values_of_the_release(row):
    celsius = float(row["temperature"]) - 273.15
    liquid = {"enthalpy": steam.water_enthalpy, "volume": steam.water_volume}
    if row["quantity"] == "saturation pressure":
        found = steam.saturation_pressure(celsius) / 1000
    else:
        of = liquid if row["pressure"] == "3" else SUPERHEATED
        found = of[row["quantity"]](1000 * float(row["pressure"]), celsius)
    assert found == pytest.approx(float(row["value"]), rel=5e-9), row["source"]


# Another implementation of the same release: the two differ by rounding alone. Our coefficients
# were read in one of the same family, so that the library of the test below is the stricter one.
@pytest.mark.parametrize("temperature", [20, 60, 100, 127.4, 180, 250, 300, 349])
def test_saturation_agrees_with_another_library(temperature):
    kelvin = temperature + 273.15
    pressure = steam.saturation_pressure(temperature)
    other = PropsSI("P", "T", kelvin, "Q", 0, "IF97::Water")
    assert 1000 * pressure == pytest.approx(other, rel=1e-9)
    for quality, enthalpy in (
        (0, steam.saturated_water_enthalpy),
        (1, steam.saturated_steam_enthalpy),
    ):
        other = PropsSI("H", "T", kelvin, "Q", quality, "IF97::Water")
        assert 1000 * enthalpy(pressure) == pytest.approx(other, rel=1e-8)


# A library that carries its own copy of the release: again rounding alone.
@pytest.mark.parametrize("pressure", PRESSURES)
def test_water_agrees_with_an_independent_library(pressure):
    temperature, reduced = water_of(pressure), pressure / 16_530
    other = [iapws.iapws97_dG_dtau_region1(1386 / (t + 273.15), reduced) for t in temperature]
    found = steam.water_enthalpy(pressure, temperature)
    assert found == pytest.approx(0.461526 * 1386 * np.array(other), abs=1e-9)
    density = [iapws.iapws97_rho(t + 273.15, 1000 * pressure) for t in temperature]
    assert 1 / steam.water_volume(pressure, temperature) == pytest.approx(density, rel=1e-11)


# As above; entropy by the other library.
@pytest.mark.parametrize("pressure", PRESSURES)
def test_steam_agrees_with_an_independent_library(pressure):
    temperature, reduced = steam_of(pressure), pressure / 1000
    other = [
        iapws.iapws97_dG0_dtau_region2(540 / (t + 273.15), reduced)
        + iapws.iapws97_dGr_dtau_region2(540 / (t + 273.15), reduced)
        for t in temperature
    ]
    found = steam.steam_enthalpy(pressure, temperature)
    assert found == pytest.approx(0.461526 * 540 * np.array(other), abs=1e-9)
    density = [iapws.iapws97_rho(t + 273.15, 1000 * pressure) for t in temperature]
    assert 1 / steam.steam_volume(pressure, temperature) == pytest.approx(density, rel=1e-11)
    entropy = [
        PropsSI("S", "P", 1000 * pressure, "T", t + 273.15, "IF97::Water") for t in temperature
    ]
    assert 1000 * steam.steam_entropy(pressure, temperature) == pytest.approx(entropy, rel=1e-9)


# IF97 is a fit to IAPWS-95: on this grid found 0.24 kJ/kg apart in water, 0.33 in steam, and
# 0.02 % in saturation pressure.
@pytest.mark.parametrize("pressure", [p for p in PRESSURES if p < 13_000])
def test_water_and_steam_agree_with_the_scientific_equation_of_state(pressure):
    for temperature, ours in (
        (water_of(pressure), steam.water_enthalpy),
        (steam_of(pressure), steam.steam_enthalpy),
    ):
        other = [PropsSI("H", "P", 1000 * pressure, "T", t + 273.15, "Water") for t in temperature]
        assert ours(pressure, temperature) == pytest.approx(np.array(other) / 1000, abs=0.35)
    other = PropsSI("T", "P", 1000 * pressure, "Q", 0, "Water") - 273.15
    found = steam.saturation_pressure(other)
    assert found == pytest.approx(pressure, rel=2e-4)


@given(st.floats(1, 16000), st.floats(1.0001, 1.2))
def test_hotter_steam_needs_more_pressure_and_has_less_latent_heat(pressure, more):
    higher = min(pressure * more, 16500.0)
    assert steam.saturation_temperature(higher) > steam.saturation_temperature(pressure)
    assert steam.latent_heat(higher) < steam.latent_heat(pressure)


@given(st.floats(0.1, 370))
def test_boiling_temperature_comes_back_from_boiling_pressure(temperature):
    found = steam.saturation_temperature(steam.saturation_pressure(temperature))
    assert found == pytest.approx(temperature, abs=1e-6)


@pytest.mark.parametrize(
    ("relation", "values"),
    [
        (steam.saturation_pressure, (-1,)),
        (steam.saturation_pressure, (374,)),
        (steam.saturation_temperature, (0.5,)),
        (steam.latent_heat, (17000,)),
        (steam.water_enthalpy, (101.325, 110)),
        (steam.steam_enthalpy, (101.325, 90)),
        (steam.steam_enthalpy, (20000, 360)),
        (steam.steam_volume, (100, 801)),
    ],
)
def test_water_that_would_boil_and_steam_that_would_condense_are_refused(relation, values):
    with pytest.raises(OutOfRange):
        relation(*values)
    with outside_is_nothing():
        assert np.isnan(relation(*values))


def test_steam_takes_arrays_of_any_shape_and_gives_nothing_for_nothing():
    pressure, temperature = np.array([[100.0], [2100.0]]), np.array([250.0, np.nan, 400.0])
    found = steam.steam_enthalpy(pressure, temperature)
    assert found.shape == (2, 3)
    assert found[1, 2] == pytest.approx(steam.steam_enthalpy(2100, 400), rel=1e-12)
    assert np.isnan(found[:, 1]).all()
    assert np.isnan(steam.latent_heat(np.nan))
