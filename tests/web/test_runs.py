"""Runs over HTTP: chosen by their days or between long stops, and reported as a week is."""

import csv
import io
from datetime import date

import pytest

from tests.importing import LATER
from tests.small_season import JUNE, load, results

STOOD = date(2026, 6, 4)
RUN = "/runs/2026-06-01/2026-06-07"


@pytest.fixture
def reader(app, visit, bench):
    """A chemist of a mill that crushed a week, and hardly on its fourth day."""
    rows = [
        (day, number, name, 1.5 if (day, name) == (STOOD, "crushing_hours") else value)
        for day, number, name, value in results(JUNE)
    ]
    load(bench, rows)
    app.state.clock = lambda: LATER
    return visit("ann")


def totals(answer):
    rows = csv.DictReader(io.StringIO(answer.text, newline=""))
    return {row["name"]: row["value"] for row in rows if row["record"] == "total"}


def test_a_run_of_seven_days_from_monday_is_the_week_in_every_number(reader):
    run, week = (reader.get(f"{address}.csv") for address in (RUN, "/weeks/2026-W23"))
    assert len(totals(run)) > 100
    assert totals(run) == totals(week)


def test_a_run_of_some_days_is_of_those_alone(reader):
    two = totals(reader.get("/runs/2026-06-02/2026-06-03.csv"))
    each = [float(totals(reader.get(f"/days/2026-06-0{n}.csv"))["cane"]) for n in (2, 3)]
    assert float(two["cane"]) == pytest.approx(sum(each), rel=1e-12)
    page = reader.get("/runs/2026-06-02/2026-06-03").text
    assert "Run from 2 Jun to 3 Jun 2026" in page
    assert page.count('href="/days/2026-06-0') >= 2
    assert 'href="/days/2026-06-04"' not in page


@pytest.mark.parametrize("kind", ["", ".csv", ".json", ".xlsx", ".pdf", "/points", "/points.csv",
                                  "/balance", "/what-if", "/figures",
                                  "/figures/pol_extraction"])  # fmt: skip
def test_a_run_has_every_page_and_file_that_a_week_has(reader, kind):
    run, week = (reader.get(f"{address}{kind}") for address in (RUN, "/weeks/2026-W23"))
    assert run.status_code == week.status_code == 200
    assert run.headers["content-type"] == week.headers["content-type"]


def test_the_days_typed_lead_to_their_run(reader):
    answer = reader.get("/runs?first=2026-06-02&last=2026-06-05")
    assert (answer.status_code, answer.headers["location"]) == (303, "/runs/2026-06-02/2026-06-05")
    assert 'href="/runs"' in reader.get("/seasons/2026").text


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("first=2026-06-05&last=2026-06-02", "The last day is before the first."),
        ("first=2026-06-05&last=", "Type a day like 2026-07-14."),
        ("first=2027-06-05&last=2027-06-07", "Nothing is entered yet for Run from 5 Jun"),
        ("first=2025-06-05&last=2026-06-07", "No season holds Thursday 5 June 2025."),
        ("hours=long", "Type hours, from 0 to 24."),
    ],
)
def test_what_cannot_be_a_run_is_said_beside_what_was_typed(reader, typed, words):
    answer = reader.get(f"/runs?{typed}")
    assert answer.status_code == 422
    assert words in answer.text
    name, _, value = typed.partition("&")[0].partition("=")
    assert f'name="{name}"' in answer.text
    assert f'value="{value}"' in answer.text


def test_a_day_of_long_stops_parts_two_runs(reader):
    """The fourth day stood 19.5 h."""
    page = reader.get("/runs").text
    assert 'href="/runs/2026-06-01/2026-06-03"' in page
    assert 'href="/runs/2026-06-05/2026-06-07"' in page
    assert 'href="/runs/2026-06-01/2026-06-07"' in reader.get("/runs?hours=20").text


def test_where_every_day_stood_for_longer_that_is_said_and_the_hours_stay(reader):
    """Each day stood 1.5 h."""
    answer = reader.get("/runs?hours=0")
    assert answer.status_code == 200
    assert "No day of the season was without so long a stop." in answer.text
    assert 'name="hours" inputmode="decimal" size="5" value="0"' in answer.text


def test_of_a_ledger_without_entries_the_runs_are_none(visit):
    answer = visit("ann").get("/runs")
    assert answer.status_code == 200
    assert "Nothing is entered yet." in answer.text


@pytest.mark.parametrize("state", [None, "ND"])
def test_a_day_without_entries_parts_two_runs_and_one_with_a_state_does_not(
    app, visit, bench, state
):
    load(bench, [row for row in results(JUNE) if row[0] != STOOD])
    if state:
        bench.write("bagasse_pol", state, day=STOOD, at=bench.end_of(STOOD))
    app.state.clock = lambda: LATER
    page = visit("ann").get("/runs").text
    assert ('href="/runs/2026-06-01/2026-06-03"' in page) == (state is None)
    assert ('href="/runs/2026-06-05/2026-06-07"' in page) == (state is None)
    assert ('href="/runs/2026-06-01/2026-06-07"' in page) == (state is not None)
