"""What to do next, each with where it is done."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from ullage.cellar.events import Event
from ullage.draw.procedure_lines import begun_text
from ullage.plan.repeats import told_of_each
from ullage.plan.spoken import ended, headed
from ullage.plan.status_answer import Advice, Need, NextStep
from ullage.plan.to_come import setting_of
from ullage.units import UnitSystem
from ullage.web import wording
from ullage.web.addresses import record_path
from ullage.web.book import Present
from ullage.web.cellar_views import Todo
from ullage.web.keg_addresses import batch_path, keg_path
from ullage.web.keg_verbs import KEG_VERBS
from ullage.web.site import Site
from ullage.web.upkeep_views import how_path

_VERBS: Final[dict[Need, str]] = {
    "connect": "gas-on",
    "lower": "gas-on",
    "valve": "spunding",
    "vent": "vented",
    "purge": "purged",
    "refill": "swapped",
    "weigh": "weighed",
}
"""What is written down when an advice was followed."""
_PLANS: Final[tuple[Need, ...]] = ("cure", "raise", "colder")


def todo(
    site: Site,
    present: Present,
    units: UnitSystem,
    covered: frozenset[tuple[Need, str]] = frozenset(),
) -> tuple[Todo, ...]:
    """A file to mend, a keg to be vented, what is begun, steps by their time, advice by its weight.

    `covered`: advice, with its part, that an alarm above says already.
    """
    near = tuple(one for one in present.status.steps if not one.is_far(present.at))
    waiting = told_of_each(near, lambda one: one.keg)
    steps = (_step(site, present, step, units) for step in waiting)
    advice = tuple(_advice(site, present, covered))
    at_once = tuple(one for need, one in advice if need == "vent")
    later = tuple(one for need, one in advice if need != "vent")
    return (*_mend(site, present), *at_once, *_begun(site, present), *steps, *later)


def _begun(site: Site, present: Present) -> Iterator[Todo]:
    """Procedures of upkeep that are begun, each with where it is gone on with."""
    for one in present.status.begun:
        path = "/upkeep" if one.broken else f"{how_path(one.task, one.about)}#steps"
        yield Todo(begun_text(one, present.at), site.address(path), over=False)


def _mend(site: Site, present: Present) -> Iterator[Todo]:
    if present.trouble:
        text = f"Mend {present.trouble}. Until then only what is written down is drawn."
        yield Todo(text, site.address("/system"), over=False)


def _step(site: Site, present: Present, step: NextStep, units: UnitSystem) -> Todo:
    event = next(one for one in present.log if one.id == step.event)
    slug = next((one.slug for one in KEG_VERBS if one.asked and type(event) is one.kind), "")
    path = record_path("keg", step.keg, slug, does=step.event if slug else "")
    if _is_of_several(present, event):
        path = f"{keg_path(step.keg)}#plan"  # a form writes one event, and this step has more
    if step.subject_kind != "keg":
        path = "/brew"
    when = wording.moment(step.at.astimezone(), present.at)
    setting = setting_of(step.do, step.gauge_pressure_pa, units)
    set_to = f" Set {setting}." if setting else ""
    return Todo(
        f"{headed(step.subject_kind, step.keg)}: {ended(step.do)}{set_to}",
        site.address(path),
        when,
        step.missed,
        site.address(f"/done/{step.event}"),
    )


def _is_of_several(present: Present, event: Event) -> bool:
    """Whether its step asks for more than this one event."""
    return event.plan is not None and any(
        one.planned
        and one.id != event.id
        and (one.plan, one.stream, one.at) == (event.plan, event.stream, event.at)
        for one in present.log
    )


def _advice(
    site: Site, present: Present, covered: frozenset[tuple[Need, str]]
) -> Iterator[tuple[Need, Todo]]:
    for one in present.status.advice:
        # a step stands among the steps already
        if one.need != "step" and (one.need, one.name) not in covered:
            path = _where(one, present)
            yield one.need, Todo(one.text, site.address(path), over=path.startswith("/record/"))


def _where(one: Advice, present: Present) -> str:
    """Where an advice is followed: at its part or its beer, or where its plan is made."""
    batch = present.state.kegs[one.name].batch if one.need == "describe" else None
    if batch is not None:
        return batch_path(batch)
    if one.need in _PLANS:
        return keg_path(one.name)
    if one.need == "test":
        return "/upkeep"
    if one.kind == "fermenter":
        return "/brew"
    return record_path(one.kind, one.name, _VERBS.get(one.need, ""))
