"""What is published of kegs and cylinders, and what a hub is told of it."""

from __future__ import annotations

import json
from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest

from ullage.bus.discovery import CYLINDER, KEG, discovery_messages
from ullage.bus.states import CylinderSays, KegSays, state_messages, states
from ullage.bus.topics import Speaking
from ullage.cellar.keg_events import Poured
from ullage.cellar.recording import record
from ullage.cellar.standing import standing
from ullage.cellar.store import Store
from ullage.plan.begin import begin
from ullage.plan.status import status_of
from ullage.system.demo import demo_text
from ullage.system.file import parse_system

NOW = datetime(2026, 3, 2, 12, tzinfo=UTC)


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    text = demo_text(date(2026, 3, 1))
    with Store.open(str(tmp_path / "log.db")) as opened:
        begin(opened, parse_system(text), text, NOW - timedelta(days=1), NOW)
        yield opened


def test_it_says_what_the_status_says(store: Store) -> None:
    found = states(store, NOW)
    status = status_of(standing(store, NOW))
    assert [*found.kegs] == [one.keg for one in status.kegs]
    for keg in status.kegs:
        said = found.kegs[keg.keg]
        assert said.beer_left_l == pytest.approx(keg.beer_left_m3.value * 1e3, abs=0.005)
        assert said.carbonation_vol == pytest.approx(keg.level_vol.value, abs=0.005)
        assert keg.keeps_gauge_pa is not None
        assert said.wanted_gauge_pressure_kpa == pytest.approx(keg.keeps_gauge_pa / 1e3, abs=0.05)
    cylinder = found.cylinders["main"]
    assert cylinder.contents_kg == pytest.approx(status.cylinders[0].contents_kg.value, abs=5e-4)
    assert cylinder.gas_days_left is None or cylinder.gas_days_left > 0.0


def test_the_next_task_is_the_first_by_its_day(store: Store) -> None:
    cylinder = states(store, NOW).cylinders["main"]
    # the demo's cylinder was tested five years and more ago: nothing of it is due before
    assert cylinder.next_task == "Have the cylinder tested"
    assert cylinder.next_task_due is not None
    assert datetime.fromisoformat(cylinder.next_task_due) < NOW


def test_a_glass_changes_the_message_of_its_keg_alone(store: Store) -> None:
    before = {one.topic: one.payload for one in state_messages(states(store, NOW), Speaking())}
    record(store, [Poured(at=NOW, keg="K1", volume_m3=0.5e-3)], NOW)
    after = {one.topic: one.payload for one in state_messages(states(store, NOW), Speaking())}
    left = [json.loads(each["ullage/keg/k1/state"])["beer_left_l"] for each in (before, after)]
    assert left[0] - left[1] == pytest.approx(0.5, abs=0.011)  # analytic, to what is published
    assert before["ullage/keg/k2/state"] == after["ullage/keg/k2/state"]


def test_an_empty_store_says_nothing(tmp_path: Path) -> None:
    with Store.open(str(tmp_path / "empty.db")) as empty:
        assert [*state_messages(states(empty, NOW), Speaking())] == []


def test_every_number_that_is_told_of_is_published(store: Store) -> None:
    found = states(store, NOW)
    sent = {one.topic: json.loads(one.payload) for one in state_messages(found, Speaking())}
    configs = [json.loads(one.payload) for one in discovery_messages(found, Speaking())]
    assert len(configs) == 3 * len(KEG) + len(CYLINDER)
    for config in configs:
        key = config["value_template"].removeprefix("{{ value_json.").removesuffix(" }}")
        assert key in sent[config["state_topic"]]
    assert len({config["unique_id"] for config in configs}) == len(configs)


def test_what_is_shown_has_its_unit_in_its_key() -> None:
    units = {"l": "L", "vol": "vol", "kpa": "kPa", "c": "°C", "kg": "kg", "left": "d"}
    for shown, fields in ((KEG, KegSays), (CYLINDER, CylinderSays)):
        for one in shown:
            assert one.key in fields.__dataclass_fields__
            if one.unit is not None:
                assert units[one.key.rsplit("_", 1)[1]] == one.unit


def test_discovery_can_be_left_out_or_put_elsewhere(store: Store) -> None:
    found = states(store, NOW)
    assert [*discovery_messages(found, Speaking(discovery=None))] == []
    topics = [one.topic for one in discovery_messages(found, Speaking("a/b", "hub"))]
    assert "hub/sensor/a_b_keg_k1_beer_left_l/config" in topics
