"""People on the rows: what lets them walk there does so when the job asks for it."""

import math
import re
import sys
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

sys.path.insert(0, str(Path(__file__).parent))
from planes import holding, plane, seen, soil

from hillwright.errors import OutOfRange
from hillwright.stability.clipload import clip_loads, rows_to_anchor
from hillwright.stability.hang import Walkers, hang
from hillwright.stability.stage import assess

SLOPE = math.radians(34)
ROWS = (2, 3, 4, 5, 6)
BARS = r"(\d+) No\. \d bars .* \((?:(\d+) (more|fewer)|as many) [a-z ]*\)"


def judged(walked=ROWS, **keys):
    return assess(*plane(SLOPE), soil(cohesion="30 kPa"), seen("no"), holding(**keys), None, walked)


def said(found):
    return next(m for m in found.measures if "walking cells" in m)


def check(found, what):
    return next(r for r in found.grid_checks if r.what == f"{what}, filled, with people")


def test_what_the_plan_says_it_takes_to_walk_there_lets_one_person_walk_there():
    before = judged(people=1, clip_strength="400 N")
    assert "carry nobody" in said(before)
    clip = float(re.search(r"clips that hold (\d+) N", said(before))[1])
    bars, more, way = re.search(BARS, said(before)).groups()
    after = judged(people=1, clip_strength=f"{clip} N", walkers=1)
    assert after.anchoring.count.sum() == int(bars)
    change = int(more or 0) * (-1 if way == "fewer" else 1)
    assert before.anchoring.count.sum() == int(bars) - change
    assert check(after, "clips of a pair").passed
    assert check(after, "bars of a cell").passed
    assert not any("carry nobody" in m for m in after.measures)


def test_where_the_clips_suffice_more_bars_alone_let_people_walk():
    before = judged(clip_strength="1.2 kN", people=2)
    people = int(re.search(r"For (\d) (?:person|people) at once", said(before))[1])
    bars = int(re.search(BARS, said(before))[1])
    after = judged(clip_strength="1.2 kN", people=people, walkers=people)
    assert after.anchoring.count.sum() == bars
    assert check(after, "clips of a pair").passed
    assert check(after, "bars of a cell").passed


def test_more_people_never_take_fewer_bars_and_nobody_changes_nothing():
    counts = [
        judged(clip_strength="6 kN", people=3, walkers=k).anchoring.count.sum() for k in range(4)
    ]
    assert counts == sorted(counts)
    assert counts[0] == judged(clip_strength="6 kN", people=3).anchoring.count.sum()
    assert counts[3] > counts[0]


def test_walkers_that_nothing_holds_leave_the_cells_hung_and_are_told():
    asked, plain = judged(walkers=2), judged()
    assert (asked.anchoring.count == plain.anchoring.count).all()
    assert "carry nobody" in said(asked)


def test_rows_below_the_lowest_walked_one_are_left_as_they_are():
    layout = plane(SLOPE)[1]
    n = len(layout.row)
    pull, hangs = np.full((1, n), 10.0), layout.row == 1
    all_rows, top = (
        hang(layout, pull, hangs, 45.0, 1e3, Walkers(20.0, pull[0], low)) for low in (6, 2)
    )
    assert set(top.rows) <= set(all_rows.rows)
    assert len(top.rows) < len(all_rows.rows)


@settings(max_examples=40, deadline=None)
@given(
    st.floats(1.0, 30.0),
    st.floats(0.0, 40.0),
    st.integers(1, 6),
    st.lists(st.floats(0.1, 20.0), min_size=30, max_size=30),
)
def test_clips_and_bars_hold_cells_and_walkers_together(spare, load, lowest, pull):
    layout = plane(SLOPE)[1]
    pull = np.array(pull)
    limit = float(pull.sum(initial=0.0)) / 8 + load + spare  # a row along itself is never the limit
    who = Walkers(load, pull, lowest)
    found = hang(layout, pull[None], layout.row == 1, limit, 1e4, who)
    loads = clip_loads(layout.row, layout.number, layout.clips, found.hangs, pull)
    walked = (layout.row[layout.clips] <= lowest).all(axis=1)
    assert (loads.pair[walked] + load <= limit * (1 + 1e-9)).all()
    heads = found.hangs & (layout.row <= lowest)
    assert (found.held[heads] >= loads.anchor[heads] + load - 1e-9).all()


def test_a_limit_may_differ_from_cell_to_cell():
    row, number = np.array([1, 2, 3]), np.array([1, 1, 1])
    clips = np.array([[0, 1], [1, 2]])
    anchored, pull = row == 1, np.ones(3)
    assert rows_to_anchor(row, number, clips, anchored, pull, 5.0).tolist() == []
    assert rows_to_anchor(row, number, clips, anchored, pull, [5.0, 5.0, 0.5]).tolist() == [3]
    with pytest.raises(OutOfRange, match="clip_limit"):
        rows_to_anchor(row, number, clips, anchored, pull, [5.0, 0.0, 5.0])
