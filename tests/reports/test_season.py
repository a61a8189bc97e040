"""The demonstration season through its reports: what adds, adds; what follows, follows."""

from datetime import date, timedelta

import numpy as np
import pytest

from app.figures import FIGURES
from app.figures.periods import ADDS
from app.figures.sheets import Period
from app.reports.day import day_report
from app.reports.figure import figure_report
from app.reports.lines import line
from app.reports.table import season_report, week_report
from app.reports.today import yesterday_in_five

from .conftest import LAST_DAY

# Sums of some 450 floats of a few hundred tonnes each; far below the last printed digit.
FLOAT = 1e-6


def weeks(books):
    mondays = sorted({day - timedelta(days=day.weekday()) for day in books.days if day <= LAST_DAY})
    return [books.between(monday, min(monday + timedelta(days=6), LAST_DAY)) for monday in mondays]


def test_totals_over_weeks_equal_sums_over_shifts(season):
    books = season.books
    whole = books.to(LAST_DAY)
    by_week = books.books.over(weeks(books))
    to_date = books.books.over([whole])
    for name in ADDS:
        shifts = books.books.filled[name][whole.first : whole.last].sum()
        if np.isnan(shifts):
            continue  # a measure this mill does not take
        if np.isnan(by_week.values[name]).any():  # a week is withheld
            assert by_week.coverage[name].min() < 0.6, name
            continue
        assert by_week.values[name].sum() == pytest.approx(shifts, abs=FLOAT, rel=0), name
        assert to_date.values[name][0] == pytest.approx(shifts, abs=FLOAT, rel=0), name


def test_changes_of_stock_telescope_over_weeks(season):
    books = season.books
    by_week = books.books.over(weeks(books)).values["change_of_pol_in_stock"]
    whole = books.books.over([books.to(LAST_DAY)]).values
    assert by_week.sum() == pytest.approx(whole["pol_in_stock"][0], abs=FLOAT, rel=0)


def test_the_seasons_account_closes(season):
    books = season.books
    found = {n: v[0] for n, v in books.books.over([books.to(LAST_DAY)]).values.items()}
    places = ("pol_in_sugar", "pol_in_bagasse", "pol_in_filter_cake", "pol_in_final_molasses")
    named = sum(found[place] for place in places)
    assert named + found["undetermined_pol"] == pytest.approx(
        found["pol_in_cane"], abs=FLOAT, rel=0
    )
    # the true undetermined loss of the invented mill is 1.15 per 100 pol; its drifting scale adds
    assert 0.8 < found["undetermined_loss"] < 1.8


def test_the_drifting_scale_shows_as_undetermined_loss(season):
    books = season.books
    before = books.between(date(2026, 8, 1), date(2026, 9, 20))
    drifting = books.between(date(2026, 10, 1), LAST_DAY)
    found = books.books.over([before, drifting]).values["undetermined_loss"]
    assert found[1] > found[0] + 0.4


def test_the_morning_report_gives_day_week_and_season_to_date(season):
    report = day_report(season.books, LAST_DAY, season.targets)
    cane = report.sections[0].lines[0]
    assert cane.name == "cane"
    day, week, to_date = (cell.value for cell in cane.cells)
    assert day < week < to_date
    monday = season.books.day(date(2026, 10, 26))
    both = season.books.books.over([monday]).values["cane"][0] + day
    assert week == pytest.approx(both, abs=FLOAT, rel=0)


def test_the_places_where_pol_went_add_to_a_hundred(season):
    report = day_report(season.books, LAST_DAY, season.targets)
    for column in range(3):
        shares = [row.share.cells[column].value for row in report.account.rows]
        assert sum(shares) == pytest.approx(100, abs=FLOAT, rel=0)


def test_a_target_is_met_on_its_better_side(season):
    books = season.books
    result = books.books.over([books.day(LAST_DAY)])
    extraction = result.values["pol_extraction"][0]
    assert "✓" in line("pol_extraction", result, books, {"pol_extraction": extraction - 1}).verdict
    assert "✗" in line("pol_extraction", result, books, {"pol_extraction": extraction + 1}).verdict
    loss = result.values["bagasse_loss"][0]
    assert "✗" in line("bagasse_loss", result, books, {"bagasse_loss": loss - 1}).verdict


def test_a_season_has_a_row_a_week_and_a_week_a_row_a_day(season):
    report = season_report(season.books, "2026", LAST_DAY, season.targets)
    assert [row.title for row in report.rows][:2] == ["2026-W23", "2026-W24"]
    assert len(report.rows) == len(weeks(season.books))
    monday = date(2026, 10, 19)
    week = week_report(season.books, [monday + timedelta(days=n) for n in range(7)], {})
    assert week.rows[0].title == "Mon 19 Oct"
    assert len(week.rows) == 7


def test_a_total_is_not_the_mean_of_its_rows(season):
    report = season_report(season.books, "2026", LAST_DAY, season.targets)
    assert {h.name: h.unit for h in report.headings} == {
        h.name: FIGURES[h.name].unit for h in report.headings
    }
    column = [heading.name for heading in report.headings].index("pol_extraction")
    rows = [row.cells[column].value for row in report.rows]
    assert report.total.cells[column].value != pytest.approx(sum(rows) / len(rows), abs=1e-9, rel=0)


def test_a_gap_is_said_with_its_shift_and_how_much_was_analysed(season):
    books = season.books
    filled = books.books
    name = "pol_in_bagasse"
    rows = np.flatnonzero(np.isnan(filled.rows[name]) & (filled.filled[name] > 0))
    day = books.days[int(rows[0])]
    report = day_report(books, day, {})
    assert any(gap.measure in ("bagasse_pol", "last_expressed_juice_pol") for gap in report.gaps)
    bagasse = report.account.rows[1].tonnes.cells[0]
    assert "% analysed" in bagasse.coverage
    marks = {shift.mark for shift in figure_report(books, name, books.day(day)).shifts}
    assert "estimated" in marks


@pytest.mark.parametrize("kind", ["shift", "day", "season"])
def test_figures_of_every_kind_of_period_open_to_what_they_are_made_of(season, kind):
    books = season.books
    period = {
        "shift": books.shift(LAST_DAY, 1), "day": books.day(LAST_DAY), "season": books.to(LAST_DAY),
    }[kind]  # fmt: skip
    for name in list(FIGURES)[:: 1 if kind == "day" else 6]:
        report = figure_report(books, name, period)
        assert report.inputs, name
        if report.cell.value is None:
            assert report.lacks or report.cell.missing == "nothing to divide by", name


def test_what_is_weighed_once_a_day_is_not_a_zero_on_an_earlier_shift(season):
    report = figure_report(season.books, "pol_in_final_molasses_weighed", Period(0, 1))
    assert report.cell.value is None
    assert {lack.measure for lack in report.lacks} >= {"final_molasses"}


def test_yesterday_is_told_in_five_numbers(season):
    five = yesterday_in_five(season.books, LAST_DAY, season.targets)
    assert len(five) == 5
    assert all(number.cells[0].value is not None for number in five)


def test_conventions_are_those_in_force_on_the_day(season):
    chosen = {c.name: c for c in season.books.in_force(LAST_DAY)}
    assert chosen["bagasse_weight"].value == "by difference"
    assert chosen["bagasse_weight"].since == date(2026, 6, 1)
    before = {c.name: c for c in season.books.in_force(date(2026, 5, 31))}
    assert before["bagasse_weight"].since is None
