"""What the log teaches of this household's constants, as data."""

from __future__ import annotations

from fastapi import APIRouter, Response

from ullage.plan.as_json import as_json
from ullage.plan.learn_answer import Learning
from ullage.web.api.route import FRESH, JsonRoute
from ullage.web.learn_page import learned_of
from ullage.web.shapes import answers, problems
from ullage.web.site import Site


def routes(site: Site) -> APIRouter:
    """`/learn`; what is kept is written as an event, `constants_kept`."""
    router = APIRouter(route_class=JsonRoute, responses=problems(422, 503))

    @router.get("/learn", responses=answers(Learning), tags=["answers"])
    def what_was_learnt() -> Response:
        """Tell what the readings say of this household's constants, and what to read next."""
        present = site.book.present()
        text = present.kept("learning json", lambda: as_json(learned_of(present)))
        return Response(text, 200, FRESH, "application/json")

    return router
