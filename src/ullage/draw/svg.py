"""From a renderer's SVG to a small one that a strict page may carry, or that stands alone.

Inside a page (`inline`) colours become classes (`f-ink` fills with ink, `s-hair` strokes with the
hairline's colour), there are no `style` attributes, no scripts, no links, and every id bears the
picture's prefix. Standing alone the colours stay and the sheet's paper lies beneath.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final
from xml.etree import ElementTree as ET
from xml.sax.saxutils import escape

from ullage.draw.theme import HAIRLINE, HATCH, INK, PAPER, PAPER_COLOURS, WORDS_FONT

SVG_NS: Final = "http://www.w3.org/2000/svg"
ROLE_OF: Final = {colour: role for role, colour in PAPER_COLOURS.items()}
NEVER: Final = ("pointer-events", "class", "role", "stroke-miterlimit", "version")
INHERITED: Final = (
    "class",
    "fill",
    "stroke",
    "stroke-width",
    "stroke-dasharray",
    "font-family",
    "font-size",
    "text-anchor",
)
IDLE: Final = (
    ("opacity", "1"),
    ("stroke-opacity", "1"),
    ("fill-opacity", "1"),
    ("font-weight", "normal"),
    ("stroke-dasharray", "1,0"),
    ("transform", "translate(0,0)"),
)
PLACES: Final = ("x1", "y1", "x2", "y2", "transform")
NUMERIC: Final = ("d", "transform", "x", "y", "x1", "y1", "x2", "y2", "width", "height")


@dataclass(frozen=True, slots=True)
class Caption:
    """What a picture is called and what it says, for those who hear it read."""

    prefix: str
    title: str
    description: str


def slug(text: str) -> str:
    """Make a name into an id: lower case letters, digits and single hyphens."""
    return re.sub(r"[^a-z0-9]+", "-", text.lower()).strip("-") or "x"


def finish(raw: str, caption: Caption, standalone: bool = False) -> str:
    """Clean a renderer's SVG, name it, and ink it for a page or to stand alone."""
    root = _without_namespace(ET.fromstring(raw))  # noqa: S314  (our own renderer wrote it)
    width, height = root.attrib["viewBox"].split()[2:]
    _clean(root)
    _prune(root)
    body = [child for child in root if child.tag != "defs"]
    return sheet(float(width), float(height), caption, body, standalone)


def sheet(
    width: float,
    height: float,
    caption: Caption,
    body: list[ET.Element],
    standalone: bool = False,
) -> str:
    """Wrap drawn elements into a named picture of the given size and write it out.

    Inside a page it takes the width it is given.
    """
    root = ET.Element("svg", {"viewBox": f"0 0 {_short(width)} {_short(height)}", "role": "img"})
    ids = (f"{caption.prefix}-t", f"{caption.prefix}-d")
    root.set("aria-labelledby", " ".join(ids))
    for tag, name, text in zip(
        ("title", "desc"), ids, (caption.title, caption.description), strict=True
    ):
        ET.SubElement(root, tag, {"id": name}).text = text
    drawing = ET.Element("g", {"font-family": WORDS_FONT, "fill": "none"})
    drawing.extend(body)
    if _hatched(drawing, f"{caption.prefix}-h"):
        root.append(_hatching(f"{caption.prefix}-h"))
    if standalone:
        root.set("width", _short(width))
        root.set("height", _short(height))
        _stand_alone(root, width, height)
    root.append(drawing)
    if not standalone:
        _colours_to_classes(root)
    _join_lines(drawing)
    _hoist(drawing)
    _unwrap(drawing)
    return ET.tostring(root, encoding="unicode")


@dataclass(frozen=True, slots=True)
class Size:
    """A picture's own pixels, and how many times as large it would like to be shown."""

    width: float
    height: float
    shown: float = 1.0


def named(
    size: Size, caption: Caption, body: str, *, standalone: bool = False, role: str = "img"
) -> str:
    """Wrap elements that are written already into a named picture.

    `role` is `img`, or `group` where parts of it are links that must be reached.
    """
    wide, high = _short(size.width), _short(size.height)
    shown = (_short(size.width * size.shown), _short(size.height * size.shown))
    title, description = f"{caption.prefix}-t", f"{caption.prefix}-d"
    space = f' xmlns="{SVG_NS}"' if standalone else ""
    paper = f'<rect width="{wide}" height="{high}" fill="{PAPER}"/>' if standalone else ""
    told = (
        f'{title} {description}"' if role == "img" else f'{title}" aria-describedby="{description}"'
    )
    return (
        f'<svg{space} viewBox="0 0 {wide} {high}" width="{shown[0]}" height="{shown[1]}"'
        f' role="{role}" aria-labelledby="{told}>'
        f'<title id="{title}">{escape(caption.title)}</title>'
        f'<desc id="{description}">{escape(caption.description)}</desc>{paper}'
        f'<g font-family="{WORDS_FONT}" fill="none">{body}</g></svg>'
    )


def _without_namespace(root: ET.Element) -> ET.Element:
    for element in root.iter():
        element.tag = element.tag.rpartition("}")[2]
    return root


def _clean(root: ET.Element) -> None:
    """Drop what a picture does not need: roles of its parts, pointer hints, long decimals."""
    for element in root.iter():
        for key in [*element.attrib]:
            if key in NEVER or key.startswith(("aria-", "{")):
                del element.attrib[key]
        for pair in element.attrib.pop("style", "").split(";"):
            name, colon, value = pair.partition(":")
            if colon:
                element.set(name.strip(), value.strip())
        for key in NUMERIC:
            if key in element.attrib:
                element.set(key, _rounded(element.attrib[key]))
        for key, value in IDLE:
            if element.get(key) == value:
                del element.attrib[key]
        if element.tag == "text":
            _place_text(element)


def _place_text(element: ET.Element) -> None:
    """Turn a plain shift of a text into its own x and y."""
    element.set("font-size", element.get("font-size", "12").removesuffix("px"))
    plain = re.fullmatch(r"translate\(([-\d.]+),([-\d.]+)\)", element.get("transform", ""))
    if plain:
        del element.attrib["transform"]
        element.set("x", plain[1])
        element.set("y", plain[2])


def _rounded(text: str) -> str:
    return re.sub(r"-?\d+\.\d+(?:e-\d+)?", lambda found: _short(float(found[0])), text)


def _short(number: float) -> str:
    return f"{round(number, 1) + 0.0:.1f}".removesuffix(".0")


def _prune(parent: ET.Element) -> None:
    """Take out empty and invisible elements, and groups that only hold one other group."""
    kept: list[ET.Element] = []
    for child in parent:
        _prune(child)
        if child.tag == "g" and not child.attrib and any(kid.tag == "g" for kid in child):
            kept.extend(child)
        elif not _invisible(child):
            kept.append(child)
    parent[:] = kept


def _unwrap(parent: ET.Element) -> None:
    """Take out the groups that say nothing once all is hoisted."""
    kept: list[ET.Element] = []
    for child in parent:
        _unwrap(child)
        kept.extend(child if child.tag == "g" and not child.attrib else [child])
    parent[:] = kept


def _join_lines(group: ET.Element) -> None:
    """Make one path of the straight lines of a group that are drawn alike."""
    for child in group:
        _join_lines(child)
    lines = [child for child in group if child.tag == "line"]
    looks = {tuple(sorted(_look(line).items())) for line in lines}
    if len(lines) < 2 or len(looks) != 1 or len(lines) != len(group):
        return
    path = ET.Element("path", {"d": "".join(map(_as_path, lines)), **_look(lines[0])})
    group[:] = [path]


def _look(line: ET.Element) -> dict[str, str]:
    return {key: value for key, value in line.attrib.items() if key not in PLACES}


def _as_path(line: ET.Element) -> str:
    x1, y1, x2, y2 = (float(line.get(key, "0")) for key in ("x1", "y1", "x2", "y2"))
    shift = re.match(r"translate\(([-\d.]+),([-\d.]+)\)", line.get("transform", ""))
    dx, dy = (float(shift[1]), float(shift[2])) if shift else (0.0, 0.0)
    end = f"h{_short(x2 - x1)}" if y1 == y2 else f"l{_short(x2 - x1)},{_short(y2 - y1)}"
    return f"M{_short(x1 + dx)},{_short(y1 + dy)}{f'v{_short(y2 - y1)}' if x1 == x2 else end}"


def _invisible(element: ET.Element) -> bool:
    if element.tag == "g":
        return len(element) == 0
    drawn = {"fill", "stroke"} & element.attrib.keys() or element.tag == "text"
    return element.get("display") == "none" or not drawn


def _hatched(root: ET.Element, name: str) -> bool:
    """Point every fill in the hatch's stand-in colour at the pattern; say whether there is any."""
    wanting = [element for element in root.iter() if element.get("fill") == HATCH]
    for element in wanting:
        element.set("fill", f"url(#{name})")
    return bool(wanting)


def _hatching(name: str) -> ET.Element:
    definitions = ET.Element("defs")
    size = {"width": "5", "height": "5", "patternUnits": "userSpaceOnUse"}
    pattern = ET.SubElement(definitions, "pattern", {"id": name, **size})
    line = {"d": "M-1,1l2,-2M0,5l5,-5M4,6l2,-2", "stroke": INK, "stroke-width": str(HAIRLINE)}
    ET.SubElement(pattern, "path", {**line, "stroke-opacity": "0.55"})
    return definitions


def _stand_alone(root: ET.Element, width: float, height: float) -> None:
    root.set("xmlns", SVG_NS)
    paper = {"width": _short(width), "height": _short(height), "fill": PAPER}
    root.append(ET.Element("rect", paper))


def _colours_to_classes(root: ET.Element) -> None:
    for element in root.iter():
        roles = list(_roles(element))
        if roles:
            element.set("class", " ".join(roles))


def _roles(element: ET.Element) -> Iterator[str]:
    for attribute, letter in (("fill", "f"), ("stroke", "s")):
        role = ROLE_OF.get(element.get(attribute, ""))
        if role is not None:
            del element.attrib[attribute]
            yield f"{letter}-{role}"


def _hoist(group: ET.Element) -> None:
    """Move what all children of a group say alike up to the group, once."""
    for child in group:
        if child.tag == "g":
            _hoist(child)
    if len(group) < 2:
        return
    for key in INHERITED:
        values = {child.get(key) for child in group}
        if len(values) == 1 and None not in values and key not in group.attrib:
            group.set(key, values.pop() or "")
            for child in group:
                del child.attrib[key]
