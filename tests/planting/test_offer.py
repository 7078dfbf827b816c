"""What a plan chooses from beyond what is wished for by name, and why others are left out."""

from dataclasses import replace

import numpy as np
import pytest
from plantedhill import layout, site, surface

from hillwright.errors import OutOfRange
from hillwright.planting.frame import make_ground
from hillwright.planting.model import Asked, Weights, Wish
from hillwright.planting.optimise import optimise
from hillwright.planting.palette import shipped, sun_range
from hillwright.planting.rules import broken_rules
from hillwright.planting.season import bloom_months
from hillwright.planting.stage import plant

HILL = surface()
MILD = Asked(hardiness="9a", last_frost=69, first_frost=329, rooting=1.2)
FERN = {
    "id": "fern", "common": "Fern (invented)", "kind": "cover", "life": "perennial",
    "sun": "part to full shade", "spacing_in": [18, 18], "height_in": [12, 18],
    "spread_in": [18, 18], "depth_in": 8, "plant_factor": 0.8, "uses": ["slope"],
    "status": "memory",
}  # fmt: skip


def planted(asked, rows=8, columns=10, place=None):
    given = (layout(rows, columns), HILL, place or site(entries=np.array([[0.3, -0.5]])), asked)
    return plant(*given), make_ground(*given)


def test_evergreens_whose_roots_bind_are_offered_for_the_edges_though_no_wish_brings_them():
    wishes = (Wish("vegetable", share=0.3), Wish("cover", share=0.3))
    found, ground = planted(
        replace(MILD, wishes=wishes, weights=Weights(edge=3.0)), rows=8, columns=10
    )
    binds = np.array(
        [p >= 0 and found.plants[p].evergreen and "slope" in found.plants[p].uses
         for p in found.plant]
    )  # fmt: skip
    edge, there = ground.field.edge, found.plant >= 0
    assert binds[edge & there].mean() > 1.5 * binds[~edge & there].mean()


def test_each_month_is_in_bloom_or_said_to_have_nothing_that_could_be():
    asked = replace(MILD, wishes=(Wish("vegetable", share=0.5), Wish("cover", share=0.3)))
    found, ground = planted(asked)
    told = " ".join(u.why for u in found.unmet if u.what == "bloom")
    names = ("January", "February", "March", "April", "May", "June", "July", "August",
             "September", "October", "November", "December")  # fmt: skip
    for month, name in enumerate(names, 1):
        assert found.bloom[month - 1] != (name in told)
    could = [p for p in found.plants if 2 in bloom_months(p, ground.season)]
    assert could  # the list has some for February, so they are offered


def test_what_wants_shade_is_offered_where_planned_trees_give_it_and_grows_nowhere_else():
    wishes = (Wish("lemon-dwarf", count=3, must=True), Wish("fern", count=6))
    place = site(entries=np.array([[0.3, -0.5]]), plants=(FERN,))
    asked = replace(MILD, wishes=wishes)
    found, ground = planted(asked, 12, 14, place)
    ferns = np.array([p >= 0 and found.plants[p].id == "fern" for p in found.plant])
    assert ferns.any()
    most = sun_range("part to full shade")[1]
    assert (found.season[ferns] <= most + 60).all()
    assert (ground.growing_sun(ground.sun)[ferns] > most).all()  # in the sun before the trees
    assert broken_rules(found, ground.field, asked) == ()
    covers = (Wish("cover", share=0.9),)
    unnamed, _ = planted(replace(MILD, wishes=(wishes[0], *covers)), 12, 14, place)
    assert "fern" in {p.id for p in unnamed.plants}
    bare, _ = planted(replace(MILD, plants=("fern", "thyme"), wishes=wishes[1:]), 5, 5, place)
    assert "fern" not in {p.id for p in bare.plants}
    assert "stands no more than 6 h" in next(u.why for u in bare.unmet if u.plant == "fern")


def test_the_bound_holds_for_what_grows_in_the_shade_of_trees():
    place = site(entries=np.array([[0.3, -0.5]]), plants=(FERN,))
    asked = Asked(plants=("lemon-dwarf", "fern"), wishes=(Wish("lemon-dwarf", count=2, must=True),))
    found = optimise(layout(7, 9), HILL, place, asked, moves=300, rounds=3)
    ferns = [g for g in found.groups if found.plants[g.plant].id == "fern"]
    assert ferns
    assert found.proof.bound >= found.proof.worth + 1e-6
    strict = make_ground(layout(7, 9), HILL, place, asked)
    loose, tight = strict.pose(shady=True).problem, strict.pose().problem
    assert len(loose.places.plant) > len(tight.places.plant)


def test_roots_have_the_depth_of_a_cell_that_is_filled_in_part():
    half = tuple((row, n, 0.5) for row in (2, 3) for n in range(1, 11))
    kinds = {"plants": ("tomato", "thyme"), "wishes": (Wish("tomato", share=0.8),)}
    rooting = (
        next(p for p in shipped() if p.id == "tomato").depth - 0.15
    )  # a cell of 0.2 m has enough in all, and half of it has not
    found, ground = planted(Asked(rooting=rooting, part=half, **kinds))
    grown = np.array([found.plants[p].id if p >= 0 else "" for p in found.plant])
    part = np.isin(ground.field.row, (2, 3))
    assert (grown[~part] == "tomato").any()
    assert not (grown[part] == "tomato").any()
    assert (grown[part] == "thyme").any()


def test_each_plant_to_choose_from_that_finds_no_place_has_its_reason():
    names = ("thyme", "apple-dwarf", "lettuce", "avocado", "tomato", "basil", "sage")
    found, _ = planted(Asked(plants=names, hardiness="10b", rooting=0.1), 4, 4)
    there = {found.plants[g.plant].id for g in found.groups}
    told = " ".join(f"{u.what} {u.plant} {u.why}" for u in found.unmet)
    common = {p.id: p.common for p in found.plants}
    for name in set(names) - there:
        assert name in told or common[name] in told


def test_each_pin_that_cannot_be_has_the_reason_of_its_own_plant():
    asked = Asked(
        wishes=(Wish("avocado", count=1),), pins=((1, 1, "apple-dwarf"),), hardiness="10b",
        rooting=0.1,
    )  # fmt: skip
    with pytest.raises(OutOfRange) as caught:
        planted(asked)
    assert "hardy in zones" in str(caught.value)
