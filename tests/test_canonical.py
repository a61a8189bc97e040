"""The canonical form: golden vectors, the same in the ledger and in the program that travels."""

import json
import unicodedata
from datetime import UTC, date, datetime
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.exports.travelling import verify
from app.ledger import canonical
from tests.examples import checks

VECTORS = checks("canonical")
EVENTS = [row for row in VECTORS if row["what"] == "event"]
OTHERS = [row for row in VECTORS if row["what"] not in ("event", "link")]
LINKS = [row for row in VECTORS if row["what"] == "link"]
WRITERS = pytest.mark.parametrize("writer", [canonical, verify], ids=["ledger", "verifier"])


@WRITERS
@pytest.mark.parametrize("row", EVENTS, ids=lambda row: row["case"])
def test_an_event_has_the_golden_text_and_digest(row, writer):
    """A-21."""
    event = json.loads(row["given"])
    assert writer.canonical(event) == row["text"]
    whole = event if writer is canonical else {name: event[name] or "" for name in event}
    assert writer.digest_of_event(whole) == row["sha256"]


@WRITERS
@pytest.mark.parametrize("row", OTHERS, ids=lambda row: row["case"])
def test_anything_has_the_golden_text_and_digest(row, writer):
    """A-21, A-22."""
    assert writer.canonical(json.loads(row["given"])) == row["text"]
    assert writer.digest(row["what"], row["text"]) == row["sha256"]


@WRITERS
@pytest.mark.parametrize("row", LINKS, ids=lambda row: row["case"])
def test_a_link_has_the_golden_hash(row, writer):
    """A-20, A-21."""
    number, previous, digest = row["text"].split("\n")
    assert writer.link(int(number), previous, digest) == row["sha256"]


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (None, "null"),
        (True, '"true"'),
        (False, '"false"'),
        (12, '"12"'),
        (-0.35, '"-0.35"'),
        (1e-05, '"1e-05"'),
        (Decimal("12.50"), '"12.50"'),
        (date(2026, 7, 14), '"2026-07-14"'),
        (datetime(2026, 7, 14, 6, tzinfo=UTC), '"2026-07-14T06:00:00.000000Z"'),
        ("e\u0301", '"é"'),
        (["b", {"z": 1, "a": None}], '["b",{"a":null,"z":"1"}]'),
    ],
)
def test_each_kind_of_value_is_written_in_one_way(value, text):
    """A-21: numbers as text, instants in UTC, text in form NFC, keys sorted."""
    assert canonical.canonical(value) == text


def test_what_the_form_does_not_know_is_refused():
    with pytest.raises(TypeError):
        canonical.canonical({"a": b"bytes"})


ANY_TEXT = st.text(st.characters(exclude_categories=["Cs"]))
VALUES = st.recursive(
    st.none() | ANY_TEXT,
    lambda inner: st.lists(inner) | st.dictionaries(st.text("abz", max_size=3), inner),
)


@given(VALUES)
def test_both_implementations_agree_on_any_text(value):
    """A-21: all scripts, quotes, control characters, nested as deep as it comes."""
    assert canonical.canonical(value) == verify.canonical(value)
    again = json.loads(canonical.canonical(value))
    assert canonical.canonical(again) == canonical.canonical(value)


@given(ANY_TEXT)
def test_a_text_has_one_form_however_it_is_composed(text):
    taken_apart = unicodedata.normalize("NFD", text)
    assert canonical.canonical(taken_apart) == canonical.canonical(text)
