"""Where the grid goes: which course the rows take and how far the lattice is shifted along it.

Every course gets its own net; the strings are pulled back into its flat sheet, where one search
over all shifts says how many whole cells it can hold. What then hangs decides between the best.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import shapely

from hillwright.arrays import Array
from hillwright.errors import OutOfRange
from hillwright.job.model import Choices
from hillwright.job.site import Site
from hillwright.layout import courses
from hillwright.layout.courses import Course
from hillwright.layout.erosion import Anchors, anchor_region
from hillwright.layout.fit import best_placing
from hillwright.layout.hang import Hung, hang
from hillwright.layout.lattice import CellGrid, cell_grid, counts
from hillwright.layout.model import CellShape, Net
from hillwright.layout.sheetplane import pull_back, pull_back_ring
from hillwright.terrain.model import Ground

TILTS = 5  # straight strings tried, evenly from one side of the contour to the other
SCATTER = 8  # shifts tried both ways to tell courses of one kind apart; the best is then proven
COARSE = 3  # cells to a mesh of the nets that are only searched: 2 mm off on a dome of 30 m
TOUCH = 1e-4  # a corner may stand this far over a string and still only touch it [m]
FIXED_TOLERANCE = 0.02  # rows fixed by hand may be this far from whole rows apart [m]


@dataclass(frozen=True, slots=True, eq=False)
class Trial:
    """One course, its net, and how many cells the best of a scatter of shifts holds."""

    course: Course
    net: Net
    region: Anchors
    holds: int
    fixed: tuple[float | None, float | None]  # u and v that the person fixed [m]


@dataclass(frozen=True, slots=True, eq=False)
class Chosen:
    """The course that row 1 follows, from a joint of it near the middle, and the proof."""

    course: Course
    worth: int  # whole cells that hang, in the flat sheet
    bound: int  # no shift along this course holds more whole cells
    searched: int  # placings tried, all courses together


def wanted_courses(ground: Ground, outline: Array, site: Site, choices: Choices) -> list[Course]:
    """Give the courses that the person's choices allow.

    Raises
    ------
    OutOfRange
        The top string is asked for and there is none.
    """
    if choices.top == "string":
        if site.string is None:
            raise OutOfRange(
                "layout.top",
                '"string" was asked for and no string is given',
                "give layout.string or coded shots, or another top",
            )
        return [courses.string_course(ground, site.string)]
    if choices.top == "contour":
        return [courses.contour_course(ground, outline)]
    if choices.top == "straight" and choices.max_tilt == 0:
        return courses.straight_courses(ground, outline, np.zeros(1))
    tilts = choices.max_tilt * np.unique(np.append(np.linspace(-1, 1, TILTS), 0.0))
    found = courses.straight_courses(ground, outline, np.unique(tilts))
    if choices.top == "best":
        found.append(courses.contour_course(ground, outline))
        if site.string is not None:
            found.append(courses.string_course(ground, site.string))
    return found


def choose(
    ground: Ground, outline: Array, site: Site, cell: CellShape, choices: Choices
) -> tuple[list[Chosen], list[Trial]]:
    """Choose for each kind of course the shift that hangs most whole cells inside the strings.

    Parameters
    ----------
    ground : Ground
        What the cells lie on.
    outline : (k, 2) array
        Where cells may lie [m].
    site : Site
        Exclusions, top string, and what the person fixed by hand.
    cell : CellShape
        The cell.
    choices : Choices
        The person's choices.

    Returns
    -------
    list of Chosen
        The best of each kind, best first; of equally good ones straight strings come before the
        contour, and the person's string last.
    list of Trial
        The courses that hold fewer in the flat sheet, most first, for ground that bends so much
        that panels decide.

    Raises
    ------
    OutOfRange
        No cell fits, or rows fixed by hand contradict each other.
    """
    trials = _tried(
        ground, wanted_courses(ground, outline, site, choices), outline, site, cell, choices
    )
    if not trials:
        raise OutOfRange("layout", "the ground ends under the top row", "check the survey there")
    best, others = [], []
    for kind in ("straight", "contour", "string"):
        of_kind = sorted((t for t in trials if t.course.kind == kind), key=lambda t: -t.holds)
        found = chosen_of(of_kind[0], cell, choices) if of_kind else None
        others += of_kind[1:]
        if found:
            scattered = sum(len(_scatter(cell, t.fixed)) for t in of_kind)
            best.append(replace(found, searched=found.searched + scattered))
    if not best:
        raise OutOfRange(
            "layout",
            f"no row of {choices.narrowest_row} whole cells fits inside the strings"
            + (" and off the exclusions" if site.exclusions else ""),
            "check the unit of the outline and the cell, or choose a smaller cell",
        )
    return sorted(best, key=lambda c: -c.worth), others


def again(
    ground: Ground, course: Course, outline: Array, site: Site, cell: CellShape, choices: Choices
) -> Chosen | None:
    """Choose the shift anew on the net that starts from a joint of its own top row."""
    trials = _tried(ground, [course], outline, site, cell, choices)
    return chosen_of(trials[0], cell, choices) if trials else None


def across_of(cell: CellShape) -> float:
    """Give the step of the net along a row: half a cell in half-offset bond [m]."""
    return cell.width / 2 if cell.half_offset else cell.width


def _tried(
    ground: Ground,
    several: list[Course],
    outline: Array,
    site: Site,
    cell: CellShape,
    choices: Choices,
) -> list[Trial]:
    """Lay the coarse nets of courses and try each; those whose ground ends are left out."""
    nets = courses.lay_all(ground, several, outline, COARSE * cell.width, COARSE * cell.run, True)
    tried = (
        _try(course, net, outline, site, cell, choices)
        for course, net in zip(several, nets, strict=True)
    )
    return [trial for trial in tried if trial]


def _try(
    course: Course, net: Net, outline: Array, site: Site, cell: CellShape, choices: Choices
) -> Trial | None:
    """Pull the strings back into the net of a course and count over a scatter of shifts."""
    step = min(cell.width, cell.run)
    # strings pulled to whole cells leave none to spare: what touches them must be found as well;
    # by half of what is let through in the end, as the net that is laid differs by a hair
    image = pull_back_ring(net, _moved(outline, TOUCH / 2), step)
    if not image.rings:
        return None
    holes = [*image.holes]
    for exclusion in site.exclusions:
        holes += pull_back_ring(net, _moved(exclusion.ring, -TOUCH / 2), step / 2).rings
    region = anchor_region(image.rings, holes, cell.width, cell.run)
    fixed = _fixed(net, course, site, cell, choices)
    found = counts(region, cell.width, cell.run, cell.half_offset, _scatter(cell, fixed))
    return Trial(course, net, region, int(found.max()), fixed)


def _moved(ring: Array, outward: float) -> Array:
    """Move every edge of a ring outward; a ring that is too thin for it stays as it is."""
    moved = shapely.buffer(shapely.Polygon(ring), outward, join_style="mitre")
    if shapely.get_type_id(moved) != shapely.GeometryType.POLYGON or moved.is_empty:
        return ring
    return np.asarray(shapely.get_coordinates(moved.exterior)[:-1])


def _scatter(cell: CellShape, fixed: tuple[float | None, float | None]) -> Array:
    """Give shifts spread over one cell, as far as the person has left them free (m, 2)."""
    spread = (np.arange(SCATTER) + 0.5) / SCATTER
    u, v = (
        spread * step if there is None else np.array([there])
        for step, there in zip((cell.width, cell.run), fixed, strict=True)
    )
    return np.stack(np.meshgrid(u, v), axis=-1).reshape(-1, 2)


def _fixed(
    net: Net, course: Course, site: Site, cell: CellShape, choices: Choices
) -> tuple[float | None, float | None]:
    """Say which shifts of the lattice the person has fixed by hand.

    Raises
    ------
    OutOfRange
        Two of them are not a whole number of rows apart.
    """
    u: float | None = None
    v: float | None = None
    rows = pull_back(net, site.fixed_rows)[:, 1] if len(site.fixed_rows) else np.empty(0)
    rows = rows[np.isfinite(rows)]
    if course.kind == "string":
        rows = np.append(0.0, rows)
    if site.fixed_cell is not None:
        corner = pull_back(net, site.fixed_cell[None])[0]
        if np.isfinite(corner).all():
            u, rows = float(corner[0]), np.append(rows, corner[1])
    elif choices.shift == "none":
        u, rows = 0.0, np.append(0.0, rows)
    if len(rows):
        v = float(rows[-1])
        off = (rows - v + cell.run / 2) % cell.run - cell.run / 2
        if np.abs(off).max() > FIXED_TOLERANCE:
            raise OutOfRange(
                "layout: rows fixed by hand",
                f"are {np.abs(off).max():.3f} m from a whole number of rows of {cell.run:.3f} m"
                " apart",
                "fix one row only, or correct the places",
            )
    return u, v


def _grid(trial: Trial, cell: CellShape, du: float, dv: float) -> CellGrid:
    return cell_grid(trial.region, cell.width, cell.run, cell.half_offset, du, dv)


def _hang(grid: CellGrid, trial: Trial, cell: CellShape, choices: Choices) -> Hung:
    """Say what hangs; rows above the person's own string do not."""
    inside = grid.inside
    if trial.course.kind == "string":
        inside = inside & (grid.v > -FIXED_TOLERANCE)
    return hang(inside, cell.half_offset, grid.first_shifted, choices.narrowest_row)


def chosen_of(trial: Trial, cell: CellShape, choices: Choices) -> Chosen | None:
    """Find the placing that hangs most, and the course that starts on its row 1."""
    if trial.region.empty:
        return None

    def worth(du: float, dv: float) -> float:
        return _hang(_grid(trial, cell, du, dv), trial, cell, choices).count

    c = cell
    placing = best_placing(trial.region, c.width, c.run, c.half_offset, *trial.fixed, score=worth)
    grid = _grid(trial, cell, placing.du, placing.dv)
    hung = _hang(grid, trial, cell, choices)
    if not hung.count:
        return None
    v = float(grid.v[hung.top, 0])
    joints = grid.u[hung.top]
    u = float(joints[np.argmin(np.abs(joints - grid.u[hung.mask].mean()))])
    moved = _from_joint(trial, u, v)
    if moved is None:
        return None
    return Chosen(moved, hung.count, placing.bound, placing.searched)


def _from_joint(trial: Trial, u: float, v: float) -> Course | None:
    """Start the course again from the joint (u, v) of the sheet, in the direction of its row."""
    start = _on_plan(trial.net, u, v)
    if start is None:
        return None
    if trial.course.kind == "string" and abs(v) < FIXED_TOLERANCE:
        return trial.course.moved(start, trial.course.heading)
    sides = [_on_plan(trial.net, u + s * trial.net.across / 2, v) for s in (-1, 1)]
    left, right = (start if side is None else side for side in sides)
    heading = right - left
    return trial.course.moved(start, heading / np.linalg.norm(heading))


def _on_plan(net: Net, u: float, v: float) -> Array | None:
    """Give the plan position (2,) of a place in the sheet, None off the net."""
    i, j = v / net.down + net.line0, u / net.across + net.column0
    lines, columns = net.nodes.shape[:2]
    i0, j0 = min(int(np.floor(i + 1e-9)), lines - 2), min(int(np.floor(j + 1e-9)), columns - 2)
    if min(i0, j0) < 0:
        return None
    t, s = i - i0, j - j0
    mesh = net.nodes[i0 : i0 + 2, j0 : j0 + 2, :2]
    weights = np.array([[(1 - t) * (1 - s), (1 - t) * s], [t * (1 - s), t * s]])
    used = np.abs(weights) > 1e-9
    if not np.isfinite(mesh[used]).all():
        return None
    return np.asarray((weights[used][:, None] * mesh[used]).sum(axis=0))


def allowed_ground(outline: Array, site: Site, touch: float) -> shapely.Geometry:
    """Give the outline less the exclusions, grown so that a cell that touches lies inside."""
    allowed = shapely.Polygon(outline)
    if site.exclusions:
        off = shapely.union_all([shapely.Polygon(e.ring) for e in site.exclusions])
        allowed = allowed.difference(off)
    allowed = shapely.buffer(allowed, touch, join_style="mitre")
    shapely.prepare(allowed)
    return allowed
