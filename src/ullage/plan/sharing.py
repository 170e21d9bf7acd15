"""Which beers one regulator can keep together, each within its tolerance."""

from __future__ import annotations

from dataclasses import dataclass

from ullage.errors import OutOfRange
from ullage.plan.line_lengths import keeping_gauge
from ullage.system.model import Beer, Keg, System


@dataclass(frozen=True, slots=True)
class Group:
    """Kegs that `gauge_pa` keeps, from `low_pa` to `high_pa` all of them."""

    kegs: tuple[str, ...]
    low_pa: float
    high_pa: float

    @property
    def gauge_pa(self) -> float:
        """The middle of what keeps them all."""
        return 0.5 * (self.low_pa + self.high_pa)


def shared_pressures(system: System, regulator: str) -> tuple[Group, ...]:
    """The kegs of a regulator in as few groups as can be, the lowest pressure first.

    One group: one setting keeps them all. The kegs' ranges are sorted by their upper end and each
    group takes all that still hold it, which is the least number of points that stab all ranges.
    Kegs without beer go along with the first group.
    """
    ranges = [
        found
        for keg in system.kegs
        if keg.regulator == regulator
        if keg.beer is not None
        if (found := _range(system, keg, system.beer(keg.beer))) is not None
    ]
    groups: list[Group] = []
    for one in sorted(ranges, key=lambda each: each.high_pa):
        if groups and one.low_pa <= groups[-1].high_pa:
            last = groups[-1]
            groups[-1] = Group((*last.kegs, *one.kegs), max(last.low_pa, one.low_pa), last.high_pa)
        else:
            groups.append(one)
    return tuple(groups)


def _range(system: System, keg: Keg, beer: Beer) -> Group | None:
    """The pressures that keep one beer within its tolerance; `None` beyond what is computed."""
    try:
        low, high = (
            keeping_gauge(system, keg, beer.model_copy(update={"volumes": max(level, 0.0)}))
            for level in (beer.volumes - beer.tolerance, beer.volumes + beer.tolerance)
        )
    except OutOfRange:
        return None
    return Group((keg.name,), low, high)
