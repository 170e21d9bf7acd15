"""The card for the wall beside the kegs: one sheet, to print and to hang."""

from __future__ import annotations

from functools import cache
from importlib.resources import files
from typing import TYPE_CHECKING

from fastapi import APIRouter, Request
from fastapi.responses import Response
from markupsafe import Markup

from ullage.plan.wall_card import WallCard, wall_card
from ullage.web.card_views import CardFileView, CardPageView, card_view
from ullage.web.pages import rendered
from ullage.web.site import Site, shown

if TYPE_CHECKING:
    from ullage.units import UnitSystem


def routes(site: Site) -> APIRouter:
    """The card at `/safety/card`."""
    router = APIRouter(include_in_schema=False)

    @router.api_route("/safety/card", methods=["GET", "HEAD"])
    def page(request: Request) -> Response:
        """The card as it is printed."""
        present = site.book.present()
        units = site.units(request, present)
        card = wall_card(present.system, present.log, present.at)
        view = CardPageView(
            page=site.page(request, "Card for the wall", units),
            card=card_view(card, units),
            title_block=site.title_block("Card for the wall", present, units),
        )
        return shown("card.html", view)

    return router


def card_file(card: WallCard, units: UnitSystem) -> str:
    """The card as a page file (HTML) that needs nothing else to be printed."""
    return rendered("card_file.html", CardFileView(card_view(card, units), _style()))


@cache
def _style() -> Markup:
    text = (files("ullage.web") / "static" / "card.css").read_text(encoding="utf-8")
    return Markup(text)  # noqa: S704  (our own style)
