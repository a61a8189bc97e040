"""Since when a series is off, beside least squares with every change tried in turn."""

import numpy as np
import pytest

from app.chemistry.change import ENDED, Series

DAYS, BEFORE, AFTER = 40, 7, 1


def series(change=None, size=0.0, seed=3):
    """Two balances of a wandering level, each day handing an error on to the next."""
    random = np.random.default_rng(seed)
    level = random.uniform(90, 110, (DAYS, 2))
    moves = level * np.array([0.8, 1.0]) / 100
    hand = np.kron(np.eye(DAYS) - np.eye(DAYS, k=-1), np.diag([2.0, 3.0]))
    covariance = hand @ hand.T + np.eye(2 * DAYS) * 0.01
    left = (np.linalg.cholesky(covariance) @ random.normal(0, 1, 2 * DAYS)).reshape(DAYS, 2)
    left += level * np.array([0.02, -0.01])  # what no day differs in
    if change is not None:
        left += size * change[:, np.newaxis] * moves
    return left, covariance.reshape(DAYS, 2, DAYS, 2), level, moves


def every_shape():
    days = np.arange(DAYS)
    for since in range(BEFORE, DAYS):
        for until in range(since + AFTER, DAYS + 1):
            yield (since, until, False), ((days >= since) & (days < until)).astype(float)
    for since in range(BEFORE, DAYS - AFTER + 1):
        yield (since, DAYS, True), np.maximum(days - since + 1, 0) / (DAYS - since)


def tried_in_turn(left, covariance, level, moves):
    """By whitening and ordinary least squares, one change after the other."""
    root = np.linalg.cholesky(covariance.reshape(2 * DAYS, 2 * DAYS))
    steady = np.zeros((DAYS, 2, 2))
    steady[:, 0, 0], steady[:, 1, 1] = level.T
    found = []
    for place, shape in every_shape():
        columns = np.column_stack([steady.reshape(-1, 2), (moves * shape[:, np.newaxis]).ravel()])
        white = np.linalg.solve(root, np.column_stack([columns, left.ravel()]))
        solution, *_ = np.linalg.lstsq(white[:, :3], white[:, 3])
        standard = np.sqrt(np.linalg.inv(white[:, :3].T @ white[:, :3])[2, 2])
        explained = (solution[2] / standard) ** 2 - (0 if place[1] == DAYS else ENDED)
        found.append((explained, place, solution[2], standard))
    return max(found), len(found)


@pytest.mark.parametrize("seed", range(3))
def test_every_change_tried_in_turn_by_least_squares_gives_the_same(seed):
    step = (np.arange(DAYS) >= 22).astype(float)
    made = series(step, 2.0, seed)
    found = Series(*made[:3]).change(made[3], BEFORE, AFTER)
    (_explained, place, by, standard), tried = tried_in_turn(*made)
    assert (found.since, found.until, found.grows) == place
    assert (found.by, found.standard) == pytest.approx((by, standard), rel=1e-6)
    assert found.multiple == pytest.approx(by / standard, rel=1e-6)
    assert found.tried == tried


DAY = np.arange(DAYS)


@pytest.mark.parametrize(
    ("shape", "expected"),
    [
        ((DAY >= 22) * 1.0, (22, DAYS, False)),
        (((DAY >= 12) & (DAY < 19)) * 1.0, (12, 19, False)),
        (np.maximum(DAY - 14, 0) / (DAYS - 15), (15, DAYS, True)),
    ],
)
def test_a_change_is_found_where_it_was_made(shape, expected):
    left, covariance, level, moves = series(shape, 6.0)
    found = Series(left, covariance, level).change(moves, BEFORE, AFTER)
    assert found.grows == expected[2]
    assert (found.since, found.until) == pytest.approx(expected[:2], abs=1)
    assert found.by == pytest.approx(6.0, abs=3 * found.standard)


def test_what_is_known_to_have_been_off_counts_for_nothing():
    ended = ((DAY >= 12) & (DAY < 19)) * 1.0
    left, covariance, level, moves = series(ended, 6.0)
    whole = Series(left, covariance, level)
    less = whole.without(moves, 12, 19)
    assert abs(less.change(moves, BEFORE, AFTER).multiple) < 5
    assert abs(whole.change(moves, BEFORE, AFTER).multiple) > 20


def test_one_odd_day_at_the_last_does_not_end_a_change():
    left, covariance, level, moves = series((DAY >= 22) * 1.0, 6.0)
    left[-1] -= 2.0 * moves[-1]
    assert Series(left, covariance, level).change(moves, BEFORE, AFTER).until == DAYS


def test_a_short_series_and_one_that_a_measure_does_not_move_have_no_change():
    left, covariance, level, moves = series()
    assert Series(left, covariance, level).change(moves, DAYS, 1) is None
    assert Series(left, covariance, level).change(0 * moves, BEFORE, AFTER) is None
