"""The gas ahead as its page says it: each cylinder's sentence, chart, tables."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from markupsafe import Markup

from ullage.draw import gas_ahead_words as words
from ullage.draw.build_lines import amount
from ullage.draw.gas_ahead_chart import gas_ahead_chart
from ullage.plan.answers import Caution
from ullage.plan.gas_ahead_answer import CylinderGas, GasAhead, GasMonth, SizeCost
from ullage.plan.spoken import headed
from ullage.units import Kind, UnitSystem, format_quantity
from ullage.web.views import Fact, Page
from ullage.web.whatif import FormView

MOST_ROWS = 26


@dataclass(frozen=True, slots=True)
class MonthRow:
    """One month of gas; `note` says where what was lost is not by weighing."""

    month: str
    push: str
    carbonation: str
    purging: str
    lost: str
    note: str


@dataclass(frozen=True, slots=True)
class WeekRow:
    """What is expected on one day ahead."""

    when: str
    iso: str
    held: str
    low: str
    high: str


@dataclass(frozen=True, slots=True)
class SizeRow:
    """One size of cylinder."""

    size: str
    note: str
    lasts: str
    cost: str
    more: str


@dataclass(frozen=True, slots=True)
class CylinderView:
    """One cylinder, ready to print."""

    name: str
    lead: str
    mind: str
    chart: Markup
    facts: tuple[Fact, ...]
    spare: str
    dry: tuple[str, ...]
    leak: str
    is_leak: bool
    leak_page: str
    record: str
    swapped: str
    weeks: tuple[WeekRow, ...]
    months: tuple[MonthRow, ...]
    usual: bool
    sizes_words: str
    sizes: tuple[SizeRow, ...]
    fit: str
    any_cost: bool
    not_told: str


@dataclass(frozen=True, slots=True)
class GasAheadView:
    """The page; without cylinders it says how to begin."""

    page: Page
    form: FormView
    cylinders: tuple[CylinderView, ...]
    remarks: tuple[str, ...]
    cautions: tuple[Caution, ...]
    is_wrong: bool
    gas: str
    data: str
    title_block: tuple[Fact, ...]


@dataclass(frozen=True, slots=True)
class Leads:
    """Where a cylinder's links lead: to write its weight down, to the leak test, to its swap."""

    record: str
    leak: str
    swapped: str


def cylinder_view(
    one: CylinderGas, answer: GasAhead, place: int, leads: Leads, units: UnitSystem
) -> CylinderView:
    """Build the view of one cylinder; `place` is its number on the page."""
    at = answer.at
    svg = gas_ahead_chart(one, at, units, prefix=f"gas-ahead-{place}")
    fit, any_cost = _fit_of_all(one), any(row.cost_low is not None for row in one.sizes.rows)
    return CylinderView(
        name=headed("cylinder", one.cylinder),
        lead=words.lead(one, at, units),
        mind=one.refill.words if one.refill.by is not None else "",
        chart=Markup(svg),  # noqa: S704  (our own drawing, its texts escaped)
        facts=_facts(one, at, units),
        spare=words.spare(one.spare, at),
        dry=tuple(words.dry(keg, units) for keg in one.spare.kegs),
        leak="" if one.leak is None else words.leak(one.leak),
        is_leak=one.leak is not None and one.leak.likely,
        leak_page=leads.leak,
        record=leads.record,
        swapped=leads.swapped,
        weeks=_weeks(one, at, units),
        months=tuple(_month(month, units) for month in reversed(one.months)),
        usual=not all(month.is_weighed for month in one.months),
        sizes_words=one.sizes.words,
        sizes=tuple(_size(row, units, not fit) for row in one.sizes.rows),
        fit=fit,
        any_cost=any_cost,
        not_told=words.not_told(one.sizes.rows) if any_cost else "",
    )


def _facts(one: CylinderGas, at: datetime, units: UnitSystem) -> tuple[Fact, ...]:
    share = one.lost_share
    lost = f"{100 * share.value:.0f} %"
    facts = [
        Fact("Holds now", words.held(one, units), "80 % sure, what goes besides counted"),
        Fact(
            "By the log alone",
            format_quantity(max(one.logged_kg, 0.0), Kind.MASS, units),
            f"of {format_quantity(one.rated_kg, Kind.MASS, units)}",
        ),
        Fact("Gas left for", words.days_left(one), "80 % sure" if one.days_left_s else ""),
        Fact(
            "Lost besides",
            lost,
            f"of what the kegs take ({100 * share.low:.0f} to {100 * share.high:.0f} %)",
        ),
    ]
    if one.empty.at is not None:
        facts.insert(2, Fact("Empty", words.day(one.empty.at, at), words.between(one, at)))
    if one.year_kg is not None:
        facts.append(Fact("A year takes", words.mass(one.year_kg, units), "as things go"))
    return tuple(facts)


def _weeks(one: CylinderGas, at: datetime, units: UnitSystem) -> tuple[WeekRow, ...]:
    """Week by week; where that is long, every second or third week."""
    every = max(-(-len(one.ahead) // MOST_ROWS), 1)
    return tuple(
        WeekRow(
            words.day(then.at, at),
            then.at.isoformat(),
            *(
                format_quantity(each, Kind.MASS, units)
                for each in (then.contents_kg.value, then.contents_kg.low, then.contents_kg.high)
            ),
        )
        for then in one.ahead[::every]
    )


def _month(month: GasMonth, units: UnitSystem) -> MonthRow:
    push, beer, purge, lost = (
        format_quantity(kg, Kind.MASS, units)
        for kg in (month.push_kg, month.carbonation_kg, month.purging_kg, month.lost_kg)
    )
    note = "" if month.is_weighed else "*"
    return MonthRow(words.month(month.begin), push, beer, purge, lost, note)


def _fit_of_all(one: CylinderGas) -> str:
    """Why no size can be told to fit, where it is the same of all; "" else."""
    why = {row.stands_why for row in one.sizes.rows if row.stands == "not known"}
    known = any(row.stands != "not known" for row in one.sizes.rows)
    return "" if known or len(why) != 1 else f"Whether one fits is not known: {why.pop()}."


def _size(row: SizeCost, units: UnitSystem, with_fit: bool) -> SizeRow:
    full = format_quantity(row.full_kg, Kind.MASS, units)
    buy = ""
    if row.price_low is not None and row.price_high is not None:
        buy = f", {amount(row.price_low, row.price_high)} to buy"
    return SizeRow(
        size=row.size,
        note="yours" if row.is_present else "",
        lasts=words.lasts(row),
        cost=words.cost(row),
        more=f"{full} full, {words.stands(row) if with_fit else row.carry}{buy}",
    )
