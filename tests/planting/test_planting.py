"""What grows where: every rule kept, by an account of its own; the optimum against brute force."""

import itertools
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from plantedhill import layout, site, surface

from hillwright.errors import OutOfRange
from hillwright.job.site import Shade
from hillwright.planting.agree import contradictions
from hillwright.planting.bound import joint_bound
from hillwright.planting.dive import dive
from hillwright.planting.frame import make_ground
from hillwright.planting.kept import keep
from hillwright.planting.model import OPEN, WALKING, Asked, Wish
from hillwright.planting.onpath import best_plants
from hillwright.planting.optimise import optimise
from hillwright.planting.palette import shipped
from hillwright.planting.path import connected, tended
from hillwright.planting.program import joint_program, path_program
from hillwright.planting.rules import broken_rules
from hillwright.planting.solver import solve
from hillwright.planting.stage import only_trees, plant, quick, simple_bound
from hillwright.planting.worth import worth

SMALL = Asked(
    plants=("lettuce", "thyme", "yarrow"),
    wishes=(Wish("lettuce", share=0.5), Wish("thyme", count=8)),
    bloom=False,
    harvest=False,
)
HILL = surface()


def planted(asked, rows=6, columns=9, place=None, **more):
    place = place or site()
    found = plant(layout(rows, columns, **more), HILL, place, asked)
    ground = make_ground(layout(rows, columns, **more), HILL, place, asked)
    return found, ground


KINDS = st.sampled_from(["tree", "berry", "vegetable", "herb", "flower", "cover", "pollinator"])
WISHES = st.lists(
    st.one_of(
        st.builds(
            Wish, KINDS, share=st.floats(0.05, 0.6), near=st.sampled_from(["", "entry", "edge"])
        ),
        st.builds(Wish, KINDS, count=st.integers(0, 9), at_most=st.integers(9, 12)),
    ),
    max_size=4,
    unique_by=lambda w: w.plant,
)


@settings(max_examples=25)
@given(
    WISHES,
    st.integers(1, 3),
    st.sampled_from(["", "5a", "9b"]),
    st.sets(st.tuples(st.integers(0, 4), st.integers(0, 7)), max_size=6),
    st.booleans(),
)
def test_a_planting_keeps_every_rule_whatever_is_wished(wishes, zones, hardiness, out, shifted):
    assume(not list(contradictions(shipped(), wishes)))
    asked = Asked(
        wishes=tuple(wishes),
        zones_per_row=zones,
        hardiness=hardiness,
        open=((6, 1),),
        bare=((3, 2), (6, 5)),
        walk=((6, 3),),
        avoid=("mint", "potato"),
    )
    bond = "half-offset" if shifted else "stacked"
    found, ground = planted(asked, 6, 8, out=frozenset(out), bond=bond)
    assert broken_rules(found, ground.field, asked) == ()


def test_rules_that_are_broken_are_named():
    found, ground = planted(SMALL)
    field = ground.field
    use = found.use.copy()
    use[np.flatnonzero(use == WALKING)] = OPEN
    said = broken_rules(replace(found, use=use), field, SMALL)
    assert any("out of reach" in line for line in said)
    twice = replace(found, groups=(*found.groups, found.groups[0]))
    assert any("two plants" in line for line in broken_rules(twice, field, SMALL))
    dark = replace(found, season=np.zeros(field.count))
    assert any("not the sun" in line for line in broken_rules(dark, field, SMALL))
    asked = replace(SMALL, open=((1, 1),), bare=((1, 1),), pins=((1, 2, "sage"),), avoid=("thyme",))
    text = " ".join(broken_rules(found, field, asked))
    assert "to stay open" in text
    assert "R1-1 has no soil" in text
    assert "to hold sage" in text
    assert "to be avoided" in text
    cold = " ".join(broken_rules(found, field, replace(SMALL, hardiness="1a")))
    assert "thyme is not hardy in zone 1a" in cold


def brute_force(problem, walking):
    """Give the best worth on one path by trying every way to fill every cell."""
    places = problem.places
    free = tended(problem.field, walking) & ~walking & ~problem.must_open
    at = [[-1, *(k for k in range(len(places.plant)) if places.of(k)[0] == c)] if free[c] else [-1]
          for c in range(problem.field.count)]  # fmt: skip
    best = -np.inf
    for choice in itertools.product(*at):
        chosen = np.array([k for k in choice if k >= 0], int)
        kinds = problem.some.water[places.plant[chosen]]
        rows = problem.field.stretch[places.cells[places.at[chosen]]] if len(chosen) else []
        order = np.lexsort((places.cells[places.at[chosen]], rows)) if len(chosen) else []
        changes: dict[int, int] = {}
        for a, b in itertools.pairwise(order):
            if rows[a] == rows[b] and kinds[a] != kinds[b]:
                changes[int(rows[a])] = changes.get(int(rows[a]), 0) + 1
        if all(c <= problem.zones - 1 for c in changes.values()):
            best = max(best, worth(problem, walking, chosen))
    return best


@settings(max_examples=8)
@given(st.floats(0.1, 0.9), st.integers(0, 12), st.integers(1, 2), st.floats(0.0, 2.0))
def test_on_a_small_hill_the_solver_s_planting_is_the_best_there_is(share, count, zones, price):
    asked = replace(
        SMALL,
        wishes=(Wish("lettuce", share=share), Wish("thyme", count=count)),
        zones_per_row=zones,
        weights=replace(SMALL.weights, zone=price),
        reach=0.5,
    )
    ground = make_ground(layout(2, 4), HILL, site(), asked)
    problem = ground.pose().problem
    walking = np.zeros(8, bool)
    walking[5] = True
    found, bound = best_plants(problem, walking, None, 1)
    best = brute_force(problem, walking)
    assert worth(problem, walking, found) >= best - 0.004 * abs(best) - 1e-6
    assert worth(problem, walking, found) <= best + 1e-6
    assert bound >= best - 1e-6


@settings(max_examples=2)
@given(st.floats(0.2, 0.8), st.sampled_from([0.5, 0.762]), st.booleans(), st.floats(0.1, 1.5))
def test_bounds_hold_for_every_path_of_a_small_hill(share, reach, entry, walked):
    asked = replace(
        SMALL,
        reach=reach,
        wishes=(Wish("lettuce", share=share), Wish("thyme", count=8)),
        weights=replace(SMALL.weights, walking=walked),
    )
    place = site(entries=np.array([[0.3, -1.0]])) if entry else site()
    ground = make_ground(layout(2, 4), HILL, place, asked)
    problem = ground.pose().problem
    best = -np.inf
    for walking in paths_of(ground.field):
        best = max(best, best_on_path(problem, walking))
    walking, chosen = quick(problem)
    assert worth(problem, walking, chosen) <= best + 1e-6
    assert best <= joint_bound(problem, walking, 4) + 1e-5
    assert best <= simple_bound(problem) + 1e-6


def paths_of(field):
    """Give every connected path there is, the empty one too."""
    for bits in itertools.product([False, True], repeat=field.count):
        walking = np.array(bits)
        if connected(field, walking).sum() == walking.sum():
            yield walking


def best_on_path(problem, walking):
    """Give the best worth on a path, by the program that is held against brute force above."""
    program, at = path_program(problem, walking)
    found = solve(program, gap=0.0)
    picked = at.keep[found.x[: len(at.keep)] > 0.5] if found.x is not None else []
    return worth(problem, walking, np.array(picked, int))


def test_the_bound_holds_for_every_path_with_every_tree_in_its_own_shade():
    asked = replace(
        SMALL, plants=("currant", "lettuce", "yarrow"), reach=0.5,
        wishes=(Wish("currant", count=2), Wish("lettuce", share=0.5)),
    )  # fmt: skip
    ground = make_ground(layout(3, 4), HILL, site(), asked)
    posed = ground.pose()
    problem, places = posed.problem, posed.problem.places
    wide = np.flatnonzero(problem.some.canopy[places.plant])
    assert len(wide) == 6
    shady = {}
    for k in wide:
        sun = ground.shaded(problem, np.array([k]))
        assert (ground.growing_sun(sun) < ground.growing_sun(ground.sun) - 600).any()
        shady[int(k)] = only_trees(ground.pose(ground.growing_sun(sun)), posed, np.array([k]))
    best = -np.inf
    for walking in list(paths_of(ground.field))[::7]:
        for k, dark in shady.items():
            if (
                (walking[places.of(k)]).any()
                or not tended(ground.field, walking)[places.of(k)].all()
            ):
                continue
            best = max(best, best_on_path(dark.problem, walking))
    walking, _ = quick(problem)
    assert np.isfinite(best)
    assert best <= joint_bound(problem, walking, 6) + 1e-5


def test_a_dive_finds_a_whole_planting_close_under_a_bound_that_holds():
    few = ("lettuce", "chard", "currant", "thyme", "oregano")
    wishes = (Wish("vegetable", share=0.5), Wish("berry", count=2), Wish("herb", share=0.3))
    ground = make_ground(layout(5, 9), HILL, site(), Asked(plants=few, wishes=wishes))
    problem = ground.pose().problem
    walking, chosen = quick(problem)
    program, at = path_program(problem, walking, chosen)
    exact = solve(program, gap=0.005, nodes=100)
    found = dive(program, np.full(at.columns, 1.0), 0.0, 1)
    assert found.bound >= exact.value - 1e-6
    assert exact.value * 0.97 <= found.value <= exact.bound + 1e-6
    matrix, low, high = program.rows.matrix()
    held = matrix @ found.x
    assert (held >= low - 1e-6).all()
    assert (held <= high + 1e-6).all()
    settled = found.x[program.whole.astype(bool)]
    assert np.abs(settled - np.round(settled)).max() < 1e-6


def test_a_known_planting_is_a_solution_of_both_programs_and_worth_the_same():
    ground = make_ground(layout(6, 9), HILL, site(), Asked())
    problem = ground.pose().problem
    walking, chosen = quick(problem)
    value = worth(problem, walking, chosen)
    one, _ = path_program(problem, walking, chosen)
    two, _, _ = joint_program(problem, walking, chosen)
    for program, walked in ((one, problem.weights.walking * walking.sum()), (two, 0.0)):
        matrix, low, high = program.rows.matrix()
        held = matrix @ program.start
        assert (held >= low - 1e-6).all()
        assert (held <= high + 1e-6).all()
        assert program.cost @ program.start - walked == pytest.approx(value)


@pytest.fixture(scope="module")
def better():
    few = ("lettuce", "chard", "lemon-dwarf", "thyme", "oregano")
    wishes = (Wish("vegetable", share=0.5), Wish("tree", count=1), Wish("herb", share=0.3))
    asked = Asked(plants=few, wishes=wishes)
    hill, place = layout(6, 9), site()
    return asked, hill, place, optimise(hill, HILL, place, asked, moves=4000, rounds=3)


def test_the_optimised_planting_keeps_every_rule_and_is_proven(better):
    asked, hill, place, found = better
    ground = make_ground(hill, HILL, place, asked)
    assert broken_rules(found, ground.field, asked) == ()
    assert found.proof.optimised
    assert found.proof.worth <= found.proof.path_bound + 1e-6
    assert found.proof.path_gap <= 0.02
    assert found.proof.gap < 0.4
    quickly = plant(hill, HILL, place, asked)
    assert found.proof.worth >= quickly.proof.worth - 1e-6


def test_the_same_seed_gives_the_same_planting(better):
    asked, hill, place, found = better
    again = optimise(hill, HILL, place, asked, moves=4000, rounds=3)
    assert (again.plant == found.plant).all()
    assert (again.use == found.use).all()
    assert again.proof == found.proof


def test_what_was_kept_is_taken_as_it_is_and_started_from_when_a_wish_changes(better):
    asked, hill, place, found = better
    kept = replace(place, kept=keep(found, hill))
    same = plant(hill, HILL, kept, asked)
    assert (same.plant == found.plant).all()
    assert (same.use == found.use).all()
    assert not same.stale
    assert same.proof == found.proof
    other = replace(asked, pins=((1, 1, "sage"),))
    moved = plant(hill, HILL, kept, other)
    assert moved.stale
    assert any("another state" in w for w in moved.warnings)
    assert moved.plants[moved.plant[0]].id == "sage"
    ground = make_ground(hill, HILL, kept, other)
    assert broken_rules(moved, ground.field, other) == ()
    from_scratch = plant(hill, HILL, place, other)
    assert moved.proof.worth >= from_scratch.proof.worth - 1e-6
    once_more = optimise(hill, HILL, kept, other, moves=2000, rounds=1)
    assert once_more.proof.worth >= moved.proof.worth - 1e-6


@pytest.mark.parametrize(
    ("asked", "where", "said"),
    [
        (Asked(wishes=(Wish("tomatto", count=3),)), "wish[1].plant", "did you mean tomato"),
        (Asked(plants=("tree",)), "planting.plants[1]", "is not known"),
        (Asked(avoid=("mnit",)), "planting.avoid[1]", "did you mean mint"),
        (Asked(pins=((9, 1, "sage"),)), "pin[1].cell", "rows 1 to 6"),
        (Asked(pins=((2, 30, "sage"),)), "pin[1].cell", "R2-1 to R2-9"),
        (Asked(open=((3, 44),)), "planting.open[1]", "no cell R3-44"),
        (Asked(walk=((0, 1),)), "planting.walk[1]", "no cell R0-1"),
        (Asked(pins=((1, 9, "lemon-dwarf"),)), "pin[1]", "takes 2 by 2 cells"),
        (Asked(pins=((2, 3, "sage"),), bare=((2, 3),)), "pin[1].cell", "planted, and fill.empty"),
        (Asked(walk=((2, 3),), bare=((2, 3),)), "planting.walk[1]", "walked, and fill.empty"),
        (Asked(pins=((1, 1, "apple-dwarf"),), hardiness="10a"), "pin[1]", "hardy in zones 4 to 8"),
        (Asked(pins=((1, 1, "lemon-dwarf"), (1, 2, "sage"))), "pin[2]", "pin 1 takes too"),
        (Asked(wishes=(Wish("Sweet corn", count=3),)), "wish[1].plant", 'in the list is "corn"'),
        (
            Asked(wishes=(Wish("vegetable", share=0.8), Wish("herb", share=0.7))),
            "wish[2].share", "vegetable, herb add up to 150 % of the planted cells; make them 100",
        ),
        (
            Asked(wishes=(Wish("edible", share=0.1), Wish("tomato", share=0.6))),
            "wish[2]", "60 % tomato is more than the 10 % edible that holds it (wish 1)",
        ),
        (
            Asked(wishes=(Wish("lemon-dwarf", count=2), Wish("tree", count=0))),
            "wish[1]", "2 lemon-dwarf are more than the 0 tree that hold them (wish 2)",
        ),
        (
            Asked(wishes=(Wish("tree", at_most=3), Wish("lemon-dwarf", count=4))),
            "wish[2]", "are more than the 3 tree",
        ),
    ],
)  # fmt: skip
def test_what_is_asked_wrongly_is_told_where_and_what_is_right(asked, where, said):
    with pytest.raises(OutOfRange) as caught:
        planted(asked)
    assert where in str(caught.value)
    assert said in str(caught.value)


def test_everything_that_is_asked_wrongly_is_told_together():
    asked = Asked(
        wishes=(Wish("tomatto", count=3), Wish("lettuc", count=1)), pins=((50, 4, "sage"),)
    )
    with pytest.raises(OutOfRange) as caught:
        planted(asked)
    assert len(caught.value.problems) == 3


def test_more_plants_than_room_are_told_with_what_would_fit():
    asked = Asked(wishes=(Wish("lemon-dwarf", count=40, must=True), Wish("thyme", count=5000)))
    found, _ = planted(asked)
    by_name = {u.what: u for u in found.unmet}
    assert "40 wanted" in by_name["lemon-dwarf"].why
    assert "would fit" in by_name["lemon-dwarf"].why
    assert by_name["lemon-dwarf"].must
    assert "cells within reach" in by_name["thyme"].why


def test_a_plant_that_cannot_live_there_is_named_with_the_reason():
    asked = Asked(
        wishes=(Wish("apple-dwarf", count=1), Wish("avocado", count=1), Wish("pear", count=1)),
        hardiness="10b",
        rooting=0.5,
    )
    found, _ = planted(asked)
    why = {u.what: u.why for u in found.unmet}
    assert "hardy in zones 4 to 8, and this is zone 10b" in why["Apple or cherry, dwarf"]
    assert "pear" not in why  # told once, with its reason
    assert {u.plant for u in found.unmet} >= {"apple-dwarf", "pear"}


def test_too_little_sun_bars_a_plant_and_says_how_much_there_is():
    wall = Shade("wall", np.array([[-30.0, -0.5], [30.0, -0.5]]), 40.0, 0.0, 0.0, 0.0)
    found, _ = planted(Asked(wishes=(Wish("tomato", count=2),)), place=site(shades=(wall,)))
    why = {u.what: u.why for u in found.unmet}
    assert "wants 6 h of sun a day, and the sunniest cell has" in why["Tomato"]
    assert not any(found.plants[g.plant].id == "tomato" for g in found.groups)


def test_trees_take_clusters_and_their_shade_is_counted():
    asked = Asked(wishes=(Wish("lemon-dwarf", count=2, must=True), Wish("flower", share=0.3)))
    found, ground = planted(asked, 8, 12)
    trees = [g for g in found.groups if found.plants[g.plant].id == "lemon-dwarf"]
    assert len(trees) == 2
    assert all(len(g.cells) == 4 for g in trees)
    gap = np.hypot(*(trees[0].centre - trees[1].centre)[:2])
    assert gap >= found.plants[trees[0].plant].width - 1e-6
    bare = ground.growing_sun(ground.sun)
    assert (found.season <= bare + 1.0).all()
    assert found.season.sum() < bare.sum() - 3600


def test_a_tree_never_takes_the_sun_from_a_pinned_plant():
    for row in (4, 5, 6):
        asked = Asked(
            plants=("lemon-dwarf", "lavender", "thyme"),
            wishes=(Wish("lemon-dwarf", count=30, must=True),),
            pins=((row, 6, "lavender"),),
        )
        found, ground = planted(asked, 8, 12)
        assert broken_rules(found, ground.field, asked) == ()
        assert "lavender" in {found.plants[g.plant].id for g in found.groups}


def test_hydrozones_and_mixes_are_those_of_the_plants():
    found, _ = planted(Asked())
    for i, p in enumerate(found.plant):
        if p < 0:
            assert found.hydrozone[i] == found.mix[i] == -1
        else:
            assert found.mixes[found.mix[i]] == found.plants[p].mix
            factor = found.plants[p].factor
            assert found.hydrozone[i] == (0 if factor <= 0.35 else 1 if factor <= 0.65 else 2)
    assert found.sun.shape == found.energy.shape == (12, len(found.use))


def test_what_nobody_told_is_said():
    found, _ = planted(Asked(), place=site(latitude=None))
    text = " ".join(found.assumed)
    for word in ("latitude", "frost dates", "hardiness", "entry", "mixed garden"):
        assert word in text
    told = Asked(hardiness="7b", last_frost=100, first_frost=290, wishes=(Wish("herb", share=1.0),))
    found, _ = planted(told, place=site(entries=np.array([[1.0, -1.0]])))
    assert found.assumed == ()


def test_cells_that_nobody_can_walk_to_are_told():
    found, _ = planted(Asked(walk=((1, 1),), max_step=0.05))
    text = " ".join(found.warnings)
    assert "45 cells cannot be walked to" in text
    assert "Not walked, as planting.walk asks: R1-1" in text
    assert found.use[0] != WALKING


def test_a_hill_of_one_cell_is_walked_or_left_open():
    found, ground = planted(Asked(), 1, 1)
    assert found.planted == 0
    assert broken_rules(found, ground.field, Asked()) == ()
