"""A ball-lock keg cut open, with what to look at on a used one: drawn for the guide."""

from __future__ import annotations

from typing import Final

from scripts.pictures.chart import WIDTH, Drawn
from ullage.draw import theme
from ullage.draw.plot import stroke, text
from ullage.draw.svg import Caption, sheet

HEIGHT: Final = 330.0
BODY: Final = "M150,96V296q0,14 14,14h92q14,0 14,-14V96"
SHOULDERS: Final = "M150,96c0,-26 14,-34 26,-38M270,96c0,-26 -14,-34 -26,-38"
MOUTH: Final = "M184,58h52"
LID: Final = "M190,58c0,-10 8,-14 20,-14s20,4 20,14"
BAIL: Final = "M186,50c6,-18 42,-18 48,0"
POSTS: Final = "M162,74v-26h12v22M246,70v-22h12v26"
GAS_TUBE: Final = "M168,72v40"
BEER_TUBE: Final = "M252,72V288l-40,10"
BEER: Final = "M151,142H269V296q0,13 -13,13h-92q-13,0 -13,-13z"
RINGS: Final = "M160,54h16M244,54h16M162,74h12M246,74h12M184,60h52"
"""Where the seals lie: round the posts, under the dip tubes' heads, round the lid."""

Callout = tuple[float, float, float, float, str]
"""From where to where the leader goes, and what it says."""
LEFT: Final[tuple[Callout, ...]] = (
    (166.0, 48.0, 136.0, 30.0, "poppet of the gas"),
    (160.0, 54.0, 136.0, 56.0, "O-ring round the post"),
    (163.0, 74.0, 136.0, 82.0, "dip tube's O-ring"),
    (168.0, 110.0, 136.0, 114.0, "gas dip tube, short"),
    (151.0, 220.0, 136.0, 220.0, "body: dents, welds, pits"),
    (160.0, 306.0, 136.0, 306.0, "foot: is it loose?"),
)
RIGHT: Final[tuple[Callout, ...]] = (
    (210.0, 44.0, 286.0, 16.0, "relief valve: pull it"),
    (254.0, 48.0, 286.0, 40.0, "poppet of the beer"),
    (236.0, 60.0, 286.0, 64.0, "lid's large O-ring"),
    (262.0, 96.0, 286.0, 92.0, "rating: read it"),
    (252.0, 180.0, 286.0, 180.0, "beer dip tube, long"),
    (214.0, 297.0, 286.0, 290.0, "ends above the floor"),
)


def used_keg() -> str:
    """The keg and its callouts."""
    caption = Caption(
        "used-keg",
        "A ball-lock keg cut open: what to look at on a used one",
        "Two posts with poppets and O-rings, the lid with its relief valve and large O-ring, a "
        "short dip tube for gas and a long one for beer, the body and its rating.",
    )
    drawn = [
        stroke(BEER, theme.HAIRLINE, theme.TINT, fill=theme.TINT),
        stroke(BODY + SHOULDERS + MOUTH, theme.LINE),
        stroke(LID + BAIL + POSTS + GAS_TUBE + BEER_TUBE),
        stroke(RINGS, 3.0, theme.ACCENT),
        *_callouts(LEFT, "end"),
        *_callouts(RIGHT, "start"),
    ]
    return sheet(WIDTH, HEIGHT, caption, drawn, standalone=True)


def _callouts(all_of_them: tuple[Callout, ...], anchor: str) -> Drawn:
    drawn: Drawn = []
    for x, y, to_x, to_y, said in all_of_them:
        beside = to_x + (4.0 if anchor == "start" else -4.0)
        drawn.append(stroke(f"M{x:g},{y:g}L{to_x:g},{to_y:g}", theme.HAIRLINE, theme.QUIET))
        drawn.append(text((beside, to_y + 4.0), said, anchor))
    return drawn
