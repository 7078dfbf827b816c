"""The answers: always ten, honest about what is not known, and a stop that nothing hides."""

import dataclasses
import json
import math
import re
from typing import Any

import numpy as np
import pytest
import typer
from hypothesis import given
from hypothesis import strategies as st

from hillwright import cli, units
from hillwright.answers.model import QUESTIONS, Answer
from hillwright.answers.safe import slope_text
from hillwright.answers.ten import answers
from hillwright.data import table
from hillwright.job.crew import MeasuredText, PersonText
from hillwright.job.estimate import ChoiceText
from hillwright.job.ground import SoilText
from hillwright.job.model import Job, OpenJob
from hillwright.job.new import write_job
from hillwright.job.planting import PinText, WishText
from hillwright.job.planting_soil import MixText
from hillwright.job.read import open_job
from hillwright.layout.model import LeftOut, Seam
from hillwright.layout.report import workings
from hillwright.plan import Plan, work_out
from hillwright.stability.judge import site_reasons
from hillwright.stability.model import Reason
from hillwright.terrain.model import Spot

STRONG = {
    "unit_weight": "18 kN/m3",
    "cohesion": "40 kPa",
    "friction": "34 deg",
    "depth": "1 m",
}
ANSWERED = {1, 2, 3, 4, 5, 6, 7, 8, 10}  # the others wait for their rooms
WHOLE: dict[str, Any] = {"surface__covered": 1.0, "surface__spots": ()}
LIMITS = {row["ratio"]: row for row in table("slope_limits")["limit"]}


@pytest.fixture(scope="module")
def opened(tmp_path_factory: pytest.TempPathFactory) -> OpenJob:
    """The first job, on strong soil, where somebody looked and saw nothing."""
    found = open_job(write_job(tmp_path_factory.mktemp("bank"), "us")[0])
    all_no = dict.fromkeys(type(found.job.checklist).model_fields, "no")
    seen = found.job.checklist.model_copy(update=all_no)
    soil = SoilText.model_validate(STRONG)
    update = {"checklist": seen, "soil": soil}
    return OpenJob(job=found.job.model_copy(update=update), path=found.path)


@pytest.fixture(scope="module")
def plan(opened: OpenJob) -> Plan:
    return work_out(opened)


def again(plan: Plan, job: Job | None = None, **changed: Any) -> tuple[Answer, ...]:
    """The answers where the surface or the layout came out otherwise; "where__field" names it."""
    opened = OpenJob(job=job or plan.job, path=plan.opened.path)
    site = site_reasons(opened.job.checklist.model_dump())
    # the hill's own reasons are those of the slope that was surveyed
    stability = dataclasses.replace(plan.stability, site=site, hill=())
    rooms: dict[str, Any] = {"opened": opened, "stability": stability}
    for name, value in changed.items():
        room, field = name.split("__")
        was = rooms.get(room, getattr(plan, room))
        rooms[room] = dataclasses.replace(was, **{field: value})
    return answers(dataclasses.replace(plan, **rooms))


def first(plan: Plan, **changed: Any) -> Answer:
    return again(plan, **changed)[0]


# --- ten, in order, each with a figure that can be asked why


def test_there_are_always_ten_in_order(plan: Plan) -> None:
    assert [a.number for a in plan.answers] == list(range(1, 11))
    assert tuple(a.question for a in plan.answers) == QUESTIONS
    assert all(a.short.endswith((".", "?")) for a in plan.answers)


def test_a_question_without_an_answer_says_so(plan: Plan) -> None:
    for a in plan.answers:
        assert (a.verdict == "not yet") == (a.number not in ANSWERED)
        if a.verdict == "not yet":
            assert a.short.startswith(("Not worked out.", "Counted, not priced: "))
            assert not a.caution


def test_every_figure_that_an_answer_names_can_be_asked_why(plan: Plan) -> None:
    named = [figure for a in plan.answers for figure in a.figures]
    assert len(named) > 8
    assert len(named) == len(set(named))
    assert set(named) <= set(plan.workings)


def test_a_layout_without_a_cell_names_only_figures_that_it_has(plan: Plan) -> None:
    layout = plan.layout
    fields = {f.name: getattr(layout, f.name) for f in dataclasses.fields(layout)}
    by_cell = {
        name: value[:0]
        for name, value in fields.items()
        if isinstance(value, np.ndarray) and len(value) == layout.count
    }
    assert {"corners", "row", "shear", "gap"} <= by_cell.keys()
    empty = dataclasses.replace(layout, **by_cell, clips=layout.clips[:0], count=0)
    found = answers(dataclasses.replace(plan, layout=empty))[1]
    assert found.short == "0 whole cells in 0 rows."
    assert found.verdict == "with measures"
    assert set(found.figures) == {w.figure for w in workings(empty)}


# --- the verdict on the slope: data/slope_limits.toml


def test_the_table_of_limits_goes_from_the_steepest_down() -> None:
    # UFC 3-220-20 section 3-4.2.1 (3:1); IBC Appendix J, J106.1 and J107.6 (2:1), from memory
    assert [(ratio, row["verdict"]) for ratio, row in LIMITS.items()] == [
        ("2:1", "stop"),
        ("3:1", "with measures"),
    ]
    slopes = [units.slope(ratio) for ratio in LIMITS]
    assert slopes == sorted(slopes, reverse=True)


@pytest.mark.parametrize(
    ("ratio", "below"),
    [("2:1", LIMITS["3:1"]["why"]), ("3:1", "Mean slope 18.4°")],
)
def test_a_limit_holds_up_to_itself_and_not_beyond(plan: Plan, ratio: str, below: str) -> None:
    across, up = map(float, ratio.split(":"))
    at = math.atan2(up, across)
    limit = LIMITS[ratio]
    for slope in (at, at - 1e-9):
        a = first(plan, surface__slope_mean=slope, surface__slope_steepest=slope, **WHOLE)
        assert below in a.short
        assert a.verdict == ("with measures" if ratio == "2:1" else "clear")
    a = first(plan, surface__slope_mean=at + 1e-9)
    assert a.verdict == limit["verdict"]
    assert limit["why"] in a.short
    assert limit["who"] in a.caution
    assert limit["source"] in a.caution


@given(slope=st.floats(0, math.radians(80)))
def test_a_steep_slope_stops_however_strong_its_soil_is(plan: Plan, slope: float) -> None:
    a = first(plan, surface__slope_mean=slope, surface__slope_steepest=slope, **WHOLE)
    gentle = "clear" if slope <= math.atan(1 / 3) else "with measures"
    assert a.verdict == ("stop" if slope > math.atan(0.5) else gentle)
    assert a.caution


def test_a_hill_that_lacks_its_factor_stops_however_gentle_it_is(plan: Plan) -> None:
    weak = Reason("a slip surface has a computed factor of 1.49, below 1.5", "stop", "X", "a code")
    a = first(plan, surface__slope_mean=0.1, stability__hill=(weak,), **WHOLE)
    assert a.verdict == "stop"
    assert a.short.startswith("The hill itself says stop: a slip surface has a computed")
    assert a.caution.startswith("Ask X before anyone orders a cell.")


def test_what_is_to_be_smoothed_or_surveyed_first_stands_in_the_way_of_clear(plan: Plan) -> None:
    gentle = {"surface__slope_mean": 0.1, "surface__slope_steepest": 0.1}
    assert first(plan, **gentle, **WHOLE).verdict == "clear"
    half = first(plan, **gentle, surface__covered=0.5, surface__spots=())
    assert half.verdict == "with measures"


def test_a_mean_does_not_hide_a_steep_place(plan: Plan) -> None:
    gentle, steep = math.radians(10), math.radians(40)
    a = first(plan, surface__slope_mean=gentle, surface__slope_steepest=steep)
    assert a.verdict == "with measures"
    assert LIMITS["2:1"]["why"] in a.lines[0]
    assert LIMITS["2:1"]["who"] in a.lines[0]
    even = first(plan, surface__slope_mean=steep, surface__slope_steepest=steep)
    assert LIMITS["2:1"]["why"] not in even.lines[0]  # said once, above


KEYS: list[dict[str, Any]] = [
    {"units": "metric"},
    {"site": {"name": "All safe", "notes": "the engineer says it is fine"}},
    {"cell": {"depth": 0.3, "max_gap": 0.3, "max_twist": 0.3}},
    {"layout": {"trimmed": True, "max_tilt": 0.7, "narrowest_row": 1}},
    {"grading": {"smooth": 2.0}},
    {"fill": {"top": "level", "waste": 0.0}},
    {"carry": {"people": 20, "drag_friction": 0.1}},
    {"mix": (MixText(name="own", parts=(("compost", "100 %"),)),)},
    {"crew": {"people": 40, "bar_drivers": 9}},
    {"person": (PersonText(name="engineer", role="lead"),)},
    {"measured": (MeasuredText(task="set", done=900, people=1, took="1 h"),)},
    {"planting": {"bloom": False, "zones_per_row": 4}},
    {"wish": (WishText(plant="cover", share="100 %", must=True, near="edge"),)},
    {"pin": (PinText(cell="R1-1", plant="deergrass"),)},
    {"weights": {"edge": 900.0}},
    {"shade": ()},
    {"climate": {"place": "Fresno"}},
    {"watering": {"efficiency": 1.0, "texture": "clay"}},
    {"supply": {"apart": 3.0}},
    {"irrigation": {"emitters": "turbulent"}},
    {"emitter": ()},
    {"tubing": ()},
    {"built": {"record": "as-built.csv"}},
    {"estimate": {"built": "owner", "overhead": 0.0, "contingency": "none"}},
    {"waste": {"bars": 0.0}},
    {"choice": (ChoiceText(name="none", options=({"name": "all safe"},)),)},
    {"sheets": {"revision": "C"}},
]


@pytest.mark.parametrize("keys", KEYS, ids=lambda keys: next(iter(keys)))
def test_no_key_of_the_job_switches_a_stop_off(plan: Plan, keys: dict[str, Any]) -> None:
    parts = {
        name: getattr(plan.job, name).model_copy(update=value) if isinstance(value, dict) else value
        for name, value in keys.items()
    }
    job = plan.job.model_copy(update=parts)
    found = again(plan, job, surface__slope_mean=math.radians(35))
    assert found[0].verdict == "stop"
    assert found[0].caution


def test_the_keys_tried_are_all_sections_that_do_not_say_what_the_hill_is() -> None:
    ground = {"survey", "outline", "exclusion", "benchmarks", "base_line"}
    ground |= {"checklist"}  # what was seen there: tried below
    ground |= {"soil", "holding", "rain", "drains"}  # for rooms still to come
    assert set(Job.model_fields) - ground == {key for keys in KEYS for key in keys}


def test_no_option_of_the_commands_switches_a_stop_off(
    plan: Plan, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    steep = again(plan, surface__slope_mean=math.radians(35))
    stopped = dataclasses.replace(plan, answers=steep)
    monkeypatch.setattr("hillwright.plan.work_out", lambda *a, **k: stopped)
    path = str(plan.opened.path)
    assert cli.main(["plan", path]) == 0
    out = capsys.readouterr().out
    assert out.startswith("STOP. ")
    assert cli.main(["plan", path, "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert (found["verdict"], found["answers"][0]["verdict"]) == ("stop", "stop")
    command: Any = typer.main.get_command(cli.app)
    options = {parameter.name for parameter in command.commands["plan"].params}
    assert options == {"job", "json"}  # a new option must be tried here


# --- what is said


@pytest.mark.parametrize(
    ("degrees", "said"),
    [
        (0.0, "0.0° (0 %, level)"),
        (0.05, "0.1° (0 %, level)"),  # below a thousandth nobody can tell it from level
        (26.565051177, "26.6° (50 %, 2.00H:1V)"),
        (18.434948823, "18.4° (33 %, 3.00H:1V)"),
        (45.0, "45.0° (100 %, 1.00H:1V)"),
        (63.434948823, "63.4° (200 %, 0.50H:1V)"),
    ],
)
def test_a_slope_is_written_in_degrees_percent_and_ratio(degrees: float, said: str) -> None:
    assert slope_text(math.radians(degrees)) == said


def test_a_level_hillside_faces_no_way(plan: Plan) -> None:
    level = first(plan, surface__aspect=math.nan, surface__slope_mean=0.0)
    assert "Faces no way (level);" in level.lines[1]
    assert "level)" in level.short


@pytest.mark.parametrize(
    ("bearing", "said"),
    [
        (0, "north (0°)"),
        (359.9, "north (0°)"),
        (22.4, "north (22°)"),
        (23, "north-east (23°)"),
        (180, "south (180°)"),
        (337, "north-west (337°)"),
        (338, "north (338°)"),
        (-90, "west (270°)"),
    ],
)
def test_the_compass_is_read_to_eight_points(plan: Plan, bearing: float, said: str) -> None:
    line = plan.job.base_line.model_copy(update={"bearing": 0.0})
    job = plan.job.model_copy(update={"base_line": line})
    assert f"Faces {said};" in again(plan, job, surface__aspect=math.radians(bearing))[0].lines[1]


def spot(number: int, trim: float, fill: float) -> Spot:
    return Spot(number, 1.0, 2.0, 0.1, 0.5, trim, fill, np.zeros((3, 2)))


def test_spots_to_smooth_are_named_largest_first_and_none_is_left_unsaid(plan: Plan) -> None:
    seven = tuple(spot(n, 0.02 * (n % 2), 0.01) for n in range(1, 8))
    lines = first(plan, surface__spots=seven).lines
    assert any(line.startswith("Smooth first 7 spots:") for line in lines)
    assert "  spot 1: hump of 3.94 in over 5.4 ft²" in lines
    assert "  spot 2: dip of 3.94 in over 5.4 ft²" in lines
    assert "  2 more; the sheets say where they lie" in lines
    one = first(plan, surface__spots=seven[:1]).lines
    assert any(line.startswith("Smooth first 1 spot:") for line in one)


def test_nothing_to_smooth_is_said_only_where_every_cell_sits_well(plan: Plan) -> None:
    n = len(plan.layout.row)
    good, bad = plan.layout.gap * 0, plan.layout.gap * 0 + 1.0
    well = first(plan, surface__spots=(), layout__gap=good, layout__hump=good)
    assert any(line.startswith("Nothing to smooth") for line in well.lines)
    ill = first(plan, surface__spots=(), layout__gap=bad, layout__hump=good)
    assert not any(line.startswith("Nothing to smooth") for line in ill.lines)
    assert any(f"{n} cells as laid" in line for line in ill.lines)


def test_the_proof_says_how_far_the_count_is_from_the_bound(plan: Plan) -> None:
    n = plan.layout.count
    tight = again(plan, layout__bound=n)[1].lines
    assert any("as many as are laid" in line for line in tight)
    loose = again(plan, layout__bound=n + 3)[1].lines
    assert any(f"no more than {n + 3} whole cells fit, 3 more than are laid" in s for s in loose)


def test_seams_and_cells_left_out_are_told_and_stand_in_the_way_of_clear(plan: Plan) -> None:
    seam = Seam((1, 2), "column", (0, 0, 1, 1), "the shear would reach 2.1 deg", 0.01)
    out = LeftOut(plan.layout.corners[0], "does not hang")
    a = again(
        plan, layout__seams=(seam, seam), layout__left_out=(out,), layout__warnings=()
    )[1]  # fmt: skip
    assert a.verdict == "with measures"
    assert "2 seams: the shear would reach 2.1°." in a.lines
    assert any(line.startswith("1 more whole cell fits") for line in a.lines)
    assert again(plan, layout__seams=(), layout__warnings=())[1].verdict == "clear"


def test_your_own_string_is_told_with_its_tilt(plan: Plan) -> None:
    a = again(plan, layout__top="your own top string", layout__tilt=math.radians(2))[1]
    assert a.lines[0] == ("Row 1 hangs on your own top string. The rows lie 2.0° off the contour.")


def test_the_takeoff_is_counted_line_by_line(plan: Plan) -> None:
    lines = plan.answers[8].lines
    assert len(lines) == 1 + len(plan.takeoff.lines)
    assert "hillwright prices" in lines[0]
    assert lines[1] == f"planting cell: {plan.layout.count} (whole cells only)"


def test_a_metric_job_is_answered_in_metric_units_alone(plan: Plan) -> None:
    metric = again(plan, plan.job.model_copy(update={"units": "metric"}))
    said = " ".join(line for a in metric for line in (a.short, *a.lines))
    assert not re.search(r"\d (ft|in|yd|lb)\b", said.replace("in plan", ""))
    assert re.search(r"\d m²", said)
    us = " ".join(line for a in plan.answers for line in (a.short, *a.lines))
    assert not re.search(r"\d (m|mm|kg)\b", us)


def test_what_is_not_known_is_said_in_words(plan: Plan) -> None:
    nothing = np.full(len(plan.layout.row), np.nan)
    said = " ".join(again(plan, layout__gap=nothing, surface__rmse=math.nan)[1].lines)
    assert "unknown void" in said
    assert "nan" not in said


# --- the site checklist: one yes, or nobody having looked, stops a gentle hill too


def checked(plan: Plan, **replies: str) -> Answer:
    seen = plan.job.checklist.model_copy(update=replies)
    job = plan.job.model_copy(update={"checklist": seen})
    return again(plan, job, surface__slope_mean=math.radians(15))[0]


def test_a_gentle_hill_where_nothing_was_seen_is_not_stopped(plan: Plan) -> None:
    found = checked(plan)
    assert found.verdict == "with measures"  # the survey has steeper places
    assert not any(line.startswith("Stop") for line in found.lines)


@pytest.mark.parametrize("reply", ["yes", "unknown"])
def test_cracks_that_were_seen_or_not_looked_for_stop_the_plan(plan: Plan, reply: str) -> None:
    found = checked(plan, cracks=reply)
    assert found.verdict == "stop"
    assert found.short.startswith("The site says stop: cracks in the ground")
    told = next(line for line in found.lines if line.startswith("Stop"))
    assert "cracks in the ground" in told
    assert "geotechnical engineer" in told
    assert ("taken as there" in told) == (reply == "unknown")


# --- what the plan does not know


def test_a_hill_without_a_bearing_is_not_told_a_compass_direction(plan: Plan) -> None:
    assert plan.job.base_line.bearing is None
    told = next(line for line in plan.answers[0].lines if line.startswith("Faces"))
    assert "base_line.bearing would give the compass" in told
    assert not any(f"Faces {point}" in told for point in ("north", "east", "south", "west"))
    line = plan.job.base_line.model_copy(update={"bearing": 0.0})
    job = plan.job.model_copy(update={"base_line": line})
    assert "Faces south" in " ".join(again(plan, job, surface__aspect=math.pi)[0].lines)


def test_cells_on_guessed_ground_are_never_called_clear(plan: Plan) -> None:
    known = again(plan, surface__covered=1.0)[1]
    guessed = again(plan, surface__covered=0.7)[1]
    assert guessed.verdict == "with measures"
    assert any("guessed ground" in line for line in guessed.lines)
    assert not any("guessed ground" in line for line in known.lines)


# --- question 4: where the rain goes


def fourth(plan: Plan, **changed: Any) -> Answer:
    return again(plan, **changed)[3]


def test_without_rain_the_answer_says_that_it_is_for_no_design(plan: Plan) -> None:
    a = fourth(plan)
    assert "invented" in a.short
    assert "for no design" in a.lines[0]
    assert a.verdict == "with measures"
    assert "licensed practice" in a.caution


def test_soil_is_told_in_shares_until_the_rain_s_erosivity_is_known(plan: Plan) -> None:
    shares = fourth(plan)
    assert any("rain.erosivity" in line for line in shares.lines)
    assert not any(re.search(r"\d ton\b|wheelbarrow", line) for line in shares.lines)
    weighed = fourth(plan, runoff__weighed=True)
    assert any("wheelbarrow" in line or "bucket" in line for line in weighed.lines)
    assert "ton" in weighed.short


def test_rain_is_clear_only_when_it_is_known_and_goes_somewhere(plan: Plan) -> None:
    rain = dataclasses.replace(plan.runoff.rain, given=True)
    above = dataclasses.replace(plan.runoff.above, whole=True, drained=False)
    settled: dict[str, Any] = {
        "runoff__rain": rain,
        "runoff__above": above,
        "runoff__warnings": (),
        "drainage__warnings": (),
    }
    assert fourth(plan, **settled).verdict == "clear"
    for name in settled:
        open_ = {k: v for k, v in settled.items() if k != name}
        assert fourth(plan, **open_).verdict == "with measures", name


def test_the_credit_of_rows_is_never_said_to_be_a_curve_number(plan: Plan) -> None:
    a = fourth(plan)
    assert any("no curve number and no P is lowered" in line for line in a.lines)
    bare, built = plan.runoff.states[:2]
    assert built.curve_number[1] >= bare.curve_number[1]


# --- the rain: what the rows do not do is said as plainly as what they do


def rainy(plan: Plan, **changed: Any) -> str:
    runoff = dataclasses.replace(plan.runoff, **changed)
    found = answers(dataclasses.replace(plan, runoff=runoff))[3]
    return " ".join((found.short, *found.lines))


def test_rows_that_do_not_lower_the_peak_are_said_not_to(plan: Plan) -> None:
    storm = plan.runoff.storm
    assert storm is not None
    half, same = (
        dataclasses.replace(storm, rows=dataclasses.replace(storm.rows, peak=k * storm.bare.peak))
        for k in (0.5, 1.0)
    )
    assert "do not lower the peak" not in rainy(plan, storm=half)
    assert "do not lower the peak" in rainy(plan, storm=same)


def test_a_storm_of_which_nothing_leaves_is_not_told_in_drops(plan: Plan) -> None:
    storm = plan.runoff.storm
    assert storm is not None
    drop = dataclasses.replace(storm.rows, volume=1e-6 * storm.rain, peak=1e-9)
    said = rainy(plan, event=dataclasses.replace(storm, rows=drop))
    assert "as good as nothing leaves" in said


def test_soil_loss_that_rises_at_first_is_not_said_to_fall(plan: Plan) -> None:
    bare, built, *rest = plan.runoff.states
    for times, said in ((1.2, "rises at first, from"), (0.5, "falls from")):
        other = dataclasses.replace(built, loss=tuple(times * v for v in bare.loss))
        assert said in rainy(plan, weighed=True, states=(bare, other, *rest))


def test_windows_that_are_too_short_stop_the_water_with_what_would_do(plan: Plan) -> None:
    assert not plan.watering.program.over.any()
    late = np.full(12, 3600.0)  # an hour that does not fit
    program = dataclasses.replace(plan.watering.program, over=late)
    tight = dataclasses.replace(plan.watering, program=program)
    found = answers(dataclasses.replace(plan, watering=tight))[6]
    assert found.verdict == "stop"
    assert "windows are too short" in f"{found.short} {' '.join(found.lines)}"
    assert "would be enough" in f"{found.short} {' '.join(found.lines)}"
