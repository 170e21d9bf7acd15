"""A small drawing for each question of the first run; the accent marks what is asked for."""

from __future__ import annotations

from typing import Final

from markupsafe import Markup

_KEG: Final = "a16,6,0,0,1,32,0v44a16,6,0,0,1,-32,0z"
_VALVE: Final = "m-6,-6h12l-12,12h12z"
_DRAWINGS: Final[dict[str, tuple[tuple[str, str], ...]]] = {
    "where": (
        ("s-ink", "M4,108h192M4,108l44,-62 22,30 16,-20 36,52"),
        ("s-accent", "M150,108V40m-5,7l5,-7 5,7M140,108h20"),
        ("s-ink", "M52,108v-14l10,-8 10,8v14"),
    ),
    "fridge": (
        ("s-accent", "M50,8h100v100h-100zM50,40h100M142,18v14M142,50v22"),
        ("s-ink", f"M84,56{_KEG}"),
    ),
    "kegs": (("s-accent", f"M30,50{_KEG}M84,50{_KEG}M138,50{_KEG}"),),
    "beers": (
        ("f-tint", "M84,66h32v28a16,6,0,0,1,-32,0z"),
        ("s-accent", "M84,66h32"),
        ("s-ink", f"M84,50{_KEG}"),
    ),
    "level": (
        ("f-tint", "M76,46h48v50a24,8,0,0,1,-48,0z"),
        ("s-ink", "M76,30a24,8,0,0,1,48,0v66a24,8,0,0,1,-48,0z"),
        (
            "s-accent",
            "M88,92a3,3,0,1,0,.1,0M104,80a4,4,0,1,0,.1,0M94,66a3,3,0,1,0,.1,0M110,58a3,3,0,1,0,.1,0",
        ),
    ),
    "cylinder": (
        ("s-accent", "M82,44a18,14,0,0,1,36,0v64h-36z"),
        ("s-ink", f"M100,30v-8M100,18{_VALVE}M100,16h40v14"),
    ),
    "pressure": (
        ("s-ink", f"M20,70h60M120,70h60M100,70{_VALVE}M80,70h14M106,70h14M100,64v-14"),
        ("s-accent", "M78,28a22,22,0,1,0,44,0a22,22,0,1,0,-44,0zM100,28l10,-13"),
    ),
    "line": (
        ("s-ink", f"M20,50{_KEG}"),
        ("s-accent", "M46,44c0,-30 40,-30 40,0s-34,34 0,44 60,-20 44,-44 20,-24 40,-24"),
        ("s-ink", "M170,14h8v16h-8zM178,22h14v12"),
    ),
    "faucet": (
        ("s-ink", f"M50,50{_KEG}M66,44v-26h60M126,10h8v16h-8zM134,18h16v12"),
        ("s-accent", "M170,18v56m-4,-6l4,6 4,-6M166,24l4,-6 4,6M90,74h88"),
    ),
    "room": (
        ("s-accent", "M30,18h140v90h-140z"),
        (
            "s-ink",
            "M82,62a10,8,0,0,1,20,0v46h-20zM92,54v-8M120,70a12,5,0,0,1,24,0v32a12,5,0,0,1,-24,0z",
        ),
        ("f-tint", "M31,94h50v13h-50zM103,94h16v13h-16zM145,94h24v13h-24z"),
    ),
    "fermenters": (
        ("s-accent", "M40,34h44v48l-14,22h-16l-14,-22zM116,34h44v48l-14,22h-16l-14,-22z"),
        ("s-ink", "M62,34v-12h8v6M138,34v-12h8v6"),
    ),
    "used": (
        ("s-ink", f"M50,50{_KEG}M150,70h30M118,70h20M144,70{_VALVE}"),
        (
            "s-accent",
            "M50,50a16,6,0,0,0,32,0a16,6,0,0,0,-32,0zM60,38h12v6h-12zM144,64v-8M136,48a8,8,0,1,0,16,0a8,8,0,1,0,-16,0",
        ),
    ),
}


def drawing(slug: str) -> Markup:
    """The drawing of a question, only to look at: what it shows is said in words beside it."""
    paths = "".join(
        f'<path d="{path}" class="{ink}"{_look(ink)}/>' for ink, path in _DRAWINGS[slug]
    )
    return Markup(  # noqa: S704  (our own drawing)
        f'<svg viewBox="0 0 200 116" width="200" height="116" aria-hidden="true">{paths}</svg>'
    )


def _look(ink: str) -> str:
    if ink.startswith("f-"):
        return ""
    weight = "2" if ink == "s-accent" else "1.3"
    return f' fill="none" stroke-width="{weight}" stroke-linejoin="round"'
