"""What leaves the ledger reads alike whoever asks for it: files, archives, issues, `compute`."""

import json
import re
from zipfile import ZipFile

import pytest
from argon2 import PasswordHasher
from argon2.profiles import CHEAPEST
from starlette.testclient import TestClient

from app import language
from app.compute import compute
from app.database import reading
from app.exports.archive import make_archive
from app.language import LANGUAGES, speaking
from app.ledger import passwords
from app.main import create_app
from app.settings import Settings
from app.web.languages import COOKIE
from demo_data.season import NOW, PASSWORD
from tests.archives import fill
from tests.pseudo import Longer
from tests.served import demo_database
from tests.web.conftest import Visitor
from tests.web.test_languages import spoken

OTHERS = [code for code in LANGUAGES if code != "en"]
FILES = (
    "/days/2026-10-25.csv", "/weeks/2026-W43.csv", "/months/2026-10.csv", "/seasons/2026.csv",
    "/books/stops/csv?first=2026-10-01&last=2026-10-28",
)  # fmt: skip
ISSUES = "/days/2026-10-25/issues"
PERIOD = {"cane": 1250.0, "mixed_juice": 1290.0, "mixed_juice_brix": 14.2, "mixed_juice_pol": 11.95}


@pytest.fixture(autouse=True)
def _changed(monkeypatch):
    """Whatever is marked comes back changed, but in English."""
    english = language.catalogue("en")
    monkeypatch.setattr(language, "catalogue", lambda code: english if code == "en" else Longer())
    monkeypatch.setattr(passwords, "_hasher", PasswordHasher.from_parameters(CHEAPEST))


@pytest.fixture(scope="module")
def demonstration(tmp_path_factory):
    return demo_database(tmp_path_factory.mktemp("demo"))


@pytest.fixture
def visitor(demonstration, tmp_path):
    """Give who visits a copy of the demonstration, of a mill that speaks some language."""
    apps = []

    def begin(username, mill="en"):
        copy = tmp_path / f"{len(apps)}.db"
        copy.write_bytes(demonstration.read_bytes())
        settings = Settings(
            database_url=f"sqlite:///{copy}", clock=NOW, hosts="testserver", language=mill
        )
        apps.append(create_app(settings))
        found = Visitor(TestClient(apps[-1], follow_redirects=False))
        assert found.sign_in(username, PASSWORD).status_code == 303
        return found

    yield begin
    for app in apps:
        app.state.engine.dispose()


def test_a_csv_file_is_the_same_in_every_language(visitor):
    """C-76."""
    samir = visitor("samir")
    english = {address: samir.get(address) for address in FILES}
    for address, answer in english.items():
        assert answer.status_code == 200, address
        assert len(answer.content.splitlines()) > 1
    for code in OTHERS:
        samir.client.cookies.set(COOKIE, code)
        assert spoken(samir.get("/account")) == code
        differ = [name for name in FILES if samir.get(name).content != english[name].content]
        assert not differ, code


def test_an_archive_is_the_same_in_every_language(bench, tmp_path):
    """C-76."""
    fill(bench)
    english = _archived(bench, "en", tmp_path)
    for code in OTHERS:
        found = _archived(bench, code, tmp_path)
        assert [name for name in english if found[name] != english[name]] == [], code
        assert found.keys() == english.keys()


def _archived(bench, code, folder):
    path = folder / f"{code}.zip"
    with reading(bench.engine) as connection, speaking(code):
        make_archive(connection, bench.season.name, path)
    with ZipFile(path) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def test_figures_of_compute_are_the_same_in_every_language():
    said = set()
    for code in LANGUAGES:
        with speaking(code):
            said.add(json.dumps(compute({"measures": PERIOD})))
    assert len(said) == 1


@pytest.mark.parametrize("mill", ["en", "es"])
def test_an_issue_is_in_the_language_of_the_mill_whoever_issues_it(visitor, mill):
    """C-70: a report that is handed out has one format."""
    english, french = (_issued(visitor("mira", mill), code) for code in ("en", "fr"))
    decimal = "," if mill == "es" else "."
    for files in (english, french):
        assert f'<html lang="{mill}">' in files["report.html"]
        numbers = re.findall(r'<td class="num[^"]*">(\d+[.,]\d+)', files["report.html"])
        assert len(numbers) > 20
        assert [number for number in numbers if decimal not in number] == []
    assert english["figures.json"] == french["figures.json"]
    assert '"title": "Cane crushed"' in english["figures.json"]
    assert english["report.csv"] == french["report.csv"]


def _issued(mira, code):
    """Issue the report of a day in the language of who issues it, and return its files."""
    mira.client.cookies.set(COOKIE, code)
    answer = mira.post(ISSUES, {"password": PASSWORD, "reason": "asked for"})
    assert answer.status_code == 303, answer.text
    number = answer.headers["location"].rpartition("-")[2]
    names = ("report.html", "figures.json", "report.csv")
    return {name: mira.get(f"{ISSUES}/{number}/{name}").text for name in names}
