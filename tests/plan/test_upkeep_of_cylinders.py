"""A cylinder whose test is overdue is told by status and Cellar, as upkeep tells it."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, date, datetime, timedelta

import pytest

from ullage.cellar.events import Event
from ullage.cellar.other_events import CylinderConnected, CylinderSwapped
from ullage.cellar.replay import at_moment, replay
from ullage.cellar.standing import standing
from ullage.cellar.store import Store
from ullage.plan.begin import SYSTEM_DOCUMENT, first_events
from ullage.plan.present import present_system
from ullage.plan.present import told as words
from ullage.plan.status import status_of
from ullage.plan.upkeep import upkeep
from ullage.plan.upkeep_now import upkeep_now
from ullage.system.demo import demo_system
from ullage.system.model import System

BEGIN = datetime(2026, 11, 1, 12, tzinfo=UTC)


def told(text: str, *more: Event, of: System | None = None) -> list[str]:
    """What the status advises of cylinders' tests, the system file saying `text`."""
    system = of or demo_system(BEGIN.date())
    with Store.open("sqlite://") as store:
        store.append([*first_events(system, BEGIN), *more])
        store.put_document(SYSTEM_DOCUMENT, text)
        stands = standing(store, BEGIN + timedelta(days=2))
        answer = status_of(stands, upkeep_now(store, stands, lambda: None))
    return [one.text for one in answer.advice if one.need == "test"]


def described(tested: str) -> str:
    name = demo_system(BEGIN.date()).cylinders[0].name
    return f'[[cylinder]]\nname = "{name}"\nrequalified = {tested}\n'


# published: 49 CFR 180.209, five years: of 1 May 2019 it was due on 1 May 2024
@pytest.mark.parametrize("tested", ['"2019-05-01"', "2019-05-01"])
def test_an_overdue_test_is_to_be_done(tested: str) -> None:
    (said,) = told(described(tested))
    assert "is overdue since 1 May 2024 (stamped 2019-05-01): have it tested or exchanged." in said


@pytest.mark.parametrize("tested", ['"2023-05-01"', '"not a day"', "7"])
def test_in_date_or_not_told_there_is_nothing(tested: str) -> None:
    assert told(described(tested)) == []


def test_another_cylinder_in_its_place_has_its_own_date() -> None:
    name = demo_system(BEGIN.date()).cylinders[0].name
    at = BEGIN + timedelta(days=1)
    fresh = CylinderSwapped(at=at, cylinder=name, tested=date(2025, 6, 1))
    old = CylinderSwapped(at=at, cylinder=name, tested=date(2018, 6, 1))
    assert told(described('"2019-05-01"'), fresh) == []
    (said,) = told(described('"2019-05-01"'), old)
    assert "overdue since 1 Jun 2023" in said


def test_a_date_that_only_a_swap_tells_is_told() -> None:
    name = demo_system(BEGIN.date()).cylinders[0].name
    old = CylinderSwapped(at=BEGIN + timedelta(days=1), cylinder=name, tested=date(2016, 1, 1))
    (said,) = told(f'[[cylinder]]\nname = "{name}"\n', old)
    # published: 49 CFR 180.209, five years
    assert "overdue since 1 Jan 2021 (stamped 2016-01-01)" in said
    assert told(f'[[cylinder]]\nname = "{name}"\n') == []


def test_a_swap_that_tells_no_date_leaves_the_one_in_the_file_as_upkeep_does() -> None:
    system = demo_system(BEGIN.date())
    first, *rest = system.cylinders
    aged = first.model_copy(update={"requalified": date(2019, 5, 1)})
    system = system.model_copy(update={"cylinders": (aged, *rest)})
    swap = CylinderSwapped(at=BEGIN + timedelta(days=1), cylinder=first.name)
    (said,) = told(described('"2019-05-01"'), swap, of=system)
    log = [*first_events(system, BEGIN), swap]
    # independent: the whole log and the whole file, read by upkeep
    tasks = upkeep(as_it_stands(system, log), log, BEGIN + timedelta(days=2)).tasks
    (due,) = (one for one in tasks if one.task == "requalify" and one.state == "due")
    assert due.because in said


def test_a_cylinder_that_only_the_log_knows_is_told_as_upkeep_tells_it() -> None:
    system = demo_system(BEGIN.date())
    at = BEGIN + timedelta(days=1)
    more = (
        CylinderConnected(at=at, cylinder="spare", size="5 lb"),
        CylinderSwapped(at=at, cylinder="spare", tested=date(2016, 1, 1)),
    )
    (said,) = told("", *more)
    assert "cylinder spare is overdue since 1 Jan 2021" in said
    log = [*first_events(system, BEGIN), *more]
    tasks = upkeep(as_it_stands(system, log), log, BEGIN + timedelta(days=2)).tasks
    assert ("spare", date(2021, 1, 1)) in [
        (one.about, one.due_at.date())
        for one in tasks
        if one.task == "requalify" and one.due_at is not None
    ]


def as_it_stands(system: System, log: Sequence[Event]) -> System:
    return present_system(system, at_moment(replay(log), BEGIN + timedelta(days=2)), words(log))


def test_one_still_to_be_bought_has_no_test_overdue() -> None:
    system = demo_system(BEGIN.date())
    first = system.cylinders[0].model_copy(update={"requalified": date(2019, 5, 1), "to_buy": True})
    system = system.model_copy(update={"cylinders": (first, *system.cylinders[1:])})
    assert told(described('"2019-05-01"') + "to_buy = true\n", of=system) == []
    # independent: the whole log and the whole file, read by upkeep
    tasks = upkeep(system, first_events(system, BEGIN), BEGIN + timedelta(days=2)).tasks
    assert not [one for one in tasks if one.task == "requalify" and one.about == first.name]


def test_it_is_what_upkeep_says() -> None:
    system = demo_system(BEGIN.date())
    first, *rest = system.cylinders
    aged = first.model_copy(update={"requalified": date(2019, 5, 1)})
    system = system.model_copy(update={"cylinders": (aged, *rest)})
    tasks = upkeep(system, first_events(system, BEGIN), BEGIN + timedelta(days=2)).tasks
    (due,) = (one for one in tasks if one.task == "requalify" and one.state == "due")
    # independent: the whole log and the whole file, read by upkeep
    (said,) = told(described('"2019-05-01"'), of=system)
    assert due.about in said
    assert due.because in said
