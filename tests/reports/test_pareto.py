"""The largest first: what a Pareto chart has in its table, and what it leaves out of a whole."""

from datetime import UTC, datetime

from app.pictures.pareto import Bar, pareto_chart
from app.reports.pareto import AT_MOST, hours_by, pareto


def told(found):
    return [(row.title, row.amount, row.share, row.together) for row in found.rows]


def test_bars_are_sorted_add_up_and_end_with_what_nobody_named():
    """C-58"""
    found = pareto(
        {"a": ("Mechanical", 20.0), "b": ("No cane", 50.0), "c": ("Untold", 25.0),
         "d": ("Process", 5.0), "e": ("Electrical", 0.0)}, "h", 2, last="c",
    )  # fmt: skip
    assert told(found) == [
        ("No cane", "50.00", "50.0", "50.0"), ("Mechanical", "20.00", "20.0", "70.0"),
        ("Process", "5.00", "5.0", "75.0"), ("Untold", "25.00", "25.0", "100.0"),
    ]  # fmt: skip
    assert found.whole == "100.00"


def test_what_is_smaller_than_ten_others_is_put_together_last():
    found = pareto({f"{n}": (f"Machine {n}", float(n)) for n in range(1, 15)}, "h", 1)
    assert len(found.rows) == AT_MOST
    assert told(found)[0][:2] == ("Machine 14", "14.0")
    assert told(found)[-1][:2] == ("Others", "15.0")
    assert found.whole == "105.0"


def test_what_is_below_zero_is_no_part_of_a_whole():
    found = pareto({"a": ("Bagasse", 60.0), "b": ("Undetermined", -12.3), "c": ("Cake", None)},
                   "t", 1)  # fmt: skip
    assert told(found) == [("Bagasse", "60.0", "100.0", "100.0")]
    assert [(row.title, row.amount) for row in found.below] == [("Undetermined", "−12.3")]
    assert found.lacking == ("Cake",)


def test_nothing_makes_no_picture():
    assert pareto({"a": ("Bagasse", 0.0)}, "t", 1).picture is None


def test_the_bars_of_the_picture_begin_at_zero():
    """C-58: the axis holds zero though every bar is long."""
    svg = pareto_chart([Bar("a", 910, 50.3), Bar("b", 900, 100)], "h", "together, %").wide
    assert ">0</text>" in svg
    assert ">0,</text>" not in svg


def test_stops_of_the_book_that_stopped_crushing_count_by_station_and_machine():
    def stop(begins, ends, crushing="stopped", **more):
        at = {
            n: datetime(2026, 6, 3, h, tzinfo=UTC) for n, h in (("begins", begins), ("ends", ends))
        }
        lasted = float(ends - begins)
        return {**at, "hours": lasted, "counted": lasted, "crushing": crushing,
                "cause": "mechanical_stop", **more}  # fmt: skip

    records = [
        stop(6, 8, station="milling", place="mill 2"),
        stop(8, 9, station="milling", place="mill 2"),
        stop(10, 11), stop(10, 11, place="mill 2", counted=0.0),
        stop(12, 16, crushing="slowed", station="milling", place="mill 1"),
    ]  # fmt: skip
    assert told(hours_by(records, "station")) == [
        ("Milling", "3.00", "75.0", "75.0"), ("Not said", "1.00", "25.0", "100.0"),
    ]  # fmt: skip
    assert [row[:2] for row in told(hours_by(records, "place"))] == [
        ("mill 2", "3.00"), ("Not said", "1.00"),
    ]  # fmt: skip
