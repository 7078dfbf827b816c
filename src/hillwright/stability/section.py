"""A cut through the hill, as whole-slope stability sees it: ground, soils, water, loads, holds.

x runs along the section, z is up. Which way the slope falls does not matter: circles are cut on
the side that slides, and a mirrored section gives the same factors.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array, frozen
from hillwright.stability import polyline, sectioncheck
from hillwright.stability.given import WATER

_CORNERS = 20  # of the ground that slices break at; the rest of a surveyed line bends little


@dataclass(frozen=True, slots=True, eq=False)
class Anchors:
    """Bars that may cross the slipping surface, each a force per metre of slope width."""

    head: Array  # (a, 2) where each enters the ground [m]
    angle: Array  # (a,) below horizontal, into the hill [rad]
    length: Array  # (a,) from the head to the far end [m]
    force: Array  # (a,) what each may pull with [N/m]
    # on the resisting side the force is divided by the factor of safety like the soil's strength;
    # on the driving side it is not: it pulls with all its force whether the slope moves or not
    resisting: bool = True


@dataclass(frozen=True, slots=True, eq=False)
class Section:
    """Everything about a section that a slipping mass of soil may meet."""

    ground: Array  # (m, 2) from left to right [m]
    lines: tuple[Array, ...]  # top of each soil but the first, downwards; n - 1 of (., 2) [m]
    cohesion: Array  # (n,) at the top of each soil; undrained strength where friction is 0 [Pa]
    friction: Array  # (n,) [rad]
    moist: Array  # (n,) unit weight above the water [N/m3]
    saturated: Array  # (n,) unit weight below the water [N/m3]
    gain: Array  # (n,) what the cohesion gains with each metre below the soil's top [Pa/m]
    water: Array | None = None  # (., 2) level that water would rise to in a standpipe [m]
    ru: float = 0.0  # pore pressure over the weight of the soil above, instead of water [-]
    water_weight: float = WATER  # unit weight of water [N/m3]
    surcharge: Array = field(default_factory=lambda: np.empty((0, 3)))  # x1, x2, Pa on the level
    kh: float = 0.0  # horizontal earthquake force over weight [-]
    crack: float = 0.0  # depth of the tension crack at the crest [m]
    crack_water: float = 0.0  # height of the water in it [m]
    base: Array | None = None  # (., 2) line that no circle may cross [m]
    anchors: Anchors | None = None
    corners: Array = field(default_factory=lambda: np.empty(0))  # x where slices always break [m]

    @property
    def rises(self) -> bool:
        """The ground is higher at the right end."""
        return bool(self.ground[-1, 1] >= self.ground[0, 1])

    @property
    def relief(self) -> float:
        """Height from the lowest to the highest ground [m]."""
        return float(np.ptp(self.ground[:, 1]))


def section(
    surface: ArrayLike,
    cohesion: ArrayLike,
    friction: ArrayLike,
    unit_weight: ArrayLike,
    *,
    layer_lines: Sequence[ArrayLike] = (),
    saturated_unit_weight: ArrayLike | None = None,
    cohesion_gain: ArrayLike = 0.0,
    water_line: ArrayLike | None = None,
    pore_pressure_ratio: float = 0.0,
    water_unit_weight: float = WATER,
    surcharge: ArrayLike | None = None,
    kh: float = 0.0,
    crack_depth: float = 0.0,
    crack_water: float = 0.0,
    base: ArrayLike | None = None,
    anchors: Anchors | None = None,
) -> Section:
    """Make a section from lists, or say everything that is wrong with them.

    Parameters
    ----------
    surface : (m, 2) array
        Ground, x and height, from one end to the other. [m]
    cohesion, friction, unit_weight : float or (n,) array
        Of each soil, from the top one downwards. [Pa], [rad], [N/m3]
    layer_lines : sequence of (., 2) array
        Top of each soil but the first; level beyond their ends; cut off at the ground. [m]
    saturated_unit_weight : float or (n,) array, optional
        Below the water line; the unit weight where not given. [N/m3]
    cohesion_gain : float or (n,) array
        What each cohesion gains per metre below the top of its soil. [Pa/m]
    water_line : (., 2) array, optional
        Piezometric line: pore pressure is its height above the slip surface. [m]
    pore_pressure_ratio : float
        ru, instead of a water line. [-]
    water_unit_weight : float
        [N/m3]
    surcharge : (s, 3) array, optional
        From x, to x, and the pressure per level area between them. [m], [m], [Pa]
    kh : float
        Horizontal earthquake force over weight. [-]
    crack_depth, crack_water : float
        Tension crack at the crest and the water standing in it. [m]
    base : float or (., 2) array, optional
        Level or line that no circle crosses. [m]
    anchors : Anchors, optional
        Bars that may cross the circles.

    Returns
    -------
    Section
        Frozen.

    Raises
    ------
    OutOfRange
        Anything that no section can have; names it.
    """
    ground = sectioncheck.ground(surface)
    relief = float(np.ptp(ground[:, 1]))
    lines = sectioncheck.layers(ground, layer_lines)
    count = len(lines) + 1
    soils = sectioncheck.soils(
        count, cohesion, friction, unit_weight, saturated_unit_weight, cohesion_gain
    )
    water = sectioncheck.water(ground, water_line, pore_pressure_ratio, water_unit_weight)
    loads = sectioncheck.surcharge(surcharge)
    sectioncheck.shaking(kh)
    sectioncheck.crack(crack_depth, crack_water, relief)
    bottom = sectioncheck.base(ground, base)
    if anchors is not None:
        sectioncheck.anchors(anchors.head, anchors.angle, anchors.length, anchors.force)
    known = [ground, *lines] + ([water] if water is not None else [])
    corners = np.unique(
        np.concatenate(
            [
                polyline.sharpest(ground, _CORNERS),
                *(polyline.sharpest(line, _CORNERS) for line in known[1:]),
                polyline.crossings(known),
                loads[:, :2].ravel(),
            ]
        )
    )
    return Section(
        ground=frozen(ground),
        lines=tuple(frozen(line) for line in lines),
        cohesion=frozen(soils.cohesion),
        friction=frozen(soils.friction),
        moist=frozen(soils.moist),
        saturated=frozen(soils.saturated),
        gain=frozen(soils.gain),
        water=None if water is None else frozen(water),
        ru=float(pore_pressure_ratio),
        water_weight=float(water_unit_weight),
        surcharge=frozen(loads),
        kh=float(kh),
        crack=float(crack_depth),
        crack_water=float(crack_water),
        base=None if bottom is None else frozen(bottom),
        anchors=anchors,
        corners=frozen(corners),
    )


def _flip(line: Array) -> Array:
    return frozen(np.ascontiguousarray(line[::-1] * [-1.0, 1.0]))


def mirrored(given: Section) -> Section:
    """Look at the section from the other side: x becomes -x."""
    loads, anchors = given.surcharge, given.anchors
    return replace(
        given,
        ground=_flip(given.ground),
        lines=tuple(_flip(line) for line in given.lines),
        water=None if given.water is None else _flip(given.water),
        base=None if given.base is None else _flip(given.base),
        surcharge=frozen(np.column_stack([-loads[:, 1], -loads[:, 0], loads[:, 2]])),
        anchors=anchors and replace(anchors, head=frozen(anchors.head * [-1.0, 1.0])),
        corners=frozen(np.ascontiguousarray(-given.corners[::-1])),
    )
