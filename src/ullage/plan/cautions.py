"""The usual cautions, short, each for the place where the hand acts."""

from __future__ import annotations

from typing import Final

from ullage.plan.answers import Caution, Method
from ullage.plan.lifting import full_keg, weighs
from ullage.plan.spoken import pressure

DEFER = "The makers' instructions, local codes and licensed practice come before this advice."

NEVER = "Never set more than"
PRESSURE = Caution(
    "warning",
    f"{NEVER} the lowest rating of keg, regulator, lines and fittings; every keg needs "
    "a working relief valve. Vent a keg fully before you open it.",
)
CO2_AIR = Caution(
    "danger",
    "CO2 displaces air and gathers low. Vent and purge with doors or windows open, never in a "
    "closed small room or a cellar without a CO2 alarm. Dizzy, short of breath: leave at once.",
)
CYLINDER = Caution(
    "danger",
    "Keep the cylinder upright and chained, never heated; shut its valve and take the regulator "
    "off before it travels. Have it filled or exchanged by a licensed filler only.",
)
ROCKING: Final = (
    "rock it on the floor, do not lift it. Keep the gas post up and a check valve in the gas line, "
    "or beer runs back into the regulator."
)
BURST = Caution(
    "warning",
    "While the burst is on, every keg open to the same regulator sees that pressure: shut their "
    "gas first. Set an alarm for its end.",
)
VENTING = Caution(
    "note", "Vent slowly, face away from the valve, and stop if beer foam comes with the gas."
)
STONE = Caution(
    "note",
    "Boil or sanitise the stone and never touch it with bare fingers: fat clogs it. Wait for foam "
    "to fall before you raise the pressure, or it climbs into the gas line.",
)
TOP_UP = Caution(
    "warning",
    "Watch the gauge while you charge and shut the gas again each time. Between charges flat beer "
    "may draw the head below the air's pressure: charge it again before you open or pour.",
)
PRIMING = Caution(
    "danger",
    "Weigh the sugar: too much, or beer that had not finished, raises the pressure beyond what is "
    "told here. Only in a keg with a working relief valve, never in glass not made for it.",
)
SPUNDING = Caution(
    "danger",
    "A spunding valve that foam has clogged holds all the gas back: leave it headspace, read its "
    "gauge each day, and only use a keg with a working relief valve.",
)
GLASS = Caution(
    "danger", "Never force carbonate into glass bottles or growlers that are not made for it."
)
COILS = Caution(
    "danger",
    "Unplug a fridge or freezer before you work on it, and never drill where a refrigerant line "
    "may run: find the lines first. Leave refrigerant and mains work to those licensed for it.",
)
FERMENTER = Caution(
    "danger",
    "A fermenter gives off many times its volume of CO2: never seal it, and air the room it stands "
    "in. Boiling wort scalds, and a full fermenter is heavy: let it cool, and lift it with two.",
)
ALCOHOL = Caution("note", "Serve only those of age, and nobody who will drive.")

BLEND = Caution(
    "danger",
    "A cylinder of blended gas is filled to some 140 bar (2,000 psi) and has another valve than "
    "one of CO2: use a regulator made for it, never an adapter. Nitrogen displaces air like CO2, "
    "but stings nobody and no CO2 alarm sees it: ventilate.",
)

INSTEAD = "Serve it colder, or want fewer volumes."
"""What to do where a rating does not allow the pressure that a beer wants."""
BEYOND_RATING = Caution(
    "danger",
    "The pressure this beer wants lies above the lowest rating in its chain. Do not set it. "
    f"{INSTEAD}",
)
BEYOND_LINE = Caution(
    "danger",
    "That pressure lies above what such a keg or beer line is commonly rated for. Do not set it.",
)


GENERAL = frozenset(
    {
        PRESSURE,
        CO2_AIR,
        CYLINDER,
        BURST,
        VENTING,
        STONE,
        TOP_UP,
        PRIMING,
        SPUNDING,
        GLASS,
        COILS,
        FERMENTER,
        ALCOHOL,
    }
)
"""Those that hold for every keg and cylinder: said once, they need not be said again."""


def is_general(one: Caution) -> bool:
    """Whether it need not be said again in one answer: a rating is, once its number was told."""
    return one in GENERAL or one.text.startswith(NEVER) or one.text.endswith(ROCKING)


def for_carbonation(set_pa: float, highest_pa: float) -> tuple[Caution, ...]:
    """Cautions beside a pressure to set."""
    return (BEYOND_RATING, PRESSURE) if set_pa > highest_pa else (PRESSURE,)


def never_above(highest_pa: float) -> Caution:
    """What must not be set here: the lowest rating in the chain of one keg, gauge Pa."""
    return Caution(
        "warning",
        f"{NEVER} {pressure(highest_pa)}, the lowest rating known of keg, regulator "
        "and lines, nor more than a relief valve is set to; every keg needs one that works. Vent a "
        "keg fully before you open it.",
    )


def for_keg(set_pa: float, highest_pa: float) -> tuple[Caution, ...]:
    """Cautions beside a pressure to set on a keg whose lowest rating is known, gauge Pa."""
    known = never_above(highest_pa)
    return (BEYOND_RATING, known) if set_pa > highest_pa else (known,)


def shaking(weight_kg: float | None) -> Caution:
    """The caution beside a keg to be rocked; `weight_kg`: its own with its beer, where known."""
    heavy = full_keg() if weight_kg is None else f"The keg weighs some {weighs(weight_kg)} now"
    return Caution("warning", f"{heavy}: {ROCKING}")


def for_method(
    method: Method, highest_pa: float, weight_kg: float | None = None
) -> tuple[Caution, ...]:
    """Cautions beside the steps of one way to its level; `highest_pa`: the lowest rating there.

    `weight_kg` as in `shaking`.
    """
    rocked = shaking(weight_kg)
    found: dict[Method, tuple[Caution, ...]] = {
        "hold": (CO2_AIR,),
        "burst": (BURST, VENTING, CO2_AIR),
        "shake": (rocked, CO2_AIR),
        "stone": (STONE, CO2_AIR),
        "top up": (TOP_UP, CO2_AIR),
        "prime": (PRIMING, CO2_AIR),
        "spund": (SPUNDING, CO2_AIR),
        "vent and shake": (VENTING, rocked, CO2_AIR),
        "pour and vent": (VENTING, rocked, CO2_AIR),
        "vent at rest": (VENTING, CO2_AIR),
    }
    return (never_above(highest_pa), *found[method])


def for_gas() -> tuple[Caution, ...]:
    """Cautions beside the cylinder."""
    return (CYLINDER, CO2_AIR)


def for_brewing() -> tuple[Caution, ...]:
    """Cautions beside a brew day and its packaging."""
    return (FERMENTER, CO2_AIR, Caution("note", DEFER))


def for_everything() -> tuple[Caution, ...]:
    """Cautions that belong to the whole sheet."""
    return (GLASS, COILS, ALCOHOL, Caution("note", DEFER))
