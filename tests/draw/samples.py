"""A whole answer made up by hand: three taps with plausible numbers, for pictures and pages."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta, timezone
from math import exp

from ullage.plan.answers import (
    Band,
    CarbonationAnswer,
    Caution,
    CoursePoint,
    Finding,
    GasAnswer,
    GasUse,
    LineAdvice,
    LinePoint,
    Method,
    PourAnswer,
    Schedule,
    Step,
    WholeAnswer,
)
from ullage.system.model import System

PSI = 6894.757
FOOT = 0.3048
ZONE = timezone(timedelta(hours=-6))
START = datetime(2026, 11, 26, 18, 0, tzinfo=ZONE)
DAY = timedelta(days=1)


def _course(start_vol: float, end_vol: float, tau_days: float, psi: float) -> list[CoursePoint]:
    points = []
    for hour in range(0, 14 * 24 + 1, 4):
        days = hour / 24
        reached = end_vol - (end_vol - start_vol) * exp(-days / tau_days)
        half = 0.14 * abs(reached - start_vol) * (1.15 - min(days, 14) / 20)
        points.append(
            CoursePoint(
                at=START + timedelta(hours=hour),
                reached_vol=reached,
                reached_low_vol=reached - half,
                reached_high_vol=reached + half * 0.8,
                gauge_pressure_pa=psi * PSI,
                temperature_k=276.5,
            )
        )
    return points


def schedule(method: Method, target: float, psi: float, ready_days: float) -> Schedule:
    """One schedule that gets to the target in about `ready_days`."""
    titles = {
        "hold": f"Hold at {psi:.1f} psi until it is there",
        "burst": f"Burst at 40 psi for a day, then {psi:.1f} psi",
        "shake": f"Shake at 30 psi for half an hour, then {psi:.1f} psi",
    }
    first = {"hold": psi, "burst": 40.0, "shake": 30.0}[method]
    steps = [Step(START, f"Open the gas and set {first:.1f} psi.", first * PSI)]
    if method == "shake":
        steps.append(Step(START + 0.01 * DAY, "Rock the keg on its side for 30 minutes.", None))
    if method != "hold":
        later = START + (1 if method == "burst" else 0.03) * DAY
        steps.append(
            Step(later, f"Close the gas, vent, and set the regulator to {psi:.1f} psi.", psi * PSI)
        )
    ready = START + ready_days * DAY
    return Schedule(
        method=method,
        title=titles[method],
        steps=tuple(steps),
        course=tuple(_course(0.86, target + 0.02, ready_days / 3.2, psi)),
        ready_at=ready,
        ready_early=START + 0.7 * ready_days * DAY,
        ready_late=START + 1.35 * ready_days * DAY,
        makes_date=True,
        cautions=(
            (Caution("warning", "The keg holds 40 psi: vent it before you open it."),)
            if method == "burst"
            else ()
        ),
        remark="Nothing to do in between; the band comes from how fast still beer takes up gas.",
        gas_kg=0.07,
        visits=len(steps),
        needs=(),
    )


def carbonation(beer: str, keg: str, place: str, target: float, psi: float) -> CarbonationAnswer:
    """A beer with three ways to carbonate it."""
    return CarbonationAnswer(
        beer=beer,
        keg=keg,
        place=place,
        target_vol=target,
        tolerance_vol=0.1,
        start_vol=0.86,
        temperature_k=276.5,
        gauge_pressure_pa=Band(psi * PSI, (psi - 0.6) * PSI, (psi + 0.7) * PSI),
        equilibrium_vol=Band(target, target - 0.05, target + 0.05),
        present_gauge_pressure_pa=None,
        present_equilibrium_vol=None,
        schedules=(
            schedule("hold", target, psi, 8.0),
            schedule("burst", target, psi, 1.6),
            schedule("shake", target, psi, 0.6),
        ),
        advised="hold",
        wanted_by=START + 9 * DAY,
        cautions=(Caution("note", "Check every joint with foam before you leave the gas on."),),
        remarks=("The level in the keg before carbonating is taken from the fermentation.",),
    )


def over_carbonated() -> CarbonationAnswer:
    """A beer that holds more gas than wanted and never gets ready in the time looked at."""
    base = carbonation("Porter", "keg 3", "left tap", 2.1, 7.4)
    hold = base.schedules[0]
    flat = tuple(
        replace(
            point,
            reached_vol=2.9 - 0.01 * i / 12,
            reached_low_vol=2.8 - 0.012 * i / 12,
            reached_high_vol=2.95 - 0.008 * i / 12,
        )
        for i, point in enumerate(hold.course)
    )
    never = replace(hold, course=flat, ready_at=None, ready_early=None, ready_late=None)
    return replace(base, start_vol=2.9, schedules=(replace(never, makes_date=False),), advised=None)


def profile(psi: float, line_ft: float) -> tuple[LinePoint, ...]:
    """Pressure along a plain line of one piece, in a fridge with a faucet in its door."""
    parts = [
        ("dip tube", 1.9, 0.3, 276.5),
        ("disconnect", 0.15, 0.5, 276.5),
        ("line 3/16 in vinyl", line_ft, 9.5, 276.5),
        ("shank", 0.45, 0.2, 285.0),
        ("faucet", 0.3, 0.6, 290.0),
    ]
    total = sum(loss for _, _, loss, _ in parts)
    points, at, pouring, shut = [], 0.0, psi + 0.7, psi + 0.7
    for part, feet, loss, kelvin in parts:
        for i in range(6):
            share = i / 5
            points.append(
                LinePoint(
                    distance_m=(at + share * feet) * FOOT,
                    part=part,
                    gauge_pouring_pa=(pouring - share * loss * (psi + 0.2) / total) * PSI,
                    gauge_shut_pa=(shut - share * feet * 0.12) * PSI,
                    gauge_saturation_pa=(psi - 0.3 + (kelvin - 276.5) * 0.45) * PSI,
                    temperature_k=kelvin,
                )
            )
        at += feet
        pouring -= loss * (psi + 0.2) / total
        shut -= feet * 0.12
    return tuple(points)


def pour(tap: str, keg: str, beer: str, psi: float, line_ft: float) -> PourAnswer:
    """A tap that pours a little fast."""
    pint = Band(7.4, 6.6, 8.5)
    return PourAnswer(
        tap=tap,
        keg=keg,
        beer=beer,
        gauge_pressure_pa=psi * PSI,
        length_m=line_ft * FOOT,
        line="3/16 in vinyl",
        flow_m3_s=Band(6.4e-5, 5.6e-5, 7.2e-5),
        pint_s=pint,
        half_litre_s=Band(7.8, 7.0, 9.0),
        speed_m_s=3.6,
        reynolds=7200,
        full_pint_s=7.1,
        empty_pint_s=7.9,
        wanted_pint_s=10.0,
        advised=LineAdvice(
            "the length for a pint in 10 s", 3.05, 10.0, "Friction takes up the head pressure."
        ),
        handbook=LineAdvice(
            "the handbook's length",
            1.2,
            5.4,
            "Its 3 psi per foot holds at one US gallon a minute only.",
        ),
        profile=profile(psi, line_ft),
        breakout_m=(1.9 + 0.15 + 1.2) * FOOT,
        breakout_part="line 3/16 in vinyl",
        shut_margin_pa=-0.8 * PSI,
        shut_margin_part="faucet",
        cautions=(
            Caution(
                "warning", "The faucet is warm: let the first glass take the foam, or cool it."
            ),
        ),
        remarks=("The pour slows by 0.8 s from a full keg to an empty one.",),
    )


def gas() -> GasAnswer:
    """A five-pound cylinder, three quarters full."""
    return GasAnswer(
        cylinder="main",
        size="5 lb",
        remaining_kg=1.7,
        rated_kg=2.268,
        temperature_k=294.0,
        cylinder_gauge_pa=838 * PSI,
        phase="liquid and gas",
        liquid_gone_below_kg=0.68,
        uses=(
            GasUse("carbonate one full keg", 0.075),
            GasUse("push out one full keg", 0.042),
            GasUse("purge an empty keg", 0.11),
        ),
        kegs_left=Band(7.5, 6.4, 8.8),
        weeks_left=Band(31, 24, 39),
        cautions=(
            Caution(
                "danger",
                "CO2 is heavier than air and puts you to sleep: keep a fridge in a cellar aired.",
            ),
        ),
        remarks=("The gauge stays at 838 psi until the liquid is gone; only the scale knows.",),
    )


def whole() -> WholeAnswer:
    """Three taps: a wheat, a pale ale and a porter on one cylinder."""
    taps = (
        ("Wheat", "keg 1", "tap 1", 2.6, 13.1, 6.0),
        ("Pale ale", "keg 2", "tap 2", 2.4, 11.2, 5.0),
        ("Porter", "keg 3", "tap 3", 2.1, 7.9, 5.0),
    )
    return WholeAnswer(
        system="Garage fridge",
        units="us",
        made_at=START,
        start=START,
        altitude_m=250.0,
        ambient_pa=98_358.0,
        carbonation=tuple(carbonation(b, k, t, v, p) for b, k, t, v, p, _ in taps),
        pours=tuple(pour(t, k, b, p, f) for b, k, t, _, p, f in taps),
        gas=(gas(),),
        findings=(
            Finding(
                "warning",
                "keg 3",
                "The three beers want three pressures and one regulator gives one.",
                "Fit a secondary regulator for the porter, or serve all three at 2.4 volumes.",
            ),
            Finding("note", "tap 2", "The line is shorter than advised.", "Fit 10 ft."),
        ),
        cautions=(
            Caution("danger", "Air the room: CO2 gathers in low places. Fit an alarm."),
            Caution("warning", "Stand the cylinder upright, chain it, and never heat it."),
            Caution("note", "The maker's instructions and your local codes come first."),
        ),
    )


def system_of(taps: int) -> System:
    """A system of many taps: two cylinders, three regulators, two fridges."""
    kegs = [
        {
            "name": f"K{i}",
            "kind": "ball-lock-5gal",
            "place": "fridge" if i % 3 else "keezer",
            "regulator": f"regulator {i % 3}",
            "beer": f"Beer number {i}",
            "volume": f"{1 + i % 4} gal",
        }
        for i in range(taps)
    ]
    line = [{"length": "10 ft", "bore": "3/16 in"}]
    return System.model_validate(
        {
            "name": "Club & <cellar>",
            "place": [
                {"name": "fridge", "temperature": "38 degF"},
                {"name": "keezer", "temperature": "41 degF"},
                {"name": "cellar", "temperature": "60 degF"},
            ],
            "cylinder": [
                {"name": "big", "size": "20 lb", "place": "cellar"},
                {"name": "small", "size": "5 lb", "place": "fridge"},
            ],
            "regulator": [
                {"name": f"regulator {i}", "cylinder": "small" if i == 2 else "big"}
                for i in range(3)
            ],
            "beer": [{"name": f"Beer number {i}", "volumes": "2.4 vol"} for i in range(taps)],
            "keg": kegs,
            "tap": [
                {"name": f"tap {i}", "keg": f"K{i}", "line": line, "rise": "18 in"}
                for i in range(taps)
            ],
        }
    )


def silent() -> WholeAnswer:
    """An answer that says nothing, as when a system has no beer yet."""
    return replace(whole(), carbonation=(), pours=(), gas=(), findings=(), cautions=())
