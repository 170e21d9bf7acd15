"""A verb's form: filled from the present or a planned step, read back into events."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import Final

from ullage import typed
from ullage.cellar.events import Event
from ullage.errors import EventError, UnitError
from ullage.web.asked import About, AskedTick, Value
from ullage.web.fields import FieldView, Posted
from ullage.web.verbs import Said, Verb
from ullage.web.wording import sentence

WHEN: Final = "when"
SHOWN: Final = f"{WHEN}-shown"
"""The time that the form was opened with: left as it is, it means now, to the second."""
REMARK: Final = "remark"
DOES: Final = "does"
FIELD: Final = "field"
"""Which field of a form is meant: that one is gone to."""


@dataclass(frozen=True, slots=True)
class Wrong:
    """What is wrong with a form: a sentence for each field, and one for the whole."""

    fields: Mapping[str, str] = field(default_factory=dict)
    whole: str = ""

    @property
    def any(self) -> bool:
        """Whether anything is."""
        return bool(self.fields or self.whole)


def fields_of(
    verb: Verb, about: About, form: Posted | None, wrong: Wrong, planned: Event | None = None
) -> tuple[FieldView, ...]:
    """The verb's fields with what was typed, or as they begin; the first wrong one has focus."""
    views = []
    for asked in verb.asked:
        typed_text = None if form is None else form.text(asked.name)
        known = getattr(planned, asked.name, None)
        if form is None and known is not None and not isinstance(asked, AskedTick):
            typed_text = asked.write(known, about)
        views.append(asked.view(about, typed_text, wrong.fields.get(asked.name, "")))
    return focused(tuple(views))


def at_field(views: tuple[FieldView, ...], name: str) -> tuple[FieldView, ...]:
    """The same fields, that of the name to be gone to; the first wrong one comes before it."""
    if any(view.focus for view in views):
        return views
    return tuple(replace(view, focus=True) if view.name == name else view for view in views)


def when_field(about: About, form: Posted | None, wrong: Wrong) -> FieldView:
    """When it happened: now, unless something else was typed."""
    now = f"{about.present.at.astimezone():%Y-%m-%dT%H:%M}"
    value, shown = (now, now) if form is None else (form.text(WHEN), form.text(SHOWN))
    hint = "Now, unless you say otherwise. It may lie in the past."
    error = wrong.fields.get(WHEN, "")
    return FieldView(WHEN, "When", value, "when", hint=hint, error=error, shown=shown)


def remark_field(form: Posted | None) -> FieldView:
    """A word beside it."""
    return FieldView(REMARK, "Remark", "" if form is None else form.text(REMARK), "area")


def events_of(verb: Verb, about: About, form: Posted, now: datetime) -> tuple[Event, ...] | Wrong:
    """The events that a posted form comes to, or what is wrong with it, field by field."""
    values: dict[str, Value] = {}
    wrong: dict[str, str] = {}
    for asked in verb.asked:
        try:
            value = asked.read(form, about)
        except UnitError as error:
            wrong[asked.name] = sentence(error)
            continue
        if value is not None:
            values[asked.name] = value
    at = _moment(form, now, wrong)
    if wrong:
        return Wrong(wrong)
    said = Said(about, at, values, form.text(REMARK)[:2000], form.text(DOES) or None)
    try:
        return verb.events(said)
    except EventError as error:
        return refusal(str(error), verb)


def refusal(text: str, verb: Verb) -> Wrong:
    """An event refused: the sentence at the field that it names, else above the form."""
    name, colon, rest = text.partition(": ")
    if colon and any(asked.name == name for asked in verb.asked):
        return Wrong({name: sentence(rest)})
    if colon and name == DOES:
        return Wrong(whole="The planned step that this was to fulfil is not known.")
    if " lies ahead" in text or " is past" in text:
        return Wrong({WHEN: sentence(text)})
    return Wrong(whole=sentence(rest if name in ("event", "at") and colon else text))


def _moment(form: Posted, now: datetime, wrong: dict[str, str]) -> datetime:
    text = form.text(WHEN)
    if text == form.text(SHOWN):
        return now
    try:
        return typed.moment(text or None) or now
    except UnitError as error:
        wrong[WHEN] = sentence(error)
        return now


def focused(views: tuple[FieldView, ...]) -> tuple[FieldView, ...]:
    """The same fields, the first wrong one to be gone to."""
    for i, view in enumerate(views):
        if view.error:
            return (*views[:i], replace(view, focus=True), *views[i + 1 :])
    return views
