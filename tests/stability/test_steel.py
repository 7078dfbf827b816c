"""Steel: rust over the years, and what the rest carries."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hillwright.errors import OutOfRange
from hillwright.stability.steel import YEAR, bar_strength, round_bar, steel_loss

UM = 1e-6


# FHWA GEC 11, Table 3-8 and Example E4: 86 um of zinc last 16 years; 59 years at 12 um
def test_the_printed_bar():
    found = steel_loss(86 * UM, 75 * YEAR)
    assert found.zinc_life / YEAR == pytest.approx(16)
    assert found.loss / UM == pytest.approx(708)


@given(zinc=st.tuples(st.floats(0, 2e-4), st.floats(0, 2e-4)).map(sorted), life=st.floats(0, 100))
def test_more_zinc_never_costs_more_steel(zinc, life):
    thin, thick = steel_loss(zinc, life * YEAR).loss
    assert thick <= thin


def test_a_bare_bar_rusts_from_the_first_day_and_thin_zinc_at_the_first_rate():
    assert steel_loss(0, 10 * YEAR).loss / UM == pytest.approx(120)
    assert steel_loss(15 * UM, 10 * YEAR).zinc_life / YEAR == pytest.approx(1)


def test_steel_is_not_lost_while_zinc_is_left():
    assert steel_loss(86 * UM, 16 * YEAR).loss == pytest.approx(0, abs=1e-15)


def test_the_plastic_moment_of_a_no_4_bar():
    # stability notes: No. 4 grade 60 about 0.14 kN m
    assert bar_strength(0.0127, 413.7e6).moment == pytest.approx(141.2, abs=0.5)


@given(loss=st.floats(0, 0.003))
def test_rust_takes_area_by_the_square_and_bending_by_the_cube(loss):
    new, old = bar_strength(0.0159, 414e6), bar_strength(0.0159, 414e6, loss)
    left = old.diameter / new.diameter
    assert old.tension == pytest.approx(new.tension * left**2)
    assert old.moment == pytest.approx(new.moment * left**3)
    assert old.shear == pytest.approx(old.tension / np.sqrt(3))


def test_a_bar_that_has_rusted_away_carries_nothing():
    assert bar_strength(0.01, 414e6, 0.006) == (0, 0, 0, 0, 0)


def test_measures_of_a_round_bar():
    found = round_bar(0.02)
    assert found.area == pytest.approx(np.pi * 1e-4)
    assert found.mass == pytest.approx(2.466, abs=1e-3)  # 20 mm bar, 2.47 kg/m by every table


@pytest.mark.parametrize(
    ("call", "says"),
    [
        (lambda: steel_loss(-1e-6, YEAR), "zinc: is negative"),
        (lambda: steel_loss(0, -YEAR), "life: is negative"),
        (lambda: bar_strength(0.0127, 60.0), "is no steel's"),
        (lambda: bar_strength(0.0, 414e6), "diameter: is zero"),
    ],
)
def test_each_wrong_input_has_its_own_message(call, says):
    with pytest.raises(OutOfRange, match=says):
        call()
