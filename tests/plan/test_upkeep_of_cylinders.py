"""A cylinder whose test is overdue is told by status and Cellar, as upkeep tells it."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

import pytest

from ullage.cellar.events import Event
from ullage.cellar.other_events import CylinderSwapped
from ullage.cellar.standing import standing
from ullage.cellar.store import Store
from ullage.plan.begin import SYSTEM_DOCUMENT, first_events
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
