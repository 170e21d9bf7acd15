"""Write down what happened to a part: `/record/keg/K1` lists what can be said, each verb's form."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Annotated
from urllib.parse import urlencode

from fastapi import APIRouter, Depends, Request
from fastapi.responses import Response
from starlette.exceptions import HTTPException

from ullage.cellar.events import Event
from ullage.errors import EventError
from ullage.plan.at_hand import caution_for
from ullage.plan.spoken import headed
from ullage.web import part_facts
from ullage.web.addresses import PART_KINDS, log_path, record_path
from ullage.web.asked import About
from ullage.web.fields import Posted, posted
from ullage.web.keg_addresses import keg_path
from ullage.web.keg_now import empty, highest, state_of
from ullage.web.other_verbs import offered, verb_of
from ullage.web.record_forms import (
    DOES,
    FIELD,
    Wrong,
    at_field,
    events_of,
    fields_of,
    refusal,
    remark_field,
    when_field,
)
from ullage.web.record_views import FormView, PartView, Saying
from ullage.web.site import Site, shown
from ullage.web.verbs import Verb
from ullage.web.views import Link


@dataclass(frozen=True, slots=True)
class Sought:
    """What an address below `/record` means: a part, and a verb of it if one is named."""

    about: About
    verb: Verb | None


def routes(site: Site) -> APIRouter:
    """`GET` and `POST /record/<kind>/<name>` and `/record/<kind>/<name>/<verb>`."""
    router = APIRouter(include_in_schema=False)

    @router.get("/record/{kind}/{rest:path}")
    def ask(request: Request, kind: str, rest: str) -> Response:
        """What can be said of a part, or one verb's form."""
        sought = _sought(site, request, kind, rest)
        back = site.came_from(request)
        if sought.verb is None:
            return shown("part.html", _part(site, request, sought.about, back))
        step = _step(sought, request.query_params.get(DOES, ""))
        form = _form(site, request, sought, Posted({"back": back}), step)
        fields = at_field(form.fields, request.query_params.get(FIELD, ""))
        return shown("record.html", replace(form, fields=fields))

    @router.post("/record/{kind}/{rest:path}")
    def write(
        request: Request, kind: str, rest: str, form: Annotated[Posted, Depends(posted)]
    ) -> Response:
        """Write down what was said, and return to where one came from."""
        sought = _sought(site, request, kind, rest)
        if sought.verb is None:
            raise HTTPException(405, "Say what happened: this address only lists what can be said.")
        events = events_of(sought.verb, sought.about, form, site.book.clock())
        wrong = events if isinstance(events, Wrong) else None
        if not isinstance(events, Wrong):
            try:
                recorded = site.book.record(*events)
            except EventError as error:
                wrong = refusal(str(error), sought.verb)
            else:
                return site.go(request, site.back(form), *(one.id for one in recorded.events))
        assert wrong is not None
        if sought.verb.one_tap and not form.text(DOES):
            view = _part(site, request, sought.about, site.back(form), wrong.whole)
            return shown("part.html", view, 422)
        view_of_form = _form(site, request, sought, form, None, wrong)
        return shown("record.html", view_of_form, 422)

    return router


def _sought(site: Site, request: Request, kind: str, rest: str) -> Sought:
    known = next((one for one in PART_KINDS if one == kind), None)
    if known is None:
        raise HTTPException(404, f"There is no such sort of part: {kind[:40]}.")
    present = site.book.present()
    units = site.units(request, present)
    if rest in part_facts.names(known, present):
        return Sought(About(known, rest, present, units), None)
    name, _, slug = rest.rpartition("/")
    verb = verb_of(known, slug)
    if verb is not None and name in part_facts.names(known, present):
        return Sought(About(known, name, present, units), verb)
    raise HTTPException(404, f"There is no {known} of that name in the cellar.")


def _step(sought: Sought, wanted: str) -> Event | None:
    """The planned step that a form is to fulfil."""
    found = (event for event in sought.about.present.log if event.id == wanted and event.planned)
    return next(found, None)


def _heading(about: About) -> str:
    return headed(about.kind, about.name)


def _part(site: Site, request: Request, about: About, back: str, error: str = "") -> PartView:
    says = [_saying(site, about, verb, back) for verb in offered(about)]
    return PartView(
        page=site.page(request, _heading(about), about.units),
        heading=_heading(about),
        sentence=part_facts.sentence(about),
        facts=part_facts.facts(about),
        back=back,
        taps=tuple(one for one in says if one.one_tap),
        forms=tuple(one for one in says if not one.one_tap),
        links=_links(site, about),
        title_block=site.title_block(_heading(about), about.present, about.units),
        error=error,
    )


def _links(site: Site, about: About) -> tuple[Link, ...]:
    """What else there is about a part on this site."""
    pages = {
        "keg": Link("What it holds, and its plan", keg_path(about.name)),
        "tap": Link("How it pours", f"/pour?{urlencode({'tap': about.name})}"),
        "cylinder": Link("How long its gas lasts", "/gas/ahead"),
        "regulator": Link("How long its gas lasts", "/gas"),
    }
    log = Link("What is written down about it", log_path(part_facts.stream(about.kind, about.name)))
    found = [pages[about.kind], log] if about.kind in pages else [log]
    if about.kind == "keg" and empty(about):
        found.insert(0, Link("Clean, purge and fill it in one go", keg_path(about.name, "fill")))
    return tuple(replace(link, href=site.address(link.href)) for link in found)


def _saying(site: Site, about: About, verb: Verb, back: str) -> Saying:
    asked = back if verb.asked and back != "/" else ""
    path = record_path(about.kind, about.name, verb.slug, back=asked)
    caution = caution_for(verb.kind, highest(about), _keg_kind(about)) if verb.one_tap else None
    return Saying(_title(verb, about), site.address(path), verb.one_tap, caution or "")


def _keg_kind(about: About) -> str | None:
    """The kind of the keg that it is about, if it is about one."""
    state = state_of(about) if about.kind == "keg" else None
    return None if state is None else state.keg_kind


def _title(verb: Verb, about: About) -> str:
    if verb.slug == "glass" and about.units == "metric":
        return "Poured a half litre"
    return verb.title


def _form(
    site: Site,
    request: Request,
    sought: Sought,
    form: Posted,
    step: Event | None,
    wrong: Wrong | None = None,
) -> FormView:
    verb, about = sought.verb, sought.about
    assert verb is not None
    back, typed = site.back(form), None if wrong is None else form
    wrong = wrong or Wrong()
    return FormView(
        page=site.page(request, _title(verb, about), about.units),
        heading=_title(verb, about),
        part=_heading(about),
        action=site.address(record_path(about.kind, about.name, verb.slug)),
        back=back,
        leave=site.address(back),
        does=form.text(DOES) if step is None else step.id,
        fields=fields_of(verb, about, typed, wrong, step),
        when=when_field(about, typed, wrong),
        remark=remark_field(typed),
        caution=caution_for(verb.kind, highest(about), _keg_kind(about)) or "",
        error=wrong.whole,
        title_block=site.title_block(_title(verb, about), about.present, about.units),
    )
