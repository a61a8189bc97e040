"""What scripts say comes from the page: they hold no words and format no number or date."""

import re
from html.parser import HTMLParser

import pytest

from app import language
from tests.pseudo import Longer, plain_words
from tests.titles import OF_SCRIPTS, titles
from tests.web.test_words import ROOT, SCRIPTS

ASKED = re.compile(r"\b(?:words|counted)\(((?:[^()]|\([^()]*\))*)")
KEY = re.compile(r'(?<!Attribute\()"([a-z]+(?:-[a-z]+)*)"')
HELD = re.compile(r'<data value="([a-z-]+)">')
COMMENTS = re.compile(r"(?m)^\s*//.*$|[;{}] //.*$|/\*[\s\S]*?\*/")
TEXTS = re.compile(r'"[^"\n]*"|`[^`]*`')
PUT_IN = re.compile(r"\$\{[^}]*\}")
SENTENCE = re.compile(r"[A-Za-z]{2,},? [A-Za-z]{2,}")  # no key, name or address has two words
SELECTOR = re.compile(r"^.[#.\w-]*[#.\[>:]|^.(table|form|tbody) ")
FORMATS = re.compile(r"\b(Intl|toLocale\w*|toFixed|toPrecision|toDateString)\b")

NO_SENTENCE = {'"use strict"', '"done again"'}  # the latter is a reason, kept in English


class Words(HTMLParser):
    """Gathers the words that a page holds for its scripts."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.held: dict[str, str] = {}
        self._key = ""
        self.feed(page)

    def handle_starttag(self, tag, attrs):
        self._key = dict(attrs).get("value", "") if tag == "data" else ""
        if self._key:
            self.held[self._key] = ""

    def handle_endtag(self, _tag):
        self._key = ""

    def handle_data(self, data):
        if self._key:
            self.held[self._key] += data


def held() -> list[str]:
    return HELD.findall((ROOT / "templates/_words.html").read_text("utf-8"))


def sentences(code: str) -> set[str]:
    """The texts of a script that are more than one word, and no way to find an element."""
    texts = [text for text in TEXTS.findall(code) if not SELECTOR.match(text)]
    return {text for text in texts if SENTENCE.search(PUT_IN.sub("", text))}


@pytest.mark.parametrize("path", SCRIPTS, ids=lambda path: path.name)
def test_a_page_holds_every_word_that_a_script_asks_for(path):
    """C-74."""
    code = COMMENTS.sub("", path.read_text("utf-8"))
    asked = {key for inside in ASKED.findall(code) for key in KEY.findall(inside)}
    assert asked - set(held()) == set()


def test_each_word_held_for_scripts_is_asked_for_by_one():
    code = "".join(path.read_text("utf-8") for path in SCRIPTS)
    named = set(re.findall(r'[="]([a-z]+(?:-[a-z]+)*)["\]]', code))
    assert len(held()) == len(set(held())) > 40
    assert [key for key in held() if key.removesuffix("-many") not in named] == []


@pytest.mark.parametrize("path", SCRIPTS, ids=lambda path: path.name)
def test_no_script_holds_a_sentence_or_formats_a_value(path):
    """C-74, C-77."""
    code = COMMENTS.sub("", path.read_text("utf-8"))
    assert sentences(code) - NO_SENTENCE == set()
    assert FORMATS.findall(code) == []


def test_each_reason_that_a_script_gives_is_said_in_every_language():
    """C-74. It is kept in English, and pages that show it translate it."""
    code = "".join(path.read_text("utf-8") for path in SCRIPTS)
    assert set(re.findall(r'reason: "([^"]+)"', code)) == set(OF_SCRIPTS) <= titles().keys()


@pytest.mark.parametrize(
    "wrong", ['say("Nothing was saved.")', "p.textContent = `${count} not sent yet`"]
)
def test_a_sentence_in_a_script_is_found(wrong):
    assert len(sentences(wrong)) == 1


def test_words_of_scripts_are_said_in_the_language_of_the_page(visit, monkeypatch):
    """C-74."""
    english = Words(visit().get("/sign-in").text).held
    monkeypatch.setattr(language, "catalogue", lambda _: Longer())
    other = Words(visit().get("/sign-in").text).held
    assert other.keys() == english.keys() == set(held())
    assert {key: words for key, words in other.items() if plain_words(words)} == {}
    names = {key: set(re.findall(r"\{\w+\}", words)) for key, words in english.items()}
    assert names == {key: set(re.findall(r"\{\w+\}", words)) for key, words in other.items()}
