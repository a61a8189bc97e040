"""What each file of an archive is, and each of its columns, in plain words."""

FILES = {
    "mill": "The mill, as it was set up.",
    "seasons": "Every season of the mill; of the others this archive holds no results.",
    "people": "Everybody who could ever sign in, and instruments that write; no passwords.",
    "measures": "What is weighed or analysed: units, ranges, and how often.",
    "shifts": "Every shift of the season that has a sheet.",
    "entries": "Every result ever typed in the season, as typed: standing, superseded and void.",
    "records": "Every record ever written in the other books, as typed: standing, superseded and "
    "void.",
    "notes": "What was said of a result, or in answer to a check of some results.",
    "figures": "What was worked out: the totals of the season to its last day that was over, what "
    "each shift gives to a total, and results that follow from the readings of an instrument.",
    "samplings": "How the mill takes a measure from a day on: the last row recorded for a day "
    "holds; where there is none, measures.csv.",
    "parts": "Stations, streams, vessels and checks that the mill switched off or on, from a day "
    "on; the last row recorded for a day holds.",
    "conventions": "Choices and constants of the mill that decide figures, each from its day on; "
    "the last one recorded for a day holds.",
    "convention_defaults": "What holds of each convention where the mill has chosen nothing.",
    "targets": "What the mill wants of a figure, from a day on.",
    "uncertainties": "How sure the mill says it is of a measure, from a day on.",
    "duplicates": "Two results of one sample each; a row that withdraws another repeats it.",
    "lime_doses": "How much lime the mill adds for a step of pH; the last row of a step stands.",
    "signatures": "Who signed a shift as entered, approved a day, or opened one again.",
    "reviews": "Who looked through what happened to a day.",
    "issues": "Morning reports as they were handed out, and again where they were restated.",
    "issue_files": "The files of each issue; their very bytes lie in the folder issues.",
    "chain": "Every event of the ledger from the first to the head of this archive. Events of "
    "other seasons keep their contents to themselves: of them the digest alone is here.",
}

COLUMNS = {
    "id": "number of the row in the ledger",
    "name": "its name",
    "title": "what pages call it",
    "value": "the exact value",
    "unit": "its unit; t is tonnes of 1000 kg",
    "source": "who says so, or where it comes from",
    "day": "factory day",
    "number": "its number",
    "zone": "time zone",
    "since": "first day for which it holds",
    "measure": "name of the measure (measures.csv)",
    "reason": "why, in the words of who recorded it",
    "role": "role of that person at the time",
    "recorded_by": "who recorded it (people.csv)",
    "recorded_name": "that person’s printed name at the time",
    "recorded_at": "when, by the ledger’s clock",
    "mill_id": "which mill (mill.csv)",
    "season_id": "which season (seasons.csv)",
    "supersedes_id": "the row that this one takes the place of; empty for a first one",
    "sha256": "SHA-256 of the file’s bytes",
}

COLUMNS_OF = {
    "mill": {
        "place": "where it stands",
        "day_starts": "local time at which the factory day begins",
        "shifts_a_day": "how many shifts a day has",
        "extraction_plant": "tandem of mills, or diffuser",
        "mills": "how many mills are in the tandem",
    },
    "seasons": {
        "first_day": "first factory day",
        "last_day": "last factory day; empty while the season runs",
    },
    "people": {
        "username": "what they sign in with",
        "printed_name": "what prints call them now",
        "role": "what they may do now",
        "active": "whether they may sign in",
        "created_at": "when they were added",
        "language": "in which pages speak to them; empty until they chose one",
    },
    "measures": {
        "stream": "the material or vessel it is of",
        "station": "part of the factory",
        "property": "what is weighed or analysed of it",
        "decimals": "how many decimals are printed",
        "usual_low": "below it a result is marked as unusual",
        "usual_high": "above it a result is marked as unusual",
        "hard_low": "below it a result is refused",
        "hard_high": "above it a result is refused",
        "grain": "how often it is taken: each shift, or once a day or week, on its last shift",
        "carrier": "the weight by which an analysis is averaged; empty for a weight",
        "due": "whether its absence is a gap",
        "every": "hours between its samples within a shift; 0 where there is one",
        "rule": "how the samples of a shift, each the mean of its tests, make its result: mean, "
        "sum or last",
    },
    "shifts": {
        "number": "number of the shift in its day, from 1",
        "begins_at": "when it began",
        "ends_at": "when it ended",
        "zone": "time zone of the mill on that day",
    },
    "entries": {
        "shift_id": "which shift (shifts.csv)",
        "sample": "which sample of the shift, by time, from 1",
        "determination": "which test of that sample, from 1",
        "state": "number, or why there is none: not measured, below detection, instrument failed, "
        "not due; void empties the cell; left out: the test counts no more, its reason says why",
        "typed": "the text as it was typed",
        "value": "the exact value at the precision it was typed with; empty where the state is no "
        "number",
        "reason": "why it corrects an entry, or why it came late",
        "observed_at": "when its sample was due, where a shift has several",
        "observed_by": "who observed it, where somebody else typed it",
        "late": "whether it came long after its shift",
        "carried": "whether it repeats what stood before, as a tare may, and was not measured anew",
        "instrument": "what wrote it, where no person typed it; else none",
        "shift": "number of the shift in its day",
        "printed": "the value as pages print it, without grouping",
        "status": "standing: it counts; superseded: a later entry took its place; void: it says "
        "that the cell is empty",
    },
    "notes": {
        "shift_id": "which shift (shifts.csv)",
        "sample": "which sample of the shift, by time, from 1",
        "determination": "which test of that sample, from 1",
        "rule": "name of the check that is answered; empty where it is said of the result alone",
        "entries": "the results that the check was about (entries.csv), parted by commas",
        "words": "what was said",
    },
    "records": {
        "shift_id": "which shift (shifts.csv)",
        "shift": "number of its shift",
        "book": "name of the book",
        "fields": "what was typed in each field, as JSON",
        "state": "stands, or void: the record was taken out",
        "completes": "whether it only fills what was blank before, which needs no reason",
        "reason": "why it corrects a record, or why it came late",
        "observed_by": "who observed it, where somebody else typed it",
        "late": "whether it came long after its shift",
        "instrument": "what wrote it, where no person typed it; else none",
        "status": "standing, superseded by a later one, or void",
    },
    "samplings": {
        "taken": "due: its absence is a gap; not always; not taken: it is on no sheet",
        "grain": "once a shift, or of the composite of a day or week, on its last shift",
        "every": "hours between its samples within a shift; 0 where there is one",
        "rule": "how the samples of a shift, each the mean of its tests, make its result",
        "usual_low": "below it a result is marked as unusual",
        "usual_high": "above it a result is marked as unusual",
        "hard_low": "below it a result is refused",
        "hard_high": "above it a result is refused",
    },
    "parts": {
        "name": "name of the station, stream, vessel or check",
        "in_use": "whether it is in use from that day on",
    },
    "figures": {
        "record": "total: of the whole season; shift: what one shift adds to a total; reading: a "
        "result that follows from the readings of its sheet",
        "day": "factory day; of a total, the last day that is in it",
        "shift": "number of the shift in its day; empty for a total",
        "name": "name of the figure or measure",
        "value": "the value at full precision; empty where there is none",
        "printed": "the value as pages print it, without grouping",
        "state": "of a shift’s part: analysed, or estimated because an analysis lacks",
        "standard_uncertainty": "of a total; twice of it is the ± of the pages",
        "coverage": "share of a total that was really analysed, 0 to 1",
        "missing": "for want of what there is no value",
        "formula": "how it is worked out, by the conventions in force",
    },
    "conventions": {"value": "one of its choices, or a number"},
    "convention_defaults": {
        "value": "one of its choices, or a number",
        "choices": "what may be chosen, parted by |; empty where it is a number",
        "note": "what it decides",
    },
    "targets": {"figure": "name of the figure", "value": "what is wanted, in the figure’s unit"},
    "uncertainties": {
        "random": "standard uncertainty of one result, independent of others",
        "systematic": "standard uncertainty that all results share",
        "relative": "true: both are % of the value; false: both are in the measure’s unit",
    },
    "duplicates": {
        "first": "the first result, as typed",
        "second": "the second result, as typed",
        "withdraws_id": "the pair that this row withdraws; empty for a pair",
    },
    "lime_doses": {
        "from_ph": "pH before liming",
        "to_ph": "pH after liming",
        "dose": "calcium oxide, kg per tonne of juice; empty where the step was taken out",
    },
    "signatures": {
        "number": "number of the shift; empty where it is of the day",
        "meaning": "entered: the shift was entered; approved: the day was approved; reopened: it "
        "was opened again",
        "covers": "digest of exactly what stood there when it was signed",
        "entries": "how many entries it had then",
        "remarks": "what the signer said of results that have no number, by place, as JSON",
        "reason": "why it was opened again",
    },
    "reviews": {"upto": "the last event that was seen (chain.csv)", "remark": "what was remarked"},
    "issues": {
        "number": "number of the issue of that day, from 1",
        "reason": "why the report was restated",
        "chain_number": "the last event of the chain when it was issued",
        "chain_hash": "the hash of that event",
    },
    "issue_files": {
        "issue_id": "which issue (issues.csv)",
        "name": "name of the file",
        "path": "where it lies in this archive",
    },
    "chain": {
        "number": "number of the event; every event follows the one before it",
        "at": "when it was told",
        "kind": "what happened; the name of a kind of row, where one was added",
        "person_id": "who did it (people.csv); empty for what the ledger did by itself",
        "name": "that person’s printed name at the time",
        "season_id": "of which season it is (seasons.csv); empty where of none",
        "day": "of which factory day it is; empty where of none",
        "row_id": "number of the row that was added; of the person, where kind is person",
        "content": "what is told, in its canonical form; empty for an event of another season",
        "digest": "digest of an event of another season; empty for all others",
        "hash": "binds its number, the hash before it and its digest",
    },
}


def meaning(file: str, column: str) -> str:
    """Return what a column of a file means; KeyError where that was never said."""
    own = COLUMNS_OF.get(file, {})
    return own[column] if column in own else COLUMNS[column]
