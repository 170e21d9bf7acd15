"""Sensors: how each stands, what it wrote down, and how to connect one; tokens to send with."""

from __future__ import annotations

import json
from dataclasses import dataclass
from datetime import datetime
from typing import Annotated, Final

from fastapi import APIRouter, Depends, Request
from fastapi.responses import Response
from starlette.exceptions import HTTPException

from ullage.cellar import tokens
from ullage.errors import Conflict, EventError, UllageError, UnknownName
from ullage.plan.sensors_now import day_of, sensors_now
from ullage.web.api.routes import ROOT
from ullage.web.fields import Posted, posted
from ullage.web.readings_views import (
    SCOPE_CHOICES,
    ReadingsView,
    sensor_row,
    sentence_of,
    token_row,
)
from ullage.web.site import Site, shown
from ullage.web.wording import sentence

Form = Annotated[Posted, Depends(posted)]


def routes(site: Site) -> APIRouter:
    """`/readings`, and tokens made and revoked below it."""
    router = APIRouter(include_in_schema=False)

    @router.get("/readings")
    def readings(request: Request) -> Response:
        """The sensors as they stand."""
        return shown("readings.html", _view(site, request))

    @router.post("/readings/tokens")
    def make(request: Request, form: Form) -> Response:
        """Make a token and show it, this once: it is on no page that can be asked for again."""
        name, scope = form.text("name"), tokens.scope_of(form.text("scope") or "samples")
        try:
            secret = tokens.make(site.book.store, name, scope)
        except (Conflict, EventError) as wrong:
            said = "say what will use it" if not name else str(wrong)
            made = Made(typed=name, scope=scope, error=said)
            return shown("readings.html", _view(site, request, made), 422)
        answer = shown("readings.html", _view(site, request, Made(secret, name, scope)), 201)
        answer.headers["Cache-Control"] = "no-store"
        return answer

    @router.post("/readings/tokens/revoke")
    def revoke(request: Request, form: Form) -> Response:
        """Let a token be good no more."""
        try:
            tokens.revoke(site.book.store, form.text("name"))
        except UnknownName as wrong:
            raise HTTPException(404, sentence(wrong)) from None
        return site.go(request, "/readings")

    return router


@dataclass(frozen=True, slots=True)
class Made:
    """What came of making a token: it, what it was to be called and for, or why there is none."""

    secret: str = ""
    typed: str = ""
    scope: tokens.Scope = "samples"
    error: str = ""


NOTHING_MADE: Final = Made()


def _view(site: Site, request: Request, made: Made = NOTHING_MADE) -> ReadingsView:
    present = site.book.present()
    units, now, store = site.units(request, present), site.book.clock(), site.book.store
    since = _midnight(now)
    try:
        found = sensors_now(store, present.log)
    except UllageError:  # the system file is not understood; its own page says why
        found = ()
    return ReadingsView(
        page=site.page(request, "Sensors", units),
        sentence=sentence_of(found, now),
        sensors=tuple(
            sensor_row(one, day_of(store, one.sensor, since), since, now, units) for one in found
        ),
        tokens=tuple(map(token_row, tokens.every(store))),
        secret=made.secret,
        error=made.error,
        typed=made.typed,
        api=f"{str(request.base_url).rstrip('/')}{ROOT}/samples",
        example=_example(found[0].sensor.name if found else "K1 scale"),
        scopes=SCOPE_CHOICES,
        scope=made.scope,
        title_block=site.title_block("Sensors", present, units),
    )


def _example(source: str) -> str:
    return json.dumps({"source": source, "value": 21.35}, ensure_ascii=False)


def _midnight(now: datetime) -> datetime:
    return now.astimezone().replace(hour=0, minute=0, second=0, microsecond=0)
