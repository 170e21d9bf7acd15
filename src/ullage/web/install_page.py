"""What a phone needs to keep the pages among its applications: a manifest and icons."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Final

from fastapi import APIRouter
from fastapi.responses import JSONResponse, Response
from starlette.exceptions import HTTPException

from ullage import __version__
from ullage.web.site import Site

ICON: Final = Path(__file__).parent / "static" / "icon.svg"
SIZES: Final = (180, 192, 512)
PAPER: Final = "#10304f"


def routes(site: Site) -> APIRouter:
    """`/manifest.webmanifest` and `/icon-<size>.png`."""
    router = APIRouter(include_in_schema=False)

    @router.get("/manifest.webmanifest")
    def manifest() -> JSONResponse:
        """How the pages are called and look as an application."""
        pictures = [
            {
                "src": site.address(f"/icon-{size}.png"),
                "sizes": f"{size}x{size}",
                "type": "image/png",
            }
            for size in SIZES[1:]
        ]
        drawn = {"src": site.address("/static/icon.svg"), "sizes": "any", "type": "image/svg+xml"}
        return JSONResponse(
            {
                "name": "Ullage",
                "short_name": "Ullage",
                "description": "Your kegs, gas and lines as one drawing that knows what to set.",
                "id": site.address("/"),
                "start_url": site.address("/"),
                "scope": site.address("/"),
                "display": "standalone",
                "background_color": PAPER,
                "theme_color": PAPER,
                "icons": [drawn, *pictures],
            },
            headers={"Cache-Control": "public, max-age=86400"},
            media_type="application/manifest+json",
        )

    @router.get("/icon-{size}.png")
    def icon(size: int) -> Response:
        """The icon in pixels."""
        if size not in SIZES:
            raise HTTPException(404, f"There are icons of {', '.join(map(str, SIZES))} pixels.")
        headers = {"Cache-Control": "public, max-age=86400", "ETag": f'"{__version__}-{size}"'}
        return Response(icon_png(size), media_type="image/png", headers=headers)

    return router


@cache
def icon_png(size: int) -> bytes:
    """The icon as PNG, `size` pixels wide and high."""
    import vl_convert  # noqa: PLC0415  (slow to load)

    svg = ICON.read_text(encoding="utf-8").replace(
        "<svg ", f'<svg width="{size}" height="{size}" ', 1
    )
    return bytes(vl_convert.svg_to_png(svg, scale=1.0))
