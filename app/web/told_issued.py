"""What was issued or kept, in the words of the trail: reports, certificates, baselines."""

from collections.abc import Callable, Mapping

from app.language import _
from app.ledger.handed_out import MAIL
from app.ledger.trail import Told
from app.reports.dates import calendar_day
from app.reports.lines import title_of

Words = tuple[str, str, str, str, str]


def _issue(told: Told) -> Words:
    """Return a morning report that was issued."""
    c = told.content
    after = _("issued as {name}", name=f"{c['day']}/{c['number']}")
    return _("Morning report"), "", after, c["reason"] or "", f"/days/{c['day']}/issues"


def _certificate(told: Told) -> Words:
    """Return a certificate of quality that was issued."""
    c = told.content
    about = _("Certificate of quality, lot {lot}", lot=c["said"]["certificate"]["lot"])
    address = f"/books/bagging/records/{c['record']}/certificate/{c['name'].rpartition('/')[2]}"
    return about, "", _("issued as {name}", name=c["name"]), c["reason"], address


def _baseline(told: Told) -> Words:
    """Return a baseline of a control chart that was kept."""
    c = told.content
    after = _(
        "baseline {number}, {first} to {last}",
        number=c["number"], first=calendar_day(c["first"]), last=calendar_day(c["last"]),
    )  # fmt: skip
    about = _("Control chart of {title}", title=_(title_of(c["of"])))
    address = f"/trends?of={c['of']}&per={c['per']}&version={c['number']}"
    return about, "", after, c["reason"], address


def _export(told: Told) -> Words:
    """Return an archive that was made."""
    c = told.content
    about = _("Archive of season {name}", name=c["season"])
    return about, "", _("made, to event {number}", number=c["head"]), "", ""


def _handed_out(told: Told) -> Words:
    """Return an issued report that was handed out."""
    c = told.content
    after = _("issue {name} laid into {where}", name=c["issue"], where=c["where"])
    if c["way"] == MAIL:
        after = _("issue {name} sent to {where}", name=c["issue"], where=c["where"])
    return _("Morning report"), "", after, "", f"/days/{told.day}/issues"


WORDS: Mapping[str, Callable[[Told], Words]] = {
    "issue": _issue,
    "certificate": _certificate,
    "baseline": _baseline,
    "export": _export,
    "handed_out": _handed_out,
}
"""The words of each kind of event."""
