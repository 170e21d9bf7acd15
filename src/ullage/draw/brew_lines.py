"""Brewing ahead as lines of text for a terminal, and as the sentences that a page shares."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import datetime
from typing import Final

from ullage.draw.log_lines import cautioned, wrapped
from ullage.draw.theme import local_day as day
from ullage.plan.brewing_adopt import BrewingAdopted
from ullage.plan.brewing_answer import (
    LEFT_OVER_M3,
    BatchPlan,
    BrewingAnswer,
    Cure,
    DryTime,
    KegFilled,
    TapAhead,
    UntoldTap,
)
from ullage.plan.brewing_question import LeadTime
from ullage.plan.spoken import headed, listed, part
from ullage.units import Kind, UnitSystem, format_quantity

DAY_S: Final = 86_400.0
WEEK_S: Final = 7 * DAY_S
HALF_A_DAY: Final = 0.5


def brewing_lines(answer: BrewingAnswer, units: UnitSystem) -> list[str]:
    """The sentence, the batches by their day, dry taps and what helps, what was counted on."""
    lines = [*wrapped(lead(answer, units)), *wrapped(dryness(answer))]
    if answer.batches:
        lines.append("")
    for batch in answer.batches:
        lines += wrapped(batch_words(batch, units, answer.at))
        lines += [f"  {words}" for words in _kegs(batch, units, answer.at)]
    for dry in answer.dry:
        lines += wrapped(f"Dry: {dry_words(dry, answer.at)}")
    lines += [line for cure in answer.cures for line in wrapped(f"Helps: {cure_words(cure)}")]
    if answer.taps or answer.untold:
        lines.append("")
    lines += wrapped(untold_words(answer.untold))
    lines += [line for tap in answer.taps for line in wrapped(tap_words(tap, answer, units))]
    lines += [line for one in answer.leads for line in wrapped(lead_words(one))]
    lines += _foot(answer)
    return lines


def adopted_lines(adopted: BrewingAdopted, units: UnitSystem) -> list[str]:
    """What was made the plan, and its steps."""
    lines = wrapped(lead(adopted.answer, units))
    if adopted.withdrawn:
        lines += wrapped(f"{_steps(adopted.withdrawn)} of the plan before taken back.")
    lines += wrapped(f"{_steps(len(adopted.steps))} planned:")
    for step in adopted.steps:
        name = headed(step.subject_kind, step.subject)
        lines += wrapped(f"{step.step[:8]}  {day(step.at, adopted.answer.at)}, {name}: {step.do}")
    return [*lines, *cautioned(adopted.answer.cautions)]


def lead(answer: BrewingAnswer, units: UnitSystem) -> str:
    """What to brew first, in one sentence."""
    brews = answer.brews
    if brews:
        one = brews[0]
        amount = format_quantity(one.volume_m3, Kind.VOLUME, units)
        more = "" if len(brews) == 1 else f", the first of {len(brews)} brews"
        return (
            f"Brew {amount} of {one.beer} into {part('fermenter', one.fermenter)} on "
            f"{day(one.brew_at, answer.at)}{more} until {day(answer.until, answer.at)}."
        )
    if not answer.taps and answer.untold:
        taps = part_of(answer.untold)
        return f"When to brew cannot be told: how quickly {taps} is drunk is not known."
    if not answer.taps:
        return "There is no tap to brew for yet."
    if answer.dry:
        return f"No brew makes a difference before {day(answer.until, answer.at)}."
    whose = " for the other taps" if answer.untold else ""
    return f"Nothing has to be brewed{whose} until {day(answer.until, answer.at)}."


def dryness(answer: BrewingAnswer) -> str:
    """Whether taps run dry with it, and how sure that is."""
    if not answer.taps:
        return ""
    sure = f"counted on drinking that is quicker only {100 - round(100 * answer.sureness)} % of"
    how = "counted on the usual drinking" if answer.sureness <= 0.5 else f"{sure} the time"
    if not answer.dry:
        return f"No {'other ' if answer.untold else ''}tap runs dry, {how}."
    first = answer.dry[0]
    more = "" if len(answer.dry) == 1 else f" It is the first of {len(answer.dry)} such times."
    return f"No brew can prevent this: {dry_words(first, answer.at)}, {how}.{more}"


def dry_words(dry: DryTime, at: datetime) -> str:
    """Which tap is dry, from when and for how long."""
    days = f"{dry.days:.0f} days" if round(dry.days) != 1 else "a day"
    days = "some hours" if dry.days < HALF_A_DAY else days
    until = "the end of what was looked at" if dry.to_the_end else day(dry.ends, at)
    name = part("tap", dry.tap)
    return f"{name} has no {dry.beer} from {day(dry.begins, at)} to {until} ({days})"


def untold_words(untold: Sequence[UntoldTap]) -> str:
    """Which taps are left out, why, and what can be told of their beers; "" where none is."""
    if not untold:
        return ""
    taps = listed([f"{part('tap', one.tap)} ({one.beer})" for one in untold])
    times = {one.beer: f"{one.beer} takes {_days(one.lead_s)}" for one in untold}
    how = "it is" if len(untold) == 1 else "they are"
    return (
        f"Nothing is planned for {taps}: how quickly {how} drunk is not known. Whatever that is, "
        f"from brew day to glass {listed(list(times.values()))}."
    )


def told_by(answer: BrewingAnswer) -> list[str]:
    """How a terminal is told what is missing."""
    if not answer.untold:
        return []
    tap = answer.untold[0].tap.partition(" and ")[0]
    return wrapped(
        f'Say it with --drunk "{tap}=7 pints/week", for good as drinking of the tap in the system '
        "file, or write pours down and it is learnt."
    )


def part_of(untold: Sequence[UntoldTap]) -> str:
    """The taps by name: `the beer on tap left and tap right`."""
    return f"the beer on {listed([part('tap', one.tap) for one in untold])}"


def cure_words(cure: Cure) -> str:
    """What would help, and what it leaves."""
    weeks = f"in the next {round(cure.looked_s / WEEK_S)} weeks"
    left = (
        "no tap dry"
        if cure.dry_days < HALF_A_DAY
        else f"{cure.dry_days:.0f} dry days, all taps together,"
    )
    return f"{cure.what} would leave {left} {weeks}."


def batch_words(batch: BatchPlan, units: UnitSystem, at: datetime) -> str:
    """A batch from its brew day to its packaging."""
    amount = format_quantity(batch.volume_m3, Kind.VOLUME, units)
    verb = "begun" if batch.begun else "brew"
    packed = (
        f"package {day(batch.packaged_at, at)}"
        if batch.packaged_at is not None
        else "no keg is empty for it yet"
    )
    name = part("fermenter", batch.fermenter)
    return (
        f"{batch.beer}, {amount}: {verb} {day(batch.brew_at, at)} in {name}, done "
        f"{day(batch.done_at, at)}, {packed}"
    )


def keg_words(keg: KegFilled, units: UnitSystem, at: datetime) -> str:
    """A keg from its filling to its kick."""
    amount = format_quantity(keg.volume_m3, Kind.VOLUME, units)
    on = (
        "waits for its tap"
        if keg.tap is None or keg.tapped_at is None
        else f"on {part('tap', keg.tap)} {day(keg.tapped_at, at)}"
    )
    gone = "" if keg.kicked_at is None else f", may be empty {day(keg.kicked_at, at)}"
    return f"{amount} into {part('keg', keg.keg)}: ready {day(keg.ready_at, at)}, {on}{gone}"


def tap_words(tap: TapAhead, answer: BrewingAnswer, units: UnitSystem) -> str:
    """How quickly a tap is drunk, and what is counted on."""
    usual, low, high = (
        format_quantity(one * WEEK_S, Kind.VOLUME, units)
        for one in (tap.drunk_m3_s.value, tap.drunk_m3_s.low, tap.drunk_m3_s.high)
    )
    counted = ""
    if answer.sureness > 0.5:
        most = format_quantity(tap.counted_m3_s * WEEK_S, Kind.VOLUME, units)
        counted = f"; {most} is counted on"
    return (
        f"{headed('tap', tap.tap)} ({tap.beer}): {usual} a week, {low} to {high}{counted}; "
        f"{tap.learnt}."
    )


def lead_words(one: LeadTime) -> str:
    """How long a beer takes from its brew day to the glass."""
    cold = f" and {_days(one.conditions_s)} cold" if one.conditions_s else ""
    quick = (
        f" (by {one.quick_way} {_days(one.quick_s)})"
        if one.quick_s < one.carbonates_s - DAY_S / 2 and one.quick_way != one.way
        else ""
    )
    usual = "" if one.ferments_told else " (the usual: nobody said yours)"
    return (
        f"{one.beer}: {_days(one.ferments_s)} in the fermenter{usual}{cold}, then "
        f"{_days(one.carbonates_s)} on gas, {one.way}{quick}."
    )


def _days(seconds: float) -> str:
    count = round(seconds / DAY_S)
    return "a day" if count == 1 else f"{count} days"


def _steps(count: int) -> str:
    return "1 step" if count == 1 else f"{count} steps"


def _kegs(batch: BatchPlan, units: UnitSystem, at: datetime) -> Iterator[str]:
    for keg in batch.kegs:
        yield from wrapped(keg_words(keg, units, at))
    if batch.left_over_m3 > LEFT_OVER_M3:
        amount = format_quantity(batch.left_over_m3, Kind.VOLUME, units)
        yield f"{amount} is left over"


def _foot(answer: BrewingAnswer) -> list[str]:
    lines = [line for remark in answer.remarks for line in wrapped(remark)]
    if not answer.proven and answer.taps:
        lines += wrapped("Found by search; another choice of brews may be a little better.")
    return [*lines, *cautioned(answer.cautions)]
