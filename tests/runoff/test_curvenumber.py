"""Runoff by curve number: limits, invariants, tables, refusals."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hillwright.errors import OutOfRange
from hillwright.runoff.curvenumber import (
    composite_number,
    number_range,
    runoff_depth,
    tabled_number,
    weighted_number,
    weighted_runoff,
)

RAIN = st.floats(0, 1.0)
NUMBER = st.floats(30, 100)


@given(rain=RAIN, number=NUMBER, share=st.floats(0, 1))
def test_no_more_runs_off_than_falls_and_never_less_than_nothing(rain, number, share):
    assert 0 <= runoff_depth(rain, number, share).runoff <= rain * (1 + 1e-12)


@given(rain=st.tuples(RAIN, RAIN).map(sorted), number=st.tuples(NUMBER, NUMBER).map(sorted))
def test_more_rain_or_a_higher_number_never_makes_less_runoff(rain, number):
    little, much = runoff_depth(rain, number[0]).runoff, runoff_depth(rain, number[1]).runoff
    assert little[0] <= little[1] + 1e-15
    assert (little <= much + 1e-15).all()


@given(rain=RAIN)
def test_a_roof_of_number_100_sheds_every_drop(rain):
    assert runoff_depth(rain, 100).runoff == pytest.approx(rain)


def test_nothing_runs_off_until_the_abstraction_is_filled():
    of = runoff_depth(0.0254, 60)  # 1 in of rain on Ia = 1.333 in
    assert of.runoff == 0
    assert of.abstraction == pytest.approx(0.0254 * 4 / 3)


@given(
    areas=st.lists(st.floats(0.1, 100), min_size=2, max_size=5),
    numbers=st.lists(NUMBER, min_size=5, max_size=5),
    rain=RAIN,
)
def test_several_covers_shed_between_the_softest_and_the_hardest(areas, numbers, rain):
    numbers = np.array(numbers[: len(areas)])
    ends = [float(runoff_depth(rain, n).runoff) for n in (numbers.min(), numbers.max())]
    for got in (
        weighted_runoff(rain, areas, numbers).runoff,
        weighted_number(rain, areas, numbers).runoff,
    ):
        assert ends[0] - 1e-12 <= got <= ends[1] + 1e-12


# USDA NRCS 2004, NEH 630 ch. 10, Example 10-5: weighted CN gives nothing, weighted Q gives some
def test_a_small_storm_runs_off_the_harder_cover_alone():
    covers = ([0.9, 0.1], [50, 90])
    assert weighted_number(0.02, *covers).runoff == 0
    assert weighted_runoff(0.02, *covers).runoff > 0


def test_dry_and_wet_stand_on_either_side_of_every_number():
    numbers = np.linspace(30, 100, 141)
    ends = number_range(numbers)
    assert (ends.dry <= numbers).all()
    assert (ends.wet >= numbers).all()


def test_unconnected_paving_counts_half_when_all_of_it_drains_onto_grass():
    assert composite_number(60, 0.2, 1.0).curve_number == pytest.approx(60 + 0.2 * 38 / 2)


@pytest.mark.parametrize(
    ("call", "said"),
    [
        (lambda: runoff_depth(-0.1, 70), "rain: is negative"),
        (lambda: runoff_depth(150, 70), "never fell anywhere"),
        (lambda: runoff_depth(float("nan"), 70), "rain: is not a number"),
        (lambda: runoff_depth(0.1, 29), "29 is not within 30 to 100"),
        (lambda: runoff_depth(0.1, [70, 101]), "curve_number, value 2: 101 is not within"),
        (lambda: runoff_depth(0.1, 70, 1.2), "abstraction_share: 1.2 is not within 0 to 1"),
        (lambda: weighted_number(0.1, [1, -2], [60, 70]), "area, value 2: is negative"),
        (lambda: weighted_runoff(0.1, [1, 2, 3], [60, 70]), "3 areas stand beside 2"),
        (lambda: composite_number(60, 35), "impervious_share: 35 is not within 0 to 1"),
        (lambda: composite_number(60, 0.4, 0.5), "30 % or more"),
        (lambda: tabled_number("wods", "B", "fair"), "did you mean woods"),
        (lambda: tabled_number("woods", "E", "fair"), "group: 'E' is not known"),
        (lambda: tabled_number("woods", "B"), "condition: '' is not known"),
        (lambda: tabled_number("pinyon-juniper", "A", "good"), "no number for group A"),
    ],
)
def test_each_wrong_input_has_a_message_of_its_own(call, said):
    with pytest.raises(OutOfRange) as caught:
        call()
    assert said in str(caught.value)
