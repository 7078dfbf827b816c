"""When to stop: any yes, anything not known, any limit passed; a good factor changes nothing."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hillwright.data import table
from hillwright.errors import OutOfRange
from hillwright.stability.thresholds import checklist, required_factor, stop_reasons

CLEAN = {q.key: "no" for q in checklist()}
FOOT = 0.3048


def verdicts(**figures):
    return [r.verdict for r in stop_reasons(CLEAN, **figures)]


def test_a_clean_site_gives_no_reason():
    assert stop_reasons(CLEAN) == ()


@pytest.mark.parametrize("key", CLEAN)
def test_any_yes_stops_and_names_who_to_ask(key):
    (reason,) = stop_reasons({**CLEAN, key: "yes"}, static=9.0, seismic=9.0)
    assert reason.verdict == "stop"
    assert reason.who
    assert reason.source


@pytest.mark.parametrize("key", CLEAN)
def test_what_is_not_known_or_not_answered_stops_too(key):
    (unknown,) = stop_reasons({**CLEAN, key: "unknown"})
    (missing,) = stop_reasons({k: v for k, v in CLEAN.items() if k != key})
    assert unknown == missing
    assert unknown.verdict == "stop"
    assert "not known" in unknown.condition


# IBC Appendix J106.1 and J107.6, from memory: 2H:1V; UFC 3-220-20 section 3-4.2.1: 3H:1V
def test_steep_ground_stops_and_less_steep_ground_asks():
    assert verdicts(slope=math.atan(1 / 2) + 1e-3) == ["stop"]
    assert verdicts(slope=math.atan(1 / 2)) == ["with measures"]
    assert verdicts(slope=math.atan(1 / 3)) == []


# IBC 105.2 and IRC R105.2: 4 ft; IRC 2009 R404.4: 24 in
def test_a_wall_over_four_feet_stops_and_one_over_two_is_designed():
    assert verdicts(wall_height=4.01 * FOOT) == ["stop"]
    assert verdicts(wall_height=4 * FOOT) == ["with measures"]
    assert verdicts(wall_height=2 * FOOT) == []


# IBC 2018 section 1803.5.3: EI over 20; local examples: 50 cubic yards, 3 ft, 40 ft
def test_other_limits():
    assert verdicts(expansion_index=21) == ["stop"]
    assert verdicts(expansion_index=20) == []
    assert verdicts(fill_volume=51 * 0.9144**3) == ["with measures"]
    assert verdicts(fill_volume=50 * 0.9144**3) == []
    assert verdicts(fill_depth=1.0, slope_height=13.0) == ["with measures"] * 2


# local ordinances, EM 1110-2-1902 practice: 1.5 static, 1.1 with earthquake
def test_a_low_factor_stops_and_reads_lower_than_its_limit():
    (reason,) = stop_reasons(CLEAN, static=1.4999, seismic=1.1)
    assert "1.49, below 1.5" in reason.condition
    assert verdicts(static=1.5, seismic=1.0999) == ["stop"]
    assert verdicts(static=math.inf, seismic=math.inf) == []


@given(
    st.dictionaries(st.sampled_from(list(CLEAN)), st.sampled_from(["yes", "no", "unknown"])),
    st.floats(0, 1.4),
    st.floats(0, 5),
)
def test_stops_stand_first_and_a_better_factor_never_takes_one_away(answers, slope, wall):
    bad = stop_reasons(answers, slope=slope, wall_height=wall, static=0.9)
    good = stop_reasons(answers, slope=slope, wall_height=wall, static=2.0)
    assert set(good) < set(bad)
    kinds = [r.verdict for r in good]
    assert kinds == sorted(kinds, key=["stop", "with measures"].index)


def test_everything_wrong_is_said_at_once():
    with pytest.raises(OutOfRange) as caught:
        stop_reasons({"crakcs": "yes", "springs": "perhaps"}, slope=-1.0, wall_height=math.inf)
    said = str(caught.value)
    assert "did you mean cracks" in said
    assert "springs: 'perhaps' is no answer" in said
    assert "slope: -1" in said
    assert "wall_height" in said


# USACE EM 1110-2-1902 Table 3-1; San Joaquin County 9-1415.3(k)(4); FHWA GEC 7 Table 5.1
@pytest.mark.parametrize(
    ("key", "factor"),
    [
        ("slope", 1.5),
        ("slope seismic", 1.1),
        ("surficial", 1.5),
        ("slope construction", 1.3),
        ("pullout", 2.0),
        ("steel", 1.8),
        ("wall", 1.5),
    ],
)
def test_required_factors(key, factor):
    found = required_factor(key)
    assert found.factor == factor
    assert found.source


def test_an_unknown_required_factor_is_told_the_nearest():
    with pytest.raises(OutOfRange, match="did you mean pullout"):
        required_factor("pulout")


def test_every_row_of_the_limits_has_a_source_and_a_status():
    limits = table("stability_limits")
    for name in ("required", "code", "figure", "cut"):
        for row in limits[name]:
            assert row["source"]
            assert limits["sources"][row["from"]]["status"] in ("verified", "memory")
    for row in (*limits["stop"], *limits["factor_stop"]):
        assert row["source"]
        assert row["status"] in ("verified", "memory", "common practice")
