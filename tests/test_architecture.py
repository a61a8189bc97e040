"""The house keeps its shape: imports point one way, modules stay small, files stay as taken."""

import ast
import csv
import hashlib
import subprocess
import sys
from collections.abc import Iterator
from fnmatch import fnmatch
from functools import cache
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
MODULES = sorted((ROOT / "app").rglob("*.py"))
SHIPPED = [*MODULES, *sorted((ROOT / "demo_data").rglob("*.py"))]
OURS = [
    *SHIPPED,
    *sorted((ROOT / "tests").rglob("*.py")),
    *sorted((ROOT / "migrations").rglob("*.py")),
]

TOP_LEVEL = {
    "README.md", "DEVELOPERS.md", "pyproject.toml", "LICENSE",
    "app", "migrations", "templates", "static", "tests", "demo_data",
}  # fmt: skip

# part of the house: the other parts it may import
MAY_IMPORT = {
    "chemistry": set(),
    "language": set(),
    "plant": {"language"},
    "settings": {"language"},
    "figures": {"chemistry"},
    "pictures": {"language"},
    "locks": set(),
    "database": {"settings", "locks"},
    "ledger": {"plant", "database", "settings", "language"},
    "imports": {"exports", "ledger", "plant", "language"},
    "keeping": {"exports", "ledger", "database", "settings", "locks", "language"},
    "reports": {"figures", "plant", "chemistry", "pictures", "language"},
    "compute": {"figures", "plant"},
    "exports": {"reports", "ledger", "plant", "figures", "settings", "language"},
    "web": {
        "reports",
        "exports",
        "imports",
        "keeping",
        "ledger",
        "figures",
        "plant",
        "database",
        "locks",
        "settings",
        "language",
    },
    "commands": {
        "main",
        "demo",
        "compute",
        "reports",
        "exports",
        "keeping",
        "ledger",
        "figures",
        "plant",
        "database",
        "locks",
        "settings",
    },
}
CALCULATES = {"chemistry", "figures"}
NEITHER_SQL_NOR_HTTP = {"chemistry", "plant", "figures", "reports", "compute"}
OUTSIDE = {"sqlalchemy", "alembic", "fastapi", "starlette", "uvicorn", "jinja2", "sqlite3"}
READS_OR_WRITES = {"os", "io", "pathlib", "shutil", "tempfile", "socket", "subprocess", "urllib"}


@cache
def imported(path: Path) -> frozenset[str]:
    """Return the dotted names that a module imports, wherever in it."""
    return frozenset(_imported(path))


def _imported(path: Path) -> Iterator[str]:
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}: imports are written in full"
            yield from (f"{node.module}.{alias.name}" for alias in node.names)


def part(path: Path) -> str:
    """Which part of the house a module belongs to."""
    return path.relative_to(ROOT / "app").with_suffix("").parts[0]


def parts_imported(path: Path) -> set[str]:
    return {name.split(".")[1] for name in imported(path) if name.startswith("app.")} - {part(path)}


def named(path: Path) -> str:
    return str(path.relative_to(ROOT))


@pytest.mark.parametrize("path", [p for p in MODULES if part(p) in MAY_IMPORT], ids=named)
def test_imports_point_one_way(path):
    assert parts_imported(path) <= MAY_IMPORT[part(path)]


def test_nothing_imports_the_pages_but_what_serves_them():
    importing = {part(path) for path in MODULES if "web" in parts_imported(path)}
    assert importing <= {"main"}


def test_every_folder_has_its_rule():
    folders = {path.name for path in (ROOT / "app").iterdir() if any(path.glob("*.py"))}
    assert folders <= MAY_IMPORT.keys()


@pytest.mark.parametrize("path", [p for p in MODULES if part(p) in CALCULATES], ids=named)
def test_what_calculates_needs_numpy_alone_and_touches_no_file(path):
    packages = {name.split(".")[0] for name in imported(path)} - {"app"}
    assert packages - sys.stdlib_module_names <= {"numpy"}
    assert not packages & READS_OR_WRITES


@pytest.mark.parametrize("path", [p for p in MODULES if part(p) in NEITHER_SQL_NOR_HTTP], ids=named)
def test_neither_calculation_nor_report_knows_sql_or_http(path):
    assert not {name.split(".")[0] for name in imported(path)} & OUTSIDE


@pytest.mark.parametrize(
    "path", [p for p in MODULES if part(p) in ("plant", "chemistry")], ids=named
)
def test_the_ground_floor_imports_nothing_of_ours_but_the_language(path):
    assert parts_imported(path) <= MAY_IMPORT[part(path)]


@pytest.mark.parametrize("path", OURS, ids=named)
def test_a_module_holds_no_more_than_300_lines(path):
    # a program that leaves with an archive is one file, so that an auditor can read it through
    most = 330 if path.parent.name == "travelling" else 300
    assert len(path.read_text(encoding="utf-8").splitlines()) <= most


def test_the_top_level_is_as_designed():
    ignored = [
        line.rstrip("/") for line in (ROOT / ".gitignore").read_text(encoding="utf-8").splitlines()
    ]
    found = {
        path.name
        for path in ROOT.iterdir()
        if not path.name.startswith(".") and not any(fnmatch(path.name, line) for line in ignored)
    }
    assert found == TOP_LEVEL


VENDOR = ROOT / "app" / "pictures" / "vendor"
MANIFEST = list(csv.DictReader((VENDOR / "MANIFEST.csv").read_text(encoding="utf-8").splitlines()))


@pytest.mark.parametrize("row", MANIFEST, ids=lambda row: row["name"])
def test_a_vendored_file_is_the_one_that_was_taken(row):
    content = (VENDOR / row["file"]).read_bytes()
    assert hashlib.sha384(content).hexdigest() == row["sha384"]
    assert row["version"].encode() in content
    assert row["licence"]
    assert (VENDOR / f"{row['name']}-LICENSE").is_file()


def test_every_vendored_script_is_in_the_manifest():
    assert {path.name for path in VENDOR.glob("*.js")} == {row["file"] for row in MANIFEST}


def test_the_ledger_begins_without_the_driver_of_postgresql():
    """It is an extra: where the ledger is an SQLite file, it need not be installed."""
    program = "import sys; sys.modules['psycopg'] = None; import app.main, app.cli"
    subprocess.run([sys.executable, "-c", program], check=True, cwd=ROOT)
