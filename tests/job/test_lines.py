"""Lines of keys, in every way that TOML 1.0.0 can write them."""

from __future__ import annotations

import tomllib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hillwright.job.lines import Lines

TEXT = """# a hill
units = "us"
cell.width = "24 in"
site = { name = "a", "the notes" = 'b' }
[survey]
kind = "points"   # 6
"file" = 'a.csv'

[layout]
keep = [          # 10
  ["1 ft", "2 ft"],
  # a remark
  ["3 ft",
   "4 ft"],       # 14
]
note = \"\"\"
two
lines\"\"\"
after = 1         # 19

[[exclusion]]
name = "oak"
[[exclusion]]
name = "box"      # 24
[exclusion.more]
deep.er = 1       # 26
[a."b c".d]
x = 1
"""


@pytest.mark.parametrize(
    ("keys", "line", "text"),
    [
        (("units",), 2, '"us"'),
        (("cell",), 3, ""),
        (("cell", "width"), 3, '"24 in"'),
        (("site", "name"), 4, '"a"'),
        (("site", "the notes"), 4, "'b'"),
        (("survey",), 5, ""),
        (("survey", "file"), 7, "'a.csv'"),
        (("layout", "keep"), 10, None),
        (("layout", "keep", 0), 11, '["1 ft", "2 ft"]'),
        (("layout", "keep", 1), 13, '["3 ft", "4 ft"]'),
        (("layout", "keep", 1, 1), 14, '"4 ft"'),
        (("layout", "note"), 16, '""" two lines"""'),
        (("layout", "after"), 19, "1"),
        (("exclusion",), 21, ""),
        (("exclusion", 0, "name"), 22, '"oak"'),
        (("exclusion", 1), 23, ""),
        (("exclusion", 1, "name"), 24, '"box"'),
        (("exclusion", 1, "more", "deep", "er"), 26, "1"),
        (("a", "b c", "d", "x"), 28, "1"),
    ],
)
@pytest.mark.parametrize("newline", ["\n", "\r\n"])
def test_each_key_is_found_on_its_line_with_its_value_as_written(keys, line, text, newline):
    found = Lines(TEXT.replace("\n", newline)).find(keys)
    assert found is not None
    assert found.line == line
    if text is not None:
        assert found.text == text


def test_a_key_that_is_not_there_is_placed_at_what_is_around_it():
    lines = Lines(TEXT)
    assert lines.find(("survey", "crs")) is None
    assert lines.line(("survey", "crs")) == 5
    assert lines.line(("exclusion", 1, "radius")) == 23
    assert lines.line(("nowhere",)) is None


def test_letters_beyond_ascii_do_not_move_the_lines():
    lines = Lines('"für" = "é 漢字"\nb = 2\n')
    assert lines.find(("für",)) == (1, '"é 漢字"')
    assert lines.line(("b",)) == 2


KEY = st.sampled_from(["a", "b", '"c d"', "a.b", "b.a", "'e'", "f-1"])
VALUE = st.sampled_from(["1", '"x"', "[1,\n [2, 3]]", "{ a = 1, b.c = [2] }", "true", "[]"])
STATEMENT = st.one_of(
    st.builds("{} = {}".format, KEY, VALUE),
    st.builds("[{}]".format, KEY),
    st.builds("[[{}]]".format, KEY),
    st.just("# x = 1"),
)


@given(st.lists(STATEMENT, max_size=8))
def test_every_key_of_a_file_that_can_be_read_has_a_line(statements):
    text = "\n".join(statements)
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        return
    lines, rows = Lines(text), text.count("\n") + 1

    def walk(value, keys):
        if keys:
            assert lines.find(keys) is not None, keys
            assert 1 <= lines.line(keys) <= rows
        inside = value.items() if isinstance(value, dict) else ()
        inside = enumerate(value) if isinstance(value, list) else inside
        for key, item in inside:
            walk(item, (*keys, key))

    walk(data, ())
