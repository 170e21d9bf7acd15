"""Curves of the models of line and gas: restriction, cylinder, purging, the room."""

from __future__ import annotations

from math import log10
from typing import Final

import numpy as np

from scripts.models_page import gas, line
from scripts.pictures.chart import Drawn, Picture, axes, curve, dots, finished, level, name, plot
from ullage.draw import theme
from ullage.draw.plot import Plot, Range
from ullage.draw.svg import Caption
from ullage.physics import air, cylinder, headspace
from ullage.physics.constants import (
    CO2_LIMIT_DANGER,
    CO2_LIMIT_SHIFT,
    CO2_LIMIT_SHORT,
)
from ullage.system import parts

PPM: Final = 1e6


def restriction_curve() -> Picture:
    """A foot of smooth tube at one flow, by its bore."""
    up = Range("psi lost in a foot", log10(0.03), log10(6.0))
    area = plot(Range("bore, sixteenths of an inch", 2.7, 6.4, 5), up)
    ours = [(n, log10(line.per_foot(n / 16.0 * line.INCH))) for n in np.linspace(2.7, 6.4, 38)]
    computed = [(float(n), log10(psi)) for _, n, psi in line.SMOOTH]
    drawn = [*curve(area, ours), *dots(area, computed), *_handbook(area)]
    drawn += name(area, computed[1], "smooth, by the library fluids")
    caption = Caption(
        "restriction",
        "What a foot of line takes at 1 US gallon a minute: a smooth tube and the handbook",
        "Line: Ullage. Rings: computed with the library fluids. Full marks: the handbook's "
        "figures for vinyl, above the line, and for barrier line, below it, held to nothing.",
    )
    ticks = [(log10(psi), f"{psi:g}") for psi in (0.03, 0.1, 0.3, 1.0, 3.0)]
    return finished(caption, [*drawn, *axes(area, up=ticks)])


def _handbook(area: Plot) -> Drawn:
    drawn: Drawn = []
    for material in ("vinyl", "barrier"):
        rows = [
            (
                16.0 * row.bore_m / line.INCH,
                log10(row.pa_per_m * line.FOOT / line.PSI),
            )
            for row in parts.restrictions()
            if row.material == material
        ]
        drawn += dots(area, rows, theme.INK)
        drawn += name(
            area, min(rows), f"handbook, {material}", "start" if material == "vinyl" else "end"
        )
    return drawn


def cylinder_curves() -> Picture:
    """What the gauge tells of what is left: nothing, then all."""
    across, up = (
        Range("of the rated fill, %", 0.0, 100.0, 5),
        Range("on the gauge, psi", 0, 1000, 5),
    )
    area, drawn = plot(across, up), []
    for (kelvin, share), word in zip(gas.LIQUID_GONE, ("70 °F", "41 °F"), strict=True):
        ours = [(float(s), _gauge(float(s), kelvin)) for s in np.linspace(1.0, 100.0, 100)]
        gone = (share, _gauge(share, kelvin))
        drawn += curve(area, ours)
        drawn += dots(area, [gone])
        drawn += name(area, (100.0, gone[1] + 45.0), word, "end")
        drawn += name(area, (share, gone[1] - 60.0), f"liquid gone: {share:g} %")
    drawn += dots(area, [(60.0, 830.0)])
    drawn += name(area, (60.0, 880.0), "suppliers: 830 psi at 70 °F", "middle")
    caption = Caption(
        "cylinder",
        "What the gauge of a cylinder shows, by how much is left in it",
        "Lines: Ullage at 70 and at 41 °F. Rings: where the liquid is gone, worked out "
        "beforehand with CoolProp, and the suppliers' 830 psi at 70 °F.",
    )
    return finished(caption, [*drawn, *axes(area)])


def _gauge(percent: float, kelvin: float) -> float:
    volume = cylinder.water_capacity(gas.FULL_KG)
    state = cylinder.cylinder_state(percent / 100.0 * gas.FULL_KG, volume, kelvin)
    return state.gauge_pressure_pa / gas.PSI


def purging_curves() -> Picture:
    """Oxygen left in the headspace."""
    up = Range("oxygen left, ppm", 0.0, 5.6)
    area = plot(Range("purges", 0.0, 12.0, 7), up, 56.0, 72.0)
    drawn: Drawn = []
    for psi in (15, 30):
        ours = [
            (float(n), log10(PPM * headspace.oxygen_after_purges(float(n), psi * gas.PSI)))
            for n in range(13)
        ]
        ours = [point for point in ours if point[1] >= 0.3]
        drawn += curve(area, ours)
        drawn += name(area, ours[-1], f"{psi} psi")
    drawn += dots(area, [(float(n), log10(ppm)) for _, n, ppm in gas.PURGED])
    caption = Caption(
        "purging",
        "Oxygen left in the headspace after each purge",
        "Lines: Ullage at 15 and at 30 psi. Rings: perfect mixing, by hand.",
    )
    ticks = [(float(power), f"{10**power:,}") for power in range(6)]
    return finished(caption, [*drawn, *axes(area, up=ticks)])


def room_curve() -> Picture:
    """A cylinder of 10 lb let out at once."""
    area = plot(Range("room, m³", 10.0, 100.0, 6), Range("CO2 in its air, %", 0.0, 26.0, 6))
    ours = [
        (float(m3), 100.0 * float(air.room_concentration(gas.FULL_KG, air.Room(m3, background=0))))
        for m3 in np.linspace(10.0, 100.0, 91)
    ]
    limits = (
        (CO2_LIMIT_DANGER, "4 % (NIOSH)"),
        (CO2_LIMIT_SHORT, ""),
        (CO2_LIMIT_SHIFT, "0.5 % (OSHA)"),
    )
    drawn = [one for limit, said in limits for one in level(area, 100.0 * limit.value, said)]
    point = (gas.ROOM_M3, gas.ROOM_PERCENT)
    drawn += [*curve(area, ours), *dots(area, [point])]
    drawn += name(area, point, "by hand: 8.2 % in 30 m³")
    drawn += name(area, (13.0, 22.0), "10 lb let out at once, shut room")
    caption = Caption(
        "room",
        "What a 10 lb cylinder let out at once makes of a room's air",
        "Line: Ullage. Ring: by hand. Hairlines: 0.5 % all day long (OSHA), 3 % for 15 "
        "minutes (ACGIH), 4 % dangerous at once (NIOSH).",
    )
    return finished(caption, [*drawn, *axes(area)])
