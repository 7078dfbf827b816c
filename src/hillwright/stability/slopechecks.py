"""The hill against the factors that it must have, state by state."""

from __future__ import annotations

import numpy as np

from hillwright.arrays import Array
from hillwright.stability.load import HillLoad
from hillwright.stability.model import STATES, CheckRow, SlipCircle, SlopeMap
from hillwright.stability.thresholds import Required, required_factor
from hillwright.wording import factor_text

_WORSE = 1e-9  # factors this near to one another are one


def slope_checks(
    hill: HillLoad, found: SlopeMap, circles: tuple[SlipCircle, ...]
) -> tuple[CheckRow, ...]:
    """Give a row for each state of the layer and for each circle, the map's before the circles'."""
    static, shaken = required_factor("slope"), required_factor("slope seismic")
    layer, z = required_factor("surficial"), f"{hill.depth:.3f} m"
    rows = [
        _layer(f"layer of {z}, {STATES[0]}, bare", found, found.bare[0], layer),
        _layer(f"layer of {z}, {STATES[1]}, bare", found, found.bare[1], layer),
        _layer(f"layer of {z}, wet but no water flowing, with cells", found, found.wetted, layer),
        _layer(f"layer of {z}, {STATES[1]}, with cells", found, found.filled[1], layer),
    ]
    if hill.kh > 0:
        what = f"layer of {z}, {STATES[2]}, with cells"
        rows.append(_layer(what, found, found.filled[2], shaken))
    rows += [_circle(circle, shaken if circle.state == STATES[2] else static) for circle in circles]
    margin = [row.factor / row.required for row in rows]
    worst = int(np.argmin(margin))
    return tuple(row._replace(governing=i == worst) for i, row in enumerate(rows))


def _layer(what: str, found: SlopeMap, factor: Array, need: Required) -> CheckRow:
    i = int(np.argmin(factor))
    at = f"at a slope of {np.degrees(found.slope[i]):.1f} deg"
    return _row(f"{what}: sliding", float(factor[i]), need, at)


def _circle(circle: SlipCircle, need: Required) -> CheckRow:
    both = ", ".join(
        f"{name.capitalize()} {factor_text(value)}"
        for name, value in zip(circle.methods, circle.factors, strict=True)
        if np.isfinite(value)
    )
    loaded = "with cells" if circle.loaded else "bare"
    note = f"{both}; {circle.depth:.3f} m deep"
    if abs(circle.beside) > 0.005:
        side = "right" if circle.beside > 0 else "left"
        note += f"; {abs(circle.beside):.2f} m to the {side} of S, looking uphill"
    if np.isfinite(circle.skin):
        note += f"; skin of the face {factor_text(circle.skin)}"
    if circle.at_edge:
        note += "; it runs into the end of the section: survey more ground"
    what = f"slip circle on section {circle.name}, {circle.state}, {loaded}"
    return _row(what, circle.factor, need, note)


def _row(what: str, factor: float, need: Required, note: str) -> CheckRow:
    return CheckRow(what, np.nan, np.nan, "-", factor, need.factor, False, need.source, note)


def least(checks: tuple[CheckRow, ...], shaken: bool) -> float:
    """Give the least factor of the rows with earthquake, or of those without; inf without any."""
    chosen = (row.factor for row in checks if (STATES[2] in row.what) == shaken)
    return min(chosen, default=np.inf)


def bare_today(checks: tuple[CheckRow, ...]) -> float:
    """Give the least factor of the hill as it stands: bare and as found."""
    chosen = (r.factor for r in checks if STATES[0] in r.what and "with cells" not in r.what)
    return min(chosen, default=np.inf)
