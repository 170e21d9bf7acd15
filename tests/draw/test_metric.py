"""No text is wider than the layout takes it to be."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ullage.draw.metric import fitted, width_of

# independent: widths of a letter in hundredths of the type's size, as a browser measures them for
# our own face and for the face that stands in for it on a bare Linux desktop.
OURS = dict(
    zip(
        "!\"#$%&'()*+,-./0123456789:;<=>?"
        "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz °±≈…½×",
        [
            *(35, 40, 85, 55, 90, 70, 20, 45, 45, 55, 60, 25, 45, 30, 55),
            *(65, 65, 65, 65, 65, 65, 65, 65, 65, 65, 30, 25, 65, 50, 65, 55),
            *(65, 65, 60, 65, 60, 55, 65, 70, 30, 45, 60, 55, 90, 75, 80, 60, 80, 65, 55, 60),
            *(70, 65, 95, 65, 60, 60),
            *(52, 60, 50, 60, 55, 40, 60, 60, 30, 30, 55, 35, 90, 60, 60, 60, 60, 40, 45, 40),
            *(60, 55, 75, 55, 55, 50),
            *(35, 30, 60, 84, 75, 75, 80),
        ],
        strict=True,
    )
)
STAND_IN = {
    **dict(zip("AEMWXZ", (68, 63, 86, 99, 69, 69), strict=True)),
    **dict(zip("aemwlit", (61, 62, 97, 82, 28, 28, 39), strict=True)),
    **dict(zip("0 .,-(%", (64, 32, 32, 32, 36, 39, 95), strict=True)),
}


@pytest.mark.parametrize("face", [OURS, STAND_IN], ids=["ours", "stand-in"])
def test_a_letter_is_no_wider_than_taken(face: dict[str, int]) -> None:
    narrow = {one: wide for one, wide in face.items() if width_of(one, 100.0) < wide}
    assert narrow == {}


def test_a_figure_is_no_wider_than_taken() -> None:
    # independent: the figures' face gives each letter 0.65 of its size, the stand-in 0.60
    assert width_of("0123456789±°/", 1.0, numbers=True) >= 13 * 0.65
    assert width_of(" .,:", 1.0, numbers=True) >= 4 * 0.60


@given(st.text(min_size=1, max_size=40), st.floats(30.0, 200.0), st.booleans())
def test_what_is_fitted_fits(text: str, room: float, numbers: bool) -> None:
    shown = fitted(text, room, 11.0, numbers)
    assert width_of(shown, 11.0, numbers) <= room or len(shown) == 2
    assert shown == text or shown.endswith("…")
