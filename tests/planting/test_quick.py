"""The quick planting: sums that are kept up are those of the whole, rows keep their thirst, and
wide plants stand where their shade costs least."""

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from plantedhill import layout, site, surface

from hillwright.planting import sunplace
from hillwright.planting.agree import contradictions
from hillwright.planting.bed import Bed, Sums
from hillwright.planting.field import make_field
from hillwright.planting.frame import make_ground
from hillwright.planting.model import Asked, Wish
from hillwright.planting.palette import shipped
from hillwright.planting.path import tended
from hillwright.planting.quick import quick_planting
from hillwright.planting.rowfill import fill_rows
from hillwright.planting.screens import Tree, Wall, crown_band, wall_bands
from hillwright.planting.shadecost import ShadeCost
from hillwright.planting.spots import spots
from hillwright.planting.stage import quick
from hillwright.planting.sun import SECTORS, Sky, sun_table
from hillwright.planting.thirst import Thirst
from hillwright.planting.worth import worth

ASKED = Asked(
    plants=("lettuce", "thyme", "yarrow", "calendula", "lemon-dwarf"),
    wishes=(
        Wish("lemon-dwarf", count=2),
        Wish("herb", share=0.3),
        Wish("yarrow", count=7, at_most=20),
        Wish("lettuce", share=0.4),
    ),
)


@pytest.fixture(scope="module")
def hill():
    ground = make_ground(layout(10, 16), surface(), site(), ASKED)
    return ground, ground.pose().problem


@given(st.lists(st.integers(0, 10_000), max_size=12), st.integers(0, 10_000))
def test_what_one_more_brings_is_the_difference_in_worth(hill, some, more):
    _, problem = hill
    # changes of thirst along rows are not among the sums
    plain = replace(problem, weights=replace(problem.weights, zone=0.0))
    q = len(problem.places.plant)
    chosen, k = [i % q for i in some], more % q
    sums = Sums(plain)
    for i in chosen:
        sums.take(int(problem.places.plant[i]))
    none = np.zeros(problem.field.count, bool)
    brings = worth(plain, none, [*chosen, k]) - worth(plain, none, chosen)
    gain = sums.gain[problem.places.plant[k]] + problem.places.value[k]
    over = any(
        amount[problem.places.plant[[*chosen, k]]].sum() > most for amount, most in problem.limits
    )
    assert gain == (-np.inf if over else pytest.approx(brings, abs=1e-7))


@given(st.lists(st.integers(-1, 2), min_size=22, max_size=22), st.data())
def test_rows_take_what_does_not_change_their_thirst_too_often(there, data):
    f = make_field(layout(3, 8, out={(1, 3), (2, 5)}), 0.5, 0.4, np.empty((0, 2)), 0.2)
    zones = data.draw(st.integers(1, 3))
    cells = np.array(data.draw(st.lists(st.integers(0, 21), min_size=1, max_size=4, unique=True)))
    water = data.draw(st.integers(0, 2))
    thirst, free = Thirst(f, zones), np.array(there)
    for i, w in enumerate(there):
        if w >= 0:
            thirst.put(np.array([i]), w)

    def few(wants, names):
        rows = [
            [wants[i] for i in np.flatnonzero(f.stretch == name) if wants[i] >= 0] for name in names
        ]
        return all(sum(a != b for a, b in pairwise(row)) < zones for row in rows)

    with_it = free.copy()
    with_it[cells] = water
    assert thirst.fits(cells, water) == few(with_it, np.unique(f.stretch[cells]))
    for name in np.unique(f.stretch):
        filled = np.where((f.stretch == name) & (free < 0), water, free)
        assert thirst.fills(int(name), water) == few(filled, [name])
        assert thirst.row(int(name)).tolist() == free[f.stretch == name].tolist()


WISHES = st.lists(
    st.builds(
        Wish,
        st.sampled_from(["vegetable", "herb", "flower", "pollinator", "slope"]),
        share=st.floats(0.05, 0.3),
    ),
    max_size=3,
    unique_by=lambda w: w.plant,
)


@settings(max_examples=15)
@given(WISHES, st.integers(1, 3), st.floats(0, 2), st.integers(0, 500))
def test_rows_filled_again_are_never_worth_less(hill, wishes, zones, zone, pin):
    assume(not list(contradictions(shipped(), wishes)))
    ground, _ = hill
    asked = replace(ASKED, plants=(), wishes=tuple(wishes), zones_per_row=zones)
    asked = replace(asked, weights=replace(asked.weights, zone=zone))
    problem = replace(ground, asked=asked).pose().problem
    walking, _ = quick(problem)
    single = np.flatnonzero(problem.places.size == 1)
    known = int(single[pin % len(single)])
    problem = replace(problem, pinned=np.array([known]))
    found = []
    for sweeps in (1, 2, 4):
        bed = Bed(problem, walking)
        if fits := bed.fits(known):
            bed.put(known)
        fill_rows(bed, sweeps)
        assert not fits or known in bed.chosen
        chosen = np.array(sorted(bed.chosen), np.intp)
        assert len(np.unique(problem.places.cells[problem.places.at[chosen]])) == len(chosen)
        found.append(worth(problem, walking, chosen))
    assert found[0] <= found[1] + 1e-6
    assert found[1] <= found[2] + 1e-6


def test_the_shade_of_one_plant_is_what_the_sun_table_takes_from_the_cells_round_it(hill):
    ground, problem = hill
    places, some = problem.places, problem.some
    lemons = np.flatnonzero(some.canopy[places.plant])
    free = np.ones(ground.field.count, bool)
    before = ground.growing_sun(ground.sun)
    found = ShadeCost(ground, problem).of(lemons, free)
    for k in lemons[:: len(lemons) // 6]:
        tree = some.plants[places.plant[k]]
        gap = np.linalg.norm(ground.field.centre[:, :2] - places.centre[k, :2], axis=1)
        near = gap <= tree.width / 2 + 0.5 * tree.tall
        left = ground.growing_sun(ground.shaded(problem, np.array([k])))
        exact = float((1 - left / before)[near].sum())
        assert found[np.flatnonzero(lemons == k)[0]] == pytest.approx(exact, rel=0.1)
    assert np.ptp(found) > 1.0  # where it stands matters


def test_wide_plants_set_by_their_shade_leave_more_light_to_what_can_be_tended(hill):
    ground, problem = hill
    walking, anyhow = quick(problem)
    set_well = quick_planting(problem, walking, None, ShadeCost(ground, problem))
    free = tended(problem.field, walking) & ~walking
    before, lost = ground.growing_sun(ground.sun), []
    for chosen in (anyhow, set_well):
        assert problem.some.canopy[problem.places.plant[chosen]].sum() == 2
        after = ground.growing_sun(ground.shaded(problem, chosen))
        lost.append(float((before - after)[free].sum()))
    assert lost[1] < 0.97 * lost[0]


def test_the_sun_between_crowns_and_a_fence_is_that_of_each_moment_by_itself():
    place = np.array([[x, y, 0.4 * y] for y in range(3) for x in range(4)], float)
    tilt = np.tile([0.0, -0.37, 0.93], (len(place), 1))
    bearing = 2 * np.pi * np.arange(SECTORS) / SECTORS
    rng = np.random.default_rng(4)
    horizon = rng.uniform(-0.3, 0.5, (len(place), SECTORS))
    trees = [Tree("a", np.array([1.5, -1.0, 0.0]), 3.0, 2.0, 0.9)]
    trees += [Tree("b", np.array([2.4, 1.2, 0.5]), 2.4, 2.4, 0.7)]
    bands = [crown_band(place, t.foot, t.height, t.spread, bearing, t.clear) for t in trees]
    fence = wall_bands(place, Wall("f", np.array([[4.2, -3, 0], [4.2, 3, 1.0]]), 1.5), bearing)
    sky = Sky(tilt, horizon, ((bands[0], 0.0), (spots(bands[1]), 0.0), (fence, 0.5)))
    table = sun_table(sky, 0.7, every=5)
    sun = sunplace.paths(0.7, 5)
    hours = np.zeros((12, len(place)))
    for month, high, turn in zip(sun.month, sun.elevation, sun.azimuth, strict=True):
        at = turn / (2 * np.pi) * SECTORS
        low, near = int(at) % SECTORS, round(at) % SECTORS
        part = at - int(at)
        edge = horizon[:, low] * (1 - part) + horizon[:, (low + 1) % SECTORS] * part
        flat = np.cos(high)
        facing = tilt @ [flat * np.sin(turn), flat * np.cos(turn), np.sin(high)]
        lit = ((high > edge) & (facing > 0)).astype(float)
        for band, passes in zip([*bands, fence], (0.0, 0.0, 0.5), strict=True):
            met = (high > band.lower[:, near]) & (high < band.upper[:, near])
            lit[met] *= passes
        hours[month] += lit * sun.step / sun.days[month]
    np.testing.assert_allclose(table.hours, hours, rtol=1e-12)
    assert 0 < table.share.min() < 0.9


def test_an_arm_reaches_the_same_cells_however_they_are_looked_for():
    laid = layout(7, 9, bond="half-offset", out={(3, 4)})
    f = make_field(laid, 0.762, 0.4, np.empty((0, 2)), 0.2)
    middle = laid.corners.mean(axis=1)
    for i, c in enumerate(laid.corners):
        found = []
        for j, m in enumerate(middle):
            gaps = []
            for a, b in zip(c, np.roll(c, -1, axis=0), strict=True):
                t = np.clip((m - a) @ (b - a) / ((b - a) @ (b - a)), 0, 1)
                gaps.append(np.linalg.norm(m - a - t * (b - a)))
            if min(gaps) <= 0.762 + 1e-6 or i == j:
                found.append(j)
        assert f.tended_from(i).tolist() == found
