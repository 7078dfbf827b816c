"""While it is being built: rows empty, filled from the bottom, people on them."""

import sys
from pathlib import Path

import numpy as np
import pytest

sys.path.insert(0, str(Path(__file__).parent))
from grids import grid

from hillwright.errors import OutOfRange
from hillwright.stability.construction import building_loads, people, people_pull


def test_two_heavy_people_on_a_steep_slope():
    assert people_pull(100.0, 2, np.radians(30), 1.5) == pytest.approx(2 * 980.665 * 1.5 * 0.5)


def test_who_stands_there_comes_from_the_table():
    who = people()
    assert who.mass == pytest.approx(140.6, abs=0.1)  # 310 lb
    assert who.factor >= 1
    assert who.number >= 1


def test_rows_fill_from_the_bottom():
    row, number, clips, _ = grid(np.ones((3, 2)))
    empty, filled = np.full(6, 1.0), np.full(6, 10.0)
    found = building_loads(row, number, clips, row == 1, empty, filled, 0.0)
    assert found.filled.tolist() == [0, 1, 2, 3]
    assert found.anchor.tolist() == [3, 12, 21, 30]
    assert found.pair.tolist() == [2, 11, 20, 20]


def test_each_anchor_and_each_pair_could_have_all_the_people():
    row, number, clips, _ = grid(np.ones((3, 2)))
    bare = building_loads(row, number, clips, row == 1, np.ones(6), np.ones(6), 0.0)
    with_people = building_loads(row, number, clips, row == 1, np.ones(6), np.ones(6), 500.0)
    assert with_people.anchor.tolist() == [v + 500 for v in bare.anchor]
    assert with_people.anchors.tolist() == [503, 503, 0, 0, 0, 0]
    assert (with_people.pairs == bare.pairs + 500).all()


def test_the_middle_of_the_work_may_be_worst_where_the_lower_rows_pull_more_when_empty():
    # an odd hill: the top row pulls more empty than filled, as a light dry mix on rough ground may
    row, number, clips, _ = grid(np.ones((2, 1)))
    found = building_loads(row, number, clips, row == 1, np.array([5.0, 1]), np.array([0.0, 9]), 0)
    assert found.anchor.tolist() == [6, 14, 9]
    assert found.anchors[0] == 14


def test_wrong_people_are_refused():
    with pytest.raises(OutOfRange, match="mass: is zero"):
        people_pull(0.0, 2, 0.5)
    with pytest.raises(OutOfRange, match="number: is negative"):
        people_pull(80.0, -1, 0.5)
