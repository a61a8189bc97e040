"""The commands, as typed at a prompt."""

import json
import subprocess
import sys

import pytest

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
