"""Alarms as data: what is wrong just now, what was seen and told of it, and the thresholds."""

from __future__ import annotations

from fastapi import APIRouter, Response

from ullage.plan.alarms_answer import AlarmsAnswer
from ullage.plan.as_json import as_json
from ullage.web import alarms_now
from ullage.web.api.route import FRESH, JsonRoute
from ullage.web.shapes import answers, problems
from ullage.web.site import Site


def routes(site: Site) -> APIRouter:
    """`/alarms`."""
    router = APIRouter(route_class=JsonRoute, tags=["answers"], responses=problems(503))

    @router.get("/alarms", responses=answers(AlarmsAnswer))
    def what_is_wrong() -> Response:
        """Tell what is wrong just now, the most pressing first, and what to do about it."""
        present = site.book.present()
        found = alarms_now.answer(site, present, present.standing.home.units)
        return Response(as_json(found), 200, FRESH, "application/json")

    return router
