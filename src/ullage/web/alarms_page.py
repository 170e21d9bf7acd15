"""Alarms: what is wrong just now, what to do, what was told; seen in one tap."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import timedelta
from typing import Annotated

from fastapi import APIRouter, Depends, Request
from fastapi.responses import Response
from starlette.exceptions import HTTPException

from ullage.errors import UnknownName
from ullage.plan.alarms_heard import see, unsee
from ullage.plan.alarms_own import change, kept_of, own_limits
from ullage.web import alarms_now
from ullage.web.alarms_limits import limits_form, read
from ullage.web.alarms_views import QUIETS, AlarmsView, alarms_view
from ullage.web.fields import Posted, posted
from ullage.web.site import Site, shown

Form = Annotated[Posted, Depends(posted)]
HERE = "/alarms"


def routes(site: Site) -> APIRouter:
    """The page at `/alarms`, and what its forms send."""
    router = APIRouter(include_in_schema=False)

    @router.api_route(HERE, methods=["GET", "HEAD"])
    def page(request: Request) -> Response:
        """What holds, the most pressing first."""
        return shown("alarms.html", _view(site, request))

    @router.post(f"{HERE}/seen")
    def seen(request: Request, form: Form) -> Response:
        """Leave one in peace for a while; one that holds no more needs no peace."""
        present = site.book.present()
        found = alarms_now.found(site, present, site.units(request, present))
        try:
            see(site.book.store, found, form.text("key"), site.book.clock(), _quiet(form))
        except UnknownName:
            return site.go(request, HERE)
        return site.go(request, site.back(form, HERE))

    @router.post(f"{HERE}/unseen")
    def unseen(request: Request, form: Form) -> Response:
        """Nobody saw it after all."""
        unsee(site.book.store, form.text("key"))
        return site.go(request, site.back(form, HERE))

    @router.post(f"{HERE}/limits")
    def limits(request: Request, form: Form) -> Response:
        """Keep limits of one's own; all of the usual ones where that is the button."""
        present = site.book.present()
        units = site.units(request, present)
        kept = own_limits(kept_of(site.book.store))
        if form.text("to") == "usual":
            change(site.book.store, {one.name: None for one in kept})
            return site.go(request, HERE)
        wanted, errors = read(kept, form, units)
        if errors:
            return shown("alarms.html", _view(site, request, form, errors), 422)
        change(site.book.store, wanted)
        return site.go(request, HERE)

    return router


def _quiet(form: Posted) -> timedelta | None:
    """For how long quiet is asked; `None`: as usual. Raises `HTTPException`."""
    asked = form.text("days")
    if asked not in {one.value for one in QUIETS}:
        days = ", ".join(one.value for one in QUIETS if one.value)
        raise HTTPException(422, f"It can be quiet for so many days: {days}; or as usual.")
    return timedelta(days=int(asked)) if asked else None


def _view(
    site: Site,
    request: Request,
    form: Posted | None = None,
    errors: Mapping[str, str] | None = None,
) -> AlarmsView:
    present = site.book.present()
    units = site.units(request, present)
    answer = alarms_now.answer(site, present, units)
    return alarms_view(
        site.page(request, "Alarms", units),
        answer,
        site.address,
        site.title_block("Alarms", present, units),
        limits_form(answer.limits, units, form, errors),
        present.trouble,
    )
