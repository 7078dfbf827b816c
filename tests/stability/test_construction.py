"""People who stand on the cells while they are built."""

import numpy as np
import pytest

from hillwright.errors import OutOfRange
from hillwright.stability.construction import people, people_pull


def test_two_heavy_people_on_a_steep_slope():
    assert people_pull(100.0, 2, np.radians(30), 1.5) == pytest.approx(2 * 980.665 * 1.5 * 0.5)


def test_who_stands_there_comes_from_the_table():
    who = people()
    assert who.mass == pytest.approx(140.6, abs=0.1)  # 310 lb
    assert who.factor >= 1


def test_wrong_people_are_refused():
    with pytest.raises(OutOfRange, match="mass: is zero"):
        people_pull(0.0, 2, 0.5)
    with pytest.raises(OutOfRange, match="number: is negative"):
        people_pull(80.0, -1, 0.5)
