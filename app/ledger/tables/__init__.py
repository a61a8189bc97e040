"""The tables of the ledger."""

from app.ledger.tables.base import Instant, add_row, add_rows, metadata
from app.ledger.tables.book import (
    convention,
    duplicate,
    entry,
    lime_dose,
    mill,
    note,
    part,
    sampling,
    season,
    shift,
    standing,
    target,
    uncertainty,
)
from app.ledger.tables.people import (
    instrument_token,
    password_code,
    person,
    sign_in,
    sign_in_failure,
)
from app.ledger.tables.records import booked, record, standing_record
from app.ledger.tables.trust import (
    answered,
    backup,
    event,
    issue,
    issue_file,
    review,
    signature,
)

# whose rows nobody changes or takes away, each told in the chain
APPEND_ONLY = (
    mill, season, shift, entry, record, convention, target, uncertainty, duplicate, lime_dose,
    note, sampling, part, signature, review, issue, issue_file,
)  # fmt: skip

__all__ = [
    "APPEND_ONLY", "Instant", "add_row", "add_rows", "answered", "backup", "booked", "convention",
    "duplicate", "entry", "event", "instrument_token", "issue", "issue_file", "lime_dose",
    "metadata", "mill", "note", "part", "password_code", "person", "record", "review", "sampling",
    "season", "shift", "sign_in", "sign_in_failure", "signature", "standing", "standing_record",
    "target", "uncertainty",
]  # fmt: skip
