"""The hill and the grid on it: surface, spots, layout, set-out."""

from __future__ import annotations

from hillwright.document.base import Matrix, Part, Vector, axes, read, si, text
from hillwright.job.site import Site
from hillwright.layout.model import Layout, SetOut
from hillwright.terrain.model import Surface


class SpotPart(Part):
    """A place to smooth before cells are laid."""

    number: int = si("-", "As on the sheets.")
    x_m: float = si("m", "Where.")
    y_m: float = si("m", "Where.")
    depth_m: float = si("m", "Deepest to fill, or highest to trim.")
    area_m2: float = si("m2", "In plan.")
    trim_m3: float = si("m3", "To take off.")
    fill_m3: float = si("m3", "To put in.")
    ring_m: Matrix = axes("m", "corner xy", "Its edge.")


class ExclusionPart(Part):
    """A place that cells keep off."""

    name: str = text("What it is.")
    ring_m: Matrix = axes("m", "corner xy", "Its edge.")


class GroundPart(Part):
    """The ground of the site."""

    method: str = text("How the surface was made.")
    rmse_m: float | None = si("m", "Its cross-validated error.")
    slope_mean_rad: float = si("rad", "Mean over the outline, from horizontal.")
    slope_steepest_rad: float = si("rad", "Steepest place of a cell's size.")
    steepest_at_m: Vector = axes("m", "xy", "Where that is.")
    aspect_rad: float | None = si("rad", "Bearing that the hill faces; null where level.")
    roughness_m: float = si("m", "RMS off the plane of one cell.")
    plan_area_m2: float = si("m2", "Of the outline, in plan.")
    slope_area_m2: float = si("m2", "Of the outline, on the ground.")
    covered: float = si("-", "Share of the outline that the survey covers.")
    trim_m3: float = si("m3", "All spots, to take off.")
    fill_m3: float = si("m3", "All spots, to put in.")
    outline_m: Matrix = axes("m", "corner xy", "The strings, counter-clockwise.")
    fall_line_m: Matrix = axes("m", "point xyz", "The steepest section, top to bottom.")
    spots: list[SpotPart] = text("What to smooth first.")
    exclusions: list[ExclusionPart] = text("What cells keep off.")


class CellPart(Part):
    """The planting cell."""

    width_m: float = si("m", "Along the row.")
    run_m: float = si("m", "Along the slope.")
    depth_m: float = si("m", "Height of its wall.")
    mass_kg: float = si("kg", "Empty.")
    half_offset: bool = text("Each row half a cell aside of the one above.")
    clips_per_edge: int = si("-", "Clips between two cells.")


class SeamPart(Part):
    """Where the grid is cut."""

    panels: list[int] = axes("-", "side", "Numbers of the panels on either side.")
    along: str = text('"column" or "row".')
    at_m: Vector = axes("m", "x1y1x2y2", "From x, y to x, y.")
    why: str = text("Why it is cut.")
    widest_m: float = si("m", "Gap at its widest.")


class LayoutPart(Part):
    """The grid of cells; what each cell is stands in the table of cells."""

    cell: CellPart = text("The cell.")
    count: int = si("-", "Whole cells laid.")
    bound: int = si("-", "No placing with rows in this direction holds more.")
    area_bound: int = si("-", "No placing in any direction holds more.")
    rows: int = si("-", "How many rows; row 1 is the top row.")
    top: str = text("Which line row 1 follows.")
    tilt_rad: float = si("rad", "Of the rows against the contour.")
    top_string_m: Matrix = axes("m", "point xyz", "The line that row 1 hangs on.")
    seams: list[SeamPart] = text("Where the grid is cut, and why.")


class SetOutPart(Part):
    """What two people with a tape need; the lines and stakes are tables of their own."""

    benchmark_a_m: Vector = axes("m", "xyz", "Peg A.")
    benchmark_b_m: Vector = axes("m", "xyz", "Peg B.")
    base_line_m: Matrix = axes("m", "end xyz", "Start and end of the base line.")
    tolerance_m: float = si("m", "That a stake is to be set within.")


def ground_part(surface: Surface, site: Site) -> GroundPart:
    """Give the surface."""
    return read(
        GroundPart,
        surface,
        spots=[read(SpotPart, s) for s in surface.spots],
        exclusions=[read(ExclusionPart, e) for e in site.exclusions],
    )


def layout_part(layout: Layout) -> LayoutPart:
    """Give the grid."""
    seams = [read(SeamPart, s) for s in layout.seams]
    return read(LayoutPart, layout, cell=read(CellPart, layout.cell), seams=seams)


def set_out_part(setout: SetOut) -> SetOutPart:
    """Give the pegs and the base line."""
    return read(SetOutPart, setout)
