"""A certificate of quality is issued: numbered, kept as it was, and told in the chain."""

import re

import pytest

from app.database import reading
from app.ledger import soundness
from tests.bench import PASSWORD
from tests.web.test_signing import fill, sign

LOTS = "/books/bagging/2026-06-03/1"
LOT = {
    "field:lot": "L1", "field:ended": "07:30", "field:bags": "1000", "field:bag_mass": "50",
    "field:pol": "98.9", "field:temperature": "34",
}  # fmt: skip


@pytest.fixture
def chief(visit):
    return visit("chief")


def record_of_lot(visitor):
    return re.search(r"/books/bagging/records/\d+", visitor.get(LOTS).text).group()


@pytest.fixture
def certificate(ann):
    """The address of the certificate of a lot whose shift is signed."""
    assert ann.post(LOTS, LOT).status_code == 303
    fill(ann)
    assert sign(ann).status_code == 303
    return f"{record_of_lot(ann)}/certificate"


def issue(visitor, address, **said):
    return visitor.post(address, {"password": PASSWORD, "reason": ""} | said)


def corrected(chief, address):
    record = address.removesuffix("/certificate")
    sent = LOT | {"field:pol": "98.5", "what": "corrected", "reason": "read again"}
    assert chief.post(record, sent).status_code == 303
    return f"{record_of_lot(chief)}/certificate"


def test_a_certificate_gets_a_number_and_stays_as_it_was_issued(chief, certificate, bench):
    answer = issue(chief, certificate)
    assert answer.status_code == 303
    assert answer.headers["location"] == f"{certificate}/1"
    again = corrected(chief, certificate)
    page = chief.get(f"{certificate}/1").text
    assert "Certificate of quality 2026/1" in page
    assert "98.90" in page
    assert "98.50" not in page
    assert "Known otherwise since certificate 2026/1 was issued: Pol." in page
    assert "Known otherwise since certificate 2026/1 was issued: Pol." in chief.get(again).text
    with reading(bench.engine) as connection:
        assert not list(soundness.faults(connection))


def test_a_certificate_is_issued_again_for_a_reason_and_replaces_the_one_before(
    ann, chief, certificate
):
    issue(chief, certificate)
    again = corrected(chief, certificate)
    assert issue(chief, again).status_code == 422  # its shift is not signed as it stands
    assert chief.post("/shifts/2026-06-03/1/reopening", {"why": "corrected"}).status_code == 303
    assert sign(ann).status_code == 303
    refused = issue(chief, again)
    assert refused.status_code == 422
    assert "Say in words why it is issued again" in refused.text
    assert issue(chief, again, reason="pol was read again").headers["location"] == f"{again}/2"
    assert "Certificate 2026/2 replaces this one." in chief.get(f"{again}/1").text
    assert "pol was read again" in chief.get(f"{again}/2").text
    assert "Known otherwise" not in chief.get(f"{again}/2").text


def test_what_is_not_signed_is_not_issued(ann, chief):
    ann.post(LOTS, LOT)
    address = f"{record_of_lot(ann)}/certificate"
    assert 'name="password"' not in chief.get(address).text
    refused = issue(chief, address)
    assert refused.status_code == 422
    assert "The shift of this lot is not signed as it stands" in refused.text


def test_a_certificate_is_issued_with_the_password_alone(chief, certificate):
    assert issue(chief, certificate, password="not this").status_code == 422
    assert chief.get(f"{certificate}/1").status_code == 404


def test_issuing_is_told_in_the_trail_of_the_day(chief, certificate):
    issue(chief, certificate)
    trail = chief.get("/trail?day=2026-06-03").text
    assert f'<a href="{certificate}/1">Certificate of quality, lot L1</a>' in trail
    assert "issued as 2026/1" in trail


def test_a_guess_is_told_in_words_fit_for_who_buys_the_sugar(visit, certificate):
    page = visit("auditor").get(certificate).text
    assert "stated guess" not in page
    assert "estimate of the laboratory, not yet from duplicates" in page
    assert "<td>published precision of the method: ICUMSA GS1-2 (2022)</td>" in page


CHECK = {
    "field:at": "07:00", "field:kind": "polarimeter", "field:instrument": "P1",
    "field:standard": "other", "field:certified": "10", "field:reading": "11",
    "field:tolerance": "0.1",
}  # fmt: skip


def test_a_certificate_names_the_doubts_of_its_shift_and_those_found_since(ann, chief, certificate):
    issue(chief, certificate)
    words = "Polarimeter P1 failed its standard check"
    addresses = certificate, f"{certificate}/1", "/shifts/2026-06-03/1", "/days/2026-06-03"
    assert not any(words in ann.get(address).text for address in addresses)
    failed = chief.post("/books/standard_checks/2026-06-03/1", CHECK | {"reason": "found later"})
    assert failed.status_code == 303
    assert all(words in ann.get(address).text for address in addresses)


@pytest.mark.parametrize("record", ["0", "-1", "2147483648", "99999999999999999999"])
def test_a_record_of_a_number_that_none_has_is_not_there(ann, chief, record):
    for book in ("stops", "bagging"):
        address = f"/books/{book}/records/{record}"
        assert ann.get(address).status_code == 404
        assert ann.post(address, {"what": "taken-out", "reason": "twice"}).status_code == 404
    assert ann.get(f"{address}/certificate").status_code == 404
    assert ann.get(f"{address}/certificate/1").status_code == 404
    assert issue(chief, f"{address}/certificate").status_code == 404
