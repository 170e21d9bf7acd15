"""By which names the pages may be asked for: those that they are served at, and those told.

Without this a page of another site could have its own name resolved to this machine's address and
then read, as if it were ours, what is served here.
"""

from __future__ import annotations

import re
from collections.abc import Collection
from ipaddress import IPv6Address, ip_address
from typing import Final

from starlette.datastructures import Headers
from starlette.responses import PlainTextResponse
from starlette.types import ASGIApp, Receive, Scope, Send

from ullage.errors import UllageError

LOOPBACK: Final = ("localhost", "127.0.0.1", "[::1]")
_NAME: Final = re.compile(r"\[[0-9a-f:.]{2,45}\]|[a-z0-9_-]([a-z0-9._-]{0,251}[a-z0-9_-])?")
_PORT: Final = re.compile(r":\d{1,5}\Z")
_ASKED: Final = re.compile(r"(\[[0-9a-f:.]{2,45}\]|[a-z0-9._-]{1,253})(?::\d{1,5})?")
UNKNOWN: Final = "These pages do not go by that name here: --host-name adds one.\n"
"""To whom asks by a name that is not ours."""


def host_name(told: str) -> str:
    """A name as a request's `Host` has it: in small letters, without a port.

    Raises `UllageError` for what is no name of a host.

    >>> host_name("Beer.local:8420"), host_name("[::1]:80"), host_name("::1")
    ('beer.local', '[::1]', '[::1]')
    """
    name = told.strip().lower()
    if name.count(":") > 1 and not name.startswith("["):
        name = f"[{name}]"
    name = _PORT.sub("", name)
    if not _NAME.fullmatch(name):
        raise UllageError(
            f'"{told[:80]}" is no name of a host; write one as a browser shows it, such as '
            "beer.example.org"
        )
    return name


class KnownHosts:
    """Answers who asks by one of the names, or by the very address that was reached.

    An address of numbers cannot be turned elsewhere as a name can: a browser that asks for
    192.168.1.5 is at a page of 192.168.1.5.
    """

    def __init__(self, app: ASGIApp, names: Collection[str]) -> None:
        """Wrap an application; `names` as `host_name` gives them."""
        self.app = app
        self.names = frozenset(names)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass on what asks for us."""
        if scope["type"] in ("http", "websocket") and not self._knows(scope):
            await PlainTextResponse(UNKNOWN, 400)(scope, receive, send)
            return
        await self.app(scope, receive, send)

    def _knows(self, scope: Scope) -> bool:
        asked = _ASKED.fullmatch(Headers(scope=scope).get("host", "").lower())
        if asked is None:
            return False
        reached = _address((scope.get("server") or ("",))[0].partition("%")[0])
        return asked[1] in self.names or (reached != "" and reached == _address(asked[1]))


def _address(host: str) -> str:
    """A host as an address of numbers in its one form; "" where it is a name."""
    try:
        found = ip_address(host.strip("[]"))
    except ValueError:
        return ""
    plain = found.ipv4_mapped if isinstance(found, IPv6Address) else None
    return str(plain or found)
