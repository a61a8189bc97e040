"""The bench answers as the tables say, and says of each box what is wrong with it."""

import inspect
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.reports.bench import bench_page, outcome_of
from app.reports.conversions import CONVERSIONS, sections
from tests.examples import checks, published

DOSES = {(Decimal("5.2"), Decimal("7.4")): Decimal("0.65")}
EVERY = {one.name: one for part in sections(DOSES) for one in part.conversions}


def sent(name, **typed):
    return outcome_of(EVERY[name], typed)


def answer(name, **typed):
    """Return the numbers that are printed, by their titles."""
    outcome = sent(name, **typed)
    assert outcome.wrong == {}
    return {line.title: line.text.replace("\u2212", "-") for line in outcome.lines}


# The printed corrections have two decimals, and so has ours: nothing is left over.
@pytest.mark.parametrize(
    "row", published("refractometer_1936"), ids=lambda row: f"{row['reading']}-{row['temperature']}"
)
def test_refractometer_brix_is_corrected_by_the_table_of_1936(row):
    found = answer("brix", reading=row["reading"], temperature=row["temperature"], table="1936")
    assert Decimal(found["Correction"]) == Decimal(row["correction"]), row["source"]
    total = Decimal(row["reading"]) + Decimal(row["correction"])
    assert Decimal(found["Brix at 20 °C"]) == total


def test_each_table_of_corrections_can_be_chosen():
    # Rows of 5 °C and 10 °C at 10 °Bx. Source: OIV-MA-AS2-02, Table I; read.
    cold = answer("brix", reading="10", temperature="5", table="1974-cold")
    cool = answer("brix", reading="10", temperature="10", table="1974")
    assert (cold["Brix at 20 °C"], cool["Brix at 20 °C"]) == ("9.18", "9.41")


# Five decimals are printed in both.
@pytest.mark.parametrize("row", published("refractive_index"), ids=lambda row: row["brix"])
def test_refractive_index_and_brix_lead_to_each_other(row):
    index = answer("refractive_index", brix=row["brix"])["Refractive index at 20 °C"]
    assert Decimal(index) == Decimal(row["index"]), row["source"]
    back = answer("brix_of_index", index=index)["Brix at 20 °C"]
    assert Decimal(back) == Decimal(row["brix"])


# The relation keeps within 0.05 of the printed table from 15 to 60 °C; rounding adds 0.005.
@pytest.mark.parametrize(
    "row",
    [row for row in published("hydrometer") if float(row["temperature"]) >= 15],
    ids=lambda row: f"{row['reading']}-{row['temperature']}",
)
def test_hydrometer_brix_is_near_the_printed_corrections(row):
    found = answer("hydrometer", reading=row["reading"], temperature=row["temperature"])
    expected = float(row["correction"])
    assert float(found["Correction"]) == pytest.approx(expected, abs=0.055), row["source"]


# One decimal is printed there; two here.
@pytest.mark.parametrize("row", published("baume"), ids=lambda row: row["brix"])
def test_density_tells_baume_too(row):
    found = answer("solution_density", brix=row["brix"], temperature="20")
    assert float(found["Baumé"]) == pytest.approx(float(row["baume"]), abs=0.055), row["source"]


# Five decimals are printed there, four here; the relation keeps within 0.000 06.
@pytest.mark.parametrize("row", published("specific_gravity"), ids=lambda row: row["brix"])
def test_density_tells_specific_gravity_too(row):
    found = answer("solution_density", brix=row["brix"], temperature="20")
    gravity = float(found["Specific gravity 20/20 °C"])
    assert gravity == pytest.approx(float(row["specific_gravity"]), abs=0.00011), row["source"]


# Two decimals are printed.
@pytest.mark.parametrize("row", checks("undiluted_juice"), ids=lambda row: row["reading"])
def test_pol_of_juice_by_dry_clarification(row):
    typed = {"brix": row["brix"], "clarification": "dry"}
    found = answer("pol", reading=row["reading"], dilution="1", **typed)
    pol, purity = float(row["pol"]), 100 * float(row["pol"]) / float(row["brix"])
    assert float(found["Pol"]) == pytest.approx(pol, abs=0.0051), row["source"]
    assert float(found["Purity"]) == pytest.approx(purity, abs=0.0056), row["source"]
    halved = str(float(row["reading"]) / 2)
    assert answer("pol", reading=halved, dilution="2", **typed) == found


def test_wet_clarification_dilutes_by_a_tenth():
    typed = {"brix": "15", "dilution": "1"}
    wet = answer("pol", reading="50", clarification="wet", **typed)
    assert answer("pol", reading="55", clarification="dry", **typed) == wet


@pytest.mark.parametrize("row", published("milk_of_lime"), ids=lambda row: row["baume"])
def test_milk_of_lime_holds_what_the_table_says(row):
    assert answer("milk_of_lime", baume=row["baume"])["Calcium oxide"] == row["calcium_oxide"]


def test_lime_for_a_step_is_that_of_the_mill_s_own_table():
    # By hand: 0.65 × 200 = 130 kg; in milk of lime of 206 g/L that is 631 L.
    assert answer("lime", step="5.2-7.4", juice="200") == {"Calcium oxide": "130.0"}
    found = answer("lime", step="5.2-7.4", juice="200", baume="20")
    assert found == {"Calcium oxide": "130.0", "Milk of lime": "631"}
    assert "step" in sent("lime", step="5.2-7.5", juice="200").wrong


def test_a_mill_without_a_table_is_not_asked_to_choose_from_it():
    names = {one.name for part in sections({}) for one in part.conversions}
    assert names == EVERY.keys() - {"lime"}


# The classical table has one decimal, the relation keeps within 0.2 K of it, and ours is rounded.
@pytest.mark.parametrize("row", published("boiling_point_elevation"), ids=lambda row: row["brix"])
def test_boiling_point_elevation_is_near_the_classical_table(row):
    found = answer("boiling", brix=row["brix"], pressure=row["pressure"])
    elevation = float(found["Elevation, pure sucrose"])
    assert elevation == pytest.approx(float(row["elevation"]), abs=0.25), row["source"]
    assert found["Water boils at"] == "100.0"


@pytest.mark.parametrize(
    "row",
    checks("solubility_equations"),
    ids=lambda row: f"{row['relation']}-{row['temperature']}",
)
def test_solubility_by_either_equation_saturates_the_pan(row):
    typed = {"temperature": row["temperature"], "equation": row["relation"].lower()}
    found = answer("sucrose_solubility", **typed)["In 100 g of solution"]
    assert float(found) == pytest.approx(float(row["sucrose"]), abs=0.0051), row["source"]
    pan = answer("supersaturation", brix=row["sucrose"], purity="100", coefficient="1", **typed)
    assert pan["Supersaturation"] == "1.000"


def test_supersaturation_by_hand():
    # By hand, Vavrinecz at 60 °C: 74.264 ÷ 25.736 = 2.8856 g/g; 80 brix of purity 90 is
    # 72 ÷ 20 = 3.6 g/g; 3.6 ÷ (0.9 × 2.8856) = 1.386.
    found = answer(
        "supersaturation", brix="80", purity="90", temperature="60", coefficient="0,9",
        equation="vavrinecz",
    )  # fmt: skip
    assert (found["Supersaturation"], found["Sucrose per water"]) == ("1.386", "3.600")


@pytest.mark.parametrize("row", checks("colour"), ids=lambda row: row["colour"])
def test_colour_follows_from_absorbance(row):
    typed = {name: row[name] for name in ("absorbance", "cell", "brix")}
    # no decimal is printed here
    found = answer("colour", **typed)["Colour"].replace("\u202f", "")
    assert float(found) == pytest.approx(float(row["colour"]), abs=0.51), row["source"]


def test_what_is_weighed_by_hand():
    assert answer("dilution", sample="100", water="100", brix="43", pol="15.05") == {
        "Brix of the sample": "86.00", "Pol of the sample": "30.10", "Purity": "35.00",
    }  # fmt: skip
    assert answer("dilution", sample="50", water="250", brix="15") == {
        "Brix of the sample": "90.00"
    }
    assert answer("moisture", dish="20", wet="30", dry="25") == {"Moisture": "50.00"}
    # by volume of like bodies: (10 µm ÷ 100 µm)³ of a tonne
    assert answer("seed", crystals="1", seed="10", grown="0.1") == {"Sugar in the slurry": "1000.0"}


@pytest.mark.parametrize(
    ("name", "typed", "where", "words"),
    [
        ("brix", "reading=90 temperature=28 table=1936", "reading", "from 0 to 70 °Bx"),
        ("brix", "reading=15 temperature=35 table=1936", "temperature", "from 10 to 30 °C"),
        ("brix", "reading=15 temperature=25 table=", "table", "Choose the table of corrections"),
        ("brix", "reading=15 temperature=25 table=1937", "table", "from the list"),
        ("refractive_index", "brix=86", "brix", "Brix is 86 °Bx; this holds from 0 to 85"),
        ("brix_of_index", "index=1.6", "index", "Refractive index is 1.6"),
        ("hydrometer", "reading=75 temperature=20", "reading", "Hydrometer brix is 75 °Bx"),
        ("hydrometer", "reading=15 temperature=61", "temperature", "from 0 to 60 °C"),
        ("solution_density", "brix=101 temperature=20", "brix", "from 0 to 100 °Bx"),
        ("solution_density", "brix=10 temperature=101", "temperature", "from 0 to 100 °C"),
        ("dilution", "sample=0 water=1 brix=40", "sample", "above 0"),
        ("dilution", "sample=1e2 water=1 brix=40", "sample", "Write a number"),
        ("dilution", "sample=5 water=-1 brix=40", "water", "Water is -1"),
        ("dilution", "sample=5 water=5 brix=140", "brix", "Brix or pol is 140 %"),
        ("dilution", "sample=5 water=5 brix=60", "brix", "Brix of the sample is 120 °Bx"),
        ("dilution", "sample=5 water=5 brix=40 pol=-1", "pol", "Pol is -1 %"),
        ("dilution", "sample=5 water=5 brix=40 pol=41", "pol", "above its brix of 40"),
        ("pol", "reading=151 brix=20 clarification=dry dilution=1", "reading", "-150 to 150 °Z"),
        ("pol", "reading=60 brix=86 clarification=dry dilution=1", "brix", "0 to 85"),
        ("pol", "reading=60 brix=18 clarification=none dilution=1", "clarification", "Choose"),
        ("pol", "reading=60 brix=18 clarification=wet dilution=10", "dilution", "from 1 to 9"),
        ("pol", "reading=60 brix=10 clarification=dry dilution=1", "reading", "above its brix"),
        ("milk_of_lime", "baume=9", "baume", "Milk of lime is 9 °Bé"),
        ("lime", "step=5.2-7.4 juice=-1", "juice", "Juice is -1 t"),
        ("lime", "step=5.2-7.4 juice=1 baume=40", "baume", "from 10 to 30 °Bé"),
        ("supersaturation", "brix=80 purity=101 temperature=60 coefficient=1 equation=charles",
         "purity", "from 0 to 100 %"),
        ("supersaturation", "brix=80 purity=90 temperature=60 coefficient=4 equation=charles",
         "coefficient", "from 0.3 to 3"),
        ("sucrose_solubility", "temperature=-5 equation=charles", "temperature", "is -5 °C"),
        ("boiling", "brix=81 pressure=20", "brix", "from 0 to 80"),
        ("boiling", "brix=60 pressure=1", "pressure", "from 5 to 300 kPa"),
        ("seed", "crystals=-1 seed=5 grown=1", "crystals", "Crystals is -1"),
        ("seed", "crystals=20 seed=5 grown=0.001", "seed", "Seed over grown crystal is 5"),
        ("seed", "crystals=20 seed=5 grown=0", "grown", "above 0"),
        ("colour", "absorbance=-1 cell=1 brix=30", "absorbance", "Absorbance is -1"),
        ("colour", "absorbance=0.4 cell=0 brix=30", "cell", "above 0"),
        ("colour", "absorbance=0.4 cell=1 brix=130", "brix", "from 0 to 100"),
        ("moisture", "dish=20 wet=20 dry=20", "wet", "above the empty dish"),
        ("moisture", "dish=20 wet=30 dry=31", "dry", "Moisture is -10 %"),
        ("moisture", "dish= wet=30 dry=25", "dish", "Fill in the empty dish"),
        ("moisture", "dish=nm wet=30 dry=25", "dish", "Write a number"),
        ("moisture", "dish=1 wet=99999999999 dry=25", "wet", "too large"),
    ],
)  # fmt: skip
def test_what_is_wrong_is_said_beside_its_box(name, typed, where, words):
    outcome = sent(name, **dict(pair.split("=") for pair in typed.split()))
    assert outcome.wrong.keys() == {where}
    assert words in outcome.wrong[where]
    assert outcome.lines == ()


def test_all_that_is_wrong_is_said_at_once():
    assert sent("brix").wrong.keys() == {"reading", "temperature", "table"}


def test_what_may_be_read_in_two_ways_is_said_to_be_read_in_one():
    outcome = sent("dilution", sample="100", water="1,250", brix="7.1")
    assert outcome.notes == ("1,250 was read as 1.25; if 1250 is meant, leave the mark out.",)
    assert sent("dilution", sample="100", water="1,25", brix="7.1").notes == ()
    assert sent("moisture", dish="20.125", wet="30.125", dry="25.125").notes == ()


def test_a_solution_of_nothing_has_no_purity():
    assert "Purity" not in answer("pol", reading="0", brix="0", clarification="dry", dilution="1")


def test_an_answer_beyond_the_relation_is_left_out():
    full = {"Saturated at"}
    typed = {"purity": "100", "coefficient": "1", "equation": "charles"}
    assert not full & answer("supersaturation", brix="20", temperature="30", **typed).keys()
    assert full <= answer("supersaturation", brix="70", temperature="30", **typed).keys()
    technical = "Elevation, technical liquor"
    assert technical in answer("boiling", brix="60", pressure="20")
    assert technical not in answer("boiling", brix="60", pressure="5.5")


def test_a_conversion_asks_for_what_its_relation_takes_and_names_its_source():
    for one in CONVERSIONS.values():
        assert list(inspect.signature(one.work).parameters) == [box.name for box in one.fields]
        assert one.source
        assert one.formula
    placed = [one.name for part in sections(DOSES) for one in part.conversions]
    assert sorted(placed) == sorted(CONVERSIONS)


def test_the_page_keeps_what_was_typed_where_it_was_typed():
    page = bench_page(sections(DOSES), "colour", {"absorbance": "x", "brix": "30", "else": "1"})
    colour, moisture = EVERY["colour"], EVERY["moisture"]
    texts = [page.text(colour, box) for box in colour.fields]
    assert texts == ["x", "", "30"]
    assert [address for _, address in page.problems] == ["#colour-absorbance", "#colour-cell"]
    assert [page.text(moisture, box) for box in moisture.fields] == ["", "", ""]
    with pytest.raises(KeyError):
        bench_page(sections(DOSES), "nothing")


NUMBERS = st.from_regex(r"[-+]?[0-9]{0,12}[.,]?[0-9]{0,12}", fullmatch=True)
TYPED = st.one_of(NUMBERS, st.floats(-200, 200).map(lambda value: f"{value:.6f}"), st.text())


@given(data=st.data())
@settings(derandomize=True, deadline=None, max_examples=300)
def test_whatever_is_typed_there_is_an_answer_or_a_reason(data):
    one = EVERY[data.draw(st.sampled_from(sorted(EVERY)))]
    typed = {
        box.name: data.draw(
            TYPED if box.choices is None else st.sampled_from([c.code for c in box.choices])
        )
        for box in one.fields
    }
    outcome = outcome_of(one, typed)
    assert bool(outcome.lines) != bool(outcome.wrong)
    assert all(line.text for line in outcome.lines)
    assert outcome.wrong.keys() <= typed.keys()
