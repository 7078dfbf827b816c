"""The area bound and Blichfeldt's guarantee."""

from __future__ import annotations

import numpy as np
import pytest

from hillwright.errors import OutOfRange
from hillwright.layout.bound import area_bound, mean_count


def test_an_area_of_exactly_n_cells_may_hold_n():
    # 0.3 / 0.1 is 2.9999999999999996 in floats
    assert area_bound(0.3, 0.1) == 3
    np.testing.assert_array_equal(area_bound(np.array([0.0, 0.29, 0.31]), 0.1), [0, 2, 3])


def test_the_guarantee_is_the_mean_rounded_up():
    # Blichfeldt 1914
    assert mean_count(152.3, 0.24) == (pytest.approx(634.583333, abs=1e-6), 635)
    assert mean_count(0.3, 0.1).guaranteed == 3
    assert mean_count(0.7, 0.1).guaranteed == 7  # 0.7 / 0.1 is 6.999999999999999
    assert mean_count(0.0, 0.1) == (0.0, 0)


@pytest.mark.parametrize("give", [area_bound, mean_count])
def test_an_area_below_0_or_a_cell_of_0_is_refused(give):
    with pytest.raises(OutOfRange, match="cell area"):
        give(1.0, 0.0)
    with pytest.raises(OutOfRange, match="area"):
        give(-1.0, 0.1)
    with pytest.raises(OutOfRange, match="area"):
        give(np.array([1.0, np.nan]), 0.1)
