"""What can bear a label: what is there, and what a cylinder's tag may say of its test."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from tests.draw import samples
from ullage.cellar.events import Event
from ullage.cellar.other_events import CylinderSwapped, CylinderWeighed, UpkeepDone
from ullage.cellar.replay import replay
from ullage.errors import UnknownName
from ullage.plan.begin import first_events
from ullage.plan.labels import Labelled, Written, chosen, labelled, overdue
from ullage.plan.upkeep_changes import Change, Changes
from ullage.system.demo import demo_system

AT = samples.START
DEMO = demo_system(AT.date())
EVENTS = first_events(DEMO, AT)


def of_log(*more: Event, changes: Changes | None = None) -> tuple[Labelled, ...]:
    log = [*EVENTS, *more]
    later = AT + timedelta(days=1)
    state = replay(log)
    return labelled(DEMO, later, Written(log, state, changes or Changes()))


def test_a_file_alone_tells_what_there_is() -> None:
    found = labelled(DEMO, AT)
    assert [one.called for one in found] == [
        "keg K1",
        "keg K2",
        "keg K3",
        "tap left",
        "tap middle",
        "tap right",
        "cylinder main",
    ]
    assert [one.what for one in found[:2]] == ["Ball lock, 5 US gal", "Pin lock, 5 US gal"]


def test_a_cylinder_bears_its_tare_and_test() -> None:
    cylinder = of_log()[-1]
    assert cylinder.tare_kg == pytest.approx(15.1 * 0.45359237)  # analytic: 15.1 lb in the file
    # published: 49 CFR 180.209, five years
    assert (cylinder.tested, cylinder.test_due) == (date(2019, 4, 1), date(2024, 4, 1))
    assert overdue([cylinder], date(2024, 4, 1)) == ()
    assert overdue([cylinder], date(2024, 4, 2)) == (cylinder,)


def test_a_later_test_and_the_households_interval_count() -> None:
    done = UpkeepDone(at=AT, task="requalify", about="main")
    cylinder = of_log(done)[-1]
    assert cylinder.tested == AT.astimezone().date()
    assert cylinder.test_due is not None
    assert cylinder.test_due.year == AT.year + 5
    ten = of_log(changes=Changes(rules={"requalify": Change(years=10)}))[-1]
    assert ten.test_due == date(2029, 4, 1)
    off = of_log(changes=Changes(rules={"requalify": Change(off=True)}))[-1]
    assert (off.tested, off.test_due) == (date(2019, 4, 1), None)


def test_what_is_not_told_is_not_made_up() -> None:
    bare = DEMO.cylinders[0].model_copy(
        update={"tare": None, "gross_weight": None, "requalified": None}
    )
    (cylinder,) = labelled(
        DEMO.model_copy(update={"kegs": (), "taps": (), "cylinders": (bare,)}), AT
    )
    assert (cylinder.tare_kg, cylinder.tested, cylinder.test_due) == (None, None, None)


def test_what_is_to_buy_or_not_in_the_log_bears_none() -> None:
    more = DEMO.kegs[0].model_copy(update={"name": "K4"})
    planned = DEMO.kegs[0].model_copy(update={"name": "K5", "to_buy": True})
    system = DEMO.model_copy(update={"kegs": (*DEMO.kegs, more, planned)})
    names = [one.name for one in labelled(system, AT) if one.kind == "keg"]
    assert names == ["K1", "K2", "K3", "K4"]
    written = Written(EVENTS, replay(EVENTS))
    known = [one.name for one in labelled(system, AT, written) if one.kind == "keg"]
    assert known == ["K1", "K2", "K3"]  # K4 has no page until the log knows it
    assert labelled(None, AT) == ()


def test_things_are_chosen_by_kind_or_by_name() -> None:
    things = labelled(DEMO, AT)
    assert [one.name for one in chosen(things, ["tap", "keg:K2"])] == [
        "K2",
        "left",
        "middle",
        "right",
    ]
    assert chosen(things, []) == ()
    with pytest.raises(UnknownName, match='no keg called "K9"; there are: K1, K2, K3'):
        chosen(things, ["keg:K9"])
    with pytest.raises(UnknownName, match="keg, tap or cylinder"):
        chosen(things, ["fridge"])


def test_after_a_swap_the_old_ones_stamps_do_not_count() -> None:
    another = CylinderSwapped(at=AT, cylinder="main")
    assert of_log(another)[-1].tare_kg is None
    weighed = CylinderWeighed(
        at=AT + timedelta(hours=1), cylinder="main", contents_kg=2.0, tare_kg=5.5
    )
    assert of_log(another, weighed)[-1].tare_kg == 5.5
    told = another.model_copy(update={"tare_kg": 6.0, "tested": date(2023, 5, 1)})
    # published: 49 CFR 180.209, five years, counted from what stands on the one that is there now
    found = of_log(told)[-1]
    assert (found.tare_kg, found.tested, found.test_due) == (
        6.0,
        date(2023, 5, 1),
        date(2028, 5, 1),
    )
