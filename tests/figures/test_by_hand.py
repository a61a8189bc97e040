"""Every figure once by hand, from what it follows from directly."""

import numpy as np
import pytest

from app.figures import FIGURES
from app.figures.evaluate import behind, in_force, worked_out_by_way
from app.plant.measures import MEASURES
from app.plant.vessels import VESSELS
from tests.examples import all_checks

EXAMPLES = all_checks("by_hand")


# Six decimals are written down.
@pytest.mark.parametrize("row", EXAMPLES, ids=lambda row: row["figure"])
def test_figure_is_as_worked_by_hand(row):
    given = (pair.split("=") for pair in row["given"].split())
    known = {name: np.array([float(number)]) for name, number in given}
    name = row["figure"]
    found, _ = worked_out_by_way(known, in_force({}, 1), behind((name,)))
    assert found[name][0] == pytest.approx(float(row["value"]), abs=1e-6, rel=0)


# Figures of one family share a function: one of each stands in the file.
FAMILIES = (
    *("_massecuite_crystal", "_massecuite_exhaustion", "_massecuite_purity_drop", "_purity"),
    *("_stock", *VESSELS),
)
# Told apart by a convention: see test_conventions, and of cane received test_cane_received.
BY_CONVENTION = {
    *("pol_in_sugar", "pol_in_final_molasses", "brix_in_final_molasses"),
    "cane_received_recoverable",
}


def test_every_figure_has_an_example():
    tried = {row["figure"] for row in EXAMPLES}
    as_entered = FIGURES.keys() & MEASURES.keys() | {"gross_hours"}
    left = {
        name
        for name, figure in FIGURES.items()
        if not (figure.internal or name.endswith(FAMILIES) or name in as_entered | BY_CONVENTION)
    }
    assert left <= tried
