"""Job: what the person tells us, as read from one TOML file; SI numbers inside.

Every key here is in the manual (``docs/job.md``) or a test fails. A later room adds its own
section to :class:`Job`; a section that a job leaves out works from the defaults written here.
No default here comes from a maker: the manual says which are common practice and which are
invented to start from. Limits keep out slips of the pen (inches for feet), not unusual cells.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from pathlib import Path
from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, Strict

from hillwright.job.built import BuiltText
from hillwright.job.carrying import CarryText
from hillwright.job.crew import CrewText, MeasuredText, PersonText, named_once
from hillwright.job.drip import DripText, EmitterText, SupplyText, TubingText
from hillwright.job.estimate import ChoiceText, EstimateText, WasteText, offer_agrees
from hillwright.job.fields import (
    FOOT,
    INCH,
    POUND,
    Conflict,
    Day,
    FileName,
    Flag,
    LengthUnit,
    MapPlace,
    angles,
    lengths,
    masses,
    slopes,
)
from hillwright.job.ground import Checklist, Holding, SoilText
from hillwright.job.planting import (
    PinText,
    PlantingText,
    ShadeText,
    Weights,
    WishText,
    wishes_agree,
)
from hillwright.job.planting_soil import FillText, MixText, mixes_agree
from hillwright.job.table import Section
from hillwright.job.water import Drains, Rain
from hillwright.job.watering import ClimateText, WateringText
from hillwright.units import System

# keys of [survey] that only one kind of survey reads
_ONLY_POINTS = ("order", "outline_code", "exclusion_code", "breakline_code", "string_code")


class SiteText(Section):
    """[site]: whose hill and where, for the title block."""

    name: str = "Hillside"
    address: str = ""
    client: str = ""
    contractor: str = ""
    notes: str = ""
    # for the sun; None = from the survey's coordinate system, where it has one
    latitude: Annotated[float, angles(-90, 90)] | None = None  # north is positive
    longitude: Annotated[float, angles(-180, 180)] | None = None  # east is positive
    altitude: Annotated[float, lengths(-1500 * FOOT, 8000 * FOOT)] = 0.0  # over the sea


class SurveyFile(Section):
    """[survey]: the file that was measured, and how to read it."""

    kind: Literal["sections", "points", "dem"]
    file: FileName
    unit: LengthUnit = ""  # unit of the numbers in the file, as "ft", "us_survey_foot", "m"
    order: Literal["auto", "PNEZD", "PENZD", "XYZ", "XYZD"] = "auto"  # points: order of the columns
    crs: str = ""  # "EPSG:2227", or "" for a local grid
    # one standard error of a height; None = the table's
    accuracy: Annotated[float, lengths(1e-4, 3.0)] | None = None
    outline_code: str = "OL"  # points: descriptions that start so are the outline, in order
    exclusion_code: str = "EX"  # "EX tree" ... grouped by the word behind the code
    breakline_code: str = "BL"  # "BL 1", "BL 2": one line each, in order
    string_code: str = "TS"  # the top string, in order

    def conflicts(self) -> Iterator[Conflict]:
        """Find keys of another kind of survey, and codes that cannot be told apart."""
        if self.kind != "points":
            for key in _ONLY_POINTS:
                if key in self.model_fields_set:
                    what = f'is only for a survey of kind "points", and this one is "{self.kind}"'
                    yield Conflict((key,), what, "leave it out", ("kind",))
        if self.kind == "sections" and self.crs:
            what = "tape sections lie along their own base line, in no coordinate system"
            yield Conflict(("crs",), what, "leave it out", ("kind",))
        yield from self._codes()

    def _codes(self) -> Iterator[Conflict]:
        codes = {k: getattr(self, k).strip().upper() for k in _ONLY_POINTS[1:]}
        for key, code in codes.items():
            if not code:
                yield Conflict((key,), "is empty", 'write the word that shots start with, as "OL"')
        pairs = [(a, b) for a in codes for b in codes if a != b and codes[a] and codes[b]]
        for a, b in pairs:
            # "O" and "OL" cannot be told apart: a shot "OL 3" starts with both
            same = codes[a] == codes[b]
            if (same and a < b) or (not same and codes[b].startswith(codes[a])):
                what = f'"{getattr(self, a)}" is also how {b} "{getattr(self, b)}" starts'
                yield Conflict((a,), what, "give each its own word", (b,))


def _enough(
    key: tuple[str, ...], places: tuple[MapPlace, ...], least: int, what: str
) -> Iterator[Conflict]:
    if places and len(places) < least:
        yield Conflict(key, f"has {len(places)}: {what}", "add the missing places, or leave it out")


class Outline(Section):
    """[outline]: where the cells may lie: a GeoJSON file, coded shots, or corners."""

    file: str = ""
    corners: tuple[MapPlace, ...] = ()

    def conflicts(self) -> Iterator[Conflict]:
        """Find an outline that is given twice, or has too few corners."""
        if self.file and self.corners:
            what = "there is also outline.file"
            yield Conflict(("corners",), what, "keep one of the two", ("file",))
        yield from _enough(("corners",), self.corners, 3, "an outline needs at least 3 corners")


class ExclusionText(Section):
    """[[exclusion]]: a place that cells must keep off."""

    name: str
    corners: tuple[MapPlace, ...] = ()
    centre: MapPlace | None = None
    radius: Annotated[float, lengths(INCH, 500 * FOOT)] | None = None

    def conflicts(self) -> Iterator[Conflict]:
        """Find a place that is given twice, by half or not at all."""
        three = ("corners", "centre", "radius")
        both = "give either corners, or centre and radius"
        if self.corners and (self.centre is not None or self.radius is not None):
            yield Conflict(("corners",), "there is also a centre or radius", both, three)
        elif not self.corners and self.centre is None and self.radius is None:
            yield Conflict((), "no place is given", both, three)
        elif not self.corners and self.radius is None:
            yield Conflict(("centre",), "has no radius", 'add radius = "3 ft" or the like', three)
        elif not self.corners and self.centre is None:
            yield Conflict(
                ("radius",), "has no centre", 'add centre = ["12 ft", "20 ft"] or the like', three
            )
        yield from _enough(("corners",), self.corners, 3, "an area needs at least 3 corners")


class Benchmarks(Section):
    """[benchmarks]: the two pegs that the tape is hooked on; chosen for you when left out."""

    A: MapPlace | None = None
    B: MapPlace | None = None

    def conflicts(self) -> Iterator[Conflict]:
        """Find two pegs at one place."""
        if self.A is not None and self.A == self.B:
            yield Conflict(("B",), "is at the same place as A", "set the pegs well apart", ("A",))


class BaseLine(Section):
    """[base_line]: the line that stations and offsets are read from."""

    start: MapPlace | None = None
    end: MapPlace | None = None
    # sections: compass direction of the base line, for aspect
    bearing: Annotated[float, angles(0, 360)] | None = None

    def conflicts(self) -> Iterator[Conflict]:
        """Find a line with one end or no length."""
        if self.start is not None and self.start == self.end:
            yield Conflict(
                ("end",), "is the same place as start", "give the line a length", ("start",)
            )
        elif (self.start is None) != (self.end is None):
            there, missing = ("end", "start") if self.start is None else ("start", "end")
            right = f"add {missing}, or leave both out"
            yield Conflict((there,), f"there is no {missing}", right, (missing,))


class Cell(Section):
    """[cell]: one planting cell: a maker's or a home-made open-bottom box."""

    name: str = "planting cell"
    # along the row, along the slope, height of the wall
    width: Annotated[float, lengths(2 * INCH, 10 * FOOT)] = 24 * INCH
    run: Annotated[float, lengths(2 * INCH, 10 * FOOT)] = 18 * INCH
    depth: Annotated[float, lengths(INCH, 4 * FOOT)] = 8 * INCH
    bond: Literal["stacked", "half-offset"] = "stacked"
    # how far two clipped cells can move against each other
    clip_play: Annotated[float, lengths(0, 6 * INCH)] = 0.5 * INCH
    clips_per_edge: Annotated[int, Strict(), Field(ge=1, le=50)] = 2
    # a corner may stand this far off the plane of the others
    max_twist: Annotated[float, lengths(0, 12 * INCH)] = 1.0 * INCH
    # the base may bridge a dip this deep
    max_gap: Annotated[float, lengths(0, 24 * INCH)] = 2.0 * INCH
    # clipped neighbours may hinge this far
    max_bend: Annotated[float, angles(0, 90)] = math.radians(25)
    # height of the pass-through holes above the base
    pass_height: Annotated[float, lengths(0, 4 * FOOT)] = 4 * INCH
    mass: Annotated[float, masses(0.1 * POUND, 1000 * POUND)] = 5.5
    edge_pieces: Flag = True  # order a piece for every outer edge

    def conflicts(self) -> Iterator[Conflict]:
        """Find measures that cannot belong to one box."""
        if self.pass_height > self.depth:
            what = "the holes are higher than the wall (cell.depth)"
            yield Conflict(
                ("pass_height",), what, "measure both from the base of the cell", ("depth",)
            )
        if self.max_gap > self.depth:
            what = "the base may bridge a dip deeper than the wall (cell.depth)"
            yield Conflict(
                ("max_gap",), what, "soil would run out: give less than that", ("depth",)
            )
        box = ("width", "run")
        if self.clip_play >= min(self.width, self.run):
            what = "is as large as the cell itself"
            yield Conflict(("clip_play",), what, "measure how far clipped cells can shift", box)


class Choices(Section):
    """[layout]: how the cells are to lie; every one may be left out."""

    top: Literal["best", "string", "straight", "contour"] = "best"
    string: tuple[MapPlace, ...] = ()  # the top string, left to right looking uphill
    # rows may leave the contour this far
    max_tilt: Annotated[float, slopes(0, 45)] = math.radians(10)
    shift: Literal["best", "none"] = "best"  # none: the lattice starts at the string's middle
    trimmed: Flag = False  # also show cells that would have to be cut to fit
    # fewer cells than this in a row are left out
    narrowest_row: Annotated[int, Strict(), Field(ge=1, le=1000)] = 2
    # so many rows at most, counted from the top string; None = all that fit
    max_rows: Annotated[int, Strict(), Field(ge=1, le=1000)] | None = None
    fixed_rows: tuple[MapPlace, ...] = ()  # the top edge of a row passes through here
    fixed_cell: MapPlace | None = None  # a cell's upper left corner (looking uphill) is here
    # the cell at this place stays, even where it crosses the outline
    keep: tuple[MapPlace, ...] = ()
    leave_out: tuple[MapPlace, ...] = ()  # no cell at this place

    def conflicts(self) -> Iterator[Conflict]:
        """Find choices that cannot both be had."""
        yield from _enough(("string",), self.string, 2, "a string runs between at least 2 places")
        if self.shift == "none":
            loose = 'write shift = "best" (or leave it out), or leave this out'
            for key in ("fixed_cell", "fixed_rows"):
                if getattr(self, key):
                    what = 'asks the grid to move, and layout.shift = "none" keeps it still'
                    yield Conflict((key,), what, loose, ("shift",))
        for i, place in enumerate(self.leave_out):
            if place in self.keep:
                what = f"the same place is in keep (number {self.keep.index(place) + 1})"
                yield Conflict(("leave_out", i), what, "keep it or leave it out", ("keep",))


class Grading(Section):
    """[grading]: how far the ground will be smoothed before cells are laid."""

    # width that grading evens out; None = one cell
    smooth: Annotated[float, lengths(0, 30 * FOOT)] | None = None


class SheetChoices(Section):
    """[sheets]: paper and scale."""

    paper: Literal["letter", "tabloid", "arch-c", "arch-d", "a4", "a3", "a2", "a1"] | None = None
    # 50 = 1:50; None = the largest that fits
    scale: Annotated[int, Strict(), Field(ge=1, le=10_000)] | None = None
    revision: str = "A"
    date: Day = ""  # printed as given; "" leaves it to the person's pen


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
    soil: SoilText = SoilText()
    checklist: Checklist = Checklist()
    fill: FillText = FillText()
    mix: tuple[MixText, ...] = ()
    carry: CarryText = CarryText()
    holding: Holding = Holding()
    rain: Rain = Rain()
    drains: Drains = Drains()
    supply: SupplyText = SupplyText()
    irrigation: DripText = DripText()
    emitter: tuple[EmitterText, ...] = ()
    tubing: tuple[TubingText, ...] = ()
    crew: CrewText = CrewText()
    person: tuple[PersonText, ...] = ()
    measured: tuple[MeasuredText, ...] = ()
    planting: PlantingText = PlantingText()
    wish: tuple[WishText, ...] = ()
    pin: tuple[PinText, ...] = ()
    weights: Weights = Weights()
    shade: tuple[ShadeText, ...] = ()
    climate: ClimateText = ClimateText()
    watering: WateringText = WateringText()
    built: BuiltText = BuiltText()
    estimate: EstimateText = EstimateText()
    waste: WasteText = WasteText()
    choice: tuple[ChoiceText, ...] = ()
    sheets: SheetChoices = SheetChoices()

    @property
    def north_known(self) -> bool:
        """The job tells where north is: tape sections do not, unless their bearing is given."""
        return self.survey.kind != "sections" or self.base_line.bearing is not None

    def conflicts(self) -> Iterator[Conflict]:
        """Find a string that is nowhere, too much soil, mixes, wishes or tubing at odds."""
        yield from self.fill.against_cell(self.cell.depth)
        yield from mixes_agree(self.mix)
        yield from named_once(self.person, self.crew.people)
        yield from wishes_agree(self.planting, self.wish, self.pin)
        yield from offer_agrees(self.estimate, self.crew.start)
        uses = {t.use for t in self.tubing}
        if len(uses) == 1:
            missing = "small" if "line" in uses else "line"
            right = f'add one with use = "{missing}", or leave all out'
            yield Conflict(("tubing",), f'none has the use "{missing}"', right)
        elsewhere = self.survey.kind == "points" or self.outline.file  # coded shots, a feature
        if self.layout.top == "string" and not self.layout.string and not elsewhere:
            right = 'add string = [["2 ft", "12 ft"], ["18 ft", "12 ft"]], from end to end'
            what = "the rows are to follow a top string, and none is given"
            yield Conflict(("layout", "top"), what, right, ("survey", "layout", "outline"))


class OpenJob(BaseModel):
    """A job and where its file lies, so that its sidecar files can be found."""

    model_config = ConfigDict(frozen=True)
    job: Job
    path: Path
