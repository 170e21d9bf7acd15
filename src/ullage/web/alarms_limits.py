"""The form of the alarms' limits: each as it is here, with the usual beside it; in any unit."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from ullage import typed
from ullage.errors import UllageError
from ullage.plan.alarms_answer import LimitMeasure, LimitName, OwnLimit
from ullage.plan.alarms_own import checked, said
from ullage.units import UnitSystem, to_unit
from ullage.web.fields import FieldView, Posted, is_bare
from ullage.web.wording import sentence

MINUTE_S: Final = 60.0
_UNITS: Final[Mapping[LimitMeasure, tuple[str, str]]] = {
    "warmth": ("°F", "°C"),
    "time": ("min", "min"),
    "pressure": ("psi", "bar"),
    "share": ("%", "%"),
}
"""What a bare number is taken in, in a US and in a metric household."""


@dataclass(frozen=True, slots=True)
class LimitsForm:
    """The limits to print: their fields, and which are the household's own."""

    fields: tuple[FieldView, ...]
    changed: tuple[str, ...]
    wrong: bool


def limits_form(
    limits: Sequence[OwnLimit],
    units: UnitSystem,
    form: Posted | None = None,
    errors: Mapping[str, str] | None = None,
) -> LimitsForm:
    """The form with what is kept; with what was typed and what was wrong with it, if it was."""
    told, wrong = form or Posted({}), errors or {}
    return LimitsForm(
        fields=tuple(_field(one, units, told, wrong.get(one.name, "")) for one in limits),
        changed=tuple(one.title for one in limits if one.changed),
        wrong=bool(wrong),
    )


def _field(one: OwnLimit, units: UnitSystem, form: Posted, error: str) -> FieldView:
    name = field_name(one.name)
    usual, low, high = (said(one, each, units) for each in (one.usual, one.least, one.most))
    return FieldView(
        name=name,
        label=one.title,
        value=form.text(name) if name in form.values else _written(one, units),
        unit=_unit(one, units),
        hint=f"Usual: {usual}. From {low} to {high}." + (" Yours." if one.changed else ""),
        error=error,
    )


def field_name(name: LimitName) -> str:
    """The name of a limit's field.

    >>> field_name("warm for")
    'warm-for'
    """
    return name.replace(" ", "-")


def _unit(one: OwnLimit, units: UnitSystem) -> str:
    us, metric = _UNITS[one.measures]
    return us if units == "us" else metric


def _written(one: OwnLimit, units: UnitSystem) -> str:
    """The value as it would be typed: a bare number."""
    if one.measures == "warmth":
        return f"{round(one.value * (1.8 if units == 'us' else 1.0), 2):g}"
    if one.measures == "time":
        return f"{round(one.value / MINUTE_S, 1):g}"
    if one.measures == "pressure":
        return f"{round(to_unit(one.value, _unit(one, units)), 3):g}"
    return f"{round(100.0 * one.value, 1):g}"


def read(
    limits: Sequence[OwnLimit], form: Posted, units: UnitSystem
) -> tuple[dict[LimitName, float | None], dict[str, str]]:
    """What was typed, by limit (`None`: emptied, so the usual again), and what is wrong with it.

    A field that was sent as it was shown changes nothing, however it was rounded.
    """
    wanted: dict[LimitName, float | None] = {}
    errors: dict[str, str] = {}
    for one in limits:
        name = field_name(one.name)
        text = form.text(name)[:80]
        if name not in form.values or text == _written(one, units):
            continue
        try:
            wanted[one.name] = _read(one, text, units) if text else None
        except UllageError as wrong:
            errors[one.name] = sentence(str(wrong).removeprefix(f"{one.name}: "))
    return wanted, errors


def _read(one: OwnLimit, text: str, units: UnitSystem) -> float:
    bare = is_bare(text)
    unit = _unit(one, units).replace("°", "deg")
    return checked(one, typed.alarm_limit(one.measures, f"{text} {unit}" if bare else text), units)
