"""What was issued, in the words of the trail: morning reports, certificates and archives."""

from app.language import _
from app.ledger.trail import Told

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


def export_words(told: Told) -> Words:
    """Return an archive that was made."""
    c = told.content
    about = _("Archive of season {name}", name=c["season"])
    return about, "", _("made, to event {number}", number=c["head"]), "", ""
