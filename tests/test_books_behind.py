"""Books of which only what some figures follow from was read say of those what all books say."""

import numpy as np
import pytest

from app.database import open_database
from app.exports.books import books_behind, books_of, measures_behind
from app.figures.closing import FIGURES_ASKED
from app.figures.points import ASKED
from app.ledger import mills
from tests.served import demo_database


@pytest.fixture(scope="module")
def reading(tmp_path_factory):
    engine = open_database(f"sqlite:///{demo_database(tmp_path_factory.mktemp('behind'))}")
    with engine.connect() as connection:
        yield connection
    engine.dispose()


@pytest.fixture(scope="module")
def whole(reading):
    mill = mills.the_mill(reading)
    return books_of(reading, mill, mills.seasons(reading, mill)[0])


def behind(reading, names):
    mill = mills.the_mill(reading)
    return books_behind(reading, mill, mills.seasons(reading, mill)[0], names)


@pytest.mark.parametrize("names", [ASKED, FIGURES_ASKED], ids=["points", "balance"])
def test_figures_and_their_errors_are_those_of_all_books(reading, whole, names):
    some = behind(reading, names)
    whole.need(names)
    for day in ("2026-06-01", "2026-08-20", "2026-10-27"):
        period = whole.day(np.datetime64(day).item())
        first, second = some.over(period), whole.over(period)
        for name in names:
            assert np.array_equal(first.values[name], second.values[name], equal_nan=True), name
            sure = [result.certainty.standard(name) for result in (first, second)]
            assert sure[0] == pytest.approx(sure[1], rel=1e-12, nan_ok=True), name
    season = some.whole()
    for name in names:
        first, second = (books.over(season).values[name] for books in (some, whole))
        assert np.array_equal(first, second, equal_nan=True), name


def test_fewer_measures_are_read_and_no_other_figure_can_be_asked_for(reading, whole):
    some = behind(reading, ASKED)
    read = measures_behind(ASKED)
    assert np.isfinite(whole.measures["syrup_brix"]).any()
    assert "syrup_brix" not in read
    assert np.isnan(some.measures["syrup_brix"]).all()
    with pytest.raises(KeyError, match="java_ratio"):
        some.need(["java_ratio"])
