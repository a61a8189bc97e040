"""The certificate of quality of one lot of sugar: as its record stands, and as it was issued."""

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, field
from datetime import date, datetime
from typing import Annotated, Any

from fastapi import APIRouter, Depends, HTTPException, Request, Response
from sqlalchemy import Connection

from app.exports.doubts import doubts_on
from app.exports.following import conventions_for, following
from app.figures.sources import Source
from app.figures.uncertainties import Uncertainty, default_uncertainty
from app.language import _
from app.ledger import booked, chain, uncertainty
from app.ledger.cells import Refused
from app.ledger.certificates import (
    IssuedCertificate,
    Lot,
    as_told,
    certificates_of,
    issue_certificate,
)
from app.ledger.chain import Head
from app.ledger.issues import MAY_ISSUE
from app.ledger.mills import Mill
from app.ledger.people import Person
from app.ledger.records import VOID, Record, record_with, trail_of
from app.ledger.referring import Referred
from app.plant.books.sugar import ANALYSES, BAGGING
from app.plant.measures import MEASURES
from app.reports.certificate import Certificate, certificate, differing
from app.reports.dates import moment
from app.reports.instruments import Doubt
from app.web.forms import WithProblems
from app.web.open_shift import OpenShift, open_shift
from app.web.requests import (
    Form,
    Key,
    Now,
    Once,
    Reading,
    SignedAgain,
    Viewer,
    Writing,
    allow,
    done,
    render,
)
from app.web.seal import Seal, seal_of
from app.web.signing import unconfirmed

router = APIRouter(prefix="/books/bagging/records/{record}/certificate")

Issuer = Annotated[Person, Depends(allow(*MAY_ISSUE))]


@dataclass(frozen=True)
class CertificatePage(WithProblems):
    """A certificate with who answers for it: as known now, or as it was `issued`.

    As known now it is a draft until the shift of the lot is signed; `changed` has the titles of
    what is otherwise than in the last that was issued.
    """

    of: Certificate
    shift: OpenShift
    record: int
    ended: datetime
    written_by: Sequence[str]
    signed: str
    head: Head
    at: datetime
    all_issued: Sequence[IssuedCertificate]
    changed: Sequence[str]
    doubts: Sequence[Doubt]
    issued: IssuedCertificate | None = None
    is_draft: bool = False
    signed_at_all: bool = True
    is_void: bool = False
    may_issue: bool = False
    wrong: Mapping[str, str] = field(default_factory=dict)
    typed: Mapping[str, str] = field(default_factory=dict)

    @property
    def address(self) -> str:
        """Where the certificate of the lot is."""
        return f"/books/bagging/records/{self.record}/certificate"


@dataclass(frozen=True)
class _Lot:
    """A lot as its record stands, with all that its certificate says."""

    versions: Sequence[Record]
    shift: OpenShift
    seal: Seal
    of: Certificate
    ended: datetime
    issued: list[IssuedCertificate]
    doubts: Sequence[Doubt]
    key: Lot

    @property
    def stands(self) -> Record:
        return self.versions[-1]

    @property
    def written_by(self) -> list[str]:
        """Who saw or wrote each version, each person once."""
        return list(dict.fromkeys(v.observed_by or v.recorded_name for v in self.versions))

    def changed_since(self, issued: IssuedCertificate) -> list[str]:
        return differing(Certificate.of(issued.said["certificate"]), self.of)


@router.get("")
def show_certificate(
    request: Request, by: Viewer, record: Key, reading: Reading, now: Now
) -> Response:
    """Show the certificate of a lot as its record stands; it changes nothing."""
    return _page(request, reading, record, by, now)


@router.post("")
def issue(  # noqa: PLR0913, PLR0917  its parts come from different hands
    request: Request, by: Issuer, again: SignedAgain, record: Key, writing: Writing, form: Form,
    now: Now, once: Once,
) -> Response:  # fmt: skip
    """Issue the certificate of a lot as it stands now, with the password typed again."""
    lot = _lot(writing, record, by, now)
    typed = {"reason": form.get("reason", "")}
    signature = lot.seal.shift.last
    wrong = {}
    if lot.stands.state == VOID:
        wrong = {"password": _("The record of this lot was taken out")}
    elif not lot.seal.shift.whole or signature is None:
        wrong = {"password": _("The shift of this lot is not signed as it stands")}
    elif not again:
        wrong = {"password": unconfirmed(form)}
    if wrong or signature is None:
        return _page(request, writing, record, by, now, wrong=wrong, typed=typed)
    said = {
        "certificate": asdict(lot.of), "ended": lot.ended, "written_by": lot.written_by,
        "signed_by": signature.recorded_name, "signed_role": signature.role,
        "signed_at": signature.recorded_at, "version": lot.stands.id,
    }  # fmt: skip
    try:
        name = issue_certificate(writing, lot.key, said, reason=typed["reason"], by=by, at=now)
    except Refused as refused:
        wrong = {"reason": str(refused)}
        return _page(request, writing, record, by, now, wrong=wrong, typed=typed)
    address = f"/books/bagging/records/{record}/certificate"
    return done(once, f"{address}/{name.rpartition('/')[2]}")


@router.get("/{number}")
def show_issued(
    request: Request, by: Viewer, record: Key, number: int, reading: Reading, now: Now
) -> Response:
    """Show a certificate as it was issued, and what is known otherwise since."""
    lot = _lot(reading, record, by, now)
    issued = next((each for each in lot.issued if each.number == number), None)
    if issued is None:
        raise HTTPException(404, _("No such certificate was issued."))
    said, clock, role = issued.said, lot.shift.mill.clock, issued.said["signed_role"]
    signed = _(
        "signed as entered by {name}, {role}, on {when}",
        name=said["signed_by"], role=_(role),
        when=moment(datetime.fromisoformat(said["signed_at"]), clock),
    )  # fmt: skip
    page = CertificatePage(
        Certificate.of(said["certificate"]), lot.shift, lot.stands.id,
        datetime.fromisoformat(said["ended"]), said["written_by"], signed, issued.event,
        issued.recorded_at, lot.issued, lot.changed_since(issued), lot.doubts, issued,
        is_void=lot.stands.state == VOID,
    )  # fmt: skip
    return render(request, "books/certificate.html", page=page)


def _page(
    request: Request, connection: Connection, record: int, by: Person, now: datetime,
    **said: Any,
) -> Response:  # fmt: skip
    lot = _lot(connection, record, by, now)
    if lot.stands.state == VOID and not lot.issued:
        raise HTTPException(404, _("The record of this lot was taken out."))
    draft = not lot.seal.shift.whole
    void = lot.stands.state == VOID
    page = CertificatePage(
        lot.of, lot.shift, lot.stands.id, lot.ended, lot.written_by, lot.seal.words,
        chain.head(connection), now, lot.issued,
        lot.changed_since(lot.issued[-1]) if lot.issued else [], lot.doubts,
        is_draft=draft, signed_at_all=lot.seal.shift.last is not None, is_void=void,
        may_issue=by.role in MAY_ISSUE and not draft and not void, **said,
    )  # fmt: skip
    return render(request, "books/certificate.html", 422 if page.wrong else 200, page=page)


def _lot(connection: Connection, record: int, by: Person, now: datetime) -> _Lot:
    found = record_with(connection, record)
    if found is None or found.book != BAGGING.name:
        raise HTTPException(404, _("There is no such lot."))
    versions = trail_of(connection, found)
    # of a record that was taken out, what it said before
    stands = next((v for v in reversed(versions) if v.state != VOID), versions[-1])
    shift = open_shift(connection, stands.day, stands.number, now)
    page = booked.page_of(BAGGING, [stands], Referred(connection, shift.season))
    rows = conventions_for(connection, shift.mill, BAGGING)
    ((_record, values),) = following(BAGGING, page, rows)
    ended = values["ended"]
    assert isinstance(ended, datetime)  # noqa: S101  a record has it, as its field is needed
    of = certificate(values, _uncertainties(connection, shift.mill, stands.day))
    key = Lot(shift.season, stands.day, versions[0].id)
    return _Lot(
        versions, shift, seal_of(connection, shift, by), Certificate.of(as_told(asdict(of))),
        ended, certificates_of(connection, key),
        doubts_on(connection, shift.mill, shift.season, shift.bounds, now), key,
    )  # fmt: skip


def _uncertainties(connection: Connection, mill: Mill, day: date) -> dict[str, Uncertainty]:
    """Return the uncertainties of analyses of sugar: as the mill stated, else as by default."""
    names = [name for each in ANALYSES if (name := f"sugar_{each.name}") in MEASURES]
    found = {name: default_uncertainty(name) for name in names}
    for said in sorted(uncertainty.stated(connection, mill), key=lambda each: each.since):
        if said.measure in found and said.since <= day:
            source = Source(said.source, "")  # the laboratory's own words
            found[said.measure] = Uncertainty(said.random, said.systematic, said.relative, source)
    return found
