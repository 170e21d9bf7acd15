"""How a tap pours, as the page says it: the sentence, the picture, the lengths, the numbers."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from markupsafe import Markup

from ullage.draw.charts import profile_chart
from ullage.plan.answers import Band, LineAdvice, PourAnswer
from ullage.units import Kind, UnitSystem, format_quantity
from ullage.web import wording
from ullage.web.views import Fact, LengthRow, PourView
from ullage.web.wording import Piece, Sentence

_profile_chart = lru_cache(maxsize=64)(profile_chart)


@dataclass(frozen=True, slots=True)
class Glass:
    """The glass a household times: a US pint, or half a litre, `size` US pints big."""

    noun: str
    size: float

    def time(self, pint_s: float, units: UnitSystem) -> str:
        """Write the time to fill it from the time for a US pint."""
        return format_quantity(pint_s * self.size, Kind.DURATION, units)

    def band(self, pint_s: Band, units: UnitSystem) -> str:
        """Write the band of that time."""
        scaled = Band(*(value * self.size for value in (pint_s.value, pint_s.low, pint_s.high)))
        return wording.band_text(scaled, Kind.DURATION, units)


def glass_of(answer: PourAnswer, units: UnitSystem) -> Glass:
    """Choose the glass by the household's units."""
    if units == "us":
        return Glass("US pint", 1.0)
    return Glass("half litre", answer.half_litre_s.value / answer.pint_s.value)


def pour_sentence(answer: PourAnswer, units: UnitSystem) -> Sentence:
    """Say how a tap pours and what would make it pour as wanted."""
    glass = glass_of(answer, units)
    length = format_quantity(answer.length_m, Kind.LENGTH, units)
    pieces = [
        Piece(f"Pours a {glass.noun} in "),
        Piece(glass.time(answer.pint_s.value, units), "number"),
        Piece(f" through {length} of line"),
    ]
    if answer.advised is not None:
        wanted = format_quantity(answer.advised.length_m, Kind.LENGTH, units)
        pieces += [
            Piece("; fit "),
            Piece(wanted, "setting"),
            Piece(f" to fill it in {glass.time(answer.advised.pint_s, units)}"),
        ]
    return (*pieces, Piece("."))


def pour_view(answer: PourAnswer, prefix: str, units: UnitSystem) -> PourView:
    """Build the view of one tap; `prefix` starts the ids of its picture."""
    chart = None
    if answer.profile:
        svg = _profile_chart(answer, units, prefix=prefix)
        chart = Markup(svg)  # noqa: S704  (our own drawing, its texts escaped by the writer)
    return PourView(
        answer.tap,
        pour_sentence(answer, units),
        chart,
        glass_of(answer, units).noun,
        _lengths(answer, units),
        _pour_facts(answer, units),
        answer.cautions,
        answer.remarks,
    )


def _lengths(answer: PourAnswer, units: UnitSystem) -> tuple[LengthRow, ...]:
    glass = glass_of(answer, units)
    now = LineAdvice("As it is", answer.length_m, answer.pint_s.value, answer.line)
    options = [one for one in (now, answer.advised, answer.handbook) if one is not None]
    return tuple(
        LengthRow(
            option.title,
            format_quantity(option.length_m, Kind.LENGTH, units),
            glass.time(option.pint_s, units),
            option.why,
        )
        for option in options
    )


def _pour_facts(answer: PourAnswer, units: UnitSystem) -> tuple[Fact, ...]:
    glass = glass_of(answer, units)
    margin = format_quantity(abs(answer.shut_margin_pa), Kind.PRESSURE, units)
    side, least = ("above", " at least") if answer.shut_margin_pa >= 0 else ("below", "")
    where = f"saturation{least}, in the {answer.shut_margin_part}"
    flow = format_quantity(answer.flow_m3_s.value, Kind.FLOW, units)
    now, full = glass.time(answer.pint_s.value, units), glass.time(answer.full_pint_s, units)
    return (
        Fact(f"A {glass.noun} now", now, glass.band(answer.pint_s, units)),
        Fact(f"A {glass.noun}, wanted", glass.time(answer.wanted_pint_s, units)),
        Fact("From a full keg", full, f"{glass.time(answer.empty_pint_s, units)} when near empty"),
        Fact("Flow", flow, wording.band_text(answer.flow_m3_s, Kind.FLOW, units)),
        Fact("Reynolds number", f"{answer.reynolds:,.0f}", _regime(answer.reynolds)),
        Fact("Faucet shut", f"{margin} {side}", where),
    )


def _regime(reynolds: float) -> str:
    if reynolds < 2040:
        return "laminar"
    return "turbulent" if reynolds > 4000 else "between laminar and turbulent"
