"""The model: bounds, strengths, weights, links, and looking things up by name."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from pydantic import ValidationError

from ullage.errors import UnknownName
from ullage.system.cylinder import Cylinder
from ullage.system.demo import demo_system
from ullage.system.model import Beer, Keg, LinePiece, Place, Regulator, Room, System, Tap

FRIDGE = Place(name="fridge", temperature=277.0)


def keg(**changes: Any) -> Keg:
    return Keg.model_validate({"name": "K", "kind": "ball-lock-5gal", "place": "fridge", **changes})


def test_from_python_numbers_are_si() -> None:
    piece = LinePiece(length=3.0, bore=0.004)
    assert (piece.length, piece.bore, piece.material) == (3.0, 0.004, "vinyl")
    assert Place(name="cellar", temperature=287.0).temperature == 287.0
    assert Regulator(name="r", cylinder="c").max_pressure == pytest.approx(413_685.4)  # 60 psi


def test_from_python_texts_are_read_too() -> None:
    assert Place.model_validate({"name": "f", "temperature": "5 °C"}).temperature == 278.15


OUT_OF_BOUNDS: list[tuple[type[Any], dict[str, Any]]] = [
    (LinePiece, {"length": 3.0, "bore": 0.0}),
    (LinePiece, {"length": 3.0, "bore": 0.026}),
    (LinePiece, {"length": 0.0, "bore": 0.004}),
    (LinePiece, {"length": float("nan"), "bore": 0.004}),
    (LinePiece, {"length": True, "bore": 0.004}),
    (LinePiece, {"length": 10**400, "bore": 0.004}),
    (Place, {"name": "f", "temperature": 0.0}),
    (Place, {"name": "f", "temperature": float("inf")}),
    (Place, {"name": " f", "temperature": 277.0}),
    (Place, {"name": "", "temperature": 277.0}),
    (Place, {"name": "a\nb", "temperature": 277.0}),
    (Keg, {"name": "K", "kind": "ball-lock-5gal", "place": "f", "temperature": 270.0}),
    (Keg, {"name": "K", "kind": "ball-lock-5gal", "place": "f", "max_pressure": "200 psi"}),
    (Keg, {"name": "K", "kind": "ball-lock-5gal", "place": "f", "volume": -0.001}),
    (Keg, {"name": "K", "kind": "firkin", "place": "f"}),
    (Regulator, {"name": "r", "cylinder": "c", "pressure": "61 psi"}),
    (Regulator, {"name": "r", "cylinder": "c", "pressure": "-1 psi"}),
    (Beer, {"name": "b", "volumes": "6.1 vol"}),
    (Beer, {"name": "b", "volumes": 2.5, "tolerance": 0.0}),
    (Beer, {"name": "b", "volumes": 2.5, "og": 1052, "fg": 1.01}),
    (Beer, {"name": "b", "volumes": 2.5, "og": "1.052", "fg": 1.01}),
    (Beer, {"name": "b", "volumes": 2.5, "abv": "25 %"}),
    (Beer, {"name": "b", "volumes": 2.5, "ready_by": 5}),
    (Room, {"name": "r", "volume": 0.0}),
    (Room, {"name": "r", "volume": 30.0, "air_changes": -1.0}),
    (Room, {"name": "r", "volume": 30.0, "below_ground": 1}),
    (System, {"name": "s", "altitude": "10,000 m"}),
    (System, {"name": "s", "format": 2}),
]


@pytest.mark.parametrize(("kind", "fields"), OUT_OF_BOUNDS)
def test_refuses_what_cannot_be(kind: type[Any], fields: dict[str, Any]) -> None:
    with pytest.raises(ValidationError):
        kind.model_validate(fields)


def test_a_bound_written_in_another_unit_is_within_it() -> None:
    regulator = Regulator.model_validate({"name": "r", "cylinder": "c", "pressure": "60 psi"})
    assert regulator.pressure == pytest.approx(regulator.max_pressure)
    assert keg(temperature="27.5 degF").temperature == pytest.approx(270.65)  # -2.5 °C


def test_strength_is_told_in_one_way() -> None:
    beer = {"name": "b", "volumes": 2.5}
    for wrong in ({"og": 1.05}, {"fg": 1.01}, {"og": 1.05, "fg": 1.01, "abv": 0.05}):
        with pytest.raises(ValidationError, match="give og and fg"):
            Beer.model_validate(beer | wrong)
    with pytest.raises(ValidationError, match="changed places"):
        Beer.model_validate(beer | {"og": 1.01, "fg": 1.05})
    assert Beer.model_validate(beer | {"abv": 0.05}).og is None


def test_a_gravity_now_lies_between_those_it_is_counted_by() -> None:
    told = {"name": "b", "volumes": 2.5, "og": 1.050, "fg": 1.010}
    assert Beer.model_validate({**told, "gravity": 1.018}).gravity == 1.018
    with pytest.raises(ValidationError, match="not between og"):
        Beer.model_validate({**told, "gravity": 1.060})
    with pytest.raises(ValidationError, match="needs og and fg"):
        Beer.model_validate({"name": "b", "volumes": 2.5, "gravity": 1.018})


def test_a_keg_has_neither_stone_nor_valve_unless_told() -> None:
    assert (keg().stone, keg().spunding_valve) == (False, False)
    assert keg(stone=True).stone
    with pytest.raises(ValidationError):
        keg(spunding_valve="yes")


def test_a_cylinder_is_weighed_or_told() -> None:
    full = Cylinder(name="c", size="10 lb", place="f")
    told = Cylinder(name="c", size="10 lb", place="f", contents=2.0, tare=7.0)
    weighed = Cylinder(name="c", size="10 lb", place="f", gross_weight=9.5, tare=7.0)
    assert (full.contents_kg, told.contents_kg, weighed.contents_kg) == (None, 2.0, 2.5)
    wrong = (
        ({"gross_weight": 9.0}, "needs tare"),
        ({"gross_weight": 9.0, "tare": 7.0, "contents": 2.0}, "not both"),
        ({"gross_weight": 6.0, "tare": 7.0}, "less than tare"),
    )
    for fields, message in wrong:
        with pytest.raises(ValidationError, match=message):
            Cylinder.model_validate({"name": "c", "size": "10 lb", "place": "f", **fields})


def test_names_must_lead_somewhere() -> None:
    with pytest.raises(ValidationError, match='did you mean "fridge"'):
        System(name="s", places=(FRIDGE,), kegs=(keg(place="frige"),))
    with pytest.raises(ValidationError, match="there are: none"):
        System(name="s", places=(FRIDGE,), kegs=(keg(beer="Stout"),))
    with pytest.raises(ValidationError, match="the name of another keg"):
        System(name="s", places=(FRIDGE,), kegs=(keg(), keg()))


def test_no_beer_stands_where_it_is_ice() -> None:
    cold = Place(name="fridge", temperature=265.0)
    beer = Beer(name="b", volumes=2.5)
    with pytest.raises(ValidationError, match="beer freezes"):
        System(name="s", places=(cold,), beers=(beer,), kegs=(keg(beer="b"),))
    empty = System(name="s", places=(cold,), kegs=(keg(),))
    assert empty.keg("K").beer is None


def test_things_are_found_by_name() -> None:
    system = demo_system()
    assert system.place("freezer").temperature == pytest.approx(276.4833, abs=1e-4)  # 38 °F
    assert system.cylinder("main").size == "10 lb"
    assert system.regulator("regulator").cylinder == "main"
    assert system.beer("Cellar Stout").volumes == pytest.approx(2.1)
    assert system.keg("K2").kind == "pin-lock-5gal"
    assert system.tap("left").keg == "K1"
    assert [tap.name for tap in system.taps_of("K3")] == ["right"]
    with pytest.raises(UnknownName, match='no keg is called "K9"'):
        system.keg("K9")


def test_frozen_and_no_other_keys() -> None:
    with pytest.raises(ValidationError):
        FRIDGE.temperature = 280.0  # type: ignore[misc]
    with pytest.raises(ValidationError):
        Place.model_validate({"name": "f", "temperature": 277.0, "colour": "white"})
    assert hash(FRIDGE) == hash(Place(name="fridge", temperature=277.0))


def test_a_system_survives_its_own_json() -> None:
    system = demo_system(date(2026, 1, 1))
    assert System.model_validate_json(system.model_dump_json()) == system
    assert System.model_validate(system.model_dump()) == system
    assert isinstance(system.taps[0], Tap)
