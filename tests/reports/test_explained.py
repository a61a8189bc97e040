"""A figure explained: how sure it is, whether a loss is real, and down to the samples."""

from collections.abc import Iterator
from datetime import date

import pytest

from app.figures import FIGURES
from app.reports.behind import Node
from app.reports.day import day_report
from app.reports.figure import figure_report
from app.reports.numbers import plus_minus
from app.reports.season_books import SeasonBooks
from tests.reports.conftest import LAST_DAY, DemoSeason
from tests.reports.test_one_day import DAY, Table, table

__all__ = ["table"]  # the day made by hand


def doubts(table: Table, **exact: float) -> tuple[str, ...]:
    stated = [
        (measure, random, 0.0, True, date(2026, 7, 1), "tried") for measure, random in exact.items()
    ]
    return day_report(SeasonBooks(table, (), stated), DAY, {}).account.doubts


# By hand: 671.6 t of pol in juice, 3.0 t in cake, 57.0 t in molasses; 3 × 206 t of sugar of 98.9 %
# leave 0.3 t undetermined, 3 × 170 t leave 107 t.
def test_a_loss_within_its_uncertainty_is_not_called_real(table):
    of_day, *_ = doubts(table.with_(sugar=206))
    assert "not significant, measuring alone explains it" in of_day
    assert "±" in of_day


def test_a_loss_beyond_its_uncertainty_is_called_real(table):
    of_day, *_ = doubts(table.with_(sugar=170))
    assert "significant, more than measuring explains" in of_day
    assert "not significant" not in of_day


def test_a_gain_beyond_its_uncertainty_is_a_wrong_measurement(table):
    of_day, *_ = doubts(table.with_(sugar=230))
    assert of_day.startswith("−")
    assert "a weight or analysis is wrong" in of_day


def test_a_mill_that_measures_worse_finds_less_significant(table):
    sure, *_ = doubts(table.with_(sugar=200))
    unsure, *_ = doubts(table.with_(sugar=200), mixed_juice=5.0)
    assert ": significant" in sure
    assert "not significant" in unsure


def leaves(nodes: tuple[Node, ...]) -> Iterator[Node]:
    for node in nodes:
        yield from leaves(node.inputs) if node.inputs else (node,)


def opened(table: Table, name: str):
    books = SeasonBooks(table)
    return figure_report(books, name, books.day(DAY))


def test_the_tree_of_a_loss_goes_down_to_what_was_entered(table):
    tree = opened(table, "bagasse_loss").tree
    entered = {leaf.entered for leaf in leaves(tree) if leaf.entered}
    assert entered == {
        "cane", "imbibition", "mixed_juice", "bagasse_pol", "mixed_juice_pol",
    }  # fmt: skip
    assert all(leaf.sheets == "entered on 3 of 3 sheets" for leaf in leaves(tree) if leaf.entered)


def test_parts_of_the_doubt_are_named_and_make_the_whole(table):
    report = opened(table, "pol_extraction")
    assert report.doubt.startswith("±")
    assert report.budget[0].title == "Bagasse, pol"
    assert 98 <= sum(int(part.share) for part in report.budget) <= 102


def test_a_result_of_readings_shows_them(table):
    table.without("mixed_juice_pol", 1, 2, 3)
    table.with_(mixed_juice_polarimeter_reading=49.4)
    report = opened(table, "pol_in_mixed_juice")
    titles = {result.title for shift in report.shifts for result in shift.results}
    assert "Mixed juice, polarimeter" in titles
    assert report.cell.value == pytest.approx(3 * 1850 * 12.17 / 100, rel=0.002)
    shift = figure_report(
        SeasonBooks(table), "pol_in_mixed_juice", SeasonBooks(table).shift(DAY, 1)
    )
    (pol,) = [node for node in shift.inputs if node.entered == "mixed_juice_pol"]
    assert pol.formula == "26 × reading ÷ (99.718 × specific gravity)"
    assert {node.entered for node in pol.inputs} == {
        "mixed_juice_polarimeter_reading", "mixed_juice_brix",
    }  # fmt: skip


def test_an_input_out_of_range_is_named(table):
    table.with_(final_molasses_reducing_sugars=10, final_molasses_ash=0.05)
    report = opened(table, "final_molasses_target_purity")
    assert report.cell.value is None
    assert not report.lacks
    assert "this holds from 0.01 to 100" in report.out_of_range


def test_every_figure_with_a_value_has_a_doubt_or_is_exact(season):
    books = season.books
    day = books.day(date(2026, 10, 27))
    books.need(FIGURES)
    result = books.over(day)
    for name in FIGURES:
        standard = result.certainty.standard(name)
        assert standard >= 0 or result.values[name][0] != result.values[name][0], name


@pytest.mark.parametrize(
    ("standard", "decimals", "text"),
    [(0.153, 2, "0.31"), (0.0004, 2, "0.001"), (1234.5, 1, "2469.0"), (0.0, 2, "")],
)
def test_a_doubt_is_printed_like_its_figure_and_never_as_nothing(standard, decimals, text):
    assert plus_minus(standard, decimals).removeprefix("±\u00a0") == text


def test_what_a_book_gave_is_not_called_entered(season: DemoSeason):
    books = season.books
    report = figure_report(books, "cane_received", books.day(LAST_DAY))
    (received,) = report.inputs
    assert received.sheets == "from the book Cane consignments on 3 of 3 sheets"
    assert [result.book for shift in report.shifts for result in shift.results] == [
        "Cane consignments"
    ] * 3


def test_of_hundreds_of_sheets_that_lack_a_figure_ten_are_shown(season: DemoSeason):
    books = season.books
    report = figure_report(books, "cane_received", books.to(LAST_DAY))
    assert len(report.shifts) > 400
    assert sum(shift.lacks for shift in report.shown) == 10
    assert [s for s in report.shown if not s.lacks] == [
        s for s in report.shifts[::-1] if not s.lacks
    ]
