"""Edits of a job file: the data are those of the patch, the text is the person's own."""

import tomllib

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from hillwright.store import toml
from hillwright.store.merge import changes, difference, merge
from hillwright.store.pointer import Operation, PatchError, apply, operations, parse, pointer, same

TEXT = """\
# Whose hill this is
units = "us"   # feet

[cell] # home-made
width = "24 in" # measured twice
run = "18 in"

[[wish]]
plant = "tree" # the quince
count = 2

[[wish]]
plant = "herb"

[outline]
corners = [
    ["0 ft", "0 ft"], # by the gate
    ["20 ft", "0 ft"],
    ["20 ft", "15 ft"],
]
"""

keys = st.sampled_from(["a", "b", "two words", "wish", "d.e", ""])
plain = st.one_of(
    st.integers(-5, 5),
    st.text(max_size=4),
    st.booleans(),
    st.floats(allow_nan=False, allow_infinity=False),
    st.sampled_from(["3 ft", "R1-2"]),
)
values = st.recursive(
    plain,
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(keys, inner, max_size=3),
    max_leaves=12,
)
trees = st.dictionaries(keys, values, max_size=4)


def patched(*steps):
    return toml.edited(TEXT, operations(steps))


def test_a_changed_value_changes_its_own_line_and_nothing_else():
    found = patched({"op": "replace", "path": "/cell/width", "value": "30 in"})
    assert found == TEXT.replace('"24 in"', '"30 in"')


def test_one_corner_of_a_list_with_comments_is_changed_in_place():
    found = patched({"op": "replace", "path": "/outline/corners/1", "value": ["22 ft", "1 ft"]})
    assert found == TEXT.replace('["20 ft", "0 ft"]', '["22 ft", "1 ft"]')


def test_a_table_put_in_and_one_taken_out_leave_the_comments_of_the_others():
    found = patched(
        {"op": "add", "path": "/wish/-", "value": {"plant": "sage", "count": 3}},
        {"op": "remove", "path": "/wish/1"},
        {"op": "add", "path": "/pin", "value": [{"cell": "R1-2", "plant": "sage"}]},
    )
    assert tomllib.loads(found)["wish"] == [
        {"plant": "tree", "count": 2},
        {"plant": "sage", "count": 3},
    ]
    assert tomllib.loads(found)["pin"] == [{"cell": "R1-2", "plant": "sage"}]
    for comment in ("# Whose hill", "# measured twice", "# the quince", "# by the gate"):
        assert comment in found


@pytest.mark.parametrize(
    ("steps", "says"),
    [
        ([{"op": "move", "path": "/cell"}], "not an operation"),
        ([{"op": "replace", "path": "/cell/width"}], "has no value"),
        ([{"op": "add", "value": 1}], "has no path"),
        ([{"op": "remove", "path": "cell"}], "does not start with /"),
        ([{"op": "remove", "path": "/cell/~2"}], 'a "~" alone'),
        ([{"op": "remove", "path": "/cell/depth"}], "is not in the job"),
        ([{"op": "replace", "path": "/wish/2/count", "value": 1}], "the list has 2"),
        ([{"op": "replace", "path": "/wish/01/count", "value": 1}], "no place in a list"),
        ([{"op": "add", "path": "/units/x", "value": 1}], "inside a plain value"),
        ([{"op": "add", "path": "/cell/depth", "value": None}], "cannot hold an empty value"),
        ([{"op": "add", "path": "/cell/depth", "value": [[None]]}], "cannot hold an empty value"),
        ([{"op": "add", "path": "/cell/depth", "value": 2**70}], "too large a number"),
        ([{"op": "add", "path": "/cell/depth", "value": "\ud800"}], "half a letter"),
        ([{"op": "test", "path": "/cell/width", "value": "1 m"}], "somebody changed it"),
        ([{"op": "remove", "path": ""}], "the whole job"),
        ([{"op": "replace", "path": "", "value": 3}], "the whole job"),
    ],
)
def test_a_patch_that_cannot_be_made_says_why(steps, says):
    with pytest.raises(PatchError, match=says):
        toml.edited(TEXT, operations(steps))


def test_every_operation_that_is_none_is_told_at_once():
    with pytest.raises(PatchError) as told:
        operations([{"op": "copy"}, {"op": "add", "path": "/a"}])
    assert len(told.value.problems) == 2


@given(st.lists(st.text(max_size=4)))
def test_a_pointer_is_read_as_it_was_written(path):
    assert parse(pointer(path)) == tuple(path)


@settings(max_examples=200)
@given(trees, trees)
def test_what_changed_makes_the_later_job_of_the_earlier_in_data_and_in_text(before, after):
    steps = difference(before, after)
    assert same(apply(before, steps), after)
    text = toml.tomlkit.dumps(toml.item(before))
    assert same(tomllib.loads(text), before)
    assert same(tomllib.loads(toml.edited(text, steps)), after)
    assert len(changes(before, after)) == len(steps)


@settings(max_examples=200)
@given(trees, trees)
def test_a_change_of_one_side_alone_is_taken_whole(base, other):
    for mine, theirs in ((other, base), (base, other), (other, other)):
        merged, clashes = merge(base, mine, theirs)
        assert not clashes
        assert same(merged, other)


@settings(max_examples=200)
@given(trees, trees, trees)
def test_two_sides_clash_whichever_comes_first(base, a, b):
    assert bool(merge(base, a, b)[1]) == bool(merge(base, b, a)[1])


def test_a_file_of_a_form_that_cannot_be_edited_in_place_keeps_its_data():
    steps = [Operation("replace", ("a", "0"), "plain")]
    found = toml.edited("# mine\nkeep = 1 # this\n\n[[a]]\nb = 1\n", steps)
    assert tomllib.loads(found) == {"keep": 1, "a": ["plain"]}
    assert "# this" in found


BASE = tomllib.loads(TEXT)


def edit(*steps):
    return apply(BASE, operations(steps))


def test_edits_of_two_people_to_different_keys_are_both_kept():
    mine = edit(
        {"op": "replace", "path": "/wish/1/plant", "value": "thyme"},
        {"op": "add", "path": "/wish/-", "value": {"plant": "sage"}},
    )
    theirs = edit(
        {"op": "remove", "path": "/wish/0"},
        {"op": "add", "path": "/wish/-", "value": {"plant": "rose"}},
        {"op": "replace", "path": "/cell/run", "value": "20 in"},
        {"op": "replace", "path": "/outline/corners/0", "value": ["1 ft", "0 ft"]},
    )
    merged, clashes = merge(BASE, mine, theirs)
    assert not clashes
    assert [w["plant"] for w in merged["wish"]] == ["thyme", "rose", "sage"]
    assert merged["cell"]["run"] == "20 in"
    assert merged["outline"]["corners"][0] == ["1 ft", "0 ft"]


def test_one_corner_moved_by_two_people_is_a_clash_and_no_mixture():
    mine = edit({"op": "replace", "path": "/outline/corners/1/0", "value": "21 ft"})
    theirs = edit({"op": "replace", "path": "/outline/corners/1/1", "value": "2 ft"})
    merged, clashes = merge(BASE, mine, theirs)
    assert [c.path for c in clashes] == [("outline", "corners", "1")]
    assert clashes[0].mine == ["21 ft", "0 ft"]
    assert merged["outline"]["corners"][1] == ["20 ft", "2 ft"]


def test_a_key_changed_by_one_and_taken_out_by_the_other_is_a_clash():
    mine = edit({"op": "replace", "path": "/wish/0/count", "value": 5})
    theirs = edit({"op": "remove", "path": "/wish/0"})
    assert merge(BASE, mine, theirs)[1]
