"""Where kegs and batches are on this site, as paths without the base. A name may be any text."""

from __future__ import annotations

from typing import Literal
from urllib.parse import quote, urlencode

KegAct = Literal["fill", "adopt", "anew", "done", "withdraw"]


def keg_path(name: str, act: KegAct | None = None, **query: str) -> str:
    """Where a keg's page is, or where something is done with its plan.

    >>> keg_path("K 1/2", "fill"), keg_path("K1", by="2026-12-04")
    ('/kegs/K%201%2F2/fill', '/kegs/K1?by=2026-12-04')
    """
    asked = urlencode({key: value for key, value in query.items() if value})
    path = f"/kegs/{quote(name, safe='')}"
    return path + (f"/{act}" if act else "") + (f"?{asked}" if asked else "")


def batch_path(name: str) -> str:
    """Where a batch's page is.

    >>> batch_path("Käsebier 5/6")
    '/batches/K%C3%A4sebier%205%2F6'
    """
    return f"/batches/{quote(name, safe='')}"
