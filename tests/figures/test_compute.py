"""`mill-ledger compute`: what it reads, what it answers, what it refuses."""

import pytest

from app.compute import BadDocument, compute
from app.figures import FIGURES


def value(document: object, name: str) -> float | None:
    return compute(document)["figures"][name]["value"]


def test_every_figure_that_is_not_internal_is_answered_with_its_unit():
    figures = compute({"measures": {}})["figures"]
    assert figures.keys() == {name for name, figure in FIGURES.items() if not figure.internal}
    for name, figure in figures.items():
        assert figure["unit"] == FIGURES[name].unit
        assert figure["uncertainty"] is None


@pytest.mark.parametrize("typed", [1234.5, "1234.5", "1234,5", " 1 234,5 "])
def test_numbers_are_read_as_they_are_typed_on_a_sheet(typed):
    assert value({"measures": {"cane": typed}}, "cane") == 1234.5


def test_figures_come_at_full_precision():
    found = value({"measures": {"cane": 3, "imbibition": 1}}, "imbibition_on_cane")
    assert found == 100 / 3


def test_a_figure_may_be_given_in_place_of_what_it_follows_from():
    given = {"pol_in_cane": 200.0, "pol_in_mixed_juice": 190.0}
    assert value({"measures": given}, "pol_extraction") == pytest.approx(95.0, abs=1e-12)


def test_a_list_is_answered_with_a_list_and_to_date():
    answer = compute([{"measures": {"cane": 10}}, {"measures": {"cane": 1000}}])
    each = [period["figures"]["cane"]["value"] for period in answer["periods"]]
    assert each == [10, 1000]
    assert answer["to_date"]["figures"]["cane"]["value"] == 1010


def test_periods_may_differ_in_their_conventions():
    sheet = {"final_molasses_reducing_sugars": 10, "final_molasses_ash": 10}
    answer = compute(
        [
            {"measures": sheet},
            {"measures": sheet, "conventions": {"target_purity_rule": "Rein and Smith 1981"}},
        ]
    )
    targets = [p["figures"]["final_molasses_target_purity"]["value"] for p in answer["periods"]]
    assert targets == pytest.approx([33.9, 37.7], abs=1e-9)


@pytest.mark.parametrize(
    ("document", "says"),
    [
        ([], "no period"),
        (7, "measures"),
        ({}, "measures"),
        ({"measures": {"cane": 1}, "notes": ""}, "notes"),
        ({"measures": {"mixed_juice_pull": 12}}, "mixed_juice_pol is one"),
        ({"measures": {"cane": "1,234.5"}}, "cane"),
        ({"measures": {"cane": "plenty"}}, "plenty"),
        ({"measures": {"cane": True}}, "cane"),
        ({"measures": {"cane": float("inf")}}, "finite"),
        ([{"measures": {"cane": 1}}, {"measures": {"cane": []}}], "period 2"),
        ({"measures": {}, "conventions": {"pol_basis": "both"}}, "pol_basis"),
        ({"measures": {}, "conventions": {"brix_free_water": "much"}}, "brix_free_water"),
        ({"measures": {}, "conventions": {"brix_free_water": None}}, "brix_free_water"),
        ({"measures": {}, "conventions": {"brix_free_water": float("nan")}}, "brix_free_water"),
    ],
)
def test_a_document_that_cannot_be_read_is_refused_with_the_place(document, says):
    with pytest.raises(BadDocument, match=says):
        compute(document)


def test_tonnes_given_in_place_of_what_they_follow_from_add_to_date():
    given = [{"measures": {"pol_in_cane": 100}}, {"measures": {"pol_in_cane": "120,5"}}]
    assert compute(given)["to_date"]["figures"]["pol_in_cane"]["value"] == 220.5


def test_fibre_by_direct_analysis_serves_where_no_bagasse_was_analysed():
    answer = compute({"measures": {"cane": 1800, "imbibition": 567, "cane_fibre": "14,0"}})
    assert answer["figures"]["imbibition_on_fibre"]["value"] == pytest.approx(225, abs=1e-9, rel=0)
