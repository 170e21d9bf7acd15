"""How a thing is called in a sentence, and how a cellar may be called."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Final

_CELLAR: Final = re.compile(r"[a-z0-9][a-z0-9-]{0,39}")


def is_cellar(name: str) -> bool:
    """Whether a household's cellar may be called so: its name is part of its pages' address.

    >>> is_cellar("smith-road-4"), is_cellar("Smith Road"), is_cellar("-"), is_cellar("")
    (True, False, False, False)
    """
    return _CELLAR.fullmatch(name) is not None


def part(kind: str, name: str) -> str:
    """A name with its kind before it, unless it says so itself.

    >>> part("keg", "K1"), part("Keg", "keg 1"), part("tap", "left tap"), part("keg", "kegerator")
    ('keg K1', 'keg 1', 'left tap', 'keg kegerator')
    """
    says_so = re.search(rf"\b{kind}(?![a-z])", name, re.IGNORECASE)
    return name if says_so else f"{kind} {name}"


def headed(kind: str, name: str) -> str:
    """The same at the head of a line or of a sentence.

    >>> headed("keg", "K1"), headed("keg", "keg 1")
    ('Keg K1', 'Keg 1')
    """
    said = part(kind, name)
    return f"{said[:1].upper()}{said[1:]}"


def listed(names: Sequence[str]) -> str:
    """Names in a sentence.

    >>> listed([]), listed(["K1"]), listed(["K1", "K2", "K3"])
    ('', 'K1', 'K1, K2 and K3')
    """
    return f"{', '.join(names[:-1])} and {names[-1]}" if len(names) > 1 else "".join(names)


def counted(number: int, what: str) -> str:
    """A number of things.

    >>> counted(1, "event"), counted(2, "event")
    ('1 event', '2 events')
    """
    return f"{number} {what}" if number == 1 else f"{number} {what}s"
