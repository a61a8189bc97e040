"""What if, over HTTP: for every period, in an address that can be kept, and kept nowhere else."""

import re
from datetime import date

import pytest

from app.database import reading, writing
from app.figures.conventions import CONVENTIONS, Convention
from app.figures.sources import COMMON
from app.ledger import chain, mills
from app.reports.wishes import FIELDS
from tests.bench import NOON
from tests.small_season import JUNE, load, results
from tests.web.pages import Page

DAYS = JUNE[:2]  # over at noon of the third
RUN = "/runs/2026-06-01/2026-06-02"
KINDS = ("/days/2026-06-02", "/weeks/2026-W23", "/months/2026-06", RUN, "/seasons/2026")
DAY = f"{KINDS[0]}/what-if"


@pytest.fixture
def reader(ann, bench):
    """A chemist of a mill that has two days."""
    load(bench, results(DAYS))
    return ann


def cells(page, title):
    """The numbers of a row of what it would have been: as it is, what if, the difference."""
    table = page.split("What it would have been</caption>")[1].split("</table>")[0]
    row = next(row for row in table.split("<tr")[1:] if f">{title} <" in row)
    found = [re.sub(r"<[^>]+>", "", cell).split() for cell in re.findall(r"<td.*?</td>", row)]
    return [" ".join(words) for words in found]


def every_cell(page):
    """What the cells of all tables of a page say, without their links."""
    return [re.sub(r"<[^>]+>", " ", cell) for cell in re.findall(r"<td.*?</td>", page, re.DOTALL)]


@pytest.mark.parametrize("address", KINDS)
def test_every_report_and_its_points_lead_to_what_if(reader, address):
    for page in (address, f"{address}/points"):
        assert f'href="{address}/what-if"' in reader.get(page).text
    answer = reader.get(f"{address}/what-if")
    assert answer.status_code == 200
    assert f'href="{address}/figures/overall_recovery"' in answer.text


@pytest.mark.parametrize("address", KINDS)
def test_with_nothing_typed_all_is_as_the_report_has_it(reader, address):
    page = reader.get(f"{address}/what-if").text
    _, real, would_be, *_ = cells(page, "Overall recovery")
    assert real == would_be.split()[0]
    assert f'/figures/overall_recovery">{real}</a>' in reader.get(address).text


def test_a_run_of_the_same_days_as_a_week_has_the_same_answer(reader):
    typed = "pol_extraction=97&final_molasses_purity=34&price=480"
    run, week = (reader.get(f"{address}/what-if?{typed}").text for address in (RUN, KINDS[1]))
    assert cells(run, "Overall recovery") == cells(week, "Overall recovery")
    assert every_cell(run) == every_cell(week) != every_cell(reader.get(f"{RUN}/what-if").text)
    assert f'action="{RUN}/what-if"' in run
    assert "Run from 1 Jun to" in run


def test_an_address_holds_all_that_was_typed_and_nothing_is_stored(reader, bench):
    with reading(bench.engine) as connection:
        before = chain.head(connection)
    address = f"{DAY}?final_molasses_purity=33,5&price=480&currency=BRL"
    first = reader.get(address)
    assert first.status_code == 200
    assert "more sugar; overall recovery" in first.text
    (form,) = [form for form in Page(first.text).forms if form.action == DAY]
    assert form.method == "get"
    typed = {name: text for name, text in form.fields.items() if text}
    assert typed == {"final_molasses_purity": "33,5", "price": "480", "currency": "BRL"}
    again, told = (each.text.partition("<h1>")[2] for each in (reader.get(address), first))
    assert again == told
    assert 'name="final_molasses_purity" value=""' in reader.get(DAY).text
    with reading(bench.engine) as connection:
        assert chain.head(connection) == before


def test_what_cannot_be_is_said_beside_its_box_and_stays_in_it(reader):
    answer = reader.get(f"{DAY}?pol_extraction=101&sugar_purity=99&currency=<b>")
    assert answer.status_code == 422
    page = answer.text
    assert "<title>Error: What if" in page
    assert 'value="101"' in page
    assert 'aria-invalid="true" aria-describedby="pol_extraction-wrong"' in page
    assert 'id="pol_extraction-wrong">Write a number from 1 to 100.' in page
    assert '<a href="#pol_extraction">Pol extraction: Write a number from 1 to 100.</a>' in page
    assert 'value="99"' in page
    assert "<b>" not in page
    assert "What it would have been" not in page


def test_what_lacks_of_a_day_is_named(ann, bench):
    load(bench, results(DAYS, leaving_out=["sugar"]))
    page = ann.get(DAY).text
    assert "Overall recovery needs sugar" in page
    assert "What it would have been" not in page
    assert "<form" not in page.split("<h1>")[1].split("</main>")[0]


def test_without_a_price_nothing_is_said_of_money(reader):
    assert "Money" not in reader.get(DAY).text.split("<table")[2]


def test_the_price_that_the_mill_states_stands_in_the_form_until_it_is_taken_out(
    reader, bench, monkeypatch
):
    price = Convention("sugar_price", "Price of sugar", 0.0, "per t", COMMON, "", high=1e9)
    monkeypatch.setitem(CONVENTIONS, "sugar_price", price)
    with writing(bench.engine) as connection:
        mills.add_convention(
            connection, bench.mill, name="sugar_price", value="482.5", since=date(2026, 6, 2),
            source="the agreement", by=bench.ann, at=NOON,
        )  # fmt: skip
    assert 'name="price" value="482.5"' in reader.get(DAY).text
    assert "Money for sugar" in reader.get(DAY).text
    assert 'name="price" value=""' in reader.get("/days/2026-06-01/what-if").text
    assert "Money for sugar" not in reader.get(f"{DAY}?price=").text
    assert 'name="price" value="500"' in reader.get(f"{DAY}?price=500").text


@pytest.mark.parametrize("typed", ["9" * 5000, "1e400", "nan", "inf", "\u0663\u0664,5", "%00", "-"])
def test_whatever_is_in_the_address_the_page_answers(reader, typed):
    for name in FIELDS:
        answer = reader.get(f"{DAY}?{name}={typed}")
        assert answer.status_code in (200, 422)
        assert "nan" not in answer.text.split("<h1>")[1].replace(f'"{typed}"', "")
