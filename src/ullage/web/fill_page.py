"""Fill a keg in one go: the beer, the keg and the fill, all written down together or not at all."""

from __future__ import annotations

from typing import Annotated, Final

from fastapi import APIRouter, Depends, Request
from fastapi.responses import Response
from starlette.exceptions import HTTPException

from ullage.errors import EventError
from ullage.plan.spoken import part
from ullage.units import Kind, format_quantity
from ullage.web.asked import About
from ullage.web.beer_questions import guide
from ullage.web.fields import Posted, posted
from ullage.web.fill_questions import parts_of, read_fill, refused
from ullage.web.keg_addresses import keg_path
from ullage.web.keg_cleaning import begun_on
from ullage.web.keg_data import holds_beer
from ullage.web.keg_page import keg_page
from ullage.web.keg_views import KegFormView
from ullage.web.record_forms import Wrong
from ullage.web.site import Site, shown

LEAD: Final = "All of this is one filling, written down together. What you skip did not happen."


def routes(site: Site) -> APIRouter:
    """`GET` and `POST /kegs/<name>/fill`."""
    router = APIRouter(include_in_schema=False)

    @router.api_route("/kegs/{name:path}/fill", methods=["GET", "HEAD"])
    def ask(request: Request, name: str) -> Response:
        """The form."""
        about = _about(site, request, name)
        if about is None or f"{name}/fill" in about.present.state.kegs:
            return keg_page(site, request, f"{name}/fill")
        return shown("keg_form.html", _view(site, request, about, None, Wrong()))

    @router.post("/kegs/{name:path}/fill")
    def fill(request: Request, name: str, form: Annotated[Posted, Depends(posted)]) -> Response:
        """Write the filling down and go to the keg, where the ways to its level are."""
        about = _about(site, request, name)
        if about is None:
            raise HTTPException(404, "There is no keg of that name in the cellar.")
        read = read_fill(about, form, site.book.clock())
        wrong = read if isinstance(read, Wrong) else None
        if not isinstance(read, Wrong):
            try:
                recorded = site.book.record(*read)
            except EventError as error:
                wrong = refused(str(error))
            else:
                return site.go(request, keg_path(name), *(one.id for one in recorded.events))
        assert wrong is not None
        return shown("keg_form.html", _view(site, request, about, form, wrong), 422)

    return router


def _about(site: Site, request: Request, name: str) -> About | None:
    present = site.book.present()
    if name not in present.state.kegs:
        return None
    return About("keg", name, present, site.units(request, present))


def _view(
    site: Site, request: Request, about: About, form: Posted | None, wrong: Wrong
) -> KegFormView:
    title = f"Fill {part('keg', about.name)}"
    return KegFormView(
        page=site.page(request, title, about.units),
        heading=title,
        lead=LEAD,
        action=site.address(keg_path(about.name, "fill")),
        leave=site.address(keg_path(about.name)),
        parts=parts_of(about, form, wrong),
        button="Write the filling down",
        error=wrong.whole,
        warning=_odd(about),
        guide=guide(about.units),
        title_block=site.title_block(title, about.present, about.units),
    )


def _odd(about: About) -> str:
    """What is odd about filling it now: that it is full, or that cleaner is in it."""
    begun = begun_on(about.present, about.name)
    return " ".join(filter(None, (begun.caution if begun else "", _still_full(about))))


def _still_full(about: About) -> str:
    if not holds_beer(about.present, about.name):
        return ""
    state = about.present.state.kegs[about.name]
    left = format_quantity(float(state.beer_m3), Kind.VOLUME, about.units)
    return (
        f"By what is written down it still holds {left} of {state.batch}. Filling it says that "
        "this is gone."
    )
