"""What was drunk from kegs and when, and the same without parties, which are not the usual."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from ullage.cellar.other_events import Gathering


@dataclass(frozen=True, slots=True)
class Draught:
    """An amount drunk between two moments (the same, for a pour that was written down)."""

    begin: datetime
    end: datetime
    volume_m3: float
    serving_m3: float


@dataclass(frozen=True, slots=True)
class Open:
    """A time in which one filling of a keg could be drunk from, and what was."""

    keg: str
    tap: str | None
    begin: datetime
    end: datetime
    draughts: tuple[Draught, ...]


def without(held: Sequence[Gathering], spans: Sequence[Open]) -> list[Open]:
    """The spans without what was drunk at gatherings whose beer was told, or where nobody was.

    Of what a scale or a kick found missing, as much is left out as was told and not written down
    as poured, in proportion to what each found.
    """
    found = list(spans)
    for one in held:
        if one.factor:
            continue
        drunk = [each for span in found for each in span.draughts]
        poured = [each for each in drunk if each.begin == each.end and _is_at(each, one)]
        across = [each for each in drunk if each.begin < each.end and _is_at(each, one)]
        unwritten = max((one.beer_m3 or 0.0) - sum(each.volume_m3 for each in poured), 0.0)
        whole = sum(max(each.volume_m3, 0.0) for each in across)
        share = 1.0 - min(unwritten / whole, 1.0) if whole > 0.0 else 1.0
        gone, less = {id(each) for each in poured}, {id(each) for each in across}
        found = [
            replace(
                span,
                draughts=tuple(
                    replace(each, volume_m3=each.volume_m3 * share) if id(each) in less else each
                    for each in span.draughts
                    if id(each) not in gone
                ),
            )
            for span in found
        ]
    return found


def _is_at(drunk: Draught, one: Gathering) -> bool:
    return drunk.begin < one.ends and drunk.end >= one.at
