"""What is declared hangs together: figures, measures, conventions and the trade's names."""

from pathlib import Path

import pytest

from app.compute import compute
from app.figures import CONVENTIONS, FIGURES, sources, stock
from app.figures.declare import ENTERED, OPENING, Figure
from app.figures.evaluate import ORDER
from app.plant import vessels
from app.plant.measures import DAY, MEASURES, SHIFT, WEEK
from app.plant.streams import STATIONS

MARKS = {sources.READ, sources.FROM_MEMORY, sources.COMMON_PRACTICE}
AMOUNTS = {"t", "kg", "m³", "h", "MWh", "IU·t"}
PURE_NUMBERS = {
    *("reducing_sugars_over_ash", "safety_factor"),
    *(f"{grade}_massecuite_non_sucrose_over_water" for grade in "abc"),
}

# The names that a file for `compute`, a spreadsheet or a check elsewhere may rely on.
TRADE_NAMES = (Path(__file__).parent / "trade_names.txt").read_text(encoding="utf-8").split()
STREAMS = (
    *("first_expressed_juice", "last_expressed_juice", "mixed_juice", "bagasse", "clear_juice"),
    *("filter_cake", "syrup", "a_massecuite", "b_massecuite", "c_massecuite"),
    *("a_molasses", "b_molasses", "final_molasses", "sugar"),
)
PROPERTIES = (
    *("brix", "pol", "purity", "moisture", "ph", "colour"),
    *("suspended_solids", "reducing_sugars", "ash"),
)


def test_every_figure_can_be_read_about():
    for name, figure in FIGURES.items():
        assert figure.title, name
        assert figure.note, name
        assert all(way.formula for way in figure.ways), name
        assert figure.unit or name in PURE_NUMBERS, name
        assert 0 <= figure.decimals <= 3, name
        assert figure.station in STATIONS.keys() | {"account"}, name


def test_every_figure_says_where_it_comes_from_and_how_surely():
    for name, figure in FIGURES.items():
        assert figure.source.mark in MARKS, name
        assert figure.source.work or figure.source.mark == sources.COMMON_PRACTICE, name


def inputs(figure: Figure) -> set[str]:
    return {name for way in figure.ways for name in way.inputs}


def test_every_input_is_declared():
    entries = {ENTERED + name for name in MEASURES.keys() | {"gross_hours"}}
    openings = {OPENING + name for name, figure in FIGURES.items() if figure.kind == "level"}
    known = entries | openings | FIGURES.keys() | CONVENTIONS.keys()
    for name, figure in FIGURES.items():
        assert inputs(figure) <= known, name


def test_only_amounts_are_summed_and_no_percentage_is():
    assert {figure.kind for figure in FIGURES.values()} == {"adds", "level", "follows"}
    for name, figure in FIGURES.items():
        assert figure.kind == "follows" or figure.unit in AMOUNTS, name


def test_what_follows_has_a_way_from_sums_before_any_from_a_single_sample():
    for name, figure in FIGURES.items():
        if figure.kind == "follows":
            assert not any(i.startswith(ENTERED) for i in figure.ways[0].inputs), name


def test_a_level_asks_only_for_what_is_true_at_that_time():
    for name, figure in FIGURES.items():
        if figure.kind == "level":
            asked = inputs(figure)
            assert {FIGURES[i].kind for i in asked & FIGURES.keys()} <= {"level"}, name
            assert not any(i.startswith(OPENING) for i in asked), name


def test_every_figure_stands_after_its_inputs():
    assert set(ORDER) == FIGURES.keys()
    place = {name: index for index, name in enumerate(ORDER)}
    for name, figure in FIGURES.items():
        assert all(place[i] < place[name] for i in inputs(figure) & FIGURES.keys()), name


def test_names_of_figures_measures_and_conventions_do_not_collide():
    assert not FIGURES.keys() & CONVENTIONS.keys()
    assert not MEASURES.keys() & CONVENTIONS.keys()
    assert not any(name.startswith((ENTERED, OPENING)) for name in FIGURES.keys() | MEASURES.keys())


def test_a_weight_is_printed_alike_where_it_is_entered_and_where_it_is_summed():
    weights = {name: m for name, m in MEASURES.items() if m.prop in ("weight", "hours")}
    for name, measure in weights.items():
        assert (FIGURES[name].unit, FIGURES[name].decimals) == (measure.unit, measure.decimals), (
            name
        )


@pytest.mark.parametrize("name", TRADE_NAMES)
def test_every_name_of_the_trade_is_a_figure(name: str):
    assert name in FIGURES
    assert not FIGURES[name].internal


def test_every_analysis_of_every_stream_may_be_entered():
    analyses = {f"{stream}_{prop}": 1.0 for stream in STREAMS for prop in PROPERTIES}
    assert compute({"measures": analyses})["figures"]


def test_vessels_are_those_of_the_plant():
    assert stock.VESSELS == vessels.VESSELS


def test_every_measure_is_well_declared():
    for name, measure in MEASURES.items():
        assert measure.title, name
        assert measure.unit, name
        assert measure.station in STATIONS, name
        assert measure.hard[0] <= measure.usual[0] < measure.usual[1] <= measure.hard[1], name


def test_no_analysis_is_taken_more_often_than_its_carrier_is_weighed():
    seldom = [SHIFT, DAY, WEEK]
    for name, measure in MEASURES.items():
        if measure.carrier:
            carrier = MEASURES[measure.carrier]
            assert carrier.prop in ("weight", "volume"), name
            assert seldom.index(measure.grain) >= seldom.index(carrier.grain), name
