"""What is in which fermenter, told by brews and by the kegs that were filled."""

from __future__ import annotations

from tests.cellar.logs import day
from ullage.cellar.events import Event
from ullage.cellar.keg_events import Filled
from ullage.cellar.other_events import Brewed, Undone
from ullage.plan.fermenting import in_fermenters


def brewed(at: float, fermenter: str, batch: str = "Pale", litres: float = 19.0) -> Brewed:
    return Brewed(at=day(at), fermenter=fermenter, batch=batch, volume_m3=litres * 1e-3)


def filled(at: float, fermenter: str | None = None, batch: str = "Pale") -> Filled:
    return Filled(
        at=day(at), keg="K1", batch=batch, volume_m3=0.019, temperature_k=290.0, fermenter=fermenter
    )


def there(log: list[Event], at: float) -> list[tuple[str, str]]:
    return [(one.fermenter, one.batch) for one in in_fermenters(log, day(at))]


def test_a_fermenter_is_full_until_a_keg_is_filled_from_it() -> None:
    log: list[Event] = [brewed(0, "F1"), brewed(3, "F2", "Stout"), filled(14, "F1")]
    assert there(log, 1) == [("F1", "Pale")]
    assert there(log, 5) == [("F1", "Pale"), ("F2", "Stout")]
    assert there(log, 14) == [("F2", "Stout")]


def test_a_keg_that_does_not_say_is_filled_from_where_its_batch_is_longest() -> None:
    log: list[Event] = [brewed(0, "F2"), brewed(1, "F1"), filled(14)]
    assert there(log, 14) == [("F1", "Pale")]
    assert there([*log, filled(14.02)], 15) == []  # F2 held 19 L, all of which is in a keg
    assert there([brewed(0, "F2", litres=38), brewed(1, "F1"), filled(14), filled(14.1)], 15) == [
        ("F1", "Pale")
    ]
    assert there([*log, filled(20)], 21) == []
    assert there([brewed(0, "F1", "Stout"), filled(14)], 15) == [("F1", "Stout")]


def test_a_fermenter_that_is_brewed_into_again_holds_the_new() -> None:
    log: list[Event] = [brewed(0, "F1"), brewed(20, "F1", "Stout")]
    assert there(log, 21) == [("F1", "Stout")]
    gone = Undone(at=day(22), event=log[1].id, of=log[1].stream)
    assert there([*log, gone], 23) == [("F1", "Pale")]


def test_what_is_planned_is_not_there_yet() -> None:
    plan = brewed(5, "F1").model_copy(update={"planned": True})
    assert there([plan], 6) == []
