"""The job model: defaults inside their limits, keys that conflict, values that fit."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from hillwright import units
from hillwright.job.explain import sections
from hillwright.job.fields import Conflicts, OutsideLimits
from hillwright.job.model import Job

units.registry()  # opened once here, so that no timed example pays for it

SURVEY = {"kind": "points", "file": "points.csv"}
QUANTITIES = {
    ("cell", "width"): ("m", "2 in", "10 ft"),
    ("cell", "run"): ("m", "2 in", "10 ft"),
    ("cell", "depth"): ("m", "1 in", "4 ft"),
    ("cell", "clip_play"): ("m", "0 in", "6 in"),
    ("cell", "max_twist"): ("m", "0 in", "12 in"),
    ("cell", "max_gap"): ("m", "0 in", "24 in"),
    ("cell", "pass_height"): ("m", "0 in", "4 ft"),
    ("cell", "max_bend"): ("rad", "0 deg", "90 deg"),
    ("cell", "mass"): ("kg", "0.1 lb", "1000 lb"),
    ("layout", "max_tilt"): ("rad", "0 deg", "45 deg"),
    ("grading", "smooth"): ("m", "0 in", "30 ft"),
}
READ = {"m": units.length, "rad": units.angle, "kg": units.mass}


def job(**tables):
    return Job.model_validate({"survey": SURVEY, **tables})


def conflicts(**tables):
    with pytest.raises(ValidationError) as caught:
        job(**tables)
    return {
        (".".join(map(str, (*e["loc"], *c.key))), c.what)
        for e in caught.value.errors()
        for c in e["ctx"]["error"].found
    }


@pytest.mark.parametrize("key", QUANTITIES)
def test_every_default_lies_within_its_own_limits(key):
    section, name = key
    tag, low, high = QUANTITIES[key]
    default = sections()[section].model_fields[name].default
    if default is not None:
        assert READ[tag](low) <= default <= READ[tag](high)


def test_the_defaults_agree_with_each_other():
    # pydantic does not check defaults, so write them all out as a person would
    given = {}
    for (section, name), (tag, *_) in QUANTITIES.items():
        default = getattr(getattr(job(), section), name)
        if default is not None:
            unit, factor = {"m": ("m", 1), "kg": ("kg", 1), "rad": ("deg", 180 / math.pi)}[tag]
            given.setdefault(section, {})[name] = f"{default * factor} {unit}"
    written = job(**given)
    for section, name in QUANTITIES:
        default = getattr(getattr(job(), section), name)
        assert getattr(getattr(written, section), name) == pytest.approx(default)


ROOMY = {"width": "10 ft", "run": "10 ft", "depth": "4 ft"}
ROOMY |= {"pass_height": "0 in", "max_gap": "0 in", "clip_play": "0 in"}


@given(
    st.sampled_from(sorted(QUANTITIES)), st.floats(0.01, 0.99), st.sampled_from(["us", "metric"])
)
def test_a_quantity_within_its_limits_is_read_whichever_units_it_is_shown_in(key, share, system):
    (section, name), (tag, low, high) = key, QUANTITIES[key]
    least, most = READ[tag](low), READ[tag](high)
    value = least + share * (most - least)
    text = units.show(value, tag, system)
    tables = {"cell": ROOMY | {name: text}} if section == "cell" else {section: {name: text}}
    rounding = {"m": 0.0016, "rad": 0.0009, "kg": 0.051}[tag]
    assert getattr(getattr(job(**tables), section), name) == pytest.approx(value, abs=rounding)


@given(st.sampled_from(sorted(QUANTITIES)), st.floats(1e-3, 1e6))
def test_a_quantity_outside_its_limits_is_refused(key, beyond):
    (section, name), (tag, low, high) = key, QUANTITIES[key]
    unit = {"m": "m", "kg": "kg", "rad": "rad"}[tag]
    for value in (READ[tag](low) - beyond, READ[tag](high) + beyond):
        with pytest.raises(ValidationError) as caught:
            job(**{section: {name: f"{value} {unit}"}})
        assert isinstance(caught.value.errors()[0]["ctx"]["error"], OutsideLimits)


def test_a_slope_limit_takes_degrees_percent_and_run_to_rise():
    tilts = [job(layout={"max_tilt": t}).layout.max_tilt for t in ("5.7105931 deg", "10 %", "10:1")]
    assert tilts == pytest.approx([math.atan(0.1)] * 3, abs=1e-7)


A, B, C = ["0 ft", "0 ft"], ["9 ft", "0 ft"], ["9 ft", "9 ft"]


@pytest.mark.parametrize(
    ("tables", "key"),
    [
        ({"outline": {"file": "o.geojson", "corners": [A, B, C]}}, "outline.corners"),
        ({"outline": {"corners": [A, B]}}, "outline.corners"),
        ({"exclusion": [{"name": "x"}]}, "exclusion.0"),
        ({"exclusion": [{"name": "x", "centre": A}]}, "exclusion.0.centre"),
        ({"exclusion": [{"name": "x", "radius": "1 ft"}]}, "exclusion.0.radius"),
        ({"exclusion": [{"name": "x", "corners": [A, B]}]}, "exclusion.0.corners"),
        (
            {"exclusion": [{"name": "x", "corners": [A, B, C], "radius": "1 ft"}]},
            "exclusion.0.corners",
        ),
        ({"benchmarks": {"A": A, "B": ["0 m", "0 in"]}}, "benchmarks.B"),
        ({"base_line": {"start": A}}, "base_line.start"),
        ({"base_line": {"end": A}}, "base_line.end"),
        ({"base_line": {"start": A, "end": A}}, "base_line.end"),
        ({"cell": {"pass_height": "9 in"}}, "cell.pass_height"),
        ({"cell": {"max_gap": "9 in"}}, "cell.max_gap"),
        ({"cell": {"width": "4 in", "clip_play": "4 in"}}, "cell.clip_play"),
        ({"layout": {"string": [A]}}, "layout.string"),
        ({"layout": {"shift": "none", "fixed_cell": A}}, "layout.fixed_cell"),
        ({"layout": {"shift": "none", "fixed_rows": [A]}}, "layout.fixed_rows"),
        ({"layout": {"keep": [B, A], "leave_out": [C, A]}}, "layout.leave_out.1"),
        (
            {"survey": {"kind": "dem", "file": "a.tif"}, "layout": {"top": "string"}},
            "layout.top",
        ),
        ({"survey": {"kind": "dem", "file": "a.tif", "order": "XYZ"}}, "survey.order"),
        (
            {"survey": {"kind": "sections", "file": "a.csv", "outline_code": "X"}},
            "survey.outline_code",
        ),
        ({"survey": {"kind": "sections", "file": "a.csv", "crs": "EPSG:2227"}}, "survey.crs"),
        ({"survey": {**SURVEY, "outline_code": "ex"}}, "survey.exclusion_code"),
        ({"survey": {**SURVEY, "outline_code": "B"}}, "survey.outline_code"),
        ({"survey": {**SURVEY, "string_code": " "}}, "survey.string_code"),
    ],
)
def test_keys_that_do_not_go_together_are_named(tables, key):
    found = conflicts(**tables)
    assert [k for k, _ in found] == [key]


def test_a_section_tells_all_its_conflicts():
    found = {key for key, _ in conflicts(cell={"pass_height": "9 in", "max_gap": "10 in"})}
    assert found == {"cell.pass_height", "cell.max_gap"}


@pytest.mark.parametrize(
    "tables",
    [
        {"benchmarks": {"A": A}},
        {"layout": {"top": "string"}},  # the shots of a point survey may be coded so
        {"outline": {"file": "o.geojson"}, "layout": {"top": "string"}},  # so may a feature
        {"survey": {"kind": "sections", "file": "a.csv", "unit": "us_survey_foot"}},
        {"layout": {"shift": "none", "keep": [A]}},
        {"cell": {"pass_height": "8 in", "max_gap": "8 in"}},
    ],
)
def test_what_can_be_had_together_is_taken(tables):
    job(**tables)


def test_a_conflict_is_an_error_of_its_own_kind():
    with pytest.raises(ValidationError) as caught:
        job(cell={"pass_height": "9 in"})
    assert isinstance(caught.value.errors()[0]["ctx"]["error"], Conflicts)
