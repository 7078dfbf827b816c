"""Rules of the trade for emitters, looked up: classes, uniformity to ask for, clogging."""

from __future__ import annotations

from typing import NamedTuple

from hillwright import given
from hillwright.errors import OutOfRange
from hillwright.irrigation.tables import rows, words
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
