"""The best placing is the best, its bound holds, and what the person fixed stays fixed."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from outlines import SQUARE, star

from hillwright.layout.bound import mean_count
from hillwright.layout.erosion import anchor_region
from hillwright.layout.fit import best_placing
from hillwright.layout.lattice import counts


def scatter(width, run, n=120):
    u, v = np.meshgrid(np.arange(n) * width / n, np.arange(n) * run / n)
    return np.column_stack((u.ravel(), v.ravel()))


@settings(max_examples=20, deadline=None)
@given(seed=st.integers(0, 10**6), half=st.booleans())
def test_no_shift_of_a_fine_scatter_holds_more_than_the_proven_best(seed, half):
    E = anchor_region([star(seed)], [star(seed + 1, 5, 1.0)], 0.6, 0.4)
    p = best_placing(E, 0.6, 0.4, half)
    assert p.proven
    assert counts(E, 0.6, 0.4, half, [[p.du, p.dv]])[0] == p.count
    assert counts(E, 0.6, 0.4, half, scatter(0.6, 0.4)).max() <= p.count
    assert p.count >= mean_count(E.exact.area, 0.24).guaranteed
    assert 0 <= p.du < 0.6
    assert 0 <= p.dv < 0.4


def test_the_only_shift_that_fits_is_found_and_proven():
    # a cell's width is a tenth of the outline's: only touching all round holds 100
    moved = SQUARE + np.array([0.123456, 0.234567])
    p = best_placing(anchor_region([moved], [], 0.6, 0.4), 0.6, 0.4, False)
    assert (p.count, p.bound) == (100, 100)
    assert (p.du, p.dv) == pytest.approx((0.123456, 0.234567), abs=1e-8)
    p = best_placing(anchor_region([moved], [], 0.6, 0.4), 0.6, 0.4, True)
    assert (p.count, p.bound) == (95, 95)


def test_a_shift_where_slanted_edges_touch_is_found():
    # 13 unit cells centred on whole numbers with |i| + |j| <= 2, every corner of the rim touching
    diamond = np.array([[0.0, -3.0], [3.0, 0.0], [0.0, 3.0], [-3.0, 0.0]])
    slot = np.array([[0.1, 0.1], [0.2, 0.1], [0.2, 0.2], [0.1, 0.2]])
    moved = [part + np.array([0.137, 0.271]) for part in (diamond, slot)]
    p = best_placing(anchor_region(moved[:1], moved[1:], 1.0, 1.0), 1.0, 1.0, False)
    assert (p.count, p.bound) == (12, 12)
    # an edge more than corners are tried from: only closing the last squares exactly finds it
    smooth = np.array(shapely.Polygon(moved[0]).segmentize(0.05).exterior.coords)
    p = best_placing(anchor_region([smooth], moved[1:], 1.0, 1.0), 1.0, 1.0, False)
    assert (p.count, p.bound) == (12, 12)


def test_two_fits_at_once_one_across_and_one_down_are_found():
    # a wide arm that fits ten cells exactly across, a high arm that fits ten exactly down, and
    # no corner of the anchor region that lies on both
    wide = [[0.0, 0.0], [6.0, 0.0], [6.0, 1.3], [3.31, 1.3], [3.31, 4.1]]
    cross = np.array([*wide, [1.01, 4.1], [1.01, 1.3], [0.0, 1.3]]) + np.array([0.11, 0.07])
    E = anchor_region([cross], [], 0.6, 0.4)
    p = best_placing(E, 0.6, 0.4, False)
    assert p.proven
    across = counts(E, 0.6, 0.4, False, scatter(0.6, 0.4, 80) * [0, 1] + [0.11, 0.0])
    assert p.count == across.max() == 10 * 3 + 3 * 7


def test_what_is_fixed_stays_and_costs_no_more_than_it_must():
    E = anchor_region([star(7)], [], 0.6, 0.4)
    free = best_placing(E, 0.6, 0.4, False)
    column = best_placing(E, 0.6, 0.4, False, fixed_u=-1.0)
    row = best_placing(E, 0.6, 0.4, False, fixed_v=1.3)
    both = best_placing(E, 0.6, 0.4, False, fixed_u=-1.0, fixed_v=1.3)
    assert column.du == pytest.approx(0.2)
    assert row.dv == pytest.approx(0.1)
    assert (both.du, both.dv) == pytest.approx((0.2, 0.1))
    assert both.count <= min(column.count, row.count) <= free.count
    along = scatter(0.6, 0.4)
    assert (
        counts(E, 0.6, 0.4, False, np.column_stack((np.full(len(along), 0.2), along[:, 1]))).max()
        <= column.count
    )
    assert [p.proven for p in (column, row, both)] == [True, True, True]


def test_a_fixed_corner_in_half_offset_bond_is_a_corner_of_some_cell():
    E = anchor_region([star(9)], [], 0.6, 0.4)
    for v in (0.5, 0.1, -0.3, -0.7):
        p = best_placing(E, 0.6, 0.4, True, fixed_u=0.2, fixed_v=v)
        i = round((v - p.dv) / 0.4)
        assert v == pytest.approx(p.dv + 0.4 * i)
        steps = (0.2 - p.du - (i % 2) * 0.3) / 0.6
        assert steps == pytest.approx(round(steps), abs=1e-9)


def test_a_score_chooses_among_the_good_ones_and_cannot_hide_the_bound():
    E = anchor_region([star(7)], [], 0.6, 0.4)
    plain = best_placing(E, 0.6, 0.4, False)
    scored = best_placing(E, 0.6, 0.4, False, score=lambda du, dv: -abs(du - 0.5))
    assert abs(scored.du - 0.5) <= abs(plain.du - 0.5)
    assert scored.bound == plain.bound
    assert scored.gap == scored.bound - scored.count >= 0
    assert scored.worth == pytest.approx(-abs(scored.du - 0.5))


def test_no_shift_is_kept_when_nothing_is_better():
    E = anchor_region([SQUARE], [], 0.6, 0.4)
    p = best_placing(E, 0.6, 0.4, False)
    assert (p.du, p.dv) == (0, 0)


def test_an_outline_smaller_than_a_cell_holds_none():
    E = anchor_region([SQUARE], [], 7.0, 0.4)
    p = best_placing(E, 7.0, 0.4, False, fixed_u=8.0)
    assert (p.count, p.bound, p.du) == (0, 0, 1.0)


def test_the_same_question_gets_the_same_answer():
    E = anchor_region([star(7)], [], 0.6, 0.4)
    again = anchor_region([star(7)], [], 0.6, 0.4)
    assert best_placing(E, 0.6, 0.4, True) == best_placing(again, 0.6, 0.4, True)


def test_a_large_lot_ends_within_two_cells_of_its_bound():
    E = anchor_region([star(2, size=45.0)], [], 0.6, 0.4)
    p = best_placing(E, 0.6, 0.4, False)
    assert p.count > 5000
    assert p.gap <= 2
