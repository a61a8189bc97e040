"""The commands, as typed at a prompt."""

import json
import subprocess
import sys
from datetime import date

import pytest
from sqlalchemy import select

from app.database import writing
from app.figures import CONVENTIONS, FIGURES
from app.ledger import mills, people, soundness, tables, uncertainty
from app.plant.measures import MEASURES
from tests.bench import NOON, PASSWORD
from tests.keeping import sign_day

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
    assert 0.1 < figure["uncertainty"] < 0.5


# By hand: 5580 × 0.03 ÷ 100 = 1.674 t of pol in juice move extraction by
# 100 × 25.84 ÷ (675.18 + 25.84)² × 1.674 = 0.0088021. A step as large as the uncertainty sees
# a little of the curve of 1 ÷ pol in cane; between two slopes nearly alike that is 1.5e-4.
def test_compute_takes_the_uncertainties_that_a_file_states():
    exact = {name: {"random": 0, "systematic": 0} for name in DAY}
    stated = exact | {"mixed_juice_pol": {"random": 0.03, "systematic": 0}}
    typed = json.dumps({"measures": DAY, "uncertainties": stated})
    figures = json.loads(ledger("compute", "-", typed=typed).stdout)["figures"]
    assert figures["pol_extraction"]["uncertainty"] == pytest.approx(0.0088021, rel=2e-4)
    assert figures["cane"]["uncertainty"] == 0


def test_figures_lists_every_figure_measure_and_convention():
    listed = json.loads(ledger("figures", "--json").stdout)
    public = {name for name, figure in FIGURES.items() if not figure.internal}
    assert listed["figures"].keys() == public
    assert listed["measures"].keys() == MEASURES.keys()
    assert listed["conventions"].keys() == CONVENTIONS.keys()
    extraction = listed["figures"]["pol_extraction"]
    assert extraction["ways"][0]["formula"] == "100 × pol in mixed juice ÷ pol in cane"
    assert extraction["mark"] == "from memory"
    text = ledger("figures").stdout
    assert all(f"  {name} [" in text for name in public | MEASURES.keys() | CONVENTIONS.keys())


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
        ("[" * 100_000, "nested too deeply"),
        ('{"measures": {"cane": %s}}' % ("9" * 400), "finite"),
        ('{"measures": {"cane": %s}}' % ("9" * 5000), "JSON"),
        ('{"measures": {}, "conventions": {"coverage_needed": 1%s}}' % ("0" * 400), "0 and 100"),
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
    assert run.stdout.startswith("0 faults in 0 events")
    assert soundness.CANNOT in run.stdout


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
    assert ledger("target", "pol_extraction", "96,5", *since).returncode == 0
    rows = office.read(mills.convention_rows, office.mill)
    assert rows == [("standard_molasses_brix", "86.0", date(2026, 6, 1), "contract")]
    assert office.read(mills.targets, office.mill, office.day) == {"pol_extraction": 96.5}


def test_a_convention_reaches_into_no_approved_day(office):
    sign_day(office, office.day, "approved")
    day = ("--since", f"{office.day}", "--by", "joan")
    said = ledger("convention", "standard_molasses_brix", "86", "--source", "contract", *day)
    assert said.returncode == 2
    assert "2026-06-03 is approved, and what was approved does not change" in said.stderr
    assert office.read(mills.convention_rows, office.mill) == []


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("convention", "molasses_brix", "85", "--source", "x"), "standard_molasses_brix is one"),
        (("convention", "colour", "1", "--source", "x"), "no convention is called colour"),
        (("convention", "standard_molasses_brix", "300", "--source", "x"), "between 70 and 100"),
        (("target", "profit", "1"), "no figure is called profit"),
        (("target", "pol_extractoin", "1"), "no figure is called pol_extractoin; pol_extraction"),
        (("target", "pol_extraction", "1.2,5"), "1.2,5 is no number like 96.5 or 96,5"),
    ],
)
@pytest.mark.usefixtures("office")
def test_a_wrong_convention_or_target_is_refused_in_words(arguments, words):
    run = ledger(*arguments, "--since", "2026-06-01", "--by", "joan")
    assert run.returncode == 2
    assert words in run.stderr
    assert "Traceback" not in run.stderr
    assert len(run.stderr) < 500


def test_an_administrator_states_how_sure_a_measure_is(office):
    given = ("--systematic", "0.05", "--source", "proved", "--since", "2026-06-01", "--by", "joan")
    said = ledger("uncertainty", "mixed_juice_brix", "--random", "0,03", *given)
    assert said.stdout == "Mixed juice, brix: random 0.03, systematic 0.05 °Bx, since 2026-06-01\n"
    relative = ledger("uncertainty", "cane", "--random", "0.3", "--relative", *given)
    assert "systematic 0.05 % of the value" in relative.stdout
    early = (*given[:-4], "--since", "2020-01-01", "--by", "joan")
    said = ledger("uncertainty", "cane", "--random", "0.3", "--relative", *early)
    assert said.stdout.endswith("since 2020-01-01, counting from 2026-06-01\n")
    for measure, random, words in (
        ("brix", "1", "no measure is called brix"),
        ("mixed_juice_brx", "1", "mixed_juice_brix is one"),
        ("cane", "-1", "The random part is a number from 0 to 20000 t"),
    ):
        run = ledger("uncertainty", measure, "--random", random, *given)
        assert (run.returncode, run.stdout) == (2, "")
        assert words in run.stderr
    assert office.read(uncertainty.uncertainty_rows, office.mill) == [
        ("cane", 0.3, 0.05, True, date(2020, 1, 1), "proved"),
        ("mixed_juice_brix", 0.03, 0.05, False, date(2026, 6, 1), "proved"),
        ("cane", 0.3, 0.05, True, date(2026, 6, 1), "proved"),
    ]


@pytest.mark.usefixtures("office")
def test_only_an_administrator_sets_a_target():
    run = ledger("target", "pol_extraction", "96.5", "--since", "2026-06-01", "--by", "ann")
    assert run.returncode == 2
    assert "no administrator of this ledger is called ann" in run.stderr
    run = ledger("target", "pol_extraction", "96.5", "--since", "2026-06-01", "--by", "jaon")
    assert run.returncode == 2
    assert "no administrator of this ledger is called jaon; joan is one" in run.stderr


def test_another_season_begins(office):
    asked = ("season", "2027", "--first-day", "2027-06-01", "--by")
    assert ledger(*asked, "ann").returncode == 2
    assert ledger(*asked, "joan").returncode == 0
    assert office.read(mills.season_named, office.mill, "2027").first_day == date(2027, 6, 1)
    event = tables.event.c
    newest = select(event.name).where(event.kind == "season").order_by(event.number.desc())
    assert office.read(lambda connection: connection.scalar(newest)) == "Joan Hill"


@pytest.mark.usefixtures("office")
def test_a_season_begins_once():
    again = ledger("season", "2026", "--first-day", "2027-06-01", "--by", "joan")
    assert (again.returncode, again.stdout) == (2, "")
    assert again.stderr == "mill-ledger: season 2026 is there already, from 2026-06-01 on\n"
