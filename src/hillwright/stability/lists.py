"""A section from the plain lists that a published case gives, one value or line for each thing."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array, frozen
from hillwright.errors import OutOfRange, did_you_mean
from hillwright.stability.given import WATER
from hillwright.stability.section import Anchors, Section, section

_SIDES = ("resisting", "driving")


def listed(
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
    surcharge: ArrayLike = (),
    surcharge_from: ArrayLike = (),
    surcharge_to: ArrayLike = (),
    kh: float = 0.0,
    crack_depth: float = 0.0,
    crack_water: float = 0.0,
    base: ArrayLike | None = None,
    anchor_head: ArrayLike = (),
    anchor_angle: ArrayLike = (),
    anchor_length: ArrayLike = (),
    anchor_force: ArrayLike = (),
    anchor_side: str = "resisting",
) -> Section:
    """Make a section; the parameters are those of :func:`given_circle` and `critical_circle`.

    Raises
    ------
    OutOfRange
        Lists that do not go together, or anything that no section can have.
    """
    loads = _together(surcharge_from=surcharge_from, surcharge_to=surcharge_to, surcharge=surcharge)
    return section(
        surface,
        cohesion,
        friction,
        unit_weight,
        layer_lines=layer_lines,
        saturated_unit_weight=saturated_unit_weight,
        cohesion_gain=cohesion_gain,
        water_line=water_line,
        pore_pressure_ratio=pore_pressure_ratio,
        water_unit_weight=water_unit_weight,
        surcharge=np.column_stack(loads),
        kh=kh,
        crack_depth=crack_depth,
        crack_water=crack_water,
        base=base,
        anchors=bars(anchor_head, anchor_angle, anchor_length, anchor_force, anchor_side),
    )


def _together(**lists: ArrayLike) -> list[Array]:
    """Give lists that go together, one entry for each thing, or refuse them."""
    found = {k: np.atleast_1d(np.asarray(v, float)) for k, v in lists.items()}
    most = max(len(v) for v in found.values())
    for name, values in found.items():
        if values.ndim != 1 or len(values) != most:
            others = " and ".join(n for n in found if n != name)
            what = f"has {values.size} values beside {most} of {others}"
            raise OutOfRange(name, what, "give one for each, as many as of the others")
    return list(found.values())


def bars(
    head: ArrayLike, angle: ArrayLike, length: ArrayLike, force: ArrayLike, side: str
) -> Anchors | None:
    """Give the anchors, or none where no list holds any."""
    if side not in _SIDES:
        right = did_you_mean(side, _SIDES, 'give "resisting" or "driving"')
        raise OutOfRange("anchor_side", f"{side!r} is not a side", right)
    tilt, long, pull = _together(anchor_angle=angle, anchor_length=length, anchor_force=force)
    top = np.asarray(head, float)
    if not tilt.size and not top.size:
        return None
    top = top.reshape(1, 2) if top.shape == (2,) else top
    if top.shape != (len(tilt), 2):
        what = f"has the shape {top.shape} beside {len(tilt)} anchors"
        raise OutOfRange("anchor_head", what, "give x and height of each")
    return Anchors(frozen(top), frozen(tilt), frozen(long), frozen(pull), side == "resisting")
