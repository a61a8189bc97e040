"""Passwords: how long, of what characters, and how hard to guess."""

import socket

import pytest
from zxcvbn.frequency_lists import FREQUENCY_LISTS

from app.demo import demo_season
from app.ledger import passwords
from app.ledger.passwords import easily_guessed, fits, hash_of_code, hash_of_new, new_code
from tests.bench import PASSWORD

NAMES = ("Willow Bend", "Port Amaranth", "ann", "Ann Field")
COMMON = list(FREQUENCY_LISTS["passwords"])


@pytest.mark.parametrize(
    ("password", "words"),
    [
        ("kbd wrz qmxv 1", "at least 15"),
        ("", "at least 15"),
        ("ab" * 513, "at most 1024"),
    ],
)
def test_a_password_is_long_but_not_endless(password, words):
    """B-70: 14 characters are too few."""
    with pytest.raises(ValueError, match=words):
        hash_of_new(password, NAMES)


@pytest.mark.parametrize(
    "password",
    [
        "kbd wrz qmxv 12",
        "kbd wrz qmxv 12 " * 4,
        "kbd wrz qmxv 12 " * 8,
        "kbd wrz qmxv 12 " * 64,
        "गन्ना और चीनी का बही-खाता 🌾",
        "  blanks   around  it  ",
        "🌾🍬🧪🔬🏭🚜🌧🌞🌙⭐🌊🔥🍀🎲🎯",
        PASSWORD,
        demo_season().PASSWORD,
    ],
)
def test_any_characters_make_a_password(password):
    """B-70: 15, 64, 128 and 1024 characters, blanks, emoji, Devanagari; nothing is cut off."""
    kept = hash_of_new(password, NAMES)
    assert kept.startswith("$argon2id$v=19$m=19456,t=2,p=1$")
    assert fits(kept, password)
    assert not fits(kept, password[:-1])
    assert not fits(kept, password + " ")
    assert not fits(kept, password.swapcase() + " ")


def test_the_commonest_passwords_are_refused_also_lengthened_until_they_fit():
    """B-71: at least the 3000 commonest."""
    fitting = [password for password in COMMON if len(password) >= 15]
    assert len(fitting) > 25
    lengthened = [password * -(-15 // len(password)) for password in COMMON[:3000]]
    taken = [p for p in fitting + lengthened if not easily_guessed(p, ())]
    assert taken == []


@pytest.mark.parametrize(
    ("password", "words"),
    [
        ("Willow Bend mill", "names that belong to you"),
        ("willowbendsugarmill", "names that belong to you"),
        ("Willow Bend 2026!", "names that belong to you"),
        ("ANN FIELD ANN FIELD", "names that belong to you"),
        ("Port Amaranth 1", "names that belong to you"),
        ("mill chemistry ledger", "names that belong to you"),
        ("aaaaaaaaaaaaaaaaaaaa", "the same again and again"),
        ("abcdefghijklmnop", "follows a row"),
        ("zxcvbnm,./zxcvbnm,./", "the same again and again"),
        ("1qaz2wsx3edc4rfv", "many people use it"),
    ],
)
def test_what_is_easily_guessed_is_refused_and_said_why(password, words):
    """B-71: site words too."""
    with pytest.raises(ValueError, match=words):
        hash_of_new(password, NAMES)


def test_guessing_needs_no_network(monkeypatch):
    """B-71"""

    def refuse(*_):
        raise OSError("there is no network")

    monkeypatch.setattr(socket, "socket", refuse)
    assert easily_guessed("passwordpassword", ())


def test_where_there_is_no_hash_nothing_fits():
    passwords._hash_of_nobody.cache_clear()
    assert not fits(None, "")
    assert not fits(None, "kbd wrz qmxv 12")
    assert not fits("no hash at all", "kbd wrz qmxv 12")


def test_codes_are_drawn_by_lot_and_read_however_they_are_written():
    codes = {new_code() for _ in range(1000)}
    assert len(codes) == 1000
    code = codes.pop()
    assert len(code) == 19
    assert not set("".join(codes)) & set("01ILOil")
    assert hash_of_code(code) == hash_of_code(f" {code.lower().replace('-', ' ')} ")
    assert hash_of_code(code) != hash_of_code(code[:-1])
