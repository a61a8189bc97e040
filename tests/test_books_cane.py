"""The book of consignments: what loads weigh, what they give, and what is said of growers."""

from datetime import UTC, datetime

import pytest

from app.plant.books import BOOKS
from app.plant.books.giving import giving, with_worked
from app.plant.books.reading import Span, read_record
from app.reports.growers import growers_report, mean_by_net, missing_tickets

BOOK = BOOKS["consignments"]
SHIFT = Span("UTC", datetime(2026, 6, 3, 6, tzinfo=UTC), datetime(2026, 6, 3, 14, tzinfo=UTC))
LOAD = {"ticket": "401", "weighed": "07:10", "grower": "G1", "gross": "40.5", "tare": "12.5"}


def read(typed):
    values, wrong = read_record(BOOK, typed, SHIFT)
    return with_worked(BOOK, values, {}), wrong


def given_by(*loads):
    return giving(BOOK, [read(LOAD | load)[0] for load in loads])


def test_a_load_weighs_what_it_lost_between_gross_and_tare():
    values, wrong = read(LOAD | {"juice_pol": "16", "juice_brix": "20", "extraneous_matter": "5"})
    assert not wrong
    assert values["net"] == 28.0
    assert values["purity"] == 80.0
    assert values["trash"] == pytest.approx(1.4)


@pytest.mark.parametrize(("tare", "how"), [("40.5", "as much empty as"), ("41", "more empty than")])
def test_a_vehicle_that_weighs_as_much_empty_as_full_or_more_is_refused_at_its_tare(tare, how):
    assert read(LOAD | {"tare": tare})[1] == {
        "tare": f"The vehicle weighs {how} full: see gross and tare"
    }


def test_a_vehicle_still_in_the_yard_has_no_net_and_the_shift_no_sum_yet():
    values, wrong = read(LOAD | {"tare": ""})
    assert not wrong
    assert "net" not in values
    made = given_by({}, {"ticket": "402", "tare": ""})
    assert made.lacking == {"cane_received": (1,)}
    assert "cane_received" not in made.given


# 28 t of 14 and 12 t of 16 % fibre: 5.84 t of fibre in 40 t.
def test_quality_of_a_shift_is_the_mean_of_its_loads_by_net_weight():
    heavy, light = {"fibre": "14"}, {"gross": "24.5", "fibre": "16", "pol": "12"}
    made = given_by(heavy, light, {"ticket": "403"}).given
    assert made["cane_received"].value == 68.0
    assert made["cane_received_fibre"].value == pytest.approx(14.6)
    assert made["cane_received_fibre"].count == 2
    assert made["cane_received_pol"].value == 12.0
    assert "consignment_juice_pol" not in made


def test_a_grower_is_told_loads_tonnes_and_means_of_what_was_sampled():
    """Tonnes recoverable are the mean of sampled loads on all tonnes, none where one lacks."""
    loads = [
        {"ticket": "1", "grower": "g2", "net": 30.0, "fibre": 14.0, "recoverable": 12.0},
        {"ticket": "2", "grower": "G2 ", "net": 10.0, "fibre": 16.0, "recoverable": 10.0},
        {"ticket": "4", "grower": "G2", "net": 20.0},
        {"ticket": "9", "grower": "G1"},
    ]
    report = growers_report(loads)
    first, second = report.growers
    assert (first.code, first.loads, first.net, first.recoverable) == ("G1", 1, "", "")
    assert (second.code, second.loads, second.sampled, second.net) == ("G2", 3, 2, "60.00")
    assert second.means[0] == "14.50"
    assert second.recoverable == "6.90"
    assert (report.whole.loads, report.whole.net) == (4, "")
    assert report.missing == ("3", "5 – 8")
    assert report.is_valued


def test_a_mean_is_of_the_loads_that_have_both_weight_and_analysis():
    assert mean_by_net([{"net": 10.0, "fibre": 14.0}, {"fibre": 20.0}], "fibre") == 14.0
    assert mean_by_net([{"fibre": 20.0}], "fibre") is None


def test_tickets_that_are_no_numbers_have_no_sequence():
    assert missing_tickets(["A1", "A3"]) == []
    assert missing_tickets(["0101", "0103", "0104"]) == ["102"]
    assert missing_tickets([]) == []
