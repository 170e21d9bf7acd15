"""What can be said of a keg, the most usual first."""

from __future__ import annotations

from typing import Final

from ullage.cellar.events import Event
from ullage.cellar.keg_events import (
    Filled,
    GasOff,
    GasOn,
    KegCleaned,
    KegSanitised,
    KegWeighed,
    Kicked,
    Measured,
    Moved,
    Poured,
    Primed,
    Purged,
    Shaken,
    SpundingSet,
    Tapped,
    ToppedUp,
    Vented,
)
from ullage.cellar.other_events import BatchDescribed, Noted
from ullage.everyday_units import PSI
from ullage.web import asked
from ullage.web.asked import (
    AskedChoice,
    AskedNumber,
    AskedQuantity,
    AskedText,
    AskedTick,
    among,
    usually,
)
from ullage.web.fields import Choice
from ullage.web.keg_now import (
    beers,
    cylinder_now,
    cylinders,
    empty,
    filled,
    full,
    gauge_now,
    glass_m3,
    on_gas,
    other_places,
    taps,
    usual_fill,
    warmth,
)
from ullage.web.pour_time import AskedPourTime
from ullage.web.verbs import Said, Verb

SUGARS: Final = (
    Choice("sucrose", "table sugar (sucrose)"),
    Choice("glucose monohydrate", "corn sugar (glucose monohydrate)"),
    Choice("dry malt extract", "dry malt extract"),
)


def _poured_glass(said: Said) -> tuple[Event, ...]:
    return (said.event(Poured, volume_m3=glass_m3(said.about)),)


def _filled(said: Said) -> tuple[Event, ...]:
    """The filling; before it the batch, where its level is told and it was not described yet."""
    values = dict(said.values)
    target = values.pop("target_vol", None)
    batch = str(values["batch"])
    filled = said.other(Filled, keg=said.about.name, **values)
    if target is None or batch in said.about.present.state.batches:
        return (filled,)
    fresh = Said(said.about, said.at, {})
    return (fresh.other(BatchDescribed, batch=batch, target_vol=target), filled)


def _noted(said: Said) -> tuple[Event, ...]:
    return (said.other(Noted, about=said.about.name, text=said.values["text"]),)


_CYLINDER: Final = AskedChoice(
    "cylinder", "From the cylinder", needed=False, begin=cylinder_now, offer=cylinders
)


def _gauge(label: str, hint: str = "") -> AskedQuantity:
    name = "gauge_pressure_pa"
    return AskedQuantity(name, label, hint=hint, begin=gauge_now, measure=asked.GAUGE)


NOTE: Final = Verb(
    "note",
    "Note",
    Noted,
    (AskedText("text", "What is to be remembered?", long=True, most=2000),),
    makes=_noted,
)

KEG_VERBS: Final = (
    Verb("glass", "Poured a pint", Poured, makes=_poured_glass, offered=full),
    Verb(
        "poured",
        "Poured another amount",
        Poured,
        (AskedQuantity("volume_m3", "How much?", begin=glass_m3, measure=asked.GLASS),),
        offered=full,
    ),
    Verb("kicked", "Kicked: gas came", Kicked, offered=full),
    Verb(
        "weighed",
        "Weighed",
        KegWeighed,
        (
            AskedQuantity(
                "gross_kg",
                "Keg and beer together",
                hint="Disconnects off, dry, on a scale that shows half a pound or better.",
                measure=asked.MASS,
            ),
        ),
        offered=full,
    ),
    Verb(
        "filled",
        "Filled",
        Filled,
        (
            AskedText(
                "batch", "With which beer?", offer=beers, hint="Its name; a new one will do."
            ),
            AskedQuantity("volume_m3", "How much?", begin=usual_fill, measure=asked.BEER),
            AskedQuantity(
                "temperature_k", "How warm is the beer?", begin=warmth, measure=asked.WARMTH
            ),
            AskedQuantity(
                "start_vol",
                "CO2 in it already",
                needed=False,
                hint="Leave it empty for a flat beer, and tell how warm it fermented instead.",
                measure=asked.LEVEL,
            ),
            AskedQuantity(
                "fermentation_k",
                "Warmest since fermentation ended",
                needed=False,
                hint="What CO2 is left in a flat beer follows from it.",
                measure=asked.WARMTH,
            ),
            AskedQuantity(
                "target_vol",
                "CO2 wanted in it",
                needed=False,
                hint="For a beer that is new here: 2.4 to 2.6 volumes (4.7 to 5.1 g/L) suits most "
                "ales.",
                measure=asked.LEVEL,
            ),
            AskedTick(
                "air_purged",
                "Its air was purged",
                begin=usually(True),
                hint="Filled into a keg free of air, or purged afterwards.",
            ),
        ),
        makes=_filled,
        offered=empty,
    ),
    Verb(
        "gas-on",
        "Gas on, or set anew",
        GasOn,
        (
            _gauge("What the gauge shows"),
            AskedChoice(
                "contact",
                "How the gas comes in",
                begin=usually("still"),
                offer=among(Choice("still", "from above"), Choice("stone", "through a stone")),
            ),
            _CYLINDER,
        ),
    ),
    Verb("gas-off", "Gas off", GasOff, offered=on_gas),
    Verb("vented", "Vented", Vented, offered=full),
    Verb(
        "vented-to",
        "Vented down to a pressure",
        Vented,
        (
            AskedQuantity(
                "gauge_pressure_pa",
                "What the gauge shows then",
                begin=usually(0.0),
                hint="0 when it was vented until it was quiet.",
                measure=asked.GAUGE,
            ),
        ),
        offered=filled,
    ),
    Verb(
        "measured",
        "Measured",
        Measured,
        (
            AskedQuantity(
                "gauge_pressure_pa", "Pressure in the keg", needed=False, measure=asked.GAUGE
            ),
            AskedQuantity(
                "temperature_k", "Beer's temperature", needed=False, measure=asked.WARMTH
            ),
            AskedPourTime("pint_s", "Time of a pour", needed=False, measure=asked.SECONDS),
            AskedQuantity(
                "level_vol",
                "CO2 by a shaken gauge",
                needed=False,
                hint="One of these four is enough.",
                measure=asked.LEVEL,
            ),
        ),
    ),
    Verb(
        "topped-up",
        "Topped up by hand",
        ToppedUp,
        (_gauge("Up to", "Gas on until the head stands there, and off again."), _CYLINDER),
    ),
    Verb(
        "shaken",
        "Shaken",
        Shaken,
        (AskedQuantity("duration_s", "For how long?", measure=asked.MINUTES),),
        offered=full,
    ),
    Verb(
        "purged",
        "Purged",
        Purged,
        (
            AskedNumber("cycles", "How many times?", begin=usually(5), low=1, high=100, whole=True),
            AskedQuantity(
                "gauge_pressure_pa",
                "Charged each time to",
                begin=usually(30.0 * PSI),
                measure=asked.GAUGE,
            ),
        ),
    ),
    Verb(
        "cleaned",
        "Cleaned",
        KegCleaned,
        (AskedTick("stripped", "Taken apart: posts, dip tubes and seals"),),
    ),
    Verb(
        "sanitised",
        "Sanitised",
        KegSanitised,
        (AskedTick("pushed", "Filled to the brim and pushed empty with gas: no air is left"),),
        offered=empty,
    ),
    Verb(
        "moved",
        "Moved",
        Moved,
        (AskedChoice("place", "To which place?", offer=other_places),),
        offered=lambda about: bool(other_places(about)),
    ),
    Verb(
        "tapped",
        "Put on a tap",
        Tapped,
        (AskedChoice("tap", "Which one?", offer=taps),),
        offered=lambda about: bool(taps(about)),
    ),
    Verb(
        "spunding",
        "Spunding valve set",
        SpundingSet,
        (
            AskedQuantity(
                "gauge_pressure_pa",
                "It lets off above",
                hint="0 when it was taken off. A spunding valve lets gas off above what it is "
                "set to, so that beer that still ferments carbonates itself.",
                measure=asked.SPUND,
            ),
        ),
    ),
    Verb(
        "primed",
        "Primed with sugar",
        Primed,
        (
            AskedChoice(
                "sugar",
                "Which sugar?",
                begin=usually("sucrose"),
                offer=among(*SUGARS),
            ),
            AskedQuantity("sugar_kg", "How much in this keg?", measure=asked.SUGAR),
        ),
        offered=full,
    ),
    NOTE,
)
