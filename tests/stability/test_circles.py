"""Given circles: closed-form limits, invariants, methods against each other, an open program."""

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from shapely.geometry import LineString, Polygon
from xslope.slice import generate_slices
from xslope.solve import bishop as xslope_bishop
from xslope.solve import oms as xslope_ordinary
from xslope.solve import spencer as xslope_spencer

from hillwright.errors import OutOfRange
from hillwright.stability import polyline
from hillwright.stability.circles import fullest, tangent_to, through
from hillwright.stability.givencircle import given_circle

GROUND = [[-20, 0], [10, 0], [30, 10], [60, 10]]
CENTRE, RADIUS = [15.0, 22.0], 24.0
FT, PSF, PCF = 0.3048, 47.88025898, 157.0874606
FACTORS = ("ordinary", "bishop", "spencer", "morgenstern_price")

few = settings(max_examples=30)  # each cuts and solves circles by four methods

centres = st.tuples(st.floats(10, 20), st.floats(15, 35))
cohesions = st.floats(2e3, 40e3)
frictions = st.floats(5, 40).map(np.radians)


def circle(cohesion=10e3, friction=0.4, weight=18e3, centre=CENTRE, radius=RADIUS, **more):
    surface = more.pop("surface", GROUND)
    return given_circle(surface, cohesion, friction, weight, centre, radius, **more)


def factors(found):
    return np.array([getattr(found, name) for name in FACTORS])


# Fredlund and Krahn 1977, case 1: 1.928, 2.080, 2.073, 2.076; with 200 slices 1.928, 2.076, 2.072
def test_four_methods_on_one_printed_circle():
    ground = np.array([[0, 60], [60, 60], [140, 20], [180, 20]]) * FT
    at = np.array([120, 90]) * FT
    found = given_circle(ground, 600 * PSF, np.radians(20), 120 * PCF, at, 80 * FT)
    assert factors(found) == pytest.approx([1.928, 2.076, 2.072, 2.0715], abs=1e-3)


@few
@given(centre=centres, below=st.floats(1, 6), c=cohesions)
def test_without_friction_all_methods_are_one_moment(centre, below, c):
    radius = centre[1] + below
    found = circle(c, 0.0, centre=list(centre), radius=radius)
    x, z = centre
    # by geometry: strength along the arc against the weight of the mass at its centre of area
    across = np.linspace(found.foot[0], found.head[0], 20001)
    arc = z - np.sqrt(radius**2 - (across - x) ** 2)
    thick = np.interp(across, *np.array(GROUND, float).T) - arc
    driving = 18e3 * np.trapezoid(thick * (across - x), across)
    exact = c * found.arc_length * radius / driving
    assert found.bishop == pytest.approx(exact, rel=2e-3)
    for other in ("ordinary", "spencer", "morgenstern_price"):
        assert getattr(found, other) == pytest.approx(found.bishop, rel=1e-6)


@few
@given(phi=frictions, slope=st.floats(15, 40).map(np.radians))
def test_a_flat_arc_under_a_long_dry_sand_face_is_an_infinite_slope(phi, slope):
    length, sag = 100.0, 0.2
    dx, dz = length * np.cos(slope), length * np.sin(slope)
    face = [[-1, -np.tan(slope)], [dx + 1, dz + np.tan(slope)]]
    radius = (length**2 / 4 + sag**2) / (2 * sag)
    centre = np.array([dx / 2, dz / 2]) + (radius - sag) * np.array([-np.sin(slope), np.cos(slope)])
    found = given_circle(face, 0.0, phi, 18e3, centre, radius)
    assert factors(found) == pytest.approx(np.tan(phi) / np.tan(slope), rel=2e-3)


@few
@given(centre=centres, below=st.floats(1, 6), c=cohesions, phi=frictions)
def test_side_forces_of_one_lean_are_spencers(centre, below, c, phi):
    found = circle(c, phi, centre=list(centre), radius=centre[1] + below, side_force="constant")
    assert found.morgenstern_price == pytest.approx(found.spencer, rel=1e-5)


@few
@given(centre=centres, below=st.floats(1, 6), c=cohesions, phi=frictions)
def test_methods_of_equilibrium_agree_within_a_few_percent(centre, below, c, phi):
    found = circle(c, phi, centre=list(centre), radius=centre[1] + below)
    assert found.spencer == pytest.approx(found.bishop, rel=0.03)
    assert found.morgenstern_price == pytest.approx(found.bishop, rel=0.03)
    assert found.ordinary <= found.bishop * (1 + 1e-9)


@few
@given(dx=st.floats(-500, 500), dz=st.floats(-500, 500), c=cohesions, phi=frictions)
def test_where_the_section_lies_does_not_matter(dx, dz, c, phi):
    moved = [[x + dx, z + dz] for x, z in GROUND]
    there = [CENTRE[0] + dx, CENTRE[1] + dz]
    layer = {"layer_lines": [[[-20, -2 + 0.0], [60, 4]]], "water_line": [[-20, -1], [60, 6]]}
    lifted = {k: [[[x + dx, z + dz] for x, z in v[0]]] for k, v in layer.items() if k[0] == "l"}
    lifted["water_line"] = [[x + dx, z + dz] for x, z in layer["water_line"]]
    layer["water_line"] = [[-20, -5], [60, 6]]
    lifted["water_line"] = [[-20 + dx, -5 + dz], [60 + dx, 6 + dz]]
    soils = ([c, 2 * c], [phi, phi / 2])
    here = circle(*soils, **layer)
    assert factors(circle(*soils, surface=moved, centre=there, **lifted)) == pytest.approx(
        factors(here), rel=1e-6
    )


@few
@given(c=cohesions, phi=frictions, kh=st.floats(0, 0.3), crack=st.floats(0, 1.5))
def test_the_mirrored_slope_has_the_same_factors(c, phi, kh, crack):
    more = {"kh": kh, "crack_depth": crack, "crack_water": crack / 2}
    one = circle(c, phi, **more)
    other = circle(
        c, phi, surface=[[-x, z] for x, z in GROUND], centre=[-CENTRE[0], CENTRE[1]], **more
    )
    assert np.array_equal(factors(one), factors(other))
    assert one.foot[0] == pytest.approx(-other.foot[0])
    assert one.head[0] == pytest.approx(-other.head[0])


@few
@given(scale=st.floats(0.1, 10), c=cohesions, phi=frictions)
def test_a_slope_of_another_size_with_strength_to_match_is_as_safe(scale, c, phi):
    big = np.array(GROUND) * scale
    other = circle(
        c * scale, phi, surface=big, centre=np.array(CENTRE) * scale, radius=RADIUS * scale
    )
    assert factors(other) == pytest.approx(factors(circle(c, phi)), rel=1e-6)


@few
@given(c=cohesions, phi=frictions, levels=st.tuples(st.floats(0, 9), st.floats(0, 9)).map(sorted))
def test_more_water_never_makes_a_circle_safer(c, phi, levels):
    low, high = ([[-20, 0], [10, 0], [30, level], [60, level]] for level in levels)
    drier, wetter = circle(c, phi, water_line=low), circle(c, phi, water_line=high)
    assume(np.isfinite(factors(wetter)).all() and np.isfinite(factors(drier)).all())
    assert wetter.bishop <= drier.bishop * (1 + 1e-9)
    assert wetter.spencer <= drier.spencer * (1 + 1e-6)


@few
@given(
    c=cohesions, phi=frictions, shares=st.tuples(st.floats(0, 0.5), st.floats(0, 0.5)).map(sorted)
)
def test_more_pore_pressure_never_makes_a_circle_safer(c, phi, shares):
    drier, wetter = (circle(c, phi, pore_pressure_ratio=ru) for ru in shares)
    assert wetter.bishop <= drier.bishop * (1 + 1e-9)


@few
@given(c=cohesions, more=st.floats(1, 20e3), phi=frictions, angle=st.floats(0.01, 0.15))
def test_strength_makes_a_circle_safer(c, more, phi, angle):
    base = factors(circle(c, phi))
    assert (factors(circle(c + more, phi)) > base).all()
    assert (factors(circle(c, phi + angle)) > base).all()


@few
@given(c=cohesions, phi=frictions, kh=st.floats(0.01, 0.3))
def test_an_earthquake_makes_a_circle_less_safe(c, phi, kh):
    assert (factors(circle(c, phi, kh=kh)) < factors(circle(c, phi))).all()


def test_water_in_the_crack_pushes():
    dry = circle(crack_depth=2.0)
    wet = circle(crack_depth=2.0, crack_water=2.0)
    assert wet.bishop < dry.bishop
    assert dry.head[1] == pytest.approx(8.0)
    assert dry.arc_length < circle().arc_length


def test_a_load_at_the_crest_drives_and_at_the_toe_holds():
    bare = circle(friction=0.0).bishop
    crest = circle(friction=0.0, surcharge=20e3, surcharge_from=30, surcharge_to=40).bishop
    toe = circle(friction=0.0, surcharge=20e3, surcharge_from=4, surcharge_to=12).bishop
    assert crest < bare < toe


BAR = {"anchor_head": [[20, 5]], "anchor_angle": np.radians(15), "anchor_length": 25.0}


@few
@given(force=st.floats(1e3, 60e3), c=cohesions, phi=frictions)
def test_an_anchor_makes_a_circle_safer_and_its_side_is_worth_telling(force, c, phi):
    bare = circle(c, phi)
    resisting = circle(c, phi, anchor_force=force, **BAR)
    driving = circle(c, phi, anchor_force=force, anchor_side="driving", **BAR)
    assert resisting.bishop > bare.bishop
    assert driving.bishop > bare.bishop
    # above a factor of 1 a pull taken off the driving side is worth more, below it less
    more = driving.bishop - resisting.bishop
    assert more * (min(driving.bishop, resisting.bishop) - 1) > -1e-6 or abs(more) < 5e-3


def test_an_anchor_without_friction_adds_its_moment():
    force, tilt = 30e3, np.radians(15)
    found = circle(friction=0.0, anchor_force=force, **BAR)
    bare = circle(friction=0.0)
    # lever of the bar's line about the centre
    lever = (CENTRE[1] - 5) * np.cos(tilt) - (20 - CENTRE[0]) * np.sin(tilt)
    driving = 10e3 * bare.arc_length * RADIUS / bare.bishop
    assert found.bishop - bare.bishop == pytest.approx(force * lever / driving, rel=2e-3)
    less = circle(friction=0.0, anchor_force=force, anchor_side="driving", **BAR)
    exact = 10e3 * bare.arc_length * RADIUS / (driving - force * lever)
    assert less.bishop == pytest.approx(exact, rel=2e-3)
    for one in (found, less):
        assert one.spencer == pytest.approx(one.bishop, rel=1e-6)


def test_an_anchor_that_ends_in_the_mass_holds_nothing():
    short = {**BAR, "anchor_length": 1.0}
    assert circle(anchor_force=50e3, **short).bishop == circle().bishop


@pytest.mark.parametrize(
    ("change", "where", "words"),
    [
        ({"centre": [20, 40], "radius": 10.0}, "circle", "misses the slope"),
        ({"centre": [22, 4], "radius": 8.0}, "circle", "not above the ground"),
        ({"radius": 90.0, "centre": [15, 60]}, "circle", "come out of the ground"),
        ({"radius": -3.0}, "radius", "negative"),
        ({"centre": [3.0]}, "centre", "not a point"),
        ({"centre": [50, 30], "radius": 22.0}, "circle", "nothing drives"),
        ({"crack_depth": 9.0, "centre": [15, 60], "radius": 58.0}, "crack_depth", "deeper than"),
        ({"side_force": "half sine"}, "side_force", "not known"),
        ({"slices": 1}, "slices", "not a number of slices"),
    ],
)
def test_a_circle_that_is_none_has_words_of_its_own(change, where, words):
    with pytest.raises(OutOfRange) as told:
        circle(**change)
    assert where in told.value.problems[0].where
    assert words in told.value.problems[0].what


def test_a_foot_that_rises_too_steeply_is_refused():
    with pytest.raises(OutOfRange, match="m_alpha"):
        circle(
            100.0,
            np.radians(45),
            surface=[[-20, 0], [10, 0], [14, 2], [60, 2]],
            centre=[12, 3],
            radius=10.0,
            kh=0.4,
        )


# --- circles against lines

points = st.tuples(st.floats(0, 3), st.floats(-1, 1), st.floats(12, 20), st.floats(2, 5))
bases = st.lists(st.floats(-3, -1), min_size=2, max_size=5)


@few
@given(ends=points, depths=bases)
def test_the_arc_that_touches_a_line_is_the_first_that_does(ends, depths):
    x1, z1, x2, z2 = (np.array([v]) for v in ends)
    line = np.column_stack([np.linspace(-5, 25, len(depths)), depths])
    half = tangent_to(line, x1, z1, x2, z2)
    assert 0 < half[0] <= np.pi
    assume(half[0] < fullest(x1, z1, x2, z2)[0])  # beyond it the arc overhangs its own ends

    def over(share):
        c = through(x1, z1, x2, z2, half * share)
        at = np.linspace(c.foot[0], c.head[0], 4001)[None, :]
        x, z = c.points(at)
        return float((z - polyline.height(line, x)).min())

    assert over(1 - 1e-3) > -1e-6
    assert over(1.02) < 1e-3


# --- against xslope, an open program that knows nothing of this one

LINES = [[[-20, -1], [60, 5]], [[-20, -4], [60, -1]]]
LEVEL = [[-20, -1], [10, -0.5], [30, 6], [60, 8]]
SOILS = {
    "dry": ([10.0], [22.0], [18.0], [18.0], [], None, 0.0),
    "layers": ([2.0, 12.0, 25.0], [32.0, 18.0, 8.0], [17.0, 18.0, 20.0], None, LINES, None, 0.0),
    "water": ([8.0], [26.0], [17.0], [20.0], [], LEVEL, 0.0),
    "all": (
        [2.0, 12.0, 25.0],
        [32.0, 18.0, 8.0],
        [17.0, 18.0, 20.0],
        [19, 20, 21],
        LINES,
        LEVEL,
        0.1,
    ),
}


def outside(c, phi, moist, wet, lines, level, kh):
    """Give the same section in the other program's form."""
    tops = [GROUND, *lines]
    floors = [*lines, [[-20, -15], [60, -15]]]
    wet = wet or moist
    materials = [
        {"name": str(i), "c": c[i], "phi": phi[i], "gamma": moist[i], "gamma_sat": wet[i]}
        | {"option": "mc", "u": "piezo" if level else "none", "d": 0.0, "psi": 0.0}
        for i in range(len(c))
    ]
    zones = [Polygon([*top, *floor[::-1]]) for top, floor in zip(tops, floors, strict=True)]
    return {
        "materials": materials,
        "polygons": [{"polygon": zone, "mat_id": i} for i, zone in enumerate(zones)],
        "ground_surface": LineString(GROUND),
        "domain_polygon": Polygon([*GROUND, [60, -15], [-20, -15]]),
        "piezo_line": [tuple(p) for p in level or []],
        "gamma_water": 9.81,
        "tcrack_depth": 0.0,
        "tcrack_water": 0.0,
        "k_seismic": kh,
        "dloads": [],
        "dloads2": [],
        "reinforce_lines": [],
        "pile_lines": [],
    }


@pytest.mark.parametrize("soil", SOILS)
@pytest.mark.parametrize(
    ("centre", "radius"), [((15, 22), 24.0), ((17, 16), 16.5), ((12, 30), 34.0)]
)
def test_an_open_program_finds_the_same_factors(soil, centre, radius):
    c, phi, moist, wet, lines, level, kh = SOILS[soil]
    at = {"Xo": centre[0], "Yo": centre[1], "R": radius, "Depth": centre[1] - radius}
    done, table = generate_slices(
        outside(*SOILS[soil]), circle=at, num_slices=120, debug=False, check_inputs=False
    )
    assert done
    found = given_circle(
        GROUND,
        np.array(c) * 1e3,
        np.radians(phi),
        np.array(moist) * 1e3,
        centre,
        radius,
        saturated_unit_weight=np.array(wet or moist) * 1e3,
        layer_lines=lines,
        water_line=level,
        kh=kh,
    )
    methods = {"bishop": xslope_bishop, "spencer": xslope_spencer}
    if not level:  # with water its ordinary method takes another form of the pore pressure
        methods["ordinary"] = xslope_ordinary
    for name, theirs in methods.items():
        solved, answer = theirs(table[0])
        assert solved, answer
        assert getattr(found, name) == pytest.approx(answer["FS"], rel=2e-3), name
