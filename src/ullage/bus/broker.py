"""The line to a broker: kept up by itself, and all that comes over it put in one queue.

The session is a lasting one (`clean_session` off, a client id that stays the same), so the broker
keeps what it has not been told was taken; and it is told so by hand, once the store has it.
"""

from __future__ import annotations

import re
import ssl
from collections.abc import Callable, Iterable
from contextlib import suppress
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from pathlib import Path
from queue import SimpleQueue
from typing import Any, Final, TypeAlias

from paho.mqtt.client import Client, MQTTMessage
from paho.mqtt.enums import CallbackAPIVersion, MQTTErrorCode
from paho.mqtt.reasoncodes import ReasonCode

from ullage.bus.topics import OFFLINE, Message
from ullage.errors import UllageError
from ullage.units import shown

PORT: Final = 1883
TLS_PORT: Final = 8883
QOS: Final = 1
GOODBYE_S: Final = 5.0
"""So long at most the broker is waited for in the end."""
HOPELESS: Final = frozenset(
    {
        "Bad user name or password",
        "Not authorized",
        "Client identifier not valid",
        "Unsupported protocol version",
    }
)
"""What trying again would not mend."""


@dataclass(frozen=True, slots=True)
class Broker:
    """Where a broker is and how to be let in. `wait_s`: the shortest and the longest pause before
    the line is tried again; it doubles each time."""

    host: str
    port: int = PORT
    client_id: str = "ullage"
    user: str | None = None
    password: str | None = field(default=None, repr=False)
    tls: bool = False
    ca_file: Path | None = None
    wait_s: tuple[int, int] = (1, 60)

    @property
    def where(self) -> str:
        """Its address, for messages."""
        return f"[{self.host}]:{self.port}" if ":" in self.host else f"{self.host}:{self.port}"


@dataclass(frozen=True, slots=True)
class Heard:
    """A message that came: on which line (they are counted), and whether the broker said it may
    have come before, or that it is one that it keeps."""

    topic: str
    payload: bytes
    line: int
    mid: int
    qos: int
    again: bool
    kept: bool
    at: datetime


@dataclass(frozen=True, slots=True)
class Up:
    """The line is up, by its number."""

    line: int


@dataclass(frozen=True, slots=True)
class Down:
    """The line is down, or did not come up; `hopeless` where trying again mends nothing."""

    why: str
    hopeless: bool = False


@dataclass(frozen=True, slots=True)
class Granted:
    """The broker answered to a subscription; `refused` topics it does not let us read."""

    refused: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Stop:
    """Somebody wants an end."""


News: TypeAlias = Heard | Up | Down | Granted | Stop


def address(text: str, *, tls: bool = False) -> tuple[str, int]:
    """Host and port of `host`, `host:1883` or `[::1]:1883`. Raises `UllageError`."""
    found = re.fullmatch(r"(?:\[([0-9A-Fa-f:.]+)\]|([A-Za-z0-9._-]+))(?::([0-9]{1,5}))?", text)
    port = int(found[3]) if found and found[3] else (TLS_PORT if tls else PORT)
    if not found or not 0 < port < 65_536:
        raise UllageError(f"{shown(text)} is no broker; write its host, or host:port")
    return found[1] or found[2], port


def _trusting(ca_file: Path | None) -> ssl.SSLContext:
    """Trust who this machine trusts, or whom a file names. Raises `UllageError`."""
    try:
        return ssl.create_default_context(cafile=ca_file)
    except OSError as wrong:  # that of certificates is one, too
        why = wrong.strerror or wrong
        raise UllageError(f"{ca_file} holds no certificates that can be read: {why}") from None


class Line:
    """A line to a broker. What happens on it comes in `news`; it is mended in the background."""

    def __init__(
        self, broker: Broker, will: str, news: SimpleQueue[News], clock: Callable[[], datetime]
    ) -> None:
        """Make ready for a broker; `will`: the topic that says `offline` when the line is lost."""
        self._broker = broker
        self._news = news
        self._number = 0
        self._clock = clock
        self._last_at = clock()
        self._asked: dict[int, tuple[str, ...]] = {}
        self._client = self._made(broker, will)

    @property
    def number(self) -> int:
        """Which line this is: one more each time it came up."""
        return self._number

    def open(self) -> None:
        """Begin; the line comes up when the broker is there."""
        self._client.connect_async(self._broker.host, self._broker.port)
        self._client.loop_start()

    def close(self, last: Message | None = None) -> None:
        """Let go of the line, once the broker has a last message; on a dead line there is none."""
        if last is not None and self._client.is_connected():
            told = self._client.publish(last.topic, last.payload, QOS, retain=True)
            with suppress(
                RuntimeError, ValueError
            ):  # the line was lost meanwhile: its will is said
                told.wait_for_publish(GOODBYE_S)
        self._client.disconnect()
        self._client.loop_stop()

    def subscribe(self, topics: Iterable[str]) -> None:
        """Ask for topics."""
        told = tuple(sorted(topics))
        if told:
            done, mid = self._client.subscribe([(topic, QOS) for topic in told])
            if done is MQTTErrorCode.MQTT_ERR_SUCCESS and mid is not None:
                self._asked[mid] = told

    def unsubscribe(self, topics: Iterable[str]) -> None:
        """Ask for topics no more."""
        told = sorted(topics)
        if told:
            self._client.unsubscribe(told)

    def publish(self, message: Message) -> None:
        """Publish a message; the broker keeps it where it is one to be kept."""
        self._client.publish(message.topic, message.payload, QOS, retain=message.kept)

    def acknowledge(self, one: Heard) -> bool:
        """Tell the broker that a message was taken; not on another line than it came on."""
        if one.line != self._number or one.qos == 0:
            return False
        return self._client.ack(one.mid, one.qos) is MQTTErrorCode.MQTT_ERR_SUCCESS

    def _made(self, broker: Broker, will: str) -> Client:
        client = Client(
            CallbackAPIVersion.VERSION2,
            client_id=broker.client_id,
            clean_session=False,
            manual_ack=True,
        )
        if broker.user is not None:
            client.username_pw_set(broker.user, broker.password)
        if broker.tls:
            client.tls_set_context(_trusting(broker.ca_file))
        client.will_set(will, OFFLINE, QOS, retain=True)
        client.reconnect_delay_set(*broker.wait_s)
        client.on_connect = self._on_connect
        client.on_connect_fail = self._on_connect_fail
        client.on_disconnect = self._on_disconnect
        client.on_subscribe = self._on_subscribe
        client.on_message = self._on_message
        return client

    def _on_connect(
        self, _client: Client, _data: Any, _flags: Any, code: ReasonCode, _more: Any
    ) -> None:
        if code.is_failure:
            name = code.getName()
            self._news.put(Down(f"the broker refused: {name.lower()}", name in HOPELESS))
            return
        self._number += 1
        self._news.put(Up(self._number))

    def _on_connect_fail(self, _client: Client, _data: Any) -> None:
        self._news.put(Down("nobody answers there"))

    def _on_disconnect(
        self, _client: Client, _data: Any, _flags: Any, code: ReasonCode, _more: Any
    ) -> None:
        self._news.put(Down("the line was lost" if code.is_failure else "the line was closed"))

    def _on_subscribe(
        self, _client: Client, _data: Any, mid: int, codes: list[ReasonCode], _more: Any
    ) -> None:
        asked = self._asked.pop(mid, ())
        refused = [topic for topic, code in zip(asked, codes, strict=False) if code.is_failure]
        self._news.put(Granted(tuple(refused)))

    def _on_message(self, _client: Client, _data: Any, message: MQTTMessage) -> None:
        self._last_at = max(self._clock(), self._last_at + timedelta(microseconds=1))
        self._news.put(
            Heard(
                topic=message.topic,
                payload=bytes(message.payload),
                line=self._number,
                mid=message.mid,
                qos=message.qos,
                again=message.dup,
                kept=message.retain,
                at=self._last_at,
            )
        )
