"""The steps of a lift for the hand, in the order in which they are safe."""

from __future__ import annotations

from ullage.plan import clock
from ullage.plan.acts import SetGas, ShutGas, Vent
from ullage.plan.answers import Step
from ullage.plan.on_gas import purge
from ullage.plan.share_answer import Way
from ullage.plan.share_lifting import Lifting
from ullage.plan.spoken import listed, quoted


def steps(plan: Lifting, way: Way) -> tuple[Step, ...]:
    """What to do when, and what to set."""
    if way == "second regulator":
        return _on_a_second(plan)
    return _beside_shut_legs(plan) if plan.others else _on_its_own(plan)


def _on_a_second(plan: Lifting) -> tuple[Step, ...]:
    name, shared = quoted(plan.point.keg), quoted(plan.row.regulator.name)
    second = "the second regulator" if plan.second is None else quoted(plan.second)
    return (
        _lifted(
            plan,
            f"Take {name} off its leg, shut that, and put it on {second}, beer disconnect off. "
            "Purge, set the high pressure.",
        ),
        _back(
            plan,
            f"Gas off; vent {name} until it is quiet. Back on its leg of {shared}, beer "
            "disconnect on.",
        ),
    )


def _on_its_own(plan: Lifting) -> tuple[Step, ...]:
    name = quoted(plan.point.keg)
    return (
        _lifted(plan, f"Beer disconnect off {name}; purge, set the high pressure."),
        _back(
            plan,
            f"Gas off; vent {name} until it is quiet. Set the serving pressure, gas on, beer "
            "disconnect on.",
        ),
    )


def _beside_shut_legs(plan: Lifting) -> tuple[Step, ...]:
    name, legs = quoted(plan.point.keg), listed([quoted(one.keg) for one in plan.others])
    start, each = clock.after(plan.start, 0.0), "leg" if len(plan.others) == 1 else "legs"
    pour = "it pours on what is in it" if len(plan.others) == 1 else "they pour on what is in them"
    return (
        Step(start, f"Shut the {each} of {legs} at the manifold; {pour}.", None),
        _lifted(plan, f"Beer disconnect off {name}; purge it, set the high pressure."),
        _back(
            plan,
            f"Shut the leg of {name} and vent it until it is quiet. Turn the regulator down to the "
            "serving pressure and open that leg again: it lets the manifold down. Vent until the "
            "gauge stands there.",
        ),
        Step(plan.end, f"Only now open the {each} of {legs}; beer disconnect of {name} on.", None),
    )


def _lifted(plan: Lifting, do: str) -> Step:
    acts = (purge(plan.wanted), SetGas(plan.high_pa))
    return Step(clock.after(plan.start, 0.0), do, plan.high_pa, acts)


def _back(plan: Lifting, do: str) -> Step:
    return Step(plan.end, do, plan.serving_pa, (ShutGas(), Vent(), SetGas(plan.serving_pa)))
