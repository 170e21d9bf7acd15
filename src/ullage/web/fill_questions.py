"""What is asked when a keg is filled: the beer, the keg, the fill; and the events it comes to."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import Any, Final

from ullage import typed
from ullage.cellar.events import Event, from_fields
from ullage.cellar.keg_events import KegCleaned, Purged
from ullage.errors import EventError, UnitError
from ullage.everyday_units import PSI
from ullage.plan.at_hand import caution_for
from ullage.plan.lifting import full_keg
from ullage.units import Kind, parse
from ullage.web import asked
from ullage.web.asked import (
    About,
    Asked,
    AskedChoice,
    AskedNumber,
    AskedQuantity,
    AskedText,
    AskedTick,
    Value,
    among,
    usually,
)
from ullage.web.beer_questions import MISSING, OF_BEER, described, read_fields, views
from ullage.web.fields import Choice, Posted, is_bare
from ullage.web.fill_known import known_words, prepared_of, still_asked
from ullage.web.keg_now import state_of, usual_fill
from ullage.web.keg_views import PartOfForm
from ullage.web.record_forms import WHEN, Wrong, focused, when_field
from ullage.web.wording import sentence

FILL_IT: Final = (
    "fill it where it will stand. Put gas on before it chills: shut in, it would suck in air."
)
AMOUNT: Final = AskedQuantity(
    "amount",
    "How much beer?",
    hint="By volume or by weight without the keg: 5 gal, 19 L, 42 lb.",
    begin=usual_fill,
    measure=asked.BEER,
)


def _known(about: About) -> tuple[Choice, ...]:
    return tuple(Choice(name, name) for name in sorted(about.present.state.batches))


KNOWN: Final = AskedChoice("batch", "Which beer?", needed=False, offer=_known)
NEW: Final = AskedText("new_batch", "Its name", needed=False, hint="Such as Pale ale 12.")
KEG: Final[tuple[Asked, ...]] = (
    AskedTick("cleaned", "Cleaned since the last beer"),
    AskedTick("stripped", "Taken apart for it: posts, dip tubes and seals"),
    AskedChoice(
        "sanitised",
        "Sanitised",
        needed=False,
        offer=among(
            Choice("rinsed", "with sanitiser, and drained"),
            Choice("pushed", "filled to the brim, and pushed empty with CO2: no air is left"),
        ),
    ),
    AskedChoice(
        "purged",
        "Purged: charged with CO2 and vented",
        needed=False,
        offer=among(
            Choice("before", "before the beer went in, through the posts"),
            Choice("after", "after the beer went in"),
        ),
    ),
    AskedNumber("cycles", "How many times?", begin=usually(5), low=1, high=100, whole=True),
    AskedQuantity(
        "purge_pa", "Charged each time to", begin=usually(30.0 * PSI), measure=asked.GAUGE
    ),
)
FILL: Final[tuple[Asked, ...]] = (
    AMOUNT,
    AskedQuantity("temperature_k", "How warm is the beer?", measure=asked.WARMTH),
    AskedQuantity(
        "fermentation_k",
        "Warmest since fermentation ended",
        needed=False,
        hint="What CO2 is left in a flat beer follows from it.",
        measure=asked.WARMTH,
    ),
    AskedQuantity(
        "start_vol",
        "or CO2 in it already",
        needed=False,
        hint="Where it is known, or the beer was carbonated elsewhere.",
        measure=asked.LEVEL,
    ),
    AskedNumber(
        "gravity",
        "Gravity now, if it still ferments",
        needed=False,
        hint="Empty: it has finished.",
        low=0.98,
        high=1.16,
    ),
)


@dataclass(slots=True)
class Reading:
    """A filling form as it is read: its values, and what is wrong, by field."""

    about: About
    form: Posted
    at: datetime
    values: dict[str, Value] = field(default_factory=dict)
    wrong: dict[str, str] = field(default_factory=dict)

    def event(self, kind: str, **fields: Any) -> Event:
        """An event of this keg at this moment. Raises `EventError`."""
        return from_fields({"kind": kind, "keg": self.about.name, "at": self.at, **fields})


def parts_of(about: About, form: Posted | None, wrong: Wrong) -> tuple[PartOfForm, ...]:
    """The three parts of the form; the first wrong field is to be gone to."""
    known, *beer = views((KNOWN, NEW, *OF_BEER), about, form, wrong.fields)
    known = replace(known, choices=(Choice("", "a new beer"), *known.choices[1:]))
    ready = prepared_of(about)
    keg = views(still_asked(KEG, ready), about, form, wrong.fields)
    fill = (*views(FILL, about, form, wrong.fields), when_field(about, form, wrong))
    every = focused((known, *beer, *keg, *fill))
    one, two = 1 + len(beer), 1 + len(beer) + len(keg)
    gas = " ".join(filter(None, (caution_for(KegCleaned), caution_for(Purged))))
    return (
        PartOfForm("The beer", "beer", every[:one]),
        PartOfForm("The keg", "keg", every[one:two], gas, known_words(ready)),
        PartOfForm("The fill", "fill", every[two:], f"{full_keg(_kind(about))}: {FILL_IT}"),
    )


def _kind(about: About) -> str | None:
    state = state_of(about)
    return None if state is None else state.keg_kind


def read_fill(about: About, form: Posted, now: datetime) -> tuple[Event, ...] | Wrong:
    """The events of a filling, in their order, or what is wrong with the form."""
    reading = Reading(about, form, now)
    try:
        reading.at = typed.moment(form.text(WHEN) or None) or now
    except UnitError as error:
        reading.wrong[WHEN] = sentence(str(error))
    asks: tuple[Asked, ...] = (KNOWN, NEW, *OF_BEER, *_asked_of_keg(form), *FILL[1:])
    reading.values = read_fields(asks, form, about, reading.wrong)
    amount = _amount(reading)
    _check(reading)
    if reading.wrong:
        return Wrong(reading.wrong)
    try:
        return (*_beer(reading), *_keg(reading), *_fill(reading, amount))
    except EventError as error:
        return refused(str(error))


def refused(text: str) -> Wrong:
    """What the log refused, at the field that it is about."""
    said = text.partition(": ")[2] if text.startswith("event: ") else text
    for begin, name in (
        ("fg ", "fg"),
        ("gauge_pressure_pa", "purge_pa"),
        ("volumes", "start_vol"),
    ):
        if said.startswith(begin):
            return Wrong({name: sentence(said)})
    for within, name in (
        ("is more than keg", "amount"),
        (" lies ahead", WHEN),
        ("above the rating", "purge_pa"),
    ):
        if within in said:
            return Wrong({name: sentence(said)})
    return Wrong(whole=sentence(said))


def _asked_of_keg(form: Posted) -> tuple[Asked, ...]:
    """How often and how high it was purged counts only where it was."""
    return KEG if form.text("purged") else KEG[:4]


def _amount(reading: Reading) -> dict[str, float]:
    """The amount as the event has it: a volume, or a net weight where a mass was typed."""
    text = reading.form.text(AMOUNT.name)
    try:
        if text and not is_bare(text):
            try:
                parse(text, Kind.MASS)
            except UnitError:
                pass
            else:
                return {"net_kg": asked.MASS.read(text, reading.about.units)}
        volume = AMOUNT.read(reading.form, reading.about)
    except UnitError as error:
        reading.wrong[AMOUNT.name] = sentence(str(error))
        return {}
    return {} if volume is None else {"volume_m3": float(volume)}


def _check(reading: Reading) -> None:
    """What the fields say together."""
    given, wrong = reading.values, reading.wrong
    known = reading.about.present.state.batches
    new = given.get("new_batch")
    if "batch" not in given and "batch" not in wrong:
        if new is None:
            wrong.setdefault("new_batch", "Say which beer it is: give it a name.")
        elif new in known:
            wrong["new_batch"] = "There is a beer of that name: choose it above, or name this one."
        if "target_vol" not in given:
            wrong.setdefault("target_vol", MISSING)
    if "start_vol" in given and "fermentation_k" in given:
        wrong["start_vol"] = "Give this or how warm it fermented, one of the two."


def _beer(reading: Reading) -> tuple[Event, ...]:
    if "batch" in reading.values:
        return ()
    return (described(str(reading.values["new_batch"]), reading.at, reading.values),)


def _keg(reading: Reading) -> tuple[Event, ...]:
    given = reading.values
    found: list[Event] = []
    if given.get("cleaned") or given.get("stripped"):
        found.append(reading.event("keg_cleaned", stripped=bool(given.get("stripped"))))
    if "sanitised" in given:
        found.append(reading.event("keg_sanitised", pushed=given["sanitised"] == "pushed"))
    if given.get("purged") == "before":
        found.append(_purged(reading))
    return tuple(found)


def _fill(reading: Reading, amount: dict[str, float]) -> tuple[Event, ...]:
    given = reading.values
    beer = {
        name: given[name]
        for name in ("temperature_k", "fermentation_k", "start_vol", "gravity")
        if name in given
    }
    batch = given.get("batch", given.get("new_batch"))
    filled = reading.event("filled", batch=batch, **amount, **beer)
    return (filled, _purged(reading)) if given.get("purged") == "after" else (filled,)


def _purged(reading: Reading) -> Event:
    given = reading.values
    return reading.event("purged", cycles=given["cycles"], gauge_pressure_pa=given["purge_pa"])
