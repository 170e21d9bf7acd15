"""Coming in and going out: the login, the first account, one's own password."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import timedelta
from typing import Annotated, Final

from fastapi import APIRouter, Depends, Request
from fastapi.responses import RedirectResponse, Response

from ullage import __version__
from ullage.cellar import accounts, sessions
from ullage.errors import UllageError
from ullage.web.fields import FieldView, Posted, posted
from ullage.web.gate import UNKEPT, Gate, account_in
from ullage.web.site import Site, shown, theme_of
from ullage.web.views import Fact, Page
from ullage.web.wording import sentence

Form = Annotated[Posted, Depends(posted)]
WRONG: Final = "That name and password do not go together."
FORGOTTEN: Final = "Forgotten? A keeper of this cellar can give you another."
DIFFERENT: Final = "The two passwords differ: type the same one twice."
NO_CODE: Final = "That is not the code in the terminal that serves these pages."
TRIED_OUT: Final = (
    "Too many wrong codes were typed, so none is right any more: stop the program in the terminal "
    "and start it again for another."
)


@dataclass(frozen=True, slots=True)
class DoorView:
    """A page with a short form: what it is for, its fields, its button."""

    page: Page
    heading: str
    lines: tuple[str, ...]
    action: str
    fields: tuple[FieldView, ...]
    hidden: tuple[tuple[str, str], ...]
    button: str
    title_block: tuple[Fact, ...] = ()


def routes(site: Site, gate: Gate) -> APIRouter:
    """`/login`, `/logout`, `/first-account` and `/own-password`."""
    router = APIRouter(include_in_schema=False)
    _add_login(router, site, gate)
    _add_first(router, site, gate)
    _add_own_password(router, site, gate)
    return router


def _add_login(router: APIRouter, site: Site, gate: Gate) -> None:
    @router.get("/login")
    def login(request: Request) -> Response:
        """Ask for name and password; where no account is there yet, for the first one."""
        if gate.code and not accounts.every(site.book.store):
            return RedirectResponse(site.address("/first-account"), 303, UNKEPT)
        back = site.back(Posted(request.query_params))
        return _door(_login(site, request, back))

    @router.post("/login")
    def log_in(request: Request, form: Form) -> Response:
        """Open a session and go on to the page that was wanted."""
        name, back = form.text("name"), site.back(form)
        found = gate.log_in(request, name, form.values.get("password", ""))
        if isinstance(found, timedelta):
            view = _login(site, request, back, name, _too_many(found))
            answer = _door(view, 429)
            answer.headers["Retry-After"] = str(math.ceil(found.total_seconds()))
            return answer
        if found is None:
            return _door(_login(site, request, back, name, WRONG), 401)
        return gate.keep(_sent(site, back), found)

    @router.post("/logout")
    def log_out(request: Request) -> Response:
        """End the session, here and in the browser."""
        gate.log_out(request)
        answer = _sent(site, "/login")
        answer.headers["Clear-Site-Data"] = '"cache"'
        return gate.forget(answer)


def _add_first(router: APIRouter, site: Site, gate: Gate) -> None:
    @router.get("/first-account")
    def first(request: Request) -> Response:
        """Ask for the code in the terminal, and for the keeper's name and password."""
        if not gate.code or accounts.every(site.book.store):
            return RedirectResponse(site.address("/login"), 303, UNKEPT)
        return _door(_first(site, request))

    @router.post("/first-account")
    def make_first(request: Request, form: Form) -> Response:
        """Make the keeper's account and log it in."""
        name, password = form.text("name"), form.values.get("password", "")
        if not gate.is_code(form.text("code")):
            code = TRIED_OUT if gate.tried_out else NO_CODE
            return _door(_first(site, request, name, code=code), 403)
        if password != form.values.get("again", ""):
            return _door(_first(site, request, name, again=DIFFERENT), 422)
        try:
            account = accounts.make_first(site.book.store, name, password)
        except UllageError as wrong:
            view = _first(site, request, name, password=sentence(str(wrong)))
            return _door(view, 422)
        gate.code = ""
        secret = sessions.begin(site.book.store, account.name, site.book.clock())
        return gate.keep(_sent(site, "/"), secret)


def _add_own_password(router: APIRouter, site: Site, gate: Gate) -> None:
    @router.get("/own-password")
    def own(request: Request) -> Response:
        """Ask for the password as it is and as it should be."""
        return _door(_own(site, request))

    @router.post("/own-password")
    def set_own(request: Request, form: Form) -> Response:
        """Change it, end all sessions of the account, and begin a new one here."""
        account = account_in(request)
        if account is None:
            return _sent(site, "/login")
        found = gate.log_in(request, account.name, form.values.get("now", ""))
        if isinstance(found, timedelta):
            return _door(_own(site, request, now=_too_many(found)), 429)
        if found is None:
            return _door(_own(site, request, now="That is not your password."), 403)
        wanted = form.values.get("password", "")
        wrong = DIFFERENT if wanted != form.values.get("again", "") else ""
        if not wrong:
            try:
                accounts.set_password(site.book.store, account.name, wanted)
            except UllageError as refused:
                wrong = sentence(str(refused))
        if wrong:
            answer = _door(_own(site, request, password=wrong), 422)
            return gate.keep(answer, found)
        secret = sessions.begin(site.book.store, account.name, site.book.clock())
        return gate.keep(_sent(site, "/"), secret)


def _door(view: DoorView, code: int = 200) -> Response:
    """A page of coming in, kept by nobody."""
    answer = shown("door.html", view, code)
    answer.headers.update(UNKEPT)
    return answer


def _sent(site: Site, path: str) -> Response:
    return RedirectResponse(site.address(path), 303, UNKEPT)


def _too_many(wait: timedelta) -> str:
    minutes = max(math.ceil(wait.total_seconds() / 60.0), 1)
    return f"Too many tries. Wait {minutes} min, then try again."


def _page(site: Site, request: Request, title: str) -> Page:
    """A frame that tells nothing of the cellar to somebody who is not in it yet."""
    return Page(title, site.base, theme_of(request), __version__, empty=True)


def _login(site: Site, request: Request, back: str, name: str = "", wrong: str = "") -> DoorView:
    return DoorView(
        page=_page(site, request, "Log in"),
        heading="Log in",
        lines=(),
        action=site.address("/login"),
        fields=(
            FieldView("name", "Name", name, autocomplete="username", focus=not name),
            _secret("password", "Password", "current-password", wrong, FORGOTTEN if wrong else ""),
        ),
        hidden=(("back", back),),
        button="Log in",
    )


def _first(
    site: Site,
    request: Request,
    name: str = "",
    *,
    code: str = "",
    password: str = "",
    again: str = "",
) -> DoorView:
    return DoorView(
        page=_page(site, request, "The first account"),
        heading="The first account",
        lines=(
            "It is a keeper’s: it may do everything here, and make accounts for others. The code "
            "stands in the terminal that serves these pages.",
        ),
        action=site.address("/first-account"),
        fields=(
            FieldView("code", "Code", error=code, focus=True),
            FieldView("name", "Your name here", name, autocomplete="username"),
            _secret("password", "Password", "new-password", password, HINT),
            _secret("again", "The same again", "new-password", again),
        ),
        hidden=(),
        button="Make it",
    )


HINT: Final = "8 characters or more; a few words do well."


def _own(site: Site, request: Request, *, now: str = "", password: str = "") -> DoorView:
    return DoorView(
        page=site.page(request, "Your password"),
        heading="Your password",
        lines=("A new one logs you out everywhere else.",),
        action=site.address("/own-password"),
        fields=(
            _secret("now", "As it is", "current-password", now),
            _secret("password", "As it should be", "new-password", password, HINT),
            _secret("again", "The same again", "new-password"),
        ),
        hidden=(),
        button="Change it",
    )


def _secret(name: str, label: str, fills: str, error: str = "", hint: str = "") -> FieldView:
    return FieldView(name, label, kind="secret", error=error, hint=hint, autocomplete=fills)
