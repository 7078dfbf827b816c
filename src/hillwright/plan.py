"""Job to Plan: the stages in order, each redone only when its inputs changed.

This is the only place that knows the order. A later room adds its stage to :func:`work_out` and
its result to :class:`~hillwright.rooms.Rooms`.
"""

from __future__ import annotations

import datetime
from collections.abc import Callable
from dataclasses import dataclass, fields, replace

from hillwright.after.built import as_built
from hillwright.after.stage import years_after
from hillwright.answers.model import Answer
from hillwright.answers.ten import answers
from hillwright.crew.fromjob import crew_of, measured_of, quantities_of
from hillwright.crew.handmodel import Carry
from hillwright.crew.handstage import carry
from hillwright.crew.people import able
from hillwright.crew.planning import plan_work, prove_work
from hillwright.crew.proven import EFFORT
from hillwright.crew.tasks import Quantities
from hillwright.crew.workplan import Crew, WorkPlan
from hillwright.crew.works import Measured
from hillwright.errors import HillwrightError, OutOfRange, Problem
from hillwright.estimate.costmodel import Estimate
from hillwright.estimate.model import Takeoff
from hillwright.estimate.order import cut_lines
from hillwright.estimate.stage import cutting_tasks, price_up
from hillwright.estimate.takeoff import take_off
from hillwright.fill.choose import left_empty, part_filled
from hillwright.fill.model import Fill
from hillwright.fill.stage import fill_cells
from hillwright.irrigation.asked import needs_of, water_plants
from hillwright.irrigation.model import Irrigation
from hillwright.irrigation.program import valves_of
from hillwright.job.around import read_around
from hillwright.job.built import read_built
from hillwright.job.earth import place_of
from hillwright.job.model import Job, OpenJob
from hillwright.job.prices import read_prices
from hillwright.job.rainread import read_rain
from hillwright.job.readings import read_readings
from hillwright.job.sidecar import read_site
from hillwright.job.site import KeptPlanting, Site
from hillwright.job.weather import weather_of
from hillwright.layout.model import CellShape, Layout, SetOut
from hillwright.layout.setout import set_out
from hillwright.layout.stage import lay_out
from hillwright.memo import Memo
from hillwright.method import Working
from hillwright.planting.frame import light_inputs, light_of
from hillwright.planting.kept import keep
from hillwright.planting.model import Asked, Planting, Weights, Wish
from hillwright.planting.stage import plant
from hillwright.rooms import Rooms
from hillwright.runoff.drainmodel import Drainage
from hillwright.runoff.drains import lay_drains
from hillwright.runoff.fillsoil import soil_on
from hillwright.runoff.stage import where_rain_goes
from hillwright.stability.model import Anchoring
from hillwright.stability.stage import assess
from hillwright.terrain.model import Surface
from hillwright.terrain.stage import make_surface
from hillwright.watering.asked import asked_of as water_asked
from hillwright.watering.stage import at_price, wants_of, with_valves
from hillwright.wording import in_units

Progress = Callable[[str, float], None]  # what is being done, and the share done so far

TAPE_READ = {"us": 0.01 * 0.3048, "metric": 1e-3}  # what a tape is read to [m]
STAGES = (
    "ground",
    "layout",
    "set-out",
    "sun",
    "planting",
    "fill",
    "stability",
    "runoff",
    "drains",
    "carry",
    "watering",
    "irrigation",
    "program",
    "bill",
    "crew",
    "takeoff",
    "cuts",
    "price",
    "upkeep",
    "built",
)


@dataclass(frozen=True, slots=True, eq=False)
class Plan(Rooms):
    """Everything worked out from a job."""

    answers: tuple[Answer, ...]
    workings: dict[str, Working]
    warnings: tuple[str, ...]  # of all rooms, in the job's units


def cell_shape(job: Job) -> CellShape:
    """Give the job's cell as the layout needs it."""
    c = job.cell
    return CellShape(
        width=c.width,
        run=c.run,
        depth=c.depth,
        half_offset=c.bond == "half-offset",
        clip_play=c.clip_play,
        clips_per_edge=c.clips_per_edge,
        max_twist=c.max_twist,
        max_gap=c.max_gap,
        max_bend=c.max_bend,
        mass=c.mass,
    )


def asked_of(job: Job) -> Asked:
    """Give what the job asks of its planting as that room needs it."""
    p = job.planting
    return Asked(
        wishes=tuple(
            Wish(w.plant, w.count, w.share, w.at_most, w.must, w.near, w.weight) for w in job.wish
        ),
        weights=Weights(**job.weights.model_dump()),
        plants=p.plants,
        avoid=p.avoid,
        pins=tuple((*pin.cell, pin.plant) for pin in job.pin),
        walk=p.walk,
        open=p.open,
        reach=p.reach,
        max_step=p.max_step,
        zones_per_row=p.zones_per_row,
        bloom=p.bloom,
        harvest=p.harvest,
        hardiness=p.hardiness,
        last_frost=p.last_frost,
        first_frost=p.first_frost,
        rooting=job.soil.depth if p.rooting is None else p.rooting,
        horizon=p.horizon,
        north_known=job.north_known,
        altitude=job.site.altitude,
        seed=p.seed,
    )


def asked_here(job: Job, layout: Layout, site: Site) -> Asked:
    """Give what is asked of the planting, and which cells have no soil, or less."""
    bare = left_empty(layout, job.fill, site.frame)
    cells = zip(layout.row[bare].tolist(), layout.number[bare].tolist(), strict=True)
    share = part_filled(layout, job.fill, site.frame)
    less = (share < 1) & ~bare
    part = zip(
        layout.row[less].tolist(), layout.number[less].tolist(), share[less].tolist(), strict=True
    )
    return replace(asked_of(job), bare=tuple(cells), part=tuple(part))


def improve_planting(
    opened: OpenJob, effort: int = 1, progress: Progress | None = None
) -> KeptPlanting:
    """Look for a better planting of a job, from the one that is kept beside it if there is one.

    Parameters
    ----------
    opened : OpenJob
        The job and where its file lies.
    effort : int
        How long to look; 1 is the usual.
    progress : callable, optional
        Told what is being done, and the share done.

    Raises
    ------
    HillwrightError
        As :func:`work_out`.
    """
    from hillwright.planting.bound import ROUNDS
    from hillwright.planting.optimise import MOVES, optimise

    plan = work_out(opened)
    asked = asked_here(opened.job, plan.layout, plan.site)
    found = optimise(
        plan.layout,
        plan.surface,
        plan.site,
        asked,
        progress,
        moves=effort * MOVES,
        rounds=effort * ROUNDS,
    )
    return keep(found, plan.layout)


def work_out(
    opened: OpenJob,
    memo: Memo | None = None,
    progress: Progress | None = None,
    today: datetime.date | None = None,
) -> Plan:
    """Work a job out, stage by stage.

    Parameters
    ----------
    opened : OpenJob
        The job and where its file lies.
    memo : Memo, optional
        Results of earlier runs; pass the same one again and only what changed is redone.
    progress : callable, optional
        Told the name of each stage as it starts, and the share of stages done.
    today : date, optional
        Against which prices run out where the job gives no day of its offer.

    Raises
    ------
    SurveyError
        A sidecar file cannot be read or does not describe a hillside.
    OutOfRange
        The hillside is outside what a method holds for.
    """
    said: list[str] = []
    try:
        return _work_out(opened, memo or Memo(), progress, said, today)
    except HillwrightError as error:
        # what the ground warned of may be why a method does not hold; it makes no price wrong
        warned = said if isinstance(error, OutOfRange) else ()
        doubts = [Problem("warning", warning, "look at it first") for warning in warned]
        system = opened.job.units
        told = (
            Problem(in_units(p.where, system), in_units(p.what, system), in_units(p.right, system))
            for p in (*error.problems, *doubts)
        )
        raise type(error).all(told) from error


def _work_out(
    opened: OpenJob,
    memo: Memo,
    progress: Progress | None,
    said: list[str],
    today: datetime.date | None,
) -> Plan:
    """Work a job out; ``said`` is told the rooms' warnings as they come."""
    job, shape = opened.job, cell_shape(opened.job)

    def tell(stage: str) -> None:
        if progress:
            progress(stage, STAGES.index(stage) / len(STAGES))

    tell("ground")
    read = read_site(opened)
    memo.stands("site", read)
    # outlet, tap, fences and wishes are for drains, drip and planting: they move no cell
    garden = replace(read, outlet=None, tap=None)
    site = garden.without_planting()
    # files are read before any room speaks: no warning of a room stands beside their errors
    rain_files, around, weather = read_rain(opened), read_around(opened, site), weather_of(opened)
    c = job.cell
    surface = memo.stage(
        "ground", make_surface, site, c.width, c.run, c.max_gap, job.grading.smooth
    )
    said += surface.warnings
    tell("layout")
    layout = memo.stage("layout", lay_out, surface, site, shape, job.layout)
    said += layout.warnings
    tell("set-out")
    setout = memo.stage("set-out", set_out, layout, surface, site, TAPE_READ[job.units])
    said += setout.warnings
    tell("sun")
    wished = asked_here(job, layout, site)
    light = memo.stage("sun", light_of, layout, surface, *light_inputs(garden, wished))
    tell("planting")
    planting = memo.stage(
        "planting", memo.early("planting", plant), layout, surface, garden, wished, light
    )
    said += planting.warnings
    tell("fill")
    # what grows decides the mix, unless the job names its own
    own = bool(job.fill.mix or job.mix)
    grown = (None, None, ()) if own else (planting.mix, None, planting.mixes)
    filled = (job.fill, job.mix, *grown, job.holding.wall_thickness)
    fill = memo.stage("fill", fill_cells, layout, surface, site, *filled)
    said += fill.warnings
    tell("stability")
    stability = memo.stage(
        "stability",
        assess,
        surface,
        layout,
        job.soil,
        job.checklist,
        job.holding,
        fill,
        planting.walked_rows(layout.row),
    )
    said += stability.warnings
    tell("runoff")
    runoff = memo.stage(
        "runoff",
        where_rain_goes,
        surface,
        layout,
        job.soil,
        job.rain,
        job.drains.crest,
        rain_files,
        around,
        soil_on(fill),
    )
    said += runoff.warnings
    tell("drains")
    drainage = memo.stage("drains", lay_drains, surface, layout, runoff, job.drains, read.outlet)
    said += drainage.warnings
    tell("carry")
    lifters = len(able(crew_of(job.crew, job.person).people, "lift"))
    hands = memo.stage(
        "carry", carry, layout, surface, setout, fill, job.carry, lifters or None, site.frame
    )
    said += hands.warnings
    tell("watering")
    latitude, longitude = place_of(opened, site.frame)
    asked = water_asked(job, site.frame.north, latitude, longitude, weather)
    unpriced = replace(asked, price=0.0)  # what water costs changes no minute of it
    wants = memo.stage("watering", wants_of, layout, unpriced, fill, planting)
    tell("irrigation")
    drip = (job.supply, job.irrigation, job.emitter, job.tubing, c.pass_height)
    measured = read_readings(opened)
    needs = needs_of(wants)
    shut = tuple(e.ring for e in site.exclusions)
    irrigation = memo.stage(
        "irrigation",
        memo.early("irrigation", water_plants),
        *(layout, read.tap, *drip, None, measured, needs, shut),
    )
    said += irrigation.warnings
    tell("program")
    # the minutes are those of the emitters that are laid
    laid = valves_of(irrigation, len(layout.row)) if irrigation.valves else wants.valves
    program = memo.stage("program", with_valves, wants, unpriced, laid)
    tell("bill")
    watering = memo.stage("bill", at_price, program, asked.price)
    said += watering.warnings
    tell("crew")
    given = (
        *(layout, surface, setout, fill, stability.anchoring, planting, hands, drainage),
        irrigation,
    )
    work = memo.stage("crew", plan_work, *crew_inputs(job, *given))
    said += work.warnings
    tell("takeoff")
    bars = (stability.anchoring, job.holding)
    taken = (layout, c.edge_pieces, fill, *bars, drainage, irrigation, setout.stake_name, planting)
    takeoff = memo.stage("takeoff", take_off, *taken, work, job.waste, job.estimate.pay)
    tell("cuts")
    estimate = _priced(opened, memo, takeoff, work, today, tell)
    said += estimate.warnings
    tell("upkeep")
    frosts = (job.planting.last_frost, job.planting.first_frost)
    storm = runoff.rain.two_year if runoff.rain.given and runoff.rain.two_year > 0 else 0.0
    lasting = (fill, bars[0], storm, drainage, planting, program, irrigation, frosts)
    upkeep = memo.stage("upkeep", years_after, layout, *lasting)
    tell("built")
    record = read_built(opened)
    built = memo.stage("built", as_built, record, layout, fill, bars[0], irrigation, work)
    if progress:
        progress("done", 1.0)
    rooms = Rooms(
        *(opened, garden, surface, layout, setout, planting, fill, stability, runoff, drainage),
        *(hands, watering, irrigation, work, takeoff, upkeep, built, estimate),
    )
    parts = [getattr(rooms, f.name) for f in fields(rooms)]
    warnings = tuple(in_units(warning, job.units) for warning in said)
    return Plan(*[*parts, memo.answers(rooms), _workings(rooms), warnings])


def _priced(
    opened: OpenJob,
    memo: Memo,
    takeoff: Takeoff,
    work: WorkPlan,
    today: datetime.date | None,
    tell: Callable[[str], None] | None = None,
) -> Estimate:
    """Cut and price a takeoff."""
    terms, book = opened.job.estimate, read_prices(opened, today)
    # lengths alone decide how rolls are cut, unless several are to choose from: a new price of one
    # length cuts nothing anew
    cuts = memo.stage("cuts", cut_lines, cutting_tasks(takeoff, book, terms.kerf))
    if tell:
        tell("price")
    names = tuple((w.id, w.name) for w in work.works)
    rain = work.crew.rain
    return memo.stage("price", price_up, takeoff, book, cuts, terms, names, rain, work.stopped)


def _workings(rooms: Rooms) -> dict[str, Working]:
    parts = [getattr(rooms, f.name) for f in fields(Rooms)]
    return {w.figure: w for room in parts for w in getattr(room, "workings", ())}


def crew_inputs(
    job: Job,
    layout: Layout,
    surface: Surface,
    setout: SetOut,
    fill: Fill,
    anchoring: Anchoring,
    planting: Planting,
    hands: Carry,
    drainage: Drainage,
    irrigation: Irrigation,
) -> tuple[Crew, Quantities, tuple[Measured, ...]]:
    """Give what the work plan is made from: the crew, what there is to do, and what was timed."""
    rooms = (layout, surface, setout, fill, anchoring, hands)
    found = quantities_of(*rooms, job.carry.hours, planting, drainage, irrigation)
    return crew_of(job.crew, job.person), found, measured_of(job.measured)


def prove_schedule(plan: Plan, effort: float = EFFORT, today: datetime.date | None = None) -> Plan:
    """Give the plan with the shortest order of work that the solver finds, and its proof.

    Parameters
    ----------
    plan : Plan
        A plan with the schedule that was made at once.
    effort : float
        Work that the solver may put in, about seconds of a fast core.
    today : date, optional
        As :func:`work_out`.
    """
    rooms = (plan.layout, plan.surface, plan.setout, plan.fill, plan.stability.anchoring)
    laid = (plan.planting, plan.carry, plan.drainage, plan.irrigation)
    given = crew_inputs(plan.job, *rooms, *laid)
    work = prove_work(*given, effort)
    held, drip = plan.stability.anchoring, plan.irrigation
    built = as_built(read_built(plan.opened), plan.layout, plan.fill, held, drip, work)
    # other days are paid for, and other weeks
    takeoff = take_off(
        plan.layout,
        plan.job.cell.edge_pieces,
        plan.fill,
        held,
        plan.job.holding,
        plan.drainage,
        drip,
        plan.setout.stake_name,
        plan.planting,
        work,
        plan.job.waste,
        plan.job.estimate.pay,
    )
    estimate = _priced(plan.opened, Memo(), takeoff, work, today)
    proven = replace(plan, work=work, built=built, takeoff=takeoff, estimate=estimate)
    return replace(proven, answers=answers(proven), workings=_workings(proven))
