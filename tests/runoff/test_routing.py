import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from hillwright.errors import OutOfRange
from hillwright.runoff.flowgrid import FlowGrid
from hillwright.runoff.routing import route, upslope_area
from hillwright.runoff.schemes import SCHEMES

heights = arrays(
    float,
    st.tuples(st.integers(1, 12), st.integers(1, 12)),
    elements=st.one_of(st.integers(0, 8).map(float), st.floats(-10, 10), st.just(np.nan)),
)


@pytest.mark.parametrize("scheme", SCHEMES)
@given(z=heights, border=st.sampled_from(["runs", "outlet"]))
def test_no_area_is_lost_or_made(scheme, z, border):
    grid = FlowGrid.of(z)
    found = route(grid, scheme, 1.1, border)
    own = grid.inside.reshape(-1).astype(float)
    passing = found.accumulate(own)
    n = len(own)
    if found.shares is None:
        out = found.drained.receiver == np.arange(n)
        gone = passing[out].sum()
    else:
        left = 1 - found.shares.share.sum(axis=1)
        assert np.all((np.abs(left) < 1e-12) | (np.abs(left - 1) < 1e-12))
        gone = (passing * left).sum()
        out = left > 0.5
    assert gone == pytest.approx(own.sum(), rel=1e-9, abs=1e-12)
    # water leaves at the border only
    assert not (out & grid.inside.reshape(-1) & ~grid.edge.reshape(-1)).any()


@pytest.mark.parametrize("scheme", SCHEMES)
def test_no_water_runs_uphill(scheme):
    z = np.random.default_rng(2).normal(size=(40, 50))
    grid = FlowGrid.of(z)
    found = route(grid, scheme)
    filled = found.drained.filled.reshape(-1)
    node = np.arange(filled.size)
    if found.shares is None:
        pairs = [(node, found.drained.receiver)]
    else:
        step, share = found.shares
        pairs = [
            (node[share[:, k] > 0], (node + (step[k] if step.ndim == 1 else step[:, k])))
            for k in range(share.shape[1])
        ]
        pairs = [(a, b[a]) for a, b in pairs]
    for a, b in pairs:
        inside = grid.inside.reshape(-1)[a]
        assert (filled[b[inside]] <= filled[a[inside]]).all()


@pytest.mark.parametrize("scheme", SCHEMES)
def test_a_plane_along_the_grid_is_exact(scheme):
    z = np.tile(np.arange(30.0)[:, None], (1, 20))  # falls to the first row
    area = upslope_area(z, 2.0, scheme).area
    # away from the sides: the nodes above, their own square included
    middle = area if scheme != "multiple" else area[10:, 10:11] * np.ones((1, 20))
    if scheme == "multiple":
        expected = np.broadcast_to(4.0 * np.arange(20, 0, -1)[:, None], (20, 20))
        np.testing.assert_allclose(middle, expected, rtol=0.05)
    else:
        np.testing.assert_allclose(middle, 4.0 * np.tile(np.arange(30, 0, -1)[:, None], (1, 20)))


def test_d8_on_a_small_grid_by_hand():
    z = [[9, 8, 7], [8, 5, 4], [7, 4, 1]]
    area = upslope_area(z, 10.0, "d8").area / 100
    # 9 runs to 5 by the corner; 8 to 5 (right: 3/1, corner: 4/1.41), 7 to 4; 5 and the 4s to 1
    np.testing.assert_array_equal(area[2, 2], 9)
    np.testing.assert_array_equal(area[0], [1, 1, 1])
    np.testing.assert_array_equal(area[1, 1], 4)


# Tarboton 1997: the fall between two neighbours is shared by angle.
def test_d_infinity_shares_by_the_angle_to_each_neighbour():
    x, y = np.meshgrid(np.arange(5.0), np.arange(5.0))
    turn = np.radians(20)
    z = -(np.cos(turn) * x + np.sin(turn) * y)
    found = route(FlowGrid.of(z), "d-infinity")
    node = 3 * 7 + 3  # the middle, in the grid with its border
    shares = dict(zip(found.shares.step[node].tolist(), found.shares.share[node], strict=True))
    assert shares == pytest.approx({1: 25 / 45, 1 + 7: 20 / 45})


@pytest.mark.parametrize("scheme", SCHEMES)
def test_a_turned_grid_has_the_turned_areas(scheme):
    rng = np.random.default_rng(3)
    y, x = np.mgrid[0:25, 0:25]
    # no depressions: of passes of one height any may be taken
    z = 0.3 * y + 0.1 * x + rng.normal(0, 0.02, x.shape)
    here = upslope_area(z, 1.0, scheme).area
    turned = np.rot90(upslope_area(np.rot90(z), 1.0, scheme).area, -1)
    np.testing.assert_allclose(turned, here, rtol=1e-6)
    mirrored = upslope_area(z[:, ::-1], 1.0, scheme).area[:, ::-1]
    np.testing.assert_allclose(mirrored, here, rtol=1e-6)
    raised = upslope_area(z + 1000.0, 1.0, scheme).area
    np.testing.assert_allclose(raised, here, rtol=1e-6)


@pytest.mark.parametrize(
    ("change", "what"),
    [
        ({"step": 0.0}, "step"),
        ({"scheme": "d16"}, "'d16' is not known"),
        ({"border": "wall"}, "border"),
        ({"exponent": 0.0}, "exponent"),
    ],
)
def test_what_cannot_be_routed_is_refused(change, what):
    with pytest.raises(OutOfRange, match=what):
        upslope_area(**({"heights": np.eye(3), "step": 1.0} | change))
