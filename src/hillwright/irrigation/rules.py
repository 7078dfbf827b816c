"""Classes and rules of the trade, looked up: emitters, soils, uniformity, clogging, water marks."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from hillwright import given
from hillwright.arrays import Array
from hillwright.errors import OutOfRange
from hillwright.irrigation.tables import FOOT, GPM, INCH, rows, words
from hillwright.method import method


@method(
    title="Emitter exponent by flow type",
    equation="table",
    source="Agriinfo, Basic hydraulics of emitters; NEH 623 ch. 7 classes (partly from memory)",
)
def emitter_exponent(flow_type: str) -> float:
    """Look the exponent of an emitter's class up.

    Parameters
    ----------
    flow_type : str
        As in the table. [text]

    Returns
    -------
    x : float
        Of q = k h^x. [-]

    Raises
    ------
    OutOfRange
        A type that is not tabled.
    """
    known = words("irrigation_emitters", "exponent", "flow_type")
    kind = given.one_of("flow_type", flow_type, known)
    return next(
        float(r["x"]) for r in rows("irrigation_emitters", "exponent") if r["flow_type"] == kind
    )


@method(
    title="Class of emitters by manufacturing variation",
    equation="table",
    source="ASAE EP405.1, Design and installation of microirrigation systems (from memory)",
)
def variation_class(cv: float, emitter_type: str = "point source") -> str:
    """Class an emitter by its coefficient of variation.

    Parameters
    ----------
    cv : float
        Coefficient of manufacturing variation. [-]
    emitter_type : str
        "point source" or "line source". [text]

    Returns
    -------
    class_name : str
        From excellent or good to unacceptable. [text]

    Raises
    ------
    OutOfRange
        A negative variation, an unknown type.
    """
    v = float(given.at_least_zero("cv", cv))
    known = words("irrigation_emitters", "variation", "emitter_type")
    kind = given.one_of("emitter_type", emitter_type, known)
    for r in rows("irrigation_emitters", "variation"):
        if r["emitter_type"] == kind and v < r["cv_high"] + 1e-12:
            return str(r["class"])
    raise OutOfRange("cv", f"{v:g} is no variation of an emitter", "give a share, as 0.05")


class Recommended(NamedTuple):
    """A recommended range."""

    low: float
    high: float


@method(
    title="Recommended design emission uniformity",
    equation="table",
    source="ASAE EP405.1 (from memory)",
)
def recommended_uniformity(
    slope: float, spacing: float, emitter_type: str = "point source"
) -> Recommended:
    """Look up what emission uniformity a design should reach.

    Parameters
    ----------
    slope : float
        Of the ground, rise over run. [-]
    spacing : float
        Between plants. [m]
    emitter_type : str
        "point source" or "line source". [text]

    Returns
    -------
    low, high : float
        Range that is recommended. [-], [-]

    Raises
    ------
    OutOfRange
        A negative slope or spacing, an unknown type.
    """
    s, d = float(given.at_least_zero("slope", slope)), float(given.above_zero("spacing", spacing))
    kind = given.one_of("emitter_type", emitter_type, ("point source", "line source"))
    steep = "over 2" if s > 0.02 else "under 2"
    wide = "any" if kind == "line source" else "over 4 m" if d > 4 else "under 4 m"
    found = next(
        r
        for r in rows("irrigation_emitters", "design_eu")
        if r["emitter_type"].startswith(kind) and r["slope_pct"] == steep and r["spacing"] == wide
    )
    return Recommended(found["eu_low"] / 100, found["eu_high"] / 100)


MEASURES = {
    "statistical uniformity": "statistical uniformity Us",
    "low quarter": "DU low quarter / field EU",
    "emission uniformity": "EU equivalent to Us class",
}


@method(
    title="Class of a measured uniformity",
    equation="table; a figure in a gap between two classes belongs to the lower one",
    source="ASAE EP458 and EP405.1; Merriam and Keller 1978 (from memory)",
)
def uniformity_class(uniformity: float, measure: str = "low quarter") -> str:
    """Class a uniformity.

    Parameters
    ----------
    uniformity : float
        As a share of 1. [-]
    measure : str
        "low quarter", "statistical uniformity" or "emission uniformity". [text]

    Returns
    -------
    class_name : str
        From excellent to poor or unacceptable. [text]

    Raises
    ------
    OutOfRange
        Outside 0 to 1, an unknown measure.
    """
    value = 100 * float(given.share("uniformity", uniformity))
    kind = MEASURES[given.one_of("measure", measure, tuple(MEASURES))]
    listed = [r for r in rows("irrigation_emitters", "uniformity_class") if r["measure"] == kind]
    return next(str(r["class"]) for r in listed if value >= r["low_pct"] - 1e-9)


class Wetted(NamedTuple):
    """What one emitter of 4 L/h wets."""

    spacing: float
    width: float
    area: float


LAYERS = ("homogeneous", "stratified", "layered")
COARSE = ("sand", "loamy sand")
FINE = ("clay", "silty clay", "sandy clay", "clay loam", "silty clay loam")


@method(
    title="Area wetted by one 1 gph emitter",
    equation="Se x Sw of the table, Se = 0.8 Sw",
    source="USDA-NRCS NEH 623 ch. 7; Keller and Bliesner 1990, Table 19.1 (from memory)",
)
def wetted_area(texture: str, depth: float = 2.5 * FOOT, layers: str = "homogeneous") -> Wetted:
    """Look up the area that an emitter of 1 gph (4 L/h) wets.

    Parameters
    ----------
    texture : str
        "coarse", "medium", "fine", or a USDA texture. [text]
    depth : float
        Of roots or soil; 2.5 ft rows to half way up to 5 ft. [m]
    layers : str
        "homogeneous", "stratified" or "layered". [text]

    Returns
    -------
    spacing : float
        Se, between emitters of a wetted strip. [m]
    width : float
        Sw, wetted diameter. [m]
    area : float
        Se times Sw. [m2]

    Raises
    ------
    OutOfRange
        An unknown texture or layering, no depth.
    """
    kind = texture_group(texture)
    column = f"{given.one_of('layers', layers, LAYERS)}_Se_x_Sw_ft"
    tabled = 2.5 if float(given.above_zero("depth", depth)) < 3.75 * FOOT else 5.0
    row = next(
        r
        for r in rows("irrigation_emitters", "wetted")
        if r["texture"] == kind and r["root_or_soil_depth_ft"] == tabled
    )
    along, across = (float(v) * FOOT for v in row[column].split(" x "))
    return Wetted(along, across, along * across)


def texture_group(texture: str) -> str:
    """Give coarse, medium or fine for one of these words or a USDA texture."""
    known = ("coarse", "medium", "fine", *words("irrigation_soil", "final_intake", "texture"))
    kind = given.one_of("texture", texture, (*known, "silt loam"))
    if kind in ("coarse", "medium", "fine"):
        return kind
    return "coarse" if kind in COARSE else "fine" if kind in FINE else "medium"


class Intake(NamedTuple):
    """How fast a soil takes water in, and what may stand on it meanwhile."""

    intake: float
    accumulation: float
    final_intake: float


_NEAREST = {
    "silty clay loam": "clay loam",
    "sandy clay": "silty clay",
    "sandy clay loam": "clay loam",
    "silt": "clay loam",
    "silty loam": "loam",
    "silt loam": "loam",
}


@method(
    title="Design intake of a soil and the water that may stand on it",
    equation="table by texture and slope class; the smaller of the two intake tables",
    source="Irrigation Association smart controller test protocol (steeper columns from memory); "
    "New Mexico State University irrigation scheduling model (final intake)",
)
def soil_intake(texture: str, slope: float = 0.0) -> Intake:
    """Look up how fast a soil takes water in.

    Parameters
    ----------
    texture : str
        USDA texture; one that the protocol does not list takes its next finer neighbour. [text]
    slope : float
        Of the surface, rise over run; a cell planted level counts as level. [-]

    Returns
    -------
    intake : float
        Basic intake rate of the protocol. [m/s]
    accumulation : float
        Depth that may stand on the surface. [m]
    final_intake : float
        Saturated flux of the other table; design with the smaller. [m/s]

    Raises
    ------
    OutOfRange
        An unknown texture, a negative slope.
    """
    known = (*words("irrigation_soil", "final_intake", "texture"), "silt loam")
    kind = given.one_of("texture", texture, known)
    percent = 100 * float(given.at_least_zero("slope", slope))
    protocol = words("irrigation_soil", "design_intake", "texture")
    near = kind if kind in protocol else _NEAREST[kind]
    row = next(r for r in rows("irrigation_soil", "design_intake") if r["texture"] == near)
    # the classes are written 0-3, 4-6, 7-12, over 12: between two whole numbers the steeper counts
    column = ("0_3", "4_6", "7_12", "over_12")[int(np.searchsorted([3.0, 6.0, 12.0], percent))]
    flux = "silty loam" if kind == "silt loam" else kind
    final = next(r for r in rows("irrigation_soil", "final_intake") if r["texture"] == flux)
    return Intake(
        row["intake_in_h"] * INCH / 3600,
        row[f"asa_in_slope_{column}"] * INCH,
        final["final_intake_cm_h"] * 0.01 / 3600,
    )


class Cycles(NamedTuple):
    """A run cut into cycles that do not run off."""

    max_run: float
    total_run: float
    cycles: int
    run_per_cycle: float
    soak: float


@method(
    title="Cycles and soaking between them",
    equation="t_max = ASA/(PR - IR); n = ceil(total / t_max); soak = run PR/IR - run",
    source="Irrigation Association smart controller test protocol (soak from memory)",
)
def cycle_soak(precip_rate: float, intake: float, asa: float, depth_needed: float) -> Cycles:
    """Cut a run into cycles.

    Parameters
    ----------
    precip_rate : float
        Rate of the water where it lands: for point drip the emitter's flow over its wetted area.
        [m/s]
    intake : float
        Of the soil. [m/s]
    asa : float
        Depth that may stand on the surface. [m]
    depth_needed : float
        To be applied. [m]

    Returns
    -------
    max_run : float
        Longest run before water runs off; without limit where it never does. [s]
    total_run : float
        For the whole depth. [s]
    cycles : int
        Whole cycles, at least 1. [-]
    run_per_cycle : float
        All of one length. [s]
    soak : float
        Between two cycles, until the water of one is in. [s]

    Raises
    ------
    OutOfRange
        A rate of 0 or below, nothing that may stand where the rate exceeds the intake.
    """
    pr, ir = (
        float(given.above_zero(n, v)) for n, v in (("precip_rate", precip_rate), ("intake", intake))
    )
    total = float(given.at_least_zero("depth_needed", depth_needed)) / pr
    if pr <= ir:
        return Cycles(np.inf, total, 1, total, 0.0)
    longest = float(given.above_zero("asa", asa)) / (pr - ir)
    n = max(int(np.ceil(total / longest - 1e-9)), 1)
    run = total / n
    return Cycles(longest, total, n, run, run * pr / ir - run)


class Meter(NamedTuple):
    """What a water meter may pass."""

    safe_max: float
    continuous: float
    design: float


@method(
    title="Flow through a water meter",
    equation="table: safe maximum, continuous (half of it), 75 % of it",
    source="AWWA displacement meters; Pasco municipal code 13.30.110 (5/8 and 2 in from memory)",
)
def meter_flow(size: str) -> Meter:
    """Look up what a water meter may pass.

    Parameters
    ----------
    size : str
        Nominal size in inches: "5/8", "3/4", "1", "1-1/2" or "2". [text]

    Returns
    -------
    safe_max, continuous, design : float
        Short peaks; long runs, which drip is; the 75 % rule of landscape work. [m3/s], [m3/s],
        [m3/s]

    Raises
    ------
    OutOfRange
        A size that is not tabled.
    """
    kind = given.one_of("size", size, words("irrigation_supply", "meter", "meter_in"))
    row = next(r for r in rows("irrigation_supply", "meter") if r["meter_in"] == kind)
    names = ("safe_max_gpm", "continuous_gpm", "design_75pct_of_safe_gpm")
    return Meter(*(float(row[n]) * GPM for n in names))


class Bores(NamedTuple):
    """Diameters that are sold under one name."""

    bore: Array
    outside: Array


@method(
    title="Bores that are sold under one nominal size",
    equation="table",
    source="public trade pages; 3/4, 1, 1/4 and 1/8 in and the metric sizes from memory",
)
def tube_bores(nominal: str) -> Bores:
    """Look up the bores that one nominal size stands for.

    Parameters
    ----------
    nominal : str
        As "1/2 in", "1/4 in" or "16 mm lateral". [text]

    Returns
    -------
    bore, outside : (n,) array
        Inside and outside diameters, narrowest first. [m], [m]

    Raises
    ------
    OutOfRange
        A size that is not tabled.

    Notes
    -----
    Five bores are sold as 1/2 in: the loss differs by 2.3 times. Ask for the bore.
    """
    kind = given.one_of("nominal", nominal, words("irrigation_tubing", "bore", "nominal"))
    found = sorted(
        (r["inside_diameter_in"] * INCH, r["outside_diameter_in"] * INCH)
        for r in rows("irrigation_tubing", "bore")
        if r["nominal"] == kind
    )
    bores = np.array(found)
    return Bores(bores[:, 0], bores[:, 1])


@method(
    title="Roughness of a pipe wall",
    equation="table",
    source="EPANET 2.2 User Manual (Rossman et al. 2020), Table 3.2; Hydraulic Institute, "
    "Engineering Data Book, Table 3.A.1",
)
def wall_roughness(material: str) -> float:
    """Look a wall up.

    Parameters
    ----------
    material : str
        As in the table. [text]

    Returns
    -------
    roughness : float
        Height of the grain. [m]

    Raises
    ------
    OutOfRange
        A material that is not tabled.
    """
    kind = given.one_of("material", material, words("irrigation_tubing", "roughness", "material"))
    return next(
        float(r["roughness_mm"]) * 1e-3
        for r in rows("irrigation_tubing", "roughness")
        if r["material"] == kind
    )


@method(
    title="Hazard of clogging by one property of the water",
    equation="table: low below the first bound, severe above the second",
    source="Bucks, Nakayama and Gilbert 1979, Agric. Water Management 2 (from memory)",
)
def clogging_hazard(factor: str, value: float) -> str:
    """Class a water test.

    Parameters
    ----------
    factor : str
        As in the table, with its unit: "suspended solids mg/L", "pH", "iron mg/L" ... [text]
    value : float
        In that unit. [-]

    Returns
    -------
    hazard : str
        low, moderate or severe. [text]

    Raises
    ------
    OutOfRange
        A property that is not tabled, a negative value.
    """
    kind = given.one_of("factor", factor, words("irrigation_emitters", "clogging", "factor"))
    row = next(r for r in rows("irrigation_emitters", "clogging") if r["factor"] == kind)
    found = float(given.at_least_zero("value", value))
    low, high = (float(row[c].split()[-1]) for c in ("low", "severe"))
    return "low" if found < low else "severe" if found > high else "moderate"
