"""The carbonation what-if as its page says it: the pressure first, then the ways to get there."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from functools import lru_cache

from markupsafe import Markup

from ullage.draw.charts import carbonation_chart
from ullage.plan.answers import CarbonationAnswer, Caution
from ullage.plan.spoken import gauged
from ullage.plan.what_if import CarbonateAnswer
from ullage.units import Kind, UnitSystem, format_quantity
from ullage.web import wording
from ullage.web.sections import way_view
from ullage.web.views import Fact, Link, Page, WayView
from ullage.web.whatif import FormView
from ullage.web.wording import Piece, Sentence

# Drawing takes some tens of milliseconds, and the same answer gives the same picture.
_chart = lru_cache(maxsize=32)(carbonation_chart)


@dataclass(frozen=True, slots=True)
class HoldView:
    """The pressure that holds the level, or the level that the pressure leads to."""

    sentence: Sentence
    facts: tuple[Fact, ...]
    cautions: tuple[Caution, ...]
    remarks: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class WaysView:
    """The ways to bring the beer there, with their ready days; `keg`: where to take one on."""

    sentence: Sentence
    chart: Markup | None
    ways: tuple[WayView, ...]
    remarks: tuple[str, ...]
    keg: Link | None


@dataclass(frozen=True, slots=True)
class CarbonatePageView:
    """The what-if page of a beer's carbonation; what could not be answered is `None`."""

    page: Page
    kegs: tuple[Link, ...]
    form: FormView
    hold: HoldView | None
    ways: WaysView | None
    ways_href: str
    data: str
    title_block: tuple[Fact, ...]


def hold_view(answer: CarbonateAnswer, asked_level: float | None, units: UnitSystem) -> HoldView:
    """Build the view; `asked_level` in volumes where the pressure was the question."""
    return HoldView(
        _level_sentence(answer, units)
        if asked_level is None
        else _pressure_sentence(answer, asked_level, units),
        _facts(answer, asked_level, units),
        answer.cautions,
        tuple(one.replace("give --abv", "give the alcohol") for one in gauged(answer, units)),
    )


def _pressure_sentence(answer: CarbonateAnswer, level_vol: float, units: UnitSystem) -> Sentence:
    setting = format_quantity(answer.gauge_pressure_pa.value, Kind.PRESSURE, units)
    level = format_quantity(level_vol, Kind.CARBONATION, units)
    cold = format_quantity(answer.temperature_k, Kind.TEMPERATURE, units)
    if answer.gauge_pressure_pa.value < 0.0:
        return (Piece(f"No pressure holds a beer at {level} at {cold}: serve it warmer."),)
    if any(one.level == "danger" for one in answer.cautions):
        return (
            Piece(f"Do not set {setting}, which would hold {level} at {cold}: it lies above "),
            Piece("what such a keg and line are rated for."),
        )
    band = wording.band_text(answer.gauge_pressure_pa, Kind.PRESSURE, units)
    return (
        Piece("Set "),
        Piece(setting, "setting"),
        Piece(f" to hold {level} at {cold} (80 % sure: {band})."),
    )


def _level_sentence(answer: CarbonateAnswer, units: UnitSystem) -> Sentence:
    setting = format_quantity(answer.gauge_pressure_pa.value, Kind.PRESSURE, units)
    level = format_quantity(answer.equilibrium_vol.value, Kind.CARBONATION, units)
    cold = format_quantity(answer.temperature_k, Kind.TEMPERATURE, units)
    band = wording.band_text(answer.equilibrium_vol, Kind.CARBONATION, units)
    return (
        Piece(setting, "setting"),
        Piece(f" at {cold} leads to "),
        Piece(level, "number"),
        Piece(f" (80 % sure: {band})."),
    )


def _facts(
    answer: CarbonateAnswer, asked_level: float | None, units: UnitSystem
) -> tuple[Fact, ...]:
    held = Fact(
        "Held at that pressure",
        format_quantity(answer.equilibrium_vol.value, Kind.CARBONATION, units),
        wording.band_text(answer.equilibrium_vol, Kind.CARBONATION, units),
    )
    pressure = Fact(
        "Pressure",
        format_quantity(answer.gauge_pressure_pa.value, Kind.PRESSURE, units),
        "what the gauge reads",
    )
    return (
        pressure if asked_level is None else _band_of_pressure(answer, units),
        held,
        Fact("Beer’s temperature", format_quantity(answer.temperature_k, Kind.TEMPERATURE, units)),
        Fact("Air pressure there", format_quantity(answer.ambient_pa, Kind.PRESSURE, units)),
    )


def _band_of_pressure(answer: CarbonateAnswer, units: UnitSystem) -> Fact:
    return Fact(
        "Pressure to set",
        format_quantity(answer.gauge_pressure_pa.value, Kind.PRESSURE, units),
        wording.band_text(answer.gauge_pressure_pa, Kind.PRESSURE, units),
    )


def ways_view(
    answer: CarbonationAnswer, now: datetime, keg: Link | None, units: UnitSystem
) -> WaysView:
    """Build the view of the ways, the advised one first."""
    chart = None
    if answer.schedules:
        svg = _chart(answer, units, now, prefix="ways")
        chart = Markup(svg)  # noqa: S704  (our own drawing, its texts escaped by the writer)
    ordered = sorted(answer.schedules, key=lambda one: one.method != answer.advised)
    return WaysView(
        wording.carbonation_sentence(answer, units),
        chart,
        tuple(way_view(one, answer, units) for one in ordered),
        answer.remarks,
        keg,
    )
