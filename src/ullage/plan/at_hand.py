"""One short caution for the moment an event is written down, where it touches something harmful.

The full ones stand in `cautions`; these are lines for a hand in the garage.
"""

from __future__ import annotations

from ullage.cellar.happening import Happening
from ullage.cellar.keg_events import (
    GasOn,
    KegCleaned,
    KegSanitised,
    Moved,
    Primed,
    Purged,
    Shaken,
    SpundingSet,
    ToppedUp,
    Vented,
)
from ullage.cellar.other_events import (
    CylinderConnected,
    CylinderSwapped,
    CylinderWeighed,
    LeakTested,
    LineCleaned,
    LineReplaced,
)
from ullage.plan.lifting import lift

NEVER_ABOVE = "Never above the lowest rating in the chain"
GAS = f"CO2 suffocates: doors open. {NEVER_ABOVE}."
VENT = "CO2 suffocates: doors open. Vent slowly, face away from the valve."
CHEMICALS = "Gloves, goggles, never two cleaners together, rinse well; vent first."
CYLINDER = "Upright, chained, never heated; the regulator off before it travels."
BLENDED = "A blend's own regulator, never an adapter; ventilate; upright, chained."
WEIGHED = "Shut the valve and let the pressure off before the regulator comes off."
FILLED = "Licensed fillers only; upright, chained; regulator off to travel."
PRESSURE = f"{NEVER_ABOVE}; vent before opening."
SUGAR = "Weigh it: too much comes above a rating. The relief valve must work."

_BY_KIND: dict[type[Happening], str] = {
    GasOn: GAS,
    ToppedUp: GAS,
    Purged: GAS,
    Primed: SUGAR,
    Vented: VENT,
    KegCleaned: CHEMICALS,
    KegSanitised: CHEMICALS,
    LineCleaned: CHEMICALS,
    CylinderConnected: CYLINDER,
    CylinderSwapped: FILLED,
    CylinderWeighed: WEIGHED,
    LeakTested: PRESSURE,
    LineReplaced: PRESSURE,
    SpundingSet: PRESSURE,
}


_LIFTED: tuple[type[Happening], ...] = (Moved, Shaken)
"""What has a hand at a keg's weight."""


def caution_of(event: Happening, highest: str = "", keg_kind: str | None = None) -> str | None:
    """The caution to say beside an event; none where nothing can hurt.

    `keg_kind`: the kind of the keg that it is about, where that is known.
    """
    told = event.co2_share if isinstance(event, CylinderConnected | CylinderSwapped) else None
    if told is not None and told < 1.0:
        return BLENDED
    return caution_for(type(event), highest, keg_kind)


def caution_for(
    kind: type[Happening], highest: str = "", keg_kind: str | None = None
) -> str | None:
    """The caution to say where such an event is about to be written down.

    `highest`: the lowest rating in the chain as a text, where the thing's own is known; `keg_kind`
    as in `caution_of`.
    """
    if kind in _LIFTED:
        return lift(keg_kind)
    said = _BY_KIND.get(kind)
    if said is None or not highest:
        return said
    return said.replace(NEVER_ABOVE, f"Never above {highest}, the lowest rating in the chain")
