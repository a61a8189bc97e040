"""Reports, figures and files over HTTP, from one shift that somebody has just typed."""

import csv
import io

import pytest

DAY = "/days/2026-06-03"
PERIODS = (DAY, "/weeks/2026-W23", "/months/2026-06", "/seasons/2026")

TYPED = {
    "cane": "1800", "crushing_hours": "7,5", "imbibition": "560", "mixed_juice": "1850",
    "mixed_juice_brix": "14,20", "mixed_juice_pol": "12.10", "bagasse_pol": "1.70",
    "bagasse_moisture": "50.5", "last_expressed_juice_brix": "4.00",
    "last_expressed_juice_pol": "2.84", "filter_cake": "63", "filter_cake_pol": "1.6",
    "sugar": "195", "sugar_pol": "98.9", "sugar_moisture": "0.25",
}  # fmt: skip


@pytest.fixture
def reader(ann):
    """A chemist who has typed the morning's shift."""
    assert ann.save_sheet(TYPED).status_code == 303
    return ann


@pytest.mark.parametrize("address", PERIODS)
def test_every_kind_of_period_is_a_page_and_a_file(reader, address):
    assert reader.get(address).status_code == 200
    answer = reader.get(f"{address}.csv")
    assert answer.headers["content-type"] == "text/csv; charset=utf-8"
    assert answer.headers["content-disposition"].endswith('.csv"')
    rows = list(csv.DictReader(io.StringIO(answer.text, newline="")))
    typed = {r["name"]: r["typed"] for r in rows if r["record"] == "entry"}
    assert typed == TYPED


# By hand: pol in juice 1850 × 12.10 % = 223.85 t; bagasse 1800 + 560 - 1850 = 510 t with 1.70 %
# pol = 8.67 t; extraction 100 × 223.85 ÷ 232.52 = 96.2713.
def test_the_morning_report_prints_what_follows_from_the_sheet(reader):
    page = reader.get(DAY).text
    assert "Morning report" in page
    assert ">96.27</a>" in page
    assert ">8.67</a>" in page
    assert "The day is not over." in page


@pytest.mark.parametrize("address", [*PERIODS, "/shifts/2026-06-03/1", f"{DAY}/to-date"])
def test_a_figure_opens_to_its_formula_inputs_and_source(reader, address):
    page = reader.get(f"{address}/figures/pol_extraction").text
    assert 'alttext="100 × pol in mixed juice ÷ pol in cane"' in page
    assert "<mfrac>" in page
    assert "<strong>96.27</strong> ±" in page
    assert f"{address}/figures/pol_in_mixed_juice" in page
    assert "(from memory)" in page


def test_a_convention_that_is_a_word_has_no_blank_before_its_stop(reader):
    page = reader.get(f"{DAY}/figures/target_purity_difference").text
    assert "Molasses purity compared with its target: apparent. The target is" in page


def test_a_total_opens_to_the_sheets_behind_it(reader):
    page = reader.get(f"{DAY}/figures/pol_in_bagasse").text
    assert "/shifts/2026-06-03/1/cells/bagasse_pol" in page


def test_a_figure_that_cannot_be_worked_out_says_what_to_measure(reader):
    page = reader.get(f"{DAY}/figures/java_ratio").text
    assert "Not available" in page
    assert "first expressed juice, pol" in page
    assert "/shifts/2026-06-03/1#first_expressed_juice_pol" in page


@pytest.mark.parametrize("address", [*PERIODS, "/shifts/2026-06-03/1"])
def test_every_kind_of_period_gives_all_its_figures_by_station(reader, address):
    page = reader.get(f"{address}/figures").text
    assert f'<a href="{address}/figures/pol_extraction">' in page
    assert page.count("<caption") == page.count("<table") > 0
    assert page.count('<abbr title="twice the standard uncertainty">') == page.count("<table")
    assert "not worked out here, and what each needs" in page


def test_today_tells_the_open_shift_and_what_it_owes(reader):
    page = reader.get("/").text
    assert "Shift 1 is open" in page
    assert f"<strong>{len(TYPED)}</strong> of" in page
    assert "Still missing" in page


@pytest.mark.parametrize(
    "address",
    [
        "/days/2026-05-01", "/days/2026-06-09", "/days/today", "/weeks/2026-W60", "/weeks/now",
        "/weeks/2026-W40", "/months/2026-13", "/months/2026-09", "/seasons/1999",
        "/seasons/1999.csv", f"{DAY}/figures/nothing", "/shifts/2026-06-02/1/figures/cane",
    ],
)  # fmt: skip
def test_a_period_that_is_not_there_is_told_plainly(reader, address):
    answer = reader.get(address)
    assert answer.status_code == 404
    words = "There is no such page" if address == "/days/today" else "This is not there"
    assert words in answer.text


@pytest.mark.parametrize("username", ["manager", "auditor", "administrator"])
@pytest.mark.usefixtures("reader")
def test_everyone_who_signs_in_reads_and_exports(visit, username):
    other = visit(username)
    for address in (*PERIODS, f"{DAY}.csv", "/", "/manual"):
        assert other.get(address).status_code == 200
