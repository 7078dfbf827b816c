"""Stage: from a site to its ground, what to smooth first, and how steep and how large it is."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from hillwright.arrays import Array, Mask, frozen
from hillwright.errors import OutOfRange
from hillwright.job.site import HeightGrid, Site
from hillwright.terrain.bends import sharpest_bend
from hillwright.terrain.book import Figures, workings
from hillwright.terrain.choose import Choice, choose_surface
from hillwright.terrain.demground import surface_of_grid
from hillwright.terrain.doubts import doubts
from hillwright.terrain.fallline import fall_line
from hillwright.terrain.heightfield import HeightField, Window
from hillwright.terrain.measure import (
    CellPlanes,
    cell_planes,
    mean_roughness,
    mean_slope,
    nodes_inside,
    places_for_a_cell,
)
from hillwright.terrain.model import Surface, Survey
from hillwright.terrain.slopes import slope_and_aspect
from hillwright.terrain.smoothing import graded_heights
from hillwright.terrain.spots import find_spots, footprint, grading_spots
from hillwright.terrain.surface_area import surface_area
from hillwright.terrain.survey import gather

_NODES = 250_000  # of a field at most
_PER_CELL = 4  # nodes along the shorter side of a cell
_MARGIN = 3.5  # cells round the outline that ground is worked out for
_AREA_ERROR = 1e-4  # of the true area, relative

Progress = Callable[[str, float], None]


def make_surface(
    site: Site,
    cell_width: float,
    cell_run: float,
    max_gap: float,
    smooth: float | None = None,
    progress: Progress | None = None,
) -> Surface:
    """Make a site's measurements into ground.

    Parameters
    ----------
    site : Site
        As read from the job's sidecar files.
    cell_width, cell_run : float
        Of a cell, along the row and along the slope [m].
    max_gap : float
        Dip that the base of a cell may bridge, and hump that it may perch on [m].
    smooth : float, optional
        Width that grading evens out; None is the longer side of one cell [m].
    progress : callable, optional
        Told what is being done, and the share done so far.

    Raises
    ------
    SurveyError
        The measurements do not describe a hillside, or the outline does not lie on it.
    OutOfRange
        A cell without a size, or a tolerance below zero.
    """
    width = max(cell_width, cell_run) if smooth is None else smooth
    for name, value, least in (
        ("cell.width", cell_width, 1e-3),
        ("cell.run", cell_run, 1e-3),
        ("cell.max_gap", max_gap, 0.0),
        ("grading.smooth", width, 0.0),
    ):
        if not (np.isfinite(value) and value >= least):
            raise OutOfRange(name, f"{value:g} m is no size for it", f"give {least:g} m or more")

    def tell(what: str, share: float) -> None:
        if progress:
            progress(what, share)

    tell("checking the survey", 0.0)
    survey = gather(site)
    window = window_round(survey, site, cell_width, cell_run)
    tell("choosing the surface", 0.1)
    if isinstance(site.measured, HeightGrid):
        choice = surface_of_grid(site.measured, survey, window)
    else:
        choice = choose_surface(survey, window)
    tell("looking for what to smooth", 0.5)
    ground = HeightField(window.x0, window.y0, window.step, choice.heights)
    inside = nodes_inside(survey.outline, window)
    down = _down(ground, inside)
    across = np.array([-down[1], down[0]])
    smoothed = find_spots(choice.heights, window, inside, cell_width, cell_run, max_gap, across)
    graded = HeightField(
        window.x0, window.y0, window.step, graded_heights(smoothed.heights, window.step, width)
    )
    spots = grading_spots(smoothed, graded.heights, window, inside, max_gap)
    tell("measuring the ground", 0.8)
    under = footprint(cell_width, cell_run, across, window.step)
    planes = cell_planes(choice.heights, window.step, under)
    beyond = 2 * max(cell_width, cell_run)
    found = _measured(site, survey, choice, graded, inside, planes, cell_width, cell_run)
    covered, warnings = doubts(
        survey,
        choice,
        inside,
        max(cell_width, cell_run),
        found.slope_mean,
        site.outline_where or "outline",
    )
    trim, fill = (float(sum(getattr(s, k) for s in spots)) for k in ("trim", "fill"))
    surface = Surface(
        tin=choice.tin,
        ground=ground,
        graded=graded,
        supported=frozen(choice.supported),
        outline=survey.outline,
        method=choice.trials[0].name,
        trials=choice.trials,
        rmse=choice.trials[0].rmse,
        smoothing=width,
        slope_mean=found.slope_mean,
        slope_steepest=found.slope_steepest,
        steepest_at=frozen(found.steepest_at),
        aspect=found.aspect,
        roughness=found.roughness,
        bend=found.bend.curvature,
        bend_along_row=found.bend.along_row,
        bend_at=found.bend.at,
        plan_area=found.plan_area,
        slope_area=found.slope_area,
        covered=covered,
        spots=spots,
        trim=trim,
        fill=fill,
        fall_line=frozen(fall_line(ground, survey.outline, down, beyond)),
        workings=workings(
            found,
            choice.trials,
            choice.tested,
            window.step,
            covered,
            trim,
            fill,
            len(spots),
        ),
        warnings=warnings,
    )
    tell("ground done", 1.0)
    return surface


def window_round(survey: Survey, site: Site, cell_width: float, cell_run: float) -> Window:
    """Set out the nodes of the fields: round the outline and the lines and pegs that the job names.

    Pegs further off than the outline is large are left out: the hill there is not this hill.
    """
    low, high = survey.outline.min(axis=0), survey.outline.max(axis=0)
    reach = max(float((high - low).max()), 10.0)
    pegs = [site.string, site.base_line, *site.benchmarks, site.fixed_rows]
    places = [np.reshape(p, (-1, 2)) for p in pegs if p is not None and np.size(p)]
    for place in np.concatenate(places) if places else []:
        if ((place > low - reach) & (place < high + reach)).all():
            low, high = np.minimum(low, place), np.maximum(high, place)
    margin = _MARGIN * max(cell_width, cell_run)
    low, high = low - margin, high + margin
    size = high - low
    step = min(cell_width, cell_run) / _PER_CELL
    if (size / step + 1).prod() > _NODES:
        # (sx / s + 1) (sy / s + 1) = nodes, solved for s; rounded up so that it holds
        b = float(size.sum())
        step = (b + np.sqrt(b * b + 4 * (_NODES - 1) * size.prod())) / (2 * (_NODES - 1)) * 1.002
    count = np.ceil(size / step).astype(int) + 1
    return Window(float(low[0]), float(low[1]), float(step), int(count[0]), int(count[1]))


def _down(ground: HeightField, inside: Mask) -> Array:
    """(2,) direction of the mean fall inside the outline; level ground falls to the south."""
    p, q = ground.gradient()
    fall = -np.array([p[inside].mean(), q[inside].mean()])
    size = float(np.hypot(*fall))
    return fall / size if size > 1e-9 else np.array([0.0, -1.0])


def _measured(
    site: Site,
    survey: Survey,
    choice: Choice,
    graded: HeightField,
    inside: Mask,
    planes: CellPlanes,
    cell_width: float,
    cell_run: float,
) -> Figures:
    p, q = (g[inside] for g in graded.gradient())
    window = graded.window
    places = places_for_a_cell(survey.outline, window, cell_width, cell_run)
    steepness = np.where(places, np.hypot(planes.dz_dx, planes.dz_dy), -1)
    j, i = np.unravel_index(int(np.argmax(steepness)), steepness.shape)
    facing = float(slope_and_aspect(p.mean(), q.mean()).aspect)
    area = surface_area(graded, survey.outline, _AREA_ERROR)
    return Figures(
        slope_mean=mean_slope(p, q),
        nodes=int(inside.sum()),
        gradient_mean=(float(p.mean()), float(q.mean())),
        gradient_steepest=(float(planes.dz_dx[j, i]), float(planes.dz_dy[j, i])),
        slope_steepest=float(np.arctan(steepness[j, i])),
        steepest_at=np.array([window.x[i], window.y[j]]),
        aspect=float(np.mod(facing + site.frame.north, 2 * np.pi)),
        north=site.frame.north,
        roughness=mean_roughness(planes.rms[places]),
        places=int(places.sum()),
        bend=sharpest_bend(graded, inside, min(cell_width, cell_run) / 2),
        plan_area=area.plan_area,
        slope_area=area.area,
    )
