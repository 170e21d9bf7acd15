"""Lines of keys: counted by hand in a text with every awkward thing TOML allows."""

from __future__ import annotations

from ullage.system.locate import Path, line_of, lines_of

TEXT = '''# a comment with [brackets] and "quotes"
name = "x"            # line 2
"quoted key" . sub = 1
text = """
one = 1
[[not.a.table]]
" ""\\" """""
raw = \'\'\'
it's [[no table]] \'\'\'
[room]
volume = [ 1, 2,
  3,  # [
  { a = "}", b = [ "]", 5 ] },

]
[[tap]]
name = "left"
[[tap.line]]
bore = 1
[[tap.line]]
bore = 2
[tap.more]
x = 2026-01-01 10:00:00
[[tap]]
name = \'ri#ght\'
line = [{ bore = 1 }, { "bore" = 2,
 length = 3 }]
'''


def test_lines_counted_by_hand() -> None:
    lines = lines_of(TEXT)
    expected: dict[Path, int] = {
        ("name",): 2,
        ("quoted key",): 3,
        ("quoted key", "sub"): 3,
        ("text",): 4,
        ("raw",): 8,
        ("room",): 10,
        ("room", "volume"): 11,
        ("room", "volume", 2): 12,
        ("room", "volume", 3): 13,
        ("room", "volume", 3, "b", 1): 13,
        ("tap", 0): 16,
        ("tap", 0, "name"): 17,
        ("tap", 0, "line", 0, "bore"): 19,
        ("tap", 0, "line", 1): 20,
        ("tap", 0, "line", 1, "bore"): 21,
        ("tap", 0, "more", "x"): 23,
        ("tap", 1): 24,
        ("tap", 1, "name"): 25,
        ("tap", 1, "line", 1, "bore"): 26,
        ("tap", 1, "line", 1, "length"): 27,
    }
    shift = lines["name",] - 2
    assert {path: lines[path] - shift for path in expected} == expected
    assert not [path for path in lines if "not" in path or "one" in path]


def test_the_nearest_line_for_what_is_not_there() -> None:
    lines = lines_of(TEXT)
    assert line_of(("tap", 1, "keg"), lines) == lines["tap", 1]
    assert line_of(("keg",), lines) is None
    assert line_of((), lines) is None
