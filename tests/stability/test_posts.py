"""The code formula for posts: its first pass, its end, and the way back."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hillwright.errors import OutOfRange
from hillwright.stability.posts import post_depth, post_depth_trial, post_load

FT, LBF = 0.3048, 4.4482216152605
PSF = LBF / FT**2
POST = (3000 * LBF, 8 * FT, 1 * FT, 150 * PSF / FT)


# worked in public: https://www.eng-tips.com/viewthread.cfm?qid=276653
def test_the_printed_first_pass():
    found = post_depth_trial(*POST, 6 * FT, 1.33)
    assert found.lateral_pressure / PSF == pytest.approx(399)
    assert found.ratio / FT == pytest.approx(17.6, abs=0.05)
    assert found.depth / FT == pytest.approx(23.99, abs=0.05)


def test_passes_made_one_by_one_end_where_the_iterated_figure_stands():
    depth = np.asarray(6 * FT)
    for _ in range(200):  # the mean of the last two: a pass alone jumps to and fro
        depth = (depth + post_depth_trial(*POST, depth, 1.33).depth) / 2
    assert post_depth(*POST, 1.33).depth == pytest.approx(depth, rel=1e-9)
    assert depth / FT == pytest.approx(14.199, abs=5e-4)


@given(
    load=st.floats(10, 1e5),
    height=st.floats(0, 5),
    width=st.floats(0.02, 1),
    bearing=st.floats(5e3, 6e4),
)
def test_the_depth_that_a_load_needs_may_take_it(load, height, width, bearing):
    depth = post_depth(load, height, width, bearing).depth
    assert post_load(depth, height, width, bearing) == pytest.approx(load, rel=1e-7)
    assert post_depth_trial(load, height, width, bearing, depth).depth == pytest.approx(depth)


def test_a_shallow_bar_may_take_next_to_nothing():
    # a No. 4 bar 2 ft deep, pulled 4 in up: a nail, not a post
    assert post_load(2 * FT, FT / 3, FT / 24, 150 * PSF / FT) / LBF < 5


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        ({"load": 0.0}, "load: is zero"),
        ({"lateral_bearing": -1.0}, "lateral_bearing: is negative"),
        ({"increase": 10.0}, "more than any code allows"),
        ({"width": [0.1, 0.2], "height": [1, 2, 3]}, "do not go together"),
    ],
)
def test_each_wrong_input_has_its_own_message(wrong, says):
    right = {"load": 1e3, "height": 1.0, "width": 0.1, "lateral_bearing": 23e3}
    with pytest.raises(OutOfRange, match=says):
        post_depth(**(right | wrong))
