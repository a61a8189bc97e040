"""Records of the other books in several languages: kept the same, and printed as each writes."""

import csv
import io
import json
import re
from datetime import date

import pytest
from sqlalchemy import insert, select

from app.database import writing
from app.language import LANGUAGES, _, speaking
from app.ledger import book, instruments, soundness, tables
from app.ledger.incoming_records import take_records
from app.ledger.records import records_of
from app.ledger.sent import SentRecord, read_json
from app.plant.books import BOOKS, reading
from app.plant.books.declare import CHOICE
from app.plant.books.reading import said
from app.web.languages import COOKIE
from tests.bench import NOON
from tests.importing import bring_in
from tests.web.conftest import SHEET

SHIFT = "/books/stops/2026-06-03/1"
STOPS = BOOKS["stops"]
KEPT = {"begins": "07:40", "ends": "08:10", "cause": "mechanical_stop", "crushing": "stopped"}
CHOICES = [
    (each, field) for each in BOOKS.values() for field in each.fields if field.kind == CHOICE
]


@pytest.fixture(autouse=True)
def _titles_anew():
    """What a test before may have learnt of a language that nobody speaks is forgotten."""
    reading._by_title.cache_clear()


def titles(language):
    """What a chemist of a language calls the choices of a stop."""
    with speaking(language):
        return {name: _(STOPS.field(name).choices[KEPT[name]]) for name in ("cause", "crushing")}


def kept(bench):
    records = bench.read(records_of, bench.season, date.min, date.max, STOPS)
    return [dict(record.fields) for record in records]


@pytest.mark.parametrize(
    ("of", "field"), CHOICES, ids=lambda each: getattr(each, "name", "")
)  # fmt: skip
def test_a_choice_is_kept_by_its_name_in_whatever_language_its_title_is_typed(of, field):
    for language in LANGUAGES:
        for name, title in field.choices.items():
            with speaking(language):
                typed = _(title)
            for reads in LANGUAGES:
                with speaking(reads):
                    assert said(of, {field.name: typed.upper()}) == {field.name: name}


def test_a_stop_typed_in_spanish_is_read_in_every_language(bench, ann):
    """B-55: what the sheet gets from it too, so that the ledger stays as it was written."""
    ann.client.cookies.set(COOKIE, "es")
    spanish = {f"field:{name}": text for name, text in (KEPT | titles("es")).items()}
    assert spanish["field:cause"] != "mechanical_stop"
    assert ann.post(SHIFT, spanish).status_code == 303
    assert kept(bench) == [KEPT]
    assert bench.read(soundness.faults) == []
    for language in LANGUAGES:
        ann.client.cookies.set(COOKIE, language)
        page = ann.get(SHIFT).text
        assert f"<td>{titles(language)['cause']}</td>" in page
        with speaking(language):
            assert bench.read(soundness.faults) == []
        record = re.search(r'href="(/books/stops/records/\d+)"', page)[1]
        form = ann.get(record).text.partition("<form")[2]
        assert '<option value="mechanical_stop" selected>' in form


def test_a_stop_brought_in_or_sent_in_french_is_kept_the_same(bench):
    with speaking("fr"):
        row = KEPT | titles("fr")
        table = f"Day,Shift,{','.join(row)}\n2026-06-03,1,{','.join(row.values())}\n"
        assert bring_in(bench, table, target="stops").count == 1
        sent = row | {"begins": "09:00", "ends": "09:30"}
        with writing(bench.engine) as connection:
            scale, _token = instruments.add_instrument(
                connection, name="Counter", measures=[], books=["stops"], by=bench.ann, at=NOON
            )
            body = {"book": "stops", "day": "2026-06-03", "shift": 1, "fields": sent}
            one = read_json(json.dumps(body).encode(), SentRecord)
            take_records(connection, scale, one, NOON)
    assert kept(bench) == [KEPT, KEPT | {"begins": "09:00", "ends": "09:30"}]
    assert bench.read(soundness.faults) == []


def test_a_title_that_was_kept_of_old_is_read_and_needs_no_reason_to_be_filled_up(bench, ann):
    """Before, a choice was kept as it was typed."""
    of_old = {name: text for name, text in KEPT.items() if name != "ends"} | titles("en")
    ann.post(SHIFT, {f"field:{name}": text for name, text in of_old.items()})
    row = bench.read(lambda c: c.execute(select(tables.record)).mappings().one())
    with writing(bench.engine) as connection:  # as a ledger of old has it
        old = dict(row) | {"id": row["id"] + 1, "fields": json.dumps(of_old)}
        connection.execute(insert(tables.record).values(old))
        standing = {"season_id": bench.season.id, "shift_id": row["shift_id"], "book": "stops"}
        connection.execute(
            insert(tables.standing_record).values(standing | {"record_id": old["id"]})
        )
    assert json.loads(row["fields"])["cause"] == "mechanical_stop"
    address = f"/books/stops/records/{old['id']}"
    assert '<option value="mechanical_stop" selected>' in ann.get(address).text
    filled = {f"field:{name}": text for name, text in KEPT.items()} | {"what": "corrected"}
    assert ann.post(address, filled).status_code == 303


def test_a_record_and_its_trail_print_what_was_typed_with_the_decimal_sign_of_the_language(ann):
    load = {"ticket": "T.1", "weighed": "07.10", "grower": "G,7", "gross": "32.50",
            "tare": "11,2"}  # fmt: skip
    address = "/books/consignments/2026-06-03/1"
    sent = {f"field:{name}": text for name, text in load.items()}
    answer = ann.post(address, sent)
    assert answer.status_code == 303, answer.text
    ann.save("cane", "1250.5")
    for language, gross, tare, net, cane in (
        ("fr", "32,50", "11,2", "21,30", "1250,5"), ("es", "32,50", "11,2", "21,30", "1250,5"),
        ("es-419", "32.50", "11.2", "21.30", "1250.5"), ("en", "32.50", "11.2", "21.30", "1250.5"),
    ):  # fmt: skip
        ann.client.cookies.set(COOKIE, language)
        page = ann.get(address).text.partition('<form class="stacked')[2].partition("</form>")[2]
        boxes = re.findall(r'<td class="num">([^<]*)</td>', page)
        assert {gross, tare, net} <= set(boxes)
        assert "<td>G,7</td>" in page
        record = re.search(r'href="(/books/consignments/records/\d+)"', page)[1]
        said = ann.get(record).text
        assert {gross, tare, "07:10", "T.1"} <= set(re.findall(r"<dd>([^<]*)</dd>", said))
        trail = ann.get("/trail?day=2026-06-03").text
        assert f" {gross}; " in trail
        assert f">{cane}<" in trail


def test_words_of_the_plant_have_their_numbers_as_the_language_writes_them(ann):
    for language, sign in (("fr", ","), ("es", ","), ("es-419", "."), ("en", ".")):
        ann.client.cookies.set(COOKIE, language)
        assert f"12{sign}5 %" in ann.get("/manual/milling").text
        assert f"6{sign}9" in ann.get("/plant/measures/clear_juice_ph").text
        assert f"0{sign}3" in ann.get("/manual/conventions").text
        assert f"93{sign}5" in ann.get("/manual/pans_and_crystallizers").text


def test_a_reason_that_somebody_wrote_is_told_as_it_was_written(bench, ann):
    """One that the ledger offers is told in the language chosen."""
    for text, reason in (("1250", ""), ("1205", "Shift"), ("1206", "tested again")):
        stands = bench.read(book.sheet, bench.season, bench.day, 1).get("cane")
        ann.save("cane", text, stands.id if stands else "", reason="other", words=reason)
    ann.client.cookies.set(COOKIE, "es")
    with speaking("es"):
        assert _("Shift") != "Shift"
        offered = _("tested again")
    for address in ("/trail?day=2026-06-03", f"{SHEET}/cells/cane"):
        told = ann.get(address).text
        assert ">Shift</td>" in told
        assert f">{offered}</td>" in told


def test_the_file_of_a_book_has_one_form_in_all_rows_and_says_what_each_corrects(bench, ann):
    stop = {f"field:{name}": text for name, text in KEPT.items()}
    ann.post(SHIFT, stop)
    ann.post(SHIFT, stop | {"field:begins": "9:00", "field:ends": "9:30"})
    first, second = (r.id for r in bench.read(records_of, bench.season, bench.day, bench.day))
    again = stop | {"field:ends": "08:20", "reason": "misread", "what": "corrected"}
    assert ann.post(f"/books/stops/records/{first}", again).status_code == 303
    out = {"reason": "=no such stop;=1", "what": "taken-out"}
    assert ann.post(f"/books/stops/records/{second}", out).status_code == 303
    text = ann.get("/books/stops/csv?first=2026-06-03&last=2026-06-03").text
    corrected, taken_out = csv.DictReader(io.StringIO(text, newline=""))
    assert (corrected["status"], corrected["supersedes"]) == ("standing", f"{first}")
    assert (taken_out["status"], taken_out["supersedes"]) == ("taken out", f"{second}")
    instant = re.compile(r"2026-06-\d\dT\d\d:\d\d:\d\d\+00:00")
    for row in (corrected, taken_out):
        for name in ("begins", "ends", "recorded_at"):
            assert instant.fullmatch(row[name]), (name, row[name])
    assert taken_out["reason"] == "'=no such stop;'=1"
    page = ann.get("/books/stops?first=2026-06-03&last=2026-06-03").text
    listed = re.findall(r"<dt><code>(\w+)</code></dt>", page)
    assert listed == text.partition("\r\n")[0].split(",")
    assert "Every version of it" in page


def test_what_stands_in_a_file_is_named_as_it_stands_there_in_every_language(ann):
    ann.save("cane", "1250")
    for language in LANGUAGES:
        ann.client.cookies.set(COOKIE, language)
        page = ann.get("/seasons/2026").text
        for word in ("entry", "shift", "book", "draft", "not measured", "yes", "read"):
            assert f"<code>{word}</code>" in page, (language, word)
