"""What linings and bare soils stand, and how rough they are."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright import given
from hillwright.arrays import Array
from hillwright.errors import OutOfRange
from hillwright.method import method
from hillwright.runoff import given as guard
from hillwright.runoff.tables import FOOT, POUND_PER_FOOT2, rows, words

# depth of water [ft] -> column of its velocities
_DEPTHS = {1.3: "depth_1_3_ft", 3.3: "depth_3_3_ft", 6.6: "depth_6_6_ft", 9.8: "depth_9_8_ft"}


class Roughness(NamedTuple):
    """Manning's n of a lining, smoothest to roughest."""

    least: float
    typical: float
    most: float


@method(
    title="Manning's n of a channel lining",
    equation="HEC-22 Table 6.1",
    source="FHWA 2005, HEC-15, as in FHWA 2024, HEC-22 4th ed., Table 6.1",
)
def lining_roughness(lining: str) -> Roughness:
    """Look Manning's n of a lining up.

    Parameters
    ----------
    lining : str
        As the table words it, as "erosion control blanket". [text]

    Returns
    -------
    least, typical, most : float
        Manning's n. [-]

    Raises
    ------
    OutOfRange
        A lining that the table does not have.
    """
    known = words("linings", "roughness", "lining")
    row = rows("linings", "roughness")[known.index(given.one_of("lining", lining, known))]
    return Roughness(row["n_min"], row["n_typical"], row["n_max"])


@method(
    title="Shear that a lining stands",
    equation="table of permissible shear by lining",
    source="FHWA 1988, HEC-15; riprap FHWA 2005 (from memory)",
)
def lining_shear(lining: str) -> float:
    """Look the permissible shear of a lining up.

    Parameters
    ----------
    lining : str
        As the table words it, as "riprap 6 in". [text]

    Returns
    -------
    float
        Shear that it stands. [Pa]

    Raises
    ------
    OutOfRange
        A lining that the table does not have.

    Notes
    -----
    The edition of 2005 reckons grass from its stems and soil, and riprap by stone_shear.
    """
    known = words("linings", "shear", "lining")
    row = rows("linings", "shear")[known.index(given.one_of("lining", lining, known))]
    return float(row["tau_lb_ft2"]) * POUND_PER_FOOT2


@method(
    title="Velocity that grass stands",
    equation="table of permissible velocity by cover, gradient and soil",
    source="SCS-TP-61, as in a county ordinance",
)
def grass_velocity(cover: str, gradient: float, soil: str = "easily eroded") -> float:
    """Look the permissible velocity of a grassed channel up.

    Parameters
    ----------
    cover : str
        As the table words it, as "grass mixtures". [text]
    gradient : float
        Fall of the channel over its run. [-]
    soil : str
        "erosion resistant" or "easily eroded". [text]

    Returns
    -------
    float
        Velocity that it stands. [m/s]

    Raises
    ------
    OutOfRange
        A cover or soil that the table does not have, or a gradient that the cover is not for.

    Notes
    -----
    Above 5 ft/s only with good cover and upkeep.
    """
    cover = given.one_of("cover", cover, words("linings", "grass", "cover"))
    soil = given.one_of("soil", soil, ("erosion resistant", "easily eroded"))
    percent = float(guard.gradient(gradient)) * 100
    classes = {r["slope_range_pct"]: r for r in rows("linings", "grass") if r["cover"] == cover}
    wanted = "0-5" if percent <= 5 + 1e-9 else "5-10" if percent <= 10 + 1e-9 else "over 10"
    if wanted not in classes:
        what = f"{cover} is not for a channel of {percent:.3g} %"
        raise OutOfRange("gradient", what, f"it is for {' and '.join(classes)} %")
    column = soil.replace(" ", "_") + "_soil_ft_s"
    return float(classes[wanted][column]) * FOOT


@method(
    title="Velocity that bare soil and stone stand",
    equation="table of non-scour velocity by soil and depth of water, straight between depths",
    source="after Keown et al. 1977",
)
def soil_velocity(soil: str, depth: ArrayLike) -> Array:
    """Look the velocity up that does not scour a bed.

    Parameters
    ----------
    soil : str
        As the table words it, as "coarse gravel". [text]
    depth : (...) array
        Depth of water, up to 9.8 ft; below 1.3 ft the value of 1.3 ft. [m]

    Returns
    -------
    (...) array
        Velocity that it stands. [m/s]

    Raises
    ------
    OutOfRange
        A soil that the table does not have, or a depth of 0 or below or over 9.8 ft.
    """
    known = words("linings", "soil", "soil")
    row = rows("linings", "soil")[known.index(given.one_of("soil", soil, known))]
    right = "the table ends at 9.8 ft (3 m)"
    d = given.within("depth", given.above_zero("depth", depth), 0.0, 9.8 * FOOT + 1e-9, right)
    speeds = [row[column] for column in _DEPTHS.values()]
    return np.asarray(np.interp(d / FOOT, list(_DEPTHS), speeds) * FOOT)
