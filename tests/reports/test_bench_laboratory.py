"""The bench gives sucrose, reducing sugars, ash and grain as the tables and examples say."""

import pytest

from tests.examples import checks, published
from tests.reports.test_bench import answer, sent

# Of the normal distribution of mean 800 and standard deviation 200, worked out apart in
# tests/chemistry/test_grain.py: apertures here in mm, masses the steps of its rounded shares.
SIEVES = {
    "apertures": "1.18 1.00 .85 0,71 0,6; 0.5;0.355", "retained": "2.9 13 24.2 27.3 16.7 9.2 5.4",
    "pan": "1.3",
}  # fmt: skip
TWICE = "50.2 -14.6"  # readings before and after inversion


def double_polarization(method, readings=TWICE, temperature="24", solids="10"):
    direct, inverted = readings.split()
    return {
        "method": method, "direct": direct, "inverted": inverted, "temperature": temperature,
        "solids": solids,
    }  # fmt: skip


# Two decimals are printed here, three there.
@pytest.mark.parametrize("row", checks("double_polarization"), ids=lambda row: row["divisor"])
def test_sucrose_by_double_polarization_by_each_divisor(row):
    typed = double_polarization(row["divisor"].replace("_", "-"))
    found = answer("double_polarization", **typed)["Sucrose"]
    assert float(found) == pytest.approx(float(row["sucrose"]), abs=0.0055), row["source"]


# By hand: 132.56 - 0.0794 × 3 - 0.53 × 4, 132.1 - 0.0833 × 3 - 0.53 × 4, 142.66 - 12.
@pytest.mark.parametrize(
    ("method", "divisor"),
    [("jackson-gillis", "130.20"), ("invertase", "129.73"), ("herzfeld", "130.66")],
)
def test_the_divisor_is_that_of_the_method(method, divisor):
    assert answer("double_polarization", **double_polarization(method))["Divisor"] == divisor


def test_herzfeld_does_without_dry_substance_and_the_others_ask_for_it():
    typed = double_polarization("herzfeld", solids="")
    assert answer("double_polarization", **typed)["Divisor"] == "130.66"
    for method in ("jackson-gillis", "invertase"):
        wrong = sent("double_polarization", **double_polarization(method, solids="")).wrong
        assert wrong.keys() == {"solids"}


# One decimal is printed in both.
@pytest.mark.parametrize("row", published("lane_eynon"), ids=lambda row: row["titre"])
def test_invert_sugar_is_that_of_the_lane_eynon_table(row):
    found = answer("lane_eynon", titre=row["titre"], sample="10")
    assert float(found["Invert sugar of the table"]) == float(row["invert"]), row["source"]


def test_lane_eynon_is_brought_to_the_sample():
    # By hand: 25 mL and 51.2 mg are 204.8 mg/100 mL; with 10 g in them 2.048 %.
    found = answer("lane_eynon", titre="25", sample="10")
    assert (found["In 100 mL"], found["Reducing sugars"]) == ("204.8", "2.048")


# One decimal is printed in both; thiosulphate of 0.2 mol/L saves half the volume.
@pytest.mark.parametrize("row", published("luff_schoorl"), ids=lambda row: row["thiosulphate"])
@pytest.mark.parametrize("strength", [0.1, 0.2])
def test_sugars_are_those_of_the_luff_schoorl_table(row, strength):
    blank = 1.5 + float(row["thiosulphate"]) * 0.1 / strength
    typed = {"blank": f"{blank:.2f}", "titre": "1.5", "strength": str(strength)}
    found = answer("luff_schoorl", sample="1", **typed)
    assert float(found["In the aliquot"]) == float(row["sugars"]), row["source"]
    # mg in 1 g: a tenth of that is per cent
    share = float(row["sugars"]) / 10
    assert float(found["Reducing sugars"]) == pytest.approx(share, abs=0.0005)


# Four decimals are printed in both.
@pytest.mark.parametrize("row", checks("conductivity_ash"), ids=lambda row: row["solution"])
def test_conductivity_ash_by_each_method(row):
    method = {"28 g/100 g": "white", "5 g/100 mL": "raw"}[row["solution"]]
    typed = {"solution": row["conductivity"], "water": row["water"], "method": method}
    found = answer("conductivity_ash", temperature="20", **typed)
    assert float(found["Conductivity ash"]) == float(row["ash"]), row["source"]


# By hand: 125 ÷ (1 + 0.026 × 5) and 125 ÷ (1 + 0.023 × 5) with water that does not conduct; for
# water 10 more at 15 °C: 0.0018 × (115 - 10) ÷ (1 - 0.115) = 0.2136.
def test_conductivity_is_brought_to_20_degrees_by_the_warmth_of_the_method():
    warm = {"solution": "125", "water": "0", "temperature": "25"}
    assert answer("conductivity_ash", method="white", **warm)["Solution at 20 °C"] == "110.6"
    assert answer("conductivity_ash", method="raw", **warm)["Solution at 20 °C"] == "112.1"
    cold = {"solution": "115", "water": "10", "temperature": "15"}
    assert answer("conductivity_ash", method="raw", **cold)["Conductivity ash"] == "0.2136"


def test_grain_equals_the_example_worked_out_apart():
    # 799.2 and 800.2 µm, 24.9 and 25.0 %, are what it gives to one decimal.
    assert answer("sieves", **SIEVES) == {
        "Mean aperture, interpolated": "0.799",
        "Variation, interpolated": "24.9",
        "Mean aperture, probit": "0.800",
        "Variation, probit": "25.0",
    }


@pytest.mark.parametrize("between", [" ", ", ", ",  ", ";", "; ", " ; ", "\t", "\n"])
def test_a_list_of_numbers_may_be_parted_in_several_ways(between):
    parted = {name: SIEVES[name].replace(";", " ").split() for name in ("apertures", "retained")}
    typed = {name: f" {between.join(numbers)} " for name, numbers in parted.items()}
    assert answer("sieves", **SIEVES | typed) == answer("sieves", **SIEVES)


@pytest.mark.parametrize(
    ("changed", "where", "words"),
    [
        ({"apertures": "1.18 1"}, "retained", "one mass for each sieve; there are 7 for 2 sieves"),
        ({"apertures": "0.355 0.5 0.6 0.71 0.85 1 1.18"}, "apertures", "coarsest sieve first"),
        ({"apertures": "1.18 1 0.85 0.71 0.6 0.5 0"}, "apertures", "it is to be above 0"),
        ({"apertures": ""}, "apertures", "Fill in the aperture of each sieve"),
        ({"apertures": "1.18,1.00,0.85"}, "apertures", "with blanks between"),
        ({"apertures": "1.18;;1.00"}, "apertures", "with blanks between"),
        ({"retained": "2.9 13 24.2 27.3 16.7 9.2 x"}, "retained", "Write numbers"),
        ({"retained": "2.9 13 24.2 27.3 16.7 9.2 -5"}, "retained", "Mass on a sieve is -5"),
        ({"retained": "29 13 24.2 27.3 16.7 9.2 5.4"}, "retained", "Share on the coarsest sieve"),
        ({"retained": "0 0 0 0 0 0 0", "pan": "0"}, "apertures", "cannot be worked out"),
        ({"apertures": "1 0.8 0.6", "retained": "0 50 50", "pan": "0"}, "retained", "sample is 1"),
        ({"pan": "-1"}, "pan", "Pan is -1 g"),
        ({"pan": "50"}, "retained", "Share on all sieves"),
    ],
)
def test_what_is_wrong_with_sieves_is_said_beside_its_box(changed, where, words):
    wrong = sent("sieves", **SIEVES | changed).wrong
    assert wrong.keys() == {where}
    assert words in wrong[where]


def test_a_mass_that_no_balance_weighs_is_none():
    speck = f"0.{'0' * 320}1"
    typed = {"apertures": f"1.4 {SIEVES['apertures']}", "retained": f"{speck} {SIEVES['retained']}"}
    nothing = typed | {"retained": f"0 {SIEVES['retained']}"}
    assert answer("sieves", **SIEVES | typed) == answer("sieves", **SIEVES | nothing)


@pytest.mark.parametrize(
    ("name", "typed", "where", "words"),
    [
        ("double_polarization", double_polarization("none"), "method", "Choose the method"),
        ("double_polarization", double_polarization("herzfeld", "151 0"), "direct", "150 °Z"),
        ("double_polarization", double_polarization("herzfeld", "0 -151"), "inverted", "150 °Z"),
        ("double_polarization", double_polarization("herzfeld", "-14 50"), "inverted", "Sucrose"),
        ("double_polarization", double_polarization("invertase", temperature="14"),
         "temperature", "from 15 to 35 °C"),
        ("double_polarization", double_polarization("invertase", solids="21"),
         "solids", "from 0 to 20 g/100 mL"),
        ("lane_eynon", {"titre": "14.9", "sample": "1"}, "titre", "from 15 to 50 mL"),
        ("lane_eynon", {"titre": "25", "sample": "0"}, "sample", "above 0"),
        ("lane_eynon", {"titre": "25", "sample": "0.2"}, "sample", "Reducing sugars is 102.4 %"),
        ("luff_schoorl", {"blank": "25", "titre": "24.5", "strength": "0.1", "sample": "1"},
         "titre", "from 1 to 23 mL"),
        ("luff_schoorl", {"blank": "5", "titre": "-3", "strength": "0.1", "sample": "1"},
         "titre", "Titre of the sample is -3 mL"),
        ("luff_schoorl", {"blank": "-5", "titre": "-13", "strength": "0.1", "sample": "1"},
         "blank", "Titre of the blank is -5 mL"),
        ("luff_schoorl", {"blank": "25", "titre": "5", "strength": "0.1", "sample": "0.05"},
         "sample", "Reducing sugars is 106 %"),
        ("conductivity_ash", {"solution": "-1", "water": "1", "temperature": "20",
                              "method": "raw"}, "solution", "Conductivity of solution is -1"),
        ("conductivity_ash", {"solution": "50", "water": "-1", "temperature": "20",
                              "method": "raw"}, "water", "Conductivity of water is -1"),
        ("conductivity_ash", {"solution": "2", "water": "10", "temperature": "20",
                              "method": "white"}, "solution", "Ash is -0.0009 %"),
        ("conductivity_ash", {"solution": "50", "water": "1", "temperature": "26",
                              "method": "white"}, "temperature", "from 15 to 25 °C"),
    ],
)  # fmt: skip
def test_what_is_wrong_is_said_beside_its_box(name, typed, where, words):
    wrong = sent(name, **typed).wrong
    assert wrong.keys() == {where}
    assert words in wrong[where]
