"""What stands the least pressure of all that a keg's or a regulator's gas reaches."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from ullage.system import parts
from ullage.system.checks import keg_rating_pa
from ullage.system.model import Keg, LinePiece, System


@dataclass(frozen=True, slots=True)
class Weakest:
    """A part of a chain and what it is marked for, gauge Pa."""

    gauge_pa: float
    what: str

    def forbids(self, gauge_pa: float) -> bool:
        """Whether so much (gauge Pa) may not be set on what stands no more than this.

        Whatever tells a person to set a pressure asks here first.
        """
        return gauge_pa > self.gauge_pa


def weakest(system: System, keg: Keg) -> Weakest:
    """Of all that sees this keg's gas: itself, its regulator, gas lines that are told, beer lines.

    A gas line that the system file leaves out is not known, and so not counted.
    """
    return min(_chain(system, keg), key=lambda one: one.gauge_pa)


def weakest_of(system: System | None, keg: str, kind: str) -> Weakest:
    """The same of a keg by its name; of its kind alone where no system describes it."""
    known = None if system is None else next((one for one in system.kegs if one.name == keg), None)
    if system is None or known is None:
        return Weakest(parts.keg_kind(kind).max_gauge_pa, "the keg")
    return weakest(system, known)


def weakest_behind(system: System, kegs: Sequence[Keg]) -> Weakest:
    """The same of all that the gas of several kegs reaches, one regulator's say.

    Raises `ValueError` where there is no keg.
    """
    return min((weakest(system, keg) for keg in kegs), key=lambda one: one.gauge_pa)


def _chain(system: System, keg: Keg) -> Iterator[Weakest]:
    yield Weakest(keg_rating_pa(keg), "the keg")
    if keg.regulator is not None:
        regulator = system.regulator(keg.regulator)
        yield Weakest(regulator.max_pressure, "the regulator")
        yield from _lines("the gas line", (keg.gas_line, regulator.gas_line))
    for tap in system.taps:
        if tap.keg == keg.name:  # a free one too: its line is often left on the keg it served last
            yield from _lines("the beer line", tap.line)


def _lines(what: str, pieces: Sequence[LinePiece | None]) -> Iterator[Weakest]:
    for piece in pieces:
        if piece is not None:
            yield Weakest(parts.line_material(piece.material).max_gauge_pa, what)
