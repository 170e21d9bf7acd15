"""How a task is done on this system: its steps with the volumes of its own line and keg.

How much cleaner to weigh follows from a strength, grams in 100 mL; the maker's label says which.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final, Literal

from ullage.errors import OutOfRange
from ullage.plan import procedure_words as words
from ullage.plan.clean_drive import Drive, Means
from ullage.plan.clean_flow import CleanFlow, chosen, clean_flows
from ullage.system import parts, upkeep_rules
from ullage.system.model import System, Tap
from ullage.system.upkeep_rules import Rule, Step
from ullage.units import Kind, UnitSystem, format_quantity

LITRE: Final = 1e-3
LEAST_SOLUTION_M3: Final = 2 * LITRE
"""So much is made for one line at least, or a pump draws air; common practice, no source."""
LINE_FILLS: Final = 10.0
"""A line is filled so often with what is made, and rinsed with as much; common practice, no
source."""
SANITISER_ML_PER_LITRE: Final = 1.6
"""Acid no-rinse sanitiser, 1 US fl oz in 5 US gal as labels commonly say; no source."""
LEAST_STRENGTH: Final = 0.0005
MOST_STRENGTH: Final = 0.05
USUAL_DRIVE: Final = Drive()


@dataclass(frozen=True, slots=True)
class Strength:
    """A strength that is offered: kg of cleaner in a litre of solution, and its source."""

    title: str
    fraction: float
    source: str


STRENGTHS: Final = (
    Strength("beer line cleaner", 0.02, "Brewers Association, Draught Beer Quality Manual"),
    Strength(
        "line that tastes or pours badly", 0.03, "Brewers Association, Draught Beer Quality Manual"
    ),
    Strength("oxygen cleaner (percarbonate) for kegs", 0.005, "common practice, no source"),
)
"""From the maker's label, else one of these; by weight of what is in the tub."""


@dataclass(frozen=True, slots=True)
class ProcedureStep:
    """One thing that the hand does, and the caution said beside it ("" for none).

    `lasts_s`: so long at least, from when the step before was done; `None`: no matter how long.
    `solution`: with this step cleaner goes into the part, or is out of it again.
    """

    do: str
    caution: str
    lasts_s: float | None = None
    solution: Literal["in", "out"] | None = None


@dataclass(frozen=True, slots=True)
class Procedure:
    """A task on a part: its steps in order. `weighs`: whether they tell how much cleaner to weigh.

    Volumes in m³ where they are this part's own: of the line, of what is to be made, of the keg.
    `flows`: what a pump and what gas reaches through this line, where solution is moved through
    it; `means`: by which of them the steps go.
    """

    task: str
    title: str
    about: str
    strength: float
    weighs: bool
    line_m3: float | None
    solution_m3: float | None
    keg_m3: float | None
    steps: tuple[ProcedureStep, ...]
    means: Means | None = None
    flows: tuple[CleanFlow, ...] = ()


def procedure(
    rule: Rule,
    about: str,
    system: System,
    units: UnitSystem,
    strength: float | None = None,
    drive: Drive = USUAL_DRIVE,
) -> Procedure:
    """How a task is done on a part of this system, in the household's units.

    `strength`: cleaner in the solution, 0.02 being 20 g in a litre; `None`: the catalogue's.
    `drive`: what moves solution through a line. Raises `UnknownName` for a part that is not there,
    `OutOfRange` for a strength no label asks, and for a pump or a pressure that is none.

    >>> from ullage.system.demo import demo_system
    >>> from datetime import date
    >>> from ullage.plan.upkeep_changes import rule_of
    >>> found = procedure(rule_of("clean line"), "left", demo_system(date(2026, 6, 1)), "metric")
    >>> f"{1e6 * found.line_m3:.0f} mL"
    '58 mL'
    """
    used = _checked(default_strength(rule) if strength is None else strength)
    tap = system.tap(about) if rule.of == "tap" else None
    keg_m3 = parts.keg_kind(system.keg(about).kind).capacity_m3 if rule.of == "keg" else None
    line_m3 = line_volume(tap) if tap else None
    solution_m3 = None if line_m3 is None else made_for(line_m3)
    flows = _flows(rule, system, tap, drive)
    flow = chosen(flows, drive.means) if flows else None
    said = {
        **_solutions(used, units),
        **(_of_line(tap, used, units) if tap else {}),
        **(_of_flow(flow, units) if flow else {}),
        **(_of_keg(keg_m3, used, units) if keg_m3 else {}),
        **({"temperature": _kept_at(system, about, units)} if rule.of == "place" else {}),
    }
    return Procedure(
        task=rule.name,
        title=rule.title,
        about=about,
        strength=used,
        weighs=any("{strength}" in step.do for step in rule.steps),
        line_m3=line_m3,
        solution_m3=solution_m3,
        keg_m3=keg_m3,
        steps=tuple(_step(step, said, flow) for step in rule.steps),
        means=flow.means if flow else None,
        flows=flows,
    )


def _flows(rule: Rule, system: System, tap: Tap | None, drive: Drive) -> tuple[CleanFlow, ...]:
    """What a pump and what gas reach; none where no solution is moved through a line."""
    if tap is None or not any(step.contact for step in rule.steps):
        return ()
    held = line_volume(tap)
    return clean_flows(system, tap, drive, held, made_for(held))


def _step(step: Step, said: Mapping[str, str], flow: CleanFlow | None) -> ProcedureStep:
    """A step in this system's own numbers; what gas pushes bears the caution of gas as well."""
    texts = upkeep_rules.cautions()
    cautions = [texts[step.caution]] if step.caution else []
    if flow is not None and flow.means == "keg" and step.solution == "in":
        cautions.append(texts["push"])
    minutes = None if step.minutes is None else 60.0 * step.minutes
    lasts = flow.contact_s if step.contact and flow else minutes
    return ProcedureStep(step.do.format_map(said), " ".join(cautions), lasts, step.solution)


def line_volume(tap: Tap) -> float:
    """What a tap's line and its shank hold, m³.

    Sum of π/4 d² L over the pieces; a shank as long and as wide as the catalogue says.
    """
    pieces = [(piece.bore, piece.length) for piece in tap.line]
    if tap.shank is not None:
        shank = parts.shank(tap.shank)
        pieces.append((shank.bore_m, shank.length_m))
    return sum(0.25 * math.pi * bore**2 * length for bore, length in pieces)


def made_for(line_m3: float) -> float:
    """How much solution to make for a line, m³: ten times what it holds, 2 litres at least."""
    return max(LINE_FILLS * line_m3, LEAST_SOLUTION_M3)


def cleaner_kg(solution_m3: float, strength: float) -> float:
    """How much cleaner to weigh for so much solution: 0.02 is 20 g in a litre.

    >>> f"{1e3 * cleaner_kg(0.002, 0.02):.0f} g"
    '40 g'
    """
    return 1e3 * solution_m3 * strength


def default_strength(rule: Rule) -> float:
    """The strength to begin with: for kegs an oxygen cleaner's, else a beer line cleaner's."""
    return STRENGTHS[2].fraction if rule.of == "keg" else STRENGTHS[0].fraction


def _checked(strength: float) -> float:
    if not LEAST_STRENGTH <= strength <= MOST_STRENGTH:
        raise OutOfRange(
            f"a strength of {strength:.2%} is none that a label asks for: "
            f"{LEAST_STRENGTH:.2%} to {MOST_STRENGTH:.0%}, 1 % being 10 g in a litre"
        )
    return strength


def _solutions(strength: float, units: UnitSystem) -> dict[str, str]:
    """Words for cleaner weighed into round volumes."""
    return {
        "strength": f"{100 * strength:g} %, {1e3 * strength:g} g in a litre",
        "cleaner_litre": words.mass(cleaner_kg(LITRE, strength), units),
        "cleaner_two": words.mass(cleaner_kg(2 * LITRE, strength), units),
    }


def _of_line(tap: Tap, strength: float, units: UnitSystem) -> dict[str, str]:
    held = line_volume(tap)
    made = made_for(held)
    length = sum(piece.length for piece in tap.line)
    return {
        "line": words.volume(held, units),
        "solution": words.volume(made, units),
        "rinse": words.volume(made, units),
        "cleaner": words.mass(cleaner_kg(made, strength), units),
        "length": format_quantity(length, Kind.LENGTH, units),
    }


def _of_flow(flow: CleanFlow, units: UnitSystem) -> dict[str, str]:
    return {
        "move": words.move(flow),
        "flow": words.how_it_flows(flow, units),
        "contact": words.contact(flow, units),
    }


def _of_keg(keg_m3: float, strength: float, units: UnitSystem) -> dict[str, str]:
    quarter = 0.25 * keg_m3
    return {
        "keg": words.volume(keg_m3, units),
        "quarter": words.volume(quarter, units),
        "cleaner_keg": words.mass(cleaner_kg(keg_m3, strength), units),
        "cleaner_quarter": words.mass(cleaner_kg(quarter, strength), units),
        "sanitiser_some": words.volume(4 * LITRE, units),
        "sanitiser_part": _sanitiser(4 * LITRE),
        "sanitiser_keg": _sanitiser(keg_m3),
    }


def _sanitiser(solution_m3: float) -> str:
    """How much concentrate, by what labels commonly say; small measures are in mL anywhere."""
    millilitres = SANITISER_ML_PER_LITRE * solution_m3 / LITRE
    return f"{millilitres:.0f} mL"


def _kept_at(system: System, place: str, units: UnitSystem) -> str:
    return format_quantity(system.place(place).temperature, Kind.TEMPERATURE, units)
