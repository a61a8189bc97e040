"""Where the points went, over HTTP: against target, the period before and the season before."""

import csv
import io
import re
from datetime import date, timedelta

import pytest

from app.database import reading, writing
from app.ledger import chain, mills
from app.ledger.history import HistoryEntry, load_history
from tests.bench import NOON
from tests.small_season import JUNE, load, results

DAYS = JUNE[:2]  # over at noon of the third
TARGETS = {
    "overall_recovery": 85.4, "pol_extraction": 96.5, "filter_cake_loss": 0.5,
    "mixed_juice_purity": 84.5, "sugar_purity": 99.1, "final_molasses_purity": 35.5,
    "undetermined_loss": 1.3,
}  # fmt: skip
KINDS = ("/days/2026-06-02", "/weeks/2026-W23", "/months/2026-06", "/seasons/2026")


def aim(bench, targets):
    with writing(bench.engine) as connection:
        for figure, value in targets.items():
            mills.add_target(
                connection, bench.mill, figure=figure, value=value, since=date(2026, 1, 1),
                by=bench.ann, at=NOON,
            )  # fmt: skip


@pytest.fixture
def reader(ann, bench):
    """A chemist of a mill that has two days and every target."""
    load(bench, results(DAYS))
    aim(bench, TARGETS)
    return ann


def rows_of(answer):
    return list(csv.DictReader(io.StringIO(answer.text, newline="")))


def added(rows):
    return sum(float(row["points"]) for row in rows if row["record"] == "part"
               and not row["name"].startswith("of_"))  # fmt: skip


@pytest.mark.parametrize("address", KINDS)
def test_the_points_of_every_period_against_target_add_to_the_change(reader, address):
    page = reader.get(f"{address}/points").text
    assert "Most was lost by:" in page
    assert "<svg" in page
    rows = rows_of(reader.get(f"{address}/points.csv"))
    (change,) = [row for row in rows if row["record"] == "change"]
    assert added(rows) == pytest.approx(float(change["points"]), abs=1e-9)
    assert float(change["before"]) == 85.4


@pytest.mark.parametrize("address", KINDS)
def test_a_report_leads_to_where_its_points_went(reader, address):
    assert f'href="{address}/points"' in reader.get(address).text


def test_a_target_that_the_mill_has_not_is_named_and_nothing_is_guessed(ann, bench):
    load(bench, results(DAYS))
    aim(bench, {name: v for name, v in TARGETS.items() if name != "sugar_purity"})
    page = ann.get("/days/2026-06-02/points").text
    assert "Target: Sugar purity has no target." in page
    assert "Most was lost by" not in page
    assert "Pol from cane to bag" in page
    rows = rows_of(ann.get("/days/2026-06-02/points.csv"))
    assert {row["record"] for row in rows} == {"flow"}


def test_a_day_against_the_day_before_and_the_first_day_against_none(reader):
    page = reader.get("/days/2026-06-02/points?against=before").text
    assert "1\u00a0Jun" in page
    assert 'aria-current="page">The day before</a>' in page
    first = reader.get("/days/2026-06-01/points?against=before").text
    assert "The season holds nothing before this." in first
    assert "Pol from cane to bag" in first


@pytest.mark.parametrize(
    "address",
    ["/days/2026-06-02/points", "/days/2026-06-02/what-if", "/days/2026-06-02/balance",
     "/seasons/2026/forecast", "/trends?of=pol_extraction"],
)  # fmt: skip
def test_a_print_says_at_its_end_of_which_mill_it_is_and_up_to_which_event(reader, bench, address):
    with reading(bench.engine) as connection:
        head = chain.head(connection)
    page = reader.get(address).text
    (line,) = re.findall('<p class="known-line">(.*?)</p>', page)
    assert line.startswith(f"{bench.mill.name} · Known ")
    assert line.endswith(f"chain {head.short}")
    assert not re.search(r'class="[^"]*\b(draft|issued)\b', page)  # whose foot is of issues


def test_without_a_season_before_that_is_said(reader):
    for address in KINDS:
        page = reader.get(f"{address}/points?against=last-season").text
        assert "The ledger holds no season before this one." in page


def season_before(bench, first_day, days):
    """Add the season of 2025, which began on that day, with results of so many days."""
    held = [first_day + timedelta(days=n) for n in range(days)]
    with writing(bench.engine) as connection:
        season = mills.add_season(
            connection, bench.mill, name="2025", first_day=first_day,
            last_day=first_day + timedelta(days=100), at=NOON,
        )  # fmt: skip
        entries = []
        for day, number, measure, value in results(held):
            worse = value * (0.98 if measure == "sugar" else 1)
            _, at = bench.mill.clock.shift_bounds(day, number)
            entries.append(HistoryEntry(
                day, number, measure, f"{worse:.3f}", None, bench.ann.id, at - timedelta(hours=1),
                False,
            ))  # fmt: skip
        load_history(connection, season, entries)


def test_the_same_days_of_the_season_before_are_those_as_far_from_its_first(reader, bench):
    season_before(bench, date(2025, 5, 20), 5)
    page = reader.get("/days/2026-06-02/points?against=last-season").text
    assert "Season 2025, 21\u00a0May" in page
    rows = rows_of(reader.get("/days/2026-06-02/points.csv?against=last-season"))
    (change,) = [row for row in rows if row["record"] == "change"]
    assert float(change["points"]) > 1  # sugar was 2 % less
    assert added(rows) == pytest.approx(float(change["points"]), abs=1e-9)
    whole = reader.get("/seasons/2026/points?against=last-season").text
    assert "20\u00a0May to 21\u00a0May" in whole


def test_days_that_the_season_before_has_not_are_told(reader, bench):
    season_before(bench, date(2025, 5, 20), 1)
    page = reader.get("/days/2026-06-02/points?against=last-season").text
    assert "Season 2025 holds nothing of these days." in page


def test_what_is_not_offered_is_answered_by_target(reader):
    assert 'aria-current="page">Target' in reader.get("/seasons/2026/points?against=before").text
    assert 'aria-current="page">Target' in reader.get("/days/2026-06-02/points?against=x").text


def test_what_lacks_of_a_day_is_named(ann, bench):
    load(bench, results(DAYS, leaving_out=["sugar"]))
    aim(bench, TARGETS)
    page = ann.get("/days/2026-06-02/points").text
    assert "Overall recovery needs sugar" in page
    assert "There is no picture of it" in page


def test_the_day_before_is_the_last_one_with_entries(app, visit, bench):
    after = DAYS[0] + timedelta(days=22)
    load(bench, results([DAYS[0], after]))
    app.state.clock = lambda: NOON + timedelta(days=22)
    page = visit("ann").get(f"/days/{after}/points?against=before").text
    assert "1\u00a0Jun" in page
    assert "22\u00a0Jun" not in page
    assert "Overall recovery needs" not in page
