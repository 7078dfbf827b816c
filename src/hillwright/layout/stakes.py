"""The list of stakes: pegs, string, base line, both ends of every row, corners of the outline."""

from __future__ import annotations

import numpy as np
import shapely

from hillwright.arrays import Array
from hillwright.layout.model import Layout
from hillwright.layout.pegs import height_at
from hillwright.layout.stretches import Stretches
from hillwright.layout.tolerances import ANCHOR
from hillwright.terrain.model import Surface


def stake_list(
    layout: Layout,
    surface: Surface,
    found: Stretches,
    pegs: tuple[Array, Array],
    base_line: Array,
) -> tuple[tuple[str, ...], Array, tuple[str, ...]]:
    """Give every stake.

    Returns
    -------
    names : (s,) tuple of str
        BM-A, BM-B; BL-1, BL-2 where the base line is not A to B; TS-1 ...; R07-S, R07-E; OL-1 ...
    places : (s, 3) array
        Where they stand; a height that is not known is NaN [m].
    notes : (s,) tuple of str
        What each is.
    """
    rows = [("BM-A", pegs[0], "peg A: hook the first tape on"), ("BM-B", pegs[1], "peg B")]
    if not np.array_equal(base_line, np.stack(pegs)):
        rows += [("BL-1", base_line[0], "base line start"), ("BL-2", base_line[1], "base line end")]
    string = corners_of_string(layout.top_string)
    for k, place in enumerate(string, 1):
        end = {1: ", left end", len(string): ", right end"}.get(k, "")
        rows.append((f"TS-{k}", place, f"top string{end}"))
    for i, name in enumerate(found.name):
        first, last = int(found.first[i]), int(found.last[i])
        one, other = int(layout.number[first]), int(layout.number[last])
        which = f"cells {one} to {other}" if other > one else f"cell {one}"
        row = int(found.row[i])
        rows.append((f"{name}-S", layout.corners[first, 0], f"row {row} start, {which}"))
        rows.append((f"{name}-E", layout.corners[last, 1], f"row {row} end, {which}"))
    corners = np.column_stack([surface.outline, height_at(surface, surface.outline)])
    rows += [(f"OL-{k}", place, f"outline corner {k}") for k, place in enumerate(corners, 1)]
    names, places, notes = zip(*rows, strict=True)
    return names, np.array(places, float), notes


def corners_of_string(string: Array) -> Array:
    """Give the few places between which a taut string stays within an anchor's tolerance."""
    if len(string) < 3:
        return string
    # along and height as well as the plan: a string over a hump must be staked on the hump
    xy = shapely.get_coordinates(shapely.simplify(shapely.LineString(string[:, :2]), ANCHOR))
    along = np.concatenate([[0], np.cumsum(np.hypot(*np.diff(string[:, :2], axis=0).T))])
    profile = shapely.LineString(np.column_stack([along, string[:, 2]]))
    kept = shapely.get_coordinates(shapely.simplify(profile, ANCHOR))[:, 0]
    in_plan = (string[:, None, :2] == xy[None]).all(axis=2).any(axis=1)
    return np.asarray(string[in_plan | np.isin(along, kept)])
