"""The card for the wall: the numbers of the room, the lowest rating, no word that would mislead."""

from __future__ import annotations

import pytest

from tests.draw import samples
from tests.plan.stouts import stouts
from ullage.plan.room import blend_words, safety
from ullage.plan.wall_card import ACTS, ALARMS, BLANKS, MOST_SHOWN, RULES, wall_card
from ullage.system.cylinder import Cylinder
from ullage.system.demo import demo_system
from ullage.system.model import System

AT = samples.START
DEMO = demo_system(AT.date())
PSI = 6894.757


def with_cylinders(*sizes: str) -> System:
    like = DEMO.cylinders[0].model_copy(
        update={"contents": None, "gross_weight": None, "tare": None}
    )
    made: tuple[Cylinder, ...] = tuple(
        like.model_copy(update={"name": f"C{number}", "size": size})
        for number, size in enumerate(sizes)
    )
    regulators = tuple(one.model_copy(update={"cylinder": "C0"}) for one in DEMO.regulators)
    return DEMO.model_copy(update={"cylinders": made, "regulators": regulators})


def test_its_numbers_are_those_of_the_room() -> None:
    card = wall_card(DEMO, [], AT)
    assert card.safety == safety(DEMO, [], AT)
    assert [(one.name, one.size) for one in card.cylinders] == [("main", "10 lb")]
    # independent: 10 lb is 4.536 kg or 2.46 m³ at 20 °C and 600 ft in 45.3 m³: 1 - exp(-0.056)
    # is 5.4 %, 5.7 % were it one part of the whole
    assert 0.052 < card.worst[0].full_fraction < 0.058


def test_the_lowest_rating_of_the_whole_chain() -> None:
    card = wall_card(DEMO, [], AT)
    assert card.lowest is not None
    weak = DEMO.kegs[1].model_copy(update={"max_pressure": 30.0 * PSI})
    system = DEMO.model_copy(update={"kegs": (DEMO.kegs[0], weak, DEMO.kegs[2])})
    lowest = wall_card(system, [], AT).lowest
    assert lowest is not None
    assert lowest.keg == "K2"
    assert lowest.gauge_pressure_pa == pytest.approx(30.0 * PSI)
    assert lowest.gauge_pressure_pa < card.lowest.gauge_pressure_pa
    assert wall_card(DEMO.model_copy(update={"kegs": (), "taps": ()}), [], AT).lowest is None


def test_one_cylinder_of_each_of_the_largest_sizes() -> None:
    card = wall_card(with_cylinders("5 lb", "20 lb", "20 lb", "10 lb"), [], AT)
    assert [one.cylinder for one in card.worst] == ["C1", "C3"]
    assert len(card.worst) == MOST_SHOWN
    assert [one.name for one in card.cylinders] == ["C1", "C2", "C3", "C0"]
    assert card.worst[0].full_fraction == max(one.full_fraction for one in card.safety.cylinders)


def test_what_is_to_buy_is_not_here_and_no_room_tells_no_air() -> None:
    planned = DEMO.cylinders[0].model_copy(update={"name": "new", "to_buy": True})
    system = DEMO.model_copy(update={"cylinders": (*DEMO.cylinders, planned), "room": None})
    card = wall_card(system, [], AT)
    assert [one.name for one in card.cylinders] == ["main"]
    assert card.worst == ()


def test_a_blend_is_told_by_what_it_holds_and_by_its_nitrogen() -> None:
    card = wall_card(stouts(), [], AT)
    kept = {one.name: one.full_kg for one in card.cylinders}
    # by hand: 3.335 L of an ideal gas of 32.01 g/mol at 140 bar and 20 °C are 0.61 kg, some 12 %
    # more as it is far from ideal; 5 lb of CO2 are 2.268 kg
    assert [(one.name, one.is_blend) for one in card.cylinders] == [
        ("co2", False),
        ("stout gas", True),
    ]
    assert kept["stout gas"] == pytest.approx(0.69, abs=0.01)
    assert kept["co2"] == pytest.approx(2.268, abs=0.001)
    assert card.blend is not None
    assert (card.blend.cylinder, card.blend.nitrogen) == ("stout gas", 0.75)
    assert blend_words(card.blend) in card.safety.advice
    assert wall_card(DEMO, [], AT).blend is None


def test_of_several_blends_it_tells_the_one_that_leaves_least_oxygen() -> None:
    small, large = (
        one.model_copy(update={"co2": 0.25}) for one in with_cylinders("5 lb", "20 lb").cylinders
    )
    system = with_cylinders("5 lb", "20 lb").model_copy(update={"cylinders": (small, large)})
    blend = wall_card(system, [], AT).blend
    assert blend is not None
    assert blend.cylinder == "C1"


def test_what_must_be_said_is_said() -> None:
    acts = " ".join(ACTS)
    assert ACTS[0].startswith("Leave at once")
    assert ACTS[1].startswith("Do not go back in")
    for said in ("emergency number", "doors and windows", "breathing apparatus", "5,000 ppm"):
        assert said in acts
    # published: NIOSH Pocket Guide to Chemical Hazards, carbon dioxide (seen quoted)
    for sign in ("Headache", "dizziness", "sweating", "breath"):
        assert sign in ALARMS
    assert any("local codes" in one for one in RULES)
    assert any("upright" in one for one in RULES)
    assert {"Emergency number", "The gas is shut off at"} <= set(BLANKS)
