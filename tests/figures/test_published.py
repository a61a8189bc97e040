import pytest

from tests.examples import published
from tests.figures.mills import figures_of


# Two decimals are printed; a newspaper may cut them off instead of rounding.
@pytest.mark.parametrize("row", published("cane_per_sugar"), ids=lambda row: row["crop"])
def test_cane_per_sugar_agrees_with_the_printed_crop(row):
    found = figures_of({"cane": float(row["cane"]), "sugar": float(row["sugar"])})
    printed = float(row["cane_per_sugar"])
    assert found["cane_per_sugar"][0] == pytest.approx(printed, abs=0.005, rel=0), row["source"]
