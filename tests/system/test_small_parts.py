"""Small parts in the system file: at hand, of one's own, and gas lines."""

from __future__ import annotations

import pytest

from ullage.errors import SystemFileError
from ullage.system.demo import demo_text
from ullage.system.file import parse_system


def test_old_files_name_no_small_parts() -> None:
    system = parse_system(demo_text())
    assert system.have == ()
    assert system.own_parts == ()
    assert not any(one.to_buy for one in system.kegs)
    assert not any(one.to_buy for one in system.taps)


def test_small_parts_are_read() -> None:
    more = """
[[have]]
part = "clamp-5/16"
count = 8
[[have]]
part = "vinyl"
bore = "5/16 in"
length = "10 ft"
[[have]]
part = "brass thing"
[[own_part]]
name = "brass thing"
ends = ["1/4 in flare nut", "G 3/8 male"]
max_pressure = "90 psi"
"""
    system = parse_system(demo_text() + more)
    assert system.have[0].count == 8
    assert system.have[1].length == pytest.approx(3.048)  # analytic: 10 ft
    assert system.own_parts[0].ends == ("1/4 in flare nut", "G 3/8 male")


@pytest.mark.parametrize(
    ("more", "said"),
    [
        ('[[have]]\npart = "clamp-5/17"\n', 'did you mean "clamp-5/16"'),
        ('[[have]]\npart = "vinyl"\n', "line needs its bore and length"),
        ('[[have]]\npart = "clamp-5/16"\nlength = "1 ft"\n', "only line has a bore and length"),
        ('[[have]]\npart = "clamp-5/16"\ncount = 0\n', "out of bounds"),
        ('[[own_part]]\nname = "x"\nends = ["1/4 in flair", "1/4 in barb"]\n', "1/4 in flare"),
        ('[[own_part]]\nname = "x"\nends = ["1/4 in barb"]\n', "at least"),
    ],
)
def test_what_is_wrong_with_small_parts_is_said(more: str, said: str) -> None:
    with pytest.raises(SystemFileError) as wrong:
        parse_system(demo_text() + more)
    assert said in str(wrong.value)
    assert "\n" not in str(wrong.value)
