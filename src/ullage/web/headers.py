"""Around the application: the headers that every response bears, and the path it lives below."""

from __future__ import annotations

from typing import Final
from urllib.parse import urlsplit

from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import PlainTextResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

POLICY: Final = "; ".join(
    (
        "default-src 'none'",
        "script-src 'self'",
        "connect-src 'self'",
        "manifest-src 'self'",
        "style-src 'self'",
        "font-src 'self'",
        "img-src 'self' data:",
        "base-uri 'none'",
        "form-action 'self'",
        "frame-ancestors 'none'",
    )
)
SECURITY: Final = {
    "Content-Security-Policy": POLICY,
    "X-Content-Type-Options": "nosniff",
    # Not "no-referrer": with that a form's own page is no `Origin` to a browser, and is refused.
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(), geolocation=(), microphone=()",
}

HSTS: Final = {"Strict-Transport-Security": "max-age=31536000"}
"""By https: never ask for anything of this host in the clear, for a year."""

SVG: Final = "image/svg+xml"
"""A text, of which the framework does not say in which letters it is written."""

SAFE: Final = frozenset({"GET", "HEAD", "OPTIONS"})
"""Methods that change nothing."""


def security(https: bool) -> dict[str, str]:
    """The headers of every answer, where browsers ask by https or not."""
    return SECURITY | HSTS if https else SECURITY


class SecurityHeaders:
    """Adds the headers to whatever the application answers."""

    def __init__(self, app: ASGIApp, https: bool = False) -> None:
        """Wrap an application; `https`: browsers reach it so."""
        self.app = app
        self.headers = security(https)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass the request on and dress the answer."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return

        async def dressed(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                for name, value in self.headers.items():
                    headers.setdefault(name, value)
                if headers.get("content-type") == SVG:
                    headers["content-type"] = f"{SVG}; charset=utf-8"
            await send(message)

        await self.app(scope, receive, dressed)


class SameOrigin:
    """Refuses what would change something when another site's page asked for it.

    By the browser's own word (`Sec-Fetch-Site`), else by `Origin` against `Host`; a program that
    sends neither is no browser that a page could have misled.
    """

    def __init__(self, app: ASGIApp) -> None:
        """Wrap an application."""
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass on what is safe or comes from here."""
        if (
            scope["type"] == "http"
            and scope["method"] not in SAFE
            and _foreign(Headers(scope=scope))
        ):
            refusal = PlainTextResponse(
                "This came from another site's page; nothing was done.", 403
            )
            await refusal(scope, receive, send)
            return
        await self.app(scope, receive, send)


def _foreign(headers: Headers) -> bool:
    said = headers.get("sec-fetch-site")
    if said is not None:
        return said not in ("same-origin", "none")
    origin = headers.get("origin")
    return origin is not None and urlsplit(origin).netloc != headers.get("host")


class Below:
    """Tells the application the path that a proxy mounts it at, whether or not it is cut off."""

    def __init__(self, app: ASGIApp, path: str) -> None:
        """Wrap an application that lives below `path`, such as "/beer"."""
        self.app = app
        self.path = path

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass the request on with the path noted."""
        if scope["type"] in ("http", "websocket"):
            scope["root_path"] = self.path
        await self.app(scope, receive, send)
