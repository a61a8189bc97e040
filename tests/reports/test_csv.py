"""The CSV file of a period: whole, plain, and harmless in a spreadsheet."""

import csv
import io
from dataclasses import replace
from decimal import Decimal

import pytest

from app.exports.columns import COLUMNS
from app.exports.csv import how_often, inert, period_csv
from app.plant.measures import MEASURES

from .conftest import LAST_DAY


@pytest.fixture(scope="module")
def text(season) -> str:
    return period_csv(season.books, season.books.to(LAST_DAY), "seasons-2026", season.entries)


@pytest.fixture(scope="module")
def rows(text) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(text, newline="")))


def test_the_file_follows_rfc_4180(text):
    records = list(csv.reader(io.StringIO(text, newline=""), strict=True))
    assert records[0] == list(COLUMNS)
    assert {len(record) for record in records} == {len(COLUMNS)}
    assert text.endswith("\r\n")
    assert text.count("\n") == text.count("\r\n") == len(records)


def test_totals_are_recomputed_from_the_shifts_in_the_file(rows):
    totals = {r["name"]: float(r["value"]) for r in rows if r["record"] == "total" and r["value"]}
    shares: dict[str, float] = {}
    for row in rows:
        if row["record"] == "shift":
            shares[row["name"]] = shares.get(row["name"], 0.0) + float(row["value"])
    withheld = shares.keys() - totals.keys()  # too little analysed: see what each lacks
    assert len(shares) - len(withheld) > 40
    for name, total in shares.items():
        if name in withheld:
            continue
        assert total == pytest.approx(totals[name], abs=1e-6, rel=0), name


def test_every_standing_entry_is_in_the_file_as_typed_and_exact(rows, season):
    standing = [kept for kept in season.entries if kept.status == "standing"]
    written = {int(r["entry"]): r for r in rows if r["record"] == "entry"}
    assert written.keys() == {kept.entry.id for kept in standing}
    with_comma = next(kept.entry for kept in standing if "," in kept.entry.typed)
    row = written[with_comma.id]
    assert row["typed"] == with_comma.typed
    assert Decimal(row["value"]) == with_comma.value
    assert row["unit"] == with_comma.unit
    assert row["recorded_by"] == with_comma.recorded_name


def test_a_superseded_entry_is_not_a_standing_one(rows, season):
    superseded = {kept.entry.id for kept in season.entries if kept.status == "superseded"}
    assert superseded
    assert not superseded & {int(r["entry"]) for r in rows if r["record"] == "entry"}


def test_every_total_names_its_formula_source_and_unit_or_what_it_lacks(rows):
    for row in rows:
        if row["record"] == "total":
            assert row["formula"], row["name"]
            assert row["source"], row["name"]
            assert bool(row["value"]) != bool(row["missing"]), row["name"]


@pytest.mark.parametrize("text", ["=1+2", "+cmd", "-2+3", "@SUM(A1)"])
def test_text_that_a_spreadsheet_would_run_is_made_inert(text):
    assert inert(text) == f"'{text}"


@pytest.mark.parametrize(
    ("text", "made"),
    [
        ("pump;=HYPERLINK(1)", "pump;'=HYPERLINK(1)"), ("a;-5", "a;'-5"), ("a\t@b", "a\t'@b"),
        ('a; "=1"', "a;' \"=1\""), ("=1;+2", "'=1;'+2"),
        ("\t=1", "'\t'=1"), ("\r=1", "'\r'=1"), ("a\n=1", "a\n'=1"), ("a; b;c", "a; b;c"),
    ],
)  # fmt: skip
def test_what_would_run_where_columns_are_parted_at_semicolons_is_made_inert(text, made):
    assert inert(text) == made


@pytest.mark.parametrize("text", ["-0.35", "+1,5", "12", "", "flask mixed up", "not measured"])
def test_numbers_and_plain_text_are_left_as_they_are(text):
    assert inert(text) == text


def test_a_hostile_name_and_reason_are_inert_in_the_file(season):
    kept = season.entries[0]
    hostile = replace(
        kept, entry=replace(kept.entry, reason="=HYPERLINK(1)", recorded_name='@"a",b')
    )
    made = period_csv(season.books, season.books.day(LAST_DAY), "days-2026-10-27", [hostile])
    (row,) = [r for r in csv.DictReader(io.StringIO(made, newline="")) if r["record"] == "entry"]
    assert row["reason"] == "'=HYPERLINK(1)"
    assert row["recorded_by"] == '\'@"a",b'


def test_a_formula_is_that_of_the_conventions_in_force_and_they_are_in_the_file(rows):
    totals = {row["name"]: row for row in rows if row["record"] == "total"}
    assert totals["net_mixed_juice"]["formula"] == "mixed juice - suspended solids in it"
    assert "change of recoverable pol" in totals["pol_in_sugar"]["formula"]
    chosen = {row["name"]: row["value"] for row in rows if row["record"] == "convention"}
    assert chosen["sugar_accounted"] == "made and estimated"


def test_a_sample_says_which_test_of_it_an_entry_is_and_when_it_was_taken(rows):
    entries = [row for row in rows if row["record"] == "entry"]
    ph = [r for r in entries if (r["name"], r["day"]) == ("clear_juice_ph", str(LAST_DAY))]
    of_second = {(r["sample"], r["test"]): r for r in ph if r["shift"] == "2"}
    assert len(of_second) == 9
    out = of_second["5", "2"]
    assert (out["state"], out["typed"], out["value"]) == ("left out", "8.02", "")
    assert out["sampled_at"] == of_second["5", "1"]["sampled_at"] == "2026-10-27T14:00:00+00:00"
    assert {r["sampled_at"] for r in entries if r["name"] == "cane"} == {""}


def test_the_plan_in_force_is_in_the_file(rows):
    plan = {row["name"]: row for row in rows if row["record"] == "plan"}
    assert plan["mixed_juice"]["formula"] == "each shift"
    assert plan["final_molasses_brix"]["formula"] == "once a day"
    assert {row["state"] for row in plan.values()} == {"due", "not always"}


@pytest.mark.parametrize(
    ("chosen", "words"),
    [
        ({"every": 1, "rule": "mean"}, "each hour, mean of the samples"),
        ({"every": 2, "rule": "last"}, "each 2 hours, the last sample"),
        ({"grain": "week"}, "composite of the week"),
    ],
)
def test_how_often_a_measure_is_taken_is_said_in_words(chosen, words):
    assert how_often(replace(MEASURES["clear_juice_ph"], **chosen)) == words
