"""Norms of hand work from published tables; the person's own measured rates come first."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array
from hillwright.crew.given import above_zero, at_least_zero, one_of, rows
from hillwright.data import table
from hillwright.errors import OutOfRange
from hillwright.method import method

_GUILD = "Guild of Project Controls, construction production rates"
HOUR, DAY = 3600.0, 8 * 3600.0
YARD3 = 0.9144**3  # [m3]


@method(
    title="Digging by hand",
    equation="volume a man-hour by soil and depth",
    source=f"{_GUILD}, Excavate and Reduce Levels",
)
def hand_dig(work: str, soil: str, depth: float) -> float:
    """Give how much one person digs in a time.

    Parameters
    ----------
    work : str
        "trench" or "pit" (to 2 m2 in plan). [text]
    soil : str
        A soil of that table, as "sand or soil, firm". [text]
    depth : float
        Of the hole. [m]

    Returns
    -------
    float
        Volume in the ground in a time. [m3/s]

    Raises
    ------
    OutOfRange
        A word that is not among those, or deeper than the table goes.
    """
    name = one_of("work", work, ("trench", "pit"))
    found = rows("norms", name)
    row = next(
        r for r in found if r["soil"] == one_of("soil", soil, [str(r["soil"]) for r in found])
    )
    z = float(above_zero("depth", depth))
    steps = [(1.5, "depth_to_1.5m"), (3.0, "depth_1.5_3.0m"), (4.5, "depth_3.0_4.5m")]
    for most, column in steps:
        if z <= most and column in row:
            return float(row[column]) / HOUR
    raise OutOfRange("depth", f"{z:g} m is deeper than the table goes", "this needs shoring: ask")


@method(
    title="Carrying soil on the level by hand",
    equation="volume a man-hour by distance: 0-10, 10-20, 20-50 m; beyond, 1/(0.10 + 0.0105 d)",
    source=f"{_GUILD}, Hand transportation of spoil",
)
def hand_transport(distance: ArrayLike) -> Array:
    """Give how much one person carries away on the level in a time.

    Parameters
    ----------
    distance : (...) array
        One way. [m]

    Returns
    -------
    (...) array
        Loose volume in a time. [m3/s]

    Raises
    ------
    OutOfRange
        A distance below 0.

    Notes
    -----
    Level ground, to 50 m; beyond that a line through the table's times, outside its range.
    """
    d = at_least_zero("distance", distance)
    found = rows("norms", "transport")
    # a distance on the border belongs to the nearer band
    tops = np.array([r["haul_to_m"] for r in found])
    rates = np.array([r["m3_per_h"] for r in found])
    band = np.searchsorted(tops, d, side="left")
    inside = rates[np.clip(band, 0, len(rates) - 1)]
    beyond = np.minimum(1 / (0.10 + 0.0105 * d), rates[-1])
    return np.asarray(np.where(band < len(rates), inside, beyond) / HOUR)


@method(
    title="Trimming a face by hand",
    equation="area a man-hour by mean thickness",
    source=f"{_GUILD}, Excavate and Reduce Levels",
)
def hand_trim(material: str, thickness: float) -> float:
    """Give how much face one person smooths in a time.

    Parameters
    ----------
    material : str
        "sand", "gravel", "clay" or "boulders". [text]
    thickness : float
        Mean of what comes off, to 125 mm. [m]

    Returns
    -------
    float
        Area in a time. [m2/s]

    Raises
    ------
    OutOfRange
        A word that is not among those, or more than the table goes to.
    """
    word = one_of("material", material, ("sand", "gravel", "clay", "boulders"))
    mm = 1e3 * float(at_least_zero("thickness", thickness))
    for row in rows("norms", "trim"):
        if mm <= float(row["average_thickness_mm"].split("-")[1]) + 1e-9:
            return float(row[word]) / HOUR
    raise OutOfRange("thickness", f"{mm:g} mm is more than trimming", "count it as digging")


@method(
    title="Filling and tamping by hand",
    equation="volume a man-hour by material and layer",
    source=f"{_GUILD}, Hand Fill and Compact",
)
def hand_fill(material: str, layer: float) -> float:
    """Give how much one person fills in and tamps in a time, from beside the hole.

    Parameters
    ----------
    material : str
        A material of the table, as "loose sand or soil". [text]
    layer : float
        Thickness. [m]

    Returns
    -------
    float
        Volume in a time. [m3/s]

    Raises
    ------
    OutOfRange
        A word that is not among those, or a layer of 0 or less.
    """
    found = rows("norms", "fill")
    word = one_of("material", material, [str(r["material"]) for r in found])
    row = next(r for r in found if r["material"] == word)
    mm = 1e3 * float(above_zero("layer", layer))
    column = (
        "layer_to_100mm"
        if mm <= 100
        else "layer_100_200mm"
        if mm <= 200
        else "layer_200_300mm"
        if mm <= 300
        else "layer_over_300mm"
    )
    return float(row[column]) / HOUR


@method(
    title="Labour-based norm of a working day",
    equation="volume a worker-day by operation",
    source="ILO/ASIST, 1998, Technical Brief No 2, Productivity norms for labour-based "
    "construction (from memory)",
)
def labour_norm(operation: str) -> float:
    """Give what one person does in a working day.

    Parameters
    ----------
    operation : str
        A row of the table, as "loading" or "wheelbarrow haul 20-40 m". [text]

    Returns
    -------
    float
        Loose volume in a day of one person. [m3]

    Raises
    ------
    OutOfRange
        A word that is not among those.
    """
    found = rows("norms", "labour_based")
    word = one_of("operation", operation, [str(r["operation"]) for r in found])
    return float(next(r for r in found if r["operation"] == word)["value"])


class Constant(NamedTuple):
    """Labour constant of one operation."""

    foreman: float
    labour: float


@method(
    title="Labour constant of earth work (public works)",
    equation="days a cubic metre by operation",
    source="labour production constants, Indian public works style",
)
def labour_constant(operation: str) -> Constant:
    """Give how long people are at a cubic metre.

    Parameters
    ----------
    operation : str
        A row of the table, or enough of its beginning to tell it. [text]

    Returns
    -------
    foreman : float
        Time of a foreman for a cubic metre; a day is 8 h. [s/m3]
    labour : float
        Time of labour. [s/m3]

    Raises
    ------
    OutOfRange
        A word that is not among those.
    """
    found = rows("norms", "india")
    begun = [r for r in found if str(r["operation"]).startswith(operation.strip())]
    if len(begun) != 1 or not operation.strip():
        one_of("operation", operation, [str(r["operation"]) for r in found])
        begun = [r for r in found if r["operation"] == operation]
    return Constant(begun[0]["foreman_days"] * DAY, begun[0]["labour_days"] * DAY)


def practice_band() -> tuple[float, float]:
    """Give the range that practitioners report for 30 m of level barrow haul [m3/s a person]."""
    low, high = table("norms")["practice_band"]["yd3_h"]
    return low * YARD3 / HOUR, high * YARD3 / HOUR


def barrow_norm(distance: float) -> float:
    """Give the labour-based norm of barrow haul on the level [m3 a worker-day]; 0 beyond 80 m."""
    d = float(at_least_zero("distance", distance))
    for low in (0, 20, 40, 60):
        if d <= low + 20:
            return labour_norm(f"wheelbarrow haul {low}-{low + 20} m")
    return 0.0
