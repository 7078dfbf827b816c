"""View: from metres on the ground to the units in which a drawing is made."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Self

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array
from hillwright.job.site import Frame


@dataclass(frozen=True, slots=True)
class View:
    """A turn, a scale and a shift.

    placed = factor * R(turn) (ground - centre) + middle
    """

    centre: tuple[float, float]  # on the ground [m]
    middle: tuple[float, float]  # where it comes to lie [view units]
    turn: float  # anticlockwise [rad]
    factor: float  # view units in one metre
    mm: float  # view units in one millimetre of the printed sheet
    z_factor: float  # elevation numbers in one metre

    @classmethod
    def paper(
        cls,
        scale: int,
        turn: float,
        centre: tuple[float, float],
        middle: tuple[float, float],
        frame: Frame,
    ) -> Self:
        """Look at the ground on paper at 1:scale; the view's units are millimetres."""
        return cls(centre, middle, turn, 1000 / scale, 1.0, 1 / frame.z_unit)

    @classmethod
    def survey(cls, frame: Frame, scale: int) -> Self:
        """Keep the survey's own coordinates; text is sized as it would be on paper at 1:scale."""
        return cls(
            (-frame.origin_x, -frame.origin_y),
            (0.0, 0.0),
            0.0,
            1 / frame.unit,
            scale / 1000 / frame.unit,
            1 / frame.z_unit,
        )

    def place(self, xy: ArrayLike) -> Array:
        """Place ground points (..., 2 or more; only x and y count) [m] in the view (..., 2)."""
        ground = np.asarray(xy, dtype=float)[..., :2] - self.centre
        c, s = math.cos(self.turn), math.sin(self.turn)
        turned = ground @ np.array([[c, s], [-s, c]])
        return np.asarray(self.factor * turned + self.middle)

    def height(self, z: ArrayLike) -> Array:
        """Give elevations [m] as the survey's own numbers."""
        return np.asarray(np.asarray(z, dtype=float) * self.z_factor)


def survey_xy(frame: Frame, xy: ArrayLike) -> Array:
    """Give ground points (..., 2 or more) [m] as the survey's own eastings and northings."""
    ground = np.asarray(xy, dtype=float)[..., :2]
    return np.asarray((ground + np.array([frame.origin_x, frame.origin_y])) / frame.unit)


_SAID = {"us_survey_foot": "US survey ft"}


def unit_label(frame: Frame) -> str:
    """Name the survey's unit as it is printed; its metres may hold a grid's scale as well."""
    return _SAID.get(frame.unit_name, frame.unit_name) or height_label(frame)


def height_label(frame: Frame) -> str:
    """Name the survey's unit of height as it is printed behind numbers."""
    known = ((1.0, "m"), (0.3048, "ft"), (1200 / 3937, "US survey ft"), (0.0254, "in"))
    for value, name in known:
        if math.isclose(frame.z_unit, value, rel_tol=1e-8):
            return name
    return f"units of {frame.z_unit:g} m"
