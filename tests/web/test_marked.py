"""No word of a page is left out of the catalogues: each comes back in another language."""

import json
import re
import sqlite3
from urllib.parse import parse_qsl, urlsplit

import pytest
from argon2 import PasswordHasher
from argon2.profiles import CHEAPEST
from babel import Locale
from starlette.testclient import TestClient

from app import language
from app.figures import CONVENTIONS, FIGURES
from app.figures.readings import RESULTS
from app.figures.uncertainties import MEASURED, PROPERTIES
from app.ledger import passwords
from app.main import create_app
from app.reports.checks import CHECKS
from app.reports.conversions import CONVERSIONS
from app.settings import Settings
from demo_data.season import PASSWORD
from tests.look import NOW, PAGES, SEEN_BY
from tests.pseudo import Longer, plain_words, unmarked
from tests.served import demo_database
from tests.web.conftest import Visitor

KNOWN = (FIGURES, RESULTS, CONVENTIONS, CHECKS, CONVERSIONS)
NAMES = {"Mill", "Chemistry", "Ledger", "Demonstration", "SQLite", *language.LANGUAGES.values()}
_CALENDAR = Locale("en")
DAYS = {
    word
    for names in (_CALENDAR.days, _CALENDAR.months)
    for width in ("wide", "abbreviated")
    for word in names["format"][width].values()
}


@pytest.fixture(scope="module")
def demonstration(tmp_path_factory):
    return demo_database(tmp_path_factory.mktemp("demo"))


@pytest.fixture(scope="module")
def typed(demonstration):
    """All that people typed into the demonstration, and works that formulas are taken from."""
    with sqlite3.connect(demonstration) as connection:
        names = connection.execute("SELECT name FROM sqlite_master WHERE type = 'table'").fetchall()
        kept = [
            value
            for (name,) in names
            if name not in ("event", "issue_file")
            for row in connection.execute(f"SELECT * FROM {name}")
            for value in row
            if isinstance(value, str)
        ]
    for several in [text for text in kept if text.startswith('{"')]:
        kept += [text for text in json.loads(several).values() if isinstance(text, str)]
    kept += [text for address in PAGES.values() for _, text in parse_qsl(urlsplit(address).query)]
    declared = [each for known in KNOWN for each in known.values()]
    sources = {each.source for each in (*declared, *MEASURED.values(), *PROPERTIES.values())}
    sources |= {
        way.source for figure in (*FIGURES.values(), *RESULTS.values()) for way in figure.ways
    }
    works = [source if isinstance(source, str) else source.work for source in sources if source]
    # the longest first, so that no part of a name is taken out of it
    said = {" ".join(text.split()) for text in (*kept, *works) if re.search("[A-Za-z]{3}", text)}
    return sorted(said, key=len, reverse=True)


@pytest.fixture(scope="module")
def visitors(demonstration):
    """Visitors of the demonstration by user name, spoken to in a language that is none."""
    settings = {"database_url": f"sqlite:///{demonstration}", "clock": NOW, "demo": True}
    app = create_app(Settings(**settings, hosts="testserver"))
    found = {name: Visitor(TestClient(app)) for name in ("", "ines", "noor")}
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(passwords, "_hasher", PasswordHasher.from_parameters(CHEAPEST))
        patched.setattr(language, "catalogue", lambda _: Longer())
        for name in ("ines", "noor"):
            form = {"username": name, "password": PASSWORD}
            assert found[name].client.post("/sign-in", data=form).status_code == 200
        yield found
    app.state.engine.dispose()


@pytest.mark.parametrize("name", PAGES)
def test_every_word_of_a_page_is_marked(visitors, typed, name):
    """C-74. What people typed is said as they did, and so are names and works."""
    answer = visitors[SEEN_BY.get(name, "ines")].get(PAGES[name])
    assert answer.status_code < 500
    assert left_english(answer.text, typed) == []


def left_english(page, typed):
    found = []
    for text in sorted(set(unmarked(page))):
        ours = text
        for words in typed:
            ours = ours.replace(words, "")
        if set(plain_words(ours)) - NAMES - DAYS:
            found.append(text)
    return found
