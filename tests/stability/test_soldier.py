"""Posts that retain soil: a printed example, balance by integration, refusals."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hillwright.errors import OutOfRange
from hillwright.stability.soldier import soldier_pile

FT, KIP = 0.3048, 4448.2216152605
PCF, PSF = KIP / 1000 / FT**3, KIP / 1000 / FT**2


# Caltrans, 2025, Trenching and Shoring Manual, Example 7-1B
def test_the_printed_posts():
    found = soldier_pile(
        15 * FT, 125 * PCF, 0.271, 3.69, 8 * FT, 2 * FT, 2.8, lateral_surcharge=72 * PSF
    )
    assert found.balance_depth / FT == pytest.approx(12.27, abs=5e-3)
    assert found.depth / FT == pytest.approx(14.73, abs=0.02)
    assert found.zero_shear / FT == pytest.approx(6.0, abs=5e-3)
    assert found.moment / KIP / FT == pytest.approx(379.7, abs=0.1)
    assert found.shear / KIP == pytest.approx(137.7, abs=0.1)


@given(
    height=st.floats(0.2, 3),
    spacing=st.floats(0.4, 2),
    width=st.floats(0.02, 0.3),
    surcharge=st.floats(0, 5e3),
)
def test_shear_and_moment_are_those_of_the_pressures_added_up(height, spacing, width, surcharge):
    ka, kp, g = 0.3, 3.3, 18e3
    found = soldier_pile(height, g, ka, kp, spacing, width, 1.0, surcharge)
    z = np.linspace(0, height + found.balance_depth, 20001)
    below = np.maximum(z - height, 0)
    push = np.where(
        z <= height,
        (ka * g * z + surcharge) * spacing,
        (ka * g * z - kp * g * below) * width,
    )
    step = z[1] - z[0]
    shear = np.concatenate([[0], np.cumsum((push[1:] + push[:-1]) / 2) * step])
    moment = np.concatenate([[0], np.cumsum((shear[1:] + shear[:-1]) / 2) * step])
    assert moment.max() == pytest.approx(found.moment, rel=2e-3)
    assert abs(moment[-1]) < 5e-3 * found.moment  # about the tip all is in balance
    assert np.abs(shear).max() == pytest.approx(found.shear, rel=5e-3)


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        ({"passive": 0.2}, "passive: is not above active"),
        ({"spacing": 0.05}, "set the posts apart"),
        ({"arching": 0.5}, "arching: is below 1"),
        ({"arching": 30.0}, "than there is between posts"),
        ({"depth_factor": 0.9}, "depth_factor: is below 1"),
        ({"retained_height": -1.0}, "retained_height: is negative"),
    ],
)
def test_each_wrong_input_has_its_own_message(wrong, says):
    right = {
        "retained_height": 0.6,
        "unit_weight": 18e3,
        "active": 0.3,
        "passive": 3.3,
        "spacing": 0.6,
        "width": 0.1,
    }
    with pytest.raises(OutOfRange, match=says):
        soldier_pile(**(right | wrong))
