"""What holds a bar or a sheet against being drawn out of the ground.

The rules go by overburden, and near the surface there is almost none: for a short driven bar they
give a floor, many times below what field tests find dry. Only a pull test on the site tells.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array
from hillwright.errors import OutOfRange
from hillwright.method import method
from hillwright.stability.given import above_zero, at_least_zero, fitting, soil_weight, within

_SHAFT = "UFC 3-220-20 (2025) section 6-5.4"
WET_SHARE = 0.5  # of a dry test that is left when wetted; data/driven_shafts.toml gives its source


class AlphaUplift(NamedTuple):
    """Uplift of a bar in clay."""

    alpha: Array
    load: Array


@method(
    title="Uplift of a driven bar by the beta rule",
    equation="R = beta (g L/2) pi d L",
    source=_SHAFT + "; beta from API RP 2GEO",
)
def beta_uplift(
    beta: ArrayLike, diameter: ArrayLike, length: ArrayLike, unit_weight: ArrayLike
) -> Array:
    """Give what friction on a bar in sand or silt holds; no factor is in it.

    Parameters
    ----------
    beta : (...) array
        Shaft friction over vertical effective stress, 0 to 1.5. [-]
    diameter : (...) array
        Of the bar, > 0. [m]
    length : (...) array
        Embedment, > 0. [m]
    unit_weight : (...) array
        Effective unit weight: less that of water below the water table, > 0. [N/m3]

    Returns
    -------
    (...) array
        Ultimate uplift. [N]

    Raises
    ------
    OutOfRange
        A diameter, length or weight of zero or less.

    Notes
    -----
    A floor: the rule comes from large deep piles, and a short bar has almost no overburden. Not
    for jetted, predrilled or vibrated bars. The end of a bar holds no uplift.
    """
    fitting(**locals())
    b, d, n = (
        within("beta", beta, 0.0, 1.5),
        above_zero("diameter", diameter),
        above_zero("length", length),
    )
    return np.asarray(b * soil_weight(unit_weight) * n / 2 * np.pi * d * n)


@method(
    title="Uplift of a driven bar by the alpha rule",
    equation="R = alpha su pi d L; alpha = 0.5 (su/s)^-0.5, above su/s = 1: 0.5 (su/s)^-0.25",
    source=_SHAFT + ", eq. 6-16 and 6-17",
)
def alpha_uplift(
    undrained_strength: ArrayLike, diameter: ArrayLike, length: ArrayLike, unit_weight: ArrayLike
) -> AlphaUplift:
    """Give what a bar in clay holds; no factor is in it.

    Parameters
    ----------
    undrained_strength : (...) array
        Of the clay: su, > 0. [Pa]
    diameter : (...) array
        Of the bar, > 0. [m]
    length : (...) array
        Embedment, > 0. [m]
    unit_weight : (...) array
        Effective unit weight: less that of water below the water table, > 0. [N/m3]

    Returns
    -------
    alpha : (...) array
        Shaft friction over the strength of the clay, at most 1, with the stress at mid depth. [-]
    load : (...) array
        Ultimate uplift. [N]

    Raises
    ------
    OutOfRange
        A strength, diameter, length or weight of zero or less.

    Notes
    -----
    Short-term: clay that is wetted on a slope softens. Not for jetted, predrilled or vibrated
    bars, nor in the depth that dries and cracks.
    """
    fitting(**locals())
    su, n = above_zero("undrained_strength", undrained_strength), above_zero("length", length)
    ratio = su / (soil_weight(unit_weight) * n / 2)
    alpha = np.minimum(0.5 * ratio ** np.where(ratio <= 1, -0.5, -0.25), 1.0)
    return AlphaUplift(
        *np.broadcast_arrays(alpha, alpha * su * np.pi * above_zero("diameter", diameter) * n)
    )


@method(
    title="Uplift of a group of bars in clay, as one block",
    equation="R = 2 Z (B + L) su + W",
    source=_SHAFT + ".6",
)
def block_uplift_clay(
    depth: ArrayLike,
    breadth: ArrayLike,
    length: ArrayLike,
    undrained_strength: ArrayLike,
    unit_weight: ArrayLike,
) -> Array:
    """Give what a block of clay between bars holds: no group holds more than its block.

    Parameters
    ----------
    depth : (...) array
        Of the bars, > 0. [m]
    breadth, length : (...) array
        Of the group in plan, over the bars, > 0. [m]
    undrained_strength : (...) array
        Of the clay, > 0. [Pa]
    unit_weight : (...) array
        Of the block, > 0. [N/m3]

    Returns
    -------
    (...) array
        Ultimate uplift. [N]

    Raises
    ------
    OutOfRange
        A length, strength or weight of zero or less.

    Notes
    -----
    Short-term, level ground.
    """
    fitting(**locals())
    z, b, n = _block(depth, breadth, length)
    su = above_zero("undrained_strength", undrained_strength)
    return np.asarray(2 * z * (b + n) * su + soil_weight(unit_weight) * b * n * z)


@method(
    title="Uplift of a group of bars in sand, as the prism of soil above it",
    equation="R = g (B L Z + (B + L) Z^2/4 + Z^3/12)",
    source=_SHAFT + ".6",
)
def block_uplift_sand(
    depth: ArrayLike, breadth: ArrayLike, length: ArrayLike, unit_weight: ArrayLike
) -> Array:
    """Give the weight of the soil that a group of bars would lift with it.

    Parameters
    ----------
    depth : (...) array
        Of the bars, > 0. [m]
    breadth, length : (...) array
        Of the group in plan, over the bars, > 0. [m]
    unit_weight : (...) array
        Effective unit weight, > 0. [N/m3]

    Returns
    -------
    (...) array
        Ultimate uplift. [N]

    Raises
    ------
    OutOfRange
        A length or weight of zero or less.

    Notes
    -----
    Level ground. The volume is the exact one of a prism whose four sides spread at 4V:1H; the
    manual prints a larger one, which is not on the safe side.
    """
    fitting(**locals())
    z, b, n = _block(depth, breadth, length)
    volume = b * n * z + (b + n) * z**2 / 4 + z**3 / 12
    return np.asarray(soil_weight(unit_weight) * volume)


@method(
    title="Pullout of sheet reinforcement",
    equation="Pr = F* alpha sv C Le; sv = g Zp",
    source="FHWA, 2009, GEC 11 (FHWA-NHI-10-024/025)",
)
def sheet_pullout(
    friction_factor: ArrayLike,
    scale_factor: ArrayLike,
    unit_weight: ArrayLike,
    depth: ArrayLike,
    length: ArrayLike,
    faces: ArrayLike = 2.0,
) -> Array:
    """Give what a buried sheet holds per metre of width; no factor is in it.

    Parameters
    ----------
    friction_factor : (...) array
        Pullout resistance factor of the sheet in its soil: F*, above 0 to 2. [-]
    scale_factor : (...) array
        Correction for stretch: alpha, 0 to 1. [-]
    unit_weight : (...) array
        Of the soil above it, > 0. [N/m3]
    depth : (...) array
        Of soil above the anchored length, in its middle, >= 0. [m]
    length : (...) array
        Anchored beyond the surface that slides, >= 0. [m]
    faces : (...) array
        Sides that grip: 2 for a sheet. [-]

    Returns
    -------
    (...) array
        Ultimate, per width. [N/m]

    Raises
    ------
    OutOfRange
        A factor out of its range, a negative depth or length.

    Notes
    -----
    By overburden: a shallow flap holds little.
    """
    fitting(**locals())
    stress = soil_weight(unit_weight) * at_least_zero("depth", depth)
    factors = within("friction_factor", friction_factor, 0, 2) * within(
        "scale_factor", scale_factor, 0, 1
    )
    return np.asarray(
        factors * stress * above_zero("faces", faces) * at_least_zero("length", length)
    )


@method(
    title="What a pull test on the site allows",
    equation="R = P/FS wet; R = 0.5 P/FS dry",
    source="common practice; wetting halves it: tent staking study, University of Illinois, 2009",
)
def site_pull(load: ArrayLike, wet: bool, factor: ArrayLike = 2.0) -> Array:
    """Give the allowable pull on a bar like one that was tested, over any computed figure.

    Parameters
    ----------
    load : (...) array
        At which the tested bar began to move; the least of several tests, > 0. [N]
    wet : bool
        The ground was soaked when it was tested. [-]
    factor : (...) array
        Required factor, >= 1.5. [-]

    Returns
    -------
    (...) array
        Allowable. [N]

    Raises
    ------
    OutOfRange
        A load of zero or less, a factor below 1.5.

    Notes
    -----
    For bars at least as thick and as deep as the tested one, in the same ground, pulled as the
    cells will pull. A bar that was pulled straight up was tested for another load.
    """
    fitting(**locals())
    fs = above_zero("factor", factor)
    if (fs < 1.5).any():
        raise OutOfRange(
            "factor", "is below 1.5", "give 2, the factor on a test by common practice"
        )
    return np.asarray(above_zero("load", load) * (1.0 if wet else WET_SHARE) / fs)


def _block(depth: ArrayLike, breadth: ArrayLike, length: ArrayLike) -> tuple[Array, Array, Array]:
    return above_zero("depth", depth), above_zero("breadth", breadth), above_zero("length", length)
