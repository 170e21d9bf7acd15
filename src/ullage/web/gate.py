"""The gate before the pages: who asks, by the session in their cookie, and whether they may.

It stands around the whole application, so that a page nobody thought of is shut as well.
"""

from __future__ import annotations

import hmac
import secrets
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import timedelta
from typing import Final, TypeAlias
from urllib.parse import quote, urlsplit

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import MutableHeaders
from starlette.requests import HTTPConnection, Request
from starlette.responses import JSONResponse, PlainTextResponse, RedirectResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from ullage.cellar import accounts, attempts, sessions, tokens
from ullage.cellar.accounts import Account
from ullage.cellar.tokens import Token
from ullage.errors import UllageError
from ullage.web.book import Book
from ullage.web.headers import SECURITY
from ullage.web.may import NO_PATH, is_open, may, token_may

Refuse: TypeAlias = Callable[[Request, int, str, str], Response]
"""Makes the page of a refusal: its code, its heading, its sentence."""
COOKIE: Final = "ullage_session"
MOST_TRIES: Final = 10
"""A code for the first account is worth nothing after so many wrong ones."""
UNKEPT: Final = {"Cache-Control": "no-store"}
_LETTERS: Final = "abcdefghjkmnpqrstuvwxyz23456789"
_CODE: Final = 12


def new_code() -> str:
    """A code to print in the terminal: 59 bits of chance, without letters that look alike."""
    return "-".join("".join(secrets.choice(_LETTERS) for _ in range(_CODE // 3)) for _ in range(3))


@dataclass(slots=True)
class Gate:
    """Who may come in to a book. `https`: browsers reach it by https, so cookies keep to that.

    `code`: what the terminal printed for the first account, "" if none is to be made so.
    """

    book: Book
    base: str = ""
    https: bool = False
    code: str = ""
    _wrong_codes: int = field(default=0, init=False)

    @property
    def cookie(self) -> str:
        """The name of the session's cookie; by https one that no other host, or path where there
        is none below, can set."""
        if not self.https:
            return COOKIE
        return f"__Secure-{COOKIE}" if self.base else f"__Host-{COOKIE}"

    def account(self, connection: HTTPConnection) -> Account | None:
        """The account whose session the request bears."""
        secret = connection.cookies.get(self.cookie, "")
        if not secret:
            return None
        name = sessions.account_of(self.book.store, secret, self.book.clock())
        return None if name is None else accounts.named(self.book.store, name)

    def log_in(self, request: Request, name: str, password: str) -> str | timedelta | None:
        """A new session's secret; how long to wait after too many tries; `None` where it is wrong.

        The try is noted before the password is looked at, so that many at once gain nothing.
        """
        store, at, address = self.book.store, self.book.clock(), address_of(request)
        name = NO_PATH.sub("\ufffd", name)
        wait = attempts.begin(store, name, address, at)
        if wait is not None:
            return wait
        account = accounts.checked(store, name, password)
        if account is None:
            return None
        attempts.forgive(store, name, address)
        self.log_out(request)
        return sessions.begin(store, account.name, at)

    def log_out(self, request: HTTPConnection) -> None:
        """End the session that the request bears, if it bears one."""
        secret = request.cookies.get(self.cookie, "")
        if secret:
            sessions.end(self.book.store, secret)

    def is_code(self, typed: str) -> bool:
        """Whether it is the code of the terminal; ten wrong ones, and no code is any more."""
        if not self.code or self.tried_out:
            return False
        right = hmac.compare_digest(typed.strip().lower().encode(), self.code.encode())
        self._wrong_codes += not right
        return right

    @property
    def tried_out(self) -> bool:
        """Whether too many wrong codes were typed for any to be right."""
        return self._wrong_codes >= MOST_TRIES

    def keep(self, answer: Response, secret: str) -> Response:
        """Give the browser its session: for this site alone, out of reach of scripts."""
        answer.set_cookie(
            self.cookie,
            secret,
            int(sessions.LONGEST.total_seconds()),
            path=self.base or "/",
            secure=self.https,
            httponly=True,
            samesite="lax",
        )
        return answer

    def forget(self, answer: Response) -> Response:
        """Take the session from the browser."""
        answer.delete_cookie(
            self.cookie, path=self.base or "/", secure=self.https, httponly=True, samesite="lax"
        )
        return answer


@dataclass(frozen=True, slots=True)
class Visitor:
    """Who asks: a person by their session, or a program by its token. `said`: why it is nobody."""

    account: Account | None = None
    token: Token | None = None
    said: str = "Log in first."

    def may(self, method: str, path: str) -> bool:
        """Whether that is theirs to do."""
        if self.token is not None:
            return token_may(self.token.scope, method, path)
        return self.account is not None and may(self.account.role, method, path)


class Guarded:
    """Lets through what is open, and what the account or the token of the request may do."""

    def __init__(self, app: ASGIApp, gate: Gate, refuse: Refuse) -> None:
        """Wrap an application."""
        self.app = app
        self.gate = gate
        self.refuse = refuse

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass on with the account noted in the request's state, or refuse."""
        if scope["type"] == "lifespan":
            await self.app(scope, receive, send)
            return
        if scope["type"] != "http":
            return  # there are no others here, and a gate lets nothing pass that it cannot judge
        path, method = below(str(scope["path"]), self.gate.base), str(scope["method"])
        noted = scope.setdefault("state", {})
        noted["account"] = None
        if NO_PATH.search(path):
            await PlainTextResponse("No address has such signs.", 400)(scope, receive, send)
            return
        if is_open(method, path):
            await self.app(scope, receive, send)
            return
        try:
            visitor = await run_in_threadpool(self._visitor, HTTPConnection(scope))
        except UllageError as wrong:
            await PlainTextResponse(str(wrong), 503, SECURITY)(scope, receive, send)
            return
        noted["account"] = visitor.account
        answer = self.app
        if not visitor.may(method, path):
            answer = await run_in_threadpool(self._refusal, Request(scope), path, visitor)
        await answer(scope, receive, _unkept(send))

    def _visitor(self, connection: HTTPConnection) -> Visitor:
        sort, _, secret = connection.headers.get("authorization", "").partition(" ")
        if sort.lower() != "bearer":
            return Visitor(self.gate.account(connection))
        token = tokens.known(self.gate.book.store, secret.strip())
        return Visitor(token=token, said="This token is not good: it was revoked, or never made.")

    def _refusal(self, request: Request, path: str, visitor: Visitor) -> Response:
        if visitor.token is not None:
            return _data(403, f"The token {visitor.token.name} is for {FOR[visitor.token.scope]}.")
        if visitor.account is None:
            return self._turned_away(request, path, visitor.said)
        told = (
            f"{visitor.account.name} is a {visitor.account.role} here, who may not do that. Ask a "
            "keeper of this cellar."
        )
        if _wants_data(request, path):
            return _data(403, told)
        return self.refuse(request, 403, "Not yours to do", told)

    def _turned_away(self, request: Request, path: str, said: str) -> Response:
        """To the login, and from there back; a form that was sent cannot be led there."""
        if request.headers.get("hx-request") == "true":
            return Response(
                status_code=401, headers={"HX-Redirect": self._login(_beneath(request))}
            )
        if _wants_data(request, path):
            return _data(401, said)
        if request.method == "GET":
            query = f"?{request.url.query}" if request.url.query else ""
            return RedirectResponse(self._login(f"{path}{query}"), 303)
        told = (
            "Nothing was written. Log in in another tab, then reload this page: what you typed is "
            "sent again."
        )
        return self.refuse(request, 401, "You are logged out", told)

    def _login(self, back: str) -> str:
        inside = below(back, self.gate.base)
        return f"{self.gate.base}/login?back={quote(inside, safe='')}"


FOR: Final[dict[tokens.Scope, str]] = {
    "samples": "sending readings of sensors, and nothing else",
    "read": "asking below /api/v1, and not for writing",
    "record": "asking, and for writing down what happened, below /api/v1",
}
"""What each scope of a token is for."""


def below(path: str, base: str) -> str:
    """The path as the application routes it: without the base, where a proxy left that on."""
    if base and (path == base or path.startswith(f"{base}/")):
        return path[len(base) :] or "/"
    return path


def account_in(request: HTTPConnection) -> Account | None:
    """The account that the gate noted; `None` where there is no gate or nobody is logged in."""
    found = request.scope.get("state", {}).get("account")
    return found if isinstance(found, Account) else None


def is_stranger(request: HTTPConnection) -> bool:
    """Whether there is a gate and nobody whom it knows: they are told nothing of the cellar."""
    return "account" in request.scope.get("state", {}) and account_in(request) is None


def address_of(request: HTTPConnection) -> str:
    """The address that a request comes from."""
    return request.client.host if request.client is not None else "unknown"


def _unkept(send: Send) -> Send:
    """Have no answer kept: after a logout its pages must not come back."""

    async def dressed(message: Message) -> None:
        if message["type"] == "http.response.start":
            MutableHeaders(scope=message).update(UNKEPT)
        await send(message)

    return dressed


def _data(code: int, told: str) -> Response:
    headers = {"WWW-Authenticate": 'Bearer realm="Ullage"'} if code == 401 else None
    return JSONResponse({"error": "Not allowed", "detail": [told]}, code, headers)


def _beneath(request: Request) -> str:
    """The page that a script asked from."""
    parts = urlsplit(request.headers.get("hx-current-url", ""))
    return (parts.path or "/") + (f"?{parts.query}" if parts.query else "")


def _wants_data(request: Request, path: str) -> bool:
    accepts = request.headers.get("accept", "")
    return path.startswith("/api/") or path.endswith(".json") or "text/html" not in accepts
