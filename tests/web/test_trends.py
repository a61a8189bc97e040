"""Trends over HTTP: control charts, baselines that are kept, and pages that need a whole season."""

import json
import re
from datetime import date

import numpy as np
import pytest

from app.database import reading, writing
from app.ledger import mills
from app.ledger.baselines import kept_baselines
from app.ledger.trail import Asked, told
from tests.bench import NOON
from tests.importing import LATER, bring_in

CHART = "/trends?of=mixed_juice_brix&per=shift"
WANDERS = np.round(14.2 + 0.1 * np.random.default_rng(2).standard_normal(24), 2)
DAYS = [(f"2026-06-{1 + n // 3:02}", 1 + n % 3) for n in range(24)]
BASELINE = {"of": "mixed_juice_brix", "per": "shift", "season": "2026"}
BASELINE |= {"from": "2026-06-01", "to": "2026-06-06"}


@pytest.fixture
def readers(bench, visit, rosa):
    """A chemist and a chief chemist of a season of eight days, its last brix out of all limits."""
    brixes = [*WANDERS[:-1], 16.4]
    rows = [f"{day},{number},{v:.2f}" for (day, number), v in zip(DAYS, brixes, strict=True)]
    bring_in(bench, "\n".join(["day,shift,mixed_juice_brix", *rows]))
    return rosa, visit("chief")


def limits_of(page):
    """Lower limit, centre and upper limit as a chart prints them."""
    numbers = re.search(r"<tbody><tr>((<td class=\"num\">[^<]*</td>)+)</tr>", page.text)[1]
    return [float(text) for text in re.findall(r">([\d.]+)</td>", numbers)[:3]]


def of_individuals(values):
    centre, reach = np.mean(values), 3 * np.abs(np.diff(values)).mean() / 1.128
    return [centre - reach, centre, centre + reach]


def test_limits_come_from_the_first_twenty_values_and_what_lies_beyond_is_told(readers):
    """C-55, C-56"""
    page = readers[0].get(CHART)
    assert limits_of(page) == pytest.approx(of_individuals(WANDERS[:20]), abs=5.1e-4)
    assert "shift 3 of 8 Jun: 1 shift above the upper limit" in page.text
    assert "no baseline is kept for this chart" in page.text
    row = re.search(r"shift 3 of 8 Jun</a></th>.*?</tr>", page.text)[0]
    assert "16.40" in row
    assert "One point beyond three sigma" in row


def test_a_rule_that_is_switched_off_says_nothing_and_is_counted(readers):
    page = readers[0].get(f"{CHART}&judged=yes&rule=nine")
    assert "above the upper limit" not in page.text
    assert re.search(
        r"One point beyond three sigma</th><td>[^<]*</td><td>off</td><td .*?>1<", page.text
    )
    assert "Every rule is switched off" in readers[0].get(f"{CHART}&judged=yes").text


def test_days_chosen_are_a_trial_that_nobody_keeps(readers):
    page = readers[0].get(f"{CHART}&from=2026-06-02&to=2026-06-05")
    assert limits_of(page) == pytest.approx(of_individuals(WANDERS[3:15]), abs=5.1e-4)
    assert "nobody keeps them" in page.text
    few = readers[0].get(f"{CHART}&from=2026-06-02&to=2026-06-03")
    assert "The baseline has 6 values; limits need 8 or more." in few.text


def test_a_kept_baseline_stays_as_it_was_whatever_is_corrected(readers, bench):
    """C-55: limits unchanged until a person keeps another; each is told in the chain."""
    chemist, chief = readers
    assert (
        chief.post("/trends/baselines", BASELINE | {"reason": "six even days"}).status_code == 303
    )
    page = chemist.get(CHART)
    before = limits_of(page)
    assert before == pytest.approx(of_individuals(WANDERS[:18]), abs=5.1e-4)
    assert "Limits of baseline 1, 1 Jun 2026 to 6 Jun 2026 (18 values)" in page.text
    assert "six even days" in page.text

    (entry,) = bench.trail("mixed_juice_brix")
    bench.write("mixed_juice_brix", "15.9", entry.id, "misread", at=LATER)
    page = chemist.get(CHART)
    assert limits_of(page) == before
    assert "something was corrected since" in page.text

    again = BASELINE | {"to": "2026-06-07", "reason": "seven days, corrected"}
    assert chief.post("/trends/baselines", again).status_code == 303
    assert limits_of(chemist.get(CHART)) != before
    assert limits_of(chemist.get(f"{CHART}&version=1")) == before
    with reading(bench.engine) as connection:
        kept = kept_baselines(connection, "mixed_juice_brix", "shift")
        events = [each for each in told(connection, Asked()) if each.kind == "baseline"]
    assert [each.number for each in kept] == [1, 2]
    assert [each.content["reason"] for each in events] == ["seven days, corrected", "six even days"]
    assert json.dumps(events[1].content["low"]) == f'"{kept[0].said.low!r}"'
    trail = chemist.get("/trail?day=").text
    assert "Control chart of Mixed juice, brix" in trail
    assert "baseline 2, 1 Jun 2026 to 7 Jun 2026" in trail


@pytest.mark.parametrize(
    ("otherwise", "words"),
    [
        ({"reason": " "}, "Say in words why these days are the baseline."),
        ({"reason": "good", "to": "2026-06-02"}, "limits need 8 or more."),
        ({"reason": "good", "to": "2026-05-02"}, "The first day comes after the last one."),
        ({"reason": "good", "of": "brux"}, "No measure or figure is called brux."),
    ],
)
def test_a_baseline_that_cannot_be_says_why_and_nothing_is_kept(readers, bench, otherwise, words):
    answer = readers[1].post("/trends/baselines", BASELINE | otherwise)
    assert answer.status_code == 422
    assert words in answer.text
    with reading(bench.engine) as connection:
        assert kept_baselines(connection, "mixed_juice_brix", "shift") == []


def test_a_name_that_is_none_is_answered_with_what_comes_near(readers):
    page = readers[0].get("/trends?of=extraktion")
    assert page.status_code == 422
    assert 'href="/trends?of=pol_extraction"' in readers[0].get("/trends?of=pol extractio").text
    assert readers[0].get("/trends?of=POL extraction").status_code == 200


def test_a_season_stands_beside_the_one_before_on_the_same_weeks(readers, bench):
    with writing(bench.engine) as connection:
        mills.add_season(
            connection, bench.mill, name="2025", first_day=date(2025, 6, 15),
            last_day=date(2025, 6, 30), at=NOON,
        )  # fmt: skip
    # a Sunday and the Monday after it are two weeks, however few their days
    rows = [f"2025-06-{day},{n},{1000 + day}" for day in (15, 16) for n in (1, 2, 3)]
    rows += [f"2026-06-{day:02},{n},1500" for day in range(1, 9) for n in (1, 2, 3)]
    bring_in(bench, "\n".join(["day,shift,cane", *rows]))

    def weeks(address):
        cells = re.findall(r'<tr><th scope="row">(\d)</th>(.*?)</tr>', readers[0].get(address).text)
        return {number: re.findall(r">([^<>]+)(?:</a>)?</td>", row) for number, row in cells}

    assert weeks("/trends/season?of=cane") == {
        "1": ["31\u202f500.0", "3045.0"], "2": ["4500.0", "3048.0"],
    }  # fmt: skip
    assert weeks("/trends/season?of=cane&to=date") == {
        "1": ["31\u202f500.0", "3045.0"], "2": ["36\u202f000.0", "6093.0"],
    }  # fmt: skip


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("first=2026-06-05&last=2026-06-02", "The last day is before the first."),
        ("first=2026-06-99&last=", "Type a day like 2026-07-14."),
        ("first=&last=0001-01-02", "Nothing is entered in these days."),
        ("first=2026-08-05&last=2026-08-06", "Nothing is entered in these days."),
    ],
)
def test_days_of_stops_that_cannot_be_are_said_beside_what_was_typed(readers, typed, words):
    answer = readers[0].get(f"/trends/stops?{typed}")
    assert answer.status_code == 422
    assert f"{words}</span>" in answer.text
    for name, value in (each.split("=") for each in typed.split("&")):
        assert f'name="{name}" value="{value}"' in answer.text
    shown = readers[0].get("/trends/stops?first=2026-06-02&last=2026-06-05")
    assert shown.status_code == 200
    assert 'name="first" value="2026-06-02"' in shown.text
    assert "aria-invalid" not in shown.text
