"""The plan redoes only what changed, tells how far it is, and brings all that the rooms say."""

import dataclasses
import shutil
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from hillwright.console import print_problems
from hillwright.errors import OutOfRange, SurveyError
from hillwright.job.model import OpenJob
from hillwright.job.new import write_job
from hillwright.job.planting import ShadeText
from hillwright.job.read import open_job
from hillwright.layout.model import Layout
from hillwright.memo import Memo
from hillwright.plan import STAGES, Plan, asked_here, work_out
from hillwright.planting.model import OPEN, PLANTED
from hillwright.rooms import Rooms
from hillwright.terrain.model import Surface
from hillwright.terrain.stage import make_surface
from hillwright.wording import in_units

BANK = Path(__file__).parents[1] / "examples" / "bracken-bank"


def changed(opened: OpenJob, section: str, **keys: Any) -> OpenJob:
    """The job with other keys in one section, as if its file had been edited."""
    part = getattr(opened.job, section)
    job = opened.job.model_copy(update={section: part.model_copy(update=keys)})
    return OpenJob(job=job, path=opened.path)


@pytest.fixture(scope="module")
def opened(tmp_path_factory: pytest.TempPathFactory) -> OpenJob:
    return open_job(write_job(tmp_path_factory.mktemp("bank"), "us")[0])


@pytest.fixture(scope="module")
def told() -> list[tuple[str, float]]:
    return []


@pytest.fixture(scope="module")
def worked(opened: OpenJob, told: list[tuple[str, float]]) -> tuple[Memo, Plan]:
    memo = Memo(most=512)  # all tests of this file ask the same one
    return memo, work_out(opened, memo, lambda stage, share: told.append((stage, share)))


def redone(worked: tuple[Memo, Plan], job: OpenJob) -> tuple[list[str], Plan]:
    """The stages that ran for a changed job, and its plan."""
    memo = worked[0]
    before = len(memo.redone)
    plan = work_out(job, memo)
    return memo.redone[before:], plan


def test_the_first_time_every_stage_runs_once_in_order(worked: tuple[Memo, Plan]) -> None:
    assert tuple(worked[0].redone[: len(STAGES)]) == STAGES


def test_a_result_that_is_another_stages_input_too_changes_no_key() -> None:
    memo = Memo()
    before = memo.stage("sum", sum, (), 0)
    memo.stage("none", lambda: ())  # the one empty tuple that there is
    assert memo.stage("sum", sum, (), 0) == before
    assert memo.redone == ["sum", "none"]


def test_the_same_job_again_redoes_nothing(worked: tuple[Memo, Plan], opened: OpenJob) -> None:
    stages, plan = redone(worked, opened)
    assert stages == []
    assert plan.layout is worked[1].layout


AFTER = ("upkeep", "built")


@pytest.mark.parametrize(
    ("section", "keys"),
    [
        ("sheets", {"paper": "a3", "scale": 50, "revision": "B"}),
        ("site", {"name": "Another name", "address": "2 Mill", "notes": "wet in spring"}),
    ],
)
def test_what_is_only_printed_redoes_nothing(
    worked: tuple[Memo, Plan], opened: OpenJob, section: str, keys: dict[str, Any]
) -> None:
    stages, plan = redone(worked, changed(opened, section, **keys))
    assert stages == []
    assert getattr(plan.job, section) != getattr(opened.job, section)


def test_edge_pieces_redo_the_takeoff_alone(worked: tuple[Memo, Plan], opened: OpenJob) -> None:
    stages, plan = redone(worked, changed(opened, "cell", edge_pieces=False))
    assert stages == ["takeoff", "price"]
    assert not any("edge" in line.item for line in plan.takeoff.lines)


def test_the_tilt_of_the_rows_redoes_the_layout_and_what_stands_on_it(
    worked: tuple[Memo, Plan], opened: OpenJob
) -> None:
    stages, plan = redone(worked, changed(opened, "layout", max_tilt=0.0))
    stood = ["runoff", "drains", "carry", "watering", "irrigation", "takeoff", *AFTER]
    assert stages == ["layout", "set-out", "sun", "planting", "fill", "stability", *stood]
    assert plan.surface is worked[1].surface
    assert plan.layout.searched != worked[1].layout.searched


def test_the_price_of_water_redoes_the_bill_alone(
    worked: tuple[Memo, Plan], opened: OpenJob
) -> None:
    stages, plan = redone(worked, changed(opened, "watering", price=3.0))
    assert stages == ["bill"]
    assert plan.watering.price > 0
    assert plan.watering.season[0].cost == pytest.approx(
        plan.watering.price * float(plan.watering.season[0].given.sum())
    )


def test_another_plant_leaves_the_sun_on_the_bare_cells(
    worked: tuple[Memo, Plan], opened: OpenJob
) -> None:
    stages, _ = redone(worked, changed(opened, "planting", avoid=("sage",)))
    assert "planting" in stages
    assert "sun" not in stages


def test_soil_and_checklist_redo_stability_and_what_it_asks_to_order(
    worked: tuple[Memo, Plan], opened: OpenJob
) -> None:
    seen = changed(opened, "checklist", cracks="no")
    assert redone(worked, seen)[0] == ["stability"]  # not one bar more or less
    strong = changed(opened, "holding", clip_strength=4000.0)
    stages, plan = redone(worked, strong)
    assert stages == ["stability", "crew", "takeoff", "price", *AFTER]
    bars = worked[1].stability.anchoring.count.sum()
    assert plan.stability.anchoring.count.sum() < bars


def test_a_depth_that_was_dug_counts_for_more_than_the_same_depth_assumed(
    worked: tuple[Memo, Plan], opened: OpenJob
) -> None:
    dug = changed(opened, "soil", depth=opened.job.soil.depth)
    stages, plan = redone(worked, dug)
    assert stages[0] == "stability"
    assert plan.stability.depth_known
    assert not worked[1].stability.depth_known


def test_a_limit_that_changes_no_cell_stops_at_the_layout(
    worked: tuple[Memo, Plan], opened: OpenJob
) -> None:
    at_most = opened.job.layout.max_tilt + 1e-12
    assert redone(worked, changed(opened, "layout", max_tilt=at_most))[0] == ["layout"]


@pytest.mark.parametrize(
    ("section", "keys", "stages"),
    [
        ("rain", {"ground_cover": 0.5}, ["runoff", "drains"]),
        (
            "soil",
            {"texture": "sandy loam"},
            ["stability", "runoff", "drains", "crew", "takeoff", "price", *AFTER],
        ),
        ("drains", {"crest": "always"}, ["runoff", "drains", "crew", "takeoff", "price", *AFTER]),
        ("drains", {"slope": 0.03}, ["drains", "crew", "takeoff", "price", *AFTER]),
        ("drains", {"outlet": (8.0, -2.0)}, ["drains", "crew", "takeoff", "price", *AFTER]),
    ],
)
def test_what_is_said_of_rain_and_drains_redoes_the_water_and_who_digs(
    worked: tuple[Memo, Plan],
    opened: OpenJob,
    section: str,
    keys: dict[str, Any],
    stages: list[str],
) -> None:
    assert redone(worked, changed(opened, section, **keys))[0] == stages


UNCUT = tuple(s for s in STAGES if s != "cuts")  # without a price book nobody sells a roll


def test_grading_redoes_everything(worked: tuple[Memo, Plan], opened: OpenJob) -> None:
    assert tuple(redone(worked, changed(opened, "grading", smooth=0.2))[0]) == UNCUT


def test_units_redo_the_readings_that_are_rounded_and_nothing_else(
    worked: tuple[Memo, Plan], opened: OpenJob
) -> None:
    feet = changed(opened, "survey", unit="ft")  # else bare numbers of the file change too
    metric = OpenJob(job=feet.job.model_copy(update={"units": "metric"}), path=opened.path)
    assert redone(worked, feet)[0] == []
    stages, plan = redone(worked, metric)
    assert stages == ["set-out", "carry"]
    # printed to the millimetre, not to 0.01 ft: the readings close better
    assert abs(plan.setout.closure).max() < abs(worked[1].setout.closure).max()


def test_progress_is_told_stage_by_stage_and_ends_at_the_whole(
    worked: tuple[Memo, Plan], told: list[tuple[str, float]]
) -> None:
    assert worked[1].layout.count > 0
    assert [stage for stage, _ in told] == [*STAGES, "done"]
    shares = [share for _, share in told]
    assert shares == sorted(set(shares))
    assert (shares[0], shares[-1]) == (0.0, 1.0)


def test_every_working_is_named_by_its_figure_and_none_hides_another(
    worked: tuple[Memo, Plan],
) -> None:
    plan = worked[1]
    rooms = [
        getattr(plan, f.name) for f in dataclasses.fields(Rooms) if f.name not in ("opened", "site")
    ]
    figures = [w.figure for room in rooms for w in room.workings]
    assert figures == list(plan.workings)  # a name given twice would show fewer here
    assert all(name == w.figure for name, w in plan.workings.items())


def test_no_figure_is_left_without_a_unit(worked: tuple[Memo, Plan]) -> None:
    for figure, working in worked[1].workings.items():
        filled = working.with_units()
        for number in (*filled.given, filled.result):
            assert number.unit not in ("", "any"), f"{figure}: {number.name}"


def test_all_that_the_rooms_warn_of_arrives_in_the_jobs_units(
    worked: tuple[Memo, Plan], opened: OpenJob
) -> None:
    # cells that bridge nothing: the layout warns too
    _, plan = redone(worked, changed(opened, "cell", max_gap=0.001))
    found = (getattr(plan, f.name) for f in dataclasses.fields(Rooms))
    rooms = [room for room in found if hasattr(room, "warnings")]
    said = [warning for room in rooms for warning in room.warnings]
    assert any(plan.layout.warnings)
    assert any(plan.setout.warnings)
    assert list(plan.warnings) == [in_units(warning, "us") for warning in said]


def test_a_memo_forgets_the_oldest_and_keeps_what_was_asked_for_last() -> None:
    memo = Memo(most=2)
    done = []

    def work(name: str) -> str:
        done.append(name)
        return name.upper()

    for name in ("a", "b", "a", "c"):  # a was asked for again, so b is the oldest
        assert memo.stage("one", work, name) == name.upper()
    assert done == ["a", "b", "c"]
    memo.stage("one", work, "a")
    assert done == ["a", "b", "c"]
    memo.stage("one", work, "b")
    assert done == ["a", "b", "c", "b"]


def test_a_memo_tells_two_stages_with_the_same_inputs_apart() -> None:
    memo = Memo()
    assert memo.stage("double", lambda n: 2 * n, 3) == 6
    assert memo.stage("square", lambda n: n * n, 3) == 9
    assert memo.redone == ["double", "square"]


def test_a_stage_that_fails_is_not_remembered() -> None:
    memo = Memo()
    with pytest.raises(ZeroDivisionError):
        memo.stage("divide", lambda n: 1 / n, 0)
    assert memo.redone == []
    with pytest.raises(ZeroDivisionError):
        memo.stage("divide", lambda n: 1 / n, 0)


def test_a_memo_that_could_keep_nothing_is_refused() -> None:
    with pytest.raises(ValueError, match="at least one"):
        Memo(most=0)


def test_what_the_ground_warned_of_is_told_when_the_layout_fails_and_in_feet(
    opened: OpenJob, monkeypatch: pytest.MonkeyPatch
) -> None:
    def doubtful(*given: object) -> Surface:
        return dataclasses.replace(
            make_surface(*given), warnings=("Shot 7 lies 30.48 m too high.",)
        )

    def fails(*given: object) -> Layout:
        raise OutOfRange("layout", "the ground ends 3.048 m short", "check the survey there")

    monkeypatch.setattr("hillwright.plan.make_surface", doubtful)
    monkeypatch.setattr("hillwright.plan.lay_out", fails)
    with pytest.raises(OutOfRange) as told:
        work_out(opened)
    assert [p.what for p in told.value.problems] == [
        "the ground ends 10.00 ft short",
        "Shot 7 lies 100.00 ft too high.",
    ]


def test_weather_that_cannot_be_read_is_told_alone(
    opened: OpenJob, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fails(*given: object) -> None:
        raise SurveyError("w.csv line 9", "high is stuck", "leave it blank")

    monkeypatch.setattr("hillwright.plan.weather_of", fails)
    with pytest.raises(SurveyError) as told:
        work_out(opened)
    assert [p.what for p in told.value.problems] == ["high is stuck"]


def test_a_wish_redoes_the_planting_and_a_fence_leaves_the_ground_alone(
    worked: tuple[Memo, Plan], opened: OpenJob
) -> None:
    kept = redone(worked, changed(opened, "planting", zones_per_row=3))[0]
    assert kept[:1] == ["planting"]
    assert not {"ground", "layout", "set-out"} & set(kept)
    fence = ShadeText(name="fence", line=(("0 m", "-1 m"), ("9 m", "-1 m")), height="2.5 m")
    shaded = OpenJob(job=opened.job.model_copy(update={"shade": (fence,)}), path=opened.path)
    stages, plan = redone(worked, shaded)
    assert stages[:2] == ["sun", "planting"]
    assert plan.planting.season.sum() < worked[1].planting.season.sum()


def test_the_watering_program_runs_the_emitters_that_are_laid(worked: tuple[Memo, Plan]) -> None:
    plan = worked[1]
    assert plan.irrigation.valves
    laid = [float(valve.low.outlet_flow.sum()) for valve in plan.irrigation.valves]
    valves = plan.watering.valves
    program = [float(valves.flow[valves.valve == k].sum()) for k in range(len(valves.names))]
    assert program == pytest.approx(laid, rel=1e-9)


def test_a_cell_that_is_left_without_soil_is_neither_planted_nor_walked_nor_watered(
    worked: tuple[Memo, Plan], opened: OpenJob
) -> None:
    before = worked[1]
    used = int(np.flatnonzero(before.planting.use == PLANTED)[0])
    place = before.layout.corners[used].mean(axis=0)[:2]
    frame = before.site.frame
    empty = tuple((place + np.array((frame.origin_x, frame.origin_y))) * frame.scale)
    stages, plan = redone(worked, changed(opened, "fill", empty=(empty,)))
    assert "planting" in stages
    assert plan.fill.settled[used] == 0
    assert plan.planting.use[used] == OPEN
    assert plan.planting.hydrozone[used] == -1
    cell = (int(plan.layout.row[used]), int(plan.layout.number[used]))
    with pytest.raises(OutOfRange, match=r"fill\.empty leaves it without soil"):
        redone(worked, changed(changed(opened, "fill", empty=(empty,)), "planting", walk=(cell,)))


def test_the_planting_is_told_which_cells_are_filled_in_part(
    worked: tuple[Memo, Plan], opened: OpenJob
) -> None:
    before = worked[1]
    place, frame = before.layout.corners[3].mean(axis=0)[:2], before.site.frame
    at = (place + np.array((frame.origin_x, frame.origin_y))) * frame.scale
    half = changed(opened, "fill", part_full=((float(at[0]), float(at[1]), 0.5),))
    cell = (int(before.layout.row[3]), int(before.layout.number[3]), 0.5)
    assert asked_here(half.job, before.layout, before.site).part == (cell,)


def test_a_wrong_price_is_told_alone_without_what_the_ground_warns_of(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    shutil.copytree(BANK, tmp_path, dirs_exist_ok=True)
    book = tmp_path / "prices.csv"
    book.write_text(book.read_text("utf-8").replace("10.80,11.50", "10.80,-11.50"), "utf-8")
    with pytest.raises(SurveyError) as error:
        work_out(open_job(tmp_path))
    assert [p.where for p in error.value.problems] == ["prices.csv line 7"]
    print_problems(error.value)
    assert capsys.readouterr().err.startswith("hillwright: a problem\n")
