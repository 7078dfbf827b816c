"""How easily a soil is washed away: K by texture, by the nomograph, by organic matter.

US K is in ton acre h / (hundreds of acre ft tonf in); times 0.1317 it is t ha h / (ha MJ mm).
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright import given
from hillwright.arrays import Array
from hillwright.errors import OutOfRange
from hillwright.method import method
from hillwright.runoff.tables import rows, words

# one US unit in SI base units, exact by the definitions of the units: of K, 0.1317 t h/(MJ mm)
# in kg s/(J m), and of R, 17.02 MJ mm/(ha h) in J m/(m2 s); their product is one ton/acre in kg/m2
SI_K = 907.18474 * 3600 / (100 * 0.3048 * 2000 * 4.4482216152605 * 0.0254)
SI_R = 100 * 0.3048 * 2000 * 4.4482216152605 * 0.0254 / (43560 * 0.3048**2) / 3600


class Nomograph(NamedTuple):
    """Erodibility from the five numbers of a soil report."""

    size_product: Array
    us: Array
    erodibility: Array


class TextureErodibility(NamedTuple):
    """Erodibility of a texture and how far organic matter moves it."""

    us: float
    us_low: float
    us_high: float
    erodibility: float


class Erodibility(NamedTuple):
    """One erodibility in both systems."""

    us: Array
    erodibility: Array


@method(
    title="Soil erodibility by the nomograph equation",
    equation="100 K = 2.1e-4 M^1.14 (12 - OM) + 3.25 (s - 2) + 2.5 (p - 3); M = (silt + vfs) "
    "(100 - clay), in percent",
    source="Wischmeier and Smith 1978, USDA AH-537",
)
def nomograph(
    silt: ArrayLike,
    sand: ArrayLike,
    organic: ArrayLike,
    structure: ArrayLike,
    permeability: ArrayLike,
) -> Nomograph:
    """Give K of a soil from its grain sizes, organic matter and two classes.

    Parameters
    ----------
    silt : (...) array
        Silt and very fine sand together, by weight, under 70 %. [-]
    sand : (...) array
        The rest of the sand, by weight. [-]
    organic : (...) array
        Organic matter, by weight; above 4 % it counts as 4 %. [-]
    structure : (...) array
        1 very fine granular, 2 fine granular, 3 coarse granular, 4 blocky or massive. [-]
    permeability : (...) array
        1 rapid (over 6 in/h) to 6 very slow (under 0.06 in/h). [-]

    Returns
    -------
    size_product : (...) array
        M, in percent times percent. [-]
    us : (...) array
        K in US units; none below 0. [-]
    erodibility : (...) array
        The same in SI. [t h/(MJ mm)]

    Raises
    ------
    OutOfRange
        Shares outside 0 to 1 or over 1 together, silt of 70 % and more, or a class outside 1 to 4
        or 1 to 6.

    Notes
    -----
    Silt and very fine sand under 70 %. In a test on 20,000 soils the equation was off the printed
    nomograph in over half of them, by up to half of K.
    """
    fine = given.share("silt", silt) * 100
    coarse = given.share("sand", sand) * 100
    om = np.minimum(given.share("organic", organic) * 100, 4.0)
    s = given.within("structure", structure, 1.0, 4.0, "give the class, 1 to 4")
    p = given.within("permeability", permeability, 1.0, 6.0, "give the class, 1 to 6")
    if (bad := fine + coarse > 100 + 1e-9).any():
        what = "silt and sand are more than the whole soil"
        raise OutOfRange(given.where("sand", bad), what, "give shares by weight of one soil")
    if (bad := fine >= 70).any():
        what = "silt and very fine sand are 70 % or more, where the equation ends"
        raise OutOfRange(given.where("silt", bad), what, "read K from the nomograph or by texture")
    m = fine * (fine + coarse)  # 100 - clay is what is not clay
    us = np.maximum((2.1e-4 * m**1.14 * (12 - om) + 3.25 * (s - 2) + 2.5 * (p - 3)) / 100, 0.0)
    return Nomograph(np.asarray(m), np.asarray(us), np.asarray(us * SI_K))


@method(
    title="Soil erodibility by texture",
    equation="table of K by texture, mean and with organic matter under and over 2 %",
    source="Stewart et al. 1975 family, as in the Ontario ministry factsheet on the USLE",
)
def texture_erodibility(texture: str) -> TextureErodibility:
    """Look K of a texture up.

    Parameters
    ----------
    texture : str
        As the table words it, as "sandy loam". [text]

    Returns
    -------
    us : float
        Mean K in US units. [-]
    us_low, us_high : float
        With over and under 2 % organic matter; the mean where the table has none. [-]
    erodibility : float
        The mean in SI. [t h/(MJ mm)]

    Raises
    ------
    OutOfRange
        A texture that the table does not have.

    Notes
    -----
    The metric column of that source is t/ha per US erosivity, which is not this SI unit: mixing
    them is a factor of 17.
    """
    known = words("soil_loss", "k_texture", "texture")
    row = rows("soil_loss", "k_texture")[known.index(given.one_of("texture", texture, known))]
    mean = float(row["average_us"])
    ends = [float(row[c]) if row[c] != "" else mean for c in ("om_gt_2_us", "om_lt_2_us")]
    return TextureErodibility(mean, ends[0], ends[1], mean * SI_K)


@method(
    title="Erodibility when organic matter is not 2 %",
    equation="K + correction by range of K and percent of organic matter, straight between columns",
    source="K correction table in the GSSHA manual, Table 17.17",
)
def organic_correction(us: ArrayLike, organic: ArrayLike) -> Erodibility:
    """Correct K for organic matter.

    Parameters
    ----------
    us : (...) array
        K at 2 % organic matter, US units. [-]
    organic : (...) array
        Organic matter by weight, 0 to 4 %. [-]

    Returns
    -------
    us : (...) array
        K corrected, US units; none below 0. [-]
    erodibility : (...) array
        The same in SI. [t h/(MJ mm)]

    Raises
    ------
    OutOfRange
        K outside 0 to 1, or organic matter outside 0 to 4 %.
    """
    right = "give K in US units, 0 to 1"
    k = given.within("us", us, 0.0, 1.0, right)
    right = 'the table goes from 0 to 4 %: give it so, as "3 %"'
    om = given.within("organic", organic, 0.0, 0.04, right)
    table = [[r[f"om{i}"] for i in range(5)] for r in rows("soil_loss", "k_om_correction")]
    at = np.arange(5) / 100
    by_range = [np.interp(om, at, np.array(t, float)) for t in table]
    step = np.select([k > 0.40, k >= 0.20], by_range[:2], by_range[2])
    found = np.maximum(k + step, 0.0)
    return Erodibility(np.asarray(found), np.asarray(found * SI_K))


@method(
    title="Very fine sand from total sand",
    equation="vfs = 0.74 sand - 0.0062 sand^2, in percent",
    source="RUSLE2 fallback, as in a public code",
)
def very_fine_sand(sand: ArrayLike) -> Array:
    """Estimate very fine sand where it was not measured.

    Parameters
    ----------
    sand : (...) array
        All sand, by weight. [-]

    Returns
    -------
    (...) array
        Very fine sand, by weight; none below 0. [-]

    Raises
    ------
    OutOfRange
        A share outside 0 to 1.
    """
    percent = given.share("sand", sand) * 100
    return np.asarray(np.maximum(0.74 * percent - 0.0062 * percent**2, 0.0) / 100)
