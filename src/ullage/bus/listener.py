"""Listening: what comes over the line goes into the store, how things stand goes out again.

One thread does all of it in turn; the line's own thread only fills the queue, so that a slow disk
never lets the line go. What cannot be written just now waits and is tried again: the broker has not
been told that it was taken.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from queue import Empty, SimpleQueue
from threading import Event as Signal
from time import monotonic
from typing import Final

from ullage.bus.alarms import alarm_discovery, alarm_messages, alarms_said, notices
from ullage.bus.broker import Broker, Down, Granted, Heard, Line, News, Stop, Up
from ullage.bus.discovery import discovery_messages
from ullage.bus.inbox import Inbox, Tally, Tell
from ullage.bus.states import state_messages, states
from ullage.bus.topics import OFFLINE, ONLINE, Message, Speaking
from ullage.cellar.store import Store
from ullage.draw.event_words import subject
from ullage.draw.event_words import told as told_of
from ullage.errors import UllageError
from ullage.plan import sensed
from ullage.plan.clock import local_now
from ullage.plan.sensed_follow import Followed
from ullage.plan.spoken import counted
from ullage.units import UnitSystem

MOST: Final = 500
"""Messages that are committed at once."""
TICK_S: Final = 1.0
SPEAK_EVERY_S: Final = 60.0
"""So often at least it is looked whether what is published still holds."""


class Listener:
    """Listens to the sensors of a store's household at a broker, until it is stopped."""

    def __init__(
        self,
        store: Store,
        broker: Broker,
        speaking: Speaking,
        tell: Tell,
        clock: Callable[[], datetime] = local_now,
    ) -> None:
        """Make ready; `tell` is told, a line each, what a person should know."""
        self.ready: Final = Signal()
        """Set while the line is up and the broker has answered to what was asked for."""
        self._store, self._broker, self._speaking = store, broker, speaking
        self._tell, self._clock = tell, clock
        self._news: SimpleQueue[News] = SimpleQueue()
        self._line = Line(broker, speaking.available, self._news, clock)
        self._inbox = Inbox(store, tell)
        self._waiting: list[Heard] = []
        self._topics: frozenset[str] = frozenset()
        self._published: dict[str, str] = {}
        self._speak_at = 0.0
        self._is_up = False
        self._trouble = ""

    @property
    def tally(self) -> Tally:
        """What came of it so far."""
        return self._inbox.tally

    def stop(self) -> None:
        """Let `run` come to its end; any thread may, and a signal's handler too."""
        self._news.put(Stop())

    def run(self) -> Tally:
        """Listen until stopped. Raises `UllageError` where the broker will never let us in."""
        self._topics = self._wanted()
        self._line.open()
        try:
            while True:
                news = self._some_news()
                for one in news:
                    self._notice(one)
                self._take([one for one in news if isinstance(one, Heard)])
                if any(isinstance(one, Stop) for one in news):
                    return self.tally
                self._now_and_then()
        finally:
            self._line.close(Message(self._speaking.available, OFFLINE))

    def _some_news(self) -> list[News]:
        """What there is, so much at most; waits a tick where there is nothing."""
        found: list[News] = []
        try:
            found.append(self._news.get(timeout=TICK_S))
            while len(found) < MOST:
                found.append(self._news.get_nowait())
        except Empty:
            pass
        return found

    def _notice(self, one: News) -> None:
        if isinstance(one, Up):
            self._is_up, self._trouble = True, ""
            self._published.clear()
            self._speak_at = 0.0
            self._line.publish(Message(self._speaking.available, ONLINE))
            self._line.subscribe(self._topics)
            self._tell(
                f"listening at {self._broker.where} to {counted(len(self._topics), 'topic')}"
            )
            if not self._topics:
                self.ready.set()
        elif isinstance(one, Granted):
            for topic in one.refused:
                self._tell(f"the broker does not let {self._broker.client_id} read {topic}")
            self.ready.set()
        elif isinstance(one, Down):
            self._is_up = False
            self.ready.clear()
            if one.hopeless:
                raise UllageError(f"{self._broker.where}: {one.why}")
            self._complain(f"{self._broker.where}: {one.why}; trying again")

    def _take(self, heard: list[Heard]) -> None:
        """Write what was heard, then acknowledge it; what cannot be written now waits."""
        self._waiting += heard
        if not self._waiting:
            return
        try:
            followed = self._inbox.take(self._waiting, self._clock())
        except UllageError as wrong:
            count = counted(len(self._waiting), "message")
            self._complain(f"{wrong}; {count} wait, none is lost")
            return
        done, self._waiting, self._trouble = self._waiting, [], ""
        for one in done:
            self._line.acknowledge(one)
        self._tell_of(followed)

    def _now_and_then(self) -> None:
        """End pours, follow a changed system file, and say how things stand."""
        if monotonic() < self._speak_at:
            return
        self._speak_at = monotonic() + SPEAK_EVERY_S
        try:
            self._tell_of(sensed.end_pours(self._store, self._clock()))
            wanted = self._wanted()
            if self._is_up:
                self._line.subscribe(wanted - self._topics)
                self._line.unsubscribe(self._topics - wanted)
                self._topics = wanted
                self._speak()
        except UllageError as wrong:
            self._complain(str(wrong))

    def _speak(self) -> None:
        """Publish what is not as it was published last; take back what is no more."""
        at = self._clock()
        found, said = states(self._store, at), alarms_said(self._store, at)
        messages = [
            *discovery_messages(found, self._speaking),
            *state_messages(found, self._speaking),
            *alarm_discovery(said, self._speaking),
            *alarm_messages(said, self._speaking),
        ]
        now = {one.topic: one.payload for one in messages}
        gone = {topic: "" for topic in self._published if topic not in now}
        for topic, payload in (now | gone).items():
            if self._published.get(topic) != payload:
                self._line.publish(Message(topic, payload))
        self._published = now
        for notice in notices(self._store, said, self._speaking, at):
            self._line.publish(notice)
            self._tell(notice.payload)

    def _tell_of(self, followed: Followed) -> None:
        if followed.facts:
            units = self._units()
            self._speak_at = 0.0
            for event in followed.facts:
                self._tell(f"{event.source}: {subject(event)}: {told_of(event, units)}")
        for one in followed.doubts:
            self._tell(f"{one.source}: not written down: {one.why}")
        self.tally.facts += len(followed.facts)
        self.tally.doubts += len(followed.doubts)

    def _wanted(self) -> frozenset[str]:
        found = sensed.sensors_of(self._store).values()
        return frozenset(one.sensor.topic for one in found if one.sensor.topic is not None)

    def _units(self) -> UnitSystem:
        system = sensed.system_of(self._store)
        return "us" if system is None else system.units

    def _complain(self, line: str) -> None:
        """Tell of a trouble once, not at every tick that it lasts."""
        if line != self._trouble:
            self._tell(line)
        self._trouble = line
