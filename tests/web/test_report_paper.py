"""Reports as PDF, read back: the words of the page, a foot, no network, and copies of issues."""

import hashlib
import io
import re
import shutil
import socket
from datetime import UTC, datetime

import pytest
from argon2 import PasswordHasher
from argon2.profiles import CHEAPEST
from pypdf import PdfReader
from starlette.testclient import TestClient

from app.database import reading
from app.exports import paper
from app.exports.books import books_of
from app.ledger import chain, passwords
from app.ledger.issues import Issue
from app.main import create_app
from app.settings import Settings
from app.web import periods, report_paper
from app.web.languages import COOKIE
from app.web.report_paper import can_print as _can_print
from demo_data.season import NOW, PASSWORD
from tests.served import demo_database
from tests.web.conftest import Visitor
from tests.web.pages import Page

DAY, ISSUES = "/days/2026-10-25", "/days/2026-10-25/issues"
A4 = (595, 842)


@pytest.fixture(scope="module")
def demonstration(tmp_path_factory):
    return demo_database(tmp_path_factory.mktemp("demo"))


@pytest.fixture
def ruth(demonstration, tmp_path, monkeypatch):
    """The manager, who may issue."""
    monkeypatch.setattr(passwords, "_hasher", PasswordHasher.from_parameters(CHEAPEST))
    copy = shutil.copy(demonstration, tmp_path / "ledger.db")
    app = create_app(Settings(database_url=f"sqlite:///{copy}", clock=NOW, hosts="testserver"))
    found = Visitor(TestClient(app, follow_redirects=False))
    assert found.sign_in("ruth", PASSWORD).status_code == 303
    yield found
    app.state.engine.dispose()


def read(answer):
    """The document that was answered with, and the words on each of its pages."""
    assert answer.status_code == 200
    assert answer.headers["content-type"] == "application/pdf"
    document = PdfReader(io.BytesIO(answer.content))
    return document, [re.sub("[ \n]+", " ", page.extract_text()) for page in document.pages]


def words_of(page):
    """What is to be read on a page, its cells apart."""
    return " ".join(Page(page).texts)


def numbers_in(text):
    """The numbers with a fraction in a text, their thousands together again.

    A font may have the thin space between them as a plain one.
    """
    found = re.findall(r"(?<![\d.])−?\d{1,3}(?:[ \u202f]\d{3})+\.\d+|−?\d+\.\d+", text)
    return {re.sub("[ \u202f]", "", number) for number in found}


@pytest.mark.parametrize(
    ("address", "title", "wide"),
    [
        (DAY, "Morning report, Sunday 25 October 2026", False),
        ("/weeks/2026-W43", "Week 43 of 2026", False),
        ("/months/2026-10", "October 2026", False),
        ("/seasons/2026", "Season 2026", False),
        ("/shifts/2026-10-25/3", "Shift 3, Sunday 25 October 2026", True),
    ],
)
def test_every_report_is_a_tagged_pdf_on_a4_with_its_foot(ruth, address, title, wide):
    with reading(ruth.client.app.state.engine) as connection:
        head = chain.head(connection)
    document, pages = read(ruth.get(f"{address}.pdf"))
    assert document.metadata.title.startswith(title)
    catalogue = document.trailer["/Root"]
    assert catalogue["/Lang"] == "en"
    assert catalogue["/MarkInfo"]["/Marked"]
    assert b"pdfuaid" in catalogue["/Metadata"].get_data()
    for number, (page, words) in enumerate(zip(document.pages, pages, strict=True), start=1):
        size = tuple(round(float(side)) for side in page.mediabox.upper_right)
        assert size == (A4[::-1] if wide else A4)
        assert f"Page {number} of {len(pages)}" in words
        assert "Saltmarsh Ridge Sugar Mill ·" in words
        assert f"chain {head.short}" in words
        assert "program 0.1.0, figures" in words
        for font in page["/Resources"]["/Font"].values():
            (inner,) = font.get_object()["/DescendantFonts"]
            assert {"/FontFile2", "/FontFile3"} & inner.get_object()["/FontDescriptor"].keys()


@pytest.mark.parametrize("address", [
    DAY, "/weeks/2026-W43", "/months/2026-10", "/runs/2026-10-01/2026-10-09", "/seasons/2026",
    "/seasons/2026/return",
])  # fmt: skip
def test_a_pdf_reads_the_books_no_more_often_than_its_page(ruth, monkeypatch, address):
    def counted(connection, *given, **more):
        read_of.append(given)
        return books_of(connection, *given, **more)

    monkeypatch.setattr(periods, "books_of", counted)
    monkeypatch.setattr(report_paper, "pdf_of", lambda *_: b"%PDF")
    read_of = []
    assert ruth.get(address).status_code == 200
    of_page, read_of = len(read_of), []
    assert ruth.get(f"{address}.pdf").status_code == 200
    assert len(read_of) == of_page >= 1


def test_the_pdf_of_a_day_holds_each_number_of_its_page(ruth):
    page = re.sub(r'(?s)<nav.*?</nav>|<span class="visually-hidden">.*?</span>', "",
                  ruth.get(DAY).text)  # fmt: skip
    wanted = numbers_in(words_of(page.partition("<main")[2].partition("</main>")[0]))
    found = numbers_in(" ".join(read(ruth.get(f"{DAY}.pdf"))[1]))
    assert len(wanted) > 150
    assert wanted <= found


def test_headings_of_a_table_stand_again_on_each_page_that_it_goes_on(ruth):
    _document, pages = read(ruth.get(f"{DAY}.pdf"))
    of_figures = [words for words in pages if "Boiling house recovery" in words
                  or "Sugar, moisture" in words]  # fmt: skip
    assert len(of_figures) == 3  # key figures on the first sheet, and all of them on two
    for words in of_figures:
        assert re.search(r"Figure Unit Day Week to date Season to date Target", words)


def test_what_is_only_for_the_screen_is_not_on_paper(ruth):
    words = " ".join(read(ruth.get(f"{DAY}.pdf"))[1])
    for on_screen in ("Sign out", "All figures", "CSV of the day", "Stay signed in"):
        assert on_screen in ruth.get(DAY).text
        assert on_screen not in words


def test_a_pdf_speaks_the_language_of_its_reader(ruth):
    ruth.client.cookies.set(COOKIE, "fr")
    document, pages = read(ruth.get(f"{DAY}.pdf"))
    assert document.trailer["/Root"]["/Lang"] == "fr"
    assert "dimanche 25 octobre 2026" in pages[0]
    assert re.search(r"\d,\d\d", pages[0])


def test_the_pdf_of_an_issue_is_a_copy_of_what_was_issued_whatever_came_after(ruth):
    """A-38: made of the frozen bytes, and says so."""
    assert ruth.post(ISSUES, {"password": PASSWORD}).status_code == 303
    frozen = ruth.get(f"{ISSUES}/1/report.html").content
    assert f"{ISSUES}/1/report.pdf" in ruth.get(ISSUES).text
    _document, pages = read(ruth.get(f"{ISSUES}/1/report.pdf"))
    for words in pages:
        assert "Issue 2026-10-25/1, ISSUED" in words
        assert "Copy of the frozen issue" in words
        assert hashlib.sha256(frozen).hexdigest() in words
    assert "End of issue 2026-10-25/1" in pages[-1]
    text = frozen.decode().partition("<main")[2]
    assert numbers_in(words_of(text)) <= numbers_in(" ".join(pages))
    assert ruth.get(f"{ISSUES}/2/report.pdf").status_code == 404
    day = read(ruth.get(f"{DAY}.pdf"))[1]
    assert all("NOT THE ISSUE ITSELF, 2026-10-25/1" in words for words in day)


def test_setting_a_page_asks_no_network_and_no_file_but_the_style(monkeypatch, tmp_path):
    secret = tmp_path / "secret.svg"
    secret.write_text('<svg xmlns="http://www.w3.org/2000/svg" width="9" height="9"/>')
    tried, asked = [], []
    ours = paper._only_ours

    def noted(url, _headers=None):
        asked.append(url)
        return ours(url)

    monkeypatch.setattr(paper, "_only_ours", noted)
    monkeypatch.setattr(socket.socket, "connect", lambda *where: tried.append(where))
    evil = (
        f'<img alt="a" src="file://{secret}"><img alt="b" src="http://elsewhere.example/b.png">'
        '<img alt="c" src="/static/../pyproject.toml"><img alt="d" src="/static/%2e%2e/x.svg">'
        '<img alt="e" src="http://ledger.test/icon.svg">'
        '<link rel="stylesheet" href="//elsewhere.example/x.css">'
        '<link rel="stylesheet" href="/static/style.css">'
    )
    page = f'<html lang="en"><head><title>x</title></head><body>{evil}<p>Words</p></body></html>'
    made = PdfReader(io.BytesIO(paper.pdf_of(page, 'a "foot\\" } body { content: "')))
    assert "Words" in made.pages[0].extract_text()
    assert 'a "foot\\" } body { content: "' in made.pages[0].extract_text()
    assert not tried
    taken = []
    for url in asked:
        try:
            taken.append(ours(url).geturl())
        except ValueError:
            continue
    assert taken == ["http://ledger.test/static/style.css"]
    assert len(asked) >= 6


def test_where_it_is_not_installed_nothing_leads_to_it_and_its_address_says_so(
    demonstration, tmp_path, monkeypatch
):
    monkeypatch.setattr(passwords, "_hasher", PasswordHasher.from_parameters(CHEAPEST))
    for module in ("app.main", "app.web.report_paper", "app.exports.paper"):
        monkeypatch.setattr(f"{module}.can_print", lambda: False)
    assert _can_print()  # here it is
    copy = shutil.copy(demonstration, tmp_path / "ledger.db")
    app = create_app(Settings(database_url=f"sqlite:///{copy}", clock=NOW, hosts="testserver"))
    visitor = Visitor(TestClient(app, follow_redirects=False))
    visitor.sign_in("ruth", PASSWORD)
    page = visitor.get(DAY).text
    assert f"{DAY}.xlsx" in page
    assert ".pdf" not in page
    answer = visitor.get(f"{DAY}.pdf")
    assert answer.status_code == 501
    assert "What makes PDF is not installed" in answer.text
    issue = Issue(1, datetime.now(UTC).date(), 1, None, 1, "a" * 64, "", "", datetime.now(UTC))
    with pytest.raises(paper.NotInstalled):
        paper.copy_of_issue(issue, "Mill", b"<html></html>", "")
    app.state.engine.dispose()
