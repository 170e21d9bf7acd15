"""The question of the page about brewing, as its address or a posted copy of it holds it."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from typing import Final
from urllib.parse import urlencode

from ullage.plan.brewing_question import WEEK_S, BrewingQuestion
from ullage.plan.brewing_text import weekdays
from ullage.units import Kind, UnitSystem
from ullage.web.book import Present
from ullage.web.fields import Choice, Measure
from ullage.web.whatif_fields import Ask, Typed

WEEKS: Final = Ask(
    "weeks",
    "Look ahead",
    choices=tuple(Choice(str(one), f"{one} weeks") for one in (6, 8, 12, 16, 26, 52)),
    kind="select",
)
DAYS: Final = Ask("days", "You can brew on", hint="As sat, sun; or any.")
A_DAY: Final = Ask(
    "a-day",
    "Brews on one day",
    choices=tuple(
        Choice(str(one), "1 at most" if one == 1 else f"{one} at most") for one in (1, 2, 3, 4)
    ),
    kind="select",
)
SURE: Final = Ask(
    "sure",
    "Count on",
    choices=(
        Choice("50", "the usual drinking"),
        Choice("75", "quick drinking: 3 times in 4 it is enough"),
        Choice("90", "quicker drinking: 9 times in 10"),
        Choice("95", "the quickest: 19 times in 20"),
    ),
    kind="select",
)
WAYS: Final = Ask(
    "ways",
    "Carbonate",
    choices=(Choice("advised", "as advised"), Choice("quick", "the quickest way there is")),
    kind="select",
)
RATE: Final = Measure(Kind.FLOW, "pint/week", "L/week", "0.01 L/week", "1000 L/week")
FIRST: Final = (WEEKS, DAYS, SURE)
REST: Final = (A_DAY, WAYS)
NEXT: Final = "next-"
DRUNK: Final = "drunk-"
UNTOLD: Final = "As 7 pint/week. To keep it, give the tap its drinking in the system file."
TOLD: Final = "Empty: as it was learnt or told."
SAME: Final = ""
USUAL: Final = {
    "weeks": "12", "days": "sat, sun", "a-day": "1", "sure": "90", "ways": "advised",
}  # fmt: skip


def typed(query: Mapping[str, str], units: UnitSystem) -> Typed:
    """The fields as the address has them."""
    return Typed(query, USUAL, units)


def first_of(present: Present, untold: Collection[str]) -> tuple[Ask, ...]:
    """The fields that stand first: with them the rate of each tap whose rate is not known."""
    return (*(one for one in _rates(present, untold) if one.hint == UNTOLD), *FIRST)


def more_of(present: Present, untold: Collection[str] = ()) -> tuple[Ask, ...]:
    """The fields that are folded away: brews a day, ways, rates that are known, what comes next."""
    known = (one for one in _rates(present, untold) if one.hint != UNTOLD)
    return (*REST, *known, *_taps(present))


def names_of(present: Present) -> tuple[str, ...]:
    """The names of all fields in the address."""
    return tuple(ask.name for ask in (*FIRST, *more_of(present)))


def question_of(asked: Typed, present: Present) -> BrewingQuestion:
    """The question; what is wrong in it stands in `asked.errors`."""
    weeks, a_day, sure = (int(asked.one_of(ask)) for ask in (WEEKS, A_DAY, SURE))
    return BrewingQuestion(
        horizon_s=weeks * WEEK_S,
        weekdays=asked.read("days", weekdays, (5, 6)),
        most_a_day=a_day,
        sureness=sure / 100.0,
        beers=tuple(_next(asked, present)),
        quick=asked.one_of(WAYS) == "quick",
        drunk=tuple(_drunk(asked, present)),
    )


def address_of(path: str, query: Mapping[str, str], present: Present) -> str:
    """The page with the same question."""
    kept = {name: query[name] for name in names_of(present) if name in query}
    return f"{path}?{urlencode(kept)}" if kept else path


def _rates(present: Present, untold: Collection[str]) -> Iterator[Ask]:
    if present.empty:
        return
    for tap in present.system.taps:
        if not tap.to_buy:
            hint = UNTOLD if tap.name in untold else TOLD
            yield Ask(f"{DRUNK}{tap.name}", f"Drunk from tap {tap.name}", RATE, hint)


def _drunk(asked: Typed, present: Present) -> Iterator[tuple[str, float]]:
    for ask in _rates(present, ()):
        flow = asked.quantity(ask.name, RATE)
        if flow is not None and flow > 0.0:
            yield ask.name.removeprefix(DRUNK), flow


def _taps(present: Present) -> Iterator[Ask]:
    if present.empty:
        return
    beers = tuple(Choice(beer.name, beer.name) for beer in present.system.beers)
    for tap in present.system.taps:
        if not tap.to_buy and len(beers) > 1:
            yield Ask(
                f"{NEXT}{tap.name}",
                f"Tap {tap.name} pours next",
                choices=(Choice(SAME, "the same again"), *beers),
                kind="select",
            )


def _next(asked: Typed, present: Present) -> Iterator[tuple[str, str]]:
    for ask in _taps(present):
        beer = asked.one_of(ask)
        if beer != SAME:
            yield ask.name.removeprefix(NEXT), beer
