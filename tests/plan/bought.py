"""A system after its parts list was bought and put in."""

from __future__ import annotations

from ullage.plan import needs
from ullage.plan.parts_answer import PartsList
from ullage.plan.parts_list import parts_list
from ullage.system.model import Have, Keg, Regulator, System, Tap


def applied(system: System, listed: PartsList) -> System:
    """The system once everything on its list was bought and put in, lines cut anew included."""
    changes = {(one.tap, one.piece): one.advised_m for one in listed.lines}
    have = [
        Have.model_construct(part=one.part, count=one.to_buy, bore=None, length=None)
        for one in listed.to_buy
        if one.kind != "equipment"
    ]
    mounted = system.model_copy(
        update={
            "cylinders": tuple(
                one.model_copy(update={"to_buy": False}) for one in system.cylinders
            ),
            "regulators": tuple(_piped(system, one) for one in system.regulators),
            "kegs": tuple(_on_gas(system, one) for one in system.kegs),
            "taps": tuple(_cut(one, changes) for one in system.taps),
            "have": (*system.have, *have),
        }
    )
    rest = [
        Have.model_construct(part=one.material, count=1, bore=one.bore_m, length=one.to_buy_m)
        for one in parts_list(mounted).tubing_to_buy
    ]
    return mounted.model_copy(update={"have": (*mounted.have, *rest)})


def _piped(system: System, one: Regulator) -> Regulator:
    several = len(needs.kegs_on(system, one.name)) > 1
    line = one.gas_line or (needs.usual_trunk(system) if several else None)
    return one.model_copy(update={"gas_line": line, "to_buy": False})


def _on_gas(system: System, keg: Keg) -> Keg:
    changed: dict[str, object] = {"gas_disconnect": None, "to_buy": False}
    if keg.regulator is not None and keg.gas_line is None:
        cylinder = system.cylinder(system.regulator(keg.regulator).cylinder)
        changed["gas_line"] = needs.usual_leg(system, keg, cylinder.place)
    return keg.model_copy(update=changed)


def _cut(tap: Tap, changes: dict[tuple[str, int], float]) -> Tap:
    line = tuple(
        piece.model_copy(update={"length": changes.get((tap.name, index), piece.length)})
        for index, piece in enumerate(tap.line)
    )
    return tap.model_copy(update={"line": line, "disconnect": None, "to_buy": False})
