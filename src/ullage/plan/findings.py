"""What does not fit, exceeds a rating, or cannot be had together in a system."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from ullage.physics import air
from ullage.plan.answers import CarbonationAnswer, Finding
from ullage.plan.cases import beer_volume, lowest_rating
from ullage.plan.spoken import part
from ullage.system import checks
from ullage.system.model import Regulator, System

SHARED_PA = 7_000.0
"""Beers on one regulator whose pressures differ by more than this cannot all be kept (1 psi)."""
HOUR_S = 3600.0


def findings(
    system: System,
    carbonations: Sequence[CarbonationAnswer],
    beyond: Sequence[Finding],
    today: date,
) -> tuple[Finding, ...]:
    """All findings, the gravest first; `beyond` are those that computing brought up."""
    found = [
        *beyond,
        *(_sentence(one) for one in checks.findings(system, today)),
        *_unreachable(system, carbonations),
        *_unkept(system, carbonations),
        *_shared(system, carbonations),
        *_beers_without_keg(system),
        *_empty_kegs(system),
        *_room(system),
    ]
    order = ("danger", "warning", "note")
    return tuple(sorted(found, key=lambda one: order.index(one.level)))


def _sentence(one: checks.Misfit) -> Finding:
    """A misfit of the parts, its fragments made sentences."""
    what, remedy = (f"{text[:1].upper()}{text[1:].rstrip('.')}." for text in (one.what, one.remedy))
    return Finding(one.level, one.where, what, remedy)


def _unreachable(system: System, carbonations: Sequence[CarbonationAnswer]) -> list[Finding]:
    """Beers that no allowed pressure keeps at their level."""
    found = []
    for answer in carbonations:
        where, wants = f'keg "{answer.keg}"', f"{answer.beer} at {answer.target_vol:.2f} volumes"
        if answer.gauge_pressure_pa.value > lowest_rating(system, system.keg(answer.keg)):
            what = (
                f"{wants} needs more pressure here than the lowest rating of keg, regulator and "
                "lines; so there is no plan for it, nor for its tap."
            )
            remedy = "Serve it colder, or want fewer volumes. Do not set that pressure."
            found.append(Finding("danger", where, what, remedy))
        elif not answer.schedules:
            what = f"{wants} is less than it takes up here even without gauge pressure."
            found.append(Finding("warning", where, what, "Serve it warmer, or want more volumes."))
    return found


def _unkept(system: System, carbonations: Sequence[CarbonationAnswer]) -> list[Finding]:
    """Kegs whose regulator, as it is set now, does not keep their level."""
    return [finding for answer in carbonations if (finding := _unkept_one(system, answer))]


def _unkept_one(system: System, answer: CarbonationAnswer) -> Finding | None:
    present = answer.present_equilibrium_vol
    if present is None or not answer.schedules:  # no pressure can be advised instead
        return None
    if abs(present.value - answer.target_vol) <= answer.tolerance_vol:
        return None
    what = (
        f"{answer.beer} drifts to {present.value:.2f} volumes at the pressure that "
        f'regulator "{system.keg(answer.keg).regulator}" is set to now; it is wanted at '
        f"{answer.target_vol:.2f}."
    )
    remedy = "Set the pressure given for it, or want other volumes."
    return Finding("warning", f'keg "{answer.keg}"', what, remedy)


def _shared(system: System, carbonations: Sequence[CarbonationAnswer]) -> list[Finding]:
    """Regulators that feed beers which want different pressures."""
    return [
        finding
        for regulator in system.regulators
        if (finding := _shared_one(system, regulator, carbonations)) is not None
    ]


def _shared_one(
    system: System, regulator: Regulator, carbonations: Sequence[CarbonationAnswer]
) -> Finding | None:
    fed = [one for one in carbonations if system.keg(one.keg).regulator == regulator.name]
    if len(fed) < 2:
        return None
    low = min(fed, key=lambda one: one.gauge_pressure_pa.value)
    high = max(fed, key=lambda one: one.gauge_pressure_pa.value)
    if high.gauge_pressure_pa.value - low.gauge_pressure_pa.value <= SHARED_PA:
        return None
    return Finding(
        "warning",
        f'regulator "{regulator.name}"',
        f"It feeds beers that want different pressures: {low.beer} the least, {high.beer} the "
        "most. One setting keeps them all only for some days.",
        "Share the regulators out anew, which tells what one more would give (ullage share, or Gas "
        "on the pages); until then set it for the beer you drink slowest, and shut the gas of the "
        "others between pours.",
    )


def _beers_without_keg(system: System) -> list[Finding]:
    kegged = {keg.beer for keg in system.kegs}
    return [
        Finding(
            "note",
            f'beer "{beer.name}"',
            "No keg holds it, so there is nothing to plan for it yet.",
            f'Name it in a keg: beer = "{beer.name}".',
        )
        for beer in system.beers
        if beer.name not in kegged
    ]


def _empty_kegs(system: System) -> list[Finding]:
    return [
        Finding(
            "note",
            f'keg "{keg.name}"',
            f"It holds no {keg.beer} any more, so there is nothing to plan for it.",
            "Fill it and say how much it holds, or leave its beer out.",
        )
        for keg in system.kegs
        if keg.beer is not None and beer_volume(keg) <= 0.0
    ]


def _room(system: System) -> list[Finding]:
    """What the fullest cylinder would do to the room if it emptied there."""
    if system.room is None or not system.cylinders:
        return []
    room = air.Room(
        volume_m3=system.room.volume, air_changes_per_s=system.room.air_changes / HOUR_S
    )
    held = {one.name: _contents(system, one.name) for one in system.cylinders}
    worst = max(held, key=lambda name: held[name])
    fraction = float(air.room_concentration(held[worst], room))
    limits = air.exceeded_limits(fraction)
    if not limits:
        return []
    below = " and it lies below ground, where the gas stays" if system.room.below_ground else ""
    return [
        Finding(
            "danger" if any(limit.name == "NIOSH IDLH" for limit in limits) else "warning",
            f'room "{system.room.name}"',
            f"If {part('cylinder', worst)} emptied into it, the air would hold "
            f"{100 * fraction:.1f} % CO2, above {_limit_words(limits[-1])}{below}.",
            "Mount a CO2 alarm 30 cm above the floor, shut the cylinder when nobody pours for "
            "days, check every joint with foam; if it alarms, leave, then air the room.",
        )
    ]


def _limit_words(limit: air.Limit) -> str:
    return f"the {100 * limit.fraction:g} % of {limit.name} ({limit.meaning})"


def _contents(system: System, name: str) -> float:
    """CO2 in a cylinder (kg); a blend's nitrogen is told with the room (`plan.room`)."""
    cylinder = system.cylinder(name)
    return cylinder.co2_of(cylinder.held_kg)
