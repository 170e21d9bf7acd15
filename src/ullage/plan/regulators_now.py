"""Which regulator each keg hangs on now, and on which cylinder that regulator is.

A file tells both once. The log tells only which cylinder feeds a keg: where no regulator is on that
one, the brewer has moved the keg's own there, unless it still feeds others where it was.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from ullage.cellar.state import CellarState
from ullage.system.model import System


@dataclass(frozen=True, slots=True)
class RegulatorsNow:
    """`feeds`: the regulator of each keg, `None` without one; `moved`: regulators that are on
    another cylinder than the file has them on, and on which.
    """

    feeds: Mapping[str, str | None]
    moved: Mapping[str, str]


def regulators_now(described: System, cellar: CellarState, gas_set: Iterable[str]) -> RegulatorsNow:
    """Of every keg that the file or the log knows.

    `gas_set`: kegs that gas was put on, the last at the end; of two cylinders that a regulator
    might have been moved to it is on that keg's. A keg whose cylinder nobody told is on its own.
    """
    own = _own(described, cellar)
    as_told = {
        name: _as_told(described, cellar, name, regulator) for name, regulator in own.items()
    }
    stay = {as_told[name] for name, one in cellar.kegs.items() if one.supply is not None}
    order = {name: place for place, name in enumerate(gas_set)}
    moved: dict[str, str] = {}
    for name in sorted(own, key=lambda one: order.get(one, -1)):
        regulator, fed_by = own[name], _fed_by(cellar, name)
        if as_told[name] is None and regulator is not None and fed_by and regulator not in stay:
            moved[regulator] = fed_by
    feeds = {
        name: own[name] if _is_there(cellar, name, own[name], moved) else told
        for name, told in as_told.items()
    }
    return RegulatorsNow(feeds, moved)


def _own(described: System, cellar: CellarState) -> dict[str, str | None]:
    """As the file tells; a keg that only the log knows is on the only regulator there is."""
    only = described.regulators[0].name if len(described.regulators) == 1 else None
    known = {keg.name: keg.regulator for keg in described.kegs}
    return {**dict.fromkeys(cellar.kegs, only), **known}


def _is_there(cellar: CellarState, keg: str, own: str | None, moved: Mapping[str, str]) -> bool:
    """Whether its own regulator was moved to the cylinder that feeds it."""
    return own is not None and own in moved and moved[own] == _fed_by(cellar, keg)


def _fed_by(cellar: CellarState, keg: str) -> str | None:
    state = cellar.kegs.get(keg)
    return None if state is None or state.supply is None else state.supply.cylinder


def _as_told(described: System, cellar: CellarState, keg: str, own: str | None) -> str | None:
    """Its own; where its gas comes from another cylinder, the regulator on that, if any."""
    fed_by = _fed_by(cellar, keg)
    on = {one.name: one.cylinder for one in described.regulators}
    if fed_by is None or own is None or on.get(own, fed_by) == fed_by:
        return own
    return next((name for name, cylinder in on.items() if cylinder == fed_by), None)
