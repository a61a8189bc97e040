"""Every figure has a check from outside, or says why there is none.

`tests/checks/outside_*.csv` names it: compared with a number that others `printed`, with a
`library` made for other purposes, with an `independent` second formulation or a mill made forwards
whose truth is known, or `none`, and why.
"""

from collections import Counter
from functools import cache
from pathlib import Path

import pytest

from app.figures import FIGURES
from tests.examples import all_checks

ROOT = Path(__file__).parents[2]
REGISTER = all_checks("outside")
KINDS = {"printed", "library", "independent", "none"}
PUBLIC = {name for name, figure in FIGURES.items() if not figure.internal}


@cache
def text(path):
    return (ROOT / path).read_text(encoding="utf-8")


def test_every_figure_is_in_the_register_once():
    assert Counter(row["figure"] for row in REGISTER) == dict.fromkeys(PUBLIC, 1)


@pytest.mark.parametrize("row", REGISTER, ids=lambda row: row["figure"])
def test_a_check_is_there_or_there_is_a_reason(row):
    assert row["kind"] in KINDS
    if row["kind"] == "none":
        assert len(row["why"].split()) > 2
        return
    for check in row["check"].split(";"):
        path, _, name = check.strip().partition("::")
        assert f"def {name.partition('[')[0]}(" in text(path)


def test_nine_figures_of_ten_are_checked_from_outside():
    checked = sum(row["kind"] != "none" for row in REGISTER)
    assert checked >= 0.9 * len(PUBLIC)
