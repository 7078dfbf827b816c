"""Rules of the trade for soils, looked up: what one emitter wets, intake, cycle and soak."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from hillwright import given
from hillwright.irrigation.tables import FOOT, INCH, rows, words
from hillwright.method import method


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
