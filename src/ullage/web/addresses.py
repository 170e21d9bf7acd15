"""Where things are on this site, as paths without the base. Names may hold any letters."""

from __future__ import annotations

from typing import Final, Literal, get_args
from urllib.parse import quote, urlencode

PartKind = Literal["keg", "cylinder", "regulator", "tap", "place"]
PART_KINDS: Final[tuple[PartKind, ...]] = get_args(PartKind)


def record_path(kind: PartKind, name: str, verb: str = "", **query: str) -> str:
    """Where something can be written down about a part; with a verb, that verb's form.

    >>> record_path("keg", "K 1/2", "poured", back="/log")
    '/record/keg/K%201%2F2/poured?back=%2Flog'
    """
    path = f"/record/{kind}/{quote(name, safe='')}"
    asked = urlencode({key: value for key, value in query.items() if value})
    return path + (f"/{verb}" if verb else "") + (f"?{asked}" if asked else "")


def log_path(stream: str = "") -> str:
    """Where the log is, or the part of it about one thing: `keg:K1`."""
    return f"/log?{urlencode({'of': stream})}" if stream else "/log"
