"""One's own account: a password set with a code, changed, and where one is signed in."""

from datetime import timedelta

import pytest

from app.ledger import passwords
from tests.bench import NOON, PASSWORD
from tests.web.conftest import SHEET
from tests.web.test_sign_in import GOOD, code_in, set_password

OTHER = "another good sentence"


@pytest.fixture
def code(visit):
    """A code for Bob."""
    return code_in(visit("administrator").post("/people/bob/code"))


def test_a_code_resets_a_password_and_ends_the_sign_ins(visit, code):
    """B-76: the old password holds until the new one is set."""
    at_work = visit("bob")
    assert set_password(visit(), "Bob", code.lower().replace("-", " ")).status_code == 303
    assert at_work.get(SHEET).status_code == 303
    assert visit().sign_in("bob").status_code == 422
    assert visit().sign_in("bob", GOOD).status_code == 303


def test_a_code_works_once(visit, code):
    """B-76"""
    assert set_password(visit(), "bob", code).status_code == 303
    again = set_password(visit(), "bob", code, OTHER)
    assert again.status_code == 422
    assert "the code was used or is over" in again.text
    assert visit().sign_in("bob", OTHER).status_code == 422


def test_a_new_code_ends_the_one_before(visit, code):
    newer = code_in(visit("administrator").post("/people/bob/code"))
    assert set_password(visit(), "bob", code).status_code == 422
    assert set_password(visit(), "bob", newer).status_code == 303


@pytest.mark.parametrize(("hours", "status"), [(23, 303), (24, 422)])
def test_a_code_holds_for_a_day(app, visit, code, hours, status):
    app.state.clock = lambda: NOON + timedelta(hours=hours, seconds=30)
    assert set_password(visit(), "bob", code).status_code == status


@pytest.mark.parametrize("username", ["ann", "nobody", ""])
def test_a_code_is_of_no_use_to_another(visit, code, username):
    answer = set_password(visit(), username, code)
    assert answer.status_code == 422
    assert "do not fit together" in answer.text


def test_guessing_codes_is_limited(visit, code):
    """B-73: as guessing passwords is."""
    for number in range(5):
        assert set_password(visit(), "bob", f"{number}").status_code == 422
    assert set_password(visit(), "bob", code).status_code == 422


@pytest.mark.parametrize(
    ("password", "again", "words"),
    [
        ("too short", None, "has at least 15 characters"),
        (GOOD, GOOD + " ", "not what you typed above"),
        ("passwordpassword", None, "easily guessed: it says the same again and again"),
        ("Willow Bend mill", None, "easily guessed: it is made of names"),
        ("Bob Stone 123456", None, "easily guessed: it is made of names"),
    ],
)
def test_a_weak_password_is_refused_and_the_code_still_holds(visit, code, password, again, words):
    """B-71: the refusal says why."""
    answer = set_password(visit(), "bob", code, password, again)
    assert answer.status_code == 422
    assert words in answer.text
    assert 'aria-invalid="true"' in answer.text
    assert code not in answer.text
    assert password not in answer.text
    assert set_password(visit(), "bob", code).status_code == 303


def change(visitor, old, new, again=None):
    form = {"password": old, "new_password": new, "again": new if again is None else again}
    return visitor.post("/account/password", form)


def test_a_person_changes_the_password_and_stays_signed_in_here_alone(visit, ann):
    elsewhere = visit("ann")
    answer = change(ann, PASSWORD, OTHER)
    assert answer.status_code == 303
    assert "Your password is changed" in ann.get(answer.headers["location"]).text
    assert elsewhere.get(SHEET).status_code == 303
    assert visit().sign_in("ann").status_code == 422
    assert visit().sign_in("ann", OTHER).status_code == 303


@pytest.mark.parametrize("old", ["", "wrong wrong wrong", PASSWORD + " "])
def test_who_changes_a_password_types_the_old_one(visit, ann, old):
    answer = change(ann, old, OTHER)
    assert answer.status_code == 422
    assert "This is not your password" in answer.text
    assert visit().sign_in("ann").status_code == 303


def test_guessing_the_old_password_is_limited(ann):
    for _ in range(5):
        assert change(ann, "wrong wrong wrong", OTHER).status_code == 422
    assert change(ann, PASSWORD, OTHER).status_code == 422


def test_a_password_is_compared_as_typed_in_every_letter(visit, ann):
    """B-70: not even two ways of writing one letter are the same."""
    assert change(ann, PASSWORD, "la zafra de los años").status_code == 303
    assert visit().sign_in("ann", "la zafra de los an\u0303os").status_code == 422
    assert visit().sign_in("ann", "la zafra de los años").status_code == 303


def test_a_person_sees_their_sign_ins_and_ends_the_others(visit, ann):
    there = visit("ann")
    page = ann.get("/account").text
    assert page.count("another</th>") == 1
    assert "3 Jun 2026, 12:00" in page
    assert passwords.hash_of_secret(ann.client.cookies["ledger"]) not in page
    assert ann.post("/account/others").status_code == 303
    assert "another</th>" not in ann.get("/account").text
    assert there.get("/account").status_code == 303


def test_names_typed_on_different_machines_are_the_same_name(visit):
    administrator = visit("administrator")
    typed = {"username": "jose", "printed_name": "Jose\u0301 Mill", "role": "chemist"}
    assert administrator.post("/people", typed).status_code == 200
    assert "José Mill" in administrator.get("/people").text
    twin = typed | {"username": "jo", "printed_name": "José Mill"}
    assert "already printed as José Mill" in administrator.post("/people", twin).text


def test_another_password_sent_from_the_same_page_is_not_taken_for_the_first(ann, visit):
    """B-48: Back, and a second password: it is refused, not quietly left out."""
    form = {"password": PASSWORD, "new_password": GOOD, "again": GOOD, "once": "one page"}
    assert ann.post("/account/password", form).status_code == 303
    second = form | {"password": GOOD, "new_password": OTHER, "again": OTHER}
    assert ann.post("/account/password", second).status_code == 422
    assert visit().sign_in("ann", GOOD).status_code == 303
