"""QR codes of a picture that the browser took: what each says, and where it lies."""

from __future__ import annotations

import base64
from dataclasses import dataclass

import numpy as np
import zxingcpp
from playwright.sync_api import Page

GREY = """async (png) => {
  const picture = await createImageBitmap(await (await fetch(png)).blob());
  const canvas = new OffscreenCanvas(picture.width, picture.height);
  const pen = canvas.getContext("2d");
  pen.drawImage(picture, 0, 0);
  const {data} = pen.getImageData(0, 0, picture.width, picture.height);
  let grey = "";
  for (let at = 0; at < data.length; at += 4) grey += String.fromCharCode(data[at + 1]);
  return [picture.width, picture.height, btoa(grey)];
}"""


@dataclass(frozen=True)
class Read:
    """A code as a reader sees it: what it says, its level, its four sides in pixels."""

    said: str
    level: str
    left: float
    top: float
    right: float
    bottom: float


def codes_of(blank: Page, png: bytes) -> list[Read]:
    """Read all codes of a picture; `blank`: a page that may decode it."""
    address = "data:image/png;base64," + base64.b64encode(png).decode()
    wide, high, grey = blank.evaluate(GREY, address)
    pixels = np.frombuffer(base64.b64decode(grey), dtype=np.uint8).reshape(high, wide)
    return [_read(one) for one in zxingcpp.read_barcodes(pixels)]


def _read(one: zxingcpp.Barcode) -> Read:
    at = one.position
    corners = (at.top_left, at.top_right, at.bottom_left, at.bottom_right)
    across, down = [corner.x for corner in corners], [corner.y for corner in corners]
    return Read(one.text, one.ec_level, min(across), min(down), max(across), max(down))
