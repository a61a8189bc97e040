"""Examples as data: one file a subject, every row with its source.

`published` holds what others printed. `checks` holds numbers that we worked out apart from the
code, and what we chose to try a published rule on.
"""

import csv
from pathlib import Path

HERE = Path(__file__).parent


def published(subject: str) -> list[dict[str, str]]:
    return _rows(HERE / "published" / f"{subject}.csv")


def checks(subject: str) -> list[dict[str, str]]:
    return _rows(HERE / "checks" / f"{subject}.csv")


def all_checks(subject: str) -> list[dict[str, str]]:
    """The rows of every file of our own that begins with `subject`."""
    return [
        row for path in sorted((HERE / "checks").glob(f"{subject}*.csv")) for row in _rows(path)
    ]


def _rows(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf-8", newline="") as lines:
        return list(csv.DictReader(lines))
