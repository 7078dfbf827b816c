"""A plan told as it is worked out is the same plan, with a quick planting shown on the way."""

from pathlib import Path

import numpy as np
import pytest

from hillwright.job.read import open_job
from hillwright.plan import work_out
from hillwright.store.pointer import operations
from hillwright.store.toml import edited
from hillwright.web.live import LiveMemo

QUARRY = Path(__file__).parents[2] / "examples" / "quarry-garden"  # it wishes for trees


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    import shutil

    return Path(shutil.copytree(QUARRY, tmp_path_factory.mktemp("live") / "job"))


@pytest.fixture(scope="module")
def live(folder):
    """A memo that has worked the job out once, what it told, and the plan."""
    told = []
    memo = LiveMemo(lambda word, what: told.append((word, what)), lambda: None)
    plan, parts, _ = memo.plan(open_job(folder / "job.toml"))
    return memo, told, plan, parts


def test_the_quick_planting_is_told_first_and_says_that_a_better_one_follows(live):
    _, told, plan, parts = live
    shown = [w for _, w in told if "plants" in w.get("parts", {})]
    assert [bool(w.get("refining")) for w in shown] == [True, False]
    assert shown[0]["parts"]["plants"] != shown[1]["parts"]["plants"] == parts["plants"]
    trees = [p for p, n in zip(plan.planting.plants, plan.planting.count, strict=True) if n]
    assert any(p.canopy for p in trees)


def test_it_is_the_plan_of_the_command(live, folder):
    _, _, plan, _ = live
    alone = work_out(open_job(folder / "job.toml"))
    np.testing.assert_array_equal(plan.planting.plant, alone.planting.plant)
    np.testing.assert_array_equal(plan.planting.sun, alone.planting.sun)
    np.testing.assert_array_equal(plan.watering.program.minutes, alone.watering.program.minutes)
    assert plan.answers == alone.answers
    assert plan.warnings == alone.warnings


def test_an_edit_tells_only_the_stages_that_it_redoes_and_undo_none(live, folder):
    memo, told, _, parts = live
    file = folder / "job.toml"
    text = file.read_text("utf-8")
    price = [{"op": "replace", "path": "/watering/price", "value": 9.9}]
    for new, redone in ((edited(text, operations(price)), ["bill"]), (text, [])):
        told.clear()
        file.write_text(new, "utf-8")
        _, now, _ = memo.plan(open_job(file))
        assert [w["stage"] for word, w in told if word == "working"] == redone
    assert now == parts


def test_another_emitter_is_told_first_along_the_same_pipes_and_ends_as_the_plan_of_the_command(
    live, folder
):
    memo, told, *_ = live
    file = folder / "job.toml"
    text = file.read_text("utf-8")
    own = {"name": "own", "flow": "0.6 gal/h", "pressure": "10 psi", "highest": "50 psi"}
    told.clear()
    change = [{"op": "add", "path": "/emitter", "value": [own]}]
    file.write_text(edited(text, operations(change)), "utf-8")
    plan, parts, _ = memo.plan(open_job(file))
    alone = work_out(open_job(file))
    file.write_text(text, "utf-8")
    shown = [w for _, w in told if "drip" in w.get("parts", {})]
    assert shown[0]["stage"] == "irrigation"
    assert shown[0]["refining"]
    assert shown[-1]["parts"]["drip"] == parts["drip"]
    assert plan.answers == alone.answers
    for v, w in zip(plan.irrigation.valves, alone.irrigation.valves, strict=True):
        np.testing.assert_array_equal(v.at, w.at)
        np.testing.assert_array_equal(v.low.outlet_flow, w.low.outlet_flow)
