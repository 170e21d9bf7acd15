"""Alarms over MQTT: states that end, discovery, notices that are not kept and not repeated."""

from __future__ import annotations

import json
import threading
from collections.abc import Iterator
from datetime import datetime, timedelta
from pathlib import Path
from queue import SimpleQueue
from typing import Any

import pytest
from paho.mqtt.client import Client
from paho.mqtt.enums import CallbackAPIVersion

from tests.bus.brokers import TestBroker
from tests.plan.test_alarms_now import BEGAN, KEPT_K, Household
from ullage.bus.alarms import alarm_discovery, alarm_messages, alarms_said, notices
from ullage.bus.broker import Broker
from ullage.bus.listener import Listener
from ullage.bus.topics import Speaking
from ullage.cellar.keg_events import Filled, GasOn, KegAcquired
from ullage.cellar.store import Store
from ullage.everyday_units import PSI
from ullage.plan.alarms_heard import see

SPEAKING = Speaking()
STATE = "ullage/alarm/warm/place/freezer/state"
NOW = BEGAN + timedelta(days=1)
PATIENCE_S = 20.0


@pytest.fixture
def home(tmp_path: Path) -> Iterator[Household]:
    with Store.open(str(tmp_path / "log.db")) as store:
        yield Household(store)


def states(store: Store, at: datetime = NOW) -> dict[str, Any]:
    messages = alarm_messages(alarms_said(store, at), SPEAKING)
    return {one.topic: json.loads(one.payload) for one in messages}


def warm(home: Household, until: datetime = NOW) -> None:
    home.hears(lambda _: KEPT_K + 9.0, until, since=until - timedelta(hours=12))
    home.hears(lambda _: 75842.0, until, "gauge", since=until - timedelta(hours=12))


def test_a_keg_that_the_log_alone_knows_is_held_to_its_regulator(home: Household) -> None:
    """58 of the 60 psi that the regulator is rated for are near them, far below the keg's 130."""
    home.store.append(
        [
            KegAcquired(at=BEGAN, keg="K9", keg_kind="ball-lock-5gal", place="freezer"),
            Filled(
                at=BEGAN,
                keg="K9",
                batch="New",
                volume_m3=0.018,
                temperature_k=KEPT_K,
                start_vol=0.9,
            ),
            GasOn(at=BEGAN, keg="K9", gauge_pressure_pa=58.0 * PSI),
        ]
    )
    found = states(home.store, BEGAN + timedelta(hours=1))
    said = found["ullage/alarm/pressure-high/keg/k9/state"]
    assert (said["state"], said["level"]) == ("on", "danger")
    # pin: the rating of the demo's regulator
    assert "is 60 psi" in said["text"]


def test_one_that_holds_is_on_and_all_that_is_watched_is_off(home: Household) -> None:
    warm(home)
    found = states(home.store)
    assert found[STATE]["state"] == "on"
    assert found[STATE]["level"] == "warning"
    assert found[STATE]["since"] == (BEGAN + timedelta(hours=12)).astimezone().isoformat()
    assert found[STATE]["do"]
    assert {topic for topic, one in found.items() if one["state"] == "on"} == {STATE}
    off = {topic.removeprefix("ullage/alarm/") for topic in found if topic != STATE}
    assert {
        "freezing/place/freezer/state",
        "pressure-high/keg/k1/state",
        "beer-low/keg/k3/state",
        "gas-vanishing/cylinder/main/state",
        "silent/sensor/thermometer/state",
    } <= off
    # nothing watches how warm the garage is, so nothing says that it is not too warm
    assert "warm/place/garage/state" not in off


def test_a_silent_sensor_makes_it_not_known(home: Household) -> None:
    home.hears(lambda _: KEPT_K, NOW, since=NOW - timedelta(hours=12))
    assert states(home.store)[STATE] == {"state": "off"}
    later = states(home.store, NOW + timedelta(hours=3))
    assert later[STATE] == {"state": None}
    assert later["ullage/alarm/silent/sensor/thermometer/state"]["state"] == "on"


def test_a_sensor_that_never_spoke_makes_it_not_known(home: Household) -> None:
    assert states(home.store)[STATE] == {"state": None}


def test_seen_is_said(home: Household) -> None:
    warm(home)
    said = alarms_said(home.store, NOW)
    see(home.store, said.alarms, said.alarms[0].key, NOW)
    assert states(home.store)[STATE]["seen"] is True


def test_each_is_discovered_as_a_problem_of_its_thing(home: Household) -> None:
    warm(home)
    said = alarms_said(home.store, NOW)
    found = {one.topic: json.loads(one.payload) for one in alarm_discovery(said, SPEAKING)}
    assert len(found) == len(said.watches)
    one = found["homeassistant/binary_sensor/ullage_place_freezer_warm/config"]
    assert one["device_class"] == "problem"
    assert one["state_topic"] == STATE
    assert (one["payload_on"], one["payload_off"]) == ("on", "off")
    assert one["device"] == {"identifiers": ["ullage_place_freezer"], "name": "Place freezer"}
    keg = found["homeassistant/binary_sensor/ullage_keg_k1_pressure_high/config"]
    assert keg["device"]["identifiers"] == ["ullage_keg_k1"]
    ids = [each["unique_id"] for each in found.values()]
    assert len(set(ids)) == len(ids)
    assert not list(alarm_discovery(said, Speaking(discovery=None)))


def test_a_notice_is_given_once_in_plain_words_and_not_kept(home: Household) -> None:
    warm(home)
    said = alarms_said(home.store, NOW)
    (told,) = notices(home.store, said, SPEAKING, NOW)
    assert (told.topic, told.kept) == ("ullage/notice", False)
    assert told.payload.startswith("Warning. Place freezer is at ")
    assert "See that it has power" in told.payload
    assert notices(home.store, said, SPEAKING, NOW + timedelta(hours=23)) == []
    assert len(notices(home.store, said, SPEAKING, NOW + timedelta(hours=24))) == 1


def test_nothing_described_says_nothing(tmp_path: Path) -> None:
    with Store.open(str(tmp_path / "log.db")) as store:
        assert list(alarm_messages(alarms_said(store, NOW), SPEAKING)) == []


def test_over_a_real_broker(home: Household) -> None:
    """A hub that listens hears the notice once; one that comes later finds the state alone."""
    warm(home)
    with TestBroker() as broker:
        heard: SimpleQueue[tuple[str, str, bool]] = SimpleQueue()
        hub = _hub(broker.port, heard)
        told: list[str] = []
        listener = Listener(
            home.store,
            Broker("127.0.0.1", broker.port, wait_s=(1, 1)),
            SPEAKING,
            told.append,
            lambda: NOW,
        )
        thread = threading.Thread(target=listener.run)
        thread.start()
        try:
            topic, payload, kept = heard.get(timeout=PATIENCE_S)
        finally:
            listener.stop()
            thread.join(PATIENCE_S)
            hub.disconnect()
            hub.loop_stop()
        assert (topic, kept) == ("ullage/notice", False)
        assert payload in told
        assert heard.empty()
        remains = broker.retained()
        assert json.loads(remains[STATE])["state"] == "on"
        assert "ullage/notice" not in remains


def _hub(port: int, heard: SimpleQueue[tuple[str, str, bool]]) -> Client:
    """A hub that listens to notices."""
    hub, ready = Client(CallbackAPIVersion.VERSION2, client_id="hub"), threading.Event()
    hub.on_subscribe = lambda *_: ready.set()
    hub.on_message = lambda _client, _data, one: heard.put(
        (one.topic, one.payload.decode(), one.retain)
    )
    hub.connect("127.0.0.1", port)
    hub.loop_start()
    hub.subscribe("ullage/notice", 1)
    assert ready.wait(PATIENCE_S)
    return hub
