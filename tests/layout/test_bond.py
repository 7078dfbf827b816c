import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from hillwright.layout.bond import cells_of, clip_pairs, pieces
from hillwright.layout.model import Net


def flat_net(lines, columns, line0=0, across=1.0):
    j, i = np.meshgrid(np.arange(columns) * across, -np.arange(lines, dtype=float))
    return Net(np.stack((j, i, 0 * i), axis=2), line0, 0, across, 1.0)


def test_stacked_cells_are_the_meshes_of_the_net_with_corners_from_the_upper_left():
    corners, line, column = cells_of(flat_net(3, 4), half_offset=False)
    assert list(zip(line, column, strict=True)) == [(i, j) for i in range(2) for j in range(3)]
    assert np.allclose(corners[4, :, :2], [[1, -1], [2, -1], [2, -2], [1, -2]])


def test_half_offset_moves_every_second_row_by_half_a_cell():
    _, line, column = cells_of(flat_net(4, 6, line0=1, across=0.5), half_offset=True)
    rows = [column[line == i].tolist() for i in range(3)]
    assert rows == [[1, 3], [0, 2], [1, 3]]
    _, line, column = cells_of(flat_net(4, 6, across=0.5), half_offset=True, start=1)
    assert column[line == 0].tolist() == [1, 3]


def test_a_lost_crossing_takes_every_cell_that_needs_it():
    net = flat_net(4, 5)
    nodes = net.nodes.copy()
    nodes[1, 2] = np.nan
    lost = Net(nodes, 0, 0, 1.0, 1.0)
    assert len(cells_of(lost, half_offset=False)[0]) == 12 - 4
    assert len(cells_of(lost, half_offset=True)[0]) == len(cells_of(net, True)[0]) - 3


@given(
    st.sets(st.tuples(st.integers(-5, 5), st.integers(-6, 6)), max_size=40),
    st.booleans(),
)
def test_clipped_pairs_are_just_those_that_share_an_edge(cells, half):
    cells = [(i, j) for i, j in cells if not half or (i + j) % 2 == 0]
    line = np.array([c[0] for c in cells], np.intp)
    column = np.array([c[1] for c in cells], np.intp)
    steps = [(0, 2), (1, -1), (1, 1)] if half else [(0, 1), (1, 0)]
    at = {c: k for k, c in enumerate(cells)}
    wanted = {
        (at[c], at[c[0] + i, c[1] + j])
        for c in cells
        for i, j in steps
        if (c[0] + i, c[1] + j) in at
    }
    found = [tuple(p) for p in clip_pairs(line, column, half).tolist()]
    assert set(found) == wanted
    assert len(found) == len(wanted)


@given(st.integers(1, 30), st.lists(st.tuples(st.integers(0, 29), st.integers(0, 29)), max_size=40))
def test_pieces_are_what_hangs_together(count, pairs):
    pairs = [(a % count, b % count) for a, b in pairs]
    found = pieces(count, np.array(pairs, np.intp).reshape(-1, 2))
    name = list(range(count))
    for _ in range(count):
        for a, b in pairs:
            name[a] = name[b] = min(name[a], name[b])
    assert found.tolist() == name
