"""Openings and crests that let water out: orifices and weirs."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright import given
from hillwright.arrays import Array
from hillwright.method import method
from hillwright.runoff.channels import GRAVITY
from hillwright.runoff.tables import FOOT, numbers

_HEC22 = "FHWA 2024, HEC-22 4th ed."
_US_WEIR = (2 * GRAVITY / FOOT) ** 0.5  # ft^0.5/s of a weir coefficient without units: 8.02
_BREADTHS = (0.5, 0.75, 1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 10.0, 15.0)  # of the table's columns


class Orifices(NamedTuple):
    """Openings side by side."""

    each: Array
    total: Array


class WeirCoefficient(NamedTuple):
    """One coefficient in both forms."""

    coefficient: Array
    us: Array


@method(
    title="Flow through orifices",
    equation="Q = N Co A sqrt(2 g h), h to the centre of the opening",
    source=_HEC22 + ", section 10.5 (orifices)",
)
def orifice_flow(
    diameter: ArrayLike, head: ArrayLike, count: ArrayLike = 1.0, coefficient: ArrayLike = 0.6
) -> Orifices:
    """Give the flow through round holes under water.

    Parameters
    ----------
    diameter : (...) array
        Of one hole. [m]
    head : (...) array
        Water above the centre of each hole, or row of holes. [m]
    count : (...) array
        Holes at that height. [-]
    coefficient : (...) array
        0.6 for a sharp, square edge; 0.4 for a ragged one. [-]

    Returns
    -------
    each : (...) array
        Discharge of each row of holes. [m3/s]
    total : float
        Of all of them together. [m3/s]

    Raises
    ------
    OutOfRange
        A diameter of 0 or below, a negative head or count, or a coefficient outside 0 to 1.

    Notes
    -----
    Holes wholly under water that let out into the open.
    """
    d = given.above_zero("diameter", diameter)
    h = given.at_least_zero("head", head)
    n = given.at_least_zero("count", count)
    c = given.share("coefficient", coefficient)
    each = np.asarray(n * c * np.pi / 4 * d**2 * np.sqrt(2 * GRAVITY * h))
    return Orifices(each, np.asarray(each.sum()))


@method(
    title="Rating of an orifice by depth of water",
    equation="Q = Co A sqrt(2 g (d - D/2)); 0 up to the centre",
    source=_HEC22 + ", Example 10.10",
)
def orifice_rating(depth: ArrayLike, diameter: ArrayLike, coefficient: ArrayLike = 0.6) -> Array:
    """Give the flow through a round hole by the depth above its lowest place.

    Parameters
    ----------
    depth : (...) array
        Water above the invert. [m]
    diameter : (...) array
        Of the hole. [m]
    coefficient : (...) array
        0.6 for a sharp, square edge. [-]

    Returns
    -------
    (...) array
        Discharge. [m3/s]

    Raises
    ------
    OutOfRange
        A negative depth, a diameter of 0 or below, or a coefficient outside 0 to 1.

    Notes
    -----
    Depths above the diameter: below it the hole works as a weir and this is too little.
    """
    d = given.above_zero("diameter", diameter)
    head = np.maximum(given.at_least_zero("depth", depth) - d / 2, 0.0)
    c = given.share("coefficient", coefficient)
    return np.asarray(c * np.pi / 4 * d**2 * np.sqrt(2 * GRAVITY * head))


@method(
    title="Flow over a weir",
    equation="Q = Cw sqrt(2 g) L h^1.5; the US coefficient is 8.02 Cw (3.2 is 0.399)",
    source=_HEC22 + ", section 10.5 (weirs)",
)
def weir_flow(length: ArrayLike, head: ArrayLike, coefficient: ArrayLike = 0.399) -> Array:
    """Give the flow over a level crest.

    Parameters
    ----------
    length : (...) array
        Of the crest, across the flow. [m]
    head : (...) array
        Water above the crest. [m]
    coefficient : (...) array
        Cw, without units: about 0.33 over a broad crest, 0.4 over a sharp one. [-]

    Returns
    -------
    (...) array
        Discharge. [m3/s]

    Raises
    ------
    OutOfRange
        A length of 0 or below, a negative head, or a coefficient outside 0 to 1 (a US one).

    Notes
    -----
    Free fall behind the crest, no end contractions.
    """
    along = given.above_zero("length", length)
    h = given.at_least_zero("head", head)
    return np.asarray(_coefficient(coefficient) * np.sqrt(2 * GRAVITY) * along * h**1.5)


def _coefficient(value: ArrayLike) -> Array:
    right = "give it without units: a US coefficient such as 3.2 is divided by 8.02"
    return given.within("coefficient", given.above_zero("coefficient", value), 0.0, 1.0, right)


@method(
    title="Length of a weir for a flow and a head",
    equation="L = Q / (Cw sqrt(2 g) h^1.5)",
    source="USDA SCS 1986, TR-55 2nd ed., Example 6-1; " + _HEC22 + ", section 10.5",
)
def weir_length(flow: ArrayLike, head: ArrayLike, coefficient: ArrayLike = 0.399) -> Array:
    """Give the crest that lets a flow out at a head.

    Parameters
    ----------
    flow : (...) array
        Discharge. [m3/s]
    head : (...) array
        Water above the crest. [m]
    coefficient : (...) array
        Cw, without units; the US coefficient over 8.02. [-]

    Returns
    -------
    (...) array
        Length of the crest. [m]

    Raises
    ------
    OutOfRange
        A negative flow, a head of 0 or below, or a coefficient outside 0 to 1 (a US one).
    """
    q = given.at_least_zero("flow", flow)
    h = given.above_zero("head", head)
    return np.asarray(q / (_coefficient(coefficient) * np.sqrt(2 * GRAVITY) * h**1.5))


@method(
    title="Coefficient of a broad-crested weir",
    equation="table of Cw by head and breadth of the crest, straight between",
    source="Brater and King 1976, as in " + _HEC22 + ", Table 10.7",
)
def broad_crest_coefficient(head: ArrayLike, breadth: ArrayLike) -> WeirCoefficient:
    """Look the coefficient of a broad crest up.

    Parameters
    ----------
    head : (...) array
        Water above the crest, 0.2 to 2 ft. [m]
    breadth : (...) array
        Of the crest along the flow, 0.5 to 15 ft. [m]

    Returns
    -------
    coefficient : (...) array
        Cw, without units. [-]
    us : (...) array
        The US coefficient, for feet and seconds: 8.02 Cw. [-]

    Raises
    ------
    OutOfRange
        A head or breadth outside the table.
    """
    edge = 1e-9
    right = "the table goes from 0.2 to 2 ft (0.061 to 0.61 m) of head"
    h = given.within("head", head, 0.2 * FOOT - edge, 2.0 * FOOT + edge, right) / FOOT
    right = "the table goes from 0.5 to 15 ft (0.15 to 4.57 m) of breadth"
    b = given.within("breadth", breadth, 0.5 * FOOT - edge, 15.0 * FOOT + edge, right) / FOOT
    h, b = np.broadcast_arrays(h, b)
    heads, breadths = numbers("linings", "weir", "head_ft"), np.array(_BREADTHS)
    cells = np.stack([numbers("linings", "weir", _column(x)) for x in _BREADTHS], axis=1)
    i = np.clip(np.searchsorted(heads, h, side="right") - 1, 0, len(heads) - 2)
    j = np.clip(np.searchsorted(breadths, b, side="right") - 1, 0, len(breadths) - 2)
    u = np.clip((h - heads[i]) / (heads[i + 1] - heads[i]), 0.0, 1.0)
    v = np.clip((b - breadths[j]) / (breadths[j + 1] - breadths[j]), 0.0, 1.0)
    upper = (1 - v) * cells[i, j] + v * cells[i, j + 1]
    lower = (1 - v) * cells[i + 1, j] + v * cells[i + 1, j + 1]
    found = (1 - u) * upper + u * lower
    return WeirCoefficient(np.asarray(found), np.asarray(found * _US_WEIR))


def _column(breadth: float) -> str:
    return "b" + f"{breadth:g}".replace(".", "_")
