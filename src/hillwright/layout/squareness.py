"""Right angles with a tape, and what a right angle in plan becomes on a slope."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array
from hillwright.errors import OutOfRange
from hillwright.method import method
from hillwright.terrain.slopes import ground_angle


class TapeTriangle(NamedTuple):
    """A triangle of one tape held at three marks."""

    sides: Array
    angle: float
    multiples: Array


@method(
    title="Right angle with one tape (3-4-5)",
    equation="cos(angle) = (a^2 + c^2 - b^2) / (2 a c); 3^2 + 4^2 = 5^2",
    source="Brouwer et al., FAO/ILRI 1985, Irrigation Water Management Training Manual 2, 4.1",
)
def right_angle(
    marks_at_corner: ArrayLike, mark_on_base_line: float, mark_at_new_line: float
) -> TapeTriangle:
    """Give the triangle that a tape makes, its two end marks held together at the corner.

    Parameters
    ----------
    marks_at_corner : array (2,)
        Marks held at the corner, the lower first. [m]
    mark_on_base_line : float
        Mark held on the base line. [m]
    mark_at_new_line : float
        Mark that then shows the new line. [m]

    Returns
    -------
    sides : (3,) array
        Along the base line, across, and along the new line. [m]
    angle : float
        At the corner: 90 degrees when the marks are right. [rad]
    multiples : (2, 3) array
        Twice and three times the sides, shortest first, for longer lines. [m]

    Raises
    ------
    OutOfRange
        Marks that do not rise along the tape, or sides that make no triangle.

    Notes
    -----
    The tape lies level, or all of it in one plane with one leg along the contour.
    """
    ends = np.asarray(marks_at_corner, float)
    if ends.shape != (2,):
        raise OutOfRange("marks_at_corner", f"{ends.size} marks", "give two: 0 and 12, say")
    marks = np.array([ends[0], mark_on_base_line, mark_at_new_line, ends[1]], float)
    sides = np.diff(marks)
    if not (np.isfinite(marks).all() and (sides > 0).all()):
        raise OutOfRange("marks", "do not rise along the tape", "give corner, base line, new line")
    if 2 * sides.max() >= sides.sum():
        raise OutOfRange("marks", "make no triangle", "keep each side below half of the tape")
    a, b, c = sides
    angle = float(np.arccos((a * a + c * c - b * b) / (2 * a * c)))
    ordered = np.sort(sides)
    return TapeTriangle(sides, angle, np.stack([2 * ordered, 3 * ordered]))


@method(
    title="Angle on the slope between lines set out in plan",
    equation=(
        "cos w = [cos(g) + m^2 sin(f) sin(f + g)] / "
        "sqrt[(1 + m^2 sin^2 f)(1 + m^2 sin^2(f + g))], m = tan(slope)"
    ),
    source="exact geometry",
)
def angle_on_slope(
    slope: ArrayLike, off_contour: ArrayLike, plan_angle: ArrayLike = np.pi / 2
) -> Array:
    """Give the angle on the hill of two lines that meet at an angle in plan.

    Parameters
    ----------
    slope : (...) array
        Angle of the ground from horizontal, 0 to less than pi/2. [rad]
    off_contour : (...) array
        Direction of the first line in plan, from the contour. [rad]
    plan_angle : (...) array
        From the first line to the second in plan, the same way round. [rad]

    Returns
    -------
    (...) array
        Angle between them on the ground. [rad]

    Raises
    ------
    OutOfRange
        Ground that stands upright or overhangs.

    Notes
    -----
    A plan square is square on the hill only when one of its lines is level.
    """
    m2 = np.tan(ground_angle(slope)) ** 2
    f, g = np.asarray(off_contour, float), np.asarray(plan_angle, float)
    first, second = np.sin(f), np.sin(f + g)
    dot = np.cos(g) + m2 * first * second
    # the cross product in the plane of the ground keeps its digits where the cosine does not
    cross = np.abs(np.sin(g)) * np.sqrt(1 + m2)
    return np.asarray(np.arctan2(cross, dot))
