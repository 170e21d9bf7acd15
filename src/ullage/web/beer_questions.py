"""What is asked of a beer, and how it comes to a described batch."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Final

from ullage import typed
from ullage.cellar.events import Event, from_fields
from ullage.cellar.other_events import BatchDescribed
from ullage.cellar.state import BatchState
from ullage.errors import UnitError
from ullage.units import Kind, UnitSystem, format_quantity
from ullage.web import asked
from ullage.web.asked import About, Asked, AskedNumber, AskedQuantity, AskedText, Value, Values
from ullage.web.fields import FieldView, Measure, Posted
from ullage.web.views import Fact
from ullage.web.wording import sentence

ALCOHOL: Final = Measure(Kind.FRACTION, "%", "%", "0 %", "20 %")
TOLERANCE: Final = Measure(Kind.CARBONATION, "vol", "g/L", "0.02 vol", "1 vol")
STYLES: Final = (
    ("British ales", 1.5, 2.0),
    ("Porter and stout", 1.7, 2.3),
    ("Belgian ales", 1.9, 2.4),
    ("American ales, lagers, pilsner", 2.2, 2.7),
    ("American wheat beer", 2.7, 3.3),
    ("German wheat beer", 3.3, 4.5),
)
"""Volumes of CO2 by style; common practice, no source."""


@dataclass(frozen=True, slots=True)
class AskedDay(Asked):
    """A day of the calendar; its value is written as in ISO 8601."""

    def view(self, about: About, typed_text: str | None, error: str) -> FieldView:
        """The field."""
        begin = self.begin(about) if typed_text is None else typed_text
        value = "" if begin is None else str(begin)
        return FieldView(self.name, self.label, value, "day", hint=self.hint, error=error)

    def parsed(self, text: str, about: About) -> Value:
        """The day. Raises `UnitError`."""
        del about
        day = typed.day(text)
        assert day is not None
        return day.isoformat()


STYLE: Final = AskedText("style", "Style", needed=False, hint="In your own words.")
TARGET: Final = AskedQuantity(
    "target_vol",
    "CO2 wanted in it",
    needed=False,
    hint="Which style wants how much stands below.",
    measure=asked.LEVEL,
)
NEAR: Final = AskedQuantity(
    "tolerance_vol",
    "Near enough, within",
    needed=False,
    hint="Empty: 0.2 volumes either way.",
    measure=TOLERANCE,
)
OG: Final = AskedNumber(
    "og", "Original gravity", needed=False, hint="Such as 1.052.", low=0.98, high=1.2
)
FG: Final = AskedNumber(
    "fg", "Final gravity", needed=False, hint="Such as 1.012.", low=0.98, high=1.2
)
ABV: Final = AskedQuantity(
    "abv", "or alcohol by volume", needed=False, hint="Instead of the gravities.", measure=ALCOHOL
)
BY: Final = AskedDay("ready_by", "Wanted by", needed=False, hint="Empty: no hurry.")
MISSING: Final = "Say how much CO2 is wanted: 2.4 volumes, or 4.7 g/L, suits most ales."
OF_BEER: Final = (STYLE, TARGET, OG, FG, ABV, BY)


def guide(units: UnitSystem) -> tuple[Fact, ...]:
    """How much CO2 suits which style, as people commonly have it."""
    return tuple(
        Fact(
            style,
            f"{format_quantity(low, Kind.CARBONATION, units).split()[0]} to "
            f"{format_quantity(high, Kind.CARBONATION, units)}",
        )
        for style, low, high in STYLES
    )


def read_fields(
    asks: tuple[Asked, ...], form: Posted, about: About, wrong: dict[str, str]
) -> dict[str, Value]:
    """The values that were given; a sentence in `wrong` for each field that cannot be read."""
    values: dict[str, Value] = {}
    for ask in asks:
        try:
            value = ask.read(form, about)
        except UnitError as error:
            wrong[ask.name] = sentence(error)
            continue
        if value is not None:
            values[ask.name] = value
    return values


def views(
    asks: tuple[Asked, ...], about: About, form: Posted | None, wrong: Mapping[str, str]
) -> tuple[FieldView, ...]:
    """The fields with what was typed, or as they begin."""
    return tuple(
        ask.view(about, None if form is None else form.text(ask.name), wrong.get(ask.name, ""))
        for ask in asks
    )


def described(batch: str, at: datetime, values: Values) -> Event:
    """The batch described with these values. Raises `EventError`."""
    names = [ask.name for ask in (*OF_BEER, NEAR) if ask.name in values]
    fields: dict[str, Any] = {name: values[name] for name in names}
    return from_fields({"kind": "batch_described", "batch": batch, "at": at, **fields})


def as_typed(batch: BatchState, told: BatchDescribed | None, about: About) -> Posted:
    """What is known of a batch, as its keeper would type it."""
    units = about.units
    fields = {
        "style": batch.style,
        "target_vol": asked.LEVEL.write(batch.target_vol, units),
        "tolerance_vol": TOLERANCE.write(batch.tolerance_vol, units),
        "ready_by": "" if batch.ready_by is None else batch.ready_by.isoformat(),
    }
    if told is not None:
        fields |= {
            "og": "" if told.og is None else f"{told.og:.3f}",
            "fg": "" if told.fg is None else f"{told.fg:.3f}",
            "abv": ALCOHOL.write(told.abv, units),
        }
    return Posted(fields)
