"""Who may get in, for a keeper: make accounts, change what they may do, remove them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Annotated, Final

from fastapi import APIRouter, Depends, Request
from fastapi.responses import Response
from starlette.exceptions import HTTPException

from ullage.cellar import accounts
from ullage.cellar.accounts import ROLES, Account, Role
from ullage.errors import UllageError, UnknownName
from ullage.web.fields import Choice, FieldView, Posted, posted
from ullage.web.gate import account_in
from ullage.web.site import Site, shown
from ullage.web.views import Fact, Page
from ullage.web.wording import sentence

Form = Annotated[Posted, Depends(posted)]
MAY: Final[dict[Role, str]] = {
    "keeper": "keeper: may do everything",
    "helper": "helper: may look, and write down what happened",
    "guest": "guest: may look",
}
ROLE_CHOICES: Final = tuple(Choice(role, MAY[role]) for role in ROLES)


@dataclass(frozen=True, slots=True)
class AccountView:
    """One account: its role, what that may do, since when, whether it is one's own."""

    name: str
    role: Role
    may: str
    since: str
    own: bool


@dataclass(frozen=True, slots=True)
class AccountsView:
    """The accounts, and the form for one more."""

    page: Page
    accounts: tuple[AccountView, ...]
    roles: tuple[Choice, ...]
    fields: tuple[FieldView, ...]
    wrong: str
    title_block: tuple[Fact, ...]


def routes(site: Site) -> APIRouter:
    """`/accounts` and what its forms do."""
    router = APIRouter(include_in_schema=False)

    @router.get("/accounts")
    def page(request: Request) -> Response:
        """Everybody who may log in, and a form for one more."""
        return shown("accounts.html", _view(site, request))

    @router.post("/accounts")
    def make(request: Request, form: Form) -> Response:
        """Make an account with a password to begin with."""
        name, password = form.text("name"), form.values.get("password", "")
        try:
            accounts.make(site.book.store, name, password, accounts.role_of(form.text("role")))
        except UllageError as wrong:
            fields = _fields(name, form.text("role"), sentence(str(wrong)))
            return shown("accounts.html", replace(_view(site, request), fields=fields), 422)
        return site.go(request, "/accounts")

    @router.post("/accounts/{name:path}/role")
    def role(request: Request, name: str, form: Form) -> Response:
        """Let it do more or less."""
        wanted = form.text("role")
        return _done(
            site,
            request,
            lambda: accounts.set_role(site.book.store, name, accounts.role_of(wanted)),
        )

    @router.post("/accounts/{name:path}/password")
    def password(request: Request, name: str, form: Form) -> Response:
        """Give it another password, for somebody who forgot theirs; one's own asks for the old."""
        wanted, own = form.values.get("password", ""), account_in(request)
        if own is not None and own.name == name:
            raise HTTPException(422, "Change your own password under your name, with the old one.")
        return _done(site, request, lambda: accounts.set_password(site.book.store, name, wanted))

    @router.post("/accounts/{name:path}/remove")
    def remove(request: Request, name: str) -> Response:
        """Remove it and end its sessions."""
        return _done(site, request, lambda: accounts.remove(site.book.store, name))

    return router


def _done(site: Site, request: Request, act: Callable[[], None]) -> Response:
    try:
        act()
    except UnknownName as wrong:
        raise HTTPException(404, str(wrong)) from None
    except UllageError as wrong:
        view = replace(_view(site, request), wrong=sentence(str(wrong)))
        return shown("accounts.html", view, 422)
    return site.go(request, "/accounts")


def _view(site: Site, request: Request) -> AccountsView:
    present = site.book.present()
    units = site.units(request, present)
    own = account_in(request)
    return AccountsView(
        page=site.page(request, "Accounts", units),
        accounts=tuple(_told(one, own) for one in accounts.every(site.book.store)),
        roles=ROLE_CHOICES,
        fields=_fields(),
        wrong="",
        title_block=site.title_block("Accounts", present, units),
    )


def _told(account: Account, own: Account | None) -> AccountView:
    return AccountView(
        name=account.name,
        role=account.role,
        may=MAY[account.role],
        since=account.made_at[:10],
        own=own is not None and own.name == account.name,
    )


def _fields(name: str = "", role: str = "helper", wrong: str = "") -> tuple[FieldView, ...]:
    return (
        FieldView("name", "Name", name),
        FieldView("role", "May", role, kind="select", choices=ROLE_CHOICES),
        FieldView(
            "password",
            "Password to begin with",
            kind="secret",
            error=wrong,
            hint="8 characters or more; they can change it themselves.",
            autocomplete="new-password",
        ),
    )
