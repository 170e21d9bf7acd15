"""Closing the gap between two ends: the cheapest chain of small parts that mate.

The graph's nodes are open ends; an edge is a part put on to one, which leaves its other end open,
or a hose stretched over a barb of another size. The cheapest chain is a shortest path in it.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise
from typing import TYPE_CHECKING, Any, Final

from ullage.system import ports
from ullage.system.ports import Adapter, Medium, Stretch

if TYPE_CHECKING:
    import networkx as nx

PASSES: Final = 3
"""How often the chains are laid anew, each with what the others leave of what is at hand."""

TRIED: Final = 12
"""So many needs are tried first; our choice."""

AT_HAND: Final = 1e-3
"""What a part at hand counts beside one that must be bought; never nothing, or chains grow."""


@dataclass(frozen=True, slots=True)
class Need:
    """Two ends to be joined: any of `from_ends` with any of `to_ends`, at `gauge_pa`."""

    where: str
    what: str
    from_ends: tuple[str, ...]
    to_ends: tuple[str, ...]
    medium: Medium
    gauge_pa: float


@dataclass(frozen=True, slots=True)
class Chain:
    """How a need is closed: parts in order, the open end that each step met, hoses stretched.

    `mating` holds the end at which each joint is made, the first one's first. No parts: the two
    mate as they are.
    """

    parts: tuple[str, ...]
    mating: tuple[str, ...]
    stretched: tuple[Stretch, ...] = ()

    @property
    def seals(self) -> tuple[str, ...]:
        """What seals its joints, one for each joint that takes one; a stretched hose its own."""
        own = {
            ports.joint_of(one.barb).seal: ports.joint_of(one.hose).seal for one in self.stretched
        }
        found = (ports.joint_of(end).seal for end in self.mating)
        return tuple(own.get(seal) or seal for seal in found if seal is not None)


@dataclass(frozen=True, slots=True)
class Closed:
    """A need and its chain; `None`: nothing known joins the two."""

    need: Need
    chain: Chain | None


def close_all(
    needs: Iterable[Need], at_hand: Mapping[str, int], own: tuple[Adapter, ...] = ()
) -> tuple[Closed, ...]:
    """Close every need with parts at hand where they serve, else by the cheapest chain.

    What is at hand goes to whom it comes first, so each need that is left without is tried first
    once, where something lies unused.
    """
    order = tuple(needs)
    best = _closed(order, at_hand, own)
    lacking = _lacking(best, at_hand)
    for first in lacking[:TRIED] if _left(at_hand, best) else ():
        others = (*order[:first], *order[first + 1 :])
        head, *rest = _closed((order[first], *others), at_hand, own)
        tried = (*rest[:first], head, *rest[first:])
        if _missing(at_hand, tried).total() < _missing(at_hand, best).total():
            best = tried
    return best


def _closed(
    needs: tuple[Need, ...], at_hand: Mapping[str, int], own: tuple[Adapter, ...]
) -> tuple[Closed, ...]:
    """The needs closed in their order."""
    found = [Closed(need, None) for need in needs]
    for _ in range(PASSES):
        before = tuple(found)
        for index, one in enumerate(found):
            left = _left(at_hand, [*found[:index], *found[index + 1 :]])
            found[index] = Closed(one.need, chain_for(one.need, left, own))
        if tuple(found) == before or not _missing(at_hand, found):
            break
    return tuple(found)


def _lacking(closed: tuple[Closed, ...], at_hand: Mapping[str, int]) -> list[int]:
    """Which needs take a part that there is not enough of."""
    missing = _missing(at_hand, closed)
    return [
        index
        for index, one in enumerate(closed)
        if one.chain is not None and any(part in missing for part in one.chain.parts)
    ]


def parts_used(closed: Iterable[Closed]) -> Counter[str]:
    """Count the parts in all chains."""
    chains = (one.chain for one in closed if one.chain is not None)
    return Counter(part for chain in chains for part in chain.parts)


def chain_for(
    need: Need, at_hand: Mapping[str, int], own: tuple[Adapter, ...] = ()
) -> Chain | None:
    """Return the cheapest chain for one need; `None` where the catalogue has none.

    Parts are not stacked on a cylinder's valve: there one adapter at most.
    """
    ready = frozenset(name for name, count in at_hand.items() if count > 0)
    return _chain(need.from_ends, need.to_ends, need.medium, need.gauge_pa, ready, own)


def _left(at_hand: Mapping[str, int], others: Iterable[Closed]) -> Counter[str]:
    return Counter(at_hand) - parts_used(others)


def _missing(at_hand: Mapping[str, int], closed: Iterable[Closed]) -> Counter[str]:
    return parts_used(closed) - Counter(at_hand)


@dataclass(frozen=True, slots=True)
class _Step:
    """One edge: the parts that make it, or the stretched hose."""

    parts: tuple[Adapter, ...] = ()
    stretch: Stretch | None = None


@lru_cache(maxsize=4096)
def _chain(
    from_ends: tuple[str, ...],
    to_ends: tuple[str, ...],
    medium: Medium,
    gauge_pa: float,
    ready: frozenset[str],
    own: tuple[Adapter, ...],
) -> Chain | None:
    import networkx as nx  # noqa: PLC0415  (slow to load)

    if not from_ends:
        return None
    goals = {ports.opposite(end) for end in to_ends}
    if direct := next((end for end in from_ends if end in goals), None):
        return Chain((), (direct,))

    def weight(_from: str, _to: str, edge: dict[str, Any]) -> float | None:
        return _cheapest(edge["step"], medium, gauge_pa, ready)[0]

    graph = _graph(own)
    lengths, paths = nx.multi_source_dijkstra(graph, set(from_ends), weight=weight)
    reached = [goal for goal in sorted(goals) if goal in lengths]
    if not reached:
        return None
    path = paths[min(reached, key=lambda goal: (lengths[goal], goal))]
    steps = [graph.edges[pair]["step"] for pair in pairwise(path)]
    found = _as_chain(path, [(step, _cheapest(step, medium, gauge_pa, ready)[1]) for step in steps])
    return None if gauge_pa >= ports.CYLINDER_PA and len(found.parts) > 1 else found


def _as_chain(path: list[str], steps: list[tuple[_Step, Adapter | None]]) -> Chain:
    parts, mating, stretched = [], [], []
    for end, (step, part) in zip(path, steps, strict=False):
        if part is not None:
            parts.append(part.name)
            mating.append(end)
        elif step.stretch is not None:
            stretched.append(step.stretch)
    return Chain(tuple(parts), (*mating, path[-1]), tuple(stretched))


def _cheapest(
    step: _Step, medium: Medium, gauge_pa: float, ready: frozenset[str]
) -> tuple[float | None, Adapter | None]:
    """The least cost of a step and the part for it; no cost where nothing may be used."""
    if step.stretch is not None:
        return AT_HAND * step.stretch.rank, None
    usable = [
        (_cost(part, ready), part)
        for part in step.parts
        if medium in (part.medium, "any") or part.medium == "any"
        if part.max_gauge_pa >= gauge_pa
    ]
    return min(usable, key=lambda one: one[0], default=(None, None))


def _cost(part: Adapter, ready: frozenset[str]) -> float:
    """Its rank, made unique by its place in the catalogue so that equal chains never swap."""
    place = _places().get(part.name, 0)
    return (part.rank + 1e-4 * place) * (AT_HAND if part.name in ready else 1.0)


@lru_cache(maxsize=1)
def _places() -> Mapping[str, int]:
    return {name: place for place, name in enumerate(ports.adapters(), start=1)}


@lru_cache(maxsize=64)
def _graph(own: tuple[Adapter, ...]) -> nx.DiGraph[str]:
    import networkx as nx  # noqa: PLC0415  (slow to load)

    steps: dict[tuple[str, str], _Step] = {}
    for part in (*ports.adapters().values(), *own):
        one, other = part.ends
        for pair in {(ports.opposite(one), other), (ports.opposite(other), one)}:
            steps[pair] = _Step((*steps.get(pair, _Step()).parts, part))
    for each in ports.stretches():
        hose, barb = each.hose, each.barb
        steps[hose, ports.opposite(barb)] = _Step(stretch=each)
        steps[barb, ports.opposite(hose)] = _Step(stretch=each)
    graph = nx.DiGraph()
    graph.add_nodes_from(ports.ends())
    graph.add_edges_from((start, end, {"step": step}) for (start, end), step in steps.items())
    return graph
