"""The whole answer on one printable sheet, and the same as data."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Query, Request
from fastapi.responses import HTMLResponse, Response
from starlette.exceptions import HTTPException

from ullage.plan.answers import WholeAnswer
from ullage.plan.as_json import as_json
from ullage.units import UnitSystem
from ullage.web.shapes import answers
from ullage.web.sheet import sheet_view
from ullage.web.site import Site, shown


def routes(site: Site) -> APIRouter:
    """The sheet at `/plan` and its data at `/plan.json`."""
    router = APIRouter()

    @router.api_route("/plan", methods=["GET", "HEAD"], include_in_schema=False)
    def plan_sheet(request: Request) -> HTMLResponse:
        """The system as it stands now on one sheet."""
        present = site.book.present()
        if present.empty:
            raise HTTPException(404, "There is no system here yet.")
        units = site.units(request, present)
        page = site.page(request, present.system.name, units)
        view = present.kept(
            ("plan", page), lambda: sheet_view(present.answer, page, present.system)
        )
        return shown("sheet.html", view)

    @router.get("/plan.json", response_class=Response, responses=answers(WholeAnswer))
    def plan(units: Annotated[UnitSystem | None, Query()] = None) -> Response:
        """The whole answer as data, in SI; every key ends in its unit."""
        del units  # SI whatever the household reads
        present = site.book.present()
        if present.empty:
            raise HTTPException(404, "There is no system here yet.")
        text = present.kept("plan.json", lambda: as_json(present.answer))
        return Response(text, media_type="application/json", headers={"Cache-Control": "no-cache"})

    return router
