"""A day of three shifts, made by hand, in reports: what was taken, what lacks, what cannot be."""

from dataclasses import dataclass, field
from datetime import date

import numpy as np
import pytest

from app.plant.measures import MEASURES
from app.reports.day import day_report
from app.reports.figure import figure_report
from app.reports.gaps import gaps
from app.reports.lines import line
from app.reports.season_books import SeasonBooks

DAY = date(2026, 7, 14)

EACH_SHIFT = {
    "cane": 1800, "crushing_hours": 7.5, "imbibition": 560, "mixed_juice": 1850,
    "mixed_juice_brix": 14.2, "mixed_juice_pol": 12.1, "bagasse_pol": 1.7, "bagasse_moisture": 50.5,
    "last_expressed_juice_brix": 4, "last_expressed_juice_pol": 2.84, "filter_cake": 63,
    "filter_cake_pol": 1.6, "sugar": 195, "sugar_pol": 98.9, "sugar_moisture": 0.25,
}  # fmt: skip
ONCE_A_DAY = {"final_molasses": 190, "final_molasses_brix": 84, "final_molasses_pol": 30}


@dataclass(frozen=True)
class Shift:
    day: date
    number: int


@dataclass
class Table:
    """Three shifts of two days: the day before is there so that the day is not the first."""

    shifts: list[Shift]
    measures: dict[str, np.ndarray]
    states: dict = field(default_factory=dict)
    corrected: frozenset = frozenset()
    shares: dict = field(default_factory=dict)
    booked: frozenset = frozenset()

    def without(self, measure: str, *numbers: int) -> "Table":
        for number in numbers:
            self.measures[measure][number + 2] = np.nan
        return self

    def with_(self, **values: float) -> "Table":
        for measure, value in values.items():
            self.measures[measure][3:] = value
        return self


@pytest.fixture
def table() -> Table:
    days = [date(2026, 7, 13)] * 3 + [DAY] * 3
    measures = {name: np.full(6, np.nan) for name in (*MEASURES, "gross_hours")}
    for name, value in EACH_SHIFT.items():
        measures[name][:] = value
    for name, value in ONCE_A_DAY.items():
        measures[name][[2, 5]] = value
    measures["gross_hours"][:] = 8
    return Table([Shift(day, n % 3 + 1) for n, day in enumerate(days)], measures)


def opened(table: Table, name: str, **chosen: str):
    books = SeasonBooks(table, [(n, v, date(2026, 6, 1), "tried") for n, v in chosen.items()])
    return figure_report(books, name, books.day(DAY))


def test_bagasse_by_difference_shows_the_difference(table):
    assert opened(table, "bagasse").formula == "cane + imbibition - mixed juice weighed"


def test_bagasse_weighed_shows_that_it_was_weighed(table):
    report = opened(table.with_(bagasse=520), "bagasse")
    assert report.formula == "as weighed"
    assert report.cell.value == 3 * 520


def test_a_measured_brix_of_bagasse_goes_before_the_purity_left_in_it(table):
    assert opened(table, "brix_in_bagasse").formula.startswith("100 × pol in bagasse")
    report = opened(table.with_(bagasse_brix=2.5), "brix_in_bagasse")
    assert report.formula == "bagasse × brix ÷ 100"


def test_a_purity_typed_alone_is_shown_as_such(table):
    for prop in ("brix", "pol"):
        table.without(f"last_expressed_juice_{prop}", 1, 2, 3)
    report = opened(table.with_(last_expressed_juice_purity=70), "last_expressed_juice_purity")
    assert report.formula == "mean by cane"
    assert report.cell.value == pytest.approx(70, abs=1e-9, rel=0)


def test_the_sheets_behind_a_figure_give_every_result_it_uses_and_no_other(table):
    table.corrected = frozenset({(3, "mixed_juice_suspended_solids")})
    report = opened(
        table.with_(mixed_juice_suspended_solids=0.5),
        "pol_in_mixed_juice",
        suspended_solids="counted as fibre",
    )
    first = report.shifts[0]
    assert {r.measure for r in first.results} == {
        "mixed_juice", "mixed_juice_suspended_solids", "mixed_juice_pol",
    }  # fmt: skip
    assert {r.measure for r in first.results if r.corrected} == {"mixed_juice_suspended_solids"}


def test_one_analysis_of_three_that_lacks_is_estimated_and_said(table):
    books = SeasonBooks(table.without("filter_cake_pol", 2))
    report = day_report(books, DAY, {})
    cake = report.account.rows[2].tonnes.cells[0]
    assert cake.value == pytest.approx(3 * 63 * 0.016, abs=1e-9, rel=0)
    assert cake.coverage == "66.6 % analysed"  # two thirds, never rounded up
    assert [gap.measure for gap in report.gaps] == ["filter_cake_pol"]


def test_two_analyses_of_three_that_lack_withhold_the_figure_and_say_so(table):
    books = SeasonBooks(table.without("filter_cake_pol", 1, 2))
    cake = day_report(books, DAY, {}).account.rows[2].tonnes.cells[0]
    assert cake.value is None
    assert cake.missing == "withheld, too little analysed: filter cake, pol (2 shifts)"


def test_what_is_weighed_once_a_day_lacks_on_its_last_shift(table):
    found = gaps(SeasonBooks(table.without("final_molasses", 3)), SeasonBooks(table).day(DAY))
    assert [(gap.measure, gap.number, gap.weight) for gap in found] == [("final_molasses", 3, True)]


def test_sugar_bagged_while_the_mill_stood_still_owes_its_analysis(table):
    table.measures["cane"][4] = 0
    books = SeasonBooks(table.without("sugar_pol", 2).without("bagasse_pol", 2))
    table.measures["imbibition"][4] = table.measures["mixed_juice"][4] = 0
    assert [gap.measure for gap in gaps(books, books.day(DAY))] == ["sugar_pol"]


def test_below_detection_is_no_gap_and_is_printed_in_words(table):
    table.measures["feed_water_sugar_trace"][:3] = 4
    table.states = {(row, "feed_water_sugar_trace"): "below detection" for row in (3, 4, 5)}
    report = day_report(SeasonBooks(table), DAY, {})
    assert "feed_water_sugar_trace" not in [gap.measure for gap in report.gaps]
    (trace,) = [x for x in report.analyses.lines if x.name == "feed_water_sugar_trace"]
    assert trace.cells[0].missing == "below detection"


def test_a_mean_that_opens_prints_the_figure_that_it_opens(table):
    """Also where the mean estimates an analysis that lacks."""
    table.measures["a_massecuite"] = np.array([300.0, 100, 200] * 2)
    table.measures["a_massecuite_brix"] = np.array([92.0, 93, np.nan] * 2)
    books = SeasonBooks(table)
    opening = [line for line in day_report(books, DAY, {}).analyses.lines if line.opens]
    assert len(opening) > 20
    for mean in opening:
        assert mean.cells[0] == figure_report(books, mean.name, books.day(DAY)).cell


def test_a_share_above_a_hundred_is_told_as_impossible(table):
    books = SeasonBooks(table.with_(cane=145))
    result = books.books.over([books.day(DAY)])
    assert line("pol_extraction", result, books).impossible
    assert line("pol_in_bagasse", result, books).impossible
    assert not line("mixed_juice_purity", result, books).impossible


def test_what_measuring_alone_explains_is_not_told_as_impossible(table):
    books = SeasonBooks(table.with_(cane=1288))  # 2 t of bagasse a shift less than nothing
    result = books.books.over([books.day(DAY)])
    found = line("pol_in_bagasse", result, books)
    assert found.cells[0].value < 0
    assert not found.impossible


def test_sugar_counted_below_the_books_is_a_difference_like_any_other(table):
    table.measures["sugar_in_store"][[2, 5]] = 1000, 900
    table.measures["sugar_dispatched"][:] = 0
    books = SeasonBooks(table)
    found = line("sugar_store_difference", books.books.over([books.day(DAY)]), books)
    assert found.cells[0].value < -100
    assert not found.impossible


def test_a_negative_undetermined_loss_is_never_praised(table):
    books = SeasonBooks(table.with_(sugar=260))
    result = books.books.over([books.day(DAY)])
    found = line("undetermined_loss", result, books, {"undetermined_loss": 1.3})
    assert found.cells[0].value < 0
    assert found.verdict == "below zero: a fault of measuring"


def test_fibre_adds_over_a_change_of_convention(table):
    table.measures["mixed_juice_suspended_solids"][:] = 0.5
    books = SeasonBooks(table, [("suspended_solids", "counted as fibre", DAY, "tried")])
    days = [books.day(date(2026, 7, 13)), books.day(DAY), books.whole()]
    fibre = books.books.over(days).values["fibre_in_cane"]
    assert fibre[2] == pytest.approx(fibre[0] + fibre[1], abs=1e-9, rel=0)


# By hand: bagasse of a run-out, 30 t with 1.7 % pol, has the purity of the day, 71: 0.718 t brix.
def test_a_run_out_without_cane_keeps_the_days_purity(table):
    for name, value in {"cane": 0, "imbibition": 60, "mixed_juice": 30}.items():
        table.measures[name][4] = value
    for prop in ("brix", "pol"):
        table.without(f"last_expressed_juice_{prop}", 2)
    books = SeasonBooks(table)
    assert books.books.filled["brix_in_bagasse"][4] == pytest.approx(30 * 1.7 / 71, abs=1e-9, rel=0)
