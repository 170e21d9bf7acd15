"""Cautions where beers share a regulator."""

from __future__ import annotations

from typing import Final

from ullage.plan.answers import Caution

LEGS: Final = Caution(
    "warning",
    "Several kegs on one regulator: a check valve and a shut-off in each leg, or the beer of one "
    "keg runs back into the manifold, the regulator and the others.",
)
LOWEST: Final = Caution(
    "warning",
    "All that hangs on a regulator sees its pressure: never set it above the lowest rating of its "
    "kegs, lines and fittings.",
)
MANIFOLD: Final = Caution(
    "warning",
    "Turned down, a regulator does not let the manifold down: the high pressure stands in it until "
    "you let it out. Open no other keg before the gauge shows the serving pressure.",
)
