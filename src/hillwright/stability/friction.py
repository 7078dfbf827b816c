"""Friction between a layer and the ground, looked up or from the soils on both sides."""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array
from hillwright.data import table
from hillwright.errors import OutOfRange, did_you_mean
from hillwright.method import method
from hillwright.stability.given import fitting, friction_angle, within

_POUND_PER_FOOT3 = 4.4482216152605 / 0.3048**3  # psf per ft -> Pa/m, exact


@method(
    title="Friction of an open-bottom cell on the ground, soil on soil",
    equation="tan d = k min(tan p1, tan p2)",
    source="note to FHWA, 2002, GEC 6 (FHWA-SA-02-054), Table 5-15; common practice, no source",
)
def interface_friction(fill: ArrayLike, ground: ArrayLike, share: ArrayLike = 0.9) -> Array:
    """Give the friction angle between planting soil and the ground it lies on.

    Parameters
    ----------
    fill, ground : (...) array
        Friction angles of the soil in the cells, loose, and of the ground. [rad]
    share : (...) array
        Of the weaker one's friction that a cut surface keeps: at most 0.9. [-]

    Returns
    -------
    (...) array
        Angle of friction. [rad]

    Raises
    ------
    OutOfRange
        Friction over 50 deg, or a share not within 0 to 1.

    Notes
    -----
    For soil on soil. A sheet, a mat or a film of organic matter between them is weaker: look it
    up, or test it.
    """
    fitting(**locals())
    weaker = np.minimum(friction_angle(fill, "fill"), friction_angle(ground, "ground"))
    return np.asarray(np.arctan(within("share", share, 0, 1) * np.tan(weaker)))


@cache
def friction_names() -> dict[str, float]:
    """Give the low friction angle of every pair of the tables by its name [rad]."""
    t = table("friction")
    found = {f"concrete on {r[0]}": r[3] for r in t["mass_concrete"]["rows"]}
    found |= {f"{r[0]} against {r[1]}": r[2] for r in t["smooth_faces"]["rows"]}
    sheets = t["geosynthetics"]
    for i, name in enumerate(("smooth PVC", "smooth HDPE", "textured HDPE"), 1):
        least = min(r[i] for r in sheets["rows"])
        # a smooth sheet may be much worse with rounded sand than in this test
        found[f"sand on {name} sheet"] = (
            sheets["lowest_deg"] if name.startswith("smooth") else least
        )
    found |= {
        f"textured HDPE on nonwoven, {state}": angle
        for state, angle, _ in t["textured_liner"]["rows"]
    }
    return {name: float(np.radians(angle)) for name, angle in found.items()}


def friction_between(name: str) -> float:
    """Look up the friction angle of a pair of materials, the low one of its range [rad].

    Raises
    ------
    OutOfRange
        No pair is called so.
    """
    names = friction_names()
    if name not in names:
        right = did_you_mean(name, names, f"known are {'; '.join(names)}")
        raise OutOfRange("friction", f"{name!r} is not known", right)
    return names[name]


def shaft_beta(soil: str, density: str) -> float:
    """Look up shaft friction over overburden for a bar in tension [-].

    Parameters
    ----------
    soil : str
        "sand-silt" or "sand".
    density : str
        "medium dense", "dense" or "very dense"; looser soil has no row, and a bar in it no figure.

    Raises
    ------
    OutOfRange
        No row is called so.
    """
    t = table("driven_shafts")
    rows = {f"{r[0]}, {r[1]}": r[2] for r in t["beta"]["rows"]}
    if (name := f"{soil}, {density}") not in rows:
        right = did_you_mean(name, rows, f"known are {'; '.join(rows)}")
        raise OutOfRange("shaft friction", f"{name!r} is not known", right)
    return float(rows[name] * t["tension"]["share"])


def lateral_bearing(uscs: str) -> float:
    """Look up the allowable lateral bearing per depth of a USCS class by the code [Pa/m].

    Raises
    ------
    OutOfRange
        The code gives none for this class (organic soil, peat), or nothing is called so.
    """
    rows = {u: r[3] for r in table("lateral_soil")["ibc_bearing"]["rows"] for u in r[1]}
    if uscs not in rows:
        right = did_you_mean(uscs, rows, f"the code gives it for {', '.join(rows)}")
        raise OutOfRange("lateral bearing", f"{uscs!r} has none in the code's table", right)
    return float(rows[uscs] * _POUND_PER_FOOT3)
