"""Mail servers for tests, real ones, and what they took."""

import ssl
from email import message_from_bytes
from email.policy import default
from socket import socket

import trustme
from aiosmtpd.controller import Controller
from aiosmtpd.smtp import AuthResult, LoginPassword

from app.keeping.sending import Sending
from app.ledger.handed_out import handed_out
from app.settings import Settings
from tests.bench import NOON

FROM, TO = "ledger@mill.example", "manager@mill.example, owner@mill.example"
MAIL = {"mail_from": FROM, "reports_to": TO}


def free_port():
    """A port that nobody uses."""
    with socket() as tried:
        tried.bind(("127.0.0.1", 0))
        return tried.getsockname()[1]


class Post:
    """Keeps what a mail server takes, and refuses while it is told to."""

    def __init__(self):
        self.taken, self.refuses, self.knows_not = [], False, set()

    async def handle_RCPT(self, _server, _session, envelope, address, _options):  # noqa: N802
        if address in self.knows_not:
            return "550 no such mailbox"
        envelope.rcpt_tos.append(address)
        return "250 known"

    async def handle_DATA(self, _server, session, envelope):  # noqa: N802  named by the server
        if self.refuses:
            return "451 the disk is full, try later"
        read = message_from_bytes(envelope.content, policy=default)
        self.taken.append((envelope.mail_from, envelope.rcpt_tos, read, session.ssl is not None))
        return "250 taken"


class Secure:
    """A mail server that encrypts, and wants a name and a password."""

    def __init__(self, post, *, encrypts):
        self.authority, self.asked = trustme.CA(), []
        context = ssl.create_default_context(ssl.Purpose.CLIENT_AUTH)
        self.authority.issue_cert("localhost").configure_cert(context)
        self.controller = Controller(
            post, hostname="localhost", port=free_port(), authenticator=self.ask,
            tls_context=context if encrypts else None, auth_required=encrypts,
            auth_require_tls=encrypts,
        )  # fmt: skip

    def ask(self, _server, _session, _envelope, _mechanism, data):
        self.asked.append(data)
        right = isinstance(data, LoginPassword) and data.password == b"open sesame"
        return AuthResult(success=right)

    def __enter__(self):
        self.controller.start()
        return f"localhost:{self.controller.port}"

    def __exit__(self, *_):
        self.controller.stop()


def sending(bench, at=NOON, closed="", **settings):
    settings = Settings(clock=NOON, **settings)
    return Sending(bench.engine, settings, clock=lambda: at, closed=lambda: closed)


def told(bench):
    return bench.read(handed_out, bench.season.id, bench.day)
