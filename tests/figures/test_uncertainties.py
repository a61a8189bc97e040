"""Every measure has standard uncertainties: published where they are, else an honest guess."""

import pytest

from app.compute import OTHER_ENTRIES
from app.figures.sources import COMMON_PRACTICE, FROM_MEMORY, READ
from app.figures.uncertainties import STATED, default_uncertainty
from app.plant.measures import MEASURES
from tests.examples import published


@pytest.mark.parametrize("name", MEASURES)
def test_every_measure_has_uncertainties_small_beside_its_usual_range(name):
    found = default_uncertainty(name)
    assert found.source.work
    assert found.source.mark in {READ, FROM_MEMORY, COMMON_PRACTICE}
    assert found.random > 0
    assert found.systematic > 0
    if found.relative:
        assert max(found.random, found.systematic) <= 20
    else:
        # An analysis that could not tell the two ends of its usual range apart would be idle.
        low, high = MEASURES[name].usual
        assert found.random + found.systematic < high - low


def test_what_else_may_be_entered_has_uncertainties_too():
    for name in OTHER_ENTRIES - {"gross_hours"}:
        assert default_uncertainty(name).random > 0, name


def test_hours_of_the_calendar_are_exact():
    found = default_uncertainty("gross_hours")
    assert found.random == found.systematic == 0


def test_what_is_not_published_says_that_it_is_a_guess():
    marked = {name: default_uncertainty(name).source for name in MEASURES}
    assert {s.mark for s in marked.values() if s != STATED} == {READ, FROM_MEMORY}
    assert marked["bagasse_pol"] == marked["mixed_juice_brix"] == STATED


def test_a_name_of_its_own_comes_before_the_property_and_the_longer_before_the_shorter():
    assert default_uncertainty("sugar_pol") != default_uncertainty("clear_juice_pol")
    assert default_uncertainty("final_molasses_true_purity").random == 0.4
    assert default_uncertainty("syrup_purity") == default_uncertainty("clear_juice_purity")
    assert default_uncertainty("mixed_juice_reading_temperature").random == 0.2


def test_an_unknown_measure_is_refused():
    with pytest.raises(KeyError, match="mixed_juice_pull"):
        default_uncertainty("mixed_juice_pull")


# r and R are 2.8 standard uncertainties of one result (0.95 limit of a difference of two); rows
# of relative ones are taken at the middle of the range that the method states. Rounding alone.
@pytest.mark.parametrize("row", published("precision"), ids=lambda row: row["measure"])
def test_published_repeatability_and_reproducibility_are_found_again(row):
    found = default_uncertainty(row["measure"])
    unit = float(row["at"]) / 100 if found.relative else 1
    assert 2.8 * found.random * unit == pytest.approx(float(row["r"]), abs=1e-9, rel=0)
    if row["R"]:
        together = (found.random**2 + found.systematic**2) ** 0.5 * unit
        assert 2.8 * together == pytest.approx(float(row["R"]), abs=1e-9, rel=0)
