"""What the pages of people and roles say to those who are no programmers."""

import html
import re

import pytest

from app.ledger.people import ROLES
from app.web.roles import MAY


@pytest.mark.parametrize(
    ("address", "form"),
    [
        ("/people", {"username": "eve", "printed_name": "Eve Hart", "role": "chemist"}),
        ("/people/bob/code", {}),
    ],
)
def test_a_code_stands_beside_the_whole_address_where_it_is_used(visit, address, form):
    answer = visit("administrator").post(address, form)
    assert answer.status_code == 200
    assert '<a href="/set-password">http://testserver/set-password</a>' in answer.text


def test_each_role_is_explained_in_a_sentence_before_the_addresses(ann):
    page = html.unescape(ann.get("/manual/roles").text)
    words, _, addresses = page.partition("<details")
    rows = re.findall(r'<th scope="row">(.*?)</th><td>(.*?)</td>', words)
    assert rows == [(role, MAY[role]) for role in ROLES]
    assert "<code>" not in words.partition("<main")[2]
    assert "<code>GET /manual/roles</code>" in addresses
