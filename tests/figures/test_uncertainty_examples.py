"""Uncertainty, beside the worked examples of the guides."""

import numpy as np
import pytest

from app.figures.declare import Figure, Way
from app.figures.propagation import Errors, RowErrors
from app.figures.sources import COMMON
from tests.examples import published


def of_example(name):
    rows = [row for row in published("uncertainty") if row["example"] == name]
    return {row["quantity"]: float(row["value"]) for row in rows}


def standard(function, values, spreads):
    """The standard uncertainty of a function of quantities that are independent of each other."""
    figure = Figure(
        "found", "", "", 2, "follows", "", COMMON, "",
        ways=[Way(function, tuple(values), {}, "")],
    )  # fmt: skip
    errors = {name: Errors(np.array([spread]), np.array([0.0])) for name, spread in spreads.items()}
    known = {name: np.array([float(value)]) for name, value in values.items()}
    rows = RowErrors([figure], known, {"found": np.array([0])}, errors)
    return rows.standard("found")[0]


# The example prints 32 nm; its six parts give 31.66.
def test_a_gauge_block_is_as_unsure_as_the_guide_says():
    values = {"ls": 50.000623e6, "d": 215.0, "da": 0, "dt": 0, "alpha": 11.5e-6, "theta": -0.1}
    spreads = {
        "ls": 25, "d": 9.7, "da": 0.58e-6, "dt": 0.029, "alpha": 1.2e-6, "theta": 0.41,
    }  # fmt: skip

    def length(ls, d, da, dt, alpha, theta):
        return ls + d - ls * (da * theta + alpha * dt)

    assert standard(length, values, spreads) == pytest.approx(of_example("H1")["u_c"], abs=0.5)


VOLTS = np.array([5.007, 4.994, 5.005, 4.990, 4.999])
MILLIAMPERES = np.array([19.663, 19.639, 19.640, 19.685, 19.678])
PHASE = np.array([1.0456, 1.0438, 1.0468, 1.0428, 1.0433])


# Three quantities read together: what they share is put into sources that are independent.
@pytest.mark.parametrize(
    ("quantity", "function"),
    [
        ("uR", lambda v, i, phase: v / i * np.cos(phase)),
        ("uX", lambda v, i, phase: v / i * np.sin(phase)),
    ],
)
def test_quantities_that_vary_together_are_as_unsure_as_the_guide_says(quantity, function):
    readings = np.array([VOLTS, MILLIAMPERES / 1000, PHASE])
    root = np.linalg.cholesky(np.cov(readings) / 5)
    means = readings.mean(axis=1)

    def found(a, b, c):
        moved = [means[k] + root[k, 0] * a + root[k, 1] * b + root[k, 2] * c for k in range(3)]
        return function(*moved)

    spread = standard(found, dict.fromkeys("abc", 0.0), dict.fromkeys("abc", 1.0))
    assert spread == pytest.approx(of_example("H2")[quantity], rel=1e-4)


FLASK = np.sqrt((0.1 / np.sqrt(6)) ** 2 + 0.02**2 + (100 * 2.1e-4 * 4 / np.sqrt(3)) ** 2)


# The inputs are from memory. A1 is worked out with the unrounded parts of its flask; of A2 the
# guide prints its parts with two digits, of which the burette alone leaves 2 %.
@pytest.mark.parametrize(
    ("example", "quantity", "function", "values", "spreads", "tolerance"),
    [
        (
            "A1", "u", lambda m, p, v: 1000 * m * p / v,
            {"m": 100.28, "p": 0.9999, "v": 100.0},
            {"m": 0.05, "p": 0.0001 / np.sqrt(3), "v": FLASK}, 1e-3,
        ),
        (
            "A2", "u_c", lambda rep, m, p, mass, v: rep * 1000 * m * p / (mass * v),
            {"rep": 1.0, "m": 0.3888, "p": 1.0, "mass": 204.2212, "v": 18.64},
            {"rep": 0.0005, "m": 0.00013, "p": 0.00029, "mass": 0.0038, "v": 0.013}, 0.02,
        ),
    ],
)  # fmt: skip
def test_a_solution_is_as_unsure_as_the_chemists_guide_says(
    example, quantity, function, values, spreads, tolerance
):
    found = standard(function, values, spreads)
    assert found == pytest.approx(of_example(example)[quantity], rel=tolerance)
