"""From an answer to the view models of its sheet."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import lru_cache, partial
from math import isfinite

from markupsafe import Markup

from ullage.draw.charts import carbonation_chart
from ullage.draw.expected import step_text
from ullage.draw.svg import slug
from ullage.plan.answers import (
    CarbonationAnswer,
    GasAnswer,
    PourAnswer,
    Schedule,
    WholeAnswer,
)
from ullage.plan.bands import one_sided
from ullage.plan.repeats import told_once
from ullage.plan.spoken import gauged, headed, listed
from ullage.units import Kind, UnitSystem, format_quantity
from ullage.web import wording
from ullage.web.pours import pour_sentence, pour_view
from ullage.web.views import (
    AnswerLine,
    CarbonationView,
    Fact,
    GasView,
    KegSection,
    StepRow,
    WayView,
)
from ullage.web.wording import Piece, Sentence

# Drawing takes some tens of milliseconds, and the same answer gives the same picture.
_carbonation_chart = lru_cache(maxsize=64)(carbonation_chart)


def answer_lines(answer: WholeAnswer, units: UnitSystem) -> tuple[AnswerLine, ...]:
    """Give one line for each keg, tagged with its taps."""
    lines = []
    for one in answer.carbonation:
        pours = pours_of(answer, one.keg)
        lines.append(
            AnswerLine(
                listed([pour.tap for pour in pours]) or one.keg,
                f"#{anchor(one.keg)}",
                wording.carbonation_sentence(one, units),
                tuple(_tap_sentence(pour, len(pours), units) for pour in pours),
            )
        )
    return tuple(lines)


def _tap_sentence(pour: PourAnswer, taps: int, units: UnitSystem) -> Sentence:
    sentence = pour_sentence(pour, units)
    return sentence if taps == 1 else (Piece(f"{pour.tap}: "), *sentence)


def keg_sections(answer: WholeAnswer, units: UnitSystem) -> tuple[KegSection, ...]:
    """Give one section for each keg: what carbonates in it and the taps it feeds."""
    known = {one.keg: one for one in answer.carbonation}
    kegs = list(dict.fromkeys([*known, *(pour.keg for pour in answer.pours)]))
    return tuple(
        _keg_section(answer, keg, known.get(keg), number, units)
        for number, keg in enumerate(kegs, start=1)
    )


def pours_of(answer: WholeAnswer, keg: str) -> list[PourAnswer]:
    """Give the pours from one keg."""
    return [pour for pour in answer.pours if pour.keg == keg]


def anchor(keg: str) -> str:
    """Give the id of a keg's section."""
    return f"keg-{slug(keg)}"


def _keg_section(
    answer: WholeAnswer,
    keg: str,
    carbonation: CarbonationAnswer | None,
    number: int,
    units: UnitSystem,
) -> KegSection:
    pours = pours_of(answer, keg)
    beer = carbonation.beer if carbonation else pours[0].beer
    place = f", {carbonation.place}" if carbonation else ""
    return KegSection(
        anchor(keg),
        beer,
        f"{keg}{place}",
        _carbonation_view(answer, carbonation, number, units) if carbonation else None,
        tuple(pour_view(pour, f"p{number}-{i}", units) for i, pour in enumerate(pours)),
    )


def _carbonation_view(
    whole: WholeAnswer, answer: CarbonationAnswer, number: int, units: UnitSystem
) -> CarbonationView:
    chart = None
    if answer.schedules:
        svg = _carbonation_chart(answer, units, whole.made_at, prefix=f"c{number}")
        chart = Markup(svg)  # noqa: S704  (our own drawing, its texts escaped by the writer)
    ways = sorted(answer.schedules, key=lambda one: one.method != answer.advised)
    return CarbonationView(
        wording.carbonation_sentence(answer, units),
        chart,
        tuple(_below(way_view(one, answer, units), answer) for one in ways),
        _carbonation_facts(answer, units),
        answer.cautions,
        gauged(answer, units),
    )


def _below(way: WayView, answer: CarbonationAnswer) -> WayView:
    """A way as it stands below its keg's own cautions, which hold for each and are said once."""
    return replace(way, cautions=tuple(one for one in way.cautions if one not in answer.cautions))


def way_view(schedule: Schedule, answer: CarbonationAnswer, units: UnitSystem) -> WayView:
    """Give the view of one way to carbonate."""
    return WayView(
        schedule.title,
        schedule.method == answer.advised,
        wording.ready_text(schedule),
        tuple(
            StepRow(
                step_text(step, schedule, partial(wording.moment, beside=schedule.course[0].at)),
                step.at.isoformat(),
                step.do,
                _optional(step.gauge_pressure_pa, Kind.PRESSURE, units),
            )
            for step in told_once(schedule.steps)
        ),
        schedule.cautions,
        schedule.remark,
    )


def _optional(value: float | None, kind: Kind, units: UnitSystem) -> str:
    return "" if value is None else format_quantity(value, kind, units)


def _carbonation_facts(answer: CarbonationAnswer, units: UnitSystem) -> tuple[Fact, ...]:
    facts = [
        Fact(
            "Wanted",
            format_quantity(answer.target_vol, Kind.CARBONATION, units),
            f"within {format_quantity(answer.tolerance_vol, Kind.CARBONATION, units)}",
        ),
        Fact(
            "In the beer at the start",
            format_quantity(answer.start_vol, Kind.CARBONATION, units),
            "estimated",
        ),
        Fact(
            "Pressure that keeps it",
            format_quantity(answer.gauge_pressure_pa.value, Kind.PRESSURE, units),
            wording.band_text(answer.gauge_pressure_pa, Kind.PRESSURE, units),
        ),
        Fact("Beer's temperature", format_quantity(answer.temperature_k, Kind.TEMPERATURE, units)),
    ]
    present = answer.present_equilibrium_vol
    if answer.present_gauge_pressure_pa is not None and present is not None:
        now = format_quantity(answer.present_gauge_pressure_pa, Kind.PRESSURE, units)
        band = wording.band_text(present, Kind.CARBONATION, units)
        facts.append(
            Fact(
                f"Left at the present {now}",
                format_quantity(present.value, Kind.CARBONATION, units),
                band,
            )
        )
    return tuple(facts)


def gas_views(answers: Sequence[GasAnswer], units: UnitSystem) -> tuple[GasView, ...]:
    """Give one view for each cylinder."""
    return tuple(_gas_view(answer, units) for answer in answers)


def _liquid_gone(answer: GasAnswer, units: UnitSystem) -> tuple[Fact, ...]:
    """Below what no liquid is left, of a gas that has any."""
    if answer.liquid_gone_below_kg is None:
        return ()
    gone = format_quantity(answer.liquid_gone_below_kg, Kind.MASS, units)
    return (Fact("Liquid gone below", gone),)


def _gas_view(answer: GasAnswer, units: UnitSystem) -> GasView:
    kegs = answer.kegs_left
    left = f"{kegs.value:.0f} more kegs ({wording.plain_band(kegs, 0)})"
    at_best = one_sided(kegs)
    left = f"{at_best} more kegs" if at_best else f"about {left}"
    enough = f": enough for {left}" if isfinite(kegs.value) else "; no keg draws on it now"
    weeks = answer.weeks_left
    pieces = [
        Piece(f"{headed('cylinder', answer.cylinder)} ({answer.size}) holds "),
        Piece(format_quantity(answer.remaining_kg, Kind.MASS, units), "number"),
        Piece(f" of {answer.what}{enough}"),
    ]
    if weeks is not None:
        pieces.append(Piece(f", or {weeks.value:.0f} weeks ({wording.plain_band(weeks, 0)})"))
    gauge = format_quantity(answer.cylinder_gauge_pa, Kind.PRESSURE, units)
    warmth = format_quantity(answer.temperature_k, Kind.TEMPERATURE, units)
    return GasView(
        answer.cylinder,
        (*pieces, Piece(".")),
        tuple(
            Fact(use.what, format_quantity(use.mass_kg, Kind.MASS, units)) for use in answer.uses
        ),
        (
            Fact("Rated for", format_quantity(answer.rated_kg, Kind.MASS, units)),
            Fact("High-pressure gauge", gauge, f"at {warmth}, {answer.phase}"),
            *_liquid_gone(answer, units),
        ),
        answer.cautions,
        answer.remarks,
        "Gas" if answer.phase == "blended gas" else "CO2",
    )
