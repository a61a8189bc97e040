"""Balances that must close, in a mill made forwards; their errors beside those of the figures."""

import numpy as np
import pytest

from app.figures.closing import BRIX, CANE_BRIX, CANE_POL, FIBRE, POL, WEIGHTS, Season
from app.figures.closing_days import Days
from app.figures.periods import Books
from app.figures.sheets import Period
from app.figures.stock import VESSELS
from tests.figures.mills import RANGES, measured
from tests.figures.test_uncertainty import books
from tests.networks import reconciled

SHIFTS = 63
TANDEM = (WEIGHTS, FIBRE, CANE_POL, CANE_BRIX)
NO_LOSS = {"usual_pol_loss": 0, "usual_brix_loss": 0}


def made(**otherwise):
    """Exact instruments in a mill of 63 shifts that also weighs bagasse and analyses cane."""
    random = np.random.default_rng(11)
    of = {name: random.uniform(*ends, SHIFTS) for name, ends in RANGES.items()} | otherwise
    found = measured(of, solids_as_fibre=False)
    pol = of["brix"] * of["purity"] / 100
    found |= {"cane_fibre": of["fibre"], "cane_brix": of["brix"], "cane_pol": pol}
    found["bagasse_brix"] = found["bagasse_pol"] * 100 / of["residual_purity"]
    empty = {f"{vessel}_volume": np.zeros(SHIFTS) for vessel in VESSELS}
    return found | empty


def season(entered, **conventions):
    return Season(books(entered, **(NO_LOSS | conventions)))


WEEK = Period(21, 42)
STOCKED = {
    f"c_pans_{prop}": np.full(SHIFTS, float(number))
    for prop, number in {"volume": 60.0, "temperature": 65, "brix": 94, "purity": 60}.items()
}


def test_exact_instruments_close_every_balance_of_the_tandem():
    closing = season(made()).over(WEEK)
    assert set(TANDEM) <= {*closing.balances}
    for name in TANDEM:
        place = closing.balances.index(name)
        assert abs(closing.left[place]) < 1e-9 * closing.into[place], name


def test_the_balance_of_pol_leaves_what_was_lost_unseen_less_what_usually_is():
    lost = made(undetermined=np.full(SHIFTS, 1.5))
    closing = season(lost, usual_pol_loss=1.0).over(WEEK)
    place, rows = closing.balances.index(POL), slice(WEEK.first, WEEK.last)
    in_cane = (lost["cane"] * lost["cane_pol"])[rows].sum() / 100
    usual = closing.parts["pol_in_mixed_juice"] / 100
    assert closing.usual[place] == pytest.approx(usual)
    assert closing.left[place] == pytest.approx(0.015 * in_cane - usual, rel=1e-9)


def test_an_unsure_usual_loss_lets_more_be_left_over():
    entered = made(undetermined=np.full(SHIFTS, 1.5))
    sure, unsure = (
        season(entered, usual_pol_loss_uncertainty=each).over(WEEK) for each in (0.1, 2.0)
    )
    place = sure.balances.index(POL)
    assert sure.left[place] == unsure.left[place]
    grown = unsure.spreads[place] ** 2 - sure.spreads[place] ** 2
    assert grown == pytest.approx((0.02**2 - 0.001**2) * sure.into[place] ** 2)
    assert unsure.misfit.statistic < sure.misfit.statistic


def test_a_weight_by_difference_gives_no_balance_unless_it_is_weighed_all_the_same():
    weighed = made()
    assert WEIGHTS in season(weighed, bagasse_weight="by difference").over(WEEK).balances
    del weighed["bagasse"]
    without = season(weighed)
    assert WEIGHTS not in without.whole
    assert set(without.over(WEEK).balances) >= {FIBRE, CANE_POL, CANE_BRIX}


def test_cane_that_is_not_analysed_itself_gives_no_balance():
    """Its pol, brix and fibre then follow from the balance, and are no measurements."""
    entered = made()
    for name in ("cane_pol", "cane_brix", "cane_fibre"):
        del entered[name]
    assert season(entered).over(WEEK).balances[:2] == (WEIGHTS, POL)


def test_fibre_of_cane_from_which_bagasse_follows_is_counted_once():
    entered = made()
    del entered["bagasse"], entered["bagasse_brix"]
    closing = season(entered, bagasse_weight="from fibre of cane").over(WEEK)
    assert FIBRE not in closing.balances
    assert WEIGHTS in closing.balances
    assert closing.misfit.freedom == len(closing.balances)


def test_without_a_stock_taking_the_boiling_house_has_no_balance():
    entered = made()
    entered["c_pans_volume"] = np.full(SHIFTS, np.nan)
    assert not {POL, BRIX} & {*season(entered).over(WEEK).balances}


def noisy(seed=2):
    random = np.random.default_rng(seed)
    return {name: c * (1 + random.normal(0, 0.003, SHIFTS)) for name, c in made().items()}


@pytest.mark.parametrize("period", [WEEK, Period(0, SHIFTS), Period(30, 31)])
def test_what_measuring_explains_is_what_the_account_says_of_its_undetermined_pol(period):
    """Both are of pol in mixed juice less all that is found again, stock too."""
    kept = books(noisy(), **NO_LOSS, sugar_accounted="made and estimated")
    closing = Season(kept).over(period)
    place = closing.balances.index(POL)
    result = kept.over([period])
    of_account = result.certainty.standard("undetermined_pol")
    measuring = np.sqrt(closing.spreads[place] ** 2 - closing.unsure[place])
    assert closing.left[place] == pytest.approx(result.values["undetermined_pol"][0])
    assert measuring == pytest.approx(of_account, rel=1e-6)


def test_reconciled_tonnes_close_every_balance_and_are_those_of_the_general_solution():
    closing = season(noisy(), **NO_LOSS).over(WEEK)
    moved = closing.reconciled
    left = closing.season.takes(closing.balances) @ np.array(list(moved.values()))
    tandem = [closing.balances.index(name) for name in TANDEM]
    assert np.abs(left[tandem]).max() < 1e-8 * closing.into.max()
    parts = np.array(list(closing.parts.values()))
    random, systematic = closing._errors(closing.slopes)
    flat = random.reshape(len(parts), -1)
    covariance = flat @ flat.T + systematic @ systematic.T
    # a loss stands for a part of its own, measured as what is usual
    lost = np.flatnonzero(closing.unsure > 0)
    whole = np.block([
        [covariance, np.zeros((len(parts), len(lost)))],
        [np.zeros((len(lost), len(parts))), np.diag(closing.unsure[lost])],
    ])  # fmt: skip
    takes = np.hstack(
        [closing.season.takes(closing.balances), -np.eye(len(closing.balances))[:, lost]]
    )
    found = reconciled(np.append(parts, closing.usual[lost]), whole, takes)
    assert list(moved.values()) == pytest.approx(found.values[: len(parts)], rel=1e-6)
    assert closing.misfit.statistic == pytest.approx(found.misfit.statistic, rel=1e-6)


def test_a_measure_that_is_off_moves_the_balances_as_was_foreseen():
    entered = noisy()
    high = entered | {"mixed_juice": entered["mixed_juice"] * 1.01}
    before, after = (season(each).over(WEEK) for each in (entered, high))
    foreseen = before.moves("entered_mixed_juice", entered["mixed_juice"] / 100)
    assert after.left - before.left == pytest.approx(foreseen, rel=1e-6, abs=1e-9)


def test_measurements_as_reconciled_close_the_balances_when_they_are_entered():
    """To the second order of what they were moved by, here less than 2 parts in 100 000."""
    entered = {name: np.repeat(c[:1], 2) for name, c in noisy().items()}
    first = Period(0, 1)
    closing = season(entered).over(first)
    moved = {name: column.copy() for name, column in entered.items()}
    one = np.array([1.0, 0.0])
    for source in closing.season.sources:
        name = source.removeprefix("entered_")
        shared, _sigma = closing.shared(source, one)
        moved[name][0] += closing.misfit.adjustment([shared])[0][0]
    again = season(moved).over(first)
    tandem = [closing.balances.index(name) for name in TANDEM]
    assert np.abs(closing.left[tandem] / closing.into[tandem]).max() > 1e-3
    assert np.abs(again.left[tandem] / again.into[tandem]).max() < 2e-5


def test_a_change_of_what_is_counted_is_no_change_of_stock():
    """Both ends are counted as at the end, in balances as in the account."""
    entered = made(undetermined=np.full(SHIFTS, 1.5)) | STOCKED
    of_change = Period(30, 33)
    account = books(entered, **NO_LOSS)
    account.sheets.conventions["stock_air"][of_change.first :] = 3.0
    account = Books(account.sheets)
    values = account.over([of_change]).values
    grown = float(values["pol_in_stock"][0] - values["opening_pol_in_stock"][0])
    raw = account.rows["pol_in_stock"]
    assert abs(grown) < 1e-9  # the contents never changed
    assert abs(raw[of_change.last - 1] - raw[of_change.first - 1]) > 1
    whole = Season(account)
    assert whole.over(of_change).parts["pol_in_stock"] == pytest.approx(grown, abs=1e-9)
    series, place = Days(whole, SHIFTS).series, whole.over(of_change).balances.index(POL)
    assert series._left[10, place] == pytest.approx(whole.over(of_change).left[place], rel=1e-9)


def test_days_are_the_periods_of_a_day_each_and_hand_their_stock_on():
    entered = noisy()
    random = np.random.default_rng(4)
    entered |= {
        "syrup_tanks_volume": random.uniform(80, 120, SHIFTS),
        "syrup_tanks_brix": np.full(SHIFTS, 64.0),
        "syrup_tanks_purity": np.full(SHIFTS, 85.0),
        "syrup_tanks_temperature": np.full(SHIFTS, 60.0),
    }
    whole = season(entered)
    days = Days(whole, SHIFTS)
    assert days.balances == whole.whole
    series = days.series
    lefts = np.array([whole.over(Period(n, n + 3)).left for n in range(0, SHIFTS, 3)])
    assert series._left == pytest.approx(lefts, rel=1e-9)
    units = np.ones(SHIFTS)
    moves = np.array(
        [
            whole.over(Period(n, n + 3)).moves("entered_syrup_tanks_volume", units)
            for n in range(0, SHIFTS, 3)
        ]
    )
    assert days._moves("entered_syrup_tanks_volume", units) == pytest.approx(moves, abs=1e-9)
