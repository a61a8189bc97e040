"""What the columns of CSV files hold, as pages say it beside a file."""

from collections.abc import Mapping
from dataclasses import dataclass, field


@dataclass(frozen=True)
class FileColumn:
    """A column: what it holds, in which unit, and what the words mean that stand in it.

    Those words are the file's own, which no language changes; what they mean is said in each.
    """

    title: str
    words: Mapping[str, str] = field(default_factory=dict)
    unit: str = ""


_RECORD = {
    "total": "a figure of the whole period",
    "convention": "a choice in force on its last day",
    "plan": "how the mill takes a measure on that day",
    "shift": "what one shift adds to a total",
    "entry": "a result or reading that stands on a sheet",
    "reading": "a result that follows from the readings of its sheet",
    "book": "a result that the records of another book give",
    "note": "what was said of a result, or in answer to a check",
}
_STATE = {
    "number": "a number was entered",
    "not measured": "not measured",
    "below detection": "below detection",
    "instrument failed": "instrument failed",
    "not due": "not due",
    "left out": "a test that does not count",
    "analysed": "a part of a shift that rests on analyses",
    "estimated": "a part of a shift that is estimated",
    "due": "the sheet asks for it",
    "not always": "its absence is no gap",
}
_MARKS = {word: word for word in ("read", "from memory", "common practice")}

COLUMNS: Mapping[str, FileColumn] = {
    "record": FileColumn("what the row holds", _RECORD),
    "period": FileColumn("the period of the file, as in its address"),
    "status": FileColumn(
        "the number of the issue that this file is part of", {"draft": "it is part of none"}
    ),
    "day": FileColumn("factory day (ISO 8601); of a convention, since when; empty for a total"),
    "shift": FileColumn("number of the shift in its day; empty for a total"),
    "sample": FileColumn("which sample of the shift, by time, from 1"),
    "test": FileColumn("which test of that sample, from 1"),
    "sampled_at": FileColumn("when that sample was due, UTC, where a shift has several"),
    "name": FileColumn("name of the figure or measure"),
    "title": FileColumn("what pages call it"),
    "value": FileColumn("the exact value, at full precision; empty where there is none"),
    "printed": FileColumn("the value as pages print it, without grouping"),
    "unit": FileColumn("its unit; tonnes are metric"),
    "state": FileColumn("what is known of it", _STATE),
    "standard_uncertainty": FileColumn(
        "of a total, by the uncertainties stated of what was measured; twice of it is the ± of the "
        "pages"
    ),
    "coverage": FileColumn("share of a total really analysed, 0 to 1"),
    "missing": FileColumn("for want of what there is no value"),
    "formula": FileColumn(
        "how a total is worked out, by the conventions in force; what a convention means; how "
        "often a measure is taken"
    ),
    "source": FileColumn(
        "where the formula comes from, and how surely it is known; of a note, the check that it "
        "answers",
        _MARKS,
    ),
    "typed": FileColumn(
        "the text as typed; an apostrophe stands before what a spreadsheet would run, at its "
        "beginning or behind a semicolon"
    ),
    "carried": FileColumn(
        "whether it repeats what stood before, as a tare may, and was not measured anew",
        {"yes": "yes"},
    ),
    "reason": FileColumn("why an entry corrects the one before it; the words of a note"),
    "recorded_by": FileColumn("who typed it"),
    "recorded_at": FileColumn("when, by the ledger's clock, UTC"),
    "entry": FileColumn("number of the entry in the ledger; of a note, of those it answers"),
}
"""The columns of the file of a period, by name, in their order."""

STANDING, TAKEN_OUT = "standing", "taken out"

BEFORE_FIELDS: Mapping[str, FileColumn] = {
    "day": FileColumn("factory day (ISO 8601)"),
    "shift": FileColumn("number of the shift in its day"),
    "record": FileColumn("number of the record in the ledger; a correction has a new one"),
    "status": FileColumn(
        "whether it counts",
        {STANDING: "it counts", TAKEN_OUT: "it counts no more, and nothing follows from it"},
    ),
    "supersedes": FileColumn("number of the record that it corrects or takes out"),
}
"""The columns of the file of a book that come before its fields."""

AFTER_FIELDS: Mapping[str, FileColumn] = {
    "reason": FileColumn("why it was corrected, taken out or late"),
    "recorded_by": FileColumn("who typed it"),
    "recorded_at": FileColumn("when, by the ledger's clock, UTC"),
}
"""The columns that come behind them."""
