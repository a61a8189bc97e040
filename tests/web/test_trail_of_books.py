"""Records in the trail and in the reports of their books: corrected, taken out, and from when."""

import pytest

LOADS = "/books/consignments/2026-06-03/1"
REPORT = "/books/consignments?first=2026-06-01&last=2026-06-03"


def load(ticket, gross="60"):
    return {
        "field:ticket": ticket, "field:weighed": "07:10", "field:grower": "G1",
        "field:gross": gross, "field:tare": "20",
    }  # fmt: skip


def record_of(visitor, ticket):
    return visitor.get(LOADS).text.split(f">{ticket}</a>")[0].rpartition('href="')[2].rstrip('"')


@pytest.fixture
def loads(ann):
    """Three loads: one as it was, one corrected, one taken out."""
    for ticket in ("T1", "T2", "T3"):
        assert ann.post(LOADS, load(ticket)).status_code == 303
    heavier = load("T2", "62") | {"what": "corrected", "reason": "read again"}
    assert ann.post(record_of(ann, "T2"), heavier).status_code == 303
    out = load("T3") | {"what": "taken-out", "reason": "another mill's"}
    assert ann.post(record_of(ann, "T3"), out).status_code == 303
    ann.save("cane", "1250")


def happened(visitor, asked):
    return visitor.get(f"/trail?{asked}").text.partition("<tbody>")[2].partition("</tbody>")[0]


@pytest.mark.usefixtures("loads")
def test_the_trail_says_which_record_was_taken_out(ann):
    assert "Cane consignments, T3, shift 1</a>" in happened(ann, "what=taken-out")


@pytest.mark.parametrize(
    ("asked", "told"),
    [
        ("what=taken-out", ["T3"]),
        ("what=corrected", ["T2"]),
        ("where=consignments", ["T1", "T2", "T2", "T3", "T3"]),
        ("where=books", ["T1", "T2", "T2", "T3", "T3"]),
        ("where=books&what=corrected", ["T2"]),
        ("where=strikes", []),
        ("where=sheets", ["Cane crushed"]),
        ("where=sheets&what=taken-out", []),
    ],
)
@pytest.mark.usefixtures("loads")
def test_the_trail_is_asked_for_what_was_corrected_or_taken_out_and_where(ann, asked, told):
    rows = happened(ann, asked).split("</tr>")[:-1]
    titles = ["Cane crushed", "T1", "T2", "T3"]
    assert sorted(next(t for t in titles if f"{t}, shift 1" in row) for row in rows) == told


@pytest.mark.usefixtures("loads")
def test_a_report_counts_what_was_taken_out_and_says_where_it_is(ann):
    page = ann.get(REPORT).text
    assert "T3" not in page
    link = '<a href="/trail?what=taken-out&amp;where=consignments">1 record</a>'
    assert f"{link} of these days was taken out" in page


@pytest.mark.usefixtures("loads")
def test_a_report_over_days_before_the_book_says_when_it_begins(ann):
    assert "This book begins on Wednesday 3 June 2026" in ann.get(REPORT).text
    alone = ann.get("/books/consignments?first=2026-06-03&last=2026-06-03").text
    assert "This book begins" not in alone
