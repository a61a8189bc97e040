"""Morning reports are issued, kept byte for byte, and restated in the open."""

import hashlib
import re
from datetime import timedelta

import pytest
from argon2 import PasswordHasher
from argon2.profiles import CHEAPEST
from starlette.testclient import TestClient

from app.database import reading
from app.ledger import chain, passwords
from app.main import create_app
from app.settings import Settings
from demo_data.season import NOW, PASSWORD
from tests.served import demo_database
from tests.web.conftest import Visitor

DAY = "/days/2026-10-25"
ISSUES = f"{DAY}/issues"
CELL = "/shifts/2026-10-25/1/cells/cane"


@pytest.fixture(scope="module")
def demonstration(tmp_path_factory):
    return demo_database(tmp_path_factory.mktemp("demo"))


@pytest.fixture
def app(demonstration, tmp_path, monkeypatch):
    monkeypatch.setattr(passwords, "_hasher", PasswordHasher.from_parameters(CHEAPEST))
    copy = tmp_path / "ledger.db"
    copy.write_bytes(demonstration.read_bytes())
    app = create_app(Settings(database_url=f"sqlite:///{copy}", clock=NOW, hosts="testserver"))
    yield app
    app.state.engine.dispose()


def visitor(app, username):
    found = Visitor(TestClient(app, follow_redirects=False))
    assert found.sign_in(username, PASSWORD).status_code == 303
    return found


@pytest.fixture
def mira(app):
    return visitor(app, "mira")


@pytest.fixture
def ruth(app):
    return visitor(app, "ruth")


def issue(who, **more):
    return who.post(ISSUES, {"password": PASSWORD} | more)


def files(who, number):
    return [
        who.get(f"{ISSUES}/{number}/{name}")
        for name in ("report.html", "report.csv", "figures.json")
    ]


def correct_cane(mira):
    """Open the approved day again and correct its first weight of cane by ten tonnes."""
    assert mira.post(f"{DAY}/reopening", {"why": "a ticket was found"}).status_code == 303
    page = mira.get("/shifts/2026-10-25/1").text
    found = re.search(r'name="result:cane" value="([^"]+)".*?based_on:cane" value="(\d+)"',
                      page, re.DOTALL)  # fmt: skip
    new = float(found.group(1).replace(",", ".")) + 10
    form = {"result:cane": f"{new:.1f}", "based_on:cane": found.group(2),
            "reason:cane": "other", "words:cane": "a ticket was found"}  # fmt: skip
    assert mira.post(CELL.removesuffix("/cells/cane"), form).status_code == 303
    return found.group(1), f"{new:.1f}"


def test_a_report_says_that_it_is_a_draft_until_it_is_issued(ruth):
    """A-39"""
    assert "<strong>Draft</strong>, not issued yet" in ruth.get(DAY).text
    assert "-draft.csv" in ruth.get(f"{DAY}.csv").headers["content-disposition"]
    assert issue(ruth).headers["location"] == f"{ISSUES}#issue-1"
    page = ruth.get(DAY).text
    assert "<strong>Issued as 2026-10-25/1</strong>" in page
    assert "printed the same now" in page


def test_an_issue_says_all_that_a_report_of_a_laboratory_says(ruth, app):
    """A-24, A-38"""
    with reading(app.state.engine) as connection:
        head = chain.head(connection)
    issue(ruth)
    report = files(ruth, 1)[0].text
    for words in (
        "Morning report", "Saltmarsh Ridge Sugar Mill", "Port Amaranth", "Issue 2026-10-25/1",
        "ISSUED", "25 Oct 2026, 06:00 (UTC+04:00) to 26 Oct 2026, 06:00 (UTC+04:00)",
        "on the authority of Ruth Vandermeer, manager", "End of issue 2026-10-25/1",
        f"event {head.number}, <code>{head.hash}</code>", "Day: approved by Mira Solano",
        "rounded once, half to even", 'counter(page) " of " counter(pages)', head.short,
    ):  # fmt: skip
        assert words in report, words


def checks_in(page):
    """The checks of the day as a page lists them, on one line."""
    listed = re.search(r'<section id="checks".*?</section>', page, re.DOTALL).group(0)
    words = " ".join(re.sub("<[^>]+>", " ", listed).split())
    return re.sub(r" (?=[:,.])", "", words), listed


def test_an_issue_holds_the_checks_of_the_day_with_their_answers_as_the_draft_does(ruth):
    """C-10: what was asked of a day, and who said what, is handed out with its numbers."""
    draft, listed = checks_in(ruth.get(DAY).text)
    assert "answered" in draft
    assert "<em>" in listed  # an answer
    issue(ruth)
    frozen, listed = checks_in(files(ruth, 1)[0].text)
    assert frozen == draft
    assert "<a " not in listed  # nothing opens from paper


def test_a_correction_never_changes_what_was_issued(ruth, mira):
    """A-08, A-33"""
    issue(ruth)
    before = [answer.content for answer in files(ruth, 1)]
    correct_cane(mira)
    after = files(ruth, 1)
    assert [answer.content for answer in after] == before
    for answer in after:
        assert answer.headers["digest-sha-256"] == hashlib.sha256(answer.content).hexdigest()


def test_the_page_of_the_day_says_what_changed_since_it_was_issued(ruth, mira):
    """A-35"""
    issue(ruth)
    was, now = correct_cane(mira)
    page = ruth.get(DAY).text
    assert re.search(r"<strong>\d+ numbers differ since</strong>", page)
    table = ruth.get(ISSUES).text
    assert "As issued in 2026-10-25/1, and as known now" in table
    assert f'<a href="{CELL}">Cane crushed, 25 Oct shift 1</a>' in table
    entered = f'<td class="num">{was}</td><td class="num">{now}</td>'
    assert f'{entered}<td class="verdict">Mira Solano</td><td>a ticket was found</td>' in table


def test_a_restated_issue_names_the_one_it_replaces_what_changed_and_why(ruth, mira):
    """A-34, A-39"""
    issue(ruth)
    was, now = correct_cane(mira)
    refused = issue(ruth)
    assert refused.status_code == 422
    assert "Say in words why it is issued again" in refused.text
    assert issue(ruth, reason="a ticket was found").status_code == 303
    report = files(ruth, 2)[0].text
    assert "replaces 2026-10-25/1" in report
    assert "What changed since issue 2026-10-25/1" in report
    entered = f'Cane crushed, 25 Oct shift 1</td><td class="num">{was}</td><td class="num">{now}'
    assert entered in report
    page = ruth.get(ISSUES).text
    assert "<strong>superseded</strong> by 2026-10-25/2" in page
    names = [a.headers["content-disposition"] for a in (files(ruth, 1)[0], files(ruth, 2)[0])]
    assert ["superseded" in name for name in names] == [True, False]


def test_every_row_of_an_issued_file_names_its_issue(ruth):
    """A-39"""
    issue(ruth)
    rows = files(ruth, 1)[1].text.splitlines()
    assert all(",issued 2026-10-25/1," in row for row in rows[1:] if row.count(",") > 10)


def test_a_frozen_report_brings_its_own_style_and_no_other_is_allowed(ruth):
    issue(ruth)
    answer = files(ruth, 1)[0]
    assert re.search(r"style-src 'self' 'sha256-[^']+'", answer.headers["content-security-policy"])
    assert "<script" not in answer.text
    assert not re.search(r"\sstyle=|\son\w+=", answer.text)


@pytest.mark.parametrize("password", ["", "not my own password"])
def test_an_issue_asks_the_password_again(ruth, password):
    assert ruth.post(ISSUES, {"password": password}).status_code == 422
    assert "was not issued yet" in ruth.get(ISSUES).text


def test_a_day_that_runs_is_not_issued(ruth):
    today = "/days/2026-10-28/issues"
    assert ruth.post(today, {"password": PASSWORD}).status_code == 422
    assert "once its day is over" in ruth.get(today).text


def test_issues_are_numbered_without_a_gap_whatever_the_clock_says(ruth, app):
    """B-52"""
    for minutes in (0, -20, 10):
        app.state.clock = lambda gone=minutes: NOW + timedelta(minutes=gone)
        assert issue(ruth, reason="again").status_code == 303
    names = re.findall(r'<th scope="row">(2026-10-25/\d)</th>', ruth.get(ISSUES).text)
    assert names == [f"2026-10-25/{number}" for number in (1, 2, 3)]


@pytest.mark.parametrize("address", [f"{ISSUES}/7/report.html", f"{ISSUES}/1/../../secret"])
def test_what_was_not_issued_is_not_there(ruth, address):
    assert ruth.get(address).status_code == 404
