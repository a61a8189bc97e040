"""The account of a season recomputed from its archive alone, beside what the ledger printed."""

import random
import subprocess
import sys
import zipfile
from datetime import date, datetime, timedelta
from decimal import Decimal
from itertools import product

import pytest

from app.database import open_database, reading, writing
from app.exports.archive import make_archive
from app.exports.travelling import recompute, verify
from app.ledger import mills
from app.ledger.history import HistoryEntry, load_history
from app.ledger.plan import plan_of
from app.ledger.recording import Draft, write_records
from app.ledger.shifts import entries_of
from app.plant.measures import DAY, MEASURES, SHIFT, WEEK
from app.plant.plan import Plan
from app.plant.samples import EVERY, LAST, MEAN, SUM
from app.reports.numbers import rounded
from tests.archives import table, take, unpacked, with_rows
from tests.bench import NOON
from tests.examples import checks
from tests.served import demo_database

TOTALS = {
    "cane", "imbibition", "mixed_juice", "bagasse", "filter_cake", "sugar", "final_molasses",
    "fibre_in_cane", "pol_in_cane", "pol_in_mixed_juice", "pol_in_bagasse", "pol_in_filter_cake",
    "pol_in_sugar", "pol_in_final_molasses", "undetermined_pol", "pol_extraction",
    "boiling_house_recovery", "overall_recovery", "bagasse_loss", "filter_cake_loss",
    "final_molasses_loss", "undetermined_loss",
}  # fmt: skip


@pytest.fixture(scope="module")
def demonstration(tmp_path_factory):
    """The archive of the demonstration's season."""
    folder = tmp_path_factory.mktemp("demonstration")
    engine = open_database(f"sqlite:///{demo_database(folder)}")
    with reading(engine) as connection:
        make_archive(connection, "2026", folder / "season.zip")
    engine.dispose()
    return folder / "season.zip"


def compared(files):
    """Return each total as recomputed and as the ledger printed it."""
    tables = {name[5:-4]: table(files, name[5:-4]) for name in files if name.startswith("data/")}
    ledger = {row["name"]: row["printed"] for row in tables["figures"] if row["record"] == "total"}
    found = recompute.recompute(tables)
    return {name: (recompute.printed(found[name], ledger[name]), ledger[name]) for name in TOTALS}


def test_the_demonstration_recomputes_in_every_printed_digit(demonstration, tmp_path):
    """A-46: by the program that travels, with nothing of ours within its reach."""
    files = unpacked(demonstration)
    for program in ("verify.py", "recompute.py"):
        (tmp_path / program).write_bytes(files[program])
        command = [sys.executable, "-I", "-S", str(tmp_path / program), str(demonstration)]
        ran = subprocess.run(command, capture_output=True, text=True, check=False)
        assert (ran.returncode, ran.stderr) == (0, "")
    assert ran.stdout.count("equal\n") == len(TOTALS)
    assert "0 different" in ran.stdout
    assert all(ours and ours == printed for ours, printed in compared(files).values())


def test_it_recomputes_the_folder_that_it_lies_in_where_none_is_named(demonstration, tmp_path):
    """A-46: as the other program does, from wherever it is started."""
    with zipfile.ZipFile(demonstration) as archive:
        archive.extractall(tmp_path)
    command = [sys.executable, "-I", "-S", str(tmp_path / "recompute.py")]
    ran = subprocess.run(command, capture_output=True, text=True, check=False, cwd="/")
    assert (ran.returncode, ran.stderr) == (0, "")
    assert "0 different" in ran.stdout


def test_the_demonstration_has_gaps_corrections_and_readings(demonstration):
    """Else the check above would say less than it seems to."""
    files = unpacked(demonstration)
    states = {row["state"] for row in table(files, "figures") if row["record"] == "shift"}
    assert states == {"analysed", "estimated"}
    assert {row["status"] for row in table(files, "entries")} >= {"standing", "superseded"}
    assert any(row["record"] == "reading" for row in table(files, "figures"))


def test_a_printed_total_that_is_wrong_is_found(demonstration, tmp_path, capsys):
    """A-46."""
    files = unpacked(demonstration)
    rows = table(files, "figures")
    (row,) = [r for r in rows if r["record"] == "total" and r["name"] == "pol_extraction"]
    row["printed"] = str(Decimal(row["printed"]) + Decimal("0.01"))
    (tmp_path / "data").mkdir()
    for name, content in with_rows(files, "figures", rows).items():
        if name.startswith("data/"):
            (tmp_path / name).write_bytes(content)
    assert recompute.main([str(tmp_path)]) == 1
    assert "DIFFERENT" in capsys.readouterr().out
    assert recompute.main([str(tmp_path / "nothing")]) == 2
    assert recompute.main([]) == 2


def test_entries_give_the_value_and_beside_it_the_value_as_printed(demonstration):
    """A-47."""
    files = unpacked(demonstration)
    decimals = {row["name"]: int(row["decimals"]) for row in table(files, "measures")}
    compared = 0
    for row in table(files, "entries"):
        if row["value"]:
            printed = rounded(Decimal(row["value"]), decimals[row["measure"]])
            assert row["printed"] == f"{printed:f}"
            assert Decimal(row["value"]) == Decimal(row["typed"].replace(",", "."))
            compared += row["value"] != row["printed"]
        else:
            assert row["printed"] == ""
    assert compared  # somewhere more digits were typed than are printed
    totals = [r for r in table(files, "figures") if r["record"] == "total" and r["value"]]
    for row in totals:
        assert row["printed"] == f"{rounded(float(row['value']), places(row['printed'])):f}"
    assert len(totals) > 200


def places(printed):
    return len(printed.partition(".")[2])


ASKED = [
    "cane", "imbibition", "mixed_juice", "bagasse", "filter_cake", "sugar", "final_molasses",
    "mixed_juice_brix", "mixed_juice_pol", "mixed_juice_purity", "mixed_juice_suspended_solids",
    "bagasse_pol", "bagasse_moisture", "bagasse_brix", "filter_cake_pol", "sugar_pol",
    "final_molasses_brix", "final_molasses_pol", "last_expressed_juice_brix",
    "last_expressed_juice_pol", "last_expressed_juice_purity",
    *(m.name for m in MEASURES.values() if m.station == "stock"),
]  # fmt: skip
USUALLY = {"cane": 1200, "imbibition": 380, "mixed_juice": 1250, "bagasse": 330}


def season(choose, often, crew, plan=None):
    """Yield five days of three shifts with gaps, one shift without a sheet, one day that runs."""
    for shift in range(13):
        day, number = date(2026, 6, 5) + timedelta(days=shift // 3), shift % 3 + 1
        at = datetime.fromisoformat("2026-06-05T11:00:01+00:00") + timedelta(hours=8 * shift)
        taken = (plan or Plan()).every(day)
        if shift == 4 and often == 1 and not plan:
            continue
        for name, sample in due_places(taken, day, number):
            measure = taken[name]
            rare = 0.3 if name.endswith("_purity") and measure.station != "stock" else often
            if choose.random() < (1 if not measure.carrier and (often == 1 or plan) else rare):
                low, high = measure.usual
                value = USUALLY.get(name, low) + (high - low) * choose.random() * 0.3
                if name in ("mixed_juice_pol", "last_expressed_juice_pol", "final_molasses_pol"):
                    value = low * 0.7  # pol stays below brix
                elif name == "bagasse_brix":
                    value = high
                if measure.rule == SUM and measure.every:
                    value *= measure.every / 8
                typed = f"{value:.{measure.decimals}f}"
                yield HistoryEntry(day, number, name, typed, None, crew, at, False, sample)


def due_places(taken, day, number):
    """Yield what is due on a shift: each sample of each measure."""
    due = {SHIFT: True, DAY: number == 3, WEEK: number == 3 and day.isoweekday() == 7}
    for name in ASKED:
        if due[taken[name].grain]:
            yield from ((name, n + 1) for n in range(8 // (taken[name].every or 8)))


CHOICES = list(product(*recompute.KNOWN.values()))


@pytest.mark.parametrize("seed", range(16))
def test_any_season_recomputes_by_any_convention_it_knows(bench, tmp_path, seed):
    """A-46: gaps estimated by day and week, weights that lack, coverage too small, stock."""
    choose, often = random.Random(seed), 1 - 0.04 * (seed % 4)
    chosen = dict(zip(recompute.KNOWN, choose.choice(CHOICES), strict=True))
    dated = [(name, value, date(2026, 6, 1)) for name, value in chosen.items()]
    if often == 1:  # a change within the season
        other = choose.choice(recompute.KNOWN["suspended_solids"])
        dated.append(("suspended_solids", other, date(2026, 6, 7)))
    with writing(bench.engine) as connection:
        for name, value, since in dated:
            mills.add_convention(
                connection, bench.mill, name=name, value=value, since=since, source="the mill",
                by=bench.ann, at=NOON,
            )  # fmt: skip
        load_history(connection, bench.season, season(choose, often, bench.ann.id))
    with reading(bench.engine) as connection:
        make_archive(connection, "2026", tmp_path / "season.zip")
    files = unpacked(tmp_path / "season.zip")
    verify.check(files)
    for name, (ours, printed) in compared(files).items():
        assert ours == printed, (name, dated)


def any_way(choose, measure):
    """Return some way in which a mill may take a measure, and since when."""
    since = date(2026, 6, choose.choice((1, 6, 7)))
    seldom = (DAY, DAY, WEEK) if measure.carrier else (DAY,)
    grain = choose.choice((SHIFT,) * 5 + seldom)
    every = choose.choice(EVERY) if grain == SHIFT else 0
    rule = choose.choice((MEAN, LAST) if measure.carrier else (SUM, SUM, LAST))
    return {"since": since, "grain": grain, "every": every, "rule": rule}


def test_sugar_of_which_lots_were_not_analysed_recomputes_as_it_was_withheld(bench, tmp_path):
    """A-46: of 300 t the pol of 130 is known, and then of 430 of 600: 60 % is needed."""

    def bag(number, ended, *lots):
        drafts = [
            Draft("bagging", bench.day, number, {
                "lot": f"{ended}-{n}", "ended": ended, "bulk": bulk, "pol": pol,
            })
            for n, (bulk, pol) in enumerate(lots)
        ]  # fmt: skip
        with writing(bench.engine) as connection:
            at = bench.end_of(number=number)
            write_records(connection, bench.season, drafts, by=bench.ann, at=at)
        with reading(bench.engine) as connection:
            make_archive(connection, "2026", tmp_path / f"{number}.zip")
        return compared(unpacked(tmp_path / f"{number}.zip"))["pol_in_sugar"]

    with writing(bench.engine) as connection:
        mills.add_convention(
            connection, bench.mill, name="sugar_accounted", value="bagged",
            since=date(2026, 6, 1), source="the mill", by=bench.ann, at=NOON,
        )  # fmt: skip
    bag(1, "08:00", ("65", "98"), ("35", ""))
    bag(2, "15:00", ("65", "98"), ("35", ""))
    assert bag(3, "23:00", ("100", "")) == ("", "")
    ours, printed = bag(3, "23:30", ("300", "98"))
    assert ours == printed == "588.00"


@pytest.mark.parametrize("seed", range(12))
def test_any_season_recomputes_however_its_mill_samples(bench, tmp_path, seed):
    """A-46: samples by the hour, tests of them and some left out, composites, from any day on."""
    choose, often = random.Random(seed), 1 - 0.03 * (seed % 3)
    changed = choose.sample([n for n in ASKED if MEASURES[n].station != "stock"], 10)
    for name in changed + changed[:3]:  # some are changed again
        take(bench, name, **any_way(choose, MEASURES[name]))
    plan = bench.read(plan_of, bench.mill)
    with writing(bench.engine) as connection:
        load_history(connection, bench.season, season(choose, often, bench.ann.id, plan))
    counted = retest(bench, choose)
    with reading(bench.engine) as connection:
        make_archive(connection, "2026", tmp_path / "season.zip")
    files = unpacked(tmp_path / "season.zip")
    verify.check(files)
    entries = table(files, "entries")
    assert {row["determination"] for row in entries} == {"1", "2"}
    assert max(int(row["sample"]) for row in entries) > 1
    assert sum(row["state"] == "left out" for row in entries) == counted
    found = compared(files)
    assert sum(bool(printed) for _, printed in found.values()) >= 8  # else it would compare blanks
    for name, (ours, printed) in found.items():
        assert ours == printed, name


def retest(bench, choose):
    """Test every twelfth result again, leave some of the tests out, and return how many."""
    late = {"late_reason": "tested again", "at": NOON + timedelta(days=20)}
    left_out = 0
    for kept in bench.read(entries_of, bench.season, date(2026, 6, 5), date(2026, 6, 9))[::12]:
        entry = kept.entry
        place = {"day": kept.day, "number": kept.number, "sample": entry.sample}
        again = f"{entry.value * 99 / 100:.{MEASURES[entry.measure].decimals}f}"
        bench.write(entry.measure, again, determination=2, **place, **late)
        if choose.random() < 0.3:
            out = {"left_out": True, "based_on": entry.id, "reason": "spilt"}
            bench.write(entry.measure, entry.typed, **out, **place, at=late["at"])
            left_out += 1
    return left_out


def test_a_convention_that_it_does_not_know_is_refused_plainly(bench, tmp_path, capsys):
    bench.write("cane", "1250", late_reason="late", at=NOON + timedelta(days=1))
    with writing(bench.engine) as connection:
        mills.add_convention(
            connection, bench.mill, name="bagasse_weight", value="from fibre of cane",
            since=date(2026, 6, 1), source="the mill", by=bench.ann,
            at=NOON,
        )  # fmt: skip
    with reading(bench.engine) as connection:
        make_archive(connection, "2026", tmp_path / "season.zip")
    assert recompute.main([str(tmp_path / "season.zip")]) == 2
    assert "“from fibre of cane”, which this program does not know" in capsys.readouterr().err


@pytest.mark.parametrize("row", checks("rounding"), ids=lambda row: row["value"])
def test_it_rounds_as_the_ledger_does(row):
    like = row["printed"].replace("\u2212", "-")
    assert recompute.printed(float(row["value"]), like) == like
