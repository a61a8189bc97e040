"""How an archive describes itself: to programs by Table Schema, to people by its read-me."""

import json
import textwrap
from collections.abc import Mapping, Sequence
from typing import Any

from app.exports.archive_tables import File
from app.exports.archive_words import FILES, meaning

CANNOT = (
    "A chain shows what was changed only beside a number of it that was written down elsewhere, as "
    "on every print: whoever holds the files and all such notes could make the whole chain anew."
)

_CHOICES = {
    ("entries", "status"): ["standing", "superseded", "void"],
    ("entries", "state"): [
        "number", "void", "not measured", "below detection", "instrument failed", "not due",
        "left out",
    ],
    ("samplings", "taken"): ["due", "not always", "not taken"],
    ("samplings", "grain"): ["shift", "day", "week"],
    ("samplings", "rule"): ["mean", "sum", "last"],
    ("figures", "record"): ["total", "shift", "reading", "book"],
    ("signatures", "meaning"): ["entered", "approved", "reopened"],
}  # fmt: skip
_LEAST = {"coverage": 0, "random": 0, "systematic": 0, "decimals": 0, "standard_uncertainty": 0}
_MOST = {"coverage": 1}
_DIGESTS = ("sha256", "hash", "chain_hash", "digest", "covers")


def data_package(files: Mapping[File, bytes], facts: Mapping[str, str]) -> bytes:
    """Return the description of the CSV files that programs read (Data Package, Table Schema)."""
    package = {
        "profile": "tabular-data-package",
        "name": f"season-{facts['season'].lower()}",
        "title": f"Season {facts['season']} of {facts['mill']}",
        "description": "The ledger of a cane sugar mill's chemistry; README.txt says all of it.",
        "resources": [_resource(file, len(content)) for file, content in files.items()],
    }
    text = json.dumps(package, ensure_ascii=False, indent=1, sort_keys=True)
    return f"{text}\n".encode()


def _resource(file: File, size: int) -> dict[str, Any]:
    return {
        "name": file.name,
        "path": file.path,
        "description": FILES[file.name],
        "profile": "tabular-data-resource",
        "format": "csv",
        "mediatype": "text/csv",
        "encoding": "utf-8",
        "bytes": size,
        "dialect": {
            "delimiter": ",", "lineTerminator": "\r\n", "quoteChar": '"', "doubleQuote": True,
            "header": True,
        },
        "schema": {
            "fields": [_field(file, column) for column in file.columns],
            "missingValues": [""],
            "primaryKey": list(file.key),
            "foreignKeys": [
                {
                    "fields": column,
                    "reference": {
                        "resource": "" if other == file.name else other,
                        "fields": its,
                    },
                }
                for column, (other, its) in file.foreign.items()
            ],
        },
    }  # fmt: skip


def _field(file: File, column: str) -> dict[str, Any]:
    limits: dict[str, Any] = {"required": True} if column in file.needed else {}
    if (file.name, column) in _CHOICES:
        limits["enum"] = _CHOICES[file.name, column]
    if column in _LEAST:
        limits["minimum"] = _LEAST[column]
    if column in _MOST:
        limits["maximum"] = _MOST[column]
    if column in _DIGESTS:
        limits["pattern"] = "[0-9a-f]{64}"
    kind = file.columns[column]
    instant = {"format": "%Y-%m-%dT%H:%M:%S.%fZ"} if kind == "datetime" else {}
    told = {"name": column, "type": kind, "description": meaning(file.name, column)}
    return told | instant | ({"constraints": limits} if limits else {})


def read_me(files: Sequence[File], facts: Mapping[str, str]) -> bytes:
    """Return the read-me: how to verify and recompute, and what each file and column is."""
    parts = [_READ_ME.format(**facts, cannot=textwrap.fill(CANNOT, 98))]
    for file in files:
        parts += [f"\n{file.path}\n", _wrapped(FILES[file.name], ""), "\n"]
        parts += [_wrapped(f"{name}: {meaning(file.name, name)}", "  ") for name in file.columns]
    return "".join(parts).encode()


def _wrapped(text: str, before: str) -> str:
    return textwrap.fill(text, 96, initial_indent=before, subsequent_indent=f"{before}  ") + "\n"


_READ_ME = """\
THE ARCHIVE OF A SEASON
Season {season} of {mill}, as its ledger stood at event {number}, told at {at}.
Hash of that event: {hash}

This archive holds everything that was recorded of the season: each result as it was typed, what
corrected it, who signed, what was issued, and what decides the figures. No program of ours is
needed to read it: the tables are CSV files in UTF-8 (RFC 4180: a header, commas, lines that end in
CRLF, quotes doubled), with a point as decimal sign and instants in UTC. datapackage.json describes
them to programs by the open standards Data Package and Table Schema.

TO VERIFY IT
  python3 verify.py ARCHIVE.zip         the zip as it was handed out
  python3 verify.py                     in the folder that it was unpacked to
  python3 verify.py ARCHIVE.zip --anchor 46012:0f3a5b7c9d1e2f40
Any Python from 3.9 on will do, without anything else installed. Take verify.py out of an archive
that you trust, or read it first: it is short. Whoever changes an archive can change the verify.py
in it too. The answer is 0 where all is whole, 1 where something is wrong (it names the first bad
event, file or row), 2 where the archive cannot be read. An anchor is a number of the chain and at
least 16 digits of its hash, as they stand on every report that was issued: with it you prove that
this archive goes on from that report.

WHAT THIS CANNOT PROVE
{cannot}
Keep some printed numbers of the chain where those who keep the ledger cannot reach them.

TO RECOMPUTE THE TOTALS
  python3 recompute.py ARCHIVE.zip      the zip
  python3 recompute.py .                in the folder that it was unpacked to
It works the sugar account of the season out from the CSV files alone, by the rules that are written
in it, and compares it with what the ledger printed, in every digit. Where a result was not typed
but followed from the readings of an instrument, it takes that result from figures.csv, where its
formula stands beside it.

HOW TO READ THE FILES
Text is exact, as it was typed. A spreadsheet takes a text that begins with = + - or @ for a formula
and may run it, and it may turn numbers and days into something else: open the files there only by
its import of text, with every column as text. Nothing in these files was changed to suit one. An
empty field is nothing, or an empty text; the content of the event in chain.csv tells which. A
number of a row is its number in the ledger, and an event of the chain tells every row.

The canonical form of an event: a JSON object with the keys at, content, day, kind, name, person_id,
row_id, season_id, in that order, without blanks, in UTF-8 and Unicode's form NFC; every value is a
string or null. Its digest is the SHA-256 of the line "mill ledger event 1", a line feed, and that
object. The hash of an event is the SHA-256 of the line "mill ledger link 1" and of three lines
parted by line feeds: its number, the hash of the event before it (64 zeros before the first), and
its digest. MANIFEST.json is the last file of the archive and names all others with their SHA-256
and the number of rows of each table; its member sha256 is the SHA-256 of the line "mill ledger
archive 1", a line feed, and the manifest without that member.

HOW LONG TO KEEP IT
That is for the mill to decide and to write down. The ledger never takes anything away by itself.

THE FILES AND THEIR COLUMNS
"""
