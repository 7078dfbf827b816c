import dataclasses
import math

import numpy as np
import pytest
import shapely
from hills import Hill, plane, sphere, translation, waves

from hillwright.layout.cutting import panel_net
from hillwright.layout.lines import geodesic
from hillwright.layout.measure import base_normal, bend_between, cell_shear
from hillwright.layout.model import CellShape
from hillwright.layout.panels import make_panels

CELL = CellShape(0.6, 0.45, 0.2, False, 0.0127, 2, 0.025, 0.05, math.radians(25), 5.0)
HALF = dataclasses.replace(CELL, half_offset=True)


def everything(corners):
    return np.ones(len(corners), bool)


def hang(hill, cell, start, cells, lines, inside=everything):
    step = cell.width / 2 if cell.half_offset else cell.width
    count = round(cells * cell.width / step / 2)
    start, way = np.array([*start, 0.0]), np.array([1.0, 0.0])
    top = np.concatenate(
        (
            geodesic(hill, start, -way, step, count)[:0:-1],
            geodesic(hill, start, way, step, count),
        )
    )
    return make_panels(hill, top, (0, 2 * count), lines, cell, inside)


@pytest.mark.parametrize("cell", [CELL, HALF])
def test_a_plane_needs_one_panel_and_no_seam(cell):
    found = hang(plane(0.1, 0.6), cell, (0, 0), 10, (2, 8))
    assert len(found.panels) == 1
    assert not found.seams
    assert not found.left_out
    assert len(found.line) == (95 if cell.half_offset else 100)
    assert found.line.min() == -2
    assert found.line.max() == 7


def test_clips_without_play_still_do_on_a_plane():
    found = hang(plane(0.1, 0.6), dataclasses.replace(CELL, clip_play=0.0), (0, 0), 6, (0, 4))
    assert len(found.line) == 24


@pytest.mark.parametrize("cell", [CELL, HALF])
@pytest.mark.parametrize("hill", [sphere(30.0), translation(1 / 40, -1 / 40)])
def test_where_the_clips_could_not_follow_the_net_is_cut_and_every_cell_keeps_in_play(cell, hill):
    found = hang(hill, cell, (0, -8), 24, (0, 20))
    assert len(found.panels) > 1
    assert cell_shear(found.corners).max() <= cell.max_shear
    assert [s.panels for s in found.seams] == [(k, k + 1) for k in range(1, len(found.panels))]
    for seam in found.seams:
        assert seam.along == "column"
        assert "clips allow 1.2 deg" in seam.why
        assert seam.widest > 0
    assert np.unique(found.panel).tolist() == list(range(1, len(found.panels) + 1))
    assert (found.panel[found.clips[:, 0]] == found.panel[found.clips[:, 1]]).all()


def test_one_panel_fewer_would_not_do():
    found = hang(sphere(30.0), CELL, (0, -8), 24, (0, 20))
    way, start = np.array([1.0, 0.0]), np.array([0.0, -8.0, 0.0])
    hill, count = sphere(30.0), 24 // (len(found.panels) - 1) // 2 + 1
    top = np.concatenate(
        (geodesic(hill, start, -way, 0.6, count)[:0:-1], geodesic(hill, start, way, 0.6, count))
    )
    wider = panel_net(hill, top, (0, 20), CELL).nodes
    quads = np.stack((wider[:-1, :-1], wider[:-1, 1:], wider[1:, 1:], wider[1:, :-1]), axis=2)
    assert cell_shear(quads.reshape(-1, 4, 3)).max() > CELL.max_shear


# panels hung from one string close up below on a dome (positive curvature) and part on a saddle
def test_panels_on_a_dome_run_into_each_other_and_no_cell_is_laid_on_another():
    found = hang(sphere(30.0), CELL, (0, -8), 24, (0, 20))
    assert any("cell of the panel beside" in c.why for c in found.left_out)
    quads = shapely.polygons(found.corners[..., :2])
    a, b = shapely.STRtree(quads).query(quads, predicate="overlaps")
    across = found.panel[a] != found.panel[b]
    shared = shapely.area(shapely.intersection(quads[a], quads[b]))[across]
    assert shared.max(initial=0.0) <= CELL.clip_play * CELL.run


def test_panels_on_a_saddle_part_and_lose_no_cell():
    found = hang(translation(1 / 40, -1 / 40), CELL, (0, -8), 24, (0, 20))
    assert not found.left_out
    assert len(found.line) == 24 * 20
    assert found.seams[0].widest == pytest.approx(0.157, abs=0.01)


def test_only_wanted_cells_count_for_the_cut():
    def near(corners):
        return np.abs(corners[..., 0]).max(axis=1) < 1.5

    found = hang(sphere(30.0), CELL, (0, -8), 24, (0, 20), near)
    assert len(found.panels) == 1
    assert np.abs(found.corners[..., 0]).max() < 1.5


def test_what_shears_too_far_in_the_narrowest_panel_is_left_out_with_its_figures():
    found = hang(sphere(6.0), CELL, (0, -1), 8, (0, 8))
    assert cell_shear(found.corners).max() <= CELL.max_shear
    assert any("shear would be" in c.why and "1.2 deg" in c.why for c in found.left_out)


def fold(at, above, below):
    def bank(x, y):
        steep = np.where(y > at, above, below)
        return np.where(y > at, above * y, below * (y - at) + above * at), 0 * x, steep

    return Hill(bank)


@pytest.mark.parametrize("cell", [CELL, HALF])
def test_a_sharp_edge_of_a_bank_parts_the_grid_and_the_piece_below_gets_its_own_head_row(cell):
    cell = dataclasses.replace(cell, max_bend=math.radians(12))
    found = hang(fold(-5.0, 0.2, 1.0), cell, (0, 0), 12, (0, 25))
    bend = bend_between(base_normal(found.corners), found.clips)
    assert bend.max() <= cell.max_bend
    assert np.unique(found.panel).tolist() == [1, 2]
    assert np.unique(found.line[found.head]).size == 1
    assert found.line[found.head][0] == found.line[found.panel == 2].min()
    (seam,) = found.seams
    assert seam.along == "row"
    assert seam.panels == (1, 2)
    assert "clips allow 12.0 deg" in seam.why


def test_noise_on_raw_heights_becomes_shear_and_smoothing_takes_it_out():
    # notes on terrain: 2 cm noise on a 0.25 m grid gave 8.9 deg of shear, 0.2 deg smoothed
    from scipy.ndimage import gaussian_filter

    from hillwright.terrain.heightfield import HeightField

    step, size = 0.25, 120
    y, x = np.mgrid[:size, :size] * step
    noise = np.random.default_rng(5).normal(0, 0.02, x.shape)
    shear = []
    for added in (noise, gaussian_filter(noise, 0.5 / step)):
        ground = HeightField(-15.0, -15.0, step, 0.7 * y + added)
        start, way = np.array([0.0, 4.0, 0.0]), np.array([1.0, 0.0])
        top = geodesic(ground, start, way, 0.6, 10)
        nodes = panel_net(ground, top, (0, 15), CELL).nodes
        quads = np.stack((nodes[:-1, :-1], nodes[:-1, 1:], nodes[1:, 1:], nodes[1:, :-1]), axis=2)
        shear.append(math.degrees(np.nanmax(cell_shear(quads.reshape(-1, 4, 3)))))
    assert shear[0] > 3
    assert shear[1] < 0.6


def test_a_spine_that_leaves_the_ground_is_moved_to_where_it_reaches_farthest():
    def bay(x, y):
        z = 0.5 * y + 0 * x
        z = np.where((np.abs(x) < 1.0) & (y < -2), np.nan, z)
        return z, 0 * x, 0.5 + 0 * z

    hill = Hill(bay)
    top = np.column_stack((np.arange(-10, 11) * 0.6, np.zeros(21), np.zeros(21)))
    net = panel_net(hill, top, (0, 12), CELL)
    assert np.isfinite(net.nodes[-1, net.column0]).all()


def test_a_top_row_off_the_ground_gives_no_cells():
    top = np.full((5, 3), np.nan)
    found = make_panels(plane(0, 0.5), top, (0, 4), (0, 5), CELL, everything)
    assert not len(found.line)
    assert not found.seams


def test_waves_that_the_clips_take_up_stay_in_one_piece():
    found = hang(waves(0.6, 0.05, 5.0, 0.3), CELL, (0, 0), 20, (2, 20))
    assert len(found.panels) == 1
    assert len(found.line) == 20 * 22
