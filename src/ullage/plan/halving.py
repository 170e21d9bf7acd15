"""Where to look next for a leak: the gas side as a row of parts, halved at what can be shut."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from ullage.errors import OutOfRange
from ullage.plan import cautions
from ullage.plan.answers import Caution
from ullage.plan.fault_cautions import SOAP
from ullage.plan.leak_answer import Split
from ullage.plan.spoken import part
from ullage.system.model import System
from ullage.system.parts import unknown


@dataclass(frozen=True, slots=True)
class Section:
    """A stretch of the gas side. `shut`: what parts it from the one before; `where`: to brush."""

    name: str
    shut: str
    where: str


def sections(system: System) -> tuple[Section, ...]:
    """The gas side of a system from its cylinders on, as what can be shut parts it."""
    found: list[Section] = []
    for cylinder in system.cylinders:
        name = cylinder.name
        found.append(
            Section(
                f"cylinder {name}",
                "",
                "the cylinder's valve and its stem (a filler mends that, not you)",
            )
        )
        for regulator in (one for one in system.regulators if one.cylinder == name):
            kegs = [keg for keg in system.kegs if keg.regulator == regulator.name]
            found.append(
                Section(
                    part("regulator", regulator.name),
                    f"the valve of cylinder {name}",
                    "the washer at the cylinder's valve, both gauges, the relief valve",
                )
            )
            found.append(
                Section(
                    f"gas line of {regulator.name}",
                    f"the shut-off behind {part('regulator', regulator.name)}",
                    "clamps, tees, the manifold and its valves, disconnects with no keg on",
                )
            )
            found += [
                Section(
                    f"keg {keg.name}",
                    f"the gas disconnect of keg {keg.name}",
                    "lid, both posts, the relief valve; the disconnect's own seal",
                )
                for keg in kegs
            ]
    return tuple(found)


def halve(system: System, suspects: Sequence[str] | None = None) -> Split:
    """Part what is under suspicion in two. `suspects`: names of sections, `None`: all of them.

    Raises `OutOfRange` where there is nothing to part, `UnknownName` for a section there is not.
    """
    rows = {one.name: one for one in sections(system)}
    for name in suspects or ():
        if name not in rows:
            raise unknown("section of the gas side", name, rows)
    left = [one for one in rows.values() if suspects is None or one.name in suspects]
    if not left:
        raise OutOfRange("this system has no cylinder, so there is no gas side to look through")
    if len(left) == 1:
        return _found(left[0])
    middle = (len(left) + 1) // 2
    near, far = left[:middle], left[middle:]
    return Split(
        near=tuple(one.name for one in near),
        far=tuple(one.name for one in far),
        sentence=(
            f"Bring all up to pressure, then {_parted(far)} and hold each side by itself: "
            f"{_named(near)} on one, {_named(far)} on the other."
        ),
        then=(
            f"If the side of the cylinder falls (shut its valve too), go on with {_named(near)}.",
            f"If the other falls, go on with {_named(far)}. A keg without a gauge is weighed, or "
            "charged and read again by its gas disconnect.",
            "If neither falls within its error, it leaks at what you shut, or not at all.",
        ),
        cautions=_cautions(),
    )


def _parted(far: Sequence[Section]) -> str:
    """What parts the far side: a valve, or the gas disconnects where only kegs are left there."""
    kegs = [one for one in far if one.name.startswith("keg ")]
    if len(kegs) == len(far):
        return f"take the gas disconnect off {_named(far)},"
    return f"shut {far[0].shut}"


def _found(one: Section) -> Split:
    return Split(
        near=(one.name,),
        far=(),
        sentence=f"Only {one.name} is left: brush soapy water on {one.where}.",
        then=("Renew the seal where foam grows, then hold the pressure once more.",),
        cautions=_cautions(),
    )


def _named(rows: Sequence[Section]) -> str:
    names = [one.name for one in rows]
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


def _cautions() -> tuple[Caution, ...]:
    return (SOAP, cautions.PRESSURE, cautions.CYLINDER, cautions.CO2_AIR)
