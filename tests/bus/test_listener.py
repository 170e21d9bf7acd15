"""Listening at a real broker: nothing that was acknowledged is lost, nothing is kept twice."""

from __future__ import annotations

import json
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from paho.mqtt.client import Client, MQTTMessage
from paho.mqtt.enums import CallbackAPIVersion

from tests.bus.brokers import LONGEST_S, PASSWORD, TestBroker
from ullage.bus.broker import Broker, Heard, Line
from ullage.bus.listener import Listener
from ullage.bus.topics import Speaking
from ullage.cellar import samples
from ullage.cellar.samples import Series
from ullage.cellar.store import Store
from ullage.errors import StoreError, UllageError
from ullage.plan.begin import SYSTEM_DOCUMENT, begin
from ullage.system.demo import demo_text
from ullage.system.file import parse_system

NOW = datetime(2026, 3, 2, 12, tzinfo=UTC)
T0 = NOW - timedelta(hours=2)
COUNT = 500
PROBE = Series("probe", "temperature")
FILE = (
    demo_text(date(2026, 3, 1))
    + """
[[sensor]]
name = "probe"
of = "place:freezer"
measures = "temperature"
unit = "degC"
topic = "cellar/probe"
value = "t"
time = "at"

[[sensor]]
name = "plain"
of = "place:garage"
measures = "temperature"
unit = "degC"
topic = "cellar/plain"

[[sensor]]
name = "K1 scale"
of = "keg:K1"
measures = "weight"
unit = "kg"
topic = "cellar/k1"
value = "kg"
time = "at"
writes = true
"""
)


class Watch:
    """Waits until something is so, asked anew whenever the listener has done something."""

    def __init__(self) -> None:
        self.lines: list[str] = []
        self._changed = threading.Condition()

    def tell(self, line: str) -> None:
        with self._changed:
            self.lines.append(line)
            self._changed.notify_all()

    def stir(self) -> None:
        with self._changed:
            self._changed.notify_all()

    def until(self, is_so: Callable[[], bool]) -> None:
        with self._changed:
            assert self._changed.wait_for(is_so, LONGEST_S), self.lines


@pytest.fixture
def broker() -> Iterator[TestBroker]:
    with TestBroker() as running:
        yield running


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with Store.open(str(tmp_path / "log.db")) as opened:
        begin(opened, parse_system(FILE), FILE, T0 - timedelta(days=1), NOW)
        yield opened


@pytest.fixture
def watch() -> Watch:
    return Watch()


@pytest.fixture
def acknowledged(monkeypatch: pytest.MonkeyPatch, watch: Watch) -> list[Heard]:
    """Every message that the broker is told was taken, in that order."""
    told: list[Heard] = []
    before = Line.acknowledge

    def noted(line: Line, one: Heard) -> bool:
        done = before(line, one)
        if done:
            told.append(one)
        watch.stir()
        return done

    monkeypatch.setattr(Line, "acknowledge", noted)
    return told


@contextmanager
def listening(
    store: Store, broker: TestBroker, watch: Watch, speaking: Speaking | None = None, **more: Any
) -> Iterator[Listener]:
    """A listener in a thread of its own, stopped at the end."""
    to = Broker("127.0.0.1", broker.port, "ullage-test", "home", PASSWORD, wait_s=(1, 1))
    listener = Listener(store, to, speaking or Speaking(), watch.tell, lambda: NOW)
    thread = threading.Thread(target=listener.run)
    thread.start()
    try:
        assert listener.ready.wait(LONGEST_S)
        yield listener
    finally:
        listener.stop()
        thread.join(LONGEST_S)
        assert not thread.is_alive()


@contextmanager
def device(broker: TestBroker) -> Iterator[Client]:
    """A sensor that publishes, and goes on by itself when the broker is back."""
    client = Client(CallbackAPIVersion.VERSION2, client_id="device")
    client.reconnect_delay_set(1, 1)
    client.connect("127.0.0.1", broker.port)
    client.loop_start()
    try:
        yield client
    finally:
        client.disconnect()
        client.loop_stop()


def reading(number: int) -> str:
    at = T0 + timedelta(seconds=number)
    return json.dumps({"t": 4.0 + number / 1000.0, "at": at.isoformat()})


def kept(store: Store, series: Series) -> list[float]:
    with store.reading() as connection:
        found = samples.after(connection, store.cellar, series, samples.LONG_AGO, 10**6)
    return [round(one.value - 273.15, 6) for one in found]


def test_a_broker_that_is_restarted_in_the_middle_loses_nothing(
    store: Store, broker: TestBroker, watch: Watch, acknowledged: list[Heard]
) -> None:
    with listening(store, broker, watch) as listener, device(broker) as client:
        for number in range(COUNT // 2):
            client.publish("cellar/probe", reading(number), qos=1)
        watch.until(lambda: listener.tally.new >= COUNT // 10)
        broker.stop()
        for number in range(COUNT // 2, COUNT):
            client.publish("cellar/probe", reading(number), qos=1)
        broker.start()
        watch.until(lambda: listener.tally.new == COUNT)
    assert kept(store, PROBE) == [round(4.0 + number / 1000.0, 6) for number in range(COUNT)]
    taken = {json.loads(one.payload)["at"] for one in acknowledged}
    assert len(taken) == COUNT  # every one was acknowledged, some perhaps on both lines
    assert any("the line was lost" in line for line in watch.lines)
    assert listener.tally.refused == 0


def test_nothing_is_acknowledged_before_the_store_has_it(
    store: Store,
    broker: TestBroker,
    watch: Watch,
    acknowledged: list[Heard],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    busy = threading.Event()
    before = samples.keep

    def keep(*given: Any) -> Any:
        if not busy.is_set():
            raise StoreError("the disk is full")
        return before(*given)

    monkeypatch.setattr(samples, "keep", keep)
    with listening(store, broker, watch) as listener, device(broker) as client:
        for number in range(20):
            client.publish("cellar/probe", reading(number), qos=1)
        watch.until(lambda: any("the disk is full" in line for line in watch.lines))
        assert acknowledged == []
        assert kept(store, PROBE) == []
        busy.set()
        watch.until(lambda: len(acknowledged) == 20)
        assert len(kept(store, PROBE)) == 20
    assert any("none is lost" in line for line in watch.lines)
    assert listener.tally.new == 20


def test_what_was_published_while_nobody_listened_comes_later(
    store: Store, broker: TestBroker, watch: Watch, acknowledged: list[Heard]
) -> None:
    with listening(store, broker, watch):
        pass  # from now on the broker keeps what comes for this client
    with device(broker) as client:
        for number in range(10):
            client.publish("cellar/probe", reading(number), qos=1).wait_for_publish(LONGEST_S)
    with listening(store, broker, watch) as listener:
        watch.until(lambda: len(acknowledged) >= 10)
        assert listener.tally.new == 10
    assert len(kept(store, PROBE)) == 10


def test_bad_messages_are_counted_and_told(
    store: Store, broker: TestBroker, watch: Watch, acknowledged: list[Heard]
) -> None:
    bad = [b"", b"\xff", b"{", b'{"t": "four"}', b'{"t": 4}', b'{"t": 400, "at": 1772445600}']
    with listening(store, broker, watch) as listener, device(broker) as client:
        for message in bad:
            client.publish("cellar/probe", message, qos=1)
        client.publish("cellar/plain", b"4.5 kg", qos=1)
        client.publish("cellar/plain", b"4.5", qos=1)
        watch.until(lambda: len(acknowledged) == len(bad) + 2)
        assert listener.tally.refused == len(bad) + 1
        assert listener.tally.new == 1
    told = [line for line in watch.lines if line.startswith("probe: ")]
    assert len(told) == 3  # the first few; then one in a hundred
    assert 'plain: "4.5 kg" is a mass, not a temperature' in " ".join(watch.lines)


def test_what_the_broker_had_kept_is_not_of_now(
    store: Store, broker: TestBroker, watch: Watch
) -> None:
    with device(broker) as client:
        told = client.publish("cellar/plain", b"4.5", qos=1, retain=True)
        told.wait_for_publish(LONGEST_S)
    with listening(store, broker, watch) as listener, device(broker) as client:
        client.publish("cellar/plain", b"4.6", qos=1)
        client.publish("cellar/probe", b"-", qos=1)
        watch.until(lambda: any(line.startswith("probe") for line in watch.lines))
        assert (listener.tally.stale, listener.tally.new) == (1, 1)
    assert kept(store, Series("plain", "temperature")) == [4.6]


def test_a_glass_is_written_down_and_told(store: Store, broker: TestBroker, watch: Watch) -> None:
    with listening(store, broker, watch) as listener, device(broker) as client:
        for number in range(60):
            at = (T0 + timedelta(seconds=10 * number)).isoformat()
            weight = 21.0 if number < 30 else 20.6
            client.publish("cellar/k1", json.dumps({"kg": weight, "at": at}), qos=1)
        watch.until(lambda: listener.tally.facts == 1)
    assert any(line.startswith("K1 scale: keg K1: poured") for line in watch.lines)
    (fact,) = [one.event for one in store.read(kinds=("poured",))]
    assert fact.source == "K1 scale"


def test_states_and_discovery_are_kept_by_the_broker(
    store: Store, broker: TestBroker, watch: Watch
) -> None:
    speaking = Speaking("beer/home", "hub")
    seen: dict[str, bytes] = {}

    def hear(client: Client, data: object, message: MQTTMessage) -> None:
        seen[message.topic] = bytes(message.payload)
        watch.stir()

    with device(broker) as client:
        client.on_message = hear
        client.subscribe("beer/home/#", 1)
        with listening(store, broker, watch, speaking):
            watch.until(lambda: "beer/home/cylinder/main/state" in seen)
            assert seen["beer/home/available"] == b"online"
            found = broker.retained()
        watch.until(lambda: seen["beer/home/available"] == b"offline")
    keg = json.loads(found["beer/home/keg/k1/state"])
    assert keg["beer"] == "Backyard Pale"
    assert 0.0 < keg["beer_left_l"] < 20.0
    config = json.loads(found["hub/sensor/beer_home_keg_k1_beer_left_l/config"])
    assert config["state_topic"] == "beer/home/keg/k1/state"
    assert config["availability_topic"] == "beer/home/available"


def test_a_changed_system_file_is_followed(
    store: Store, broker: TestBroker, watch: Watch, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("ullage.bus.listener.SPEAK_EVERY_S", 0.0)
    with listening(store, broker, watch) as listener, device(broker) as client:
        listener.ready.clear()
        store.put_document(SYSTEM_DOCUMENT, FILE.replace("cellar/plain", "cellar/other"))
        assert listener.ready.wait(LONGEST_S)
        client.publish("cellar/other", b"4.5", qos=1)
        watch.until(lambda: listener.tally.new == 1)


def test_a_broker_that_will_not_let_us_in_is_said_so(
    store: Store, broker: TestBroker, watch: Watch
) -> None:
    to = Broker("127.0.0.1", broker.port, "ullage-test", "home", "wrong", wait_s=(1, 1))
    with pytest.raises(UllageError, match=r"the broker refused: (not authorized|bad user name)"):
        Listener(store, to, Speaking(), watch.tell).run()


def test_a_broker_that_is_not_there_yet_is_waited_for(store: Store, watch: Watch) -> None:
    with TestBroker() as broker:
        broker.stop()
        to = Broker("127.0.0.1", broker.port, "ullage-test", "home", PASSWORD, wait_s=(1, 1))
        listener = Listener(store, to, Speaking(), watch.tell, lambda: NOW)
        thread = threading.Thread(target=listener.run)
        thread.start()
        watch.until(lambda: any("nobody answers" in line for line in watch.lines))
        broker.start()
        assert listener.ready.wait(LONGEST_S)
        listener.stop()
        thread.join(LONGEST_S)
    assert sum("nobody answers" in line for line in watch.lines) == 1  # told once, not each time
