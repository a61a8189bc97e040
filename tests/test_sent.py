"""What is sent, as it is read: JSON and tables, each thing with its place in them."""

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.ledger.sent import NotTaken, SentResult, read_file, read_json

RESULT = {"day": "2026-06-03", "shift": 1, "measure": "cane", "typed": "1800"}
TEXTS = st.text(st.characters(codec="utf-8"), max_size=20)
JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | TEXTS | st.sampled_from(list(RESULT)),
    lambda inner: st.lists(inner) | st.dictionaries(TEXTS | st.sampled_from(list(RESULT)), inner),
    max_leaves=12,
)


def test_a_table_is_read_as_it_would_be_sent():
    body = (
        "\ufeffday;shift;measure;typed;sample\r\n"
        "2026-06-03;1;cane;1800,5;\r\n"
        "\r\n"
        "2026-06-03;1;mixed_juice;1850;1\r\n"
    ).encode()
    results, records = read_file(body, table=True)
    assert records == []
    assert [(n, sent.measure, sent.typed, sent.sample) for n, sent in results] == [
        (0, "cane", "1800,5", None), (2, "mixed_juice", "1850", 1),
    ]  # fmt: skip
    table = b"book,at,begins,ends,cause,crushing\nstops,2026-06-03T07:00-05:00,07:00,,no_cane,no\n"
    results, records = read_file(table, table=True)
    assert results == []
    assert records[0][1].fields == {"begins": "07:00", "cause": "no_cane", "crushing": "no"}


@pytest.mark.parametrize(
    ("table", "words"),
    [
        (b"", "A table has a first line"),
        (b"day,shift,measure,typed\n", "A table has a first line"),
        (b"day,day,measure,typed\n1,2,3,4\n", "A table has a first line"),
        (b"day,shift,measure,typed\n2026-06-03,1,cane,1,8\n", "line 2: There are more columns"),
        (
            b"day,shift,measure,typed\n2026-06-03,one,cane,1\n",
            "line 2, shift: it is a whole number",
        ),
        (b"measure,typed\ncane,1\n", "line 2: it says day and shift, or at"),
        (b'day,shift\n"2026', "This is no table"),
        (b"day,shift,measure,typed\n\xff,1,cane,1\n", "The file is not written in UTF-8"),
        (b"day,shift,measure,typed,mood\n2026-06-03,1,cane,1,good\n", "line 2, mood: there is no"),
    ],
)
def test_what_is_no_table_is_said_by_its_line(table, words):
    with pytest.raises(NotTaken) as why:
        read_file(table, table=True)
    assert words in why.value.said(table=True)[0]


def outcome(read, body, **more):
    """What was read, or in words why not: no other error is let through."""
    try:
        return read(body, **more), []
    except NotTaken as refused:
        return None, refused.said()


@given(st.binary() | TEXTS.map(str.encode), st.booleans())
def test_whatever_a_file_holds_it_is_read_or_refused_in_words(body, table):
    found, words = outcome(read_file, body, table=table)
    assert (found is None) == bool(words)
    assert all(words)


@given(JSON)
def test_whatever_is_sent_is_read_or_refused_in_words(sent):
    found, words = outcome(read_json, json.dumps(sent).encode(), kind=SentResult)
    assert (found is None) == bool(words)
    assert all(words)


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({"day": 20260603}, "day: a day is written like 2026-07-14"),
        ({"day": "2026-02-30"}, "day: a day is written like 2026-07-14"),
        ({"day": "\u0662026-06-03"}, "day: a day is written like 2026-07-14"),
        ({"at": "2026-06-03"}, "at: a moment is written like"),
        ({"at": 1780000000}, "at: a moment is written like"),
        ({"at": "2026-06-03T25:00Z"}, "at: a moment is written like"),
        ({"shift": True}, "shift: it is a whole number"),
        ({"sample": 0}, "sample: "),
        ({"determination": 10}, "determination: "),
        ({"typed": "1" * 41}, "typed: "),
    ],
)
def test_a_result_that_is_none_is_refused_in_words(changed, words):
    with pytest.raises(NotTaken) as why:
        read_json(json.dumps(RESULT | changed).encode(), SentResult)
    assert why.value.said()[0].startswith(words)


def test_of_very_many_problems_a_hundred_are_said_and_the_others_counted():
    with pytest.raises(NotTaken) as why:
        read_json(json.dumps([RESULT | {"typed": ""}] * 250).encode(), SentResult)
    said = why.value.said()
    assert (len(said), said[0], said[-1]) == (101, "item 1, typed: it is blank", "and 150 more")
