"""Issued reports, and a mail server that takes them."""

import pytest
from aiosmtpd.controller import Controller

from app.database import writing
from app.ledger import issues
from tests.bench import NOON
from tests.sending.mailbox import Post, free_port

PAGE = (
    '<!doctype html><html lang="en"><head><title>Morning report</title><style></style></head>'
    "<body><p>Overall recovery 84.68</p></body></html>"
)


@pytest.fixture
def post():
    return Post()


@pytest.fixture
def server(post):
    """A mail server on a free port; gives its address."""
    controller = Controller(post, hostname="127.0.0.1", port=free_port())
    controller.start()
    yield f"127.0.0.1:{controller.port}"
    controller.stop()


@pytest.fixture
def issued(bench, chief):
    """Issues a report of 3 June; gives what does so."""

    def issue(reason="", at=NOON):
        with writing(bench.engine) as connection:
            new, before = issues.next_issue(
                connection, bench.season, bench.day, reason=reason, by=chief, at=at
            )
            files = {issues.REPORT: PAGE.encode(), "figures.json": b'{"figures": {}}'}
            issues.add_issue(
                connection, bench.season, new, files=files, supersedes=before, by=chief
            )
        return new

    return issue
