"""The page of the bench: forms that are links, messages beside boxes, and the mill's lime."""

import re
from decimal import Decimal
from html import unescape
from itertools import pairwise

import pytest
from sqlalchemy import func, select

from app.database import reading, writing
from app.ledger import bench as ledger
from app.ledger import tables
from app.ledger.bench import NotADose
from app.ledger.people import ROLES
from tests.bench import NOON

BRIX = "/bench?conversion=brix&reading=15,2&temperature=28&table=1936"
STEP = {"from_ph": "5,2", "to_ph": "7.4", "dose": "0.650"}
LIME = "/bench?conversion=lime&juice=200&step="


def box(page, name):
    """Return the tag of a box, by its id."""
    found = re.search(rf'<(?:input|select)[^>]*\sid="{name}"[^>]*>', page.text)
    assert found, f"no box {name}"
    return found.group()


def said(page, name):
    found = re.search(rf'id="{name}-said">([^<]*)<', page.text)
    return unescape(found.group(1)) if found else ""


def lime_table(page):
    """Return the rows of the table of lime, as texts."""
    rows = re.findall(r"<tr>\s*((?:<td.*?</td>\s*)+)", page.text, re.DOTALL)
    return [re.findall(r"<td[^>]*>([^<]*)</td>", row) for row in rows]


@pytest.mark.parametrize("role", ROLES)
def test_everybody_who_signs_in_may_work_things_out(visit, role):
    visitor = visit("ann" if role == "chemist" else role.split()[0])
    page = visitor.get(BRIX)
    assert page.status_code == 200
    # By hand: 0.61 at 15 and 0.62 at 20 °Bx, so 0.61 at 15.2. Source: AOAC 932.14C; from memory.
    assert "<dt>Brix at 20 °C</dt><dd><strong>15.81</strong> °Bx</dd>" in page.text
    assert '<a href="/bench" aria-current="page">Bench</a>' in page.text


def test_who_has_not_signed_in_is_asked_to(visit):
    answer = visit().get("/bench")
    assert (answer.status_code, answer.headers["location"]) == (303, "/sign-in?next=/bench")


def test_a_form_is_a_link_and_keeps_what_was_typed(ann):
    page = ann.get(BRIX)
    assert '<form method="get" action="/bench"' in page.text
    assert 'value="15,2"' in box(page, "brix-reading")
    assert '<option value="1936" selected>' in page.text
    assert 'value=""' in box(page, "hydrometer-reading")
    assert page.text.count('role="status"') == 1
    assert "<title>Refractometer brix at 20 °C, bench" in page.text


def test_what_is_wrong_is_said_beside_its_box_and_first_on_the_page(ann):
    page = ann.get(BRIX.replace("28", "35"))
    assert page.status_code == 422
    words = "Temperature is 35 °C; this holds from 10 to 30 °C."
    assert said(page, "brix-temperature") == words
    assert f'<a href="#brix-temperature">{words}</a>' in page.text
    tag = box(page, "brix-temperature")
    assert 'aria-invalid="true"' in tag
    assert 'aria-describedby="brix-temperature-said"' in tag
    assert 'value="35"' in tag
    assert "<title>Error: " in page.text
    assert 'role="status"' not in page.text
    assert 'aria-invalid="true"' not in box(page, "brix-reading")


@pytest.mark.parametrize("query", ["conversion=none", "conversion=lime", "conversion=%ED%A0%80"])
def test_a_conversion_that_is_not_there_is_answered_plainly(ann, query):
    answer = ann.get(f"/bench?{query}")
    assert answer.status_code == 404
    assert "no such conversion" in answer.text


@pytest.mark.parametrize("sent", ["%ED%A0%80", "%00", "<b>x</b>", "9" * 5000, "", "%22onfocus=%22"])
def test_what_nobody_typed_is_refused_like_what_somebody_did(ann, sent):
    page = ann.get(f"/bench?conversion=milk_of_lime&baume={sent}&baume={sent}")
    assert page.status_code == 422
    assert said(page, "milk_of_lime-baume")
    assert "<b>x" not in page.text
    assert "onfocus=" not in box(page, "milk_of_lime-baume").replace("&#34;onfocus=", "")


def test_every_box_has_its_label_and_what_describes_it(ann):
    ann.post("/bench/lime-doses", STEP)
    for address in ("/bench", BRIX, f"{LIME}x", "/bench?conversion=pol"):
        text = ann.get(address).text
        ids = re.findall(r'\sid="([^"]+)"', text)
        assert len(ids) == len(set(ids))
        boxes = re.findall(r'<(?:input|select)(?![^>]*type="hidden")[^>]*\sid="([^"]+)"', text)
        assert len(boxes) > 40
        assert boxes == re.findall(r'<label for="([^"]+)"', text)
        named = re.findall(r'aria-(?:describedby|labelledby)="([^"]+)"', text)
        assert {one for names in named for one in names.split()} <= set(ids)
        assert set(re.findall(r'href="#([^"]+)"', text)) <= set(ids)
        levels = [int(level) for level in re.findall(r"<h(\d)", text)]
        assert levels[0] == 1
        assert all(after <= before + 1 for before, after in pairwise(levels))
        assert not re.search(r"<script(?![^>]*\ssrc=)|<style|\sstyle=|\son\w+=|://", text)


def test_sieves_are_typed_as_lists(ann):
    lists = "apertures=1,18+1+0.85&retained=10+50+30&pan=10"
    page = ann.get(f"/bench?conversion=sieves&{lists}")
    assert page.status_code == 200
    # By hand: 50 % stays 40 ÷ 50 of the way from 1.18 to 1.
    assert "<dt>Mean aperture, interpolated</dt><dd><strong>1.036</strong> mm</dd>" in page.text
    assert 'value="1,18 1 0.85" inputmode="text"' in box(page, "sieves-apertures")
    assert 'inputmode="decimal"' in box(page, "sieves-pan")


def test_each_conversion_names_its_source_and_defers_to_those_who_run_the_plant(ann):
    text = ann.get("/bench").text
    assert text.count("<b>Source:</b>") == text.count("Work out</button>") > 10
    for words in (
        "local codes and licensed practice", "lead acetate is a poison", "Quicklime burns",
        "alcohol burns and its vapour explodes", "scald", "copper reagents are caustic",
        "boil over", "Hydrochloric acid, hot above all", "Dust of dry sugar explodes",
        "no correction for sucrose is applied",
    ):  # fmt: skip
        assert words in text


def test_an_empty_table_of_lime_says_that_the_mill_fills_it(ann):
    page = ann.get("/bench")
    assert "The table is empty. The mill fills it from its own trials" in page.text
    assert "Lime for a step of pH" not in page.text
    assert lime_table(page) == []


def test_a_chemist_keeps_a_dose_and_everybody_uses_it(ann, visit):
    kept = ann.post("/bench/lime-doses", STEP)
    assert (kept.status_code, kept.headers["location"]) == (303, "/bench?done=kept#lime-table")
    assert "The lime table was changed." in ann.get("/bench?done=kept").text
    page = visit("auditor").get(f"{LIME}5.2-7.4")
    assert lime_table(page) == [["5.2", "7.4", "0.650", "Ann Field, 3 Jun 2026, 12:00"]]
    assert "<dt>Calcium oxide</dt><dd><strong>130.0</strong> kg</dd>" in page.text


def test_the_last_dose_of_a_step_stands_and_none_takes_it_out(ann, visit, bench):
    chief = visit("chief")
    ann.post("/bench/lime-doses", STEP)
    ann.post("/bench/lime-doses", {"from_ph": "5.4", "to_ph": "7.4", "dose": "0.55"})
    chief.post("/bench/lime-doses", STEP | {"to_ph": "7.40", "dose": "0.7"})
    rows = lime_table(ann.get("/bench"))
    assert [row[2] for row in rows] == ["0.7", "0.55"]
    assert rows[0][3].startswith("Chief Chemist,")
    out = ann.post("/bench/lime-doses", STEP | {"dose": " "})
    assert out.headers["location"] == "/bench?done=out#lime-table"
    assert [row[2] for row in lime_table(ann.get("/bench"))] == ["0.55"]
    assert ann.get(f"{LIME}5.2-7.4").status_code == 422
    with reading(bench.engine) as connection:
        assert connection.scalar(select(func.count()).select_from(tables.lime_dose)) == 4


@pytest.mark.parametrize(
    ("changed", "where", "words"),
    [
        ({"from_ph": "x"}, "from_ph", "Write a number"),
        ({"from_ph": ""}, "from_ph", "Write a number"),
        ({"from_ph": "-1"}, "from_ph", "A pH lies between 0 and 14; -1 does not"),
        ({"to_ph": "14.1"}, "to_ph", "A pH lies between 0 and 14"),
        ({"to_ph": "5.20"}, "to_ph", "this is to be above 5.2"),
        ({"dose": "0"}, "dose", "above 0 and at most 100"),
        ({"dose": "101"}, "dose", "101 is not"),
        ({"dose": "nm"}, "dose", "Write a number"),
        ({"dose": "0." + "6" * 5000}, "dose", "at most 40 characters"),
        ({"from_ph": "0" * 41}, "from_ph", "at most 40 characters"),
        ({"dose": ""}, "dose", "there is no step from 5.2 to 7.4 yet"),
    ],
)
def test_a_dose_that_cannot_be_is_refused_beside_its_box(ann, changed, where, words):
    page = ann.post("/bench/lime-doses", STEP | changed)
    assert page.status_code == 422
    assert words in said(page, f"dose-{where}")
    assert "The dose was not kept" in page.text
    for name, typed in (STEP | changed).items():
        assert f'value="{typed}"' in box(page, f"dose-{name}")
    assert lime_table(ann.get("/bench")) == []


@pytest.mark.parametrize("role", ["manager", "auditor"])
def test_others_read_the_table_of_lime_only(visit, role):
    visitor = visit(role.split()[0])
    assert 'action="/bench/lime-doses"' not in visitor.get("/bench").text
    assert visitor.post("/bench/lime-doses", STEP).status_code == 403
    assert lime_table(visitor.get("/bench")) == []


def test_a_dose_without_the_token_of_the_sign_in_is_refused(ann):
    ann.token = "guess"
    assert ann.post("/bench/lime-doses", STEP).status_code == 403
    assert lime_table(ann.get("/bench")) == []


@pytest.mark.both_engines
def test_the_ledger_keeps_every_dose_and_gives_those_that_stand(bench):
    def keep(low, high, dose):
        with writing(bench.engine) as connection:
            return ledger.set_lime_dose(
                connection, bench.mill, from_ph=low, to_ph=high, dose=dose, by=bench.ann, at=NOON
            )

    first = keep("5,2", "7.4", "0.6")
    assert keep("10", "11", "1") is not None
    assert keep("5.20", "7.4", "") is None
    with pytest.raises(NotADose, match=r"no step from 5\.2 to 7\.4"):
        keep("5.2", "7.4", "")
    second = keep("5.2", "7.4", "0,72")
    standing = bench.read(ledger.lime_doses, bench.mill)
    doses = [(row.from_ph, row.dose) for row in standing]
    assert doses == [(Decimal("5.2"), Decimal("0.72")), (10, 1)]
    assert standing[0] == second
    assert (first.recorded_name, first.recorded_at) == ("Ann Field", NOON)
