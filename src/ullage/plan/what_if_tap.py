"""How would this line pour, what is in that cylinder: questions without a file.

Each is answered as for a little system made for it, so that it says what `ullage plan` would say.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Final, Literal, get_args

from pydantic import ValidationError

from ullage.cellar.draws import USUAL, Spread
from ullage.errors import OutOfRange
from ullage.physics import beer as beer_physics
from ullage.physics import solubility
from ullage.physics.atmosphere import ambient_pressure
from ullage.physics.constants import GAS_HANDLING, Constant
from ullage.plan import cautions
from ullage.plan.answers import GasAnswer, PourAnswer
from ullage.plan.blend_gas import gas_of_blend
from ullage.plan.cases import composition, lowest_rating
from ullage.plan.gas import PURGE_CYCLES, GasCase, KegUse, gas
from ullage.plan.pour import pour
from ullage.plan.tap_cases import tap_case
from ullage.plan.tap_flow import LONGEST_LINE_M, TapCase, length_for
from ullage.system import parts
from ullage.system.cylinder import full_kg
from ullage.system.model import Beer, Keg, LinePiece, Place, System, Tap

USUAL_KEG = "ball-lock-5gal"
USUAL_SHANK = "shank-4in"
USUAL_FAUCET = "faucet-rear-seal"
USUAL_K = 276.483
SHORTEST_LINE_M = 0.01
"""The shortest piece of line that a system file takes."""
USUAL_VOL = 2.5
USUAL_GAUGE_PA = 77_000.0
RESIDUAL_VOL = 0.86
UNKNOWN_LENGTH_M = 1.0


@dataclass(frozen=True, slots=True)
class LineQuestion:
    """A piece of line: `length_m` (`None`: to be found), bore and catalogue material."""

    length_m: float | None
    bore_m: float
    material: str = "vinyl"


@dataclass(frozen=True, slots=True)
class PourQuestion:
    """How a tap pours; with `pint_s`, what length pours a US pint in that time.

    `carbonation_vol` `None`: in balance with the pressure. `rise_m`: faucet above the keg's middle.
    `wanted_s`: the time for a US pint that the advised length is for, the line staying as it is;
    `None`: `pint_s`, or what a tap is wanted to pour in where nothing is told. `beer_m3`: beer in
    the keg, `None`: the kind's usual fill. `disconnect` `None`: the one that the keg takes.
    `resistance` of the line over the computed, `spread` with the gauge's offset: the household's.
    """

    gauge_pa: float
    line: tuple[LineQuestion, ...]
    temperature_k: float = USUAL_K
    rise_m: float = 0.0
    carbonation_vol: float | None = None
    pint_s: float | None = None
    tower_k: float | None = None
    altitude_m: float = 0.0
    abv_percent: float | None = None
    keg_kind: str = USUAL_KEG
    wanted_s: float | None = None
    shank: str | None = USUAL_SHANK
    faucet: str = USUAL_FAUCET
    disconnect: str | None = None
    beer_m3: float | None = None
    resistance: Constant | None = None
    spread: Spread = USUAL


def pour_what_if(question: PourQuestion) -> PourAnswer:
    """Answer it as for a tap of a system. Raises `OutOfRange`, `UnknownName`."""
    if question.pint_s is None and any(piece.length_m is None for piece in question.line):
        raise OutOfRange("give the line's length, or the time for a pint to have it computed")
    if sum(piece.length_m is None for piece in question.line) > 1:
        raise OutOfRange("only one piece of line can be computed; give the others' lengths")
    system = _checked_system(question)
    case = _tap_case(question, system)
    if question.pint_s is not None:
        case = _cut(case, question)
    answer = pour(case)
    if question.gauge_pa > lowest_rating(system, system.kegs[0]):
        return replace(answer, cautions=(cautions.BEYOND_LINE, *answer.cautions))
    return answer


def _checked_system(question: PourQuestion) -> System:
    """The little system, or the first thing that no system may have, as `OutOfRange`."""
    try:
        return _little_system(question)
    except ValidationError as wrong:
        first = wrong.errors()[0]
        key = next((str(part) for part in reversed(first["loc"]) if isinstance(part, str)), "")
        raise OutOfRange(f"{key.replace('_', ' ')}: {first['msg']}".removeprefix(": ")) from None


def _tap_case(question: PourQuestion, system: System) -> TapCase:
    beer = system.beers[0]
    ambient = ambient_pressure(question.altitude_m)
    case = tap_case(system, system.taps[0], beer, question.gauge_pa, ambient)
    vol = question.carbonation_vol
    if vol is None:
        spread = question.spread
        factor = float(beer_physics.solubility_factor(composition(beer), spread.beer_factor.value))
        absolute = ambient + question.gauge_pa + spread.gauge_offset_pa.value
        vol = solubility.equilibrium_volumes(absolute, question.temperature_k, factor)
    return replace(
        case, carbonation_vol=vol, resistance=question.resistance, spread=question.spread
    )


def _little_system(question: PourQuestion) -> System:
    abv = None if question.abv_percent is None else question.abv_percent / 100.0
    pieces = tuple(
        LinePiece(length=one.length_m or UNKNOWN_LENGTH_M, bore=one.bore_m, material=one.material)
        for one in question.line
    )
    wanted = question.pint_s if question.wanted_s is None else question.wanted_s
    tap = Tap(
        name="tap",
        keg="keg",
        line=pieces,
        rise=question.rise_m,
        shank=question.shank,
        faucet=question.faucet,
        disconnect=question.disconnect,
        tower_temperature=question.tower_k,
        **({} if wanted is None else {"pint_in": wanted}),
    )
    keg = Keg(
        name="keg", kind=question.keg_kind, place="here", beer="beer", volume=question.beer_m3
    )
    return System(
        name="what if",
        altitude=question.altitude_m,
        places=(Place(name="here", temperature=question.temperature_k),),
        beers=(Beer(name="beer", volumes=USUAL_VOL, abv=abv),),
        kegs=(keg,),
        taps=(tap,),
    )


def _cut(case: TapCase, question: PourQuestion) -> TapCase:
    """The case with the unknown piece (or the longest) cut to the wanted pour."""
    assert question.pint_s is not None
    unknown = [case.line[i] for i, one in enumerate(question.line) if one.length_m is None]
    index = unknown[0] if unknown else max(case.line, key=lambda i: case.path[i].length_m)
    length = length_for(case, question.pint_s, index)
    if length > LONGEST_LINE_M:
        raise OutOfRange(
            f"that pour would take {length:.0f} m of this line; choose a narrower bore or a "
            "quicker pour"
        )
    if length < SHORTEST_LINE_M:
        raise OutOfRange(
            "that pour is all that the fittings let through, with no line at all; raise the "
            "pressure, choose a wider bore or a slower pour"
        )
    path = list(case.path)
    path[index] = replace(path[index], length_m=length)
    return replace(case, path=tuple(path))


GasWork = Literal["carbonating", "sanitiser", "purging"]
GAS_WORK: Final[tuple[GasWork, ...]] = get_args(GasWork)
"""What a cylinder's gas may be spared: beer carbonated by yeast, sanitiser not pushed out with it,
a head that is not purged."""


def gas_work(names: Iterable[str]) -> frozenset[GasWork]:
    """Work by its names as typed. Raises `OutOfRange` for what is none."""
    told = tuple(names)
    for one in told:
        if one not in GAS_WORK:
            raise OutOfRange(f'"{one}" is no work of the gas: write {", ".join(GAS_WORK)}')
    return frozenset(one for one in GAS_WORK if one in told)


@dataclass(frozen=True, slots=True)
class GasQuestion:
    """A cylinder by its catalogue size; `mass_kg` `None`: full. Uses are those of a usual keg.

    `without`: work that is done without its gas, or not at all. `handling`: the share lost
    besides; `gauge_offset_pa`: what its regulator gives beyond `gauge_pa`; `co2_share`: CO2 in its
    gas; all the household's.
    """

    size: str
    mass_kg: float | None = None
    temperature_k: float = 293.15
    altitude_m: float = 0.0
    keg_kind: str = USUAL_KEG
    to_vol: float = USUAL_VOL
    gauge_pa: float = USUAL_GAUGE_PA
    without: frozenset[GasWork] = frozenset()
    handling: Constant = GAS_HANDLING
    gauge_offset_pa: float = 0.0
    co2_share: float = 1.0


def gas_what_if(question: GasQuestion) -> GasAnswer:
    """Answer it. Raises `OutOfRange`, `UnknownName`."""
    size = parts.cylinder_size(question.size)
    kind = parts.keg_kind(question.keg_kind)
    full = full_kg(question.size, question.co2_share)
    if question.mass_kg is not None and question.mass_kg > 1.02 * full:
        raise OutOfRange(
            f"{question.mass_kg:.2f} kg is more than a {question.size} cylinder may hold "
            f"({full:.2f} kg); was the tare taken off?"
        )
    keg = KegUse(
        keg=kind.name,
        beer_m3=kind.usual_fill_m3,
        head_m3=max(kind.capacity_m3 - kind.usual_fill_m3, 0.0),
        from_vol=question.to_vol if "carbonating" in question.without else RESIDUAL_VOL,
        to_vol=question.to_vol,
        gauge_pa=max(question.gauge_pa + question.gauge_offset_pa, 0.0),
        temperature_k=USUAL_K,
        sanitiser="sanitiser" not in question.without,
        purges=0 if "purging" in question.without else PURGE_CYCLES,
    )
    answer = gas if question.co2_share >= 1.0 else gas_of_blend
    return answer(
        GasCase(
            cylinder=question.size,
            size=question.size,
            rated_kg=size.rated_kg,
            remaining_kg=full if question.mass_kg is None else question.mass_kg,
            temperature_k=question.temperature_k,
            ambient_pa=ambient_pressure(question.altitude_m),
            kegs=(keg,),
            drinking_m3_s=None,
            handling=question.handling,
            co2_share=question.co2_share,
        )
    )
