"""Where the points went, as a page says it; and the flow of pol beside the printed account."""

from dataclasses import replace
from datetime import date

import numpy as np
import pytest
from hypothesis import given

from app.figures import FIGURES
from app.figures.points import ASKED, FACTORS
from app.plant.measures import MEASURES
from app.reports.day import account
from app.reports.points import KINDS, points, side_of, target_side
from app.reports.pol_flow import BOILING, CANE, JUICE, WAYS, pol_flow
from app.reports.season_books import SeasonBooks
from tests.figures.mills import measured, mills, one_mill, several_plausible
from tests.pictures.test_lines import texts
from tests.reports.conftest import LAST_DAY
from tests.reports.mill_in_balance import MONDAY, Shift, Table

EXACT = 1e-8  # tonnes: a dozen operations on numbers of up to some thousands


@pytest.fixture
def season(season):
    """The season with every figure worked out, as other tests ask it for."""
    assert season.books.books
    return season


def books_of(made_of) -> SeasonBooks:
    """The books of a season whose shifts are mills that were made of that."""
    entered = measured(made_of)
    size = len(entered["cane"])
    columns = {name: np.full(size, np.nan) for name in MEASURES} | entered
    return SeasonBooks(Table([Shift(MONDAY, n + 1) for n in range(size)], columns))


def exact(rows, source, target):
    return next(row.tonnes.value for row in rows if (row.source, row.target) == (source, target))


@several_plausible
@given(mills(at_least=2))
def test_the_flow_adds_at_every_place_to_the_account_exactly(made_of):
    books = books_of(made_of)
    flow = pol_flow(books, books.whole())
    for place, whole in (
        (CANE, flow.cane.value),
        (JUICE, exact(flow.rows, CANE, JUICE)),
        (BOILING, exact(flow.rows, JUICE, BOILING)),
    ):
        leaves = sum(row.tonnes.value for row in flow.rows if row.source == place)
        assert leaves == pytest.approx(whole, abs=EXACT)
    ends = sum(row.tonnes.value for row in flow.rows if row.ends)
    assert ends == pytest.approx(flow.cane.value, abs=EXACT)
    assert sum(row.share.value for row in flow.rows if row.ends) == pytest.approx(100, abs=EXACT)


def test_the_flow_prints_the_numbers_of_the_account_and_its_picture_no_others(season):
    books = season.books
    period = books.day(LAST_DAY)
    flow = pol_flow(books, period)
    told = account(books.over(period), books, {})
    printed = {row.title: (row.tonnes.cells[0].text, row.share.cells[0].text) for row in told.rows}
    ours = {row.target: (row.tonnes.text, row.share.text) for row in flow.rows}
    assert printed.items() <= ours.items()
    numbers = {flow.cane.text, "100.00"} | {text for pair in ours.values() for text in pair}
    for svg in (flow.picture.wide, flow.picture.narrow):
        said = [text for text in texts(svg) if any(c.isdigit() for c in text)]
        assert {text.removesuffix(" t lost").removesuffix(" t") for text in said} == numbers


def test_undetermined_below_nothing_is_told_and_drawn_as_what_comes_in():
    books = books_of(one_mill(undetermined=-0.5))
    flow = pol_flow(books, books.whole())
    assert "Undetermined is below nothing" in flow.notes[0]
    assert "too much found" in texts(flow.picture.wide)
    assert exact(flow.rows, BOILING, "Undetermined") < 0


def test_the_flow_of_a_period_that_lacks_a_weight_has_no_picture_and_says_what_lacks():
    books = books_of(one_mill())
    books.measures["sugar"][:] = np.nan
    flow = pol_flow(books, books.whole())
    assert flow.picture is None
    assert "sugar" in next(row.tonnes.missing for row in flow.rows if row.target == "Sugar")


STOOD = date(2026, 9, 9)


def test_of_a_day_on_which_the_mill_stood_the_flow_tells_nothing_that_is_not_so(season):
    books = season.books
    flow = pol_flow(books, books.day(STOOD))
    assert flow.stood
    assert flow.picture is None
    assert (flow.cane.text, flow.whole.text, flow.whole.missing) == (
        "0.00", "", "nothing to divide by",
    )  # fmt: skip
    boiled = next(row for row in flow.rows if row.target == BOILING)
    assert (boiled.tonnes.text, boiled.share.missing) == ("0.00", "nothing to divide by")
    assert not any("below nothing" in note for note in flow.notes)


def test_what_is_not_drawn_is_not_said_to_be():
    books = books_of(one_mill(undetermined=-0.5))
    books.measures["filter_cake"][:] = np.nan
    flow = pol_flow(books, books.whole())
    assert flow.picture is None
    assert not any("drawn" in note for note in flow.notes)


def test_a_mill_that_stood_has_no_points_on_either_side(season):
    books = season.books
    stood = side_of("9 Sep", books, books.day(STOOD), "2026")
    found = points(target_side(season.targets), stood, 0.0)
    assert found.stood == "The mill stood: there is no recovery to judge."
    assert found.lacks == found.parts == ()
    went = side_of("27 Oct", books, books.day(LAST_DAY), "2026")
    assert "The mill stood, 9 Sep" in points(stood, went, 700.0).stood


def test_a_change_that_prints_as_nothing_has_no_direction(season):
    books = season.books
    now = side_of("27 Oct", books, books.day(LAST_DAY), "2026")
    (worst, *_rest) = points(target_side(season.targets), now, 700.0).parts
    assert replace(worst, change=-0.004).marked == replace(worst, change=0.004).marked == "0.00"
    assert replace(worst, change=-0.006).marked == "▼ \u22120.01"


def test_a_day_against_target_says_what_was_lost_and_whether_it_is_real(season):
    books = season.books
    now = side_of("27 Oct", books, books.day(LAST_DAY), "2026")
    found = points(target_side(season.targets), now, 700.0)
    assert [part.name for part in found.parts] == list(FACTORS)
    assert sum(part.change for part in found.parts) == pytest.approx(found.change.change, abs=1e-9)
    assert sum(part.tonnes for part in found.parts) == pytest.approx(found.change.tonnes, abs=1e-9)
    assert found.change.tonnes == pytest.approx(found.change.change * 7, abs=1e-9)
    worst = min(found.parts, key=lambda part: part.change)
    assert f"Most was lost by: {worst.kind.title}" in found.says[1]
    assert found.first.is_real
    assert abs(found.first.change) > 2 * found.first.standard
    assert not any("−" in words for words in found.says)  # "lost" says the sign


def test_a_day_of_which_no_loss_is_real_says_so_before_it_names_the_greatest(season):
    books = season.books
    now = side_of("6 Jul", books, books.day(date(2026, 7, 6)), "2026")
    found = points(target_side(season.targets), now, 700.0)
    assert not any(part.is_real for part in found.parts if part.change < 0)
    assert found.says[1].startswith("No loss is more than measuring error")
    assert found.says[2].startswith("Most was lost by:")


def test_numbers_of_the_waterfall_are_those_of_the_table(season):
    books = season.books
    now = side_of("27 Oct", books, books.day(LAST_DAY), "2026")
    found = points(target_side(season.targets), now, 700.0)
    allowed = {part.marked for part in found.parts} | {found.change.before, found.change.now}
    for svg in (found.picture.wide, found.picture.narrow):
        said = {text for text in texts(svg) if any(c.isdigit() for c in text)} - {"27 Oct"}
        assert said == allowed


@pytest.mark.parametrize("lacks", [name for name in ASKED if name != "undetermined_loss"])
def test_a_factor_without_target_is_named_and_nothing_is_guessed(season, lacks):
    targets = {name: value for name, value in season.targets.items() if name != lacks}
    now = side_of("27 Oct", season.books, season.books.day(LAST_DAY), "2026")
    found = points(target_side(targets), now, 700.0)
    assert found.lacks == (f"Target: {FIGURES[lacks].title} has no target",)
    assert found.parts == ()
    assert found.picture is None


def test_without_a_target_of_undetermined_the_rest_is_not_told_in_two(season):
    targets = {n: v for n, v in season.targets.items() if n != "undetermined_loss"}
    now = side_of("27 Oct", season.books, season.books.day(LAST_DAY), "2026")
    found = points(target_side(targets), now, 700.0)
    assert len(found.parts) == 6
    assert found.of_rest == ()


def test_purities_in_no_order_are_told(season):
    targets = season.targets | {"final_molasses_purity": 90.0}
    now = side_of("27 Oct", season.books, season.books.day(LAST_DAY), "2026")
    (words,) = points(target_side(targets), now, 700.0).lacks
    assert "less pure" in words


def test_a_period_against_itself_lost_nothing(season):
    now = side_of("27 Oct", season.books, season.books.day(LAST_DAY), "2026")
    found = points(now, now, 700.0)
    assert [part.change for part in found.parts] == [0.0] * 6
    assert found.says[0].endswith("the same.")
    assert "Nothing was lost." in found.says


def test_what_to_open_next_is_a_figure():
    assert {name for kind in KINDS.values() for name in kind.opens} <= FIGURES.keys()
    assert {name for way in WAYS for name in (way.tonnes, way.share)} <= FIGURES.keys()
