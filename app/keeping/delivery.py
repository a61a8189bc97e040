"""Hands a file out: by the mill's own mail server, or laid into a folder. Nothing else leaves."""

import os
import smtplib
import ssl
from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from email.message import EmailMessage
from email.utils import format_datetime
from pathlib import Path

from app.exports.paper import NotInstalled, copy_of_issue
from app.language import _, speaking
from app.ledger.issues import Issue
from app.settings import Settings

_PATIENCE = 30.0  # seconds


@dataclass(frozen=True)
class Parcel:
    """A file to be handed out: its name, what kind it is, what it holds, what is said with it."""

    name: str
    kind: str
    content: bytes
    subject: str
    words: str


def parcel_of(issue: Issue, mill: str, page: bytes, digest: str, language: str) -> Parcel:
    """Return an issued report as it is handed out: as PDF, or as issued where none can be made."""
    kind, content, ending = "text/html", page, "html"
    with suppress(NotInstalled, OSError):  # a library of the system may lack
        kind, content, ending = "application/pdf", copy_of_issue(issue, mill, page, digest), "pdf"
    with speaking(language):
        subject = _("{mill}: morning report, issue {name}", mill=mill, name=issue.name)
        said = [
            _("The morning report of {day} was issued as {name} by {who}.",
              day=issue.day, name=issue.name, who=issue.recorded_name),
            _("It replaces {name}.", name=issue.replaces) if issue.replaces else "",
            _("SHA-256 of its page as issued: {digest}", digest=digest),
            _("The ledger sends this by itself; nobody reads an answer."),
        ]  # fmt: skip
    words = "\n\n".join(filter(None, said)) + "\n"
    return Parcel(f"{issue.day}-issue-{issue.number}.{ending}", kind, content, subject, words)


def lay(parcel: Parcel, folder: Path) -> None:
    """Lay a parcel into a folder: under another name first, so that nobody takes half of it."""
    half = folder / f".{parcel.name}.part"
    with half.open("wb") as file:
        file.write(parcel.content)
        file.flush()
        os.fsync(file.fileno())
    half.replace(folder / parcel.name)


def mail(
    parcel: Parcel, settings: Settings, to: Sequence[str], issue: Issue
) -> Mapping[str, tuple[int, bytes]]:
    """Send a parcel through the mill's mail server; return whom it refused, with what it said.

    OSError or SMTPException where it fails, or all are refused.
    What it speaks is encrypted wherever the server can; a password is never sent in the open.
    """
    message = EmailMessage()
    message["Subject"], message["From"] = parcel.subject, settings.mail_from
    message["To"] = ", ".join(to)
    message["Date"] = format_datetime(issue.recorded_at)
    # the same for one that is sent twice, so that mailboxes show it once
    host = settings.mail_from.rpartition("@")[2]
    message["Message-ID"] = f"<issue-{issue.day}-{issue.number}-{issue.chain_hash[:16]}@{host}>"
    message["Auto-Submitted"] = "auto-generated"
    message.set_content(parcel.words)
    main, _slash, sub = parcel.kind.partition("/")
    message.add_attachment(parcel.content, maintype=main, subtype=sub, filename=parcel.name)
    with smtplib.SMTP(*settings.smtp_place, timeout=_PATIENCE) as server:
        server.ehlo()
        encrypted = server.has_extn("starttls")
        if encrypted:
            server.starttls(context=ssl.create_default_context())
        if settings.smtp_user:
            if not encrypted:
                raise smtplib.SMTPNotSupportedError("no password is sent without encryption")
            server.login(settings.smtp_user, settings.smtp_password.get_secret_value())
        return server.send_message(message)
