"""The door of a club: it asks for a cellar's name, and tells nothing of which there are."""

from __future__ import annotations

from typing import Annotated, Final

from fastapi import APIRouter, Depends, Request
from fastapi.responses import RedirectResponse, Response

from ullage import __version__
from ullage.cellar.naming import is_cellar
from ullage.web.fields import FieldView, Posted, posted
from ullage.web.headers import SECURITY
from ullage.web.login_page import DoorView
from ullage.web.look_page import keep_theme
from ullage.web.site import Site, shown, theme_of
from ullage.web.views import Page

ROOT: Final = "/c"
"""Where the cellars are: `/c/smith-road/`."""
NO_NAME: Final = "Small letters, digits and hyphens, such as smith-road."

Form = Annotated[Posted, Depends(posted)]


def routes(site: Site) -> APIRouter:
    """`/`, and on from there to a cellar."""
    router = APIRouter(include_in_schema=False)

    @router.get("/")
    def door(request: Request) -> Response:
        """Ask for the cellar's name."""
        return shown("door.html", _view(site, request))

    @router.post("/")
    def go(form: Form, request: Request) -> Response:
        """Lead on to where a cellar of that name would be, whether or not there is one."""
        name = form.text("cellar").lower()
        if not is_cellar(name):
            return shown("door.html", _view(site, request, name, NO_NAME), 422)
        return RedirectResponse(site.address(f"{ROOT}/{name}/"), 303, SECURITY)

    @router.post("/look")
    def look(form: Form, request: Request) -> Response:
        """Keep the theme that was chosen on a page of ours, such as one that tells of an error."""
        return keep_theme(site, request, form)

    @router.get(f"{ROOT}/{{name}}")
    def bare(name: str) -> Response:
        """The same for an address without the slash at its end."""
        where = f"{ROOT}/{name}/" if is_cellar(name) else "/"
        return RedirectResponse(site.address(where), 303, SECURITY)

    return router


def _view(site: Site, request: Request, name: str = "", wrong: str = "") -> DoorView:
    return DoorView(
        page=Page("Which cellar", site.base, theme_of(request), __version__, empty=True),
        heading="Which cellar?",
        lines=("Several households keep theirs here, each behind a login of its own.",),
        action=site.address("/"),
        fields=(FieldView("cellar", "Its name", name, error=wrong, hint=NO_NAME, focus=True),),
        hidden=(),
        button="Go there",
    )
