"""Steel bars: what corrosion leaves of them in the design life, and what that carries."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array
from hillwright.errors import OutOfRange
from hillwright.method import method
from hillwright.stability.given import above_zero, at_least_zero, fitting

YEAR = 365.25 * 86_400.0  # [s]
_UM_YEAR = 1e-6 / YEAR  # micrometre per year [m/s]
_FIRST = 2 * YEAR  # how long the first rate of the zinc holds [s]


class SteelLoss(NamedTuple):
    """What rusts away."""

    zinc_life: Array
    loss: Array


class BarStrength(NamedTuple):
    """What is left of a round bar and what it carries when it yields."""

    diameter: Array
    area: Array
    tension: Array
    shear: Array
    moment: Array


class RoundBar(NamedTuple):
    """Measures of a round bar."""

    area: Array
    perimeter: Array
    mass: Array


@method(
    title="Steel lost from a galvanised bar over the design life",
    equation="zinc lasts 2 years + (t - 2 r1)/r2; loss per side = r3 (life - zinc years)",
    source="FHWA, 2009, GEC 11 (FHWA-NHI-10-024), Table 3-8",
)
def steel_loss(
    zinc: ArrayLike,
    life: ArrayLike,
    zinc_first: ArrayLike = 15 * _UM_YEAR,
    zinc_later: ArrayLike = 4 * _UM_YEAR,
    steel: ArrayLike = 12 * _UM_YEAR,
) -> SteelLoss:
    """Give the thickness that corrosion takes from each side of a bar.

    Parameters
    ----------
    zinc : (...) array
        Thickness of the zinc, 0 for a bare bar. [m]
    life : (...) array
        Design life, >= 0. [s]
    zinc_first, zinc_later : (...) array
        Rates of loss of zinc, the first 2 years and after, > 0. [m/s]
    steel : (...) array
        Rate of loss of steel on each side, >= 0. [m/s]

    Returns
    -------
    zinc_life : (...) array
        How long the zinc lasts. [s]
    loss : (...) array
        Steel lost from each side by the end of the life. [m]

    Raises
    ------
    OutOfRange
        A negative thickness, life or rate.

    Notes
    -----
    For mildly corrosive ground only (resistivity over 3000 ohm cm, pH 5 to 10, few salts, under
    1 percent organic). Irrigated, fertilised planting soil is outside: set steel in the mineral
    ground, expect more, inspect.
    """
    fitting(**locals())
    t, n = at_least_zero("zinc", zinc), at_least_zero("life", life)
    r1, r2 = above_zero("zinc_first", zinc_first), above_zero("zinc_later", zinc_later)
    lasts = np.where(t <= r1 * _FIRST, t / r1, _FIRST + (t - r1 * _FIRST) / r2)
    loss = at_least_zero("steel", steel) * np.maximum(n - lasts, 0.0)
    return SteelLoss(*np.broadcast_arrays(lasts, loss))


@method(
    title="What a round bar carries at yield, after corrosion",
    equation="d' = d - 2 loss; T = fy pi d'^2/4; V = 0.577 fy pi d'^2/4; M = fy d'^3/6",
    source="mechanics of materials: yield in tension and (von Mises) shear, fully plastic bending",
)
def bar_strength(
    diameter: ArrayLike, yield_strength: ArrayLike, loss: ArrayLike = 0.0
) -> BarStrength:
    """Give the yield loads of a round bar; no factor is in them.

    Parameters
    ----------
    diameter : (...) array
        Nominal, > 0. [m]
    yield_strength : (...) array
        Of the steel, > 0. [Pa]
    loss : (...) array
        Thickness that corrosion takes from each side. [m]

    Returns
    -------
    diameter : (...) array
        What is left; 0 where all has rusted. [m]
    area : (...) array
        Of what is left. [m2]
    tension : (...) array
        Yield load along the bar. [N]
    shear : (...) array
        Yield load across it. [N]
    moment : (...) array
        Plastic moment. [N m]

    Raises
    ------
    OutOfRange
        A diameter or strength of zero or less, a strength that is no steel's, a negative loss.

    Notes
    -----
    Head, bends and welds usually give first: the connection is a check of its own.
    """
    fitting(**locals())
    fy = above_zero("yield_strength", yield_strength)
    if ((fy < 50e6) | (fy > 2000e6)).any():
        raise OutOfRange(
            "yield_strength", "is no steel's", "give 40 ksi to 75 ksi (280 MPa to 520 MPa) for bars"
        )
    d = np.maximum(above_zero("diameter", diameter) - 2 * at_least_zero("loss", loss), 0.0)
    area = np.pi * d**2 / 4
    return BarStrength(
        *np.broadcast_arrays(d, area, fy * area, fy * area / np.sqrt(3), fy * d**3 / 6)
    )


@method(
    title="Area, perimeter and mass of a round steel bar",
    equation="A = pi d^2/4; p = pi d; m = 7850 A",
    source="exact geometry; steel of 7850 kg/m3 as in ASTM A615/A615M",
)
def round_bar(diameter: ArrayLike, density: ArrayLike = 7850.0) -> RoundBar:
    """Measure a round bar.

    Parameters
    ----------
    diameter : (...) array
        Nominal, > 0. [m]
    density : (...) array
        Of steel. [kg/m3]

    Returns
    -------
    area : (...) array
        Of the section. [m2]
    perimeter : (...) array
        Round it. [m]
    mass : (...) array
        Per length. [kg/m]

    Raises
    ------
    OutOfRange
        A diameter of zero or less.
    """
    fitting(**locals())
    d = above_zero("diameter", diameter)
    area = np.pi * d**2 / 4
    return RoundBar(*np.broadcast_arrays(area, np.pi * d, area * above_zero("density", density)))
