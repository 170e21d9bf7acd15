"""What is typed when brewing ahead: days of the week, and what a tap pours next."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from ullage.errors import UnitError
from ullage.plan.brewing_question import WEEK_S
from ullage.units import Kind, parse, shown

WEEKDAYS: Final = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
ANY: Final = ("any", "all", "every day", "any day")
LEAST_LETTERS: Final = 3
MOST_FLOW_M3_S: Final = 1.0 / WEEK_S


def weekdays(text: str) -> tuple[int, ...]:
    """Days of the week, 0 Monday: `sat, sun`, `Fridays`, `any`. Raises `UnitError`.

    >>> weekdays("Sat, sunday"), weekdays("any")
    ((5, 6), (0, 1, 2, 3, 4, 5, 6))
    """
    told = " ".join(text.lower().split())
    if told in ANY:
        return tuple(range(7))
    words = told.replace(",", " ").replace(" and ", " ").split()
    found = []
    for word in words:
        if len(word) < LEAST_LETTERS or word[:3] not in WEEKDAYS:
            raise UnitError(f'{shown(text)} is no list of weekdays; write "sat, sun" or "any"')
        found.append(WEEKDAYS.index(word[:3]))
    if not found:
        raise UnitError('say when you may brew; write "sat, sun" or "any"')
    return tuple(sorted(set(found)))


def next_beers(said: Iterable[str]) -> tuple[tuple[str, str], ...]:
    """What taps pour from now on, each as `left=Stout`. Raises `UnitError`.

    >>> next_beers(["left=Cellar Stout"])
    (('left', 'Cellar Stout'),)
    """
    found = []
    for one in said:
        tap, equals, beer = one.partition("=")
        if not (equals and tap.strip() and beer.strip()):
            raise UnitError(f'{shown(one)} says no tap and beer; write it as "left=Stout"')
        found.append((tap.strip(), beer.strip()))
    return tuple(found)


def drunk_at(said: Iterable[str]) -> tuple[tuple[str, float], ...]:
    """How quickly taps are drunk (m³/s), each as `left=7 pints/week`. Raises `UnitError`.

    >>> [(tap, round(flow * 604800e3, 2)) for tap, flow in drunk_at(["left=3 L/week"])]
    [('left', 3.0)]
    """
    found = []
    for one in said:
        tap, equals, flow = one.partition("=")
        if not (equals and tap.strip() and flow.strip()):
            raise UnitError(f'{shown(one)} says no tap and rate; write it as "left=7 pints/week"')
        found.append((tap.strip(), rate(flow)))
    return tuple(found)


def rate(text: str) -> float:
    """What one tap is drunk at in m³/s, above zero and up to 1000 L a week. Raises `UnitError`."""
    flow = parse(text, Kind.FLOW)
    if not 0.0 < flow <= MOST_FLOW_M3_S:
        raise UnitError(f"{shown(text)} is not what a tap is drunk at; give up to 1000 L/week")
    return flow
