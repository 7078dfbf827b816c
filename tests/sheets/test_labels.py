"""Labels: the best places that can be had together, none over another."""

import itertools
import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from hillwright.sheets.labels import Label, boxes, solve
from hillwright.sheets.lettering import lettered
from hillwright.sheets.marks import LEAST_TEXT, Line, Pen, Words
from hillwright.sheets.place import Candidate, text_box

PAPER = (0.0, 0.0, 100.0, 100.0)
spots = st.tuples(st.floats(0, 100), st.floats(0, 100), st.floats(-1.5, 1.5))


def label(*places, worth=4.0, text="R12", **more):
    return Label("cells", text, 3.0, tuple(Candidate(*p) for p in places), worth, **more)


def put(labels, placed):
    return [
        text_box(x.text, x.size, x.places[k], x.bold)
        for x, k in zip(labels, placed.place, strict=True)
        if k >= 0
    ]


@settings(deadline=None)
@given(st.lists(st.lists(spots, min_size=1, max_size=4), max_size=40))
def test_no_label_lies_over_another_or_off_the_paper(places):
    labels = [label(*p) for p in places]
    found = put(labels, solve(labels, bounds=PAPER))
    for i, box in enumerate(found):
        assert shapely.box(*PAPER).covers(box)
        assert not any(box.intersects(other) for other in found[:i])


@settings(deadline=None, max_examples=40)
@given(
    st.lists(
        st.tuples(
            st.lists(st.tuples(st.floats(0, 18), st.floats(0, 9)), min_size=1, max_size=3),
            st.sampled_from([1.5, 4.0, 12.0]),
        ),
        min_size=1,
        max_size=5,
    )
)
def test_no_other_choice_of_places_is_worth_more(given_labels):
    labels = [label(*p, worth=w) for p, w in given_labels]
    placed = solve(labels)
    shapes = [shapely.polygons(boxes([x], 0.08)) for x in labels]

    def value(choice):
        taken = [shapes[i][k] for i, k in enumerate(choice) if k >= 0]
        if any(a.intersects(b) for a, b in itertools.combinations(taken, 2)):
            return -math.inf
        return sum(labels[i].worth - 0.05 * k for i, k in enumerate(choice) if k >= 0)

    ways = itertools.product(*[range(-1, len(x.places)) for x in labels])
    assert placed.proven
    assert value(placed.place) == pytest.approx(max(map(value, ways)), abs=1e-4)


def test_a_label_gives_up_its_best_place_so_that_another_finds_one():
    # put down one after the other, the first would take the only place of the second
    labels = [label((0, 0), (40, 0)), label((0, 0))]
    assert solve(labels).place == (1, 0)


def test_a_label_lies_over_a_line_rather_than_be_left_out_but_never_over_what_is_kept_free():
    line = shapely.LineString([(-50, 0), (50, 0)])
    labels = [label((0, 0), (0, 20))]
    assert solve(labels, soft=[line]).place == (1,)
    assert solve([label((0, 0))], soft=[line]).place == (0,)
    assert solve([label((0, 0))], hard=[line]).place == (-1,)


def test_a_far_label_is_led_to_its_thing_and_no_label_lies_on_the_leader():
    thing = shapely.Point(0, 0)
    far, between = label((40, 0), thing=thing), label((20, 0))
    placed = solve([far, between])
    assert sorted(placed.place) == [-1, 0]
    alone = solve([far])
    np.testing.assert_allclose(alone.leader[0][0], [0, 0])
    assert 30 < np.linalg.norm(np.diff(alone.leader[0], axis=0)) < 40


def test_the_same_labels_find_the_same_places_again():
    rng = np.random.default_rng(4)
    labels = [label(*rng.uniform(0, 60, (6, 2))) for _ in range(60)]
    assert solve(labels, bounds=PAPER).place == solve(labels, bounds=PAPER).place


def test_a_drawing_that_is_well_lettered_comes_back_as_it_is():
    marks = [
        Line("cells", np.array([[0, 0], [9, 9]]), Pen(0.2)),
        Words("cells", (20, 20), "a", LEAST_TEXT),
        Words("cells", (20, 40), "b", LEAST_TEXT),
    ]
    assert lettered(marks, PAPER, LEAST_TEXT) == marks


def test_small_crowded_texts_are_enlarged_moved_or_left_out_aloud():
    marks = [Words("cells", (50 + 0.3 * k, 50.0), "17", 1.5) for k in range(60)]
    found = lettered(marks, PAPER, LEAST_TEXT)
    assert min(m.size for m in found) >= LEAST_TEXT
    shown = [text_box(m.text, m.size, Candidate(*m.at, m.angle, m.anchor)) for m in found]
    assert not any(a.intersects(b) for a, b in itertools.combinations(shown, 2))
    left_out = 60 - sum(m.text == "17" for m in found)
    assert f"{left_out} texts left out: no room" in {m.text for m in found}
