"""Paper, the room on it, and the largest scale at which a drawing fits."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache

from hillwright import units
from hillwright.data import table
from hillwright.errors import JobError
from hillwright.job.model import Job

MARGIN = 10.0  # paper edge to frame [mm]
STRIP = 27.0  # height of the title strip of a drawing [mm]
FOOT = 15.0  # height of the foot of an office page [mm]
CHART = 180.0  # width of a chart that any office page holds [mm]
GAP = 3.0  # between drawing, column and strip [mm]


@dataclass(frozen=True, slots=True)
class Paper:
    """A landscape sheet and how it is divided [mm]."""

    name: str
    shown: str
    width: float
    height: float

    @property
    def column(self) -> float:
        """Width of the column of notes beside the plan."""
        return 64.0 if self.width < 300 else 84.0

    @property
    def inner_height(self) -> float:
        """From the frame's top down to the title strip."""
        return self.height - 2 * MARGIN - STRIP - GAP

    @property
    def inner_width(self) -> float:
        """From frame to frame."""
        return self.width - 2 * MARGIN

    @property
    def drawing(self) -> tuple[float, float]:
        """Width and height that the plan may take."""
        return self.inner_width - self.column - GAP, self.inner_height


@cache
def papers() -> dict[str, Paper]:
    """Every paper by name."""
    return {
        p["name"]: Paper(
            p["name"],
            p["shown"],
            1000 * units.length(p["width"]),
            1000 * units.length(p["height"]),
        )
        for p in table("sheets")["paper"]
    }


def paper_of(job: Job) -> Paper:
    """Give the job's paper, or the usual one for its units."""
    return papers()[job.sheets.paper or table("sheets")[job.units]["paper"]]


def office_paper(system: units.System, wide: bool = False) -> tuple[float, float]:
    """Give width and height of what the office prints on: letter or A4, upright or wide [mm]."""
    paper = papers()["letter" if system == "us" else "a4"]
    return (paper.width, paper.height) if wide else (paper.height, paper.width)


def standard_scales(system: units.System) -> list[int]:
    """Give the divisors of the scales in use, the largest drawing first."""
    return [int(n) for n, _ in table("sheets")[system]["scales"]]


def scale_text(scale: int, system: units.System) -> str:
    """Write a scale as the trade says it, as in ``1/4" = 1'-0" (1:48)``."""
    said = {int(n): str(text) for n, text in table("sheets")[system]["scales"]}.get(scale, "")
    if not said and system == "us" and scale % 12 == 0:
        said = f"1\" = {scale // 12}'"
    return f"{said} (1:{scale})" if said else f"1:{scale}"


def fits(needs: tuple[float, float], room: tuple[float, float], scale: int, rim: float) -> bool:
    """Say whether a drawing of so many metres fits with a rim [mm] around it."""
    return all(1000 * n / scale + 2 * rim <= r + 1e-6 for n, r in zip(needs, room, strict=True))


def largest_scale(
    needs: tuple[float, float], room: tuple[float, float], system: units.System, rim: float
) -> int | None:
    """Give the largest standard scale at which so many metres fit, or None."""
    return next((s for s in standard_scales(system) if fits(needs, room, s, rim)), None)


def does_not_fit(
    job: Job,
    where: str,
    needs: tuple[float, float],
    room: tuple[float, float],
    rim: float,
) -> JobError:
    """Word the refusal of a scale (or, with no scale asked for, of the paper)."""
    paper = paper_of(job)
    least = math.ceil(max(1000 * n / (r - 2 * rim) for n, r in zip(needs, room, strict=True)))
    standard = next((s for s in standard_scales(job.units) if s >= least), least)
    larger = [
        p.name
        for p in papers().values()
        if p.width > paper.width
        and job.sheets.scale is not None
        and fits(needs, p.drawing, job.sheets.scale, rim)
    ]
    place = f"{paper.name} leaves {room[0]:.0f} x {room[1]:.0f} mm for the drawing"
    if job.sheets.scale is None:
        return JobError(
            f"{where}: sheets.paper",
            f"even 1:{standard_scales(job.units)[-1]} does not fit: {place}",
            f"take a larger paper, or write scale = {standard} under [sheets]",
        )
    wide, high = (1000 * n / job.sheets.scale + 2 * rim for n in needs)
    paper_too = f', or paper = "{larger[0]}"' if larger else ""
    return JobError(
        f"{where}: sheets.scale",
        f"1:{job.sheets.scale} needs {wide:.0f} x {high:.0f} mm and {place}",
        f"write scale = {standard} or more{paper_too}; or leave scale out",
    )
