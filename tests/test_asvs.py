"""How the ledger meets the OWASP ASVS 5.0, levels 1 and 2: `python -m tests.test_asvs` prints it.

Left out are its chapters and sections of things that do not exist here: LDAP, XPath, LaTeX, SVG,
JNDI and memcache (in 1.2 and 1.3), unmanaged memory (1.4.1), GraphQL (4.3), WebSocket (4.4), codes
by telephone (6.6), identity providers (6.8, 7.1.3, 7.6.1), self-contained tokens (9), OAuth (10)
and WebRTC (17).
"""

import ast
import csv
from collections import Counter
from pathlib import Path

import pytest

HERE = Path(__file__).parent
TABLE = list(csv.DictReader((HERE / "checks" / "asvs.csv").read_text("utf-8").splitlines()))
STATES = ("met", "partly", "not met", "not applicable")
# section: how many items of level 1 and 2 it has in the standard; those left out are named above
ITEMS = {
    "1.1": 2, "1.2": 6, "1.3": 8, "1.4": 2, "1.5": 2, "2.1": 3, "2.2": 3, "2.3": 4, "2.4": 1,
    "3.2": 2, "3.3": 4, "3.4": 6, "3.5": 5, "3.7": 2, "4.1": 3, "4.2": 1, "5.1": 1, "5.2": 3,
    "5.3": 2, "5.4": 3, "6.1": 3, "6.2": 12, "6.3": 4, "6.4": 4, "6.5": 5, "7.1": 2, "7.2": 4,
    "7.3": 2, "7.4": 5, "7.5": 2, "7.6": 1, "8.1": 2, "8.2": 3, "8.3": 1, "8.4": 1, "11.1": 2,
    "11.2": 3, "11.3": 3, "11.4": 4, "11.5": 1, "11.6": 1, "12.1": 3, "12.2": 2, "12.3": 4,
    "13.1": 1, "13.2": 5, "13.3": 2, "13.4": 5, "14.1": 2, "14.2": 4, "14.3": 3, "15.1": 3,
    "15.2": 3, "15.3": 7, "16.1": 1, "16.2": 5, "16.3": 4, "16.4": 3, "16.5": 3,
}  # fmt: skip


def summary(rows=TABLE):
    """Return how many items are in each state, by level."""
    counts = Counter((row["level"], row["state"]) for row in rows)
    lines = []
    for level in sorted({row["level"] for row in rows}):
        said = ", ".join(f"{counts[level, state]} {state}" for state in STATES)
        lines.append(f"level {level}: {said}")
    return "\n".join(lines)


def names_in(path):
    """The names of the tests in a file."""
    tree = ast.parse((HERE.parent / path).read_text("utf-8"))
    return {node.name for node in tree.body if isinstance(node, ast.FunctionDef)}


@pytest.mark.parametrize("row", TABLE, ids=[row["item"] for row in TABLE])
def test_an_item_that_is_met_names_its_test(row):
    assert row["state"] in STATES
    assert row["level"] in ("1", "2", "3")
    assert row["known"] in ("read", "from memory")
    assert row["asks"]
    assert row["how"]
    if row["state"] in ("not met", "not applicable"):
        assert row["test"] == "none"
    elif row["test"] != "by hand":
        path, _, name = row["test"].partition("::")
        assert name in names_in(path)


def test_every_item_of_each_section_is_there_once():
    items = [row["item"] for row in TABLE]
    assert len(items) == len(set(items))
    of_sections = Counter(item.rpartition(".")[0] for item in items)
    higher = Counter(row["item"].rpartition(".")[0] for row in TABLE if row["level"] == "3")
    assert {section: of_sections[section] - higher[section] for section in of_sections} == ITEMS


def test_the_numbers_are_those_that_are_told():
    """Whoever changes a state changes what is told of the whole, here and where it is told."""
    assert summary().splitlines() == [
        "level 1: 46 met, 4 partly, 5 not met, 5 not applicable",
        "level 2: 76 met, 26 partly, 13 not met, 13 not applicable",
        "level 3: 6 met, 0 partly, 0 not met, 0 not applicable",
    ]


if __name__ == "__main__":
    print(summary())
