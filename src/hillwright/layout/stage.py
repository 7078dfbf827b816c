"""Stage: Surface and strings to Layout: every cell where it lies, numbered, measured, hung."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import shapely

from hillwright.arrays import Array, Index, Mask, frozen
from hillwright.job.model import Choices
from hillwright.job.site import Site
from hillwright.layout import courses
from hillwright.layout.bond import cells_of, pieces
from hillwright.layout.courses import Course
from hillwright.layout.hang import ABOVE_TOP, Clips, hang, reason
from hillwright.layout.measure import bend_between, measure, sharpest
from hillwright.layout.model import CellShape, Layout, LeftOut
from hillwright.layout.panels import Panels, make_panels
from hillwright.layout.placing import (
    TOUCH,
    Chosen,
    across_of,
    again,
    allowed_ground,
    choose,
    chosen_of,
)
from hillwright.layout.report import OWN_STRING, area_count, warnings, workings
from hillwright.terrain.model import Surface

TILT_SLACK = math.radians(0.5)  # what a straight string may leave the contour further than asked
PANEL_LOSS = 0.1  # of the cells: from so many on, every course is cut into panels and counted
TRIM_SHARE = 1 / 3  # less than this of a cell inside the strings is not worth trimming


def lay_out(surface: Surface, site: Site, cell: CellShape, choices: Choices) -> Layout:
    """Stage: lay the grid inside the strings.

    Parameters
    ----------
    surface : Surface
        The ground; cells lie on it as graded, and are measured against it as surveyed.
    site : Site
        Exclusions, top string, and what the person fixed by hand.
    cell : CellShape
        The cell and its limits.
    choices : Choices
        How the cells are to lie.

    Raises
    ------
    OutOfRange
        No cell fits, the ground is flat, or what was fixed by hand contradicts itself.
    """
    ground, outline = surface.graded, surface.outline
    strings = _Strings(allowed_ground(outline, site, TOUCH), site, choices.trimmed)
    finalists, others = choose(ground, outline, site, cell, choices)
    searched = sum(f.searched for f in finalists)
    most = choices.max_tilt + TILT_SLACK

    def rank(hung: _Hung) -> tuple[bool, int]:
        # a straight string bends with the hill; one that ends up too far off the contour comes last
        level = hung.course.kind != "straight" or courses.tilt_of(ground, outline, hung.row) <= most
        return level, hung.count

    def hang_on(chosen: Chosen) -> _Hung:
        return _hang_grid(ground, chosen.course, outline, cell, strings, choices)

    bound, best = finalists[0].bound, hang_on(finalists[0])
    for chosen in finalists[1:]:  # best first
        if rank(best) >= (True, chosen.worth):
            break
        if rank(hung := hang_on(chosen)) > rank(best):
            bound, best = chosen.bound, hung
    # where panels take many cells away, the flat sheet has not said which tilt is the best
    if not rank(best)[0] or (best.panels.seams and best.count < bound * (1 - PANEL_LOSS)):
        for trial in others:
            found = chosen_of(trial, cell, choices)
            if not found or (True, found.worth) <= rank(best):
                continue
            searched += found.searched
            if rank(hung := hang_on(found)) > rank(best):
                bound, best = found.bound, hung
    # the net from the chosen joint differs by a hair from the one that was searched; where that
    # costs cells at the strings, shift once more on the new net
    if best.count < bound and not best.panels.seams:
        found = again(ground, best.course, outline, site, cell, choices)
        if found:
            searched += found.searched
            if rank(hung := hang_on(found)) > rank(best):
                bound, best = max(bound, found.bound), hung
    return _measured(best, surface, strings, cell, choices, max(bound, best.count), searched)


def _upper_rows(best: _Hung, most: int | None) -> _Hung:
    """Keep so many rows from the top; what is below them hung from them, and is left out."""
    lines = np.unique(best.panels.line[best.hung])
    if most is None or len(lines) <= most:
        return best
    below = best.hung & (best.panels.line > lines[most - 1])
    why = f"below row {most}, the last one asked for (layout.max_rows)"
    out = tuple(
        LeftOut(frozen(best.panels.corners[k]), why) for k in np.flatnonzero(below & best.whole)
    )
    return replace(best, hung=best.hung & ~below, left_out=(*best.left_out, *out))


@dataclass(frozen=True, slots=True, eq=False)
class _Strings:
    """Which cells are wanted: the strings, and what the person said of single cells."""

    allowed: Any
    site: Site
    trimmed: bool

    def whole(self, xy: Array) -> Mask:
        """Tell which cells (n, 4, 2) lie whole inside, or are kept by hand."""
        shapes = shapely.polygons(xy)
        kept = shapely.covers(self.allowed, shapes) | _at(shapes, self.site.keep)
        return np.asarray(kept & ~_at(shapes, self.site.leave_out))

    def wanted(self, xy: Array) -> Mask:
        """Tell which cells are whole, or are worth trimming when that was chosen."""
        whole = self.whole(xy)
        if not self.trimmed:
            return whole
        shapes = shapely.polygons(xy)
        share = shapely.area(shapely.intersection(self.allowed, shapes)) / shapely.area(shapes)
        trim = (share >= TRIM_SHARE) & ~_at(shapes, self.site.leave_out)
        return np.asarray(whole | trim)


def _at(shapes: Any, places: Array) -> Mask:
    """Tell which shapes hold one of the places (k, 2)."""
    found = np.zeros(len(shapes), bool)
    for x, y in places:
        found |= shapely.intersects_xy(shapes, x, y)
    return found


@dataclass(frozen=True, slots=True, eq=False)
class _Hung:
    """The panels of one course and which of their cells hang."""

    course: Course
    panels: Panels
    top: Array  # (k, 3)
    hung: Mask  # (n,) of the panels' cells
    anchored: Mask  # (n,)
    whole: Mask  # (n,)
    left_out: tuple[LeftOut, ...]

    @property
    def count(self) -> int:
        return int((self.hung & self.whole).sum())

    @property
    def row(self) -> Array:
        """The top string (k, 3), as far as there is ground."""
        return self.top[np.isfinite(self.top[:, 0])]


def _hang_grid(
    ground: Any,
    course: Course,
    outline: Array,
    cell: CellShape,
    strings: _Strings,
    choices: Choices,
) -> _Hung:
    """Lay the net from a joint of row 1, cut it into panels and keep what hangs."""
    net = courses.lay(ground, course, outline, across_of(cell), cell.run, False)
    top, joint = net.nodes[0], 2 if cell.half_offset else 1
    corners, line, column = cells_of(net, cell.half_offset, net.column0)
    wanted = strings.wanted(corners[..., :2])
    if wanted.any():
        first, last = int(column[wanted].min()), int(column[wanted].max()) + joint
        deep = int(line[wanted].max()) + 2  # a panel's own net may lie a row otherwise
    else:
        first, last, deep = net.column0, min(net.column0 + joint, len(top) - 1), 1
    # panels begin on a joint of the rows that are not moved
    first -= (first - net.column0) % joint
    last = min(last + (net.column0 - last) % joint, len(top) - 1)
    lines = (0, min(deep, net.nodes.shape[0] - 1))
    panels = make_panels(
        ground,
        top,
        (max(first, 0), last),
        lines,
        cell,
        strings.wanted,
        start=net.column0,
        narrowest=choices.narrowest_row,
    )
    return _keep_hanging(course, panels, top[max(first, 0) : last + 1], cell, strings, choices)


def _keep_hanging(
    course: Course,
    panels: Panels,
    top: Array,
    cell: CellShape,
    strings: _Strings,
    choices: Choices,
) -> _Hung:
    """Keep the cells that hang together from row 1 or from the head row of their piece."""
    n = len(panels.line)
    whole = strings.whole(panels.corners[..., :2])
    hung, anchored, why = np.zeros(n, bool), np.zeros(n, bool), np.zeros(n, int)
    # a piece is clipped to no other, so each hangs from a row of its own
    piece = pieces(n, panels.clips)
    for name in np.unique(piece):
        mine = np.flatnonzero(piece == name)
        hung[mine], anchored[mine], why[mine] = _hang_piece(panels, mine, cell, choices)
    left = [
        LeftOut(frozen(panels.corners[k]), reason(int(why[k]), choices.narrowest_row))
        for k in np.flatnonzero(~hung & whole)
    ]
    return _Hung(course, panels, top, hung, anchored, whole, (*panels.left_out, *left))


def _hang_piece(
    panels: Panels, mine: Index, cell: CellShape, choices: Choices
) -> tuple[Mask, Mask, Index]:
    """Say which cells of one piece hang, which from anchors of their own, and why others do not."""
    line, column = panels.line[mine], panels.column[mine]
    row = line - line.min()
    shifted = line % 2 if cell.half_offset else np.zeros(len(mine), int)
    place = (column - column.min() + shifted) // (2 if cell.half_offset else 1)
    there = np.zeros((int(row.max()) + 1, int(place.max()) + 1), bool)
    there[row, place] = True
    first_shifted = cell.half_offset and _first_shifted(column, row, place)
    new = np.full(len(panels.line), -1)
    new[mine] = np.arange(len(mine))
    pairs = new[panels.clips]
    pairs = pairs[(pairs >= 0).all(axis=1)]
    clips = _clip_masks(there.shape, row, place, pairs, cell.half_offset, first_shifted)
    hung, anchored = np.zeros_like(there), np.zeros_like(there)
    why = np.full(there.shape, ABOVE_TOP)
    # what stands above the best row 1 of the piece, past a neck too narrow to hang from, may
    # still hang from a row of its own
    while (rest := there & ~hung & (why == ABOVE_TOP)).any():
        found = hang(rest, cell.half_offset, first_shifted, choices.narrowest_row, clips)
        why = np.where(rest, found.why, why)
        hung, anchored = hung | found.mask, anchored | found.anchored
        if not found.count:
            break
    return hung[row, place], anchored[row, place], why[row, place]


def _first_shifted(column: Index, row: Index, place: Index) -> bool:
    """Say whether the first grid row stands half a cell to the right of the second."""
    halves = column - 2 * place  # the same for all cells of the rows of one parity
    even, odd = halves[row % 2 == 0], halves[row % 2 == 1]
    return bool(len(even) and len(odd) and even[0] > odd[0])


def _clip_masks(
    shape: tuple[int, int],
    row: Index,
    place: Index,
    pairs: Index,
    half_offset: bool,
    first_shifted: bool,
) -> Clips:
    """Turn pairs of clipped cells into the masks that :func:`hang` takes."""
    rows, columns = shape
    side = np.zeros((rows, max(columns - 1, 0)), bool)
    above = np.zeros((rows, columns, 2 if half_offset else 1), bool)
    a, b = pairs.T
    beside = row[a] == row[b]
    side[row[a[beside]], np.minimum(place[a[beside]], place[b[beside]])] = True
    up, low = a[~beside], b[~beside]
    up, low = np.where(row[up] < row[low], up, low), np.where(row[up] < row[low], low, up)
    if half_offset:
        # a row that stands half a cell to the right has its upper neighbours at 0 and 1, the
        # others at -1 and 0
        moved = (row[low] % 2 == 0) == first_shifted
        above[row[low], place[low], place[up] - place[low] + np.where(moved, 0, 1)] = True
    else:
        above[row[low], place[low], 0] = True
    return Clips(side, above)


def _measured(
    best: _Hung,
    surface: Surface,
    strings: _Strings,
    cell: CellShape,
    choices: Choices,
    bound: int,
    searched: int,
) -> Layout:
    """Put numbers and measures to the cells that hang, and say how it all came about."""
    every = best.count
    best = _upper_rows(best, choices.max_rows)
    panels = best.panels
    keep = np.flatnonzero(best.hung)
    order = keep[np.lexsort((panels.column[keep], panels.line[keep]))]
    corners = panels.corners[order]
    _, row = np.unique(panels.line[order], return_inverse=True)
    in_row = np.bincount(row)
    number = np.arange(len(row)) - np.repeat(np.cumsum(in_row) - in_row, in_row) + 1
    new = np.full(len(panels.line), -1)
    new[order] = np.arange(len(order))
    clips = new[panels.clips]
    clips = clips[(clips >= 0).all(axis=1)]
    m = measure(corners, surface.ground)
    kept, panel = np.unique(panels.panel[order], return_inverse=True)
    renamed = {int(old): new for new, old in enumerate(kept, 1)}
    seams = tuple(
        replace(s, panels=(renamed[s.panels[0]], renamed[s.panels[1]]))
        for s in panels.seams
        if s.panels[0] in renamed and s.panels[1] in renamed
    )
    tilt = courses.tilt_of(surface.graded, surface.outline, best.row)
    layout = Layout(
        cell=cell,
        corners=frozen(corners),
        row=frozen(row + 1),
        number=frozen(number),
        panel=frozen(panel + 1),
        anchored=frozen(best.anchored[order]),
        trimmed=frozen(~best.whole[order]),
        shear=frozen(m.shear),
        twist=frozen(m.twist),
        gap=frozen(m.gap),
        hump=frozen(m.hump),
        bend=frozen(sharpest(bend_between(m.normal, clips), clips, len(order))),
        run_slope=frozen(m.run_slope),
        cross_slope=frozen(m.cross_slope),
        clips=frozen(clips),
        seams=seams,
        left_out=best.left_out,
        top_string=frozen(best.row),
        top=_words(best.course, tilt),
        tilt=tilt,
        count=best.count,
        bound=bound,
        area_bound=area_count(surface, strings.site, cell),
        searched=searched,
        workings=(),
        warnings=(),
        all_rows=every if best.count < every else 0,
    )
    return replace(layout, workings=workings(layout), warnings=warnings(layout, choices))


def _words(course: Course, tilt: float) -> str:
    """Say which string the top row follows."""
    if course.kind == "string":
        return OWN_STRING
    if course.kind == "contour":
        return "the contour through its middle"
    return f"a straight string, {math.degrees(tilt):.1f} deg off the contour"
