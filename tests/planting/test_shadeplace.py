"""Trees where their shade costs least: crowns as the sun table has them, rules kept, pins stay."""

import numpy as np
import pytest
from plantedhill import layout, site, surface

from hillwright.planting.frame import make_ground
from hillwright.planting.model import Asked, Wish
from hillwright.planting.palette import sun_range
from hillwright.planting.path import tended
from hillwright.planting.screens import crown_band
from hillwright.planting.shadeplace import _Light, place_wide
from hillwright.planting.sky import CLEAR
from hillwright.planting.stage import quick

ASKED = Asked(
    plants=("lettuce", "thyme", "yarrow", "lemon-dwarf"),
    wishes=(Wish("lemon-dwarf", count=3), Wish("lettuce", share=0.4)),
)


@pytest.fixture(scope="module")
def hill():
    ground = make_ground(layout(10, 16), surface(), site(), ASKED)
    problem = ground.pose().problem
    walking, _ = quick(problem)
    places = problem.places
    free = tended(problem.field, walking) & ~walking
    whole = np.logical_and.reduceat(free[places.cells], places.at[:-1])
    wide: list[int] = []
    for k in np.flatnonzero(whole & problem.some.canopy[places.plant]):
        gap = np.linalg.norm(places.centre[wide][:, :2] - places.centre[k, :2], axis=1)
        if len(wide) < 3 and (gap >= problem.some.width[places.plant[k]]).all():
            wide.append(int(k))
    assert len(wide) == 3
    return ground, problem, walking, np.array(wide)


def test_a_crown_hides_the_rays_that_its_band_of_angles_holds(hill):
    ground, problem, _, wide = hill
    plant = problem.some.plants[problem.places.plant[wide[0]]]
    foot = problem.places.centre[wide[0]]
    light = _Light(ground)
    high = np.arcsin(light.ray[2])
    turn = np.arctan2(light.ray[0], light.ray[1])
    eyes = ground.field.centre
    band = crown_band(eyes, foot, plant.tall, plant.width, turn, CLEAR * plant.tall)
    theirs = (high > band.lower) & (high < band.upper)
    ours = light.hidden(eyes, plant, foot)
    assert theirs.any()
    assert (ours != theirs).mean() < 0.002  # rays that graze the crown


def lost(ground, problem, walking, wide):
    """Count the free cells that have too little sun for anything that is low."""
    low = [p for p in problem.some.plants if not p.canopy]
    least = min(sun_range(p.sun)[0] for p in low)
    free = tended(problem.field, walking) & ~walking
    sun = ground.growing_sun(ground.shaded(problem, wide))
    for k in wide:
        free[problem.places.of(int(k))] = False
    return int((free & (sun < least)).sum())


def test_moved_trees_keep_their_spread_and_darken_fewer_cells(hill):
    ground, problem, walking, wide = hill
    moved = place_wide(ground, problem, walking, wide)
    places = problem.places
    assert (places.plant[moved] == places.plant[wide]).all()
    free = tended(problem.field, walking) & ~walking
    for i, a in enumerate(moved):
        assert free[places.of(int(a))].all()
        for b in moved[:i]:
            gap = np.hypot(*(places.centre[a] - places.centre[b])[:2])
            assert gap >= problem.some.width[places.plant[a]] - 1e-6
    before, after = (lost(ground, problem, walking, w) for w in (wide, moved))
    assert after < before
    again = place_wide(ground, problem, walking, wide)
    assert (again == moved).all()


def test_a_pinned_tree_stays_where_it_is(hill):
    ground, _, walking, wide = hill
    problem = ground.pose().problem
    field = problem.field
    cell = int(problem.places.of(int(wide[0]))[0])
    pinned = Asked(
        plants=ASKED.plants, wishes=ASKED.wishes,
        pins=((int(field.row[cell]), int(field.number[cell]), "lemon-dwarf"),),
    )  # fmt: skip
    other = make_ground(layout(10, 16), surface(), site(), pinned)
    posed = other.pose().problem
    moved = place_wide(other, posed, walking, wide)
    assert moved[0] == wide[0]
    assert (moved[1:] != wide[1:]).any()
