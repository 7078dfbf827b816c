"""Mixes by their phases, volumes by their packs, and every wrong mix with its own words."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hillwright.errors import OutOfRange
from hillwright.fill.components import blended, component, components, recipes
from hillwright.fill.mixes import blend, particle_density, pores
from hillwright.fill.quantities import bank_volume, loose_and_ordered, truck_loads, whole_packs
from hillwright.fill.weights import cell_mass

SAND = (1500.0, 0.04, 0.05, 2650.0)
COMPOST = (326.0, 0.82, 0.25, 1956.0)
PCF = 16.018463


def test_a_mix_of_one_part_is_that_part():
    d, w, s, solids = SAND
    found = blend([1.0], [d], [w], [s], [solids])
    assert found.loose_dry == pytest.approx(d)
    assert found.loose_moist == pytest.approx(d * 1.04)
    assert found.settled_dry == pytest.approx(d / 0.95)
    assert found.porosity == pytest.approx(1 - d / 0.95 / solids)
    assert found.saturated == pytest.approx(d / 0.95 + 1000 * (1 - d / 0.95 / solids))


@given(x=st.floats(0, 1), loss=st.floats(0, 0.2))
def test_no_mass_is_lost_in_blending_or_settling(x, loss):
    columns = list(zip(SAND, COMPOST, strict=True))
    found = blend([x, 1 - x], *columns, loss)
    dry = x * SAND[0] + (1 - x) * COMPOST[0]
    assert found.loose_dry * (1 - loss) == pytest.approx(dry)
    assert found.settled_dry * (1 - found.settlement) == pytest.approx(found.loose_dry)
    assert found.settled_dry <= found.settled_moist <= found.saturated


def test_soil_that_settles_wet_holds_no_more_than_its_pores():
    found = blend([1.0], [200.0], [4.0], [0.5], [1550.0])
    assert found.settled_moist == pytest.approx(found.saturated)


def test_the_mix_of_the_table_weighs_what_such_soil_is_said_to_weigh():
    # topsoil with 30 percent compost: 1.1 g/cm3 settled, porosity 0.57, 104 lb/ft3 soaked (typical
    # weights by texture and horticultural practice, from memory: data/soils.toml)
    r = recipes()["planting mix"]
    b = blended(r.parts, r.mixing_loss)
    assert float(b.settled_dry) == pytest.approx(1100, rel=0.03)
    assert float(b.porosity) == pytest.approx(0.57, abs=0.03)
    assert float(b.saturated) / PCF == pytest.approx(104, rel=0.02)


def test_every_recipe_of_the_table_is_a_whole_and_lighter_than_water_logged_ground():
    for r in recipes().values():
        b = blended(r.parts, r.mixing_loss)
        assert 0 < b.loose_dry < b.loose_moist < 2000
        assert 900 < b.saturated < 2100
    assert math.isclose(sum(s for _, s in r.parts), 1)


def test_compost_of_the_table_weighs_what_suppliers_say():
    # 900 to 1,200 lb a cubic yard at 35 to 55 % moisture of the wet mass (seen; see the table)
    moist = components()["compost"].moist * 0.764554858 / 0.45359237
    assert 900 <= moist <= 1200


def test_solids_lie_between_organic_and_mineral():
    assert particle_density([0.0, 1.0]) == pytest.approx([2650, 1550])
    assert particle_density(0.5) == pytest.approx(1955.95, abs=0.01)


@pytest.mark.parametrize(
    ("call", "said"),
    [
        (lambda: blend([0.6, 0.3], 1000, 0.1, 0.1, 2600), "the parts sum to 90 %, not to 100 %"),
        (lambda: blend([0.6, 0.6], 1000, 0.1, 0.1, 2600), "the parts sum to 120 %, not to 100 %"),
        (lambda: blend([1.2, -0.2], 1000, 0.1, 0.1, 2600), "shares, value 2: is negative"),
        (lambda: blend([0.5, 0.5], [1e3] * 3, 0.1, 0.1, 2600), "dry: has 3 values beside 2 parts"),
        (lambda: blend([1.0], 1000, 0.1, 1.0, 2600), "settlement: leaves nothing over"),
        (lambda: blend([1.0], 0.0, 0.1, 0.1, 2600), "dry: is zero"),
        (lambda: blend([1.0], 2500, 0.1, 0.2, 2600), "the solids do not fit"),
        (lambda: component("compst"), "did you mean compost"),
        (lambda: pores(3000, 2650), "is denser than its solids"),
        (lambda: whole_packs(1.0, 0.0), "pack: is zero"),
        (lambda: loose_and_ordered(1.0, 1.2), "settlement: leaves nothing over"),
        (lambda: loose_and_ordered(-1.0, 0.2), "settled: is negative"),
        (lambda: truck_loads(1.0, 1000, 7.6, -1.0), "payload: is negative"),
        (lambda: cell_mass(0.1, (1500, 1300, 1600)), "soil_density: lighter wet than dry"),
        (lambda: cell_mass(math.nan, (1, 2, 3)), "soil: is not a number"),
    ],
)
def test_what_cannot_be_a_mix_or_a_pack_is_refused_in_words(call, said):
    with pytest.raises(OutOfRange, match=said):
        call()


@given(packs=st.integers(0, 10_000), pack=st.floats(0.01, 10))
def test_a_need_of_whole_packs_never_rounds_up_to_one_more(packs, pack):
    assert whole_packs(packs * pack, pack) == packs


@given(st.floats(0, 1e4), st.floats(0.01, 50), st.floats(0, 0.5))
def test_packs_hold_the_need_and_one_less_would_not(need, pack, waste):
    n = int(whole_packs(need, pack, waste))
    wanted = need * (1 + waste)
    assert n * pack >= wanted * (1 - 1e-8) - 1e-8 * pack
    assert n == 0 or (n - 1) * pack < wanted


@given(st.floats(0, 50), st.floats(0, 0.6), st.floats(0, 0.3))
def test_loose_soil_settles_back_to_its_place(settled, settlement, waste):
    found = loose_and_ordered(settled, settlement, waste)
    assert found.loose * (1 - settlement) == pytest.approx(settled)
    assert found.ordered >= found.loose >= settled - 1e-12


def test_a_truck_of_wet_soil_is_full_by_weight_and_one_of_bark_by_volume():
    # 10 yd3 at 1.3 short tons is 13 tons: more than a 9 t payload
    wet = truck_loads(7.65, 1540, 7.65, 9000)
    bark = truck_loads(7.65, 400, 7.65, 9000)
    assert (int(wet.loads), str(wet.by)) == (2, "weight")
    assert (int(bark.loads), str(bark.by)) == (1, "volume")


def test_ground_swells_when_it_is_dug():
    assert bank_volume(1.25, 0.25) == pytest.approx(1.0)


def test_a_cell_weighs_its_box_its_soil_and_its_mulch():
    found = cell_mass([0.03, 0.0], (1100, 1300, 1670), [0.01, 0.0], (235, 350, 1080), 5.5)
    assert found.saturated == pytest.approx([5.5 + 50.1 + 10.8, 5.5])
    assert found.dry == pytest.approx([5.5 + 33 + 2.35, 5.5])
    assert np.all(found.moist >= found.dry)
