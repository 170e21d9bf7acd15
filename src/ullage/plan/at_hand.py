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
    Purged,
    Shaken,
    SpundingSet,
    ToppedUp,
    Vented,
)
from ullage.cellar.other_events import (
    CylinderConnected,
    CylinderSwapped,
    LeakTested,
    LineCleaned,
    LineReplaced,
)

GAS = "CO2 suffocates: doors open. Never above the lowest rating in the chain."
VENT = "CO2 suffocates: doors open. Vent slowly, face away from the valve."
CHEMICALS = "Gloves, goggles, never two cleaners together, rinse well; vent first."
CYLINDER = "Upright, chained, never heated; the regulator off before it travels."
FILLED = "Licensed fillers only; upright, chained; regulator off to travel."
WEIGHT = "A full keg weighs some 25 kg (55 lb): do not lift it alone."
PRESSURE = "Never above the lowest rating; vent before you open anything."

_BY_KIND: dict[type[Happening], str] = {
    GasOn: GAS,
    ToppedUp: GAS,
    Purged: GAS,
    Vented: VENT,
    KegCleaned: CHEMICALS,
    KegSanitised: CHEMICALS,
    LineCleaned: CHEMICALS,
    CylinderConnected: CYLINDER,
    CylinderSwapped: FILLED,
    Moved: WEIGHT,
    Shaken: WEIGHT,
    LeakTested: PRESSURE,
    LineReplaced: PRESSURE,
    SpundingSet: PRESSURE,
}


def caution_of(event: Happening) -> str | None:
    """The caution to say beside an event; none where nothing can hurt."""
    return caution_for(type(event))


def caution_for(kind: type[Happening]) -> str | None:
    """The caution to say where such an event is about to be written down."""
    return _BY_KIND.get(kind)
