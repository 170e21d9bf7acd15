"""Which leak test to do, step by step, and when to read again.

A test must last until the leak that matters stands out of the readings' own errors: so long that of
a hundred such leaks 95 are seen, and of a hundred sound systems 5 are suspected. The errors of both
are normal, so this is twice the wait of `leaks.seconds_to_see`.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final, Literal

from ullage.errors import OutOfRange
from ullage.everyday_units import PSI
from ullage.physics.constants import STANDARD_ATMOSPHERE
from ullage.plan import cautions
from ullage.plan.answers import Caution
from ullage.plan.fault_cautions import SOAP
from ullage.plan.leak_next import FIRST_LOOK_S
from ullage.plan.leaks import Hold, HoldErrors, Reading, seconds_to_see
from ullage.system.model import System
from ullage.units import Kind, UnitSystem, format_quantity

WEEK_S: Final = 7 * 86_400.0
TWICE: Final = 2.0
Z_ONE_SIDE: Final = 1.645
"""Of the normal distribution, 95 % below."""
LEAST_WEIGH_S: Final = 3_600.0
LONGEST_HOLD_S: Final = 24 * 3_600.0
"""A hold that must last longer is better a weighing: the room is warmer and colder by then."""
TEST_GAUGE_PA: Final = 30.0 * PSI
"""Twice and more what kegs are served at; common practice, no source."""
USUAL_LINE_M, USUAL_BORE_M = 1.2, 0.0079
"""A gas line of which nothing is told: 4 ft of 5/16 in; common practice, no source."""
REGULATOR_M3: Final = 20e-6
"""Gas in a regulator's low side and its gauge; common practice, no source."""
USUAL_ERRORS: Final = HoldErrors()


@dataclass(frozen=True, slots=True)
class LeakQuestion:
    """A leak to look for: one that would let `contents_kg` go in `empties_s`.

    `volume_m3` of gas shut in at `gauge_pa` and `temperature_k` for the hold, with its `errors`;
    `scale_kg`: standard deviation of one weighing.
    """

    contents_kg: float
    empties_s: float
    volume_m3: float
    gauge_pa: float = TEST_GAUGE_PA
    temperature_k: float = 293.15
    ambient_pa: float = STANDARD_ATMOSPHERE.value
    errors: HoldErrors = USUAL_ERRORS
    scale_kg: float = 0.023


@dataclass(frozen=True, slots=True)
class GuidedStep:
    """One thing to do, with the cautions for the hand that does it."""

    do: str
    cautions: tuple[Caution, ...] = ()


@dataclass(frozen=True, slots=True)
class LeakGuide:
    """Which test to do, and both of them step by step.

    `rate_kg_s`: the leak that is looked for. `hold_s`, `weigh_s`: how long after the first reading
    to take the second one.
    """

    advised: Literal["hold", "weigh"]
    sentence: str
    rate_kg_s: float
    hold_s: float
    weigh_s: float
    hold: tuple[GuidedStep, ...]
    weigh: tuple[GuidedStep, ...]


def leak_guide(question: LeakQuestion, units: UnitSystem = "us") -> LeakGuide:
    """Tell which test shows that leak, and when to read again.

    Raises `OutOfRange` for contents, a time, a volume or errors that cannot be.
    """
    rate = _rate(question)
    start = Reading(question.gauge_pa, question.temperature_k)
    hold = Hold(start, start, 1.0, question.volume_m3, None, question.ambient_pa, question.errors)
    hold_s = max(TWICE * seconds_to_see(rate, hold), FIRST_LOOK_S)
    weigh_s = TWICE * Z_ONE_SIDE * math.sqrt(2.0) * question.scale_kg / rate
    weigh_s = max(weigh_s, LEAST_WEIGH_S)
    advised: Literal["hold", "weigh"] = "hold" if hold_s <= LONGEST_HOLD_S else "weigh"
    return LeakGuide(
        advised=advised,
        sentence=_sentence(question, advised, (hold_s, weigh_s), units),
        rate_kg_s=rate,
        hold_s=hold_s,
        weigh_s=weigh_s,
        hold=_hold_steps(question, hold_s, units),
        weigh=_weigh_steps(weigh_s),
    )


def gas_side_m3(system: System | None) -> float:
    """Gas between the cylinder's valve and the kegs' posts, kegs off: its lines, as far as told."""
    usual = 0.25 * math.pi * USUAL_BORE_M**2 * USUAL_LINE_M
    if system is None or not system.regulators:
        return REGULATOR_M3 + usual
    lines = [keg.gas_line for keg in system.kegs if keg.regulator is not None] or [None]
    trunks = [one.gas_line for one in system.regulators if one.gas_line is not None]
    told = [usual if one is None else 0.25 * math.pi * one.bore**2 * one.length for one in lines]
    told += [0.25 * math.pi * one.bore**2 * one.length for one in trunks]
    return REGULATOR_M3 * len(system.regulators) + math.fsum(told)


def hold_gauge_pa(system: System | None) -> float:
    """The pressure of a hold: as usual, and not above the lowest rating of the regulators."""
    ratings = [] if system is None else [one.max_pressure for one in system.regulators]
    return min([TEST_GAUGE_PA, *ratings])


def _rate(question: LeakQuestion) -> float:
    if not question.contents_kg > 0.0:
        raise OutOfRange("an empty cylinder cannot be tested: say how much CO2 is in it")
    if not question.empties_s > 0.0:
        raise OutOfRange("say in how long such a leak empties the cylinder: some weeks")
    if not (question.volume_m3 > 0.0 and question.scale_kg > 0.0):
        raise OutOfRange("the gas shut in and the scale's error must be above 0")
    if question.gauge_pa < 5.0 * question.errors.gauge_pa:
        raise OutOfRange("that is too little pressure for a test: begin with 15 psi (1 bar) or so")
    return question.contents_kg / question.empties_s


def _sentence(
    question: LeakQuestion, advised: str, waits: tuple[float, float], units: UnitSystem
) -> str:
    held = format_quantity(question.contents_kg, Kind.MASS, units)
    weeks = question.empties_s / WEEK_S
    leak = f"a leak that empties {held} in {weeks:.2g} week{'' if weeks == 1.0 else 's'}"
    hold, weigh = (spoken(one) for one in waits)
    if advised == "hold":
        return (
            f"Hold the pressure first: {leak} shows on the gauge after {hold}. On a scale it "
            f"takes {weigh}."
        )
    return (
        f"Weigh the cylinder: {leak} shows on the scale after {weigh}. With so much gas shut in "
        f"the gauge would need {hold}."
    )


def spoken(seconds: float) -> str:
    """A wait as people say it, rounded up: "15 min", "5 h", "3 days".

    >>> spoken(700.0), spoken(17_000.0), spoken(250_000.0)
    ('15 min', '5 h', '3 days')
    """
    if seconds <= 5_400.0:
        return f"{5 * math.ceil(seconds / 300.0):d} min"
    if seconds <= 2 * 86_400.0:
        return f"{math.ceil(seconds / 3600.0):d} h"
    return f"{math.ceil(seconds / 86_400.0):d} days"


def _hold_steps(
    question: LeakQuestion, seconds: float, units: UnitSystem
) -> tuple[GuidedStep, ...]:
    gauge = format_quantity(question.gauge_pa, Kind.PRESSURE, units)
    return (
        GuidedStep(
            "Take the gas disconnects off the kegs: beer that takes up gas looks like a leak, and "
            "no keg then sees the test's pressure."
        ),
        GuidedStep(
            f"Open the cylinder and set {gauge} on the regulator, with every valve behind it open.",
            (cautions.PRESSURE,),
        ),
        GuidedStep(
            "Shut the cylinder's valve, then back the regulator's screw off until it is loose: the "
            "gas between the two would else feed a leak, and the gauge would hold. (If that "
            "lets the line's pressure off, leave the screw as set and go by the high-pressure "
            "gauge: it falls first.) If you hear a hiss, stop here and look for it.",
            (cautions.CO2_AIR,),
        ),
        GuidedStep(
            "Let it come to the room's temperature for half an hour. Read the low-pressure gauge, "
            "in line with the needle, and a thermometer beside it; note the time."
        ),
        GuidedStep(_read_again(seconds)),
        GuidedStep(
            "If it fell: open the cylinder again, and brush soapy water on every joint.", (SOAP,)
        ),
        GuidedStep(
            "Before any keg goes back on: turn the regulator's screw out until it gives nothing, "
            f"let the {gauge} out of the line (press the pin in a gas disconnect, or lift the "
            "regulator's relief valve), and see its gauge at 0. Then set the pressure that your "
            "kegs are served at, and read it again.",
            (cautions.VENTING,),
        ),
        GuidedStep(
            "If it held: the leak is at a keg or the cylinder's own valve. Put the kegs on one by "
            "one, at that lower pressure, and listen at lid and posts, or weigh the cylinder."
        ),
    )


def _read_again(seconds: float) -> str:
    """When to look: soon first, then when the leak looked for must show, overnight last of all."""
    finer = "Only if it still holds then, leave it overnight: that is finer."
    gone = "a gauge that is down at 0 no longer tells how fast."
    if seconds <= FIRST_LOOK_S:
        return (
            f"Touch nothing, and read both after {spoken(seconds)}, with the room as warm as "
            f"before. Not later if it falls: {gone} {finer}"
        )
    return (
        f"Touch nothing, and look after {spoken(FIRST_LOOK_S)}. If it has fallen clearly, read "
        f"both then: {gone} If it held, read both after {spoken(seconds)} or later, with the room "
        f"as warm as before. {finer}"
    )


def _weigh_steps(seconds: float) -> tuple[GuidedStep, ...]:
    return (
        GuidedStep(
            "Weigh the cylinder upright as it stands, regulator and all, its line hanging free.",
            (cautions.CYLINDER,),
        ),
        GuidedStep("Leave it open and on the kegs. Pour nothing, or count what you pour."),
        GuidedStep(
            f"Weigh it again after {spoken(seconds)} or later, on the same scale and the same spot."
        ),
        GuidedStep(
            "Kegs that still take up gas make it lighter too: put what they took under “CO2 used "
            "meanwhile”, or shut the cylinder's valve and see whether the valve itself leaks."
        ),
    )
