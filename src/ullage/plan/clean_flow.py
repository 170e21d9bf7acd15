"""The flow that cleaning solution reaches through a tap's own line, and the method that suits it.

The published advice is 15 minutes circulating at up to 2 US gal/min, or 20 minutes standing. Few
lines as thin as a home brewer's ever see 2 gal/min: what they do see follows from the same
hydraulics as a pour, with water as warm as the solution in place of beer.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Final, Literal

from ullage.errors import OutOfRange
from ullage.everyday_units import PSI
from ullage.physics import co2, hydraulics, water
from ullage.physics.atmosphere import ambient_pressure
from ullage.physics.constants import LAMINAR_LIMIT, TURBULENT_LIMIT
from ullage.physics.friction import reynolds, speed
from ullage.physics.hydraulics import Path, Segment
from ullage.plan.cases import lowest_rating
from ullage.plan.clean_drive import Drive, Means, check
from ullage.plan.spoken import pressure
from ullage.plan.tap_cases import way
from ullage.system import parts
from ullage.system.model import System, Tap

MOST_FLOW_M3_S: Final = 2 * 3.785411784e-3 / 60.0
"""2 US gal/min: Brewers Association, Draught Beer Quality Manual, the most for circulating."""
CIRCULATE_S: Final = 15 * 60.0
STAND_S: Final = 20 * 60.0
"""15 min circulating or 20 min standing: Brewers Association, Draught Beer Quality Manual."""
LEAST_FLOW_M3_S: Final = 1e-7
USUAL_PUSH_PA: Final = 10 * PSI
"""Where the tap's regulator is set to nothing; common practice, no source."""
_HALVINGS: Final = 50

Regime = Literal["at rest", "laminar", "between", "turbulent"]
Method = Literal["circulate", "stand", "none"]


@dataclass(frozen=True, slots=True)
class PieceFlow:
    """One piece of the line at that flow."""

    name: str
    length_m: float
    bore_m: float
    speed_m_s: float
    reynolds: float
    regime: Regime


@dataclass(frozen=True, slots=True)
class CleanFlow:
    """What one means does to one line.

    `flow_m3_s`: 0 where it does not lift the solution to the faucet; `held_back`: it would be more
    than published and is to be throttled to that. `speed_m_s`, `reynolds`, `regime`: of the piece
    of line where the flow is calmest. `fills_s`: how long the solution takes from end to end.
    `lasts_s`: how long `solution_m3` lasts if it does not come back. `gas_kg`: to push all of it
    out of a keg of `keg_m3` that held air above it. `method`, `contact_s`: what suits and for how
    long. `rating_gauge_pa`: the lowest rating of what sees the gas.
    """

    means: Means
    temperature_k: float
    gauge_pressure_pa: float | None
    shut_off_m: float | None
    free_flow_m3_s: float | None
    flow_m3_s: float
    held_back: bool
    share_of_published: float
    speed_m_s: float
    reynolds: float
    regime: Regime
    pieces: tuple[PieceFlow, ...]
    fills_s: float | None
    solution_m3: float
    lasts_s: float | None
    gas_kg: float | None
    rating_gauge_pa: float | None
    method: Method
    contact_s: float


def clean_flows(
    system: System, tap: Tap, drive: Drive, line_m3: float, solution_m3: float
) -> tuple[CleanFlow, CleanFlow]:
    """The flow by the pump, and by gas from a clean keg of the tap's kind.

    `line_m3`: what line and shank hold; `solution_m3`: how much is made. Raises `OutOfRange` for a
    pump, a pressure or a temperature that is none.
    """
    check(drive)
    way_m = way(system, tap)
    return (
        _by_pump(way_m, drive, line_m3, solution_m3),
        _by_gas(system, tap, way_m, drive, line_m3, solution_m3),
    )


def chosen(flows: tuple[CleanFlow, ...], means: Means) -> CleanFlow:
    """The one of them that the steps go by."""
    return next(one for one in flows if one.means == means)


def _by_pump(whole: Path, drive: Drive, line_m3: float, solution_m3: float) -> CleanFlow:
    """Out of a bucket whose level is at the keg's foot, through the line's own disconnect."""
    pump = drive.pump
    path = _without_dip_tube(whole)
    rho, mu = _properties(drive.temperature_k)

    def too_much(flow: float) -> float:
        lost = float(hydraulics.pressure_drop(flow, path, rho, mu))
        return lost - pump.pressure(flow, rho)

    reached = _root(too_much, pump.free_flow_m3_s)
    flow = min(reached, MOST_FLOW_M3_S)
    pieces = _pieces(path, flow, rho, mu)
    turbulent = _calmest(pieces).regime == "turbulent"
    method: Method = "none" if flow == 0.0 else "circulate" if turbulent else "stand"
    return replace(
        _flowing("pump", drive, flow, pieces, (line_m3, solution_m3)),
        shut_off_m=pump.shut_off_m,
        free_flow_m3_s=pump.free_flow_m3_s,
        held_back=reached > MOST_FLOW_M3_S,
        method=method,
        contact_s=CIRCULATE_S if method == "circulate" else STAND_S,
    )


def _by_gas(
    system: System, tap: Tap, path: Path, drive: Drive, line_m3: float, solution_m3: float
) -> CleanFlow:
    """Out of a clean keg that is nearly empty: what it pushes stands no higher than the foot.

    What is pushed does not come back: it circulates only where it lasts as long as it must.
    """
    keg = system.keg(tap.keg)
    gauge = _gauge(system, tap, drive.gauge_pa)
    rho, mu = _properties(drive.temperature_k)
    reached = float(hydraulics.flow_rate(gauge, path, rho, mu))
    reached = 0.0 if reached < LEAST_FLOW_M3_S else reached
    flow = min(reached, MOST_FLOW_M3_S)
    pieces = _pieces(path, flow, rho, mu)
    found = _flowing("keg", drive, flow, pieces, (line_m3, solution_m3))
    enough = found.lasts_s is not None and found.lasts_s >= CIRCULATE_S
    moves = enough and found.regime == "turbulent"
    method: Method = "none" if flow == 0.0 else "circulate" if moves else "stand"
    capacity = parts.keg_kind(keg.kind).capacity_m3
    return replace(
        found,
        gauge_pressure_pa=gauge,
        held_back=reached > MOST_FLOW_M3_S,
        gas_kg=push_gas(gauge, capacity, solution_m3, drive.temperature_k, system.altitude),
        rating_gauge_pa=lowest_rating(system, keg),
        method=method,
        contact_s=CIRCULATE_S if method == "circulate" else STAND_S,
    )


def push_gas(
    gauge_pa: float,
    keg_m3: float,
    solution_m3: float,
    temperature_k: float,
    altitude_m: float = 0.0,
) -> float:
    """CO2 (kg) that pushes all the solution out of a keg which held air above it.

    At the end the whole keg is gas at the pressure; the air that was in it is still there, spread
    over it, and CO2 is the rest. What the solution swallows comes on top.

    >>> f"{1e3 * push_gas(69e3, 19e-3, 2e-3, 293.15):.0f} g"  # 69 kPa + 2/19 atm, over 19 L
    '27 g'
    """
    ambient = ambient_pressure(altitude_m)
    air = ambient * max(keg_m3 - solution_m3, 0.0) / keg_m3
    return float(co2.gas_mass(ambient + gauge_pa - air, keg_m3, temperature_k))


def _flowing(
    means: Means,
    drive: Drive,
    flow: float,
    pieces: tuple[PieceFlow, ...],
    volumes: tuple[float, float],
) -> CleanFlow:
    line_m3, solution_m3 = volumes
    calm = _calmest(pieces)
    return CleanFlow(
        means=means,
        temperature_k=drive.temperature_k,
        gauge_pressure_pa=None,
        shut_off_m=None,
        free_flow_m3_s=None,
        flow_m3_s=flow,
        held_back=False,
        share_of_published=flow / MOST_FLOW_M3_S,
        speed_m_s=calm.speed_m_s,
        reynolds=calm.reynolds,
        regime=calm.regime,
        pieces=pieces,
        fills_s=line_m3 / flow if flow else None,
        solution_m3=solution_m3,
        lasts_s=solution_m3 / flow if flow else None,
        gas_kg=None,
        rating_gauge_pa=None,
        method="none",
        contact_s=STAND_S,
    )


def _gauge(system: System, tap: Tap, gauge_pa: float | None) -> float:
    """What the gas pushes with: as told, else as the keg's regulator is set."""
    keg = system.keg(tap.keg)
    most = lowest_rating(system, keg)
    if gauge_pa is not None:
        if not 0.0 <= gauge_pa <= most:
            raise OutOfRange(
                f"{pressure(gauge_pa)} is no pressure to push with: 0 to {pressure(most)}, the "
                "lowest rating of keg, regulator and line"
            )
        return gauge_pa
    set_pa = None if keg.regulator is None else system.regulator(keg.regulator).pressure
    return min(set_pa or USUAL_PUSH_PA, most)


def _properties(temperature_k: float) -> tuple[float, float]:
    """Density and viscosity of a thin solution: water's, at its temperature, all along the way."""
    return water.density(temperature_k), water.viscosity(temperature_k)


def _without_dip_tube(whole: Path) -> tuple[Segment, ...]:
    """The way from the disconnect on, with the whole lift in its first piece."""
    tube, first, *others = whole
    return (replace(first, rise_m=first.rise_m + tube.rise_m), *others)


def _pieces(path: Path, flow: float, rho: float, mu: float) -> tuple[PieceFlow, ...]:
    return tuple(
        PieceFlow(
            name=one.name,
            length_m=one.length_m,
            bore_m=one.bore_m,
            speed_m_s=float(speed(flow, one.bore_m)),
            reynolds=(number := float(reynolds(flow, one.bore_m, rho, mu))),
            regime=regime(number),
        )
        for one in path
        if one.name.startswith("line")
    )


def regime(number: float) -> Regime:
    """What a flow is like by its Reynolds number, as the friction factor has it.

    >>> regime(1500.0), regime(2500.0), regime(9000.0)
    ('laminar', 'between', 'turbulent')
    """
    if number <= 0.0:
        return "at rest"
    if number <= LAMINAR_LIMIT.value:
        return "laminar"
    return "turbulent" if number >= TURBULENT_LIMIT.value else "between"


def _calmest(pieces: tuple[PieceFlow, ...]) -> PieceFlow:
    return min(pieces, key=lambda one: one.reynolds)


def _root(rising: Callable[[float], float], top: float) -> float:
    """Where a rising function passes 0 between 0 and `top`; 0 where it is above from the start."""
    if rising(LEAST_FLOW_M3_S) >= 0.0:
        return 0.0
    low, high = 0.0, top
    for _ in range(_HALVINGS):
        middle = 0.5 * (low + high)
        low, high = (low, middle) if rising(middle) >= 0.0 else (middle, high)
    return 0.5 * (low + high)
