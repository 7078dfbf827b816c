import numpy as np
import pytest
from hillside import laid, without
from hypothesis import given, settings
from hypothesis import strategies as st

from hillwright.errors import OutOfRange
from hillwright.runoff.cellstore import plan_area
from hillwright.runoff.fillspill import fill_and_spill
from hillwright.runoff.greenampt import implicit_step, time_to_ponding
from hillwright.runoff.rowsoil import SoilWater
from hillwright.runoff.rowstorm import storm_on_rows

LOAM = SoilWater(0.41, 3e-6, 0.11, 0.2, 0.25)
CLAY = SoilWater(0.39, 3e-7, 0.2, 0.3)
NO_SUCTION = SoilWater(0.5, 4e-6, 0.0, 0.0)
BURST = np.concatenate((np.full(30, 0.2e-3), np.full(20, 1.5e-3), np.full(40, 0.1e-3)))


def storm(grid, rain=BURST, *, soil=0.15, fill=LOAM, ground=CLAY, **more):
    return storm_on_rows(*grid, 0.2, soil, fill, ground, rain, 60.0, **more)


def test_one_cell_in_steady_rain_fills_and_spills_as_in_closed_form():
    # soil without suction drinks K at most, and is deep enough never to be full
    grid = laid(1, 1, slope=0.3)
    area = plan_area(grid[0])[0]
    rain = np.full(120, 0.6e-3)  # 36 mm/h for two hours
    found = storm(grid, rain, soil=0.19, fill=NO_SUCTION, ground=NO_SUCTION)
    exact = fill_and_spill(area, found.hold[0], 1e-5, 4e-6, 7200.0)
    assert 60 < exact.full_after < 7200
    assert found.rows.volume == pytest.approx(float(exact.spilled), rel=1e-9)
    assert found.standing == pytest.approx(float(exact.held), rel=1e-9)
    assert found.fill + found.ground == pytest.approx(float(exact.soaked), rel=1e-9)
    assert abs(found.first_time - exact.full_after) <= 60.0
    assert found.rows.peak == pytest.approx(float(exact.spill_rate), rel=1e-9)
    assert found.first_row == 1


def test_bare_ground_sheds_what_green_ampt_says():
    grid = laid(1, 1)
    area = plan_area(grid[0])[0]
    rate, hours = 2e-5, 3600.0
    found = storm(grid, np.full(60, rate * 60), longest_step=1.0)
    s = 0.2 * (0.39 - 0.3)
    ponds = time_to_ponding(3e-7, 0.2, 0.09, rate)
    args = (ponds.infiltrated, 3e-7, s, hours - ponds.time)
    taken = implicit_step(*(np.asarray(a, float) for a in args))
    assert found.bare.volume == pytest.approx(area * (rate * hours - float(taken)), rel=1e-4)
    assert found.bare_ground == pytest.approx(area * float(taken), rel=1e-3)


def test_two_cells_one_below_the_other_pass_the_spill_on_in_the_same_step():
    grid = laid(2, 1, slope=0.3, offset=False)
    none = SoilWater(0.0, 0.0, 0.0, 0.0)
    found = storm(grid, np.full(400, 0.5e-3), fill=none, ground=none)
    area = plan_area(grid[0])
    # once both are full, all the rain leaves at once
    leaves = found.rows.toe[-1] + found.rows.left[-1] + found.rows.right[-1]
    assert leaves == pytest.approx(area.sum() * 0.5e-3 / 60, rel=1e-9)
    assert found.standing == pytest.approx(found.hold.sum(), rel=1e-9)


def test_the_fill_drains_to_field_capacity_at_the_rate_of_the_ground():
    grid = laid(1, 1)
    slow = SoilWater(0.4, 1e-7, 0.0, 0.0)
    wet = np.concatenate((np.full(60, 2e-3), np.zeros(3000)))
    found = storm(grid, wet, ground=slow, frames=len(wet))
    soaked = found.soaked[:, 0].astype(float)
    area = plan_area(grid[0])[0]
    fell = (soaked[1000] - soaked[1600]) / area / 600 / 60
    assert fell == pytest.approx(1e-7, rel=1e-2)
    slope_area = area * np.hypot(1, 0.5)
    kept = 0.15 * (0.25 - 0.2) * slope_area
    long = storm(grid, np.concatenate((wet, np.zeros(10000))), ground=slow)
    assert long.fill == pytest.approx(kept, rel=1e-6)


@given(
    slope=st.floats(0.05, 1.2),
    cross=st.floats(-0.4, 0.4),
    wave=st.floats(0, 0.3),
    soil=st.floats(0, 0.2),
    # a billionth of a metre is the least rain: below it a share of the balance means nothing
    rain=st.lists(st.floats(0, 5e-3).map(lambda x: round(x, 9)), min_size=1, max_size=40),
    above=st.floats(0, 1e-3).map(lambda x: round(x, 9)),
    gone=st.sets(st.integers(1, 19), max_size=4),
    suction=st.floats(0, 0.3),
    conductivity=st.floats(0, 1e-4),
)
@settings(deadline=None, max_examples=60)
def test_no_drop_is_lost_or_made(
    slope, cross, wave, soil, rain, above, gone, suction, conductivity
):
    grid = without(*laid(4, 5, slope=slope, cross=cross, wave=wave), gone=list(gone))
    fill = SoilWater(0.4, conductivity, suction, 0.1, 0.2)
    rain = np.array(rain)
    found = storm(grid, rain, soil=soil, fill=fill, run_on=np.full(len(rain), above), hollows=1e-3)
    came = found.rain + found.run_on
    assert found.balance <= 1e-9
    assert found.rain == pytest.approx(rain.sum() * plan_area(grid[0]).sum(), rel=1e-12)
    went = found.rows.volume + found.fill + found.ground + found.standing
    assert went == pytest.approx(came, rel=1e-9, abs=1e-15)
    for way in (found.rows, found.bare):
        assert (way.toe >= 0).all()
        assert (way.left >= 0).all()
        assert way.volume <= came * (1 + 1e-9)
        assert way.volume == pytest.approx(60 * (way.toe + way.left + way.right).sum(), abs=1e-15)
    assert (found.held <= found.hold * (1 + 1e-6) + 1e-9).all()
    assert (found.held >= 0).all()


@given(more=st.floats(1, 3), wave=st.floats(0, 0.2))
@settings(deadline=None, max_examples=15)
def test_more_rain_sheds_no_less_and_spills_no_later(more, wave):
    grid = laid(4, 5, wave=wave)
    little, much = storm(grid), storm(grid, more * BURST)
    assert much.rows.volume >= little.rows.volume * (1 - 1e-12)
    assert much.bare.volume >= little.bare.volume * (1 - 1e-12)
    assert (much.first_spill <= little.first_spill).all()


def test_a_mirrored_hill_sheds_the_same_on_the_other_side():
    corners, row, clips = laid(4, 5, cross=0.1)
    here = storm((corners, row, clips))
    there = storm((corners[:, [1, 0, 3, 2]] * (-1, 1, 1), row, clips))
    np.testing.assert_allclose(there.rows.left, here.rows.right, atol=1e-15)
    np.testing.assert_allclose(there.rows.right, here.rows.left, atol=1e-15)
    assert here.rows.left.sum() > 0


def test_shorter_steps_change_little():
    grid = laid(6, 5, wave=0.1)
    minute, tenth = storm(grid), storm(grid, longest_step=6.0)
    assert minute.rows.volume == pytest.approx(tenth.rows.volume, rel=5e-3)
    assert minute.rows.peak == pytest.approx(tenth.rows.peak, rel=2e-2)


def test_the_rows_hold_back_what_the_bare_hill_sheds():
    found = storm(laid(8, 8))
    assert 0 < found.rows.volume < found.bare.volume
    assert found.rows.peak <= found.bare.peak


def test_the_first_row_to_spill_is_the_one_that_gets_water_from_above():
    grid = laid(6, 4)
    sandy = SoilWater(0.4, 1e-5, 0.05, 0.1)
    found = storm(grid, np.full(60, 0.1e-3), fill=sandy, run_on=np.full(60, 2e-4))
    assert found.first_row == 1
    first = [found.first_spill[grid[1] == r].min() for r in range(1, 7)]
    assert first == sorted(first)
    none = storm(grid, np.full(60, 0.1e-3), fill=sandy)
    assert (none.first_row, none.first_time) == (0, np.inf)
    assert none.rows.volume == 0.0


def test_a_storm_cut_into_steps_is_the_same_as_one_given_in_steps():
    grid = laid(3, 3)
    hours = storm_on_rows(*grid, 0.2, 0.15, LOAM, CLAY, [0.03, 0.01], 3600.0)
    minutes = storm(grid, np.repeat([0.03 / 60, 0.01 / 60], 60))
    np.testing.assert_allclose(hours.rows.toe, minutes.rows.toe, rtol=1e-9, atol=1e-18)


def test_frames_are_few_and_end_with_the_storm():
    found = storm(laid(3, 4), frames=10)
    assert found.held.shape == (10, 12)
    assert found.held.dtype == np.float32
    assert found.frame_time[-1] == found.time[-1] == 60.0 * len(BURST)
    assert found.held[-1].sum() == pytest.approx(found.standing, rel=1e-5)
    assert found.soaked[-1].sum() == pytest.approx(found.fill, rel=1e-5)
    assert not found.held.flags.writeable


@pytest.mark.parametrize(
    ("change", "what"),
    [
        ({"rain": np.array([-1e-3])}, "rain, value 1: is negative"),
        ({"rain": np.array([25.0])}, "never fell"),
        ({"soil": 0.3}, "soil stands above the walls"),
        ({"fill": LOAM._replace(moisture=0.5)}, "more water than the soil has room for"),
        ({"fill": LOAM._replace(suction=np.ones(3))}, "3 values for 6 cells"),
        ({"run_on": np.ones(3)}, "3 flows for 90 intervals"),
        ({"frames": 0}, "give 1 or more"),
        ({"longest_step": 0.0}, "longest_step"),
    ],
)
def test_a_storm_that_cannot_be_is_refused(change, what):
    with pytest.raises(OutOfRange, match=what):
        storm(laid(2, 3), **change)


# Green-Ampt in two layers of one soil is Green-Ampt in that soil: Chow, Maidment and Mays 1988, 4.3
@pytest.mark.parametrize("soil", [0.03, 0.1, 0.19])
def test_fill_of_the_ground_s_own_soil_is_just_deeper_ground(soil):
    loam = SoilWater(0.41, 3e-6, 0.11, 0.2, 0.2)
    grid = laid(1, 1, slope=0.2)
    area, hours = plan_area(grid[0])[0], 8 * 3600.0
    found = storm(grid, np.full(480, 3e-3), soil=soil, fill=loam, ground=loam, longest_step=10.0)
    s = 0.11 * 0.21
    exact = implicit_step(*(np.asarray(v, float) for v in (0.0, 3e-6, s, hours)))
    assert (found.fill + found.ground) / area == pytest.approx(float(exact), rel=0.01)
    assert found.bare_ground / area == pytest.approx(float(exact), rel=0.01)
