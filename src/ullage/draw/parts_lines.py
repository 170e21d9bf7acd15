"""A parts list as lines of text for a terminal: what does not mate, what to buy, what to check."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from ullage.draw.lines import LABELS, cautioned, wrapped
from ullage.plan.answers import Caution, Finding
from ullage.plan.parts_answer import JointLine, PartLine, PartsList, TubingLine
from ullage.units import Kind, UnitSystem, format_quantity

INDENT = "  "


def parts_lines(listed: PartsList, units: UnitSystem) -> list[str]:
    """The answer first, then what to buy, what mates, what to check, what was assumed."""
    return [
        *wrapped(f"{listed.system}: {parts_sentence(listed)}"),
        *titled("Does not mate", finding_lines(listed.mismatches)),
        *titled(buying_title(listed), buying_lines(listed.to_buy, listed.tubing_to_buy, units)),
        *titled("Joints", _joints(listed)),
        *titled("Check", finding_lines(listed.checks)),
        *titled("Assumed", (line for one in listed.assumed for line in wrapped(one, INDENT))),
        *titled("Before you start", caution_lines(listed.cautions)),
    ]


def parts_sentence(listed: PartsList) -> str:
    """What does not match, how many joints there are and how they stand, in a sentence or two."""
    counts = {
        standing: sum(one.standing == standing for one in listed.joints)
        for standing in ("mates", "closed", "open")
    }
    found = (
        f"{counts['mates']} of {len(listed.joints)} joints mate as they are, "
        f"{counts['closed']} are closed by small parts"
    )
    found += f", {counts['open']} cannot be closed" if counts["open"] else ""
    wrong = sum(one.level != "note" for one in listed.mismatches)
    first = {0: "", 1: "1 thing does not match. "}.get(wrong, f"{wrong} things do not match. ")
    return f"{first}{found}; {_bought(listed)}."


def _bought(listed: PartsList) -> str:
    count = sum(one.to_buy for one in listed.to_buy) + len(listed.tubing_to_buy)
    if not count:
        return "nothing to buy"
    return f"{count} things to buy" if listed.hand_told else f"{count} things to buy or to have"


def buying_title(listed: PartsList) -> str:
    """What stands above the list: whether it is known what is at hand already."""
    return "To buy" if listed.hand_told else "To buy, unless you have it"


def buying_lines(
    parts: Iterable[PartLine], tubing: Iterable[TubingLine], units: UnitSystem
) -> Iterator[str]:
    """A line for each part and each kind of line to buy, with where it goes."""
    for tube in tubing:
        cuts = ", ".join(format_quantity(cut, Kind.LENGTH, units) for cut in tube.cuts_m)
        length = format_quantity(tube.to_buy_m, Kind.LENGTH, units)
        yield from wrapped(f"{length:>8}  {tube.title} (cut {cuts})", "", 10)
    for part in parts:
        places = ", ".join(part.places)
        yield from wrapped(f"{part.to_buy:>8}  {part.title} ({places})", "", 10)


def finding_lines(found: Iterable[Finding]) -> Iterator[str]:
    """Each with its level, where it is, and what to do."""
    for one in found:
        yield from wrapped(f"{LABELS[one.level]}: {one.where}. {one.what} {one.remedy}", INDENT)


def caution_lines(found: Iterable[Caution]) -> Iterator[str]:
    """Each with its level."""
    yield from cautioned(found, INDENT)


def titled(title: str, lines: Iterable[str]) -> list[str]:
    """The lines below a title, or nothing where there are none."""
    found = list(lines)
    return ["", title, *found] if found else []


def joint_words(one: JointLine, titles: Mapping[str, str]) -> str:
    """How a joint stands: that it mates, what closes it, or that nothing does."""
    if one.standing == "closed":
        return f"closed by {'; then '.join(titles[part] for part in one.parts)}"
    return {"mates": "mates", "open": "NOT CLOSED"}[one.standing]


def _joints(listed: PartsList) -> Iterator[str]:
    titles = {one.part: one.title for one in listed.parts}
    for one in listed.joints:
        yield from wrapped(f"{one.where}, {one.what}: {joint_words(one, titles)}.", INDENT)
    for how in dict.fromkeys(how for one in listed.joints for how in one.how):
        yield from wrapped(f"{how}", INDENT)
