"""A real broker in a thread of its own, that can be stopped in the middle and begun again.

Like a broker that keeps its sessions on a disk, it goes on with what a lasting session has not
acknowledged yet: that is put by when it stops, and sent once the client is back.
"""

from __future__ import annotations

import asyncio
import socket
import threading
from collections.abc import Callable, Coroutine
from types import TracebackType
from typing import Any, Final, Self, TypeVar

from amqtt.broker import Broker, BrokerContext, RetainedApplicationMessage
from amqtt.plugins.base import BaseAuthPlugin
from amqtt.session import Session

LONGEST_S: Final = 30.0
TURNS: Final = 200
"""So often the loop of the broker goes round before what is under way is put by."""
_T = TypeVar("_T")
PASSWORD: Final = "let me in"


class LetsIn(BaseAuthPlugin):  # type: ignore[misc]  # it comes without types
    """Lets in who knows the password, or names no user at all."""

    async def authenticate(self, *, session: Session) -> bool | None:
        return session.username is None or session.password == PASSWORD


class TestBroker:
    """A broker at a port of its own."""

    __test__ = False

    def __init__(self) -> None:
        with socket.socket() as taken:
            taken.bind(("127.0.0.1", 0))
            self.port: int = taken.getsockname()[1]
        self._loop = asyncio.new_event_loop()
        self._thread = threading.Thread(target=self._loop.run_forever, daemon=True)
        self._broker: Broker | None = None
        self._kept: dict[str, list[tuple[str, bytes, int]]] = {}
        self._asked: list[tuple[str, str, int]] = []
        self._states: list[tuple[str, bytes, int]] = []

    def __enter__(self) -> Self:
        self._thread.start()
        self.start()
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        if self._broker is not None:
            self.stop()
        self._loop.call_soon_threadsafe(self._loop.stop)
        self._thread.join(LONGEST_S)
        self._loop.close()

    def start(self) -> None:
        """Begin, or begin again where it stopped."""
        self._do(self._start())

    def stop(self) -> None:
        """Stop, with lasting sessions put by."""
        self._do(self._stop())

    def retained(self) -> dict[str, bytes]:
        """What it keeps of each topic."""

        async def kept() -> dict[str, bytes]:
            assert self._broker is not None
            return {topic: bytes(one.data) for topic, one in self._broker.retained_messages.items()}

        return self._do(kept())

    def drop_all(self) -> None:
        """Cut every line, without a word."""

        async def cut() -> None:
            assert self._broker is not None
            await _cut(self._broker, list(self._broker.sessions))

        self._do(cut())

    def publish(self, topic: str, payload: bytes) -> None:
        """Send a message as if a device had."""
        assert self._broker is not None
        self._do(self._broker.internal_message_broadcast(topic, payload, 1))

    def await_subscription(self, topic: str) -> None:
        """Wait until somebody asks for a topic."""
        self._await(lambda broker: bool(broker.subscriptions.get(topic)))

    def await_acknowledged(self, client: str) -> None:
        """Wait until a client has acknowledged all that was sent to it."""

        def is_so(broker: Broker) -> bool:
            session = broker.sessions[client][0]
            return broker._broadcast_queue.empty() and not session.inflight_out

        self._await(is_so)

    def _await(self, is_so: Callable[[Broker], bool]) -> None:
        async def turns() -> None:
            broker = self._broker
            assert broker is not None
            for _ in range(TURNS):  # what was handed over just now is under way
                await asyncio.sleep(0)
            while not is_so(broker):
                await asyncio.sleep(0)

        self._do(asyncio.wait_for(turns(), LONGEST_S))

    async def _start(self) -> None:
        broker = Broker(
            {
                "listeners": {"default": {"type": "tcp", "bind": f"127.0.0.1:{self.port}"}},
                "plugins": {f"{__name__}.{LetsIn.__name__}": {}},
            }
        )
        await broker.start()
        for topic, data, qos in self._states:
            broker.retained_messages[topic] = RetainedApplicationMessage(None, topic, data, qos)
        for client, topic, qos in self._asked:
            await BrokerContext(broker).add_subscription(client, topic, qos)
        for client, messages in self._kept.items():
            await BrokerContext(broker).add_subscription(client, None, None)
            session = broker.sessions[client][0]
            session.clean_session = False
            for topic, data, qos in messages:
                await session.retained_messages.put(
                    RetainedApplicationMessage(None, topic, data, qos)
                )
        self._broker = broker

    async def _stop(self) -> None:
        broker, self._broker = self._broker, None
        assert broker is not None
        lasting = {
            name: session
            for name, (session, _) in broker.sessions.items()
            if session.clean_session is False
        }
        await _cut(broker, [name for name in broker.sessions if name not in lasting])
        self._states = [
            (topic, bytes(one.data), one.qos or 0)
            for topic, one in broker.retained_messages.items()
        ]
        self._asked = [
            (session.client_id or "", topic, qos)
            for topic, subscribed in broker.subscriptions.items()
            for session, qos in subscribed
            if session.client_id in lasting
        ]
        self._kept = {name: _undelivered(session) for name, session in lasting.items()}
        await _cut(broker, list(lasting))
        await asyncio.wait_for(broker.shutdown(), LONGEST_S)

    def _do(self, what: Coroutine[Any, Any, _T]) -> _T:
        return asyncio.run_coroutine_threadsafe(what, self._loop).result(LONGEST_S)


def _undelivered(session: Session) -> list[tuple[str, bytes, int]]:
    found = [(one.topic, bytes(one.data or b""), one.qos) for one in session.inflight_out.values()]
    while not session.retained_messages.empty():
        one = session.retained_messages.get_nowait()
        found.append((one.topic, bytes(one.data), one.qos or 0))
    return found


async def _cut(broker: Broker, names: list[str]) -> None:
    """Cut the lines of these clients, and let what came over them before run through."""
    for name in names:
        writer: Any = broker.sessions[name][1].writer
        if writer is not None:
            writer._writer.transport.abort()
    for _ in range(TURNS):
        await asyncio.sleep(0)
