"""Flow routing on a real hillside against independent general-purpose libraries.

The ground is the elevation model of the Jacksboro fault that matplotlib ships as sample data
(jacksboro_fault_dem.npz: 344 by 403 heights in whole metres). scipy.sparse.csgraph finds the
levels of standing water as a minimax path problem, and scipy.sparse.linalg solves the balance of
all nodes at once. The figures of pyflwdir 0.5.12 (MIT) were measured on the same file; it brings
a compiler along (numba), so it is not installed for the tests.
"""

import numpy as np
import pytest
from matplotlib import cbook
from scipy import sparse
from scipy.sparse import csgraph, linalg

from hillwright.runoff.flowgrid import FlowGrid
from hillwright.runoff.routing import fill_depressions, route, upslope_area


@pytest.fixture(scope="module")
def dem():
    with cbook.get_sample_data("jacksboro_fault_dem.npz") as data:
        return data["elevation"].astype(float)


def test_filled_heights_are_those_of_another_library(dem):
    # pyflwdir.dem.fill_depressions(z, outlets="edge"): every height was equal; its sums:
    filled = fill_depressions(dem).filled
    raised = filled - dem
    assert raised.sum() == 34124.0
    assert (raised > 0).sum() == 6373
    assert raised.max() == 32.0


def test_filled_heights_are_the_minimax_levels_of_scipys_spanning_tree(dem):
    z = dem[:160, :200]
    ny, nx = z.shape
    node = np.arange(z.size).reshape(z.shape)
    a, b = [], []
    for one, other in (
        (node[:, :-1], node[:, 1:]),
        (node[:-1], node[1:]),
        (node[:-1, :-1], node[1:, 1:]),
        (node[:-1, 1:], node[1:, :-1]),
    ):
        a.append(one.ravel())
        b.append(other.ravel())
    border = np.unique(np.concatenate((node[0], node[-1], node[:, 0], node[:, -1])))
    a.append(border)
    b.append(np.full(len(border), z.size))
    a, b = np.concatenate(a), np.concatenate(b)
    high = np.append(z.ravel(), -np.inf)
    weight = np.maximum(high[a], high[b])
    graph = sparse.csr_array((weight + 1.0, (a, b)), shape=(z.size + 1, z.size + 1))
    tree = csgraph.minimum_spanning_tree(graph)
    order, before = csgraph.breadth_first_order(tree, z.size, directed=False)
    level = np.full(z.size + 1, -np.inf)
    for i in order[1:]:
        level[i] = max(level[before[i]], high[i])
    np.testing.assert_array_equal(fill_depressions(z).filled, level[:-1].reshape(ny, nx))


@pytest.mark.parametrize("scheme", ["d8", "d-infinity", "multiple"])
def test_areas_solve_the_balance_of_every_node(dem, scheme):
    grid = FlowGrid.of(dem[:200, :240])
    found = route(grid, scheme)
    own = grid.inside.reshape(-1).astype(float)
    n = len(own)
    node = np.arange(n)
    if found.shares is None:
        to, share = found.drained.receiver[:, None], (found.drained.receiver != node)[:, None] * 1.0
    else:
        step, share = found.shares
        to = node[:, None] + step
    gives = share > 0
    rows = np.broadcast_to(node[:, None], share.shape)[gives]
    passes_on = sparse.csc_array((share[gives], (to[gives], rows)), shape=(n, n))
    solved = linalg.spsolve(sparse.eye_array(n, format="csc") - passes_on, own)
    np.testing.assert_allclose(found.accumulate(own), solved, rtol=1e-9, atol=1e-9)


@pytest.mark.parametrize(
    ("scheme", "flats"), [("d8", 0.002), ("d-infinity", 0.001), ("multiple", 0.001)]
)
def test_the_largest_catchments_are_those_of_another_library(dem, scheme, flats):
    # pyflwdir.from_dem(z, outlets="edge").upstream_area("cell"): nodes drained at the border, by
    # row and column; its ways over flats differ (by D8 most), and its border nodes hand nothing
    # on. The last two leave a lake that touches the border at equal heights: anywhere along it
    area = upslope_area(dem, 1.0, scheme).area
    for (j, i), nodes, tolerance, away in (
        ((127, 0), 43756, flats, 1),
        ((287, 402), 13892, 0.005, 1),
        ((182, 402), 22283, 0.07, 20),
        ((277, 402), 22473, 0.05, 20),
    ):
        near = area[j - away : j + away + 1, max(i - 1, 0) : i + 2].max()
        assert near == pytest.approx(nodes, rel=tolerance)
