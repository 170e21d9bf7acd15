"""The whole answer for one system: every beer, tap and cylinder, and what does not fit."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import TypeVar

from ullage.errors import OutOfRange
from ullage.physics.atmosphere import ambient_pressure
from ullage.physics.constants import GAS_HANDLING
from ullage.plan import cautions, clock
from ullage.plan.answers import CarbonationAnswer, Finding, GasAnswer, PourAnswer, WholeAnswer
from ullage.plan.blend_gas import gas_of_blend
from ullage.plan.carbonation import carbonation
from ullage.plan.cases import beer_volume, keg_case, lowest_rating, residual_vol, wanted
from ullage.plan.findings import findings
from ullage.plan.gas import GasCase, KegUse, gas
from ullage.plan.own import gauge_offset, learnt_of
from ullage.plan.pour import pour
from ullage.plan.tap_cases import tap_case
from ullage.system import parts
from ullage.system.cylinder import Cylinder
from ullage.system.model import Keg, System, Tap


def whole_answer(
    system: System,
    start: datetime | None = None,
    now: datetime | None = None,
) -> WholeAnswer:
    """Answer everything for a system, its carbonation beginning at `start` (default: now).

    A start without an offset is local time; answers bear the local time of their day, or that of
    the start's `ZoneInfo`. What the physics does not reach becomes a finding. Of a system as it
    stands it counts what its household kept (`ullage.plan.own`).
    """
    made = (now or datetime.now(UTC)).astimezone()
    begin = start or made
    begin = begin.astimezone() if begin.tzinfo is None else begin
    ambient = ambient_pressure(system.altitude)
    beyond, one = Beyond(), _Household(system, ambient)
    carbonations = beyond.each(system.kegs, "keg", lambda keg: _carbonation(one, keg, begin))
    by_keg = {answer.keg: answer for answer in carbonations}
    pours = beyond.each(system.taps, "tap", lambda tap: _pour(one, tap, by_keg))
    cylinders = beyond.each(
        system.cylinders, "cylinder", lambda cylinder: _gas(one, cylinder, by_keg)
    )
    return WholeAnswer(
        system=system.name,
        units=system.units,
        made_at=made,
        start=clock.after(begin, 0.0),
        altitude_m=system.altitude,
        ambient_pa=ambient,
        carbonation=carbonations,
        pours=pours,
        gas=cylinders,
        findings=findings(system, carbonations, beyond.found, made.date()),
        cautions=cautions.for_everything(),
    )


Named = TypeVar("Named", Keg, Tap, Cylinder)
Answer = TypeVar("Answer", CarbonationAnswer, PourAnswer, GasAnswer)


class Beyond:
    """Gathers what the physics does not reach as findings, so that the rest is answered."""

    def __init__(self) -> None:
        """Begin with none."""
        self.found: list[Finding] = []

    def each(
        self, parts_: tuple[Named, ...], kind: str, ask: Callable[[Named], Answer | None]
    ) -> tuple[Answer, ...]:
        """Ask of each part; leave out those without an answer and note why they have none."""
        answers = []
        for part in parts_:
            try:
                answer = ask(part)
            except OutOfRange as wrong:
                self._note(f'{kind} "{part.name}"', str(wrong))
            else:
                answers += [] if answer is None else [answer]
        return tuple(answers)

    def _note(self, where: str, what: str) -> None:
        remedy = "Correct what the file says of it, or ask for what it can do."
        self.found.append(Finding("danger", where, f"Beyond what can be computed: {what}.", remedy))


@dataclass(frozen=True, slots=True)
class _Household:
    """What is asked of: the system, its air's pressure."""

    system: System
    ambient_pa: float


def _carbonation(one: _Household, keg: Keg, start: datetime) -> CarbonationAnswer | None:
    if keg.beer is None or beer_volume(keg) <= 0.0:
        return None
    beer = one.system.beer(keg.beer)
    case = keg_case(one.system, keg, beer, one.ambient_pa)
    return carbonation(case, wanted(one.system, keg, beer, start))


def _pour(one: _Household, tap: Tap, by_keg: dict[str, CarbonationAnswer]) -> PourAnswer | None:
    """At the pressure that this beer's plan sets; none where that lies above a rating."""
    answer = by_keg.get(tap.keg)
    if answer is None or not tap.hangs:
        return None
    system = one.system
    beer = system.beer(answer.beer)
    gauge = max(answer.gauge_pressure_pa.value, 0.0)
    if gauge > lowest_rating(system, system.keg(tap.keg)):
        return None
    return pour(tap_case(system, tap, beer, gauge, one.ambient_pa))


def _gas(one: _Household, cylinder: Cylinder, by_keg: dict[str, CarbonationAnswer]) -> GasAnswer:
    system = one.system
    size = parts.cylinder_size(cylinder.size)
    fed = {reg.name for reg in system.regulators if reg.cylinder == cylinder.name}
    kegs = [keg for keg in system.kegs if keg.regulator in fed and keg.name in by_keg]
    names = {keg.name for keg in kegs}
    on = [tap for tap in system.taps if tap.keg in names and tap.hangs]
    drunk = [tap.drinking for tap in on if tap.drinking is not None]
    answer = gas_of_blend if cylinder.is_blend else gas
    return answer(
        GasCase(
            cylinder=cylinder.name,
            size=cylinder.size,
            rated_kg=size.rated_kg,
            remaining_kg=cylinder.held_kg,
            temperature_k=system.place(cylinder.place).temperature,
            ambient_pa=one.ambient_pa,
            kegs=tuple(_keg_use(one, keg, by_keg[keg.name]) for keg in kegs),
            drinking_m3_s=sum(drunk) if drunk else None,
            handling=learnt_of(system).known("handling") or GAS_HANDLING,
            co2_share=cylinder.co2,
        )
    )


def _keg_use(one: _Household, keg: Keg, answer: CarbonationAnswer) -> KegUse:
    """The keg from one filling to the next, whatever it holds just now."""
    kind = parts.keg_kind(keg.kind)
    own = gauge_offset(one.system, keg.name)
    return KegUse(
        keg=keg.name,
        beer_m3=kind.usual_fill_m3,
        head_m3=max(kind.capacity_m3 - kind.usual_fill_m3, 0.0),
        from_vol=residual_vol(one.system.beer(answer.beer), one.ambient_pa),
        to_vol=answer.target_vol,
        gauge_pa=max(answer.gauge_pressure_pa.value + own, 0.0),
        temperature_k=answer.temperature_k,
        sanitiser=True,
    )
