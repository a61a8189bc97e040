"""What headings of a table say: units that are another's, two rows of them, two of one measure."""

import pytest

from app.imports.columns import SHEET, guess, heading_row, headings_of, recognised


@pytest.mark.parametrize(
    "heading", ["Cane", "Cane (t)", "Cane t", "Cane, tonnes", "Cane (crushed)", "CANE [T]"]
)
def test_a_heading_with_the_unit_of_its_measure_or_none_is_recognised(heading):
    assert recognised([heading], SHEET) == ({0: "cane"}, {})


@pytest.mark.parametrize(
    ("heading", "words"),
    [
        ("Cane (kg)", "Its heading says kg; Cane crushed is in t"),
        ("Cane, lb", "Its heading says lb; Cane crushed is in t"),
        ("Mixed juice, temperature (°F)",
         "Its heading says °F; Mixed juice, temperature is in °C"),
        ("Power generated (kWh)", "Its heading says kWh; Power generated is in MWh"),
        ("Imbibition water m3", "Its heading says m3; Imbibition water is in t"),
    ],
)  # fmt: skip
def test_a_heading_with_another_unit_is_left_blank_and_says_so(heading, words):
    assert recognised([heading], SHEET) == ({}, {0: words})


def test_one_unit_may_be_written_several_ways():
    headings = ["mixed_juice_brix (%)", "Mixed juice, temperature (ºC)", "filter_cake tonnes"]
    of, notes = recognised(headings, SHEET)
    assert len(of) == 3
    assert not notes


def test_the_second_column_of_one_measure_says_which_is_the_first():
    of, notes = recognised(["Day", "Cane", "Cane crushed"], SHEET)
    assert of == {0: "day", 1: "cane"}
    assert notes == {2: "Column B is Cane crushed already"}


def test_of_two_rows_of_headings_the_upper_names_the_stream_of_each_below_it():
    rows = [
        (1, ["Día", "Turno", "Caña molida", "Bagazo", "", "Jugo mezclado"]),
        (2, ["", "", "t", "Pol", "Humedad", "Brix"]),
        (3, ["2026-06-01", "1", "1250", "2.1", "50", "14.2"]),
    ]
    assert heading_row(rows) == 1
    assert guess(headings_of(rows, 1), SHEET) == {
        0: "day", 1: "shift", 2: "cane", 3: "bagasse_pol", 4: "bagasse_moisture",
        5: "mixed_juice_brix",
    }  # fmt: skip


def test_a_title_above_the_headings_is_no_part_of_them():
    rows = [(1, ["Season 2026"]), (3, ["Day", "Cane"]), (4, ["2026-06-01", "1250"])]
    assert heading_row(rows) == 1
    assert headings_of(rows, 1) == ["Day", "Cane"]
