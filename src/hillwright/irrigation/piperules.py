"""Rules of the trade for meters and pipes, looked up: flows, bores, roughness."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from hillwright import given
from hillwright.arrays import Array
from hillwright.irrigation.tables import GPM, INCH, rows, words
from hillwright.method import method


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
