"""What tests of archives share: a ledger with something of everything, and archives to change."""

import csv
import hashlib
import io
import json
from dataclasses import replace
from datetime import date, timedelta
from zipfile import ZipFile

from sqlalchemy import select

from app.database import reading, writing
from app.exports.archive import make_archive, manifest, tell_archive
from app.exports.travelling import verify
from app.ledger import bench as lime
from app.ledger import book, chain, issues, mills, people, signing, tables, uncertainty
from app.ledger.chain import About
from app.ledger.recording import Draft, write_records
from app.plant.measures import MEASURES
from tests.bench import NOON, PASSWORD

LATER = NOON + timedelta(minutes=1)
WHO = {
    "chief": ("Cora Chief", "chief chemist"),
    "max": ("Max Manager", "manager"),
    "ada": ("Ada Auditor", "auditor"),
}
MEASURED = {
    "cane": "1250.0", "imbibition": "380.0", "mixed_juice": "1290.0", "filter_cake": "44.5",
    "sugar": "140.2", "mixed_juice_brix": "14.20", "mixed_juice_pol": "11,95",
    "bagasse_pol": "1.71", "bagasse_moisture": "50.2", "filter_cake_pol": "1.6",
    "sugar_pol": "98.60", "last_expressed_juice_brix": "4.10", "last_expressed_juice_pol": "2.95",
}  # fmt: skip
ON_THE_LAST = {
    "final_molasses": "120.5", "final_molasses_pol": "31.2", "final_molasses_brix": "82.0",
}  # fmt: skip


def fill(bench):
    """Write a day of results with corrections and a void, sign, approve and issue it, and more."""
    cells = [
        (number, measure, typed)
        for number in (1, 2, 3)
        for measure, typed in (MEASURED | (ON_THE_LAST if number == 3 else {})).items()
        if (number, measure) != (2, "bagasse_pol")  # a gap, which totals estimate
    ]
    late = {"late_reason": "the network was down", "at": NOON + timedelta(days=1)}
    for number, measure, typed in cells:
        bench.write(measure, typed, number=number, **late)
    wrong = bench.write("syrup_brix", "64.0", **late)
    bench.write("syrup_brix", "", based_on=wrong.id, reason="another mill’s", **late)
    _samples(bench, late)
    _stop(bench)
    with writing(bench.engine) as connection:
        crew = {
            name: people.add_person(
                connection, username=name, printed_name=printed, role=role, password=PASSWORD,
                at=NOON,
            )
            for name, (printed, role) in WHO.items()
        }  # fmt: skip
        people.deactivate(connection, bench.bob, by=crew["max"], at=LATER)
        _settings(connection, bench)
        for number in (1, 2, 3):
            signing.sign_shift(
                connection, bench.season, bench.day, number, blank=(), remarks={}, by=bench.ann,
                at=LATER,
            )  # fmt: skip
        _issue(connection, bench, crew["max"], b"<p>the report</p>")
    correct = {"by": crew["chief"], "at": NOON + timedelta(days=2)}
    cane = bench.trail("cane")[0]
    bench.write("cane", "1205.0", based_on=cane.id, reason="=digits +swapped", **correct)
    with writing(bench.engine) as connection:
        _sign_again(connection, bench, crew)
        _issue(connection, bench, crew["max"], b"<p>the report, restated</p>", "a scale was wrong")
        _another_season(connection, bench)
    return crew


def _stop(bench):
    """Write a stop into its book, and correct when it ended."""
    said = {"begins": "07:10", "ends": "07:40", "cause": "process_stop", "crushing": "stopped"}
    first = Draft("stops", bench.day, 1, said | {"what": "=syrup +overflowed"})
    with writing(bench.engine) as connection:
        (key,) = write_records(connection, bench.season, [first], by=bench.ann, at=NOON)
        again = replace(
            first, typed=first.typed | {"ends": "07:45"}, based_on=key, reason="clock read wrongly"
        )
        write_records(connection, bench.season, [again], by=bench.ann, at=NOON)


def _samples(bench, late):
    """Take clear juice pH each 4 hours, one sample twice; carry a tare over; note something."""
    take(bench, "clear_juice_ph", every=4)
    for sample, test, typed in ((1, 1, "7.02"), (2, 1, "7.11"), (2, 2, "7.31")):
        bench.write("clear_juice_ph", typed, sample=sample, determination=test, **late)
    dish = bench.write("bagasse_dish_mass", "42.1250", carried=True, **late)
    with writing(bench.engine) as connection:
        place = {"measure": "bagasse_dish_mass", "sample": 1, "determination": 1}
        said = {"rule": "", "entries": f"{dish.id}", "words": '=weighed, "in March"'}
        about = About(bench.season.id, bench.day)
        c = tables.entry.c
        (shift_id,) = connection.execute(select(c.shift_id).where(c.id == dish.id)).one()
        who = {"recorded_by": bench.ann.id, "recorded_name": "Ann Field", "recorded_at": NOON}
        row = {"shift_id": shift_id, **place, **said, **who}
        chain.add(connection, tables.note, row, by=bench.ann, at=NOON, about=about)
        off = {"mill_id": bench.mill.id, "name": "press_water", "in_use": False}
        off |= {"since": bench.day, "reason": "there is none", "recorded_by": bench.ann.id}
        chain.add(connection, tables.part, off | {"recorded_at": NOON}, by=bench.ann, at=NOON)


def take(bench, measure, since=None, **chosen):
    """Let the mill take a measure otherwise, from the bench's day on."""
    own = MEASURES[measure]
    values = {
        "mill_id": bench.mill.id, "measure": measure, "since": since or bench.day, "taken": "due",
        "grain": own.grain, "every": 0, "rule": own.rule, "reason": "tried",
        "recorded_by": bench.ann.id, "recorded_at": NOON,
    }  # fmt: skip
    limits = {"usual": own.usual, "hard": own.hard}
    values |= {f"{which}_low": float(low) for which, (low, _) in limits.items()}
    values |= {f"{which}_high": float(high) for which, (_, high) in limits.items()}
    values |= chosen
    with writing(bench.engine) as connection:
        chain.add(connection, tables.sampling, values, by=bench.ann, at=NOON)


def _settings(connection, bench):
    said = {"since": date(2026, 6, 1), "by": bench.ann, "at": NOON}
    for name, value in (("bagasse_weight", "by difference"), ("pol_basis", "pol")):
        mills.add_convention(
            connection, bench.mill, name=name, value=value, source='the "mill", by hand', **said
        )
    mills.add_target(connection, bench.mill, figure="pol_extraction", value=96.5, **said)
    uncertainty.add_uncertainty(
        connection, bench.mill, measure="mixed_juice_brix", random=0.03, systematic=0.05,
        relative=False, source="the mill", **said,
    )  # fmt: skip
    who = {"by": bench.ann, "at": NOON}
    uncertainty.add_duplicate(
        connection, bench.mill, measure="mixed_juice_brix", day=bench.day, first="14,2",
        second="14.3", **who,
    )  # fmt: skip
    uncertainty.withdraw_duplicate(connection, bench.mill, 1, reason="spilt", **who)
    lime.set_lime_dose(connection, bench.mill, from_ph="5.2", to_ph="7.2", dose="0.6", **who)
    lime.set_lime_dose(connection, bench.mill, from_ph="5.2", to_ph="7.2", dose="", **who)


def _sign_again(connection, bench, crew):
    """Open a signed shift again, sign it anew, approve the day, and look it through."""
    place = (connection, bench.season, bench.day)
    signing.reopen(*place, 1, reason="a scale was wrong", by=crew["chief"], at=LATER)
    signing.sign_shift(*place, 1, blank=(), remarks={}, by=bench.ann, at=LATER)
    signing.approve_day(*place, shifts_a_day=3, by=crew["max"], at=LATER)
    who = {"recorded_by": bench.ann.id, "recorded_name": "Ann Field", "recorded_at": LATER}
    seen = {"season_id": bench.season.id, "day": bench.day, "upto": 9, "remark": "seen", **who}
    about = About(bench.season.id, bench.day)
    chain.add(connection, tables.review, seen, by=bench.ann, at=LATER, about=about)


def _issue(connection, bench, by, content, reason=""):
    issue, before = issues.next_issue(
        connection, bench.season, bench.day, reason=reason, by=by, at=LATER
    )
    issues.add_issue(
        connection, bench.season, issue, files={"report.html": content}, supersedes=before, by=by
    )


def _another_season(connection, bench):
    days = {"first_day": date(2025, 6, 1), "last_day": date(2025, 12, 1)}
    season = mills.add_season(connection, bench.mill, name="2025", at=NOON, **days)
    book.record_sheet(
        connection, season=season, day=date(2025, 6, 3), number=1, by=bench.ann, at=NOON,
        cells=[book.Typed("cane", "1111.1", late_reason="SECRET OF 2025")],
    )  # fmt: skip


def archive_of(bench, path, by=None, season="2026"):
    """Make an archive and tell it in the chain."""
    with writing(bench.engine) as connection:
        made = make_archive(connection, season, path)
        tell_archive(connection, made, by or bench.ann, LATER)
        return made


def unpacked(path):
    """Return every file of an archive by its name."""
    with ZipFile(path) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def table(files, name):
    """Return the rows of a CSV file, read by the standard library as anybody would."""
    text = io.StringIO(files[f"data/{name}.csv"].decode(), newline="")
    return list(csv.DictReader(text, strict=True))


def with_rows(files, name, rows):
    """Return an archive with other rows in a file, and its manifest made anew to fit."""
    out = io.StringIO()
    writer = csv.DictWriter(out, rows[0].keys(), lineterminator="\r\n")
    writer.writeheader()
    writer.writerows(rows)
    return resealed(files | {f"data/{name}.csv": out.getvalue().encode()})


def resealed(files, **said):
    """Return an archive whose manifest is made anew, as somebody would who knows how."""
    others = {name: content for name, content in files.items() if name != "MANIFEST.json"}
    says = json.loads(files["MANIFEST.json"])
    whole = {key: value for key, value in says.items() if key not in ("files", "sha256")}
    return others | {"MANIFEST.json": manifest(others, whole | said)}


def rewritten(files, number, old, new):
    """Return an archive whose history was changed from an event on, all that follows made anew."""
    events, issued = table(files, "chain"), table(files, "issues")
    hashes = ["0" * 64]
    for event in events:
        if int(event["number"]) == number:
            assert old in event["content"]
            event["content"] = event["content"].replace(old, new)
        if event["kind"] == "issue":  # which names the event that was the last before it
            (row,) = [row for row in issued if row["id"] == event["row_id"]]
            now = hashes[int(row["chain_number"])]
            event["content"] = event["content"].replace(row["chain_hash"], now)
            row["chain_hash"] = now
        told = verify.digest_of_event(event) if event["content"] else event["digest"]
        event["hash"] = verify.link(len(hashes), hashes[-1], told)
        hashes.append(event["hash"])
    files = with_rows(with_rows(files, "chain", events), "issues", issued)
    head = json.loads(files["MANIFEST.json"])["head"]
    return resealed(files, head=head | {"hash": hashes[-1]})


def fingerprint(path):
    """Return the SHA-256 of a file."""
    return hashlib.sha256(path.read_bytes()).hexdigest()


def number_of(bench, kind, row_id):
    """Return the number of the event that tells of a row."""
    e = tables.event.c
    with reading(bench.engine) as connection:
        query = tables.event.select().where(e.kind == kind, e.row_id == row_id)
        return connection.execute(query).first().number
