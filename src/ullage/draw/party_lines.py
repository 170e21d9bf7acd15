"""A party as lines of text for a terminal, and as the sentences that a page shares."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from typing import Final

from ullage.draw.log_lines import cautioned, wrapped
from ullage.draw.theme import local_day as day
from ullage.everyday_units import US_PINT_M3
from ullage.plan.party_answer import Chill, PartyAnswer, PartyBeer, PartyGas, PartyKeg, Queue
from ullage.plan.spoken import listed, part
from ullage.units import Kind, UnitSystem, format_quantity

MORE: Final = "Besides, in kegs that no tap pours yet:"


def party_lines(answer: PartyAnswer, units: UnitSystem) -> list[str]:
    """The sentence, beer by beer, the cold, the taps, the gas, and the cautions."""
    lines = [*wrapped(lead(answer, units)), *wrapped(drinks_words(answer, units))]
    for beer in answer.beers:
        lines += ["", *wrapped(beer_words(beer, units, answer.at, covered=answer.enough))]
        lines += [
            f"  {line}" for keg in beer.kegs for line in wrapped(keg_words(keg, units, answer.at))
        ]
    if answer.more:
        lines += ["", MORE]
        lines += [
            f"  {line}" for keg in answer.more for line in wrapped(keg_words(keg, units, answer.at))
        ]
    lines.append("")
    lines += [line for words in things_words(answer, units) for line in wrapped(words)]
    lines += [line for remark in answer.remarks for line in wrapped(remark)]
    return lines + cautioned(answer.cautions)


def lead(answer: PartyAnswer, units: UnitSystem) -> str:
    """Whether there is enough, and what is missing."""
    wanted = format_quantity(answer.beer_m3, Kind.VOLUME, units)
    who = f"{answer.guests} guest{'' if answer.guests == 1 else 's'}"
    when = f"{answer.name} on {day(answer.starts, answer.at)}"
    if answer.enough:
        return f"{when}: {wanted} for {who}, and there is enough if the kegs below are ready."
    short = format_quantity(answer.short_m3, Kind.VOLUME, units)
    return f"{when}: {wanted} for {who}; {short} are missing."


def drinks_words(answer: PartyAnswer, units: UnitSystem) -> str:
    """What was counted on for each guest."""
    size = format_quantity(answer.drink_m3, Kind.VOLUME, units)
    return (
        f"{answer.drinks:g} drinks of {size} each until {moment(answer.ends, answer.at)}, and a "
        "twentieth for foam."
    )


def beer_words(beer: PartyBeer, units: UnitSystem, at: datetime, *, covered: bool = False) -> str:
    """How much of one beer, and what is missing of it; `covered`: kegs besides make up for it."""
    wanted, there = (
        format_quantity(one, Kind.VOLUME, units) for one in (beer.wanted_m3, beer.there_m3)
    )
    kegs = "1 keg" if beer.kegs_needed == 1 else f"{beer.kegs_needed} kegs"
    said = f"{beer.beer}: {wanted} are wanted, as much as {kegs} hold; {there} will be there"
    if beer.kegs_needed == 1:
        said = said.replace("1 keg hold", "1 keg holds")
    if beer.short_m3 <= 0.0:
        return f"{said}."
    short = format_quantity(beer.short_m3, Kind.VOLUME, units)
    if covered:
        return f"{said}, {short} less than its part: the kegs that are not on tap make up for it."
    by = (
        f"Brew it by {day(beer.brew_by, at)}."
        if beer.brew_by is not None
        else "It is too late to brew it: buy beer, or pour more of another."
    )
    return f"{said}, so {short} are missing. {by}"


def keg_words(keg: PartyKeg, units: UnitSystem, at: datetime) -> str:
    """A keg, and whether its beer makes it."""
    amount = format_quantity(keg.beer_m3, Kind.VOLUME, units)
    name = part("keg", keg.keg)
    name = f"{name[:1].upper()}{name[1:]}"
    if keg.beer_m3 < US_PINT_M3:
        return f"{name}: drunk empty by then, most likely."
    if keg.tap:
        name = f"{name} ({keg.beer})"
    if keg.standing == "ready":
        return f"{name}: {amount} then, ready now.{tap_words(keg)}"
    if keg.standing == "unknown":
        return f"{name}: {amount} then; whether it is ready cannot be told: describe its batch."
    ready = "" if keg.ready_at is None else f", ready {day(keg.ready_at, at)}"
    how = f" by {keg.way}" if keg.way and keg.way != "as it stands" else " as it stands"
    late = "" if keg.standing == "in time" else ", too late"
    do = f" First: {keg.do}" if keg.do else ""
    return f"{name}: {amount} then{ready}{how}{late}.{do}{tap_words(keg)}"


def tap_words(keg: PartyKeg) -> str:
    """On which tap a keg goes that is on none yet, and when; "" for one that is on a tap."""
    if not keg.tap or keg.standing in ("late", "unknown"):
        return ""
    on = part("tap", keg.tap)
    when = f" when {part('keg', keg.after)} is empty" if keg.after else ", which is free"
    other = f" Its posts take a {keg.disconnect} disconnect: change it." if keg.disconnect else ""
    return f" Tap it on {on}{when}.{other}"


def things_words(answer: PartyAnswer, units: UnitSystem) -> Iterator[str]:
    """The cold, the taps and the gas, a sentence each."""
    yield (
        chill_words(answer.chill, units, answer.at)
        if answer.chill
        else "Every keg for it is cold already."
    )
    if answer.queue is not None:
        yield queue_words(answer.queue)
    yield from (gas_words(one, units) for one in answer.gas)


def chill_words(chill: Chill, units: UnitSystem, at: datetime) -> str:
    """By when warm kegs have to be in the fridge."""
    names = ", ".join(chill.kegs)
    warm, cold = (
        format_quantity(one, Kind.TEMPERATURE, units) for one in (chill.from_k, chill.to_k)
    )
    hours = f"{chill.takes_s.value / 3600:.0f} h ({chill.takes_s.high / 3600:.0f} h at most)"
    by = (
        f"Have {_those(chill)} in by {moment(chill.into_fridge_by, at)}."
        if chill.in_time
        else "That is too late now: use ice and water around them, or serve others."
    )
    if chill.in_time and not chill.to_move:
        by = "In the cold already, and in time."
    return (
        f"Warm: {names}. From {warm} to {cold} takes {hours}, limited by {chill.limited_by}. {by}"
    )


def _those(chill: Chill) -> str:
    """The kegs that are to be moved, by name where others are in the cold already."""
    return "them" if chill.to_move == chill.kegs else listed(chill.to_move)


def queue_words(queue: Queue) -> str:
    """How many glasses the taps draw against what is asked for in the first hour."""
    asked, drawn = (60.0 * one for one in (queue.asked_per_s, queue.drawn_per_s))
    taps = "1 tap draws" if queue.taps == 1 else f"{queue.taps} taps draw"
    said = f"In the first hour guests ask for {asked:.1f} drinks a minute; {taps} {drawn:.1f}"
    if queue.wait_s is None:
        return (
            f"{said}: the queue grows by {queue.grows:.0f} guests in that hour. Pour pitchers "
            "ahead, or add a tap."
        )
    wait = "less than a minute" if queue.wait_s < 60.0 else f"{queue.wait_s / 60:.0f} min"
    return f"{said}, busy {100 * queue.busy:.0f} % of the time. A guest waits {wait} on average."


def gas_words(gas: PartyGas, units: UnitSystem) -> str:
    """What a cylinder gives and holds."""
    told = (gas.takes_kg, gas.holds_kg.value, gas.holds_kg.low, gas.holds_kg.high)
    takes, holds, low, high = (format_quantity(one, Kind.MASS, units) for one in told)
    name = part("cylinder", gas.cylinder)
    between = "" if low == high else f" ({low} to {high})"
    what = "CO2" if gas.co2_share >= 1.0 else "the blend"
    said = f"It takes {takes} of {what} from {name}, which will hold {holds}{between} by then"
    if gas.enough:
        return f"{said}: that is enough."
    short = "that may not be enough" if gas.likely else "not enough"
    return f"{said}: {short}, have it filled before."


def moment(when: datetime, beside: datetime) -> str:
    """A day and the time of day; its year where it is not that of `beside`."""
    return f"{day(when, beside)} {when.astimezone():%H:%M}"
