"""How each tap pours now: at the pressure that its keg's gas is on, from what is left in it."""

from __future__ import annotations

from collections.abc import Mapping

from ullage.errors import UllageError
from ullage.physics.atmosphere import ambient_pressure
from ullage.plan.answers import PourAnswer
from ullage.plan.cases import beer_volume
from ullage.plan.pour import pour
from ullage.plan.tap_cases import tap_case
from ullage.system.model import System


def pours_now(system: System, gauges_pa: Mapping[str, float]) -> tuple[PourAnswer, ...]:
    """The pours of taps whose keg holds beer and is on gas; `gauges_pa` in Pa gauge by keg.

    A tap that physics gives no pour for (no flow at that pressure, say) is left out.
    """
    ambient = ambient_pressure(system.altitude)
    found = []
    for tap in system.taps:
        keg = system.keg(tap.keg)
        gauge = gauges_pa.get(keg.name)
        if not tap.hangs or gauge is None or keg.beer is None or beer_volume(keg) <= 0.0:
            continue
        try:
            case = tap_case(system, tap, system.beer(keg.beer), gauge, ambient)
            found.append(pour(case))
        except UllageError:
            continue
    return tuple(found)
