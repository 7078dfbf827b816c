import pytest
from hypothesis import given
from hypothesis import strategies as st

from hillwright.errors import OutOfRange
from hillwright.runoff.fillspill import fill_and_spill


def test_a_vessel_fills_and_then_spills_what_it_gains():
    # 0.25 m2 gains 24 mm/h, 6 L/h; 1 L of room: full in 10 minutes, 5 L spilled in the hour
    found = fill_and_spill(0.25, 1e-3, 0.036 / 3600, 0.012 / 3600, 3600.0)
    assert found.full_after == pytest.approx(600)
    assert found.spilled == pytest.approx(5e-3)
    assert (found.held, found.soaked) == pytest.approx((1e-3, 3e-3))


@given(
    rain=st.floats(0, 1e-4), loss=st.floats(0, 1e-4), hold=st.floats(0, 0.1), t=st.floats(0, 1e5)
)
def test_no_water_is_lost_or_made(rain, loss, hold, t):
    found = fill_and_spill(0.3, hold, rain, loss, t, 1e-6)
    came = (0.3 * rain + 1e-6) * t
    assert found.spilled + found.held + found.soaked == pytest.approx(came, rel=1e-9, abs=1e-15)
    assert -1e-12 <= found.soaked <= 0.3 * loss * t * (1 + 1e-9) + 1e-12
    assert 0 <= found.spilled <= came * (1 + 1e-12)


def test_a_vessel_without_area_is_refused():
    with pytest.raises(OutOfRange, match="area"):
        fill_and_spill(0.0, 1e-3, 1e-5, 0.0, 60.0)
