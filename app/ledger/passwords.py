"""Passwords: what makes one good enough, how it is hashed, and the codes that let somebody set one.

A password is taken and compared exactly as typed.
"""

import hashlib
import secrets
from collections.abc import Iterable, Mapping
from functools import cache
from typing import Any

from argon2 import PasswordHasher
from argon2.exceptions import InvalidHashError, VerificationError
from zxcvbn import zxcvbn

from app.language import _

SHORTEST_PASSWORD = 15
LONGEST_PASSWORD = 1024

# what somebody who tries likely passwords first must try before they come to this one
FEWEST_GUESSES = 10**10
_FEWEST_LETTERS = 4  # of its own, beside names that everybody here knows
_JUDGED = 72  # characters: the rest can only make it harder to guess
_TRADE = ("ledger", "chemistry", "sugar", "sugarcane", "cane", "mill", "factory", "laboratory")

_LETTERS = "ABCDEFGHJKMNPQRSTUVWXYZ23456789"  # none that looks like another
_GROUPS = 4

_hasher = PasswordHasher(time_cost=2, memory_cost=19 * 1024, parallelism=1)

_BECAUSE = {
    "repeat": "it says the same again and again",
    "sequence": "it follows a row such as abc or 123",
    "spatial": "it follows keys that lie side by side",
    "date": "it is a date",
    "user_inputs": "it is made of names that belong to you, the mill or its trade",
    "passwords": "many people use it, or its parts, as a password",
}
_COMMON = "it is made of a few common words"


def hash_of_new(password: str, names: Iterable[str] = ()) -> str:
    """Return the hash of a new password; ValueError says why it is not good enough.

    `names` are what somebody who knows the person and the mill would try.
    """
    if len(password) < SHORTEST_PASSWORD:
        raise ValueError(_("A password has at least {count} characters", count=SHORTEST_PASSWORD))
    if len(password) > LONGEST_PASSWORD:
        raise ValueError(_("A password has at most {count} characters", count=LONGEST_PASSWORD))
    if why := easily_guessed(password, names):
        raise ValueError(_("This password is easily guessed: {why}", why=_(why)))
    return hashed(password)


def hashed(password: str) -> str:
    """Return the hash of a password that is known to be good enough."""
    return _hasher.hash(password)


def easily_guessed(password: str, names: Iterable[str]) -> str:
    """Say why `password` is easily guessed; nothing where it is not."""
    tried = {*_TRADE, *(part for name in names for part in (name, *name.split()))}
    if _made_of(password, tried):
        return _BECAUSE["user_inputs"]
    found = zxcvbn(password[:_JUDGED], user_inputs=sorted(tried), max_length=_JUDGED)
    if found["guesses"] >= FEWEST_GUESSES:
        return ""
    longest = max(found["sequence"], key=_length)
    return _BECAUSE.get(longest.get("dictionary_name") or longest["pattern"], _COMMON)


def _made_of(password: str, words: Iterable[str]) -> bool:
    """Tell whether next to no letters are left of a password without these words."""
    left = whole = password.casefold()
    for word in sorted(words, key=len, reverse=True):
        left = left.replace(word.casefold(), " ") if len(word) > 1 else left
    return left != whole and sum(letter.isalpha() for letter in left) < _FEWEST_LETTERS


def _length(part: Mapping[str, Any]) -> int:
    # what follows no pattern is not why a password is easily guessed
    return 0 if part["pattern"] == "bruteforce" else len(part["token"])


def fits(hash_of_it: str | None, password: str) -> bool:
    """Tell whether `password` has this hash; takes as long where there is none."""
    try:
        return _hasher.verify(hash_of_it or _hash_of_nobody(), password) and hash_of_it is not None
    except (VerificationError, InvalidHashError):
        return False


def is_weak(hash_of_it: str) -> bool:
    """Tell whether a hash was made with less work than one is made with now."""
    return _hasher.check_needs_rehash(hash_of_it)


@cache
def _hash_of_nobody() -> str:
    return _hasher.hash(secrets.token_urlsafe())


def new_code() -> str:
    """Return a code to be read out and typed once, in groups of four: 79 bits."""
    letters = "".join(secrets.choice(_LETTERS) for _letter in range(4 * _GROUPS))
    return "-".join(letters[at : at + 4] for at in range(0, len(letters), 4))


def hash_of_code(code: str) -> str:
    """Return the hash of a code, however its groups and letters are written."""
    letters = "".join(letter for letter in code.upper() if letter.isalnum())
    return hash_of_secret(letters)


def hash_of_secret(secret: str) -> str:
    """Return the hash of what was drawn by lot, and so needs no slow one."""
    return hashlib.sha256(secret.encode(errors="replace")).hexdigest()
