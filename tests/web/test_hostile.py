"""Hostile input in every field of every form: inert on the page, kept faithfully or refused."""

import json
import re
import unicodedata
from urllib.parse import urlencode

import pytest
from sqlalchemy import delete, select

from app.database import reading, writing
from app.ledger import chain, tables
from tests.bench import PASSWORD
from tests.web.conftest import OURS, SHEET
from tests.web.pages import Form, Page
from tests.web.test_roles import TABLE, USERS, filled

BIDI = "\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069\u200e\u200f"
SURROGATE = "\ud800"  # which no text can hold; as sent by what is no browser
HOSTILE = {
    "script": "<script>alert(1)</script><evil>",
    "event handler": '"><evil onload=alert(1) onfocus=alert(1) autofocus x="',
    "single quotes": "'><evil onload='alert(1)' x='",
    "end of an element": "</textarea></select></title></option><evil>",
    "address": "javascript:alert(1)",
    "template": "{{ 7 * 7 }}{% raw %}${7*7}#{7*7}",
    "formula": '=HYPERLINK("https://evil.test")+1',
    "SQL": "'; DROP TABLE entry; --",
    "SQL too": "%' OR '1'='1' UNION SELECT password_hash FROM person --",
    "format": "%s%n{0.__class__}%(name)s",
    "line breaks": "one\r\nSet-Cookie: evil=1\r\n\r\n<evil>",
    "NUL": "one\0two",
    "controls": "one\x08\x1b[31mtwo\x7f\x85",
    "bidi": f"one {BIDI}eno",
    "lone surrogate": f"one{SURROGATE}two",
    "other scripts": "चीनी मिल \u0663\u066b\u0665 סוכר 製糖 Ünlü ñandú ශ්\u200dරී",
    "zalgo": "m" + "\u0300\u0489\u0336" * 12 + "ill",
    "emoji": "👩🏽‍🔬👨‍👩‍👧",
    "far letters": "\U00010ffd\U000e0041",
    "path": "../../../../etc/passwd%00.html",
    "long": "a" * 1_000_000,
}
SAID = {  # what the other fields of a form say, so that it would be taken
    "reason": "a slip", "why": "a slip", "remark": "seen", "source": "the mill", "sure": "yes",
    "password": PASSWORD, "state": "not measured", "from_ph": "5.5", "to_ph": "7.6",
    "dose": "0.71", "measure": "mixed_juice_brix", "day": "2026-06-03", "first": "14.2",
    "second": "14.3", "random": "0.03", "systematic": "0.05", "since": "2026-06-03",
    "relative": "", "role": "chemist", "upto": "2", "measure:cane": "yes", "result:cane": "1250",
}  # fmt: skip
WORDS = {  # fields whose words are kept
    "reason", "why", "remark", "source", "printed_name", "name", "username", "reason:cane",
    "words:cane", "late_reason", "observed_by",
}  # fmt: skip
SHARP = ("script", "event handler", "SQL", "line breaks", "NUL", "bidi", "lone surrogate", "long")
LAST = ("/account", "/sign-out")
CELL = Form(
    "post", f"{SHEET}/cells",
    dict.fromkeys(
        ("result:cane", "based_on:cane", "reason:cane", "observed_by", "late_reason"), ""
    ),
)  # fmt: skip


def forms_of(visitor):
    """Every form that somebody is shown, with the fields of one measure only."""
    found = {}
    addresses = [filled(row["address"]) for row in TABLE if row["method"] == "GET"]
    for address in [*addresses, "/uncertainty/mixed_juice_brix", "/set-password", "/sign-in"]:
        for form in Page(visitor.get(address).text).forms:
            form.action = form.action or address
            form.fields = {
                name: value
                for name, value in form.fields.items()
                if ":" not in name or name.endswith(":cane")
            }
            found.setdefault(form.place, form)
    order = sorted(found.values(), key=lambda form: form.action.startswith(LAST))
    return [form for form in order if form.action != "/sign-out"]


class Hostile:
    """Somebody who sends every form with each hostile text in each of its fields."""

    def __init__(self, visitor, bench):
        self.visitor, self.bench, self.sent = visitor, bench, 0

    def send(self, form, fields, text):
        self.sent += 1
        new = {"username": f"eve{self.sent}", "printed_name": f"Eve {self.sent}"}
        new |= {"name": f"Balance {self.sent}", "once": f"key {self.sent}"}
        said = {name: value or (SAID | new).get(name, "") for name, value in form.fields.items()}
        said |= {"token": self.visitor.token, "once": f"key {self.sent}"}
        said |= dict.fromkeys(fields, text)
        body = urlencode(said, errors="surrogatepass")
        if form.method == "get":
            address = f"{form.action.partition('?')[0]}?{body}"
            return self.visitor.get(address[:60_000])  # no server takes a longer one
        kind = {"Content-Type": "application/x-www-form-urlencoded"}
        return self.visitor.client.post(form.action, content=body, headers=OURS | kind)

    def events(self):
        """The contents of events told since this was last asked."""
        e = tables.event.c
        with reading(self.bench.engine) as connection:
            last = chain.head(connection).number
            query = select(e.content).where(e.number > getattr(self, "seen", 0)).order_by(e.number)
            found = [json.loads(content) for content in connection.scalars(query)]
        self.seen = last
        return found

    def forgive(self):
        """Forget wrong passwords, else the right one would have to wait."""
        with writing(self.bench.engine) as connection:
            connection.execute(delete(tables.sign_in_failure))


def kept_form(field, text):
    """How words are kept: on one line, in one form of Unicode; a user name is folded."""
    words = " ".join(unicodedata.normalize("NFC", text).split())
    return words.casefold() if field == "username" else words


def check_inert(answer, told):
    """Look at the page as a browser reads it: nothing of what was typed became an element of it."""
    assert "evil" not in answer.headers.get("set-cookie", ""), told
    assert "\n" not in answer.headers.get("location", ""), told
    assert re.match(r"/(?!/)|$", answer.headers.get("location", "")), told
    if answer.headers.get("content-type", "").startswith("text/html"):
        page = Page(answer.text)
        assert page.runs == [], told
        assert "evil" not in page.elements, told
        assert "49" not in re.findall(r"(?<!\d)49\$", page.text), told  # a template that was run
        if answer.status_code == 200:  # what was refused is said back to who typed it alone
            assert not set(page.text) & set(BIDI), (told, "letters that turn a line round")


def check_kept_or_refused(answer, fields, text, new, told):
    if not new:
        assert answer.status_code in (200, 303, 400, 403, 404, 409, 413, 422, 428), told
        assert answer.status_code == 303 or len(Page(answer.text).text.split()) > 2, told
        return
    kept = [value for content in new for value in content.values()]
    if fields[0] in WORDS and SURROGATE not in text:
        assert kept_form(fields[0], text) in kept, (told, kept)
    assert not set("".join(map(str, kept))) & set(f"\0\r\n\t\x1b{BIDI}"), told


def texts_for(fields):
    """The texts to try: all where words are kept, else those that could break out or in."""
    names = HOSTILE if WORDS & set(fields) or len(fields) > 1 else SHARP
    return [(name, HOSTILE[name]) for name in names]


def fields_at_once(form):
    """The fields to be hostile in: one by one, but those of a form that only asks all at once."""
    if form.method == "post":
        return [(field,) for field in form.fields]
    return [tuple(form.fields)] if form.fields else []


@pytest.fixture(scope="module")
def done():
    """Forms that were tried: those that several roles are shown are tried once."""
    return set()


@pytest.mark.parametrize("role", ["", "chief chemist", "administrator", "manager", "auditor"])
def test_hostile_input_is_inert_and_kept_faithfully_or_refused(visit, bench, done, role):
    """F-35, B-86: every field of every form, each text by itself."""
    first = bench.write("cane", "1250")
    bench.write("cane", "1251", based_on=first.id, reason="digits swapped")
    visitor = visit(USERS[role] if role else "")
    hostile, kept, refused = Hostile(visitor, bench), 0, 0
    forms = {form.place: form for form in forms_of(visitor) + [CELL] * (role == "chief chemist")}
    hostile.events()
    for place in [place for place in forms if place not in done]:
        tried = [(f, *told) for f in fields_at_once(forms[place]) for told in texts_for(f)]
        for fields, kind, text in tried:
            if kind == "long" and fields[0] != max(forms[place].fields, key=len):
                continue  # once for each form is enough
            told = f"{place} {fields}: {kind}"
            if "password" in forms[place].fields:
                hostile.forgive()
            answer = hostile.send(forms[place], fields, text)
            assert answer.status_code < 500, told
            check_inert(answer, told)
            new = hostile.events()
            check_kept_or_refused(answer, fields, text, new, told)
            kept, refused = kept + bool(new), refused + (answer.status_code >= 400)
    done |= forms.keys()
    assert refused > 20


@pytest.mark.parametrize("typed", ["%", "_", "a%", "%' OR '1'='1", "*", "ann\0", "😀", "x" * 9000])
@pytest.mark.parametrize("field", ["person", "day", "before"])
def test_the_trail_is_not_searched_by_patterns(ann, bench, field, typed):
    """B-86: what stands for any letter elsewhere stands for itself here."""
    bench.write("cane", "1250")
    assert about_cane(ann, {"person": "ann"})
    asked = {"person": "ann"} | {field: typed}
    assert about_cane(ann, asked) == (field == "before")  # which is a number, or nothing


def about_cane(visitor, asked):
    answer = visitor.client.get("/trail", params=asked)
    page = Page(answer.text)
    assert answer.status_code in (200, 422)
    assert page.runs == []
    return SHEET + "/cells/cane" in page.values
