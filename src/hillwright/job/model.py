"""Job: what the person tells us, as read from one TOML file; SI numbers inside.

Every key here is in the manual (``docs/job.md``) or a test fails. A later room adds its own
section to :class:`Job`; a section that a job leaves out works from the defaults written here.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from pathlib import Path
from typing import Annotated, Any, Literal

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field

from hillwright import units
from hillwright.units import System
from hillwright.units import System


def _read(reader: Callable[[object], float], kind: str) -> Any:
    """Make a validator that lets SI defaults through and reads text with its unit."""

    def read(value: object) -> float:
        return reader(value)

    return BeforeValidator(read, json_schema_input_type=str)


Length = Annotated[float, _read(units.length, "length")]
Mass = Annotated[float, _read(units.mass, "mass")]
Angle = Annotated[float, _read(units.angle, "angle")]
Slope = Annotated[float, _read(units.slope, "slope")]
Place = tuple[Length, Length]  # easting (or along the base line), northing (or across it)


class Section(BaseModel):
    """One table of the job file: frozen, and a key that nobody knows is an error."""

    model_config = ConfigDict(extra="forbid", frozen=True)


class SiteText(Section):
    """[site]: whose hill and where, for the title block."""

    name: str = "Hillside"
    address: str = ""
    client: str = ""
    contractor: str = ""
    notes: str = ""


class SurveyFile(Section):
    """[survey]: the file that was measured, and how to read it."""

    kind: Literal["sections", "points", "dem"]
    file: str
    unit: str = ""  # unit of the numbers in the file, as "ft", "us_survey_foot", "m"
    order: Literal["auto", "PNEZD", "PENZD", "XYZ", "XYZD"] = "auto"  # points: order of the columns
    crs: str = ""  # "EPSG:2227", or "" for a local grid
    accuracy: Length | None = None  # one standard error of a height; None = the table's
    outline_code: str = "OL"  # points: descriptions that start so are the outline, in order
    exclusion_code: str = "EX"  # "EX tree" ... grouped by the word behind the code
    breakline_code: str = "BL"  # "BL 1", "BL 2": one line each, in order
    string_code: str = "TS"  # the top string, in order


class Outline(Section):
    """[outline]: where the cells may lie: a GeoJSON file, coded shots, or corners."""

    file: str = ""
    corners: tuple[Place, ...] = ()


class ExclusionText(Section):
    """[[exclusion]]: a place that cells must keep off."""

    name: str
    corners: tuple[Place, ...] = ()
    centre: Place | None = None
    radius: Length | None = None


class Benchmarks(Section):
    """[benchmarks]: the two pegs that the tape is hooked on; chosen for you when left out."""

    A: Place | None = None
    B: Place | None = None


class BaseLine(Section):
    """[base_line]: the line that stations and offsets are read from."""

    start: Place | None = None
    end: Place | None = None
    bearing: Angle | None = None  # sections: compass direction of the base line, for aspect


class Cell(Section):
    """[cell]: one planting cell: a maker's or a home-made open-bottom box."""

    name: str = "planting cell"
    width: Length = 24 * 0.0254  # along the row
    run: Length = 18 * 0.0254  # along the slope
    depth: Length = 8 * 0.0254  # height of the wall
    bond: Literal["stacked", "half-offset"] = "stacked"
    clip_play: Length = 0.5 * 0.0254  # how far two clipped cells can move against each other
    clips_per_edge: int = Field(default=2, ge=1)
    max_twist: Length = 1.0 * 0.0254  # a corner may stand this far off the plane of the others
    max_gap: Length = 2.0 * 0.0254  # the base may bridge a dip this deep
    max_bend: Angle = math.radians(25)  # clipped neighbours may hinge this far
    pass_height: Length = 4 * 0.0254  # height of the pass-through holes above the base
    mass: Mass = 5.5
    edge_pieces: bool = True  # order a piece for every outer edge


class Choices(Section):
    """[layout]: how the cells are to lie; every one may be left out."""

    top: Literal["best", "string", "straight", "contour"] = "best"
    string: tuple[Place, ...] = ()  # the top string, left to right looking uphill
    max_tilt: Angle = math.radians(10)  # rows may leave the contour this far
    shift: Literal["best", "none"] = "best"  # none: the lattice starts at the string's middle
    trimmed: bool = False  # also show cells that would have to be cut to fit
    narrowest_row: int = Field(default=2, ge=1)  # fewer cells than this in a row are left out
    fixed_rows: tuple[Place, ...] = ()  # the top edge of a row passes through here
    fixed_cell: Place | None = None  # a cell's upper left corner (looking uphill) is here
    keep: tuple[Place, ...] = ()  # the cell at this place stays, even where it crosses the outline
    leave_out: tuple[Place, ...] = ()  # no cell at this place


class Grading(Section):
    """[grading]: how far the ground will be smoothed before cells are laid."""

    smooth: Length | None = None  # width that grading evens out; None = one cell


class SheetChoices(Section):
    """[sheets]: paper and scale."""

    paper: Literal["letter", "tabloid", "arch-c", "arch-d", "a4", "a3", "a2", "a1"] | None = None
    scale: int | None = Field(default=None, ge=1)  # 50 = 1:50; None = the largest that fits
    revision: str = "A"
    date: str = ""  # printed as given; "" leaves it to the person's pen


class Job(Section):
    """A job: one hillside and what is wanted on it."""

    units: System = "us"
    site: SiteText = SiteText()
    survey: SurveyFile
    outline: Outline = Outline()
    exclusion: tuple[ExclusionText, ...] = ()
    benchmarks: Benchmarks = Benchmarks()
    base_line: BaseLine = BaseLine()
    cell: Cell = Cell()
    layout: Choices = Choices()
    grading: Grading = Grading()
    sheets: SheetChoices = SheetChoices()


class OpenJob(BaseModel):
    """A job and where its file lies, so that its sidecar files can be found."""

    model_config = ConfigDict(frozen=True)
    job: Job
    path: Path
