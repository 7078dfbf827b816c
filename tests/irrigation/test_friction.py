"""Friction: smooth across the regimes, the fast form the same as the plain one, errors named."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hillwright.errors import OutOfRange
from hillwright.irrigation.barbs import barb_loss, fitting_loss
from hillwright.irrigation.friction import (
    FACTORS,
    blasius_gradient,
    christiansen,
    friction_factor,
    friction_loss,
    hazen_williams,
)
from hillwright.irrigation.losses import DarcyWeisbach, PowerLaw
from hillwright.irrigation.water import pressure_head, water_properties

ROUGH = st.floats(0.0, 0.02)


@pytest.mark.parametrize("formula", FACTORS)
@given(re=st.floats(2100, 3900) | st.floats(100, 1900) | st.floats(4100, 1e6), e=ROUGH)
def test_the_slope_is_the_derivative(formula, re, e):
    h = 1e-5 * re
    low, high = (float(friction_factor(re + s, e, formula).factor) for s in (-h, h))
    slope = float(friction_factor(re, e, formula).slope)
    assert slope == pytest.approx((high - low) / (2 * h), rel=2e-4, abs=1e-12)


@given(e=ROUGH, at=st.sampled_from([2000.0, 4000.0]))
def test_factor_and_slope_meet_where_the_regimes_do(e, at):
    low, high = friction_factor([at * (1 - 1e-9), at * (1 + 1e-9)], e).factor
    assert low == pytest.approx(high, rel=1e-6)
    a, b = friction_factor([at * (1 - 1e-9), at * (1 + 1e-9)], e).slope
    assert a == pytest.approx(b, abs=1e-8)


@given(re=st.floats(4000, 1e7), e=ROUGH)
def test_colebrook_satisfies_its_own_equation(re, e):
    f = float(friction_factor(re, e, "colebrook").factor)
    assert 1 / np.sqrt(f) == pytest.approx(
        -2 * np.log10(e / 3.7 + 2.51 / (re * np.sqrt(f))), rel=1e-12
    )


# the source prints 3 % for Re from 5,000 to 1e8 and roughness from 1e-6 to 0.01
@given(re=st.floats(5e3, 1e8), e=st.floats(1e-6, 0.01))
def test_swamee_jain_lies_within_three_percent_of_colebrook(re, e):
    one, two = (float(friction_factor(re, e, f).factor) for f in ("swamee-jain", "colebrook"))
    assert one == pytest.approx(two, rel=0.034)


@given(
    q=st.lists(st.floats(0, 3e-4), min_size=1, max_size=9),
    bore=st.floats(0.003, 0.05),
    k=st.floats(0, 5),
)
def test_the_network_s_own_losses_are_those_of_the_plain_formula(q, bore, k):
    flow = np.array(q)
    n = np.ones(len(flow))
    fast = DarcyWeisbach.of(7 * n, bore * n, 1.5e-6 * n, k * n, 1.0e-6)
    plain = friction_loss(flow, bore, 7.0, 1.5e-6, 1.0e-6, "regime", k)
    re = 4 * flow / (np.pi * bore * 1.0e-6)
    f = friction_factor(np.maximum(re, 1e-9), 1.5e-6 / bore).factor
    by_hand = (f * 7 / bore + k) * 8 * flow**2 / (np.pi**2 * 9.80665 * bore**4)
    assert fast(flow)[0] == pytest.approx(plain, rel=1e-12)
    assert plain == pytest.approx(by_hand, rel=1e-9, abs=1e-15)


@given(q=st.floats(1e-8, 1e-3), k=st.floats(0, 5))
def test_the_slope_of_a_loss_is_its_derivative(q, k):
    one = np.ones(1)
    for loss in (
        DarcyWeisbach.of(one, 0.0136 * one, 1.5e-6 * one, k * one, 1e-6),
        PowerLaw.blasius_form(one, 0.0136 * one, k * one, 0.465),
    ):
        h = 1e-6 * q
        low, high = (loss(np.array([q + s]))[0][0] for s in (-h, h))
        assert loss(np.array([q]))[1][0] == pytest.approx(
            (high - low) / (2 * h), rel=1e-3, abs=1.1e-3
        )


def test_hazen_williams_is_unsafe_in_small_tubing():
    # four and a half times too low in a 0.170 in tube at 1 gph (notes of the reference tables)
    q, d = 1.0515e-6, 0.17 * 0.0254
    assert friction_loss(q, d, 1.0) / hazen_williams(q, d, 1.0) == pytest.approx(4.5, rel=0.02)


def test_many_outlets_lose_one_part_in_m_plus_one():
    assert christiansen(100_000, 1.75) == pytest.approx(1 / 2.75, rel=1e-4)


@pytest.mark.parametrize(
    ("call", "said"),
    [
        (lambda: friction_factor(-1.0), "reynolds"),
        (lambda: friction_factor(1e4, 0.3), "relative_roughness"),
        (lambda: friction_factor(1e4, 0.0, "swame-jain"), "did you mean swamee-jain"),
        (lambda: friction_loss(-1e-5, 0.01, 1), "flow"),
        (lambda: hazen_williams(1e-5, 0.0, 1), "bore"),
        (lambda: blasius_gradient(1e-5, 0.01, "0.5"), "form"),
        (lambda: christiansen(0), "outlets"),
        (lambda: barb_loss(2e-4, 0.01), "fills the pipe"),
        (lambda: fitting_loss("elbo"), "did you mean"),
        (lambda: water_properties(400.0), "temperature"),
        (lambda: pressure_head(1e5, 0.0), "unit_weight"),
    ],
)
def test_what_is_outside_is_refused_by_name(call, said):
    with pytest.raises(OutOfRange, match=said):
        call()
