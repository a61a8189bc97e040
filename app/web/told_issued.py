"""What was issued or kept, in the words of the trail: reports, certificates, baselines."""

from collections.abc import Callable, Mapping

from app.language import _
from app.ledger.trail import Told
from app.reports.dates import calendar_day
from app.reports.lines import title_of

Words = tuple[str, str, str, str, str]


def issue_words(told: Told) -> Words:
    """Return a morning report that was issued."""
    c = told.content
    after = _("issued as {name}", name=f"{c['day']}/{c['number']}")
    return _("Morning report"), "", after, c["reason"] or "", f"/days/{c['day']}/issues"


def certificate_words(told: Told) -> Words:
    """Return a certificate of quality that was issued."""
    c = told.content
    about = _("Certificate of quality, lot {lot}", lot=c["said"]["certificate"]["lot"])
    address = f"/books/bagging/records/{c['record']}/certificate/{c['name'].rpartition('/')[2]}"
    return about, "", _("issued as {name}", name=c["name"]), c["reason"], address


def baseline_words(told: Told) -> Words:
    """Return a baseline of a control chart that was kept."""
    c = told.content
    after = _(
        "baseline {number}, {first} to {last}",
        number=c["number"], first=calendar_day(c["first"]), last=calendar_day(c["last"]),
    )  # fmt: skip
    about = _("Control chart of {title}", title=_(title_of(c["of"])))
    address = f"/trends?of={c['of']}&per={c['per']}&version={c['number']}"
    return about, "", after, c["reason"], address


def export_words(told: Told) -> Words:
    """Return an archive that was made."""
    c = told.content
    about = _("Archive of season {name}", name=c["season"])
    return about, "", _("made, to event {number}", number=c["head"]), "", ""


ISSUED: Mapping[str, Callable[[Told], Words]] = {
    "issue": issue_words,
    "certificate": certificate_words,
    "baseline": baseline_words,
    "export": export_words,
}
