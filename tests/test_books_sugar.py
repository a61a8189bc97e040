"""The books of sugar: lots and their tonnes, loads and where they went, and the certificate."""

from datetime import UTC, datetime

import pytest

from app.figures.uncertainties import default_uncertainty
from app.plant.books import BOOKS
from app.plant.books.giving import giving, with_worked
from app.plant.books.reading import Span, read_record
from app.plant.books.sugar import ANALYSES
from app.plant.measures import MEASURES
from app.reports.certificate import certificate
from app.reports.sugar_lots import dispatch_report

BAGGING, DISPATCH = BOOKS["bagging"], BOOKS["dispatch"]
SHIFT = Span("UTC", datetime(2026, 6, 3, 6, tzinfo=UTC), datetime(2026, 6, 3, 14, tzinfo=UTC))
LOT = {"lot": "L1", "ended": "08:00", "bags": "1000", "bag_mass": "50"}


def read(book, typed):
    values, wrong = read_record(book, typed, SHIFT)
    assert not wrong
    return with_worked(book, values, {})


@pytest.mark.parametrize(
    ("typed", "tonnes"),
    [
        ({}, 50.0),
        ({"bulk": "12.5"}, 62.5),
        ({"bags": "", "bag_mass": "", "bulk": "12.5"}, 12.5),
        ({"bags": "0", "bag_mass": "", "bulk": "12.5"}, 12.5),
        ({"bag_mass": "", "bulk": "12.5"}, None),  # bags of no known mass
        ({"bags": "", "bag_mass": ""}, None),
    ],
)
def test_a_lot_weighs_its_bags_and_what_went_loose(typed, tonnes):
    assert read(BAGGING, LOT | typed).get("tonnes") == tonnes


# 50 t of 99 and 150 t of 98 pol hold 196.5 t of pol in 200 t.
def test_the_sugar_of_a_shift_is_the_sum_of_its_lots_and_their_mean_by_tonnes():
    lots = [
        read(BAGGING, LOT | {"pol": "99", "colour": "1500"}),
        read(BAGGING, LOT | {"lot": "L2", "bags": "3000", "pol": "98"}),
    ]
    made = giving(BAGGING, lots).given
    assert made["sugar"].value == 200.0
    assert made["sugar_pol"].value == pytest.approx(98.25)
    assert made["sugar_colour"].value == 1500.0
    assert "sugar_moisture" not in made


def test_a_lot_of_unknown_mass_leaves_the_sugar_of_its_shift_unsaid():
    lots = [read(BAGGING, LOT), read(BAGGING, LOT | {"lot": "L2", "bag_mass": ""})]
    assert giving(BAGGING, lots).lacking == {"sugar": (1,)}


def test_an_analysis_of_a_lot_is_printed_as_the_sheet_prints_it():
    for field in ANALYSES:
        measure = MEASURES[f"sugar_{field.name}"]
        assert (field.unit, field.decimals, field.hard) == (
            measure.unit, measure.decimals, measure.hard,
        ), field.name  # fmt: skip


def test_loads_are_summed_by_customer_and_by_lot():
    load = {"ticket": "7", "left": "09:00", "lot": "L1", "customer": "K1", "tonnes": "30"}
    loads = [
        read(DISPATCH, load | {"certificate": "yes"}),
        read(DISPATCH, load | {"ticket": "8", "customer": "K2", "tonnes": "28.5"}),
        read(DISPATCH, load | {"ticket": "9", "lot": "L2", "tonnes": ""}),
    ]
    assert giving(DISPATCH, loads).lacking == {"sugar_dispatched": (2,)}
    assert giving(DISPATCH, loads[:2]).given["sugar_dispatched"].value == 58.5
    report = dispatch_report(loads)
    assert [(p.title, p.loads, p.tonnes, p.certified) for p in report.customers] == [
        ("K1", 2, "", 1), ("K2", 1, "28.50", 0),
    ]  # fmt: skip
    assert [(p.title, p.tonnes) for p in report.lots] == [("L1", "58.50"), ("L2", "")]


# By default r and R together are R: of pol 0.27 ÷ 2.8 × 2 = 0.19, of colour 320 IU at 1850, so
# 320 ÷ 1850 × 1700 ÷ 2.8 × 2 = 210.
def test_a_certificate_says_what_was_analysed_how_surely_and_what_was_not():
    values = read(BAGGING, LOT | {"pol": "98.9", "colour": "1700"})
    known = {f"sugar_{each.name}": default_uncertainty(f"sugar_{each.name}") for each in ANALYSES}
    found = certificate(values, known)
    assert (found.lot, found.tonnes, found.packed, found.loose) == (
        "L1", "50.000", ("1000", "50.00"), "",
    )  # fmt: skip
    assert [(each.title, each.value, each.doubt) for each in found.analysed] == [
        ("Pol", "98.90", "±\N{NO-BREAK SPACE}0.19"), ("Colour", "1700", "±\N{NO-BREAK SPACE}210"),
    ]  # fmt: skip
    assert found.not_analysed == (
        "Moisture", "Ash", "Reducing sugars", "Mean aperture", "Temperature",
    )  # fmt: skip
