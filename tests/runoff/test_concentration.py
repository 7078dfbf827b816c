"""Times of concentration and peaks: sums, scaling, refusals."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hillwright.errors import OutOfRange
from hillwright.runoff.concentration import sheet_time, travel_times
from hillwright.runoff.peak import (
    detention_storage,
    graphical_peak,
    pond_factor,
    unit_hydrograph_peak,
)
from hillwright.runoff.rational import (
    rational_peak,
    rational_peak_us,
    runoff_coefficient,
    storage_difference,
    triangle_runoff,
)
from hillwright.runoff.timeformulas import kerby_kirpich, lag_time, overland_time
from hillwright.runoff.watersurfaces import (
    kerby_retardance,
    shallow_coefficient,
    sheet_roughness,
)


@given(pieces=st.lists(st.tuples(st.floats(1, 100), st.floats(0.01, 1)), min_size=1, max_size=6))
def test_a_path_cut_in_two_takes_as_long(pieces):
    length, gradient = np.array(pieces).T
    whole = travel_times(
        shallow_coefficient=np.full(len(length), 4.9),
        shallow_length=length,
        shallow_gradient=gradient,
    ).time
    halves = travel_times(
        shallow_coefficient=np.full(2 * len(length), 4.9),
        shallow_length=np.repeat(length / 2, 2),
        shallow_gradient=np.repeat(gradient, 2),
    ).time
    assert halves == pytest.approx(whole)


@given(gradient=st.tuples(st.floats(0.001, 2), st.floats(0.001, 2)).map(sorted))
def test_steeper_ground_is_never_slower(gradient):
    time = sheet_time(0.24, 30.0, gradient, 0.09)
    assert time[1] <= time[0]


def test_a_hillside_below_the_floor_of_the_curves_is_taken_at_it_and_says_so():
    short = graphical_peak(1000.0, 80, 60.0, 0.1, "II")
    floor = graphical_peak(1000.0, 80, 360.0, 0.1, "II")
    assert short.time_used == 360.0
    assert short.peak == floor.peak


@given(
    rain=st.floats(0.03, 0.4),
    number=st.floats(45, 98),
    hours=st.floats(0.1, 10),
    shape=st.sampled_from(["I", "IA", "II", "III"]),
)
def test_a_peak_is_never_more_than_all_runoff_in_one_time_of_concentration(
    rain, number, hours, shape
):
    got = graphical_peak(1e4, number, hours * 3600, rain, shape)
    assert 0 <= got.peak <= got.runoff * 1e4 / (hours * 3600) * 2


@given(area=st.floats(1, 1e6), factor=st.floats(1, 10))
def test_peaks_grow_with_the_area_alone(area, factor):
    one, more = (graphical_peak(a, 75, 3600, 0.15, "II").peak for a in (area, area * factor))
    assert more == pytest.approx(one * factor)


def test_the_unit_hydrograph_holds_its_runoff():
    # a triangle of base 8/3 tp holds qp tp 4/3: with Kp = 484 that is the runoff
    got = unit_hydrograph_peak(1e6, 3600.0, 0.01)
    assert got.peak * got.time_to_peak * 4 / 3 == pytest.approx(1e6 * 0.01, rel=1e-3)


def test_us_handbooks_leave_eight_in_a_thousand_out():
    inch_acre = 0.0254 / 3600, 43560 * 0.3048**2
    exact = rational_peak(0.5, *inch_acre)
    assert exact / rational_peak_us(0.5, 1.0, 1.0) == pytest.approx(43560 / 12 / 3600)


def test_less_runoff_after_than_before_is_storage_below_nothing():
    assert storage_difference(0.02, 0.01, 100.0).volume == pytest.approx(-1.0)


@pytest.mark.parametrize(
    ("call", "said"),
    [
        (lambda: sheet_time(0, 30, 0.1, 0.09), "roughness: is zero"),
        (lambda: sheet_time(0.2, -1, 0.1, 0.09), "length: is negative"),
        (lambda: sheet_time(0.2, 30, 5.0, 0.09), "5 is steeper than 2 down for 1 along"),
        (lambda: sheet_time(0.2, 30, 0.1, 0.0), "rain: is zero"),
        (lambda: travel_times(), "has no piece"),
        (
            lambda: travel_times(0.09, [0.2, 0.3], [30.0], [0.1]),
            "sheet flow: its values do not match in number",
        ),
        (lambda: lag_time(1000, 0.05, 40), "the method holds from 50 to 95"),
        (lambda: overland_time(1.2, 30, 0.1), "coefficient: 1.2 is not within"),
        (lambda: kerby_kirpich(300, 0.01, 0, 100, 0.01), "retardance: is zero"),
        (lambda: graphical_peak(1e4, 75, 4e4, 0.1, "II"), "over the 10 h"),
        (lambda: graphical_peak(-1, 75, 3600, 0.1, "II"), "area: is negative"),
        (lambda: graphical_peak(1e4, 75, 3600, 0.1, "V"), "shape: 'V' is not known"),
        (lambda: pond_factor(0.1), "route the storm"),
        (lambda: detention_storage(1e4, 0.05, 1.0, 0.95, "II"), "between 0.1 and 0.8"),
        (lambda: rational_peak(0.5, 1e-5, 1e6), "over the 200 acres"),
        (lambda: rational_peak(0.5, -1e-5, 1e4), "intensity: is negative"),
        (lambda: triangle_runoff(0.1, 0, 1e4), "time: is zero"),
        (lambda: runoff_coefficient("roof"), "did you mean roofs"),
        (lambda: sheet_roughness("concrete floor of a hangar"), "is not known"),
        (lambda: shallow_coefficient("pavement"), "did you mean pavement and small"),
        (lambda: kerby_retardance(""), "is not known"),
    ],
)
def test_each_wrong_input_has_a_message_of_its_own(call, said):
    with pytest.raises(OutOfRange) as caught:
        call()
    assert said in str(caught.value)
