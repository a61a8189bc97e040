"""The table of what the rigs showed. As a plugin of pytest it asks them for their full size."""

from typing import NamedTuple

import pytest


class Row(NamedTuple):
    """What one rig showed: entries that were acknowledged, and how many of them were lost."""

    fault: str
    how: str
    often: int
    acknowledged: int
    lost: int
    found: str = "whole"


ROWS = pytest.StashKey[list[Row]]()


def pytest_terminal_summary(terminalreporter, config):
    cells = [("fault", "how", "how often", "acknowledged", "lost", "found")]
    cells += [tuple(map(str, row)) for row in config.stash[ROWS]]
    widths = [max(map(len, column)) for column in zip(*cells, strict=True)]
    for row in cells:
        terminalreporter.write_line("  ".join(map(str.ljust, row, widths)).rstrip())
