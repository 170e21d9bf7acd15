"""The page of a procedure: its steps here, ticked off one by one, and how often it is done."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Annotated

from fastapi import APIRouter, Depends, Query, Request
from fastapi.responses import RedirectResponse, Response
from pydantic import ValidationError
from starlette.exceptions import HTTPException

from ullage.errors import EventError, OutOfRange, UnknownName
from ullage.plan import upkeep_progress as progress
from ullage.plan.procedures import Procedure, default_strength, procedure
from ullage.plan.upkeep import hindered, subjects
from ullage.plan.upkeep_changes import Change, change, changes_of, rule_of
from ullage.plan.upkeep_progress import Begun, Setup
from ullage.plan.upkeep_under_way import under_way
from ullage.system.upkeep_rules import Rule
from ullage.web.fields import Posted, posted
from ullage.web.site import Site, live
from ullage.web.upkeep_asked import NAMES, PUSH, setup_of, typed_of
from ullage.web.upkeep_due import due_of
from ullage.web.upkeep_how_views import How, HowView, how_view
from ullage.web.upkeep_views import INTERVALS, Typed, how_path
from ullage.web.whatif import answered, block_of, page_of
from ullage.web.whatif_fields import Typed as Asked
from ullage.web.wording import sentence

Form = Annotated[Posted, Depends(posted)]
Name = Annotated[str, Query(max_length=80)]
NOTHING_TYPED = Typed({})


@dataclass(frozen=True, slots=True)
class Question:
    """Which task on which part, and the fields that were typed."""

    rule: Rule
    about: str
    fields: Mapping[str, str]


def routes(site: Site) -> APIRouter:
    """`/upkeep/how`, and what its forms send."""
    router = APIRouter(include_in_schema=False)
    _add_page(router, site)
    _add_progress(router, site)
    _add_intervals(router, site)
    return router


def rule_here(site: Site, name: str, about: str, *, described: bool = True) -> Rule:
    """The rule as this household has it, for a part that is there. Raises `HTTPException`.

    `described`: not `False`, where a tap that only the log names will do.
    """
    known(name)
    rule = rule_of(name, changes_of(site.book.store))
    present = site.book.present()
    lines = () if described else (*present.state.lines_cleaned, *present.state.lines_replaced)
    if about not in subjects(present.system, rule.of, lines):
        raise HTTPException(404, f"There is no {rule.of} of that name here.")
    return rule


def known(name: str) -> None:
    """Raise `HTTPException` for a task that there is not."""
    try:
        rule_of(name)
    except UnknownName as error:
        raise HTTPException(404, sentence(error)) from None


def _add_page(router: APIRouter, site: Site) -> None:
    @router.get("/upkeep/how")
    def how(request: Request, task: Name, about: Name) -> Response:
        """The steps of a task on a part, with its own volumes, and how far they are."""
        rule = rule_here(site, task, about)
        return _answer(site, request, Question(rule, about, request.query_params))


def _add_progress(router: APIRouter, site: Site) -> None:
    @router.post("/upkeep/tick")
    def tick(request: Request, form: Form) -> Response:
        """Tick a step off, or take its tick off; the last one writes the task down as done."""
        rule, about, step = _sent(site, form)
        if form.text("do") == "not done":
            progress.untick(site.book.store, rule, about, step)
            return _on(site, request, rule, about, form)
        setup = _setup(site, request, rule, about, form)
        _ticked(site, rule, about, step, (setup, form.text("seen")))
        try:
            recorded = progress.finish(site.book.store, rule, about, site.book.clock())
        except EventError as error:
            raise HTTPException(422, sentence(error)) from None
        if recorded is not None:
            ids = (*(one.id for one in recorded.events), *recorded.known)
            return site.go(request, "/upkeep", *ids)
        return _on(site, request, rule, about, form)

    @router.post("/upkeep/begin")
    def begin(request: Request, form: Form) -> Response:
        """Begin a procedure, anew where it was begun."""
        rule = rule_here(site, form.text("task"), form.text("about"))
        about = form.text("about")
        _not_hindered(site, rule, about)
        setup = _setup(site, request, rule, about, form) or Setup()
        progress.begin(site.book.store, rule, about, site.book.clock(), setup)
        return _on(site, request, rule, about, form)

    @router.post("/upkeep/drop")
    def drop(request: Request, form: Form) -> Response:
        """Forget that a procedure was begun."""
        known(form.text("task"))
        progress.drop(site.book.store, form.text("task"), form.text("about"))
        return site.go(request, "/upkeep")


def _add_intervals(router: APIRouter, site: Site) -> None:
    @router.post("/upkeep/rule")
    def rule(request: Request, form: Form) -> Response:
        """Keep how often a task is done in this household, or switch it off."""
        about = form.text("about")
        found = rule_here(site, form.text("task"), about)
        typed = Typed({name: form.text(name) for name in INTERVALS})
        wanted, typed = _change(form, typed)
        if typed.errors:
            return _answer(site, request, Question(found, about, {}), typed)
        change(site.book.store, found.name, wanted)
        return site.go(request, "/upkeep" if form.ticked("off") else how_path(found.name, about))


def _sent(site: Site, form: Posted) -> tuple[Rule, str, int]:
    about = form.text("about")
    rule = rule_here(site, form.text("task"), about)
    step = form.text("step")
    if not step.isdecimal() or not 1 <= int(step[:3]) <= len(rule.steps):
        raise HTTPException(422, f"Its steps are 1 to {len(rule.steps)}.")
    return rule, about, int(step[:3])


def _ticked(site: Site, rule: Rule, about: str, step: int, form: tuple[Setup | None, str]) -> None:
    _not_hindered(site, rule, about)
    setup, seen = form
    try:
        progress.tick(site.book.store, rule, about, (step,), site.book.clock(), setup, seen)
    except OutOfRange as error:
        raise HTTPException(422, sentence(error)) from None


def _not_hindered(site: Site, rule: Rule, about: str) -> None:
    hindrance = hindered(rule, about, site.book.present().system)
    if hindrance:
        raise HTTPException(422, hindrance)


def _on(site: Site, request: Request, rule: Rule, about: str, form: Posted) -> Response:
    """The steps as they stand now; without a script, the page at the step that was ticked."""
    if live(request):
        return _answer(site, request, Question(rule, about, form.values))
    kept = {name: form.text(name) for name in sorted(NAMES) if form.text(name)}
    step = f"#step-{form.text('step')}" if form.text("step") else "#steps"
    return RedirectResponse(site.address(how_path(rule.name, about, **kept)) + step, 303)


def _setup(site: Site, request: Request, rule: Rule, about: str, form: Posted) -> Setup | None:
    """What a form says of strength and flow; `None` where it says nothing, or it is wrong."""
    if not any(form.text(name) for name in NAMES):
        return None
    present = site.book.present()
    usual = Setup(strength=default_strength(rule))
    asked = typed_of(form.values, usual, site.units(request, present))
    setup = setup_of(asked, usual)
    _found(site, rule, about, setup, asked)
    return None if asked.errors else setup


def _answer(
    site: Site, request: Request, question: Question, typed: Typed = NOTHING_TYPED
) -> Response:
    present = site.book.present()
    units = site.units(request, present)
    kept = progress.begun_of(site.book.store).find(question.rule.name, question.about)
    usual = _usual(site, question, kept)
    asked = typed_of(question.fields, usual, units)
    found = _found(site, question.rule, question.about, setup_of(asked, usual), asked)
    view = _view(site, request, question, (found, kept), (asked, typed))
    wrong = bool(asked.errors or typed.errors)
    return answered(request, "upkeep_how.html", "upkeep_steps.html", view, wrong)


def _usual(site: Site, question: Question, kept: Begun | None) -> Setup:
    """What the fields begin with: what it was begun with, else what is usual here."""
    setup = kept.setup if kept else Setup()
    strength = setup.strength or default_strength(question.rule)
    bare = procedure(question.rule, question.about, site.book.present().system, "metric")
    set_pa = next((one.gauge_pressure_pa for one in bare.flows if one.means == "keg"), None)
    gauge = set_pa if setup.drive.gauge_pa is None else setup.drive.gauge_pa
    return Setup(strength=strength, drive=replace(setup.drive, gauge_pa=gauge))


def _found(site: Site, rule: Rule, about: str, setup: Setup, asked: Asked) -> Procedure:
    """The procedure as asked; as usual where what was asked is beyond what is sound, told there."""
    present = site.book.present()
    units = asked.units
    try:
        return procedure(rule, about, present.system, units, setup.strength, setup.drive)
    except OutOfRange as error:
        asked.errors[PUSH.name] = sentence(error)
        return procedure(rule, about, present.system, units, setup.strength)


def _view(
    site: Site,
    request: Request,
    question: Question,
    known_of: tuple[Procedure, Begun | None],
    typed: tuple[Asked, Typed],
) -> HowView:
    present = site.book.present()
    units = site.units(request, present)
    found, kept = known_of
    rule, about = question.rule, question.about
    asked, intervals = typed
    due = due_of(site, present)
    system = present.system.model_copy(update={"units": units})
    how = How(
        rule=rule,
        found=found,
        begun=under_way(kept, rule, system, site.book.clock()) if kept else None,
        task=next((one for one in due.tasks if (one.task, one.about) == (rule.name, about)), None),
        hindered=hindered(rule, about, present.system),
        at=site.book.clock(),
    )

    def here(**more: str) -> str:
        said = {**asked.query, **more}
        asks = {"units": request.query_params["units"]} if "units" in request.query_params else {}
        return site.address(how_path(rule.name, about, **said, **asks))

    page = page_of(site, request, rule.title, units)
    block = block_of(site, request, "Upkeep", present, units)
    return how_view(page, how, asked, intervals, here, block)


def _change(form: Posted, typed: Typed) -> tuple[Change | None, Typed]:
    """What the form wants; `None` for the catalogue's own, and what of it is wrong."""
    if form.ticked("off"):
        return Change(off=True), typed
    given = {name: form.text(name) for name in INTERVALS if form.text(name)}
    if not given:
        return None, typed
    try:
        return Change.model_validate(given), typed
    except ValidationError as wrong:
        for one in wrong.errors(include_url=False):
            name = str(one["loc"][0])
            typed = typed.wrong(name, f"write a {INTERVALS[name].number}")
        return None, typed
