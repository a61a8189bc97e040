"""The first page of the morning report: what it says in which order, on paper and in an issue."""

import io
import re
from datetime import date, timedelta

import numpy as np
import pytest
from argon2 import PasswordHasher
from argon2.profiles import CHEAPEST
from pypdf import PdfReader
from starlette.testclient import TestClient

from app.database import reading
from app.exports.books import books_of
from app.ledger import passwords
from app.main import create_app
from app.settings import Settings
from demo_data.season import NOW, PASSWORD
from tests.served import demo_database
from tests.small_season import load, results
from tests.web.conftest import Visitor
from tests.web.test_points import DAYS, TARGETS, aim, season_before

IN_ORDER = (
    'class="fit', "What to look at first", "Where the pol of the cane went", "Key figures",
    "Stock in process", "Stops of the day", "Who signed", "Chain head",
    "Figures of this report",
)  # fmt: skip


@pytest.fixture(scope="module")
def demonstration(tmp_path_factory):
    return demo_database(tmp_path_factory.mktemp("demo"))


@pytest.fixture
def ruth(demonstration, tmp_path, monkeypatch):
    """The manager of the demonstration."""
    monkeypatch.setattr(passwords, "_hasher", PasswordHasher.from_parameters(CHEAPEST))
    copy = tmp_path / "ledger.db"
    copy.write_bytes(demonstration.read_bytes())
    app = create_app(Settings(database_url=f"sqlite:///{copy}", clock=NOW, hosts="testserver"))
    found = Visitor(TestClient(app, follow_redirects=False))
    assert found.sign_in("ruth", PASSWORD).status_code == 303
    yield found
    app.state.engine.dispose()


def plain(text):
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", text))


def test_the_page_says_whether_it_is_fit_then_exceptions_then_the_account_and_figures(ruth):
    """C-50, C-51."""
    page = ruth.get("/days/2026-10-27").text
    places = [page.index(words) for words in IN_ORDER]
    assert places == sorted(places)


@pytest.mark.parametrize(
    ("day", "first"),
    [
        ("2026-10-27", "Mixed juice, weight likeliest reads about 1.4\u00a0% high"),
        ("2026-09-15", "Final molasses purity 36.82 %"),
        ("2026-07-06", "Nothing stands out."),
    ],
)
def test_the_first_sheet_of_paper_holds_all_of_it(ruth, day, first):
    reader = PdfReader(io.BytesIO(ruth.get(f"/days/{day}.pdf").content))
    one, two = (plain(page.extract_text()) for page in reader.pages[:2])
    assert plain(first) in one
    assert one.index("What to look at first") < one.index("Where the pol of the cane went")
    assert "Chain head" in one
    assert "Figures of this report" not in one
    assert "Chain head" not in two


def test_an_issue_says_what_stood_out_and_links_nowhere(ruth):
    answer = ruth.post("/days/2026-10-27/issues", {"password": PASSWORD})
    assert answer.status_code == 303
    page = ruth.get("/days/2026-10-27/issues/1/report.html").text
    part = page[page.index('class="exceptions"') : page.index("Where the pol of the cane went")]
    assert "Mixed juice, weight likeliest reads about" in part
    assert "USD" in part
    assert "href" not in part
    assert "Stops of the day" in page


def test_who_signed_the_hours_stopped_and_the_longest_stops_are_told(ruth):
    page = plain(ruth.get("/days/2026-10-27").text)
    assert "Shift 1: signed as entered by Tomas Bhagwan" in page
    stops = page[page.index("Stops of the day") :]
    assert "Foreign matter 0.20 h; Mechanical stops 0.10 h; Process stops 0.07 h." in stops
    assert "The longest: 22:00–22:12 Foreign matter, Preparation, 0.20 h;" in stops


@pytest.mark.parametrize(
    ("day", "leads"),
    [
        ("2026-10-27", ("/balance", "/points", "/figures/first_expressed_juice_purity")),
        ("2026-10-16", ("/balance", "/points", "/figures/target_purity_difference")),
    ],
)
def test_every_exception_leads_to_where_one_acts(ruth, day, leads):
    page = ruth.get(f"/days/{day}").text
    part = page[page.index('class="exceptions"') : page.index("Where the pol of the cane went")]
    for lead in leads:
        assert f'href="/days/{day}{lead}"' in part
        assert ruth.get(f"/days/{day}{lead}").status_code == 200
    stops = f"/trends/stops?first={day}&amp;last={day}"
    assert (stops in part) == (day == "2026-10-16")  # time was lost on that day


def test_the_same_day_last_season_has_a_column_where_there_is_one(ann, bench):
    """C-52."""
    load(bench, results(DAYS))
    aim(bench, TARGETS)
    assert "Season 2025" not in ann.get("/days/2026-06-02").text
    season_before(bench, date(2025, 5, 20), 5)
    page = ann.get("/days/2026-06-02").text
    assert page.count("Season 2025, 21\u00a0May") + page.count("Season 2025, 21 May") == 2
    then = plain(ann.get("/days/2025-05-21/figures/overall_recovery").text)
    number = re.search(r"Overall recovery.*?(\d\d\.\d\d)", then).group(1)
    row = page[page.index("Where the pol of the cane went") :]
    linked = 'href="/days/2025-05-21/figures/overall_recovery">' + number
    assert linked in row


def test_days_read_alone_begin_with_no_stock_only_where_the_season_does(bench):
    """Else what was in process before them is not known, and nothing follows from it."""
    first = bench.season.first_day
    later = first + timedelta(days=20)
    load(bench, results([first, later]))
    for day, opening in ((first, 0.0), (later, np.nan)):
        with reading(bench.engine) as connection:
            books = books_of(connection, bench.mill, bench.season, only=day, days_before=7)
        found = books.books.openings([books.day(day)])
        assert found["pol_in_stock"] == pytest.approx([opening], nan_ok=True)


def test_without_a_price_the_page_says_where_to_state_it(ann, bench):
    load(bench, results(DAYS))
    aim(bench, TARGETS | {"pol_extraction": 99.9})
    page = ann.get("/days/2026-06-02").text
    assert "Extraction" in page
    assert 'href="/plant/conventions/sugar_price"' in page
    assert ann.get("/plant/conventions/sugar_price").status_code == 200


def test_without_targets_the_page_says_that_losses_are_not_judged(ann, bench):
    load(bench, results(DAYS))
    page = plain(ann.get("/days/2026-06-02").text)
    assert "Losses of recovery are not judged." in page
    assert "Time efficiency is not judged: it has no target." in page
    assert "no measurement looks wrong" not in page
