"""A pipe part full: at half its depth it runs as fast as full, and carries half."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hillwright.errors import OutOfRange
from hillwright.runoff.channels import full_pipe
from hillwright.runoff.partfull import part_full


# closed form: half full, the hydraulic radius is D/4 as when full
def test_half_full_is_as_fast_as_full():
    full = full_pipe(0.1, 0.02, 0.3)
    found = part_full(float(full.flow) / 2, 0.1, 0.02, 0.3)
    assert found.depth == pytest.approx(0.05, rel=1e-6)
    assert found.velocity == pytest.approx(float(full.velocity), rel=1e-6)


# HEC-22 ch. 7, chart of part-full flow: at 0.2 of the depth 0.088 of the flow, 0.62 of the velocity
def test_shallow_water_is_as_the_chart_has_it():
    full = full_pipe(0.3, 0.012, 0.02)
    found = part_full(0.0876 * float(full.flow), 0.3, 0.012, 0.02)
    assert found.depth / 0.3 == pytest.approx(0.2, abs=0.002)
    assert found.velocity / float(full.velocity) == pytest.approx(0.615, abs=0.005)


@given(share=st.floats(0.001, 1.0), slope=st.floats(0.005, 1.5))
def test_it_carries_what_it_is_given(share, slope):
    q = share * float(full_pipe(0.2, 0.02, slope).flow)
    found = part_full(q, 0.2, 0.02, slope)
    t = 2 * math.acos(1 - 2 * found.depth / 0.2)
    assert found.velocity * (t - math.sin(t)) * 0.2**2 / 8 == pytest.approx(q, rel=1e-6)


def test_more_than_it_carries_is_refused():
    with pytest.raises(OutOfRange, match="larger pipe"):
        part_full(1.0, 0.1, 0.02, 0.1)
