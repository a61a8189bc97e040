"""The reference manual, generated from what is declared."""

from datetime import date

from fastapi import APIRouter, HTTPException, Request, Response

from app.figures import CONVENTIONS, FIGURES
from app.figures.forecast import FROM_BLOCKS, SHARE
from app.figures.left_out import LEFT_OUT
from app.imports.files import LARGEST
from app.language import _
from app.ledger import importing, importing_records
from app.ledger.mills import the_mill
from app.ledger.plan import plan_of
from app.ledger.soundness import CANNOT
from app.plant.grains import DAY, SHIFT, WEEK
from app.plant.measures import MEASURES
from app.reports.checks import CHECKS, HOLDS
from app.reports.day_trend import DAYS
from app.reports.exceptions import AT_MOST, LARGE
from app.reports.manual import convention_entries, figure_entries, measure_entries
from app.reports.numbers import unrounded
from app.reports.plant import sampling_words
from app.reports.runs import LONG
from app.reports.season_return import SOURCE
from app.reports.stations import HEADINGS, figures_of
from app.web.requests import Now, Reading, Viewer, render

router = APIRouter(prefix="/manual")

WITH_FIGURES = {name: title for name, title in HEADINGS.items() if figures_of(name)}
OTHERS = {
    "measures": "Measures",
    "conventions": "Conventions",
    "reports": "Reports",
    "checks": "Checks",
    "trust": "What the ledger keeps",
    "roles": "Who may do what",
    "imports": "Bring in history",
    "api": "Programs and instruments",
    "accessibility": "Accessibility",
}
PARTS = WITH_FIGURES | OTHERS
GRAINS = (SHIFT, DAY, WEEK)


@router.get("")
def index(request: Request, _by: Viewer) -> Response:
    """List everything that the manual explains, and what is left out."""
    return render(
        request,
        "manual/index.html",
        parts=PARTS,
        stations={title: figures_of(name) for name, title in WITH_FIGURES.items()},
        count=sum(not figure.internal for figure in FIGURES.values()),
        measures=len(MEASURES),
        conventions=len(CONVENTIONS),
        left_out=LEFT_OUT,
    )


@router.get("/measures")
def measures(request: Request, reading: Reading, now: Now, _by: Viewer) -> Response:
    """Explain every measure, with what holds for this mill today beside the default."""
    mill = the_mill(reading)
    day, plan = mill.clock.shift_at(now)[0], plan_of(reading, mill)
    chosen = {name: plan.sampling(name, day) for name in MEASURES}
    stations = {title: measure_entries(name) for name, title in HEADINGS.items()}
    return render(
        request,
        "manual/measures.html",
        parts=PARTS,
        stations={title: found for title, found in stations.items() if found},
        count=len(MEASURES),
        here_since={name: row.since for name, row in chosen.items() if row.since != date.min},
        here_words={name: sampling_words(row) for name, row in chosen.items()},
    )


@router.get("/imports")
def bringing_in(request: Request, by: Viewer) -> Response:
    """Explain how history is brought in from tables, and taken back."""
    return render(
        request,
        "manual/imports.html",
        parts=PARTS,
        results=importing.MOST,
        records=importing_records.MOST,
        megabytes=LARGEST // 1_000_000,
        may_begin=by.role == "administrator",
    )


@router.get("/conventions")
def conventions(request: Request, _by: Viewer) -> Response:
    """Explain every convention."""
    return render(request, "manual/conventions.html", parts=PARTS, entries=convention_entries())


@router.get("/checks")
def checks(request: Request, _by: Viewer) -> Response:
    """Explain every check of results, and which hold by construction."""
    return render(
        request,
        "manual/checks.html",
        parts=PARTS,
        grains={grain: [c for c in CHECKS.values() if c.grain == grain] for grain in GRAINS},
        holds=HOLDS,
        count=len(CHECKS),
    )


@router.get("/reports")
def reports(request: Request, _by: Viewer) -> Response:
    """Explain what stands out of a day, and the reports beside those of days, weeks and months."""
    return render(
        request,
        "manual/reports.html",
        parts=PARTS,
        most=AT_MOST,
        large=unrounded(LARGE),
        days=DAYS,
        share=unrounded(float(CONVENTIONS["coverage_needed"].default)),
        hours=unrounded(LONG),
        weeks=FROM_BLOCKS,
        band=round(10 * SHARE),
        source=SOURCE,
    )


@router.get("/trust")
def trust(request: Request, _by: Viewer) -> Response:
    """Explain signatures, issues and the chain, and what a chain cannot do."""
    return render(request, "manual/trust.html", parts=PARTS, cannot=CANNOT)


@router.get("/accessibility")
def accessibility(request: Request, _by: Viewer) -> Response:
    """Say how pages are made for everybody, how that is tried, and what is not met."""
    return render(request, "manual/accessibility.html", parts=PARTS)


@router.get("/{station}")
def figures(request: Request, station: str, _by: Viewer) -> Response:
    """Explain every figure of a station."""
    if station not in WITH_FIGURES:
        raise HTTPException(404, _("The manual has no such part."))
    return render(
        request,
        "manual/figures.html",
        parts=PARTS,
        title=WITH_FIGURES[station],
        entries=figure_entries(station),
    )
