"""How the reader wants the pages: the theme, kept by the browser; the units, by the household."""

from __future__ import annotations

from typing import Annotated, Final, get_args

from fastapi import APIRouter, Depends, Request
from fastapi.responses import Response
from starlette.exceptions import HTTPException

from ullage.cellar.household import household
from ullage.cellar.other_events import HouseholdSet
from ullage.units import UnitSystem
from ullage.web.fields import Posted, posted
from ullage.web.gate import account_in
from ullage.web.site import THEME_COOKIE, Site
from ullage.web.views import Theme

YEAR_S: Final = 365 * 86_400


def routes(site: Site) -> APIRouter:
    """`POST /look` with `theme` or `units`, and where to return to."""
    router = APIRouter(include_in_schema=False)

    @router.post("/look")
    def look(request: Request, form: Annotated[Posted, Depends(posted)]) -> Response:
        """Keep what was chosen and go back to the page."""
        units = form.text("units")
        if units:
            account = account_in(request)
            if account is not None and account.role == "guest":
                raise HTTPException(403, "The units are the household's; a guest cannot set them.")
            wrote = _set_units(site, units)
            return site.go(request, site.back(form), *wrote)
        return keep_theme(site, request, form)

    return router


def keep_theme(site: Site, request: Request, form: Posted) -> Response:
    """Let the browser keep the theme that was chosen. Raises `HTTPException` for no theme."""
    theme = form.text("theme")
    if theme not in get_args(Theme):
        raise HTTPException(422, "There are the themes auto, paper and blueprint.")
    answer = site.go(request, site.back(form))
    answer.set_cookie(
        THEME_COOKIE, theme, YEAR_S, path=site.base or "/", httponly=True, samesite="lax"
    )
    return answer


def _set_units(site: Site, wanted: str) -> tuple[str, ...]:
    """Write the household's units down, unless they are that already."""
    present = site.book.present()
    home = household(present.log)
    for known in get_args(UnitSystem):
        if known == wanted and known == home.units and present.log:
            return ()
        if known == wanted:
            event = HouseholdSet(at=site.book.clock(), altitude_m=_altitude(site), units=known)
            return tuple(one.id for one in site.book.record(event).events)
    raise HTTPException(422, "There are the units us and metric.")


def _altitude(site: Site) -> float:
    present = site.book.present()
    return present.system.altitude if not present.empty else 0.0
