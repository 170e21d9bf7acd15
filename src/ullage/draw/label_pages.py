"""Sheets of labels ready to print: each as SVG of its paper's exact size, or all as one page file.

The unit of a drawing is the millimetre. What only helps the eye on a screen (`class="guide"`) is
left out where a drawing stands alone, and by the page's style when it is printed.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final
from xml.sax.saxutils import escape

from ullage.draw.label_sheet import SHEETS, LabelSheet, Spot, spots
from ullage.draw.label_tag import Tag, code_of, code_side, tag_svg
from ullage.draw.qr import Level, least_side
from ullage.draw.svg import SVG_NS
from ullage.draw.theme import WORDS_FONT
from ullage.errors import OutOfRange
from ullage.plan.labels import LabelKind

MOST_COPIES: Final = 20
MM_M: Final = 1e-3


@dataclass(frozen=True, slots=True)
class LabelJob:
    """What is to be printed: on which sheets, the tags in their order, copies beside each other.

    `start`: the first label of the first sheet that is still there, from 1.
    """

    sheet: LabelSheet
    tags: tuple[Tag, ...]
    start: int = 1
    copies: int = 1

    @property
    def placed(self) -> tuple[tuple[Tag, Spot], ...]:
        """Each label and where it lies. Raises `OutOfRange`."""
        if not 1 <= self.copies <= MOST_COPIES:
            raise OutOfRange(f"print 1 to {MOST_COPIES} copies of each, not {self.copies}")
        tags = [tag for tag in self.tags for _ in range(self.copies)]
        return tuple(zip(tags, spots(self.sheet, len(tags), self.start), strict=True))


@dataclass(frozen=True, slots=True)
class PlacedLabel:
    """One label as printed; lengths in m, from the top left corner of the paper."""

    kind: LabelKind
    name: str
    address: str
    page: int
    label: int
    left_m: float
    top_m: float
    width_m: float
    height_m: float
    code_level: Level
    code_module_m: float


@dataclass(frozen=True, slots=True)
class PlacedLabels:
    """All labels of a job, where each lies on its sheet and what its code says."""

    sheet: str
    title: str
    pages: int
    labels: tuple[PlacedLabel, ...]


def placed_labels(job: LabelJob) -> PlacedLabels:
    """The job as data. Raises `OutOfRange`, with the sheets that would do for its codes."""
    placed = job.placed
    try:
        labels = tuple(_placed(job.sheet, tag, spot) for tag, spot in placed)
    except OutOfRange as wrong:
        larger = "; ".join(one.title for one in large_enough(job.tags))
        raise OutOfRange(f"{wrong}; large enough: {larger or 'none of the sheets'}") from None
    return PlacedLabels(
        job.sheet.name, job.sheet.title, max((one.page for one in labels), default=0), labels
    )


def _placed(sheet: LabelSheet, tag: Tag, spot: Spot) -> PlacedLabel:
    box, found = sheet.box(spot.number), code_of(tag, sheet.inside(spot.number))
    return PlacedLabel(
        kind=tag.kind,
        name=tag.name,
        address=tag.address,
        page=spot.page,
        label=spot.number,
        left_m=round(box.left * MM_M, 6),
        top_m=round(box.top * MM_M, 6),
        width_m=round(sheet.width_mm * MM_M, 6),
        height_m=round(sheet.height_mm * MM_M, 6),
        code_level=found.level,
        code_module_m=round(found.module_mm * MM_M, 7),
    )


def large_enough(tags: Sequence[Tag]) -> tuple[LabelSheet, ...]:
    """The sheets on which the code of every one of these tags is legible."""
    needed = max((least_side(tag.address) for tag in tags), default=0.0)
    return tuple(one for one in SHEETS.values() if code_side(one.inside(1)) >= needed)


def label_svgs(job: LabelJob, *, standalone: bool = True) -> tuple[str, ...]:
    """Draw each sheet of a job. Raises `OutOfRange`."""
    placed = job.placed
    count = max((spot.page for _, spot in placed), default=0)
    return tuple(
        _sheet(job.sheet, [one for one in placed if one[1].page == page], page, standalone)
        for page in range(1, count + 1)
    )


def _sheet(
    sheet: LabelSheet, placed: Sequence[tuple[Tag, Spot]], page: int, standalone: bool
) -> str:
    wide, high = sheet.paper_mm
    space = f' xmlns="{SVG_NS}"' if standalone else ""
    title = f"Sheet {page}: {', '.join(dict.fromkeys(tag.called for tag, _ in placed))}"
    guides = "" if standalone else _guides(sheet)
    marks = sheet.cut_marks()
    cut = f'<path d="{marks}" stroke="#000" stroke-width="0.2"/>' if marks else ""
    return (
        f'<svg{space} width="{wide:g}mm" height="{high:g}mm" viewBox="0 0 {wide:g} {high:g}"'
        f' role="img" aria-labelledby="labels-{page}-t"><title id="labels-{page}-t">'
        f'{escape(title)}</title><rect width="{wide:g}" height="{high:g}" fill="#fff"/>'
        f'{guides}{cut}<g font-family="{WORDS_FONT}" fill="#000">'
        f"{''.join(_tags(sheet, placed))}</g></svg>"
    )


def _tags(sheet: LabelSheet, placed: Sequence[tuple[Tag, Spot]]) -> Iterator[str]:
    for tag, spot in placed:
        yield tag_svg(tag, sheet.inside(spot.number))


def _guides(sheet: LabelSheet) -> str:
    """The outlines of all labels, for the screen."""
    boxes = (sheet.box(number) for number in range(1, sheet.per_sheet + 1))
    path = "".join(
        f"M{box.left:.2f},{box.top:.2f}h{sheet.width_mm:.2f}v{sheet.height_mm:.2f}"
        f"h-{sheet.width_mm:.2f}z"
        for box in boxes
    )
    return f'<path class="guide" d="{path}" fill="none" stroke="#a9b0b5" stroke-width="0.3"/>'


def labels_file(job: LabelJob) -> str:
    """All sheets as one page file (HTML) that prints each on a sheet of its own, unscaled."""
    papers = "".join(f'<div class="paper">{one}</div>' for one in label_svgs(job))
    wide, high = job.sheet.paper_mm
    style = (
        f"@page{{size:{wide:g}mm {high:g}mm;margin:0}}body{{margin:0}}svg{{display:block}}"
        f".paper{{height:{high - 0.2:g}mm;overflow:hidden;break-inside:avoid}}"
        ".paper+.paper{break-before:page}"
    )
    return (
        '<!doctype html><html lang="en"><head><meta charset="utf-8">'
        f"<title>Labels: {escape(job.sheet.title)}</title><style>{style}</style></head>"
        f"<body>{papers}</body></html>\n"
    )
