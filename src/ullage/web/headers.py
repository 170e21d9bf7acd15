"""Around the application: the headers that every response bears, and the path it lives below."""

from __future__ import annotations

from typing import Final

from starlette.datastructures import MutableHeaders
from starlette.types import ASGIApp, Message, Receive, Scope, Send

POLICY: Final = "; ".join(
    (
        "default-src 'none'",
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
    "Referrer-Policy": "no-referrer",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(), geolocation=(), microphone=()",
}


class SecurityHeaders:
    """Adds the headers to whatever the application answers."""

    def __init__(self, app: ASGIApp) -> None:
        """Wrap an application."""
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass the request on and dress the answer."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return

        async def dressed(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                for name, value in SECURITY.items():
                    headers.setdefault(name, value)
            await send(message)

        await self.app(scope, receive, dressed)


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
