"""Roughness and speed of water on its way down, by what it runs over."""

from __future__ import annotations

from hillwright import given
from hillwright.method import method
from hillwright.runoff.tables import FOOT, numbers, words


@method(
    title="Roughness of sheet flow by surface",
    equation="TR-55 Table 3-1",
    source="USDA SCS 1986, TR-55 2nd ed., Table 3-1",
)
def sheet_roughness(surface: str) -> float:
    """Look Manning's n of sheet flow up.

    Parameters
    ----------
    surface : str
        As the table words it, as "dense grasses". [text]

    Returns
    -------
    float
        Manning's n, for sheets up to about 0.1 ft deep only. [-]

    Raises
    ------
    OutOfRange
        A surface that the table does not have.
    """
    known = words("sheet_flow", "sheet", "surface")
    at = known.index(given.one_of("surface", surface, known))
    return float(numbers("sheet_flow", "sheet", "n")[at])


@method(
    title="Coefficient of shallow concentrated flow by surface",
    equation="NEH 630 Table 15-3",
    source="USDA NRCS 2010, NEH Part 630 ch. 15, Table 15-3",
)
def shallow_coefficient(surface: str) -> float:
    """Look the velocity of shallow flow at a gradient of 1 up.

    Parameters
    ----------
    surface : str
        As the table words it, as "grassed waterways". [text]

    Returns
    -------
    float
        Velocity at a gradient of 1. [m/s]

    Raises
    ------
    OutOfRange
        A surface that the table does not have.
    """
    known = words("sheet_flow", "shallow", "flow_type")
    at = known.index(given.one_of("surface", surface, known))
    return float(numbers("sheet_flow", "shallow", "coefficient_ft_s")[at]) * FOOT


@method(
    title="Kerby's retardance by surface",
    equation="table of N by surface",
    source="Kerby 1959, as in a university spreadsheet (Texas Tech CE 3354)",
)
def kerby_retardance(surface: str) -> float:
    """Look Kerby's N up.

    Parameters
    ----------
    surface : str
        As the table words it, as "smooth, bare, packed soil". [text]

    Returns
    -------
    float
        Retardance coefficient. [-]

    Raises
    ------
    OutOfRange
        A surface that the table does not have.
    """
    known = words("sheet_flow", "kerby", "surface")
    at = known.index(given.one_of("surface", surface, known))
    return float(numbers("sheet_flow", "kerby", "N")[at])
