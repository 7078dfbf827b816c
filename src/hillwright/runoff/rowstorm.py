"""A storm on the rows: what each cell takes in, holds and spills, and what leaves the hill.

The same storm falls on the same ground without the grid, for comparison. Water that leaves a cell
is in the next one at once: the paths are a few steps long, so that the peaks given are, if
anything, high.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from hillwright.arrays import Array, Index, frozen
from hillwright.errors import OutOfRange
from hillwright.given import above_zero, at_least_zero, share
from hillwright.runoff.cascade import march
from hillwright.runoff.cellstore import checked_corners, held_below, plan_area, slope_area
from hillwright.runoff.given import rain_depth
from hillwright.runoff.rowsoil import SoilWater, soils_of
from hillwright.runoff.spill import EXITS, Spill, spill_paths


@dataclass(frozen=True, slots=True, eq=False)
class Hydrograph:
    """What leaves the hill, by the way it leaves. t steps."""

    toe: Array  # (t,) mean flow over each step [m3/s]
    left: Array  # (t,) over the left side as seen looking uphill [m3/s]
    right: Array  # (t,) [m3/s]
    peak: float  # of all three together [m3/s]
    peak_time: float  # end of that step, since the storm began [s]
    volume: float  # [m3]


@dataclass(frozen=True, slots=True, eq=False)
class RowStorm:
    """A storm on n cells in t steps; f frames to play back."""

    time: Array  # (t,) end of each step [s]
    rows: Hydrograph  # with the grid
    bare: Hydrograph  # the same ground without it
    frame_time: Array  # (f,) [s]
    held: NDArray[np.float32]  # (f, n) water standing on the soil of each cell [m3]
    soaked: NDArray[np.float32]  # (f, n) water that the fill has taken up since the start [m3]
    hold: Array  # (n,) that each cell can hold above its soil [m3]
    spilled: Array  # (n,) over the whole storm [m3]
    first_spill: Array  # (n,) end of the step in which each cell first spills, inf if never [s]
    first_row: int  # row that spills first; 0 when none does
    first_time: float  # when; infinite when none does [s]
    rain: float  # on the cells [m3]
    run_on: float  # from above [m3]
    fill: float  # taken up by the fill and still there [m3]
    ground: float  # gone into the ground below [m3]
    standing: float  # on the soil at the end [m3]
    bare_ground: float  # gone into the ground without the grid [m3]
    balance: float  # water lost or made over what came, the worse of with and without rows [-]


def storm_on_rows(
    corners: Array,
    row: Index,
    clips: Index,
    depth: ArrayLike,
    soil_depth: ArrayLike,
    fill: SoilWater,
    ground: SoilWater,
    rain: Array,
    interval: float,
    run_on: Array | None = None,
    *,
    levelled: ArrayLike = 0.0,
    hollows: ArrayLike = 0.0,
    longest_step: float = 60.0,
    frames: int = 97,
    paths: Spill | None = None,
) -> RowStorm:
    """March a storm over the rows, and over the same ground without them.

    Parameters
    ----------
    corners : (n, 4, 3) array
        Base corners: upper left, upper right, lower right, lower left [m].
    row : (n,) array of int
        1 is the top row.
    clips : (m, 2) array of int
        Cells that are clipped together.
    depth, soil_depth : (n,) array or float
        Of the walls and of the soil, both square to the base; a cell without soil lies open to
        the ground [m].
    fill, ground : SoilWater
        What is in the cells, and what they stand on.
    rain : (t,) array
        Rain in each interval [m].
    interval : float
        Length of one [s].
    run_on : (t,) array, optional
        Flow from above that reaches row 1 in each interval, shared by its width [m3/s].
    levelled : (n,) array or float
        How far the soil is raked level: 0 lies along the slope, 1 is level [-].
    hollows : (n,) array or float
        Depth that the bare ground holds in its hollows [m].
    longest_step : float
        Intervals are cut into equal steps no longer than this [s].
    frames : int
        How many moments are kept for playing back, the last step included.
    paths : Spill, optional
        Where the cells spill to, when it is known from a storm before.

    Returns
    -------
    RowStorm
        Steps are those of ``time``; the arrays of one value a cell follow ``corners``.

    Raises
    ------
    OutOfRange
        What cannot be: negative rain, soil above the walls, more moisture than porosity, arrays
        that do not fit one another.

    Notes
    -----
    Fill: Green-Ampt until the wetting front comes through, then as fast as wet soil passes water
    on and the ground below takes it; what is above field capacity drains. Ground: Green-Ampt,
    in two layers with the wet fill where that is the faster of the two.
    Water standing in a cell does not speed up the front, and nothing evaporates.
    """
    c = checked_corners(corners)
    n, area = len(c), plan_area(c)
    row = np.asarray(row)
    wall = np.broadcast_to(at_least_zero("depth", depth), (n,))
    soil = np.broadcast_to(at_least_zero("soil_depth", soil_depth), (n,))
    rake = np.broadcast_to(share("levelled", levelled), (n,))
    if (bad := soil > wall * (1 + 1e-12)).any():
        place = f"soil_depth, cell {int(np.argmax(bad)) + 1}"
        raise OutOfRange(place, "the soil stands above the walls", "give at most the cell's depth")
    step_rain, step_run_on, dt = _steps(rain, interval, run_on, longest_step)
    spill = spill_paths(c, row, clips, wall) if paths is None else paths
    hold = held_below(c, soil, rake, spill.level)
    entry = entry_shares(c, row)
    shown = _shown(len(step_rain), frames)
    with_rows = soils_of(fill, ground, soil * slope_area(c) / area, hold / area, n)
    hollow = np.broadcast_to(at_least_zero("hollows", hollows), (n,))
    bare = soils_of(fill, ground, np.zeros(n), hollow, n)
    # the hill with the rows and the hill without them, side by side in one march
    both = march(
        spill.twice(),
        np.tile(area, 2),
        with_rows.beside(bare),
        step_rain,
        np.tile(entry, 2),
        step_run_on,
        dt,
        shown,
        n,
    )
    time = np.asarray(dt * np.arange(1, len(step_rain) + 1), float)
    first = dt * (both.first[:n] + 1)
    filled = np.where(soil > 0, both.fill[:n], 0.0).sum()
    ground_rows, ground_bare = (both.ground + both.fill).reshape(2, n).sum(axis=1)
    came = float(step_rain.sum() * area.sum()), float(step_run_on.sum())
    left = both.leaves.reshape(2, len(EXITS), -1).sum(axis=(1, 2))
    standing, standing_bare = both.standing.reshape(2, n).sum(axis=1)
    stayed = np.array([standing + ground_rows, standing_bare + ground_bare])
    missing = sum(came) - left - stayed
    return RowStorm(
        frozen(time),
        _hydrograph(both.leaves[: len(EXITS)], dt),
        _hydrograph(both.leaves[len(EXITS) :], dt),
        frozen(time[shown]),
        frozen(both.frames),
        frozen(both.fill_frames),
        frozen(hold),
        frozen(both.spilled[:n]),
        frozen(first),
        # of rows that spill in the same step, the uppermost
        int(row[first == first.min()].min()) if np.isfinite(first).any() else 0,
        float(first.min()),
        *came,
        float(filled),
        float(ground_rows - filled),
        float(standing),
        float(ground_bare),
        float(np.abs(missing).max() / (sum(came) or 1.0)),
    )


def _hydrograph(leaves: Array, dt: float) -> Hydrograph:
    """Give flows [m3/s] from the volumes (3, t) that leave in each step [m3]."""
    flows = leaves / dt
    total = flows.sum(axis=0)
    peak = int(np.argmax(total))
    return Hydrograph(
        frozen(flows[0]),
        frozen(flows[1]),
        frozen(flows[2]),
        float(total[peak]),
        dt * (peak + 1),
        float(leaves.sum()),
    )


def _steps(
    rain: Array, interval: float, run_on: Array | None, longest: float
) -> tuple[Array, Array, float]:
    """Cut intervals into steps: rain [m], water from above [m3] in each, and their length [s]."""
    depth = rain_depth(np.atleast_1d(np.asarray(rain, float)))
    if depth.ndim != 1 or not depth.size:
        raise OutOfRange("rain", f"of shape {depth.shape}", "give one depth for each interval")
    above = np.zeros(len(depth)) if run_on is None else at_least_zero("run_on", run_on)
    if above.shape != depth.shape:
        what = f"{above.size} flows for {depth.size} intervals of rain"
        raise OutOfRange("run_on", what, "give one flow for each interval")
    length, longest = (
        float(above_zero("interval", interval)),
        float(above_zero("longest_step", longest)),
    )
    cuts = max(1, int(np.ceil(length / longest - 1e-9)))
    return np.repeat(depth / cuts, cuts), np.repeat(above * length / cuts, cuts), length / cuts


def entry_shares(corners: Array, row: Index) -> Array:
    """Share water from above among the cells of the top row by the width of their upper edges."""
    width = np.linalg.norm(corners[:, 1, :2] - corners[:, 0, :2], axis=1) * (row == row.min())
    return np.asarray(width / width.sum())


def _shown(steps: int, frames: int) -> Index:
    """Choose the steps that are kept for playing back, evenly, the last one included."""
    if frames < 1:
        raise OutOfRange("frames", f"{frames} moments to keep", "give 1 or more")
    return np.unique(np.linspace(0, steps, min(frames, steps) + 1)[1:].round().astype(np.intp) - 1)
