"""The commands, as typed at a prompt."""

import json
import subprocess
import sys
from datetime import date

import pytest

from app.database import writing
from app.ledger import mills, people
from tests.bench import NOON, PASSWORD

DAY = {
    "cane": 5400, "imbibition": 1700, "mixed_juice": "5580", "mixed_juice_brix": 14.2,
    "mixed_juice_pol": "12,1", "bagasse_pol": 1.7, "bagasse_moisture": 50.5,
    "last_expressed_juice_purity": 71,
}  # fmt: skip


def ledger(*arguments: str, typed: str = "") -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "app.cli", *arguments],
        input=typed, capture_output=True, text=True, check=False,
    )  # fmt: skip


# By hand: 100 × 675.18 ÷ (675.18 + 25.84) = 96.31394…
def test_compute_answers_at_full_precision_without_a_database(tmp_path):
    file = tmp_path / "day.json"
    file.write_text(json.dumps({"measures": DAY}))
    answer = json.loads(ledger("compute", str(file)).stdout)
    figure = answer["figures"]["pol_extraction"]
    assert figure["value"] == pytest.approx(100 * 675.18 / 701.02, abs=1e-9, rel=0)
    assert figure["unit"] == "% pol in cane"
    assert figure["missing"] == []
    assert figure["uncertainty"] is None


def test_compute_reads_standard_input_and_sums_a_list_to_date():
    answer = json.loads(ledger("compute", "-", typed=json.dumps([{"measures": DAY}] * 3)).stdout)
    assert [period["figures"]["cane"]["value"] for period in answer["periods"]] == [5400] * 3
    assert answer["to_date"]["figures"]["cane"]["value"] == 16200


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ('{"measures": {"mixed_juice_brx": 14}}', "mixed_juice_brix is one"),
        ('{"measures": {"cane": "1.234,5"}}', "cane"),
        ("{", "JSON"),
        ("[]", "no period"),
    ],
)
def test_compute_says_what_is_wrong_and_fails(typed, words):
    run = ledger("compute", "-", typed=typed)
    assert run.returncode == 2
    assert words in run.stderr
    assert not run.stdout
    assert "Traceback" not in run.stderr


def test_a_missing_database_is_told_and_not_made(tmp_path, monkeypatch):
    path = tmp_path / "nowhere.db"
    monkeypatch.setenv("LEDGER_DATABASE_URL", f"sqlite:///{path}")
    run = ledger("verify")
    assert run.returncode == 2
    assert str(path) in run.stderr
    assert not path.exists()


def test_verify_finds_nothing_wrong_in_a_sound_ledger(database_url, monkeypatch):
    monkeypatch.setenv("LEDGER_DATABASE_URL", database_url)
    run = ledger("verify")
    assert run.returncode == 0
    assert run.stdout.startswith("0 differences")


@pytest.fixture
def office(bench, database_url, monkeypatch):
    """A ledger whose administrator is joan, reached by commands."""
    with writing(bench.engine) as connection:
        people.add_person(
            connection, username="joan", printed_name="Joan Hill", role="administrator",
            password=PASSWORD, at=NOON,
        )  # fmt: skip
    monkeypatch.setenv("LEDGER_DATABASE_URL", database_url)
    return bench


def test_an_administrator_dates_conventions_and_targets(office):
    since = ("--since", "2026-06-01", "--by", "joan")
    said = ledger("convention", "standard_molasses_brix", "86", "--source", "contract", *since)
    assert said.stdout == "Standard brix of final molasses: 86.0, since 2026-06-01\n"
    assert ledger("target", "pol_extraction", "96.5", *since).returncode == 0
    rows = office.read(mills.convention_rows, office.mill)
    assert rows == [("standard_molasses_brix", "86.0", date(2026, 6, 1), "contract")]
    assert office.read(mills.targets, office.mill, office.day) == {"pol_extraction": 96.5}


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("convention", "colour_scale", "1", "--source", "x"), "a convention is one of"),
        (("convention", "standard_molasses_brix", "300", "--source", "x"), "between 70 and 100"),
        (("target", "profit", "1"), "no figure is called profit"),
    ],
)
@pytest.mark.usefixtures("office")
def test_a_wrong_convention_or_target_is_refused_in_words(arguments, words):
    run = ledger(*arguments, "--since", "2026-06-01", "--by", "joan")
    assert run.returncode == 2
    assert words in run.stderr


@pytest.mark.usefixtures("office")
def test_only_an_administrator_sets_a_target():
    run = ledger("target", "pol_extraction", "96.5", "--since", "2026-06-01", "--by", "ann")
    assert run.returncode == 2
    assert "ann is no administrator" in run.stderr


def test_another_season_begins(office):
    assert ledger("season", "2027", "--first-day", "2027-06-01").returncode == 0
    assert office.read(mills.season_named, office.mill, "2027").first_day == date(2027, 6, 1)
