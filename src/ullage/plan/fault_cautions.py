"""The cautions beside fixes, each where the hand acts."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from ullage.plan import cautions
from ullage.plan.answers import Caution
from ullage.system.fault_table import Cause

SOAP: Final = Caution(
    "danger",
    "Look for leaks with soapy water or sanitiser foam only, never with a flame. A leak you can "
    "hear fills a small room with CO2: shut the cylinder, air the room first.",
)
CLEANING: Final = Caution(
    "warning",
    "Gloves and eye cover with any cleaner; never mix two; gas off and pressure let go before a "
    "line is opened; rinse until nothing of the cleaner is left.",
)
THAW: Final = Caution(
    "warning", "Never heat or chip a frozen keg, line or cylinder: let it thaw by itself."
)

_BY_CAUSE: Final[dict[str, tuple[Caution, ...]]] = {
    "over-carbonated": (cautions.VENTING, cautions.CO2_AIR),
    "dirty line": (CLEANING,),
    "infected beer": (CLEANING,),
    "cylinder empty": (cautions.CYLINDER,),
    "frozen": (THAW,),
    "leak on the gas side": (SOAP, cautions.CYLINDER),
    "leak at the keg": (SOAP, cautions.PRESSURE),
    "blocked": (cautions.PRESSURE,),
    "dip tube O-ring": (cautions.PRESSURE,),
    "regulator creeps": (cautions.PRESSURE, cautions.CYLINDER),
    "still ferments": (cautions.SPUNDING,),
    "gas shut": (cautions.PRESSURE,),
    "set too high": (cautions.VENTING, cautions.CO2_AIR),
    "set too low": (cautions.PRESSURE,),
    "pressure too low": (cautions.PRESSURE,),
}


def cautions_of(cause: Cause) -> tuple[Caution, ...]:
    """Those of one cause, for the hand that sets about its fix."""
    return _BY_CAUSE.get(cause.name, ())


def cautions_for(causes: Sequence[Cause]) -> tuple[Caution, ...]:
    """Those of the causes that a hand may set about, each once, and who comes first."""
    found = [caution for cause in causes for caution in cautions_of(cause)]
    return (*dict.fromkeys(found), Caution("note", cautions.DEFER))
