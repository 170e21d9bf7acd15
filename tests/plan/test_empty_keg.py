"""A keg with less than a glass in it is empty, whoever asks."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from ullage.cellar.events import Event
from ullage.cellar.keg_events import KegWeighed
from ullage.cellar.replay import at_moment, replay
from ullage.plan.begin import first_events
from ullage.plan.look_ahead import look_ahead
from ullage.plan.present import present_system, told
from ullage.plan.status import status
from ullage.plan.upkeep import hindered
from ullage.plan.upkeep_history import History
from ullage.system import parts
from ullage.system.demo import demo_system
from ullage.system.upkeep_rules import rules

NOW = datetime(2026, 11, 1, 12, tzinfo=UTC)
LATER = NOW + timedelta(days=2)


def weighed(left_kg: float) -> list[Event]:
    """The demo's K1 weighed a day after the beginning with so much beer in it."""
    tare = parts.keg_kind("ball-lock-5gal").tare_kg
    gross = KegWeighed(at=NOW + timedelta(days=1), keg="K1", gross_kg=tare + left_kg)
    return [*first_events(demo_system(), NOW), gross]


# by hand: 10 g are 10 mL, and replay may err by some mL; a glass takes 50 mL at the least
@pytest.mark.parametrize(("left_kg", "is_empty"), [(0.02, True), (2.0, False)])
def test_status_upkeep_and_look_ahead_say_the_same(left_kg: float, is_empty: bool) -> None:
    log = weighed(left_kg)
    keg = status(log, LATER).keg("K1")
    assert keg is not None
    assert keg.is_empty is is_empty
    cellar = at_moment(replay(log), LATER)
    system = present_system(demo_system(), cellar, told(log))
    assert (system.keg("K1").beer is None) is is_empty
    cleaning = next(one for one in rules() if one.done_by == "keg_cleaned")
    assert (hindered(cleaning, "K1", system) == "") is is_empty
    assert (History(system, log).emptied("K1") is not None) is is_empty
    assert ("K1" not in {one.keg for one in look_ahead(log, LATER).kegs}) is is_empty
