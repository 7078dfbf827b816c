"""What slides: the net force of layers and of cells."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hillwright.errors import OutOfRange
from hillwright.stability.sliding import GRAVITY, cell_pull, net_sliding_force, steepest_slope

SLOPE = st.floats(1, 60).map(np.radians)
FRICTION = st.floats(0, 45).map(np.radians)
SHARE = st.floats(0, 1)


@given(slope=SLOPE, friction=FRICTION, length=st.floats(0.1, 50))
def test_without_a_factor_a_dry_layer_needs_no_anchor_just_at_its_friction_angle(
    slope, friction, length
):
    force = net_sliding_force(18e3, 0.3, slope, friction, length).force
    weight = 18e3 * 0.3 * length
    # T = W sin(b - d)/cos(d)
    assert force == pytest.approx(
        weight * np.sin(slope - friction) / np.cos(friction), abs=1e-9 * weight
    )


@given(slope=SLOPE, friction=FRICTION, water=st.tuples(SHARE, SHARE).map(sorted))
def test_more_water_never_lowers_the_pull(slope, friction, water):
    low, high = (
        net_sliding_force(20e3, 0.3, slope, friction, 12.0, water_height=0.3 * w).force
        for w in water
    )
    assert high >= low - 1e-9


@given(slopes=st.tuples(SLOPE, SLOPE).map(sorted), friction=FRICTION, water=SHARE)
def test_steeper_ground_never_lowers_the_pull(slopes, friction, water):
    low, high = (
        net_sliding_force(20e3, 0.3, b, friction, 12.0, water_height=0.3 * water).force
        for b in slopes
    )
    assert high >= low - 1e-9


@given(slope=SLOPE, friction=FRICTION, adhesion=st.floats(0, 5e3))
def test_adhesion_takes_its_whole_off_the_pull(slope, friction, adhesion):
    bare = net_sliding_force(18e3, 0.3, slope, friction, 12.0).force
    held = net_sliding_force(18e3, 0.3, slope, friction, 12.0, adhesion).force
    assert bare - held == pytest.approx(12 * adhesion, abs=1e-6)


def test_a_light_mix_that_floats_has_no_friction_and_never_a_negative_one():
    # pumice, 47 pcf saturated, is lighter than water
    found = net_sliding_force(7383.0, 0.2, np.radians(30), np.radians(35), 5.0, water_height=0.2)
    assert found.resisting == 0
    assert found.force == pytest.approx(7383 * 0.2 * 5 * 0.5)


@given(slope=SLOPE, friction=FRICTION, water=SHARE, factor=st.floats(1, 2))
def test_a_cell_is_a_piece_of_the_layer(slope, friction, water, factor):
    layer = net_sliding_force(
        20e3, 0.2, slope, friction, 0.45, water_height=0.2 * water, factor=factor
    )
    cell = cell_pull(slope, 0.6, 0.45, 0.2, 20e3, friction, water_height=0.2 * water, factor=factor)
    assert cell.per_metre == pytest.approx(np.maximum(layer.force, 0), abs=1e-9)
    assert cell.net == pytest.approx(0.6 * cell.per_metre)


def test_an_empty_cell_pulls_with_its_own_mass():
    found = cell_pull(np.radians(30), 0.6, 0.45, 0.0, 18e3, 0.0, cell_mass=5.5)
    assert found.net == pytest.approx(5.5 * GRAVITY * 0.5)


def test_a_cell_that_lies_still_holds_no_other():
    assert cell_pull(np.radians(10), 0.6, 0.45, 0.2, 18e3, np.radians(30)).net == 0


def test_500_cells_at_once():
    slope = np.radians(np.linspace(20, 45, 500))
    found = cell_pull(slope, 0.6, 0.45, 0.2, 20e3, np.radians(28), 5.5, water_height=0.2)
    assert found.net.shape == (500,)
    assert (np.diff(found.net) > 0).all()


def test_the_steepest_slope_of_a_plane():
    # z = 3/4 x + 1 y falls 5/4 at the steepest
    assert np.tan(steepest_slope(np.arctan(1.0), -np.arctan(0.75))) == pytest.approx(1.25)


def test_an_upright_base_has_no_slope():
    with pytest.raises(OutOfRange, match="across: is not an angle of ground"):
        steepest_slope(0.5, -np.pi / 2)


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        ({"unit_weight": -1.0}, "unit_weight: is negative"),
        ({"water_height": 0.31}, "water_height: stands above the ground"),
        ({"interface_friction": 0.9}, "interface_friction: is over 50 deg"),
        ({"factor": 0.5}, "factor: is below 1"),
        ({"length": 0.0}, "length: is zero"),
        ({"surcharge": -1.0}, "surcharge: is negative"),
        ({"slope": [0.5, 2.0]}, "slope, value 2: is not an angle of ground"),
        ({"slope": [0.5, 0.6], "thickness": [0.1, 0.2, 0.3]}, "do not go together"),
    ],
)
def test_each_wrong_input_has_its_own_message(wrong, says):
    right = {
        "unit_weight": 18e3,
        "thickness": 0.3,
        "slope": 0.5,
        "interface_friction": 0.5,
        "length": 12.0,
    }
    with pytest.raises(OutOfRange, match=says):
        net_sliding_force(**(right | wrong))
