"""What every page is made from: the book, where the site lives, and what the request asks for."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Final, get_args
from urllib.parse import urlsplit

from fastapi import Request, Response
from fastapi.responses import HTMLResponse, RedirectResponse

from ullage import __version__
from ullage.units import UnitSystem
from ullage.web.book import Book, Present
from ullage.web.fields import Posted
from ullage.web.gate import account_in
from ullage.web.notices import WROTE, notice_of, with_notice
from ullage.web.pages import rendered
from ullage.web.views import Fact, Link, Page, Theme

THEME_COOKIE: Final = "ullage_theme"
NOUNS: Final = (
    ("Cellar", "/"),
    ("Kegs", "/kegs"),
    ("Pour", "/pour"),
    ("Carbonate", "/carbonate"),
    ("Gas", "/gas"),
    ("Brew", "/brew"),
    ("Build", "/build"),
    ("Upkeep", "/upkeep"),
    ("Faults", "/faults"),
    ("Safety", "/safety"),
    ("Log", "/log"),
)
"""The first level of the way through: the question's noun and where its page is."""
_INSIDE: Final = re.compile(r"/(?![/\\])[^\\\s]{0,500}")
"""A path on this site, and not what a browser would read as another host."""
UNITS_WORDS: Final[dict[UnitSystem, str]] = {"us": "US", "metric": "Metric"}


@dataclass(frozen=True, slots=True)
class Site:
    """The book and the path that the site lives below (`""` or `"/beer"`).

    `outside`: its pages are of no cellar, so there is no way through one on them.
    """

    book: Book
    base: str = ""
    outside: bool = False

    def address(self, path: str) -> str:
        """Where a page is, seen from outside: `address("/kegs")`."""
        return f"{self.base}{path}"

    def units(self, request: Request, present: Present) -> UnitSystem:
        """Units to answer in: those the address asks for, else the household's."""
        asked = request.query_params.get("units")
        for known in get_args(UnitSystem):
            if asked == known:
                return known  # type: ignore[no-any-return]
        if present.empty:
            return "us"
        return present.system.units

    def page(self, request: Request, title: str, units: UnitSystem = "us") -> Page:
        """The frame of a page: its title, the way through, its theme."""
        here = request.url.path.removeprefix(self.base)
        present, account = self.book.present(), account_in(request)
        query = f"?{request.url.query}" if request.url.query else ""
        return Page(
            title=title,
            base=self.base,
            theme=theme_of(request),
            version=__version__,
            here=here,
            units_now=units,
            nouns=tuple(
                Link(text, self.address(path), _leads_to(path, here))
                for text, path in (() if self.outside else NOUNS)
            ),
            back=with_notice(here + query) if request.method == "GET" else here,
            over=over(request),
            empty=present.empty,
            notice=notice_of(request, present, self.base) if WROTE in query else None,
            who="" if account is None else account.name,
            role="" if account is None else account.role,
        )

    def back(self, posted: Posted, otherwise: str = "/") -> str:
        """The path of this site that a form wants to return to, without the base."""
        wanted = posted.text("back")
        return wanted if _INSIDE.fullmatch(wanted) else otherwise

    def came_from(self, request: Request) -> str:
        """Where to return to: what the address says, else the page that this one lies over."""
        beneath = urlsplit(request.headers.get("hx-current-url", ""))
        path = beneath.path.removeprefix(self.base) + (beneath.query and f"?{beneath.query}")
        under = path if over(request) and _INSIDE.fullmatch(path) else "/"
        return self.back(Posted(request.query_params), with_notice(under))

    def go(self, request: Request, path: str, *wrote: str) -> Response:
        """Send the reader on after a form, to be told there of the events that it wrote."""
        address = self.address(with_notice(path, *wrote))
        if live(request):
            return Response(headers={"HX-Redirect": address, "Cache-Control": "no-store"})
        return RedirectResponse(address, 303)

    def title_block(self, sheet: str, present: Present, units: UnitSystem) -> tuple[Fact, ...]:
        """As drawings have: system, sheet, revision (the last event), date, units."""
        last = max((event.at for event in present.log if not event.planned), default=None)
        return (
            Fact("System", "none yet" if present.empty else present.system.name),
            Fact("Sheet", sheet),
            Fact("Revision", "nothing written down" if last is None else f"{last:%Y-%m-%d %H:%M}"),
            Fact("Date", f"{present.at:%Y-%m-%d %H:%M}"),
            Fact("Units", UNITS_WORDS[units]),
            Fact("Scale", "none"),
            Fact("Made by", f"Ullage {__version__}"),
        )


def theme_of(request: Request) -> Theme:
    """The theme that the reader chose; `auto` follows the device."""
    asked = request.query_params.get("theme") or request.cookies.get(THEME_COOKIE)
    return next((one for one in get_args(Theme) if one == asked), "auto")


def live(request: Request) -> bool:
    """Whether the script asks, and only the part that changes is wanted."""
    return request.headers.get("hx-request") == "true"


def over(request: Request) -> bool:
    """Whether the page is wanted over another one, as a dialog."""
    return live(request) and request.headers.get("hx-target", "").endswith("#over-body")


def shown(template: str, view: object, code: int = 200) -> HTMLResponse:
    """A page, never kept by anyone: it is of this minute."""
    return HTMLResponse(rendered(template, view), code, headers={"Cache-Control": "no-cache"})


def _leads_to(path: str, here: str) -> bool:
    return here == path if path == "/" else here == path or here.startswith(f"{path}/")
