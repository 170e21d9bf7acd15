"""The way from the beer in a keg to the glass, as segments the hydraulics can follow."""

from __future__ import annotations

import math
from dataclasses import replace

from ullage.physics.friction import bore_change_loss
from ullage.physics.hydraulics import Segment
from ullage.plan.cases import beer_level, composition
from ullage.plan.own import learnt_of, own_spread
from ullage.plan.tap_flow import TapCase
from ullage.system import parts
from ullage.system.model import Beer, Keg, LinePiece, System, Tap


def tap_case(system: System, tap: Tap, beer: Beer, gauge_pa: float, ambient_pa: float) -> TapCase:
    """The tap in numbers, at that gauge pressure on its keg.

    With what its household has of its own: the line's resistance, the offset of the gauge.
    """
    keg = system.keg(tap.keg)
    kind = parts.keg_kind(keg.kind)
    path, line = _path(system, tap, keg)
    restriction, rest_pa = _handbook(tap)
    return TapCase(
        tap=tap.name,
        keg=keg.name,
        beer_name=beer.name,
        beer=composition(beer),
        carbonation_vol=beer.volumes,
        gauge_pa=gauge_pa,
        ambient_pa=ambient_pa,
        path=path,
        line=line,
        line_words=", ".join(piece.material for piece in tap.line),
        level_m=beer_level(keg),
        full_level_m=kind.usual_fill_m3 / kind.cross_section_m2,
        wanted_pint_s=tap.pint_in,
        handbook_pa_m=restriction,
        handbook_rest_pa=rest_pa,
        resistance=learnt_of(system).known("line", tap.name),
        spread=own_spread(system, keg.name),
    )


def way(system: System, tap: Tap) -> tuple[Segment, ...]:
    """The pieces of a tap's way, from the dip tube's foot to the mouth of the faucet."""
    return _path(system, tap, system.keg(tap.keg))[0]


def _handbook(tap: Tap) -> tuple[float | None, float]:
    """The trade's restriction of the longest piece (Pa/m), and of all others together (Pa)."""
    found = [parts.handbook_restriction(piece.material, piece.bore) for piece in tap.line]
    known = [row.pa_per_m for row in found if row is not None]
    if len(known) < len(found):
        return None, 0.0
    longest = max(range(len(found)), key=lambda i: tap.line[i].length)
    each = [pa_m * piece.length for pa_m, piece in zip(known, tap.line, strict=True)]
    return known[longest], sum(each) - each[longest]


def _path(system: System, tap: Tap, keg: Keg) -> tuple[tuple[Segment, ...], tuple[int, ...]]:
    """Dip tube, disconnect, pieces of line, shank, faucet; and where the pieces stand in it.

    The dip tube rises its own length; what is left of the way up from the keg's foot to the faucet
    is shared by the pieces of line by their lengths.
    """
    kind = parts.keg_kind(keg.kind)
    cold = system.place(keg.place).temperature
    tower = tap.tower_temperature or cold
    up = 0.5 * kind.height_m + tap.rise - kind.dip_tube_length_m
    total = sum(piece.length for piece in tap.line)
    tube = _dip_tube(kind, cold)
    disconnect = _fitting(parts.disconnect(_disconnect(tap, kind)), cold, "disconnect")
    before = [tube, _less(disconnect, bore_change_loss(tube.bore_m, disconnect.bore_m))]
    pieces = [
        _piece(piece, up * piece.length / total, cold, _piece_name(number, len(tap.line)))
        for number, piece in enumerate(tap.line, start=1)
    ]
    faucet = _fitting(parts.faucet(tap.faucet), tower, "faucet")
    after = [_less(faucet, bore_change_loss(faucet.bore_m, math.inf))]
    if tap.shank is not None:
        after.insert(0, _fitting(parts.shank(tap.shank), tower, "shank"))
    first = len(before)
    return (*before, *pieces, *after), tuple(range(first, first + len(pieces)))


def _disconnect(tap: Tap, kind: parts.KegKind) -> str:
    return kind.connection if tap.disconnect is None else tap.disconnect


def _dip_tube(kind: parts.KegKind, temperature_k: float) -> Segment:
    return Segment(
        length_m=kind.dip_tube_length_m,
        bore_m=kind.dip_tube_bore_m,
        rise_m=kind.dip_tube_length_m,
        temperature_k=temperature_k,
        name="dip tube",
    )


def _fitting(fitting: parts.Fitting, temperature_k: float, name: str) -> Segment:
    return Segment(
        length_m=fitting.length_m,
        bore_m=fitting.bore_m,
        loss_coefficient=fitting.loss_coefficient,
        temperature_k=temperature_k,
        name=name,
    )


def _less(fitting: Segment, counted: float) -> Segment:
    """The fitting without a loss that the hydraulics counts by itself.

    The catalogue's K holds the narrows at a fitting's inlet and its exit; the hydraulics adds
    every change of bore, the last one into the room.
    """
    return replace(fitting, loss_coefficient=max(fitting.loss_coefficient - counted, 0.0))


def _piece(piece: LinePiece, rise_m: float, cold_k: float, name: str) -> Segment:
    return Segment(
        length_m=piece.length,
        bore_m=piece.bore,
        rise_m=rise_m,
        roughness_m=parts.line_material(piece.material).roughness_m,
        temperature_k=piece.temperature or cold_k,
        name=name,
    )


def _piece_name(number: int, pieces: int) -> str:
    return "line" if pieces == 1 else f"line {number}"
