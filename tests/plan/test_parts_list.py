"""The parts list: counted by hand in both worlds, and put in, it leaves no joint open."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.plan.bought import applied
from tests.plan.builds import (
    FOOT,
    INCH,
    PSI,
    american,
    european,
    with_keg,
    with_regulator,
    with_tap,
)
from tests.plan.stouts import stouts
from ullage.plan.parts_answer import PartsList
from ullage.plan.parts_list import parts_list
from ullage.system import parts
from ullage.system.demo import demo_system
from ullage.system.model import Have, Keg, LinePiece, OwnPart, Regulator, System, Tap


def bought(listed: PartsList) -> dict[str, int]:
    return {one.part: one.to_buy for one in listed.to_buy}


def test_an_american_keg_by_hand() -> None:
    listed = parts_list(american())
    # analytic, by hand: flare nut on the regulator; hose, check valve, hose, disconnect; a
    # disconnect, 3/16 hose on its 1/4 barb, tailpiece. Clamps: 4 on gas hose, 2 on beer line.
    assert bought(listed) == {
        "ball-lock-gas-barb-5/16": 1,
        "ball-lock-liquid-barb-1/4": 1,
        "flare-nut-barb-5/16": 1,
        "beer-nut-barb-3/16": 1,
        "check-valve-5/16": 1,
        "clamp-3/16": 2,
        "clamp-5/16": 4,
        "washer-cga-320": 1,
        "o-ring-ball-lock": 2,
        "washer-flare-1/4": 1,
        "washer-beer": 1,
        "washer-faucet": 1,
    }
    assert [one.to_buy_m for one in listed.tubing] == [pytest.approx(5 * FOOT), 0.0]
    assert listed.tubing_to_buy[0].cuts_m == pytest.approx((4 * FOOT, 1 * FOOT))
    assert listed.mismatches == ()
    assert listed.open_joints == ()


def test_a_european_keg_by_hand() -> None:
    listed = parts_list(european())
    # analytic, by hand: G 3/8 outlet, 8 mm hose with a check valve, coupler S (G 3/4 gas, G 5/8
    # beer), push-fits for 4 × 8 mm line
    assert bought(listed) == {
        "coupler-s": 1,
        "beer-nut-push-8mm": 1,
        "g-3/8-nut-barb-5/16": 1,
        "g-5/8-nut-push-8mm": 1,
        "g-3/4-nut-barb-5/16": 1,
        "check-valve-5/16": 1,
        "clamp-5/16": 4,
        "washer-w21.8": 1,
        "washer-g-3/8": 1,
        "washer-g-5/8": 1,
        "washer-g-3/4": 1,
        "washer-beer": 1,
        "washer-faucet": 1,
    }
    assert listed.tubing_to_buy[0].to_buy_m == pytest.approx(1.5)
    assert listed.mismatches == ()


def test_what_is_at_hand_is_not_bought() -> None:
    have = (
        Have(part="clamp-5/16", count=3),
        Have(part="check-valve-5/16"),
        Have(part="vinyl", bore=5 / 16 * INCH, length=2 * FOOT),
    )
    listed = parts_list(american(have=have))
    assert bought(listed)["clamp-5/16"] == 1  # analytic: 4 less 3
    assert "check-valve-5/16" not in bought(listed)
    assert listed.tubing_to_buy[0].to_buy_m == pytest.approx(3 * FOOT)  # analytic: 5 less 2
    assert listed.hand_told


def test_a_check_valve_in_the_outlet_saves_the_one_in_the_line() -> None:
    listed = parts_list(with_regulator(american(), check_valve=True))
    assert "check-valve-5/16" not in bought(listed)
    assert bought(listed)["clamp-5/16"] == 2
    assert listed.tubing_to_buy[0].to_buy_m == pytest.approx(4 * FOOT)


def test_what_is_planned_is_bought() -> None:
    system = american()
    planned = with_keg(with_tap(system, to_buy=True), to_buy=True)
    listed = parts_list(planned)
    assert bought(listed)["keg ball-lock-5gal"] == 1
    assert bought(listed)["faucet-rear-seal"] == 1
    assert bought(listed)["shank-4in"] == 1
    assert sum(one.to_buy_m for one in listed.tubing) == pytest.approx((5 + 8) * FOOT)


@pytest.mark.parametrize(
    ("kegs", "manifolds"),
    [
        # analytic: the largest has 6 ways; of two, the first gives one way to feed the second
        (2, {"manifold-2": 1}),
        (3, {"manifold-3": 1}),
        (5, {"manifold-6": 1}),
        (6, {"manifold-6": 1}),
        (7, {"manifold-6": 1, "manifold-2": 1}),
        (11, {"manifold-6": 2}),
        (12, {"manifold-6": 2, "manifold-2": 1}),
    ],
)
def test_several_kegs_take_a_manifold(kegs: int, manifolds: dict[str, int]) -> None:
    first = american().kegs[0]
    more = tuple(first.model_copy(update={"name": f"k{n}"}) for n in range(1, kegs))
    found = bought(parts_list(american(kegs=(first, *more))))
    assert {name: n for name, n in found.items() if name.startswith("manifold")} == manifolds
    assert found["ball-lock-gas-barb-5/16"] == kegs
    assert "check-valve-5/16" not in found


def test_a_picnic_faucet_needs_no_shank() -> None:
    listed = parts_list(with_tap(american(), faucet="faucet-picnic"))
    assert not any(one.part == "shank-4in" for one in listed.parts)
    assert listed.joints[-1].what == "line to faucet"
    assert listed.joints[-1].how != ()


def test_a_second_tap_on_a_keg_takes_a_tee() -> None:
    system = american()
    second = system.taps[0].model_copy(update={"name": "t2"})
    listed = parts_list(system.model_copy(update={"taps": (*system.taps, second)}))
    assert bought(listed)["tee-1/4"] == 1
    assert bought(listed)["ball-lock-liquid-barb-1/4"] == 1


def test_two_regulators_share_the_valve_of_one_cylinder() -> None:
    system = american()
    other = Regulator(name="r2", cylinder="c", pressure=15 * PSI, valve="CGA 320")
    listed = parts_list(system.model_copy(update={"regulators": (*system.regulators, other)}))
    assert bought(listed)["washer-cga-320"] == 1
    assert any("2 regulators" in one.what for one in listed.checks)


def test_checks_speak_of_relief_and_check_valves() -> None:
    said = " ".join(one.what for one in parts_list(american()).checks)
    assert "relief valve must open below 50 psi, the lowest rating behind it: the beer line" in said
    assert "needs a check valve" in said
    assert "needs a working relief valve" in said
    metric = " ".join(one.what for one in parts_list(european()).checks)
    assert "has no relief valve of its own" in metric
    assert "3 bar" in metric


def test_a_gas_line_through_a_wall_comes_with_the_caution_on_coils() -> None:
    garage = demo_system()  # its cylinder stands outside the freezer
    assert any("never drill" in one.text for one in parts_list(garage).cautions)
    assert not any("never drill" in one.text for one in parts_list(american()).cautions)


def test_what_was_assumed_is_said() -> None:
    said = " ".join(parts_list(american()).assumed)
    assert "1/4 in flare" in said
    assert "does not say which small parts" in said
    told = with_keg(
        with_regulator(american(), outlet="5/16 in barb", check_valve=True),
        gas_line=LinePiece(length=1.0, bore=5 / 16 * INCH),
    )
    have = told.model_copy(update={"have": (Have(part="clamp-5/16"),)})
    assert parts_list(have).assumed == ()


KINDS = sorted(parts.keg_kinds())
LINES = (("vinyl", 3 / 16 * INCH), ("barrier", 0.004), ("stainless", 0.006), ("vinyl", 0.25 * INCH))
HANDS = ("clamp-5/16", "ball-lock-gas-flare", "ball-lock-liquid-flare", "flare-nut-barb-3/16",
         "push-8mm-barb-1/4", "manifold-4", "check-valve-5/16", "washer-beer")  # fmt: skip


@st.composite
def systems(draw: st.DrawFn) -> System:
    """One to four kegs with taps, any kinds, lines and disconnects, some of it only planned."""
    base = draw(st.sampled_from([american(), european()]))
    kegs, taps = [], []
    for number in range(draw(st.integers(1, 4))):
        kegs.append(
            Keg(
                name=f"k{number}",
                kind=draw(st.sampled_from(KINDS)),
                place="fridge",
                regulator=draw(st.sampled_from(["r", "r", "r", None])),
                beer=draw(st.sampled_from(["ale", None])),
                gas_disconnect=draw(st.sampled_from([None, "pin-lock"])),
                to_buy=draw(st.booleans()),
            )
        )
        pieces = draw(st.lists(st.sampled_from(LINES), min_size=1, max_size=3))
        taps.append(
            Tap(
                name=f"t{number}",
                keg=f"k{draw(st.integers(0, number))}",
                line=tuple(
                    LinePiece(length=draw(st.floats(0.2, 5.0)), bore=bore, material=material)
                    for material, bore in pieces
                ),
                rise=0.3,
                faucet=draw(st.sampled_from(sorted(parts.faucets()))),
                disconnect=draw(st.sampled_from([None, "ball-lock", "pin-lock"])),
                to_buy=draw(st.booleans()),
            )
        )
    have = draw(st.lists(st.builds(Have, part=st.sampled_from(HANDS), count=st.integers(1, 4)),
                         max_size=4))  # fmt: skip
    return base.model_copy(update={"kegs": tuple(kegs), "taps": tuple(taps), "have": tuple(have)})


@settings(max_examples=60)
@given(systems())
def test_a_list_that_was_put_in_leaves_no_joint_open(system: System) -> None:
    listed = parts_list(system)
    assert listed.open_joints == ()
    for one in listed.parts:
        assert one.needed == one.have + one.to_buy
        assert min(one.have, one.to_buy) >= 0
    again = parts_list(applied(system, listed))
    assert again.open_joints == ()
    assert again.to_buy == ()
    assert again.tubing_to_buy == ()
    assert not any(one.sense == "too short" for one in again.lines)


def test_an_own_part_is_used() -> None:
    own = OwnPart(name="odd nut", ends=("1/4 in flare nut", "5/16 in barb"), count=2)
    listed = parts_list(american(own_parts=(own,)))
    assert "flare-nut-barb-5/16" not in bought(listed)
    found = next(one for one in listed.parts if one.part == "odd nut")
    assert (found.needed, found.have, found.to_buy) == (1, 1, 0)


def test_a_blends_valve_is_not_matched_with_one_of_co2() -> None:
    listed = parts_list(stouts())
    (told,) = [one for one in listed.checks if "holds a blend" in one.what]
    assert told.where == 'cylinder "stout gas"'
    assert "never an adapter" in told.remedy
    assert not any("CGA 320" in one.remedy for one in listed.mismatches)
    straight = parts_list(stouts("100 %"))
    assert not any("blend" in one.what for one in straight.checks)
    assert len(straight.joints) == len(listed.joints) + 1
