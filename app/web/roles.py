"""Who may do what: every route and the roles it lets pass; a route that lets nobody is refused."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from fastapi import APIRouter, FastAPI, Request, Response
from fastapi.routing import APIRoute
from starlette.routing import BaseRoute

from app.ledger.people import ROLES
from app.web.manual import PARTS
from app.web.requests import Viewer, allowances, render

router = APIRouter(prefix="/manual/roles")

# what nobody signs in for, and what is asked in its place
PUBLIC = {
    "/sign-in": "name and password",
    "/sign-in/language": "nothing: what comes is said in another language",
    "/unlock": "the password of whose sign-in is locked",
    "/set-password": "name and a code that an administrator gave",
    "/health": "nothing: it says whether the ledger is well, or what ails it",
    "/instruments/entries": "the token of an instrument",
    "/api/results": "the token of an instrument",
    "/api/records": "the token of an instrument",
    "/api/measures": "the token of an instrument",
    "/api/days/{day}": "the token of an instrument",
    "/api/reports/{kind}/{name}": "the token of an instrument",
    "/api/reports/runs/{first}/{last}": "the token of an instrument",
    "/api/reports/seasons/{name}/return": "the token of an instrument",
    "/api/reports/shifts/{day}/{number}": "the token of an instrument",
    "/api/openapi.json": "nothing: it describes the way in for programs",
}

# in the words of those who have the roles; the table of routes is what holds
MAY = {
    "chemist": "Types results and signs the shift as entered.",
    "chief chemist": "Does what a chemist does; also corrects what was signed, approves days and "
    "opens them again, looks through what came after, and issues reports.",
    "manager": "Approves days and opens them again, looks through what came after, and issues "
    "reports; never types results.",
    "auditor": "Reads everything and exports it; changes nothing.",
    "administrator": "Looks after people, instruments and settings; never types or approves.",
}


@dataclass(frozen=True)
class Access:
    """One thing that can be asked of the ledger, and which roles may."""

    method: str
    address: str
    does: str
    roles: frozenset[str]

    @property
    def asks(self) -> str:
        """What is asked of who has not signed in, where that is not to sign in."""
        return PUBLIC.get(self.address, "")


def access_of(app: FastAPI) -> list[Access]:
    """Return every route with the roles it lets pass; RuntimeError for one that says nothing."""
    found = []
    for route in _routes(app.routes):
        allowed = [set(allow.roles) for allow in allowances(route.dependant)]
        if not allowed and route.path not in PUBLIC:
            raise RuntimeError(f"{route.path} does not say who may use it")
        roles = frozenset(set(ROLES).intersection(*allowed))
        does = (route.endpoint.__doc__ or "").partition("\n")[0]
        found += [Access(method, route.path, does, roles) for method in sorted(route.methods or ())]
    return sorted(found, key=lambda access: (access.address, access.method))


def _routes(routes: Iterable[BaseRoute]) -> Iterator[APIRoute]:
    for route in routes:
        if isinstance(route, APIRoute):
            yield route
        else:  # a router that was included keeps its own; files to be served have none
            yield from _routes(getattr(getattr(route, "original_router", None), "routes", ()))


@router.get("")
def roles_page(request: Request, _: Viewer) -> Response:
    """Say who may do what."""
    routes = [access for access in access_of(request.app) if access.address not in PUBLIC]
    public = [access for access in access_of(request.app) if access.address in PUBLIC]
    return render(
        request, "manual/roles.html", parts=PARTS, routes=routes, public=public, roles=ROLES,
        may=MAY,
    )  # fmt: skip
