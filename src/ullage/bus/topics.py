"""What is published: messages that a broker keeps, under names that are safe in a topic."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from hashlib import sha256
from typing import Final

from ullage.errors import UnitError
from ullage.units import shown

PREFIX: Final = "ullage"
DISCOVERY: Final = "homeassistant"
"""The first level of discovery messages that many home-automation hubs read."""
ONLINE: Final = "online"
OFFLINE: Final = "offline"


@dataclass(frozen=True, slots=True)
class Message:
    """A message to be `kept` by the broker (retained), unless it is only for those who listen; an
    empty one takes back what was kept."""

    topic: str
    payload: str
    kept: bool = True


@dataclass(frozen=True, slots=True)
class Speaking:
    """Under which first levels states and discovery messages go; `None`: no discovery."""

    prefix: str = PREFIX
    discovery: str | None = DISCOVERY

    @property
    def available(self) -> str:
        """The topic that says whether Ullage listens: `online`, or `offline` as its last will."""
        return f"{self.prefix}/available"

    def state(self, kind: str, slug: str) -> str:
        """The topic of a thing's state."""
        return f"{self.prefix}/{kind}/{slug}/state"


def checked_prefix(text: str) -> str:
    """A first level, or several. Raises `UnitError` where it can be none."""
    if not re.fullmatch(r"[A-Za-z0-9_-]+(/[A-Za-z0-9_-]+)*", text):
        raise UnitError(
            f"{shown(text)} cannot begin a topic; use letters, digits, - and _, as in cellar/ullage"
        )
    return text


def slugs(names: Iterable[str]) -> dict[str, str]:
    """A name for each that is safe in a topic and an id, and no other's.

    >>> slugs(["K1", "Garage Keg"])
    {'K1': 'k1', 'Garage Keg': 'garage_keg'}
    """
    told = list(dict.fromkeys(names))
    short = {name: re.sub(r"[^a-z0-9]+", "_", name.lower()).strip("_") for name in told}
    taken = list(short.values())
    return {
        name: slug if slug and taken.count(slug) == 1 else f"{slug}_{_digest(name)}".strip("_")
        for name, slug in short.items()
    }


def _digest(name: str) -> str:
    return sha256(name.encode()).hexdigest()[:6]
