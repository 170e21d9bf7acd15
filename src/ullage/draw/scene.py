"""What every part of the diagram is drawn from, and how each part is called in words."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from ullage.draw.known import day_read, spoken, written
from ullage.draw.live import KegLive, Known, Live, Told
from ullage.draw.metric import fitted, width_of
from ullage.plan.spoken import headed, part
from ullage.system import parts
from ullage.system.cylinder import Cylinder
from ullage.system.model import Keg, Place, Regulator, System, Tap
from ullage.units import Kind, UnitSystem, format_quantity

GLASS: Final[dict[UnitSystem, str]] = {"us": "US pint", "metric": "half litre"}
_GLASS_SHORT: Final[dict[UnitSystem, str]] = {"us": "pint", "metric": "½ L"}
_SAID: Final = {"short": "short of", "over": "above", "there": "wanted"}


@dataclass(frozen=True, slots=True)
class Scene:
    """A system with what is known of it, in a household's units."""

    system: System
    live: Live
    units: UnitSystem

    def text(self, known: Known, kind: Kind) -> str:
        """Write a number with how it is known."""
        return written(known, kind, self.units)

    def loop(self, part: Keg | Place | Cylinder | Regulator) -> int:
        """Give the number of a part's instruments: kegs from 101, places from 201, and so on."""
        system = self.system
        for start, found in (
            (101, system.kegs),
            (201, system.places),
            (301, system.cylinders),
            (401, system.regulators),
        ):
            if part in found:
                return start + found.index(part)
        return 0

    def place_temperature(self, place: Place) -> Known:
        """Give how cold a place is: read, or as it was told."""
        return self.live.places_k.get(place.name, Told(place.temperature))

    def wanted(self, live: KegLive) -> str:
        """Say what the beer is wanted at, and whether it is there."""
        if live.wanted_vol is None or live.verdict is None:
            return ""
        wanted = format_quantity(live.wanted_vol, Kind.CARBONATION, self.units)
        return f"{_SAID[live.verdict]} {wanted}"

    def glass(self, known: Known, room: float, size: float) -> str:
        """Say how much a pour time is for, and when it was read, within a room."""
        read = when_read(known)
        said = f"{GLASS[self.units]}, {read}" if read else GLASS[self.units]
        if width_of(said, size) <= room:
            return said
        return f"{_GLASS_SHORT[self.units]}, {read}"

    def place_label(self, place: Place, room: float, size: float) -> str:
        """Name a place with how cold it is; the name is cut, if need be, never the number."""
        after = f", {self.text(self.place_temperature(place), Kind.TEMPERATURE)}"
        return fitted(place.name, room - width_of(after, size), size) + after

    def keg_name(self, keg: Keg) -> str:
        """Say a keg in words: "Keg K1, Amber Ale, 2.41 volumes estimated, 12.3 L left …"."""
        live = self.live.keg(keg.name)
        said = [headed("keg", keg.name), keg.beer or "empty"]
        said += self._spoken(live.level_vol, Kind.CARBONATION, "")
        said += [self.wanted(live)] if live.level_vol else []
        said += self._spoken(live.left_m3, Kind.VOLUME, " left")
        said += self._spoken(live.temperature_k, Kind.TEMPERATURE, "")
        said += self._spoken(live.head_gauge_pa, Kind.PRESSURE, " in its head")
        gas = "no gas" if keg.regulator is None else f"gas from {keg.regulator}"
        said.append(f"{gas}, shut" if keg.regulator and live.gas_on is False else gas)
        return _joined([*said, f"in {keg.place}"])

    def tap_name(self, tap: Tap) -> str:
        """Say a tap in words."""
        said = [headed("tap", tap.name), f"from {part('keg', tap.keg)}"]
        time = self.live.pours_s.get(tap.name)
        said += self._spoken(time, Kind.DURATION, f" for a {GLASS[self.units]}")
        return _joined(said)

    def cylinder_name(self, one: Cylinder) -> str:
        """Say a cylinder in words."""
        known = self.live.cylinders_kg.get(one.name)
        said = [
            headed("cylinder", one.name),
            one.size,
            *self._spoken(known, Kind.MASS, " of gas left"),
        ]
        return _joined([*said, f"in {one.place}"])

    def regulator_name(self, one: Regulator) -> str:
        """Say a regulator in words."""
        said = [headed("regulator", one.name), f"on {part('cylinder', one.cylinder)}"]
        known = None if one.pressure is None else Told(one.pressure)
        return _joined([*said, *(self._spoken(known, Kind.PRESSURE, " set") or ["not told"])])

    def place_name(self, place: Place) -> str:
        """Say a place in words."""
        known = self.place_temperature(place)
        return _joined([place.name, *self._spoken(known, Kind.TEMPERATURE, "")])

    def _spoken(self, known: Known | None, kind: Kind, after: str) -> list[str]:
        return [] if known is None else [spoken(known, kind, self.units, after)]

    def described(self) -> str:
        """Say in words what the whole diagram shows."""
        return " ".join(f"{one}." for one in self._sentences()) or "Nothing is described yet."

    def _sentences(self) -> Iterator[str]:
        for one in self.system.cylinders:
            yield f"{headed('cylinder', one.name)} in {one.place}"
        for keg in self.system.kegs:
            taps = ", ".join(tap.name for tap in self.system.taps_of(keg.name)) or "no tap"
            gas = f"gas from {keg.regulator}" if keg.regulator else "no gas"
            name = headed("keg", keg.name)
            yield f"{name} in {keg.place}: {keg.beer or 'empty'}, {gas}, to {taps}"


def fullness(keg: Keg, live: KegLive) -> float | None:
    """Give how full a keg is, as a share of what it holds to the brim; `None` without beer."""
    if keg.beer is None or live.left_m3 is None:
        return None
    return live.left_m3.value / parts.keg_kind(keg.kind).capacity_m3


def when_read(known: Known | None) -> str:
    """Say the day of a reading, or nothing."""
    return day_read(known) or ""


def _joined(said: list[str]) -> str:
    return ", ".join(one for one in said if one)
