"""What lacks is named, and never becomes zero."""

import pytest

from app.compute import compute
from app.figures import CONVENTIONS, FIGURES
from app.figures.cane_received import BY_CCS
from app.figures.declare import ENTERED, OPENING
from app.figures.evaluate import behind
from app.figures.periods import OPENINGS
from app.plant.measures import MEASURES
from app.plant.readings import KINDS
from app.plant.vessels import VESSELS

EFFECTS = {  # each further one thicker and cooler than the one before
    f"effect_{n}_{prop}": number
    for n in range(1, 7)
    for prop, number in (
        ("brix", 15 + 8 * n), ("temperature", 118 - 9 * n), ("vapour_temperature", 116 - 9 * n),
    )
}  # fmt: skip
EVERYTHING = (
    {m.name: sum(m.usual) / 2 for m in MEASURES.values() if m.prop not in KINDS}
    | EFFECTS
    | {"gross_hours": 8.0}
    | {OPENING + level: 10.0 for level in OPENINGS}
)
# What a mill has to state before these say anything.
CHOSEN = {f"effect_{n}_surface": 1000 for n in range(1, 7)} | {
    "evaporator_effects": 6, "tandem_mills": "7", "sulphited_juice_hold": 5, "effect_hold": 4,
    "standing_available_lime": 80, "refinery": "behind the mill", "clarifier_hold": 1,
    "cane_paid_by": BY_CCS,
}  # fmt: skip
ONLY_DUE = {
    name: number
    for name, number in EVERYTHING.items()
    if name not in MEASURES or MEASURES[name].due
}
SHEETS = {"everything": EVERYTHING, "only what is due": ONLY_DUE}


# Which effect is the last, whose brix is that of syrup, is told by a number and not by names.
BY_NUMBER = {
    name for name in FIGURES if any(part.startswith("effect_") for part in behind((name,)))
}


def leaf(name: str) -> str:
    return name if name.startswith(OPENING) else ENTERED + name


def can_be_worked_out(given: set[str]) -> set[str]:
    """Names of figures that some way in force leads to, by names alone."""
    reached = {leaf(name) for name in given} | CONVENTIONS.keys()
    defaults = {name: convention.default for name, convention in CONVENTIONS.items()} | CHOSEN
    while True:
        more = {
            name
            for name, figure in FIGURES.items()
            for way in figure.ways
            if all(defaults[c] in choices for c, choices in way.when.items())
            and set(way.inputs) <= reached
        }
        if more <= reached:
            return reached & FIGURES.keys()
        reached |= more


def answer(measures: dict[str, float]) -> dict[str, dict]:
    return dict(compute({"measures": measures, "conventions": CHOSEN})["figures"])


NEEDED = sorted(
    {
        name.removeprefix(ENTERED)
        for figure in FIGURES.values()
        for way in figure.ways
        for name in way.inputs
        if name.startswith((ENTERED, OPENING))
    }
)
# One vessel stands for all, since they share their functions.
OTHER_VESSELS = tuple(vessel for vessel in VESSELS if vessel != "c_pans")
TRIED = [name for name in NEEDED if not name.startswith(OTHER_VESSELS)]


def test_a_complete_sheet_gives_every_figure():
    for name, figure in answer(EVERYTHING).items():
        assert figure["value"] is not None, name
        assert figure["missing"] == []


def answers(sheets: list[dict[str, float]], before: dict[str, float]) -> list[dict[str, dict]]:
    """Figures of several sheets, each after the sheet `before` it, from whose end it opens."""
    documents = [
        {"measures": sheet, "conventions": CHOSEN} for one in sheets for sheet in (before, one)
    ]
    return [period["figures"] for period in compute(documents)["periods"][1::2]]


@pytest.mark.parametrize("sheet", SHEETS)
def test_a_figure_that_has_no_value_without_a_measure_names_it(sheet):
    complete = SHEETS[sheet]
    there = can_be_worked_out(complete.keys())
    dropped = sorted(complete.keys() & set(TRIED) - {OPENING + level for level in OPENINGS})
    rests = [{n: v for n, v in complete.items() if n != measure} for measure in dropped]
    for measure, rest, figures in zip(dropped, rests, answers(rests, complete), strict=True):
        possible = can_be_worked_out(rest.keys())
        for name, figure in figures.items():
            if name in BY_NUMBER:
                continue
            said = f"{name} without {measure}"
            assert (figure["value"] is not None) == (name in possible), said
            if name in there - possible:
                assert measure in figure["missing"], said
            if name in possible:
                assert figure["missing"] == [], said


@pytest.mark.parametrize("level", OPENINGS)
def test_an_opening_that_lacks_is_named(level):
    rest = {name: number for name, number in EVERYTHING.items() if name != OPENING + level}
    lacking = {name: f for name, f in answer(rest).items() if f["value"] is None}
    assert lacking
    assert all(OPENING + level in figure["missing"] for figure in lacking.values())


def test_an_empty_sheet_gives_no_figure_and_says_what_each_lacks():
    chosen_alone = can_be_worked_out(set())
    assert chosen_alone == {"evaporator_surface"}
    for name, figure in answer({}).items():
        if name not in chosen_alone:
            assert figure["value"] is None, name
            assert figure["missing"], name


@pytest.mark.parametrize("blank", [None, "", "  "])
def test_a_blank_is_missing_and_not_zero(blank):
    figure = answer(EVERYTHING | {"bagasse_pol": blank})["pol_in_bagasse"]
    assert figure["value"] is None
    assert figure["missing"] == ["bagasse_pol"]


def test_zero_is_a_number():
    figure = answer(EVERYTHING | {"filter_cake_pol": 0})["filter_cake_loss"]
    assert figure["value"] == 0
    assert figure["missing"] == []


def test_an_empty_vessel_needs_no_analysis():
    unanalysed = {
        name: number
        for name, number in EVERYTHING.items()
        if not name.startswith("remelt_tank_") or name.endswith("_volume")
    }
    figure = answer(unanalysed | {"remelt_tank_volume": 0})["recoverable_pol_in_remelt_tank"]
    assert figure["value"] == 0


def test_division_by_nothing_is_no_number_and_lacks_nothing():
    figure = answer(EVERYTHING | {"cane": 0})["imbibition_on_cane"]
    assert figure["value"] is None
    assert figure["missing"] == []
