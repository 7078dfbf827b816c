"""What a planting says, as the watering takes it."""

from types import SimpleNamespace

import numpy as np
import pytest
from slopegarden import ASKED, garden

from hillwright.watering.join import planted_everywhere, planted_from, without
from hillwright.watering.stage import water


def plant(name, factor, *, life="perennial", uses=(), width=0.5, depth=0.2, spacing=0.3):
    return SimpleNamespace(
        id=name, common=name.title(), factor=factor, annual=life == "annual", life=life,
        uses=uses, width=width, spacing=(spacing, spacing + 0.1), depth=depth,
    )  # fmt: skip


def planting():
    """Give six cells: a tree over two, tomatoes in two, thyme in one, a step in one."""
    plants = (
        plant("olive", 0.5, life="tree", width=3.0, spacing=3.0),
        plant("tomato", 1.0, life="annual", uses=("edible",)),
        plant("thyme", 0.3, width=0.3),
    )
    return SimpleNamespace(
        plants=plants,
        plant=np.array([0, 0, 1, 1, 2, -1]),
        hydrozone=np.array([1, 1, 2, 2, 0, -1]),
        hydrozones=("low", "moderate", "high"),
        groups=(
            SimpleNamespace(plant=0, cells=np.array([0, 1]), plants=1),
            SimpleNamespace(plant=1, cells=np.array([2, 3]), plants=2),
            SimpleNamespace(plant=2, cells=np.array([4]), plants=4),
        ),
        windows=((1, 365), (100, 140), (1, 365)),
        bloom_months=((), (), (6, 7)),
        harvest_months=((), (7, 8, 9), ()),
    )


AREA = np.full(6, 0.27)


def test_a_tree_drinks_for_all_the_ground_that_it_shades():
    found = planted_from(planting(), AREA)
    assert found.canopy[:2].sum() == pytest.approx(np.pi / 4 * 9)


def test_small_plants_drink_for_no_more_than_their_cells():
    found = planted_from(planting(), AREA)
    assert found.canopy[2:4].sum() <= AREA[2:4].sum() + 1e-12
    assert found.canopy[4] <= AREA[4]


def test_a_crop_follows_its_curve_and_is_off_in_winter():
    factor = planted_from(planting(), AREA).factor[1]
    assert factor[0] == factor[11] == 0
    assert factor.max() == pytest.approx(1.15, abs=0.05)  # FAO-56 table 12: tomato, Kc mid
    assert 4 <= int(np.argmax(factor)) <= 8


def test_what_lives_for_years_has_one_factor_all_year():
    assert planted_from(planting(), AREA).factor[0] == pytest.approx(np.full(12, 0.5))


def test_steps_are_not_watered_and_edibles_are_special_area():
    found = planted_from(planting(), AREA)
    assert found.kind[5] == found.zone[5] == -1
    assert list(found.edible) == [False, True, False]


def test_each_hydrozone_has_its_own_valve_and_budget_row():
    found = water(garden(6), ASKED, None, planting())
    assert len(found.valves.names) == 3
    assert found.demand.daily[5].sum() == 0
    assert found.demand.peak[5] == 0
    assert any("edible" in name for name in found.worksheet_zone)
    edible = found.worksheet_special
    assert found.worksheet_etaf[edible] == pytest.approx(1.0)
    assert found.tuned


def test_a_crop_s_valve_is_off_while_nothing_grows():
    found = water(garden(6), ASKED, None, planting())
    crop = next(v for v, name in enumerate(found.valves.names) if "high" in name)
    assert found.program.minutes[crop, 0] == 0
    assert found.program.minutes[crop, 6] > 0


def test_a_cell_without_soil_is_not_watered():
    found = without(planted_everywhere(AREA), np.array([True] + [False] * 5))
    assert found.kind[0] == -1
    assert found.kind[1] == 0


def big():
    """Give twelve cells: five of tomato, five of thyme made thirsty, two of olive."""
    plants = (
        plant("olive", 0.5, life="tree", width=3.0, spacing=3.0),
        plant("tomato", 1.0, life="annual", uses=("edible",)),
        plant("mint", 0.8, width=0.4),
    )
    which = np.array([1] * 5 + [2] * 5 + [0] * 2)
    return SimpleNamespace(
        plants=plants, plant=which, hydrozone=np.array([1] * 10 + [0] * 2),
        hydrozones=("low", "high"),
        groups=tuple(
            SimpleNamespace(plant=p, cells=np.array([i]), plants=1)
            for i, p in enumerate(which.tolist())
        ),
        windows=((1, 365), (100, 140), (1, 365)), bloom_months=((), (), ()),
        harvest_months=((), (7, 8, 9), ()),
    )  # fmt: skip


def test_crops_have_a_valve_of_their_own_beside_what_stays():
    found = planted_from(big(), np.full(12, 0.27))
    assert found.zones == ("low", "high", "high, crops")
    assert list(found.zone) == [2] * 5 + [1] * 5 + [0] * 2


def test_an_annual_that_no_table_knows_is_not_watered_in_winter():
    pot = plant("zinnia", 0.8, life="annual")
    own = SimpleNamespace(
        plants=(pot,), plant=np.array([0]), hydrozone=np.array([0]), hydrozones=("high",),
        groups=(SimpleNamespace(plant=0, cells=np.array([0]), plants=2),), windows=((100, 130),),
        bloom_months=((6, 7, 8, 9),), harvest_months=((),),
    )  # fmt: skip
    factor = planted_from(own, np.array([0.27])).factor[0]
    assert factor[[0, 1, 10, 11]] == pytest.approx(0)
    assert factor[5:9] == pytest.approx(0.8, abs=0.05)


def test_new_plants_come_small_and_their_ball_is_no_wider_than_half_their_spacing():
    found = planted_from(planting(), AREA)
    tree, _, thyme = found.ball
    assert tree == pytest.approx(0.025)
    assert 0.0005 < thyme < 0.003
    assert found.young_canopy[:2].sum() == pytest.approx(np.pi / 4 * 0.6**2)
    # an annual is young anew each year, and its own curve says so
    assert found.young_canopy[2:4] == pytest.approx(found.canopy[2:4])


def test_crops_of_a_new_garden_are_not_starved():
    found = water(garden(12), ASKED, None, big())
    v = next(k for k, name in enumerate(found.valves.names) if "crops" in name)
    assert found.first_share[v, 6] == pytest.approx(1)
    assert found.first_minutes[v, 6] == found.program.minutes[v, 6]
    # a tree has a small part of its grown canopy, and is not given all of the grown one's water
    tree = next(k for k, name in enumerate(found.valves.names) if "low" in name)
    assert 0.02 < found.first_share[tree, 6] < 0.3
    last = [s for s in found.establishment if "crops" in s.valve][-1]
    grown = found.program.minutes[v, 6] * found.program.starts[v, 6]
    assert last.minutes >= 0.5 * grown
