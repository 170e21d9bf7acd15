"""What is done with a keg's plan: adopt a way, say a step is done, plan anew, take it back."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from typing import Annotated, Final, TypeAlias

from fastapi import APIRouter, Depends, Request
from fastapi.responses import RedirectResponse, Response
from starlette.exceptions import HTTPException

from ullage import typed
from ullage.cellar.other_events import Undone
from ullage.errors import EventError, UnitError
from ullage.plan.adopt import adopt, plan_anew
from ullage.plan.step_done import Changed, do_step
from ullage.plan.to_come import is_of_way, waiting_plans
from ullage.web import asked
from ullage.web.fields import Posted, posted
from ullage.web.keg_addresses import keg_path
from ullage.web.keg_data import keg_now
from ullage.web.keg_page import keg_page
from ullage.web.keg_plan import GAUGE, METHOD, STEP, WHEN, Trial, read_day
from ullage.web.notices import with_notice
from ullage.web.site import Site
from ullage.web.wording import sentence

Form = Annotated[Posted, Depends(posted)]
Does: TypeAlias = Callable[[Site, str, Trial], str]
"""Does something with a keg's plan and says where to go then, as a path without the base.

What was wrong gathers in the trial; raises `EventError` where the log refuses it.
"""
NOT_WAITING: Final = "That step does not wait any more."


def routes(site: Site) -> APIRouter:
    """`POST /kegs/<name>/adopt`, `/done`, `/anew` and `/withdraw`."""
    router = APIRouter(include_in_schema=False)

    def answer(request: Request, name: str, form: Posted, does: Does) -> Response:
        if keg_now(site.book.present(), name) is None:
            raise HTTPException(404, "There is no keg of that name in the cellar.")
        trial = Trial(form)
        whole = ""
        try:
            path = does(site, name, trial)
        except EventError as error:
            whole = f"{str(error)[:1].upper()}{str(error)[1:]}."
        if whole or trial.any_wrong:
            return keg_page(site, request, name, Trial(form, trial.errors, whole or trial.whole))
        return RedirectResponse(site.address(path), 303)

    @router.post("/kegs/{name:path}/adopt")
    def adopted(request: Request, name: str, form: Form) -> Response:
        """Make a way the keg's plan."""
        return answer(request, name, form, _adopt)

    @router.post("/kegs/{name:path}/done")
    def done(request: Request, name: str, form: Form) -> Response:
        """Write down that a planned step was done."""
        return answer(request, name, form, _done)

    @router.post("/kegs/{name:path}/anew")
    def anew(request: Request, name: str, form: Form) -> Response:
        """Plan from how the keg stands now."""
        return answer(request, name, form, _anew)

    @router.post("/kegs/{name:path}/withdraw")
    def withdrawn(request: Request, name: str, form: Form) -> Response:
        """Take back what still waits of the keg's plan."""
        return answer(request, name, form, _withdraw)

    return router


def _adopt(site: Site, name: str, trial: Trial) -> str:
    by = read_day(trial)
    if trial.errors:
        return ""
    now = site.book.clock()
    method = trial.form.text(METHOD) or None
    adopt(site.book.store, name, method, by, now, site.book.present().system)
    return keg_path(name) + "#plan"


def _anew(site: Site, name: str, trial: Trial) -> str:
    del trial
    now = site.book.clock()
    log = site.book.present().log
    if not any(is_of_way(event) for event in log if event.stream == f"keg:{name}"):
        raise EventError("there is no plan yet to make anew: adopt one of the ways first")
    plan_anew(site.book.store, name, now, site.book.present().system)
    return keg_path(name) + "#plan"


def _done(site: Site, name: str, trial: Trial) -> str:
    found = keg_now(site.book.present(), name)
    step = trial.form.text(STEP)
    if found is None or step not in {one.step for one in found.steps}:
        raise EventError(NOT_WAITING.rstrip("."))
    now = site.book.clock()
    at, gauge = _when(trial, now), _gauge(site, trial)
    if trial.errors:
        return ""
    recorded = do_step(site.book.store, step, at, now, Changed(gauge_pressure_pa=gauge))
    return with_notice(keg_path(name), *(event.id for event in recorded.events))


def _withdraw(site: Site, name: str, trial: Trial) -> str:
    del trial
    plans = waiting_plans(site.book.present().log, name)
    back = [event for events in plans.values() for event in events]
    if not back:
        raise EventError("no planned step waits that could be taken back")
    now = site.book.clock()
    site.book.record(*(Undone(at=now, event=one.id, of=one.stream) for one in back))
    return keg_path(name)


def _when(trial: Trial, now: datetime) -> datetime:
    try:
        return typed.moment(trial.form.text(WHEN) or None) or now
    except UnitError as wrong:
        trial.errors[WHEN] = sentence(wrong)
        return now


def _gauge(site: Site, trial: Trial) -> float | None:
    text = trial.form.text(GAUGE)
    if not text:
        return None
    try:
        return asked.GAUGE.read(text, site.book.present().system.units)
    except UnitError as wrong:
        trial.errors[GAUGE] = sentence(wrong)
        return None
