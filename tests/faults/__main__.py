"""Bring every fault about as often as is meant, and print a table of what that showed."""

import sys
from pathlib import Path

import pytest

if __name__ == "__main__":
    rigs = str(Path(__file__).parent)
    sys.exit(pytest.main([rigs, "-q", "-p", "tests.faults.table", *sys.argv[1:]]))
