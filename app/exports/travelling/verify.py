"""Verifies the archive of a season: its manifest, its chain, its rows, its signatures, its issues.

    python3 verify.py [ARCHIVE.zip|FOLDER] [--anchor NUMBER:HASH]

It needs Python 3.9. Exit 0: whole. 1: the first bad event, row or file is named. 2: unreadable.
"""

from __future__ import annotations

import argparse
import csv
import hashlib
import io
import json
import re
import sys
import unicodedata
import zipfile
import zlib
from decimal import ROUND_HALF_EVEN, Decimal
from pathlib import Path
from typing import Any

CANNOT = """\
A chain shows what was changed only beside a number of it that was written down elsewhere, as on
every print: whoever holds the files and all such notes could make it anew. See README.txt."""
MANIFEST = "MANIFEST.json"
# the kind of an event that tells of a row: the file that holds the row
TOLD = {
    "mill": "mill", "season": "seasons", "shift": "shifts", "entry": "entries", "record": "records",
    "note": "notes",
    "sampling": "samplings", "part": "parts", "convention": "conventions", "target": "targets",
    "uncertainty": "uncertainties", "duplicate": "duplicates", "lime_dose": "lime_doses",
    "signature": "signatures", "review": "reviews", "issue": "issues", "issue_file": "issue_files",
    "person": "people",
}  # fmt: skip
OF_AN_EVENT = ("at", "kind", "person_id", "name", "season_id", "day", "row_id", "content")

Row = dict[str, str]


class Fault(Exception):
    """Something in the archive is not as it was written."""


class Unreadable(Exception):
    """There is no archive here that could be read."""


def written(value: Any) -> Any:
    """Return a value as the canonical form writes it: numbers as text, text in form NFC."""
    if isinstance(value, dict):
        return {key: written(item) for key, item in value.items()}
    if isinstance(value, list):
        return [written(item) for item in value]
    return None if value is None else unicodedata.normalize("NFC", str(value))


def canonical(value: Any) -> str:
    """Return the canonical text: sorted keys, no blanks."""
    return json.dumps(written(value), sort_keys=True, ensure_ascii=False, separators=(",", ":"))


def digest(what: str, text: str) -> str:
    """Return the SHA-256 of a text as a `what`, so that one thing cannot pass for another."""
    return hashlib.sha256(f"mill ledger {what}\n{text}".encode()).hexdigest()


def digest_of_event(event: dict[str, Any]) -> str:
    """Return the digest of what an event tells; an empty field that may be null is null."""
    may_be_null = ("person_id", "season_id", "day", "row_id")
    told = {k: event[k] or None if k in may_be_null else event[k] for k in OF_AN_EVENT}
    return digest("event 1", canonical(told))


def link(number: int, previous: str, digest_of_it: str) -> str:
    """Return the hash of an event, which binds its number, the hash before it and its digest."""
    return digest("link 1", f"{number}\n{previous}\n{digest_of_it}")


def read(path: Path) -> dict[str, bytes]:
    """Return every file of an archive by its name; Unreadable where there is none."""
    try:
        if path.is_dir():
            found = (file for file in path.rglob("*") if not file.is_dir())
            return {file.relative_to(path).as_posix(): file.read_bytes() for file in found}
        with zipfile.ZipFile(path) as archive:
            names = archive.namelist()
            if len(names) != len(set(names)):
                raise Unreadable(f"{path} holds two files of one name")
            return {name: archive.read(name) for name in names}
    except (OSError, zipfile.BadZipFile, zlib.error, EOFError, RuntimeError, ValueError) as why:
        raise Unreadable(f"{path} is no whole archive: {why}") from None


def manifest_of(files: dict[str, bytes]) -> dict[str, Any]:
    """Return the manifest; Fault where it is not the very bytes that were written."""
    if MANIFEST not in files:
        raise Fault(f"{MANIFEST}, the last file, is not there: the archive was cut short")
    try:
        manifest: dict[str, Any] = json.loads(files[MANIFEST])
        whole = {key: value for key, value in manifest.items() if key != "sha256"}
        proven = manifest["sha256"] == digest("archive 1", canonical(whole))
        sound = proven and canonical(manifest).encode() == files[MANIFEST]
    except (ValueError, KeyError, AttributeError, RecursionError):
        sound = False
    if not sound:
        raise Fault(f"{MANIFEST} is not as it was written")
    return manifest


def check_files(files: dict[str, bytes], named: dict[str, dict[str, str]]) -> None:
    """Hold every file against the manifest, which names them all."""
    for name, said in named.items():
        content = files.get(name, b"")
        if {"bytes": str(len(content)), "sha256": hashlib.sha256(content).hexdigest()} != said:
            raise Fault(f"{name} is not there, or not as it was written")
    for name in sorted(files.keys() - named.keys() - {MANIFEST}):
        raise Fault(f"{name} is not in {MANIFEST}")


def table(files: dict[str, bytes], name: str) -> list[Row]:
    """Return the rows of a CSV file."""
    try:
        text = io.StringIO(files[f"data/{name}.csv"].decode("utf-8"), newline="")
        header, *records = csv.reader(text, strict=True)
    except (KeyError, ValueError, csv.Error) as why:
        raise Fault(f"data/{name}.csv cannot be read: {why}") from None
    rows = [dict(zip(header, record)) for record in records]
    keys = {row.get("id", number) for number, row in enumerate(rows)}
    if len(keys) != len(rows) or any(len(record) != len(header) for record in records):
        raise Fault(f"data/{name}.csv has rows of unequal length, or two of one number")
    return rows


def check_chain(events: list[Row], season_id: str) -> None:
    """Follow the chain from its beginning; Fault for the first event that does not fit."""
    previous = "0" * 64
    for number, event in enumerate(events, 1):
        if event["number"] != str(number):
            raise Fault(f"event {number} is not there; {event['number']} stands in its place")
        ours = bool(event["content"])
        if ours and event["season_id"] not in ("", season_id):
            raise Fault(f"event {number} tells of another season")
        if not ours and any(event[name] for name in OF_AN_EVENT):
            raise Fault(f"event {number} is told in part")
        its_digest = digest_of_event(event) if ours else event["digest"]
        if event["hash"] != link(number, previous, its_digest):
            raise Fault(f"event {number} is not as it was told")
        previous = event["hash"]


def check_rows(tables: dict[str, list[Row]], events: list[Row]) -> None:
    """Hold every event against the row that it tells of, and every row against its event.

    A person is as the last event tells; any other row has one event, which tells every column.
    """
    rows = {kind: {row["id"]: row for row in tables.get(file, [])} for kind, file in TOLD.items()}
    people = {event["row_id"]: event for event in events if event["kind"] == "person"}
    others = [event for event in events if event["kind"] in TOLD and event["kind"] != "person"]
    for event in [*others, *people.values()]:
        kind, told = event["kind"], json.loads(event["content"])
        row = rows[kind].pop(event["row_id"], {})
        if kind == "person":
            told.pop("what", None)
        if any(written(row.get(name)) != (value or "") for name, value in told.items()):
            raise Fault(f"event {event['number']}: {kind} {event['row_id']} is not as it was told")
    if left := [f"data/{TOLD[k]}.csv, row {key}" for k, keys in rows.items() for key in keys]:
        raise Fault(f"{left[0]}, is told by no event")


def check_entries(tables: dict[str, list[Row]]) -> None:
    """Check what follows from others in the entries: place, title, print and status."""
    shifts = {row["id"]: (row["day"], row["number"]) for row in tables["shifts"]}
    measures = {row["name"]: row for row in tables["measures"]}
    entries = {row["id"]: row for row in tables["entries"]}
    superseded = {row["supersedes_id"] for row in entries.values()}
    cell = ("shift_id", "measure", "sample", "determination")  # older archives lack the last
    for key, row in entries.items():
        before = entries.get(row["supersedes_id"] or key, {})
        same = all(before.get(name) == row.get(name) for name in cell)
        if not same or int(before["id"]) >= int(key) + (not row["supersedes_id"]):
            raise Fault(f"entry {key} supersedes what it cannot")
        last = "void" if row["state"] == "void" else "standing"
        if row["status"] != ("superseded" if key in superseded else last):
            raise Fault(f"entry {key} is not {row['status']}")
        measure = measures[row["measure"]]
        follows = (*shifts[row["shift_id"]], measure["title"], _printed(row, measure["decimals"]))
        if (row["day"], row["shift"], row["title"], row["printed"]) != follows:
            raise Fault(f"entry {key} does not stand with its shift and measure")


def _printed(row: Row, decimals: str) -> str:
    unit = Decimal(1).scaleb(-int(decimals))
    return f"{Decimal(row['value']).quantize(unit, ROUND_HALF_EVEN) + 0:f}" if row["value"] else ""


def check_records(tables: dict[str, list[Row]]) -> None:
    """Check what follows from others in the records of books: place and status."""
    shifts = {row["id"]: (row["day"], row["number"]) for row in tables["shifts"]}
    records = {row["id"]: row for row in tables.get("records", [])}
    superseded = {row["supersedes_id"] for row in records.values()}
    for key, row in records.items():
        before = records.get(row["supersedes_id"] or key, {})
        last = "void" if row["state"] == "void" else "standing"
        follows = (*shifts[row["shift_id"]], "superseded" if key in superseded else last)
        same = [before.get(name) == row[name] for name in ("shift_id", "book")]
        if not all(same) or (row["day"], row["shift"], row["status"]) != follows:
            raise Fault(f"record {key} does not stand as its shift and the others tell")


def check_signatures(tables: dict[str, list[Row]], events: list[Row], season: str) -> None:
    """Work out anew what each signature covers, from the entries that were there at that time."""
    told = {(event["kind"], event["row_id"]): int(event["number"]) for event in events}
    shifts_a_day = int(tables["mill"][0]["shifts_a_day"])
    entries: dict[tuple[str, str], list[tuple[int, str, Row]]] = {}
    both = [("entry", r) for r in tables["entries"]]
    for kind, r in both + [("record", r) for r in tables.get("records", [])]:
        entries.setdefault((r["day"], r["shift"]), []).append((told[kind, r["id"]], kind, r))
    signed: dict[tuple[str, str], str] = {}
    for row in tables["signatures"]:
        day, number, now = row["day"], row["number"], told["signature", row["id"]]
        shifts = [number] if number else [str(n) for n in range(1, shifts_a_day + 1)]
        on = [entries.get((day, n), []) for n in shifts]
        there = [[(kind, row) for at, kind, row in each if at < now] for each in on]
        digests = [covered(season, day, n, on_it) for n, on_it in zip(shifts, there)]
        of_day = digest("day 1", canonical({"season": season, "day": day, "shifts": digests}))
        ended = row["meaning"] == "reopened"
        covers = signed.get((day, number)) if ended else digests[0] if number else of_day
        if (row["covers"], row["entries"]) != (covers, str(sum(map(len, there)))):
            raise Fault(f"event {now}, signature {row['id']}, does not cover what stood there")
        signed[day, number] = row["covers"]


def covered(season: str, day: str, number: str, there: list[tuple[str, Row]]) -> str:
    """Return the digest of what stood on a shift that had those entries and records."""
    superseded = {(kind, row["supersedes_id"]) for kind, row in there}
    stands = [(kind, row) for kind, row in there if (kind, row["id"]) not in superseded]
    columns = ("measure", "sample", "id", "state", "typed", "value", "unit")
    results = [[row[n] or (None if n == "value" else "") for n in columns]
               for kind, row in stands if kind == "entry"]  # fmt: skip
    names = ("book", "id", "state", "fields")
    records = [[row[n] for n in names] for kind, row in stands if kind == "record"]
    place = {"season": season, "day": day, "number": number, "results": results}
    return digest("shift 1", canonical(place | ({"records": records} if records else {})))


def check_issues(files: dict[str, bytes], tables: dict[str, list[Row]]) -> None:
    """Check that the files of every issue are those that were issued, and no others."""
    issues = {row["id"]: row for row in tables["issues"]}
    for key, row in issues.items():
        if tables["chain"][int(row["chain_number"]) - 1]["hash"] != row["chain_hash"]:
            raise Fault(f"issue {key} names an event {row['chain_number']} of another chain")
    for row in tables["issue_files"]:
        issue, path = issues[row["issue_id"]], row["path"]
        belongs = path == f"issues/{issue['day']}-{issue['number']}-{row['name']}"
        if not belongs or hashlib.sha256(files[path]).hexdigest() != row["sha256"]:
            raise Fault(f"{path} is not what was issued")
    named = {row["path"] for row in tables["issue_files"]}
    if others := [name for name in files if name.startswith("issues/") and name not in named]:
        raise Fault(f"{others[0]} was never issued")


def check(files: dict[str, bytes], anchor: tuple[int, str] | None = None) -> dict[str, Any]:
    """Check everything and return the manifest; Fault for the first thing that is wrong."""
    manifest = manifest_of(files)
    check_files(files, manifest["files"])
    counts = manifest["rows"]
    tables = {name: table(files, name) for name in (*counts, "measures")}
    for name in (name for name, count in counts.items() if str(len(tables[name])) != count):
        raise Fault(f"data/{name}.csv does not hold {counts[name]} rows")
    events = tables["chain"]
    (season,) = [row["id"] for row in tables["seasons"] if row["name"] == manifest["season"]]
    check_chain(events, season)
    head = manifest["head"]
    if {name: events[-1][name] or head[name] for name in head} != head:  # its time may be withheld
        raise Fault(f"the chain does not end at event {head['number']}, the head of the archive")
    if anchor and anchor[0] > len(events):
        raise Fault(f"event {anchor[0]} is not there: the archive ends before the anchor")
    if anchor and not events[anchor[0] - 1]["hash"].startswith(anchor[1]):
        raise Fault(f"event {anchor[0]} is not that of the anchor: history was written anew")
    check_rows(tables, events)
    check_entries(tables)
    check_records(tables)
    check_signatures(tables, events, manifest["season"])
    check_issues(files, tables)
    return manifest


def anchor_of(text: str) -> tuple[int, str]:
    """Read an anchor: a number, a colon and at least 16 digits of the hash."""
    found = re.fullmatch(r"([1-9][0-9]*):([0-9a-f]{16,64})", text.lower())
    if not found:
        raise argparse.ArgumentTypeError("write it like 46012:0f3a5b7c9d1e2f40")
    return int(found[1]), found[2]


def main(arguments: list[str] | None = None) -> int:
    """Verify one archive and say how it is."""
    parser = argparse.ArgumentParser(description="Verifies the archive of a season.")
    parser.add_argument("archive", type=Path, nargs="?", help="zip or folder; else this folder")
    parser.add_argument("--anchor", type=anchor_of, help="NUMBER:HASH, as a report prints it")
    chosen = parser.parse_args(arguments)
    try:
        manifest = check(read(chosen.archive or Path(__file__).resolve().parent), chosen.anchor)
    except (Fault, KeyError, ValueError, IndexError) as fault:
        print(f"NOT WHOLE: {fault}.")
        return 1
    except Unreadable as why:
        print(f"CANNOT BE READ: {why}", file=sys.stderr)
        return 2
    print(f"Whole: season {manifest['season']} of {manifest['mill']}.")
    print("Head: {number}:{hash} at {at}.".format(**manifest["head"]))
    goes_on = "It goes on from the anchor {}:{}.\n".format(*chosen.anchor) if chosen.anchor else ""
    print(goes_on + CANNOT)
    return 0


if __name__ == "__main__":
    sys.exit(main())
