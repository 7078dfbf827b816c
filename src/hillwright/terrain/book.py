"""The working of each figure of the ground: what was put in, what came out, by which method."""

from __future__ import annotations

from dataclasses import dataclass

from hillwright.arrays import Array
from hillwright.method import Number, Working
from hillwright.terrain.areas import polygon_area
from hillwright.terrain.bends import Bend
from hillwright.terrain.curvature import curvatures
from hillwright.terrain.measure import mean_roughness, mean_slope
from hillwright.terrain.model import Trial
from hillwright.terrain.slopes import slope_and_aspect
from hillwright.terrain.spots import spot_volumes
from hillwright.terrain.surface_area import surface_area
from hillwright.terrain.thinplate import left_out_error

Given = dict[str, float | int | str]


@dataclass(frozen=True, slots=True, eq=False)
class Figures:
    """Measures of the ground inside the outline, and what they were worked out from."""

    slope_mean: float  # [rad]
    nodes: int  # inside the outline
    gradient_mean: tuple[float, float]  # [-]
    gradient_steepest: tuple[float, float]  # of the steepest place of a cell's size [-]
    slope_steepest: float  # [rad]
    steepest_at: Array  # (2,) [m]
    aspect: float  # compass bearing that the hill faces, not a number where level [rad]
    north: float  # compass bearing of +y [rad]
    roughness: float  # [m]
    places: int  # where a cell may lie
    bend: Bend
    plan_area: float  # [m2]
    slope_area: float  # [m2]


def workings(
    found: Figures,
    trials: tuple[Trial, ...],
    tested: int,
    step: float,
    covered: float,
    trim: float,
    fill: float,
    spots: int,
) -> tuple[Working, ...]:
    """Give the working of every figure of the ground that a person may act on."""
    nodes = f"at {found.nodes} nodes inside the outline, {step:.3f} m apart, as graded"
    mean_x, mean_y = found.gradient_mean
    steep_x, steep_y = found.gradient_steepest
    at = f"x {found.steepest_at[0]:.2f} m, y {found.steepest_at[1]:.2f} m"
    tried = "; ".join(f"{t.name} {t.rmse:.4f} m" for t in trials)
    left_out: Given = {
        "heights": f"{tested} surveyed heights",
        "predicted": f"each from all others, by {trials[0].name}",
    }
    ground: Given = {"surface": "as graded", "outline": "the job's outline"}
    earth: Given = {"change": f"ground less what it is to be, at {spots} spots", "step": step}
    return (
        Working.of(
            "terrain.slope.mean", mean_slope, {"dz_dx": nodes, "dz_dy": nodes}, found.slope_mean
        ),
        Working.of(
            "terrain.slope.steepest",
            slope_and_aspect,
            {"dz_dx": steep_x, "dz_dy": steep_y},
            found.slope_steepest,
            output="slope",
            note=f"plane that fits the ground under one cell best, as surveyed, at {at}",
        ),
        Working.of(
            "terrain.curvature",
            curvatures,
            dict(zip("pqrst", found.bend.derivatives, strict=True)),
            found.bend.curvature,
            output="tangential" if found.bend.along_row else "profile",
            note=f"sharpest bend of the graded ground at x {found.bend.at[0]:.2f} m, "
            f"y {found.bend.at[1]:.2f} m; convex is positive",
        ),
        Working.of(
            "terrain.aspect",
            slope_and_aspect,
            {"dz_dx": mean_x, "dz_dy": mean_y},
            found.aspect,
            output="aspect",
            note=f"mean gradient; the grid's +y lies {found.north:.4f} rad clockwise of north, "
            "which is added",
        ),
        Working.of(
            "terrain.area.plan",
            polygon_area,
            {"xy": "corners of the outline"},
            found.plan_area,
            output="area",
        ),
        Working.of("terrain.area.slope", surface_area, ground, found.slope_area, output="area"),
        Working.of(
            "terrain.error",
            left_out_error,
            left_out,
            trials[0].rmse,
            unit="m.small",
            note=f"tried: {tried}; the first is used",
        ),
        Working.of(
            "terrain.roughness",
            mean_roughness,
            {"rms": f"{found.places} places of one cell, as surveyed"},
            found.roughness,
            unit="m.small",
        ),
        Working.of("terrain.trim", spot_volumes, earth, trim, output="trim"),
        Working.of("terrain.fill", spot_volumes, earth, fill, output="fill"),
        Working(
            "terrain.covered",
            "Share of the outline that the survey covers",
            "plan area of the outline inside the survey / plan area of the outline",
            (Number("plan area of the outline", found.plan_area, "m2"),),
            Number("share", covered, "%"),
            "exact geometry",
        ),
    )
