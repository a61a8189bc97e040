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
        ({"measures": {}, "conventions": {"brix_free_water": 10**400}}, "between 0 and 100"),
        ({"measures": {}, "conventions": {"brix_free_water": True}}, "brix_free_water"),
        ({"measures": {}, "conventions": []}, "object of names"),
        ({"measures": {}, "uncertainties": False}, "object of measures"),
        ({"measures": {"cane": 10**400}}, "finite"),
        ({"measures": {"cane": "9" * 400}}, "finite"),
        ({"measures": {"cane": -5}}, "cane is 0 or more, not -5"),
        ({"measures": {"crushing_hours": "-0,5"}}, "crushing_hours is 0 or more"),
        ([{"measures": {}}, {"measures": {"remelt_ash": -1}}], "period 2: remelt_ash is 0 or"),
    ],
)
def test_a_document_that_cannot_be_read_is_refused_with_the_place(document, says):
    with pytest.raises(BadDocument, match=says):
        compute(document)


def test_what_no_sheet_takes_is_still_worked_out():
    juice = {"mixed_juice_brix": 12, "mixed_juice_pol": 15}
    assert value({"measures": juice}, "mixed_juice_purity") == 125
    answer = compute({"measures": {"air_temperature": -5, "cane": 600_000}})
    assert answer["figures"]["cane"]["value"] == 600_000


def unsure(stated: object) -> float:
    given = {"measures": {"cane": 1000}, "uncertainties": {"cane": stated}}
    return compute(given)["figures"]["cane"]["uncertainty"]


# By default 0.5 % random and 0.3 % systematic: of 1000 t, √(5² + 3²) t. What is in tonnes is stated
# whole. A square root rounds within 1e-12.
@pytest.mark.parametrize(
    ("stated", "standard"),
    [
        ({}, 34**0.5),
        ({"random": 0.4}, 5.0),
        ({"systematic": 1.2, "relative": True}, 13.0),
        ({"random": 0, "systematic": 0}, 0.0),
        ({"random": 6, "systematic": "8", "relative": False}, 10.0),
    ],
)
def test_a_part_of_an_uncertainty_that_is_left_out_keeps_its_default(stated, standard):
    assert unsure(stated) == pytest.approx(standard, abs=1e-12)


@pytest.mark.parametrize(
    ("stated", "says"),
    [
        ({"relative": "false"}, "cane relative is true or false"),
        ({"relative": 0}, "cane relative is true or false"),
        ({"random": 5, "relative": False}, "cane takes random and systematic where"),
        ({"random": -1}, "cane random is a number from 0 up"),
        ({"random": ""}, "cane random is a number from 0 up"),
        ({"random": None}, "cane random is a number or a text"),
        ({"systematic": 10**400}, "cane systematic is not a finite number"),
        ({"twice": 1}, "cane takes random, systematic and relative"),
        (5, "cane takes random, systematic and relative"),
    ],
)
def test_an_uncertainty_that_cannot_be_read_is_refused(stated, says):
    with pytest.raises(BadDocument, match=says):
        unsure(stated)


def test_an_uncertainty_of_what_is_no_measure_offers_the_nearest():
    with pytest.raises(BadDocument, match="mixed_juice_pol is one"):
        compute({"measures": {}, "uncertainties": {"mixed_juice_pull": {}}})


def test_a_constant_is_read_with_a_decimal_comma():
    molasses = {"cane": 100, "final_molasses": 4, "final_molasses_brix": 86.5}
    given = {"measures": molasses, "conventions": {"standard_molasses_brix": "86,5"}}
    assert value(given, "final_molasses_on_cane") == pytest.approx(4, abs=1e-12)


def test_tonnes_given_in_place_of_what_they_follow_from_add_to_date():
    given = [{"measures": {"pol_in_cane": 100}}, {"measures": {"pol_in_cane": "120,5"}}]
    assert compute(given)["to_date"]["figures"]["pol_in_cane"]["value"] == 220.5


def test_fibre_by_direct_analysis_serves_where_no_bagasse_was_analysed():
    answer = compute({"measures": {"cane": 1800, "imbibition": 567, "cane_fibre": "14,0"}})
    assert answer["figures"]["imbibition_on_fibre"]["value"] == pytest.approx(225, abs=1e-9, rel=0)
