"""Trends: the page that leads to them, control charts, and baselines that the mill keeps."""

from typing import Annotated
from urllib.parse import urlencode

from fastapi import APIRouter, Depends, Request, Response

from app.ledger.baselines import MAY_KEEP, Baseline, keep_baseline
from app.ledger.cells import Refused
from app.ledger.people import Person
from app.reports.control import RULES, USUAL
from app.web.control_page import FIELDS, ChartPage, TrendsPage, asked_page
from app.web.periods import Find, Finder
from app.web.requests import Form, Now, Once, Viewer, Writing, allow, done, render

router = APIRouter(prefix="/trends")

Keeper = Annotated[Person, Depends(allow(*MAY_KEEP))]


@router.get("")
def show_trends(request: Request, by: Viewer, find: Find) -> Response:
    """Show where trends are, or the control chart of a measure or figure."""
    sent = request.query_params
    typed = {name: sent.get(name, "").strip() for name in FIELDS}
    rules: tuple[str, ...] = USUAL
    if "judged" in sent:  # the form was sent, perhaps with every rule switched off
        rules = tuple(name for name in RULES if name in sent.getlist("rule"))
    return _answer(request, asked_page(find, typed, rules, by))


@router.post("/baselines")
def keep(
    request: Request, by: Keeper, writing: Writing, form: Form, now: Now, once: Once
) -> Response:
    """Keep the days of a control chart as its baseline, with a reason."""
    typed = {name: form.get(name, "").strip() for name in FIELDS}
    reason = form.get("reason", "")
    page = asked_page(Finder(writing, now), typed, USUAL, by)
    if not isinstance(page, ChartPage):
        return _answer(request, page, 422)
    if page.wrong:
        return _answer(request, page)
    found = page.basis.limits
    if found is None or page.basis.first is None or page.basis.last is None:
        return _answer(request, page.refused("from", page.because, reason))
    days = page.basis.first, page.basis.last
    baseline = Baseline(page.thing.name, page.per, *days, page.basis.count, *found)
    try:
        keep_baseline(writing, baseline, reason=reason, by=by, at=now)
    except Refused as refused:
        return _answer(request, page.refused("reason", str(refused), reason))
    asked = {"of": page.thing.name, "per": page.per, "season": page.season}
    return done(once, f"/trends?{urlencode(asked)}")


def _answer(request: Request, page: TrendsPage, status: int = 200) -> Response:
    template = "trends/chart.html" if isinstance(page, ChartPage) else "trends/index.html"
    return render(request, template, 422 if page.wrong else status, page=page)
