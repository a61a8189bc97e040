"""A form counts once: double click, reload, Back and resubmit, and many copies at a time."""

import re
from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta
from http.client import HTTPConnection
from urllib.parse import urlencode, urlsplit

import pytest
from sqlalchemy import func, select

from app.database import reading
from app.ledger import tables
from app.settings import Settings
from tests.bench import NOON
from tests.served import served
from tests.web.conftest import OURS

STEP = {"from_ph": "5.5", "to_ph": "7.6", "dose": "0.71"}
EVE = {"username": "eve", "printed_name": "Eve Mill", "role": "chemist"}


def events(bench, kind):
    with reading(bench.engine) as connection:
        query = select(func.count()).where(tables.event.c.kind == kind)
        return connection.scalar(query)


def key_in(page):
    return re.search(r'name="once" value="([^"]+)"', page.text).group(1)


def test_a_form_sent_again_is_answered_as_before(ann, bench):
    """B-49: reload of a posted page, Back and resubmit."""
    form = STEP | {"once": "a key", "token": ann.token}
    first, again = (ann.post("/bench/lime-doses", form) for _ in range(2))
    assert first.status_code == again.status_code == 303
    assert first.headers["location"] == again.headers["location"]
    assert events(bench, "lime_dose") == 1


def test_the_same_key_with_other_words_is_refused(ann, bench):
    """B-48"""
    assert ann.post("/bench/lime-doses", STEP | {"once": "a key"}).status_code == 303
    other = ann.post("/bench/lime-doses", STEP | {"once": "a key", "dose": "0.72"})
    assert other.status_code == 422
    assert "sent before, with other words" in other.text
    assert events(bench, "lime_dose") == 1


def test_one_person_s_key_is_of_no_use_to_another(ann, visit):
    ann.post("/bench/lime-doses", STEP | {"once": "a key"})
    assert visit("bob").post("/bench/lime-doses", STEP | {"once": "a key"}).status_code == 422


@pytest.mark.parametrize("key", ["", "k" * 101])
def test_a_form_without_a_key_of_ours_is_refused(ann, bench, key):
    """B-48"""
    answer = ann.post("/bench/lime-doses", STEP | {"once": key})
    assert answer.status_code == 428
    assert "out of date" in answer.text
    assert events(bench, "lime_dose") == 0


def test_a_form_that_was_refused_is_put_right_and_sent_again(ann, bench):
    assert ann.post("/bench/lime-doses", STEP | {"once": "a key", "dose": "x"}).status_code == 422
    assert ann.post("/bench/lime-doses", STEP | {"once": "a key"}).status_code == 303
    assert events(bench, "lime_dose") == 1


def test_a_key_is_kept_for_three_days(app, ann, visit, bench):
    """B-48"""
    ann.post("/bench/lime-doses", STEP | {"once": "a key"})
    for after, count in ((timedelta(hours=71), 1), (timedelta(hours=73), 2)):
        app.state.clock = lambda after=after: NOON + after
        later = visit("ann")
        later.post("/bench/lime-doses", STEP | {"once": f"another {after}", "from_ph": "5.0"})
        with reading(bench.engine) as connection:
            kept = connection.scalars(select(tables.answered.c.key)).all()
        assert ("a key" in kept) == (count == 1)


def test_every_form_of_a_page_has_its_own_key(visit):
    page = visit("administrator").get("/people").text
    keys = re.findall(r'name="once" value="([^"]+)"', page)
    assert len(keys) == page.count('method="post"') == len(set(keys))
    assert all(len(key) >= 32 for key in keys)


def test_a_person_added_twice_by_one_form_is_there_once_and_the_code_is_not_kept(visit, bench):
    administrator = visit("administrator")
    form = EVE | {"once": key_in(administrator.get("/people"))}
    shown, again = (administrator.post("/people", form) for _ in range(2))
    assert (shown.status_code, again.status_code) == (200, 303)
    assert "it is lost, give a new one" in administrator.get(again.headers["location"]).text
    code = re.search(r'class="secret">([^<]+)<', shown.text).group(1)
    with reading(bench.engine) as connection:
        everything = [connection.execute(select(t)).all() for t in tables.metadata.sorted_tables]
    assert code not in str(everything)
    assert code.replace("-", "") not in str(everything)


@pytest.mark.both_engines
def test_fifty_copies_at_once_are_one(database_url, visit, bench):
    """B-48: one event, fifty answers that agree."""
    visitor = visit("ann")
    cookie, form = visitor.client.cookies["ledger"], STEP | {"once": "k", "token": visitor.token}

    def send(_):
        connection = HTTPConnection(server.netloc, timeout=60)
        headers = {"Cookie": f"ledger={cookie}", "Origin": f"http://{server.netloc}"}
        headers |= {"Content-Type": "application/x-www-form-urlencoded"}
        connection.request("POST", "/bench/lime-doses", urlencode(form), OURS | headers)
        answer = connection.getresponse()
        connection.close()
        return answer.status, answer.headers["location"]

    with served(Settings(database_url=database_url, clock=NOON)) as address:
        server = urlsplit(address)
        with ThreadPoolExecutor(50) as threads:
            answers = list(threads.map(send, range(50)))
    assert set(answers) == {(303, "/bench?done=kept#lime-table")}
    assert events(bench, "lime_dose") == 1
