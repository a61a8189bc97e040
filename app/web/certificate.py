"""The certificate of quality of one lot of sugar, to be printed and sent with it."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

from fastapi import APIRouter, HTTPException, Request, Response
from sqlalchemy import Connection

from app.exports.following import following
from app.figures.sources import COMMON_PRACTICE, Source
from app.figures.uncertainties import Uncertainty, default_uncertainty
from app.language import _
from app.ledger import booked, chain, uncertainty
from app.ledger.chain import Head
from app.ledger.mills import Mill
from app.ledger.records import VOID, Record, record_with, trail_of
from app.plant.books.sugar import ANALYSES, BAGGING
from app.plant.measures import MEASURES
from app.reports.certificate import Certificate, certificate
from app.web.open_shift import OpenShift, open_shift
from app.web.requests import Now, Reading, Viewer, render
from app.web.seal import Seal, seal_of

router = APIRouter(prefix="/books/bagging/records/{record}/certificate")


@dataclass(frozen=True)
class CertificatePage:
    """A certificate with who answers for it; a draft until the shift of the lot is signed."""

    of: Certificate
    shift: OpenShift
    seal: Seal
    ended: datetime
    written_by: tuple[str, ...]
    record: int
    head: Head
    at: datetime

    @property
    def is_draft(self) -> bool:
        """Whether no signature covers all that stands on the shift."""
        return not self.seal.shift.whole


@router.get("")
def show_certificate(
    request: Request, by: Viewer, record: int, reading: Reading, now: Now
) -> Response:
    """Show the certificate of a lot as its record stands; it changes nothing."""
    found = record_with(reading, record)
    if found is None or found.book != BAGGING.name:
        raise HTTPException(404, _("There is no such lot."))
    versions = trail_of(reading, found)
    stands = versions[-1]
    if stands.state == VOID:
        raise HTTPException(404, _("The record of this lot was taken out."))
    shift = open_shift(reading, stands.day, stands.number, now)
    page = booked.page_of(reading, shift.season, BAGGING, [stands])
    ((_record, values),) = following(reading, shift.mill, BAGGING, page)
    ended = values["ended"]
    assert isinstance(ended, datetime)  # noqa: S101  a record has it, as its field is needed
    return render(
        request,
        "books/certificate.html",
        page=CertificatePage(
            certificate(values, _uncertainties(reading, shift.mill, stands.day)),
            shift,
            seal_of(reading, shift, by),
            ended,
            _names(versions),
            stands.id,
            chain.head(reading),
            now,
        ),
    )


def _names(versions: Sequence[Record]) -> tuple[str, ...]:
    """Return who saw or wrote each version, each person once."""
    return tuple(dict.fromkeys(v.observed_by or v.recorded_name for v in versions))


def _uncertainties(connection: Connection, mill: Mill, day: date) -> dict[str, Uncertainty]:
    """Return the uncertainties of analyses of sugar: as the mill stated, else as by default."""
    names = [name for each in ANALYSES if (name := f"sugar_{each.name}") in MEASURES]
    found = {name: default_uncertainty(name) for name in names}
    for said in sorted(uncertainty.stated(connection, mill), key=lambda each: each.since):
        if said.measure in found and said.since <= day:
            source = Source(said.source, COMMON_PRACTICE)
            found[said.measure] = Uncertainty(said.random, said.systematic, said.relative, source)
    return found
