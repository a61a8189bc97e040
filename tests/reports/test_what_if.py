"""What if, as a page says it: the account's own numbers, each wish beside them, and refusals."""

from datetime import date

import numpy as np
import pytest
from hypothesis import given

from app.figures import FIGURES
from app.reports.numbers import printed
from app.reports.what_if import what_if
from app.reports.wishes import BOXES, CURRENCY, FIELDS, OTHERS, PRICE, stated_price
from tests.figures.mills import mills, one_mill, several_plausible
from tests.reports.conftest import LAST_DAY
from tests.reports.test_points import books_of

NOTHING = dict.fromkeys(FIELDS, "")


@pytest.fixture
def season(season):
    """The season with every figure worked out, as other tests ask it for."""
    assert season.books.books
    return season


def asked(books, period=None, **typed):
    return what_if(books, period or books.whole(), NOTHING | typed)


def row_of(page, name):
    return next(row for row in page.rows if row.name == name)


def value(text):
    """A number as it was printed, back again."""
    return float(text.replace("\u202f", "").replace("\u2212", "-"))


@several_plausible
@given(mills())
def test_with_nothing_typed_the_page_prints_the_accounts_own_numbers(made_of):
    books = books_of(made_of)
    page = asked(books)
    assert not page.lacks
    result = books.over(books.whole())
    for row in page.rows:
        own = printed(float(result.values[row.name][0]), FIGURES[row.name].decimals)
        assert (row.real, row.would_be) == (own, own)
        assert value(row.difference) == 0
    assert page.says == ()


def test_on_a_day_on_which_the_mill_stood_there_is_nothing_to_try(season):
    page = asked(season.books, season.books.day(date(2026, 9, 9)))
    assert page.stood == "The mill stood: there is nothing to try here."
    assert page.lacks == ()


@pytest.mark.parametrize("of", ["day", "week_to", "to"])
def test_so_it_does_with_stock_in_the_account(season, of):
    books = season.books
    page = asked(books, getattr(books, of)(LAST_DAY))
    assert [row.real for row in page.rows] == [row.would_be for row in page.rows]
    assert row_of(page, "sugar_made_and_estimated").real


def test_a_wish_is_told_in_sugar_and_money_with_how_sure_it_is(season):
    books = season.books
    page = asked(
        books, books.day(LAST_DAY), final_molasses_purity="34.5", price="500", currency="USD"
    )
    sugar, recovery = row_of(page, "sugar_made_and_estimated"), row_of(page, "overall_recovery")
    assert value(sugar.difference) > 0
    assert value(sugar.would_be) == pytest.approx(
        value(sugar.real) + value(sugar.difference), abs=0.11
    )
    money = page.rows[2]
    assert (money.title, money.unit) == ("Money for sugar", "USD")
    assert value(money.difference) == pytest.approx(500 * value(sugar.difference), abs=26)
    assert value(money.real) == pytest.approx(500 * value(sugar.real), abs=26)
    assert sugar.plus_minus.startswith("±")
    more = sugar.difference.removeprefix("+")
    assert page.says[0] == (
        f"{more} t more sugar; overall recovery {recovery.would_be} instead of {recovery.real}."
    )
    assert page.says[1] == f"That is {money.difference.removeprefix('+')} USD."
    assert page.says[2].startswith(f"{sugar.plus_minus} t: ")


def test_what_measuring_alone_may_explain_is_said(season):
    books = season.books
    near = books.over(books.day(LAST_DAY)).values["pol_extraction"][0] + 0.01
    page = asked(books, books.day(LAST_DAY), pol_extraction=f"{near:.3f}")
    assert page.says[-1].endswith("measuring error alone may explain it.")
    far = asked(books, books.day(LAST_DAY), pol_extraction="99.5")
    assert far.says[-1].endswith("more than measuring error.")


def test_less_sugar_is_called_less(season):
    page = asked(season.books, season.books.to(LAST_DAY), undetermined_loss="9", price="0.5")
    assert "t less sugar" in page.says[0]
    assert "\u2212" not in "".join(page.says)


@pytest.mark.parametrize("box", BOXES, ids=lambda box: box.name)
def test_a_step_is_worth_what_the_page_gives_when_it_is_typed(season, box):
    books, period = season.books, season.books.day(date(2026, 8, 20))
    found = asked(books, period, price="500").steps
    step = next(row for row in found if row.box.name == box.name)
    stands = float(books.over(period).values[box.name][0])
    typed = asked(books, period, **{box.name: f"{stands + box.step:.12f}"})
    assert step.points == row_of(typed, "overall_recovery").difference
    assert step.pol == row_of(typed, "pol_in_sugar").difference
    assert typed.shares == {box.name: step.points}
    assert value(step.money) == pytest.approx(500 * value(step.sugar), abs=3)


def test_a_step_that_cannot_be_taken_says_nothing():
    page = asked(books_of(one_mill(undetermined=0.0)))
    step = next(row for row in page.steps if row.box.name == "undetermined_loss")
    assert (step.points, step.sugar) == ("", "")


def test_the_points_of_several_wishes_add_to_the_difference(season):
    books = season.books
    page = asked(books, books.to(LAST_DAY), pol_extraction="97", final_molasses_purity="34",
                 mixed_juice_purity="85", undetermined_loss="1")  # fmt: skip
    whole = value(row_of(page, "overall_recovery").difference)
    assert sum(map(value, page.shares.values())) == pytest.approx(whole, abs=0.025)
    assert len(page.shares) == 4


def test_comma_and_point_are_read_alike(season):
    period = season.books.day(LAST_DAY)
    comma = asked(season.books, period, pol_extraction="96,75", price="512,5")
    point = asked(season.books, period, pol_extraction="96.75", price="512.5")
    assert comma.rows == point.rows
    assert value(row_of(comma, "overall_recovery").difference) > 0


@pytest.mark.parametrize(
    ("field", "typed", "words"),
    [
        ("pol_extraction", "100,1", "Write a number from 1 to 100"),
        ("pol_extraction", "0", "Write a number from 1 to 100"),
        ("filter_cake_loss_on_mixed_juice", "-0.1", "Write a number from 0 to 100"),
        ("sugar_purity", "101", "Write a number from 1 to 100"),
        ("undetermined_loss", "\u22120.5", "Write a number from 0 to 100"),
        ("mixed_juice_purity", "high", "Write a number like"),
        ("mixed_juice_purity", "nm", "Write a number like"),
        ("final_molasses_purity", "90", "must be below Mixed juice purity"),
        ("mixed_juice_purity", "30", "must be below Mixed juice purity (30.00)"),
        ("mixed_juice_purity", "99.9", "must be below Sugar purity"),
        ("sugar_purity", "60", "must be below Sugar purity (60.00)"),
        ("undetermined_loss", "95", "less than nothing"),
        ("final_molasses_purity", "1", "less than nothing"),
        ("price", "1,250", "1,250: write 1250 or 1.25"),
        ("price", "-1", "Write a number from 0 to"),
        ("price", "500 USD", "Write a number like"),
        ("currency", "of the king of the islands", "Write at most 12 characters"),
    ],
)
def test_what_cannot_be_is_refused_beside_its_box_and_stays_typed(season, field, typed, words):
    books = season.books
    page = asked(books, books.day(date(2026, 8, 20)), **{field: typed})
    assert list(page.wrong) == [field]
    assert words in page.wrong[field]
    assert page.typed[field] == typed
    assert page.rows == ()
    titles = {box.name: box.title for box in BOXES} | OTHERS
    assert page.problems == [(f"{titles[field]}: {page.wrong[field]}.", f"#{field}")]


def test_what_lacks_of_a_period_is_named_and_nothing_is_tried():
    books = books_of(one_mill())
    books.measures["sugar"][:] = np.nan
    page = asked(books, pol_extraction="97")
    assert page.lacks[0].startswith("Overall recovery needs sugar")
    assert len(page.lacks) == len({words.partition(" needs ")[2] for words in page.lacks})
    assert page.rows == ()


@pytest.mark.parametrize(
    ("in_force", "typed"),
    [
        ({}, {}),
        ({"sugar_price": "0"}, {}),
        ({"sugar_price": "none"}, {}),
        ({"sugar_price": "512.5"}, {PRICE: "512.5", CURRENCY: ""}),
        ({"sugar_price": "1.25", "sugar_price_currency": "none"}, {PRICE: "1.25", CURRENCY: ""}),
        ({"sugar_price": "9500", "sugar_price_currency": "MXN"}, {PRICE: "9500", CURRENCY: "MXN"}),
        ({"sugar_price": "512.125"}, {PRICE: "512.1250", CURRENCY: ""}),  # read in one way alone
    ],
)
def test_the_price_that_a_mill_states_is_there_before_it_is_typed(in_force, typed):
    assert stated_price(in_force) == typed
