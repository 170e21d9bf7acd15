"""What is typed when brewing ahead: days of the week, and what a tap pours next."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from ullage.errors import UnitError
from ullage.plan.brewing_question import WEEK_S, BrewingQuestion
from ullage.units import shown

WEEKDAYS: Final = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
ANY: Final = ("any", "all", "every day", "any day")
LEAST_LETTERS: Final = 3


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


def question(
    weeks: int, days: str, a_day: int, sureness: float, pours: Iterable[str], *, quick: bool
) -> BrewingQuestion:
    """The question as it is typed. Raises `UnitError`."""
    return BrewingQuestion(
        horizon_s=weeks * WEEK_S,
        weekdays=weekdays(days),
        most_a_day=a_day,
        sureness=sureness,
        beers=next_beers(pours),
        quick=quick,
    )
