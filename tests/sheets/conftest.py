"""Synthetic plans: cells laid on analytic ground without the rooms that would really do it."""

from __future__ import annotations

import math
import sys
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
import pytest

from hillwright.after.built import as_built
from hillwright.after.model import Built, Upkeep
from hillwright.after.stage import years_after
from hillwright.answers.model import QUESTIONS, Answer
from hillwright.crew.fromjob import crew_of
from hillwright.crew.handmodel import Carry
from hillwright.crew.handstage import carry
from hillwright.crew.planning import no_work
from hillwright.crew.workplan import WorkPlan
from hillwright.estimate.costmodel import Estimate
from hillwright.estimate.model import Takeoff, TakeoffLine
from hillwright.estimate.order import cut_lines
from hillwright.estimate.stage import cutting_tasks, price_up
from hillwright.fill.model import Fill
from hillwright.fill.stage import fill_cells
from hillwright.irrigation.asked import water_plants
from hillwright.irrigation.model import Irrigation, Needs
from hillwright.job.built import Record
from hillwright.job.carrying import CarryText
from hillwright.job.crew import CrewText
from hillwright.job.drip import DripText, SupplyText
from hillwright.job.model import Job, OpenJob
from hillwright.job.planting_soil import FillText
from hillwright.job.prices import PriceBook
from hillwright.job.rainread import RainFiles
from hillwright.job.site import Exclusion, Frame, Site
from hillwright.layout.model import CellShape, Layout, LeftOut, Seam, SetOut
from hillwright.planting.model import Planting, Proof
from hillwright.runoff.drainmodel import Drainage
from hillwright.runoff.drains import lay_drains
from hillwright.runoff.model import Runoff
from hillwright.runoff.stage import where_rain_goes
from hillwright.sheets.readers import files
from hillwright.stability.anchors import anchor_places
from hillwright.stability.model import (
    Anchoring,
    CheckRow,
    Reason,
    SlipCircle,
    SlopeMap,
    Stability,
)
from hillwright.terrain.heightfield import HeightField, Window
from hillwright.terrain.model import Spot, Surface, Tin
from hillwright.watering.asked import asked_of
from hillwright.watering.model import Watering
from hillwright.watering.stage import water

sys.path.insert(0, str(Path(__file__).parent))  # for pdfread.py, the reader of printed pages

FT, IN = 0.3048, 0.0254


@pytest.fixture(scope="session", autouse=True)
def stand_ins():
    """Files of the whole plan are tested on the examples: plans here have half the rooms."""

    def made(make):
        return lambda plan: b"\n" if isinstance(plan, FakePlan) else make(plan)

    with pytest.MonkeyPatch.context() as patch:
        whole = tuple((*row, made(make)) for *row, make in files.WHOLE)
        patch.setattr(files, "WHOLE", whole)
        yield


NONE = Needs(np.empty(0, np.intp), np.empty(0), (), "nothing is planted")
STEEP = math.tan(math.radians(32))


@dataclass(frozen=True)
class FakePlan:
    """Has what a Plan has; the rooms are not asked."""

    opened: OpenJob
    site: Site
    surface: Surface
    layout: Layout
    setout: SetOut
    planting: Planting
    fill: Fill
    stability: Stability
    runoff: Runoff
    drainage: Drainage
    carry: Carry
    irrigation: Irrigation
    work: WorkPlan
    watering: Watering
    takeoff: Takeoff
    upkeep: Upkeep
    built: Built
    estimate: Estimate
    answers: tuple
    warnings: tuple[str, ...]

    @property
    def job(self) -> Job:
        """The job that it answers."""
        return self.opened.job

    @property
    def workings(self) -> dict:
        """Of the rooms that were asked: the calculation book has its own tests."""
        return {w.figure: w for w in self.takeoff.workings}


def height(x, y):
    """A dome-shouldered slope that faces south and climbs to the north."""
    return 100 + STEEP * y - 0.012 * (x - 4) ** 2 - 0.006 * y**2


def make_plan(
    rows=5, columns=8, units="us", paper=None, scale=None, bearing=0.0, seam=False, **site
):
    """Lay rows x columns cells on the ground of `height`, with everything a plan can have."""
    width, run = (24 * IN, 18 * IN) if units == "us" else (0.6, 0.45)
    unit = FT if units == "us" else 1.0
    top = rows * run * 0.86 + 1.0
    lines = np.arange(rows + 1)[:, None]
    cols = np.arange(columns + 1)[None, :]
    x = cols * width + 0.0 * lines
    bulge = 0.012 * (x - columns * width / 2) ** 2
    y = top - lines * run * 0.86 - bulge
    nodes = np.stack([x, y, height(x, y)], axis=-1)
    quads = np.stack([nodes[:-1, :-1], nodes[:-1, 1:], nodes[1:, 1:], nodes[1:, :-1]], axis=2)
    # the lower right corner is off the outline, and one place is a boulder
    keep = np.ones((rows, columns), bool)
    for r in range(rows):
        keep[r, columns - max(0, r - rows + 4) :] = False
    boulder = (rows // 2, columns // 3)
    keep[boulder] = False
    row_index = np.repeat(np.arange(1, rows + 1), keep.sum(axis=1))
    number = np.concatenate([np.arange(1, k + 1) for k in keep.sum(axis=1)])
    corners = quads[keep]
    n = len(corners)
    panel = np.where(seam & (row_index > rows // 2), 2, 1)
    w = x.max()
    outline = np.array(
        [
            [-0.5, top + 0.35],
            [w + 0.6, top + 0.25],
            [w + 0.7, 1.6],
            [w - 1.0, -0.1],
            [-0.6, -0.3 - bulge.max()],
        ]
    )
    window = Window(-4.0, -5.0, 0.2, int((w + 9) / 0.2), int((top + 9) / 0.2))
    ground = HeightField.sample(
        lambda a, b: height(a, b) + 0.05 * np.sin(2.1 * a) * np.cos(1.7 * b), window
    )
    graded = HeightField.sample(height, window)
    gx, gy = window.mesh()
    supported = ~((gx < 1.0) & (gy < 1.5))
    ring = np.array([[math.cos(t), math.sin(t)] for t in np.linspace(0, math.tau, 17)[:-1]])
    spots = tuple(
        Spot(
            k + 1,
            px,
            py,
            0.055 + 0.01 * k,
            0.6,
            *((0.03, 0.0) if k % 2 else (0.0, 0.025)),
            ring * 0.4 + (px, py),
        )
        for k, (px, py) in enumerate(
            [(w * 0.3, top * 0.75), (w * 0.8, top * 0.5), (w * 0.55, top * 0.2)]
        )
    )
    fx = np.full(40, w * 0.6)
    fy = np.linspace(top + 0.3, 0.2, 40)
    fall = np.column_stack([fx, fy, height(fx, fy)])
    tin = np.column_stack(
        [gx[::9, ::9].ravel(), gy[::9, ::9].ravel(), height(gx, gy)[::9, ::9].ravel()]
    )
    surface = Surface(
        Tin(tin, np.empty((0, 3), np.intp)),
        ground,
        graded,
        supported,
        outline,
        "thin plate",
        (),
        0.03,
        0.6,
        math.atan(STEEP),
        math.atan(STEEP * 1.15),
        np.array([w * 0.6, 1.0]),
        math.pi,
        0.02,
        0.0,
        False,
        np.zeros(2),
        60.0,
        70.0,
        0.94,
        spots,
        0.03,
        0.05,
        fall,
        (),
        ("Part of the outline lies outside the survey.",),
    )
    shape = CellShape(width, run, 0.2, False, 0.5 * IN, 2, IN, 2 * IN, math.radians(25), 5.5)
    zero = np.zeros(n)
    seams = (
        (
            Seam(
                (1, 2),
                "row",
                (0.0, float(y[rows // 2, 0]), float(w), float(y[rows // 2, -1])),
                "bend",
                0.05,
            ),
        )
        if seam
        else ()
    )
    layout = Layout(
        shape,
        corners,
        row_index,
        number,
        panel,
        row_index == 1,
        np.zeros(n, bool),
        zero + 0.01,
        zero + 0.004,
        zero + 0.02,
        zero + 0.01,
        zero + 0.1,
        zero + math.atan(STEEP),
        zero + 0.02,
        np.empty((0, 2), np.intp),
        seams,
        (LeftOut(quads[-1, columns - 2] + [0.05, -0.1, 0], "hangs from nothing"),),
        nodes[0],
        "a straight string",
        0.02,
        n,
        n + 2,
        n + 9,
        500,
        (),
        (),
    )
    setout = make_setout(layout, keep, quads, w, top)
    takeoff = Takeoff(
        (
            TakeoffLine(
                "planting cell",
                n,
                "each",
                "24 x 18 x 8 in box",
                tuple(zip(row_index.tolist(), number.tolist(), strict=True)),
                "whole cells only",
            ),
            TakeoffLine(
                "clip", 4 * n, "each", "joins two cells", ((1, 1), (1, 2)), "2 for each shared edge"
            ),
        ),
        (),
    )
    job = Job.model_validate(
        {
            "units": units,
            "site": {
                "name": "Sample Slope",
                "address": "1 Example Lane",
                "client": "Invented client",
                "contractor": "Invented contractor",
                "notes": "Invented example: no such place.",
                **site,
            },
            "survey": {"kind": "points", "file": "points.csv"},
            "sheets": {"paper": paper, "scale": scale, "date": "1 May"},
        }
    )
    frame = Frame(
        600_000 * unit,
        200_000 * unit,
        unit,
        unit,
        "ft" if units == "us" else "m",
        "",
        bearing,
        "Heights from the survey's own peg.",
    )
    site_read = Site(
        None,
        frame,
        outline,
        "job",
        (
            Exclusion("Boulder", quads[boulder][:, :2] + 0.02),
            Exclusion("Oak", ring * 0.8 + (w + 1.0, top * 0.6)),
        ),
        None,
        None,
        (None, None),
        np.empty((0, 2)),
        None,
        np.empty((0, 2)),
        np.empty((0, 2)),
    )
    answers = (
        Answer(
            1,
            "Is this slope safe to build on?",
            "Mean slope 32°: steeper than 2H:1V.",
            "stop",
            caution="Ask a licensed geotechnical engineer.",
        ),
        *(Answer(k, q, "Not asked.", "clear") for k, q in enumerate(QUESTIONS[1:], 2)),
    )
    runoff = rained_on(surface, layout, job)
    # every cell empty: the soil and the water have their own tests
    fill = fill_cells(layout, surface, site_read, FillText(), fullness=np.zeros(len(layout.row)))
    planting, stability = bare_planting(n), make_stability(layout, fall)
    drainage = lay_drains(surface, layout, runoff, job.drains, None)
    # nothing planted: the drip sheets have their own tests
    drip = water_plants(layout, None, SupplyText(), DripText(), (), (), 0.1, needs=NONE)
    watering = water(layout, asked_of(job, 0.0, None, None, None), fill)
    work, bars = no_work(crew_of(CrewText(), ())), stability.anchoring
    grown = (drainage, planting, watering, drip, (None, None))
    book = PriceBook("", (), ())
    return FakePlan(
        OpenJob(job=job, path=Path("hill.toml")),
        site_read,
        surface,
        layout,
        setout,
        planting,
        fill,
        stability,
        runoff,
        drainage,
        carry(layout, surface, setout, fill, CarryText()),
        drip,
        work,
        watering,
        takeoff,
        years_after(layout, fill, bars, 0.0, *grown),
        as_built(Record(), layout, fill, bars, drip, work),
        # without a price book: the price has its own tests
        price_up(takeoff, book, cut_lines(cutting_tasks(takeoff, book, 0.0)), job.estimate),
        answers,
        surface.warnings,
    )


def rained_on(surface, layout, job):
    """Let it rain; on the first cells only where there are more than any sheet holds."""
    few = layout
    if len(layout.row) > 5000:
        names = ("corners", "row", "number", "panel", "anchored", "trimmed")
        few = replace(layout, **{name: getattr(layout, name)[:100] for name in names})
    return where_rain_goes(surface, few, job.soil, job.rain, job.drains.crest, RainFiles())


def bare_planting(n):
    """No cell of n planted: the planting has its own tests."""
    none, year, never = np.full(n, -1), np.zeros((12, n)), np.zeros(12, bool)
    proof, zero = Proof(0.0, 0.0, 0.0, False), np.zeros(n, np.intp)
    return Planting(
        (), zero, none, (), np.empty(0, np.intp), zero, (), none, (), year, year,
        np.zeros(12), np.zeros(n), (),
        never, never, (), (), (), (), (), proof, "", False, 0.7, (), (), (),
    )  # fmt: skip


def make_stability(layout, fall):
    """Two bars at each cell of row 1, one slip circle, a check that holds and one that fails."""
    n, one, three = len(layout.row), np.full(1, 0.4), np.full((3, 1), 0.4)
    found = SlopeMap(np.zeros((1, 2)), 0.5, one, one > 0, three, three, *([one] * 9), 0)
    count = np.where(layout.row == 1, 2, 0)
    anchoring = Anchoring(
        np.full(n, 0.5),
        np.full((4, n), 1000.0),
        np.full((4, n), 500.0),
        np.empty(0),
        count > 0,
        np.where(count > 0, 800.0, 0.0),
        count,
        anchor_places(layout.corners[count > 0], count[count > 0]),
        np.repeat(np.arange(n), count),
        np.empty(0, np.intp),
        4,
        0.6,
        0.3,
        True,
        900.0,
        40.0,
        2000.0,
    )
    s = np.linspace(0, 2, 20)
    arc = np.column_stack([s, fall[0, 2] - 0.5 * s - 0.3 * s * (2 - s)])
    circle = SlipCircle(
        "S", 0.0, "soaked", True, fall, ("bishop", "spencer"), np.array([1.21, 1.23]), 1.21,
        np.array([1.0, 103.0]), 4.0, arc, 0.4, math.inf, False, 5e3, 0.2, 7e3, 2000,
    )  # fmt: skip
    rows = (
        CheckRow("layer of 1.000 m", math.nan, math.nan, "-", 1.2, 1.5, True, "a code", "steep"),
        CheckRow("clips of a pair", 300.0, 900.0, "N", 3.0, 2.0, False, "practice", ""),
    )
    why = Reason("a factor of 1.20, below 1.5", "stop", "a licensed engineer", "a code")
    return Stability(
        "invented clay", "invented", ("loose",), 1.0, True, found, (circle,), 0.3, anchoring,
        rows[:1], rows[1:], (), (why,), (), ("Test a bar to 900 N first.",), (), (),
    )  # fmt: skip


def make_setout(layout, keep, quads, w, top):
    a = np.array([-1.2, top + 1.3, height(-1.2, top + 1.3)])
    b = np.array([w * 0.75, top + 1.6, height(w * 0.75, top + 1.6)])
    base = np.array([[-1.4, -1.6, height(-1.4, -1.6)], [w + 0.5, -1.6, height(w + 0.5, -1.6)]])
    start, end, row, cells, first = [], [], [], [], []
    for r in range(keep.shape[0]):
        filled = np.flatnonzero(keep[r])
        pieces = np.split(filled, np.flatnonzero(np.diff(filled) > 1) + 1)
        count = 1
        for piece in pieces:
            start.append(quads[r, piece[0], 0])
            end.append(quads[r, piece[-1], 1])
            row.append(r + 1)
            cells.append(len(piece))
            first.append(count)
            count += len(piece)
    start, end = np.array(start), np.array(end)
    both = np.stack([start, end], axis=1)
    m = len(row)
    sigma = np.full((m, 2), 0.008)
    sigma[-1, 0] = 0.05
    return SetOut(
        a,
        b,
        base,
        np.array(row),
        np.array(cells),
        np.array(first),
        start,
        end,
        np.linalg.norm(start - start[0], axis=1),
        both[..., 0] + 1.4,
        -(both[..., 1] + 1.6),
        np.linalg.norm(both - a, axis=2),
        np.linalg.norm(both - b, axis=2),
        np.linalg.norm(end - start, axis=1),
        np.full((m, 2), 1.2),
        sigma,
        np.full(m, 0.001),
        0.025,
        ("A", "B", *(f"R{r}L" for r in row), *(f"R{r}R" for r in row)),
        np.concatenate([[a, b], start, end]),
        ("benchmark", "benchmark", *["row start"] * m, *["row end"] * m),
        (),
        (),
    )


@pytest.fixture(scope="session")
def plan():
    return make_plan()


@pytest.fixture(scope="session")
def make():
    return make_plan


@pytest.fixture
def stability_of():
    """What holds any layout: `make_stability`."""
    return make_stability
