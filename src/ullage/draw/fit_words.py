"""A fit in words: lengths as a tape shows them, the answer as a sentence, a proof as a sentence."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from ullage.plan.fit_answer import FitAnswer, Most, Proof, Standing
from ullage.plan.spoken import listed
from ullage.units import UnitSystem, to_unit

SIXTEENTHS: Final = 16
SQUARE_INCH_M2: Final = 0.0254**2
NUMBERS: Final = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine")


def tape(length_m: float, units: UnitSystem) -> str:
    """A length as a tape shows it: inches and sixteenths, or millimetres.

    >>> tape(0.5, "us"), tape(0.5, "metric"), tape(0.0, "us")
    ('19 11/16 in', '500 mm', '0 in')
    """
    if units == "metric":
        return f"{1000.0 * length_m:.0f} mm"
    count = round(to_unit(length_m, "in") * SIXTEENTHS)
    whole, part = divmod(count, SIXTEENTHS)
    below = SIXTEENTHS
    while part and part % 2 == 0:
        part, below = part // 2, below // 2
    if not part:
        return f"{whole} in"
    return f"{whole} {part}/{below} in" if whole else f"{part}/{below} in"


def lead(answer: FitAnswer, units: UnitSystem) -> str:
    """The answer in one sentence, with its number."""
    what = things(answer)
    if answer.verdict == "fits" and not answer.wanted:
        return "Nothing is asked to stand inside."
    if answer.verdict == "fits":
        room = tape(answer.between_m + answer.spare_m, units)
        return (
            f"It fits: {what} stand{_s(answer)} with {room} or more between them and to the walls."
        )
    if answer.verdict == "does not fit":
        every = "" if len(answer.wanted) == 1 else "all "
        return f"It does not fit: {what} cannot {every}stand here, and that is proved."
    return f"Not found: no way for {what} to stand was found, though none is proved impossible."


def _s(answer: FitAnswer) -> str:
    return "s" if len(answer.wanted) == 1 else ""


def things(answer: FitAnswer) -> str:
    """What is wanted, counted by kind: `four kegs and the cylinder`."""
    kegs, cylinders = answer.kegs, len(answer.wanted) - answer.kegs
    said = [counted(kegs, "keg")] if kegs else []
    if cylinders:
        said.append("the cylinder" if cylinders == 1 else counted(cylinders, "cylinder"))
    return " and ".join(said) or "nothing"


def counted(count: int, noun: str) -> str:
    """`four kegs`, `one keg`, `12 kegs`."""
    number = NUMBERS[count] if count < len(NUMBERS) else str(count)
    return f"{number} {noun}{'' if count == 1 else 's'}"


def proof_words(proof: Proof, units: UnitSystem) -> str:
    """Why it cannot fit, with the numbers."""
    needed, there = tape(proof.needed, units), tape(proof.there, units)
    who = listed(proof.things)
    if proof.rule == "height":
        return (
            f"{who} needs {needed} of height with what is on top of it and room for the hand; "
            f"there is {there}, and less on a step."
        )
    if proof.rule == "width":
        return f"{who} is {needed} wide with its clearance; the widest place is {there}."
    if proof.rule == "pair":
        return (
            f"The middles of {who} must be {needed} apart; even from corner to corner only {there} "
            "are to be had."
        )
    if proof.rule == "count":
        return (
            f"Of {counted(round(proof.needed), 'thing')} as wide as these at most "
            f"{round(proof.there)} can stand (Oler 1961: so many points so far apart in such a "
            "rectangle)."
        )
    if proof.rule == "area":
        return (
            f"They cover {_area(proof.needed, units)}; the floor has {_area(proof.there, units)}."
        )
    return (
        "Every place for every middle was tried, in small squares and with every doubt in favour "
        "of fitting: there is no way."
    )


def most_words(most: Most, cylinder: bool) -> str:
    """How many of a kind stand, and how sure that is. `cylinder`: whether there is one at all."""
    beside = ""
    if cylinder:
        beside = " with the cylinder outside" if most.outside else " beside the cylinder"
    sure = "one more is proved impossible" if most.proved else "one more was not found"
    kegs = counted(most.count, "keg")
    return f"{kegs[0].upper()}{kegs[1:]} of the kind {most.title} can stand{beside}; {sure}."


def spot_rows(standing: tuple[Standing, ...], units: UnitSystem) -> Iterator[tuple[str, ...]]:
    """For each thing: name, from the left, from the front, across, on what, how high it needs."""
    for one in standing:
        yield (
            one.name,
            tape(one.x_m, units),
            tape(one.y_m, units),
            tape(one.diameter_m, units),
            "step" if one.foot_m > 0.0 else "floor",
            tape(one.top_m, units),
        )


def _area(area_m2: float, units: UnitSystem) -> str:
    if units == "metric":
        return f"{1e4 * area_m2:,.0f} cm²"
    return f"{area_m2 / SQUARE_INCH_M2:,.0f} sq in"
