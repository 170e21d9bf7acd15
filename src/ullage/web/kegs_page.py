"""All kegs: what is in each, where it stands, how gassy and how full, and what comes next."""

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import Response
from markupsafe import Markup

from ullage.draw.keg_marks import fill_mark, level_mark
from ullage.plan.as_json import as_json
from ullage.plan.spoken import part
from ullage.plan.status import KegStatus
from ullage.units import Kind, UnitSystem, format_quantity
from ullage.web import keg_words
from ullage.web.book import Present
from ullage.web.keg_addresses import batch_path, keg_path
from ullage.web.keg_data import KegData, KegsData, ahead_of, holds_beer, kegs_now
from ullage.web.keg_views import KegLine, KegsView
from ullage.web.shapes import answers
from ullage.web.site import Site, shown
from ullage.web.views import Link


def routes(site: Site) -> APIRouter:
    """The kegs at `/kegs` and their data at `/kegs.json`."""
    router = APIRouter()

    @router.api_route("/kegs", methods=["GET", "HEAD"], include_in_schema=False)
    def kegs(request: Request) -> Response:
        """The kegs as they stand."""
        present = site.book.present()
        return shown("kegs.html", _view(site, request, present, site.units(request, present)))

    @router.get("/kegs.json", response_class=Response, responses=answers(KegsData))
    def kegs_data() -> Response:
        """Every keg with what comes of it and the steps that wait, in SI."""
        present = site.book.present()
        units = "us" if present.empty else present.system.units
        data = KegsData(present.at, units, kegs_now(present))
        headers = {"Cache-Control": "no-cache"}
        return Response(as_json(data), media_type="application/json", headers=headers)

    return router


def _view(site: Site, request: Request, present: Present, units: UnitSystem) -> KegsView:
    kegs = kegs_now(present)
    return KegsView(
        page=site.page(request, "Kegs", units),
        sentence=_sentence(present, kegs),
        kegs=tuple(_line(site, present, keg, i, units) for i, keg in enumerate(kegs)),
        remarks=ahead_of(present).remarks if present.log else (),
        new=site.address("/new-keg"),
        data=site.address("/kegs.json"),
        title_block=site.title_block("Kegs", present, units),
    )


def _sentence(present: Present, kegs: tuple[KegData, ...]) -> str:
    """How many kegs are ready to drink, too gassy, on their way, and empty."""
    full = [keg for keg in kegs if holds_beer(present, keg.status.keg)]
    ready = sum(_is_ready(keg) for keg in full)
    high = sum("too high" in keg_words.level_word(keg.status) for keg in full if not _is_ready(keg))
    groups = (
        (ready, "as gassy as wanted"),
        (high, "with too much gas"),
        (len(full) - ready - high, "on the way"),
        (len(kegs) - len(full), "empty"),
    )
    said = ", ".join(f"{count} {word}" for count, word in groups if count)
    if not said:
        return "No kegs yet."
    missed = sum(step.when == "missed" for keg in kegs for step in keg.steps)
    after = f" {missed} planned step{'' if missed == 1 else 's'} missed." if missed else ""
    return f"{len(kegs)} keg{'' if len(kegs) == 1 else 's'}: {said}.{after}"


def _is_ready(keg: KegData) -> bool:
    return keg.ahead is not None and keg.ahead.is_ready


def _line(site: Site, present: Present, keg: KegData, number: int, units: UnitSystem) -> KegLine:
    now = keg.status
    link = Link(now.keg, site.address(keg_path(now.keg)))
    warmth = format_quantity(now.temperature_k, Kind.TEMPERATURE, units).replace(" ", "\u00a0")
    where = f"{now.place}, {warmth}"
    tap = part("tap", now.tap) if now.tap else ""
    if not holds_beer(present, now.keg):
        fill = site.address(keg_path(now.keg, "fill"))
        said = keg_words.next_text(keg, present.at, units)
        return KegLine(link, None, where, "", None, "", "", None, tap, "", "", said, False, fill)
    left = format_quantity(now.beer_left_m3.value, Kind.VOLUME, units)
    return KegLine(
        keg=link,
        beer=Link(now.batch or "", site.address(batch_path(now.batch or ""))),
        where=where,
        left=left,
        left_mark=_fill_mark(present, now, left, number),
        level=keg_words.level_text(now, units),
        level_word=_level_word(now, units),
        level_mark=_level_mark(now, units, number),
        tap=tap,
        ready=keg_words.ready_text(keg, present.at),
        kicked="" if keg.ahead is None else keg_words.forecast_text(keg.ahead.kicked, present.at),
        next=keg_words.next_text(keg, present.at, units),
        is_missed=any(step.when == "missed" for step in keg.steps[:1]),
        fill="",
    )


def _level_word(keg: KegStatus, units: UnitSystem) -> str:
    word, wanted = keg_words.level_word(keg), keg_words.wanted_text(keg, units)
    return (
        f"{word}: {wanted}" if word == "as wanted" else f"{word}: {wanted} wanted" if word else ""
    )


def _level_mark(keg: KegStatus, units: UnitSystem, number: int) -> Markup:
    wanted = None
    said = keg_words.level_text(keg, units)
    if keg.target_vol is not None and keg.tolerance_vol is not None:
        wanted = (keg.target_vol - keg.tolerance_vol, keg.target_vol + keg.tolerance_vol)
        said += f"; wanted {keg_words.wanted_text(keg, units)}"
    return Markup(level_mark(keg.level_vol, wanted, said, f"level-{number}"))  # noqa: S704


def _fill_mark(present: Present, keg: KegStatus, left: str, number: int) -> Markup:
    capacity = present.state.kegs[keg.keg].kind.capacity_m3
    share = keg.beer_left_m3.value / capacity
    return Markup(fill_mark(share, left, f"left-{number}"))  # noqa: S704  (our own drawing)
