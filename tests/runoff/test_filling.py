import heapq

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from hillwright.errors import OutOfRange
from hillwright.runoff.filling import _basins, _passes, drain
from hillwright.runoff.flowgrid import STEPS, FlowGrid, steepest
from hillwright.runoff.routing import fill_depressions


def flooded(z):
    """Fill from the border inwards, always on from the lowest place reached (priority flood)."""
    ny, nx = z.shape
    filled, done, heap = z.copy(), np.isnan(z), []
    for j, i in np.argwhere(~np.isnan(z)):
        near = [(j + dy, i + dx) for dx, dy in STEPS]
        if any(not (0 <= a < ny and 0 <= b < nx) or np.isnan(z[a, b]) for a, b in near):
            heapq.heappush(heap, (z[j, i], j, i))
            done[j, i] = True
    while heap:
        level, j, i = heapq.heappop(heap)
        for dx, dy in STEPS:
            a, b = j + dy, i + dx
            if 0 <= a < ny and 0 <= b < nx and not done[a, b]:
                done[a, b] = True
                filled[a, b] = max(level, z[a, b])
                heapq.heappush(heap, (filled[a, b], a, b))
    return filled


whole = st.integers(0, 6).map(float)
sizes = st.tuples(st.integers(1, 14), st.integers(1, 14))


@given(arrays(float, sizes, elements=whole))
def test_filling_is_what_a_flood_from_the_border_gives(z):
    np.testing.assert_array_equal(fill_depressions(z).filled, flooded(z))


@given(arrays(float, sizes, elements=st.one_of(whole, st.just(np.nan))))
def test_water_leaves_beside_heights_that_are_not_known(z):
    np.testing.assert_array_equal(fill_depressions(z).filled, flooded(z))


def test_filling_rough_ground_is_what_a_flood_gives():
    z = np.random.default_rng(5).normal(size=(70, 90))
    found = fill_depressions(z)
    np.testing.assert_array_equal(found.filled, flooded(z))
    assert found.deepest == (found.filled - z).max()
    np.testing.assert_array_equal(fill_depressions(found.filled).filled, found.filled)


@given(arrays(float, sizes, elements=whole))
def test_every_node_is_led_out_without_going_in_a_circle(z):
    grid = FlowGrid.of(z)
    filled, receiver = drain(grid)
    inside = np.flatnonzero(grid.inside)
    at = inside
    for _ in range(z.size):
        onward = receiver[at]
        assert (filled.reshape(-1)[onward] <= filled.reshape(-1)[at]).all()
        at = onward
    assert (receiver[at] == at).all()
    assert grid.edge.reshape(-1)[at].all()


@pytest.mark.parametrize(
    ("z", "what"), [(np.zeros(4), "of shape"), (np.full((2, 2), np.inf), "infinite")]
)
def test_what_is_no_grid_is_refused(z, what):
    with pytest.raises(OutOfRange, match=what):
        fill_depressions(z)


def test_passes_of_equal_height_come_in_the_order_of_reading_on_every_processor():
    z = np.random.default_rng(3).integers(0, 4, size=(120, 130)).astype(float)
    grid = FlowGrid.of(z)
    receiver, way = steepest(grid)
    pit = ((way == 8).reshape(grid.z.shape) & grid.inside & ~grid.edge).reshape(-1)
    first = _passes(grid, _basins(receiver, pit), way).a
    height = grid.z.reshape(-1)[first]
    same = np.diff(height) == 0
    assert same.any()
    assert (np.diff(height) >= 0).all()
    assert (np.diff(first)[same] >= 0).all()
