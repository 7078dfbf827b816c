"""Ditches, linings, orifices and weirs: depth and flow invert, limits hold, refusals."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hillwright.errors import OutOfRange
from hillwright.runoff.channels import channel_flow, full_pipe, normal_flow, stone_shear
from hillwright.runoff.ditch import CAUTION, WIDTHS, cautions, linings, size_ditch
from hillwright.runoff.linings import (
    grass_velocity,
    lining_roughness,
    lining_shear,
    soil_velocity,
)
from hillwright.runoff.outlets import (
    broad_crest_coefficient,
    orifice_flow,
    orifice_rating,
    weir_flow,
    weir_length,
)

FLOW = st.floats(1e-4, 5)
GRADIENT = st.floats(0.002, 0.25)


@given(
    depth=st.floats(0.005, 5),
    width=st.floats(0.05, 5),
    side=st.floats(0, 5),
    n=st.floats(0.01, 0.2),
    gradient=st.floats(0.0005, 1),
)
def test_the_depth_of_a_flow_gives_that_flow_back(depth, width, side, n, gradient):
    flow = channel_flow(depth, width, side, n, gradient).flow
    assert normal_flow(flow, width, side, n, gradient).depth == pytest.approx(depth, rel=1e-9)


def test_a_wide_ditch_runs_as_a_sheet():
    # R -> d: q = d^(5/3) S^(1/2) / n for each metre of width
    flow = channel_flow(0.01, 1000.0, 0.0, 0.03, 0.01).flow / 1000
    assert flow == pytest.approx(0.01 ** (5 / 3) * 0.1 / 0.03, rel=1e-4)


def test_critical_flow_has_froude_one():
    # at Fr = 1 in a rectangle, q = sqrt(g d^3) for each metre
    width, d = 50.0, 0.2
    q = width * math.sqrt(9.80665 * d**3)
    v = q / (width * d)
    r = width * d / (width + 2 * d)
    n = r ** (2 / 3) * math.sqrt(0.01) / v
    assert normal_flow(q, width, 0.0, n, 0.01).froude == pytest.approx(1.0, rel=1e-6)


def test_many_ditches_at_once_are_as_one_by_one():
    flows, grades = np.array([0.01, 0.1, 1.0]), np.array([[0.01], [0.1]])
    got = normal_flow(flows, 0.3, 2.0, 0.03, grades).depth
    one = [[normal_flow(q, 0.3, 2.0, 0.03, s[0]).depth for q in flows] for s in grades]
    assert got == pytest.approx(np.array(one, float))


@given(flow=FLOW, gradient=GRADIENT)
def test_what_is_chosen_stands_its_water_and_carries_it(flow, gradient):
    try:
        ditch = size_ditch(flow, gradient)
    except OutOfRange:
        return
    assert ditch.velocity <= ditch.velocity_limit
    assert ditch.shear <= ditch.shear_limit
    assert ditch.bottom_width in WIDTHS
    assert ditch.freeboard >= 0.15
    lining = next(x for x in linings() if x.name == ditch.lining)
    carried = channel_flow(ditch.depth, ditch.bottom_width, 2.0, lining.n_high, gradient).flow
    assert carried == pytest.approx(flow, rel=1e-6)


@given(flow=st.tuples(FLOW, FLOW).map(sorted), gradient=st.floats(0.002, 0.10))
def test_more_water_never_takes_a_plainer_lining(flow, gradient):
    order = [x.name for x in linings()]
    try:
        less, more = (size_ditch(q, gradient).lining for q in flow)
    except OutOfRange:
        return
    assert order.index(less) <= order.index(more)


def test_a_gentle_crest_ditch_is_grass_and_a_steep_one_is_not():
    assert "grass" in size_ditch(0.02, 0.01).lining
    assert "grass" not in size_ditch(0.3, 0.10).lining
    assert size_ditch(0.02, 0.01, lining=["concrete"]).lining == "concrete"


def test_every_ditch_is_told_where_its_water_may_not_go():
    ditch = size_ditch(0.05, 0.2)
    said = cautions(ditch, 0.2)
    assert said[0] == CAUTION
    assert "energy dissipator" in CAUTION
    assert "neighbour's line" in CAUTION
    assert any("Froude" in s for s in said)
    assert any("silts up" in s for s in cautions(size_ditch(0.05, 0.003), 0.003))


def test_stone_twice_as_large_stands_twice_the_shear():
    small, large = stone_shear([0.15, 0.30])
    assert large == pytest.approx(2 * small)


def test_a_full_pipe_is_manning_with_a_quarter_of_its_diameter():
    assert full_pipe(0.4, 0.011, 0.01).velocity == pytest.approx(0.1 ** (2 / 3) * 0.1 / 0.011)


@given(flow=FLOW, head=st.floats(0.01, 2), cw=st.floats(0.3, 0.45))
def test_the_length_of_a_weir_gives_its_flow_back(flow, head, cw):
    assert weir_flow(weir_length(flow, head, cw), head, cw) == pytest.approx(flow)


def test_a_us_weir_coefficient_is_eight_times_the_plain_one():
    got = broad_crest_coefficient(0.3048, 0.3048)
    assert got.us == pytest.approx(8.02 * 0.37, rel=1e-3)


def test_a_dry_orifice_runs_nothing():
    assert orifice_rating([0.0, 0.05], 0.1).tolist() == [0.0, 0.0]
    assert orifice_flow(0.1, [0.0, 1.0]).each[0] == 0


def test_shallow_water_is_as_the_shallowest_of_the_table():
    assert soil_velocity("coarse gravel", 0.05) == pytest.approx(4.1 * 0.3048)


@pytest.mark.parametrize(
    ("call", "said"),
    [
        (lambda: channel_flow(0, 1, 2, 0.03, 0.01), "depth: is zero"),
        (lambda: channel_flow(0.1, 0, 0, 0.03, 0.01), "upright sides"),
        (lambda: channel_flow(0.1, 1, -1, 0.03, 0.01), "side_slope: -1 is not within"),
        (lambda: channel_flow(0.1, 1, 2, 3.0, 0.01), "Manning's n lies between"),
        (lambda: normal_flow(-1, 1, 2, 0.03, 0.01), "flow: is negative"),
        (lambda: normal_flow(1, 1, 2, 0.03, 0), "gradient: is zero"),
        (lambda: stone_shear(0.1, stone_weight=9000.0), "weight of stone less that of water"),
        (lambda: orifice_flow(0.1, -1), "head: is negative"),
        (lambda: weir_flow(1, 0.1, 3.2), "a US coefficient such as 3.2 is divided by 8.02"),
        (lambda: broad_crest_coefficient(0.03, 0.3), "the table goes from 0.2 to 2 ft"),
        (lambda: size_ditch(0, 0.01), "flow: is zero"),
        (lambda: size_ditch(0.1, 0.4), "steeper than the 25%"),
        (lambda: size_ditch(50.0, 0.05, lining=["riprap 6 in"]), "more than any of these"),
        (lambda: size_ditch(0.1, 0.01, lining=["concret"]), "did you mean concrete"),
        (lambda: size_ditch(0.1, 0.01, bottom_width=[]), "names no width"),
        (lambda: grass_velocity("grass mixtures", 0.12), "is not for a channel of 12 %"),
        (lambda: soil_velocity("coarse gravel", 4.0), "the table ends at 9.8 ft"),
        (lambda: lining_shear("gold"), "lining: 'gold' is not known"),
        (lambda: lining_roughness("riprap"), "did you mean grouted riprap"),
    ],
)
def test_each_wrong_input_has_a_message_of_its_own(call, said):
    with pytest.raises(OutOfRange) as caught:
        call()
    assert said in str(caught.value)
