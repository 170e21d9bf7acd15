"""What a person types for one question, read and held to what makes sense there.

Each function raises `UnitError` with one sentence that says what would be right.
"""

from __future__ import annotations

import re
from datetime import UTC, date, datetime, timedelta
from typing import Final, Literal, get_args

from ullage.errors import UnitError
from ullage.units import Kind, UnitSystem, parse, shown

MOST_VOL = 6.0
COLDEST_K, WARMEST_K = 270.65, 313.15
MOST_GAUGE_PA = 900_000.0
LONGEST_S = 366 * 86_400.0
STRONGEST = 0.25
US_MARKS = ("f", "℉", "psi", "lb", "pound")
COLDEST_ROOM_K, WARMEST_ROOM_K = 243.15, 323.15
MOST_BEER_M3 = 0.2
MOST_KG = 200.0
MOST_CYLINDER_PA = 2.0e7
LONGEST_SHAKE_S = 6 * 3_600.0
MOST_SUGAR_KG = 5.0
Sugar = Literal["sucrose", "glucose monohydrate", "dry malt extract"]
SUGARS: Final[dict[str, Sugar]] = {
    "sucrose": "sucrose",
    "table sugar": "sucrose",
    "corn sugar": "glucose monohydrate",
    "dextrose": "glucose monohydrate",
    "glucose monohydrate": "glucose monohydrate",
    "malt extract": "dry malt extract",
    "dry malt extract": "dry malt extract",
}
EARLIEST_YEAR: Final = 1900
LATEST_YEAR: Final = 2200
FIRST: Final = datetime(2000, 1, 1, tzinfo=UTC)
CLOCK = re.compile(r"(\d{1,2}):(\d{2})")


def volumes(text: str) -> float:
    """Carbonation in volumes: `2.5`, `2.5 vol` or `5 g/L`, from 0 to 6 volumes."""
    level = parse(f"{text} vol" if _bare(text) else text, Kind.CARBONATION)
    if not 0.0 <= level <= MOST_VOL:
        raise UnitError(f"{shown(text)} is not a level of carbonation; give 0 to 6 volumes")
    return level


def temperature(text: str) -> float:
    """Temperature of a beer in K, from where it freezes (about 28 °F) to 104 °F."""
    kelvin = parse(text, Kind.TEMPERATURE)
    if not COLDEST_K <= kelvin <= WARMEST_K:
        raise UnitError(
            f"{shown(text)} is no temperature for a beer, which freezes at about 28 degF; give 28 "
            "to 104 degF (-2 to 40 degC)"
        )
    return kelvin


def room_temperature(text: str) -> float:
    """Temperature of a place in K, from -22 to 122 °F."""
    kelvin = parse(text, Kind.TEMPERATURE)
    if not COLDEST_ROOM_K <= kelvin <= WARMEST_ROOM_K:
        raise UnitError(
            f"{shown(text)} is no place for a cylinder; give -22 to 122 degF (-30 to 50 degC)"
        )
    return kelvin


def gauge(text: str) -> float:
    """Gauge pressure in Pa, from 0 to 130 psi."""
    pressure = parse(text, Kind.PRESSURE)
    if not 0.0 <= pressure <= MOST_GAUGE_PA:
        raise UnitError(f"{shown(text)} is not a gauge pressure for a keg; give 0 to 130 psi")
    return pressure


def warmer_by(text: str) -> float:
    """A difference of temperatures in K: `6 degF`, `3 degC`, `3 K`.

    >>> round(warmer_by("5.4 degF"), 3), round(warmer_by("3 degC"), 3)
    (3.0, 3.0)
    """
    found = re.fullmatch(r"\s*([+-]?[\d.,]+)\s*(\S.*?)\s*", text)
    if found is None:
        raise UnitError(
            f'{shown(text)} is no difference of temperatures; write "6 degF" or "3 degC"'
        )
    unit = found[2]
    return parse(f"{found[1]} {unit}", Kind.TEMPERATURE) - parse(f"0 {unit}", Kind.TEMPERATURE)


def share(text: str) -> float:
    """A share, 0 to 1: `15 %`."""
    found = parse(text, Kind.FRACTION)
    if not 0.0 <= found <= 1.0:
        raise UnitError(f"{shown(text)} is no share of a whole; give 0 % to 100 %")
    return found


def alarm_limit(measures: Literal["warmth", "time", "pressure", "share"], text: str) -> float:
    """A limit of an alarm in K, s, Pa or as a share, by what it measures."""
    if measures == "warmth":
        return warmer_by(text)
    if measures == "time":
        return duration(text)
    return gauge(text) if measures == "pressure" else share(text)


def duration(text: str) -> float:
    """Time ahead in s, above 0 and up to a year."""
    seconds = parse(text, Kind.DURATION)
    if not 0.0 < seconds <= LONGEST_S:
        raise UnitError(f"{shown(text)} is not a time ahead; give one above 0 and up to a year")
    return seconds


def beer_volume(text: str) -> float:
    """An amount of beer in m³, above 0 and up to 200 L."""
    volume = parse(text, Kind.VOLUME)
    if not 0.0 < volume <= MOST_BEER_M3:
        raise UnitError(f"{shown(text)} is no amount of beer; give more than 0, up to 200 L")
    return volume


def weight(text: str) -> float:
    """A weight on the scale in kg, above 0 and up to 200 kg; `gross` may follow it."""
    bare, word = _without_word(text, "gross")
    return _weight(bare, text if word else bare)


def gas_weight(text: str, tare: str | None, net: bool) -> float:
    """The CO2 in a cylinder in kg: `19.4 lb` on the scale less its `tare`, or `net` as it is.

    `gross` or `net` may follow the weight, as in `6.3 lb net`.
    """
    bare, said_net = _without_word(text, "net")
    if tare is None and not (net or said_net):
        raise UnitError(
            f"is {shown(text)} what the scale shows? Then give --tare, stamped on the cylinder "
            "(TW); if it is the gas alone, --net"
        )
    if tare is None:
        return _weight(bare, text, least=0.0)
    if net or said_net:
        raise UnitError("give --tare for the weight on the scale, or --net for the gas alone")
    held = weight(text) - weight(tare)
    if held < 0.0:
        raise UnitError(f"{shown(text)} is less than the tare {shown(tare)}: are they swapped?")
    return held


def cylinder_gauge(text: str) -> float:
    """What the high side of a regulator shows in Pa, from 0 to 200 bar."""
    pressure = parse(text, Kind.PRESSURE)
    if not 0.0 <= pressure <= MOST_CYLINDER_PA:
        raise UnitError(f"{shown(text)} is not what a cylinder's gauge shows; give 0 to 2900 psi")
    return pressure


def sugar_weight(text: str) -> float:
    """A weight of priming sugar in kg, above 0 and up to 5 kg."""
    mass = parse(text, Kind.MASS)
    if not 0.0 < mass <= MOST_SUGAR_KG:
        raise UnitError(
            f"{shown(text)} is no amount of priming sugar; give more than 0, up to 5 kg"
        )
    return mass


def sugar(text: str) -> Sugar:
    """Which sugar, by its name in the kitchen or in the trade.

    >>> sugar("corn sugar")
    'glucose monohydrate'
    """
    found = SUGARS.get(" ".join(text.lower().split()))
    if found is None:
        raise UnitError(
            f"{shown(text)} is no sugar known here; write one of {', '.join(sorted(SUGARS))}"
        )
    return found


def shaking(text: str) -> float:
    """How long a keg was rocked in s, above 0 and up to 6 hours."""
    seconds = parse(text, Kind.DURATION)
    if not 0.0 < seconds <= LONGEST_SHAKE_S:
        raise UnitError(f"{shown(text)} is no time to rock a keg; give more than 0, up to 6 h")
    return seconds


def co2_share(text: str) -> float:
    """The CO2 in a blend as a share of 1: `25 %`, `25` or `0.25`; 1 to 100 %."""
    bare = float(text.replace(",", ".")) if _bare(text) else None
    share = parse(text, Kind.FRACTION) if bare is None else bare if bare <= 1.0 else bare / 100.0
    if not 0.01 <= share <= 1.0:
        raise UnitError(f"{shown(text)} is no share of CO2 in a blend; give 1 to 100 %")
    return share


def percent(text: str | None) -> float | None:
    """Alcohol by volume in %, from 0 to 25, bare or with its sign."""
    if text is None:
        return None
    share = parse(f"{text} %" if _bare(text) else text, Kind.FRACTION)
    if not 0.0 <= share <= STRONGEST:
        raise UnitError(f"{shown(text)} is not the alcohol of a beer; give 0 to 25 %")
    return 100.0 * share


def moment(text: str | None) -> datetime | None:
    """A time in ISO 8601; without an offset it is local."""
    if text is None:
        return None
    try:
        return datetime.fromisoformat(text).astimezone()
    except (ValueError, OverflowError):
        raise UnitError(
            f"{shown(text)} is not a time; write one such as 2026-11-25T18:00"
        ) from None


def when(text: str | None) -> datetime:
    """A moment of a log, as `moment` reads it, or `18:00` for today; left out: now.

    From 2000 on and up to a year ahead: further off it is a slip of the hand.
    """
    now = datetime.now(UTC).astimezone()
    if text is None:
        return now
    clock = CLOCK.fullmatch(text.strip())
    if clock is not None and int(clock[1]) < 24 and int(clock[2]) < 60:
        day = now.replace(tzinfo=None, second=0, microsecond=0)
        return day.replace(hour=int(clock[1]), minute=int(clock[2])).astimezone()
    found = moment(text)
    assert found is not None
    if not FIRST <= found <= now + timedelta(seconds=LONGEST_S):
        raise UnitError(
            f"{shown(text)} is too far off; give a time up to a year ahead, from 2000 on"
        )
    return found


def day(text: str | None) -> date | None:
    """A day in ISO 8601, of the years that a system file may speak of."""
    if text is None:
        return None
    try:
        found = date.fromisoformat(text)
    except ValueError:
        raise UnitError(f"{shown(text)} is not a day; write one such as 2026-11-25") from None
    if not EARLIEST_YEAR <= found.year < LATEST_YEAR:
        raise UnitError(f"{shown(text)} is too far away to plan for; write one such as 2026-11-25")
    return found


def unit_system(text: str | None) -> UnitSystem | None:
    """`us` or `metric`."""
    for known in get_args(UnitSystem):
        if text == known:
            found: UnitSystem = known
            return found
    if text is None:
        return None
    raise UnitError(f"{shown(text)} is not a system of units; write us or metric")


def units_of(text: str) -> UnitSystem:
    """The units to answer in: those of a temperature, pressure or mass in the question.

    >>> units_of("38 degF"), units_of("3C"), units_of("0.8 bar"), units_of("10 lb")
    ('us', 'metric', 'metric', 'us')
    """
    return "us" if any(mark in text.lower() for mark in US_MARKS) else "metric"


def today() -> date:
    """Today's date where this machine stands."""
    return datetime.now(UTC).astimezone().date()


def _bare(text: str) -> bool:
    """Whether the text is a number without a unit."""
    return text.strip().replace(",", ".").replace(".", "", 1).isdigit()


def _without_word(text: str, word: str) -> tuple[str, bool]:
    """The text without a word at its end, and whether it was there."""
    bare = text.rstrip().removesuffix(word)
    return bare.rstrip(), bare != text.rstrip()


def _weight(bare: str, text: str, least: float = 1e-9) -> float:
    mass = parse(bare, Kind.MASS)
    if not least <= mass <= MOST_KG:
        raise UnitError(f"{shown(text)} is no weight; give more than 0, up to 200 kg")
    return mass
