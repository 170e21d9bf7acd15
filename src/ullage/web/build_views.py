"""What the building page shows: typed, ready to print, in the household's units."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import groupby

from ullage.draw.build_lines import added
from ullage.draw.parts_lines import buying_title, parts_sentence
from ullage.plan.answers import Caution, Finding
from ullage.plan.grow import Growth
from ullage.plan.parts_answer import JointLine, PartLine, PartsList
from ullage.units import Kind, UnitSystem, format_quantity
from ullage.web.views import Fact, Page
from ullage.web.whatif import FormView


@dataclass(frozen=True, slots=True)
class BuyRow:
    """A thing to buy: how many or how long, what, where it goes, how long it lasts."""

    amount: str
    title: str
    places: str
    note: str


@dataclass(frozen=True, slots=True)
class JointRow:
    """One joint: what meets what, a word on how it stands, the parts between."""

    what: str
    word: str
    parts: tuple[str, ...]
    is_open: bool


@dataclass(frozen=True, slots=True)
class JointGroup:
    """All joints of one keg, tap or regulator."""

    where: str
    rows: tuple[JointRow, ...]


@dataclass(frozen=True, slots=True)
class GrowthRow:
    """A part or line of which more or less is needed: the difference, and from what to what."""

    amount: str
    title: str
    from_to: str


@dataclass(frozen=True, slots=True)
class GrowthView:
    """What more taps take."""

    sentence: str
    rows: tuple[GrowthRow, ...]
    changes: tuple[Finding, ...]
    assumed: tuple[str, ...]
    cautions: tuple[Caution, ...]


@dataclass(frozen=True, slots=True)
class PartsView:
    """The parts list of the present system."""

    sentence: str
    mismatches: tuple[Finding, ...]
    buying: str
    buy: tuple[BuyRow, ...]
    joints: tuple[JointGroup, ...]
    how: tuple[str, ...]
    checks: tuple[Finding, ...]
    assumed: tuple[str, ...]
    cautions: tuple[Caution, ...]


@dataclass(frozen=True, slots=True)
class BuildPageView:
    """The building page; no `parts` where nothing is described, no `form` where none can grow."""

    page: Page
    parts: PartsView | None
    form: FormView | None
    answer: GrowthView | None
    fit: str
    data: str
    title_block: tuple[Fact, ...]


def parts_view(listed: PartsList, units: UnitSystem) -> PartsView:
    """The parts list ready to print."""
    return PartsView(
        sentence=parts_sentence(listed),
        mismatches=listed.mismatches,
        buying=buying_title(listed),
        buy=_to_buy(listed, units),
        joints=_groups(listed),
        how=tuple(dict.fromkeys(how for one in listed.joints for how in one.how)),
        checks=listed.checks,
        assumed=listed.assumed,
        cautions=listed.cautions,
    )


def growth_view(growth: Growth, said: PartsList, units: UnitSystem) -> GrowthView:
    """What more taps take, ready to print, without what the parts list has `said` already."""
    changes = tuple(one for one in growth.changes if one not in said.mismatches)
    must = sum(one.level != "note" for one in changes)
    sentence = (
        f"From {growth.taps_before} to {growth.taps_after} taps: {added(growth)} parts to add"
        + (f", {must} thing{'' if must == 1 else 's'} to mind." if must else ".")
    )
    tubing = (
        GrowthRow(_more(one.after_m - one.before_m, units), one.title, "") for one in growth.tubing
    )
    parts = (
        GrowthRow(f"{one.after - one.before:+d}", one.title, f"{one.before} to {one.after}")
        for one in growth.parts
    )
    return GrowthView(
        sentence,
        (*tubing, *parts),
        changes,
        growth.assumed,
        tuple(one for one in growth.cautions if one not in said.cautions),
    )


def _more(length_m: float, units: UnitSystem) -> str:
    sign = "+" if length_m > 0 else "-"
    return f"{sign}{format_quantity(abs(length_m), Kind.LENGTH, units)}"


def _to_buy(listed: PartsList, units: UnitSystem) -> tuple[BuyRow, ...]:
    tubing = (
        BuyRow(
            format_quantity(one.to_buy_m, Kind.LENGTH, units),
            one.title,
            "cut " + ", ".join(format_quantity(cut, Kind.LENGTH, units) for cut in one.cuts_m),
            "",
        )
        for one in listed.tubing_to_buy
    )
    parts = (
        BuyRow(str(one.to_buy), one.title, ", ".join(one.places), _note(one))
        for one in listed.to_buy
    )
    return (*tubing, *parts)


def _note(one: PartLine) -> str:
    """How long it lasts, and how many more there are."""
    return "; ".join(
        each for each in (one.wear, f"{one.have} more at hand" * bool(one.have)) if each
    )


def _groups(listed: PartsList) -> tuple[JointGroup, ...]:
    titles = {one.part: one.title for one in listed.parts}
    return tuple(
        JointGroup(where, tuple(_joint(one, titles) for one in rows))
        for where, rows in groupby(listed.joints, key=lambda one: one.where)
    )


def _joint(one: JointLine, titles: dict[str, str]) -> JointRow:
    words = {"mates": "mates", "closed": "closed by", "open": "not closed"}
    parts = tuple(_within(titles[part]) for part in one.parts)
    return JointRow(one.what, words[one.standing], parts, one.standing == "open")


def _within(title: str) -> str:
    """A part's name within a sentence: small at its head, unless it begins with a sign of its own.

    >>> _within("Ball-lock gas disconnect"), _within("CGA 320 washer")
    ('ball-lock gas disconnect', 'CGA 320 washer')
    """
    return title if title[1:2].isupper() else title[:1].lower() + title[1:]
