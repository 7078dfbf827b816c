"""Alternatives: every combination made and checked, and the front that no other beats."""

import json
import math
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hillwright import cli
from hillwright.compare import Alternative, as_csv, as_text, marked, non_dominated
from hillwright.errors import JobError
from hillwright.job.alternatives import choices_of, combined
from hillwright.job.read import open_job

DEMO = Path(__file__).parents[1] / "examples" / "bracken-bank"


def one(name, cost, days=3.0, water=9.0, soil=100.0, food=10, missing=0, failed=""):
    return Alternative(
        name, cost, None if math.isnan(cost) else cost, "USD", missing, days, water, soil, food,
        50, 6, "clear", (), failed,
    )  # fmt: skip


@given(values=st.lists(st.tuples(*[st.integers(0, 4)] * 3), min_size=1, max_size=9))
def test_a_point_is_on_the_front_when_and_only_when_none_beats_it(values):
    found = non_dominated(np.array(values, float)).tolist()
    for a, on in zip(values, found, strict=True):
        beaten = any(all(x <= y for x, y in zip(b, a, strict=True)) and b != a for b in values)
        assert on == (not beaten)
    assert any(found)


def test_more_food_or_more_soil_kept_is_better_and_less_of_the_rest():
    found = marked([one("a", 100), one("food", 120, food=20), one("dear", 120), one("soil", 120,
                    soil=200.0)])  # fmt: skip
    assert [a.front for a in found] == [True, True, False, True]


def test_what_lacks_a_price_does_not_beat_what_has_it():
    found = marked([one("whole", 100), one("lacking", 60, missing=1)])
    assert [(a.front, a.dark) for a in found] == [(True, False), (False, True)]
    both = marked([one("a", 100, missing=1), one("b", 60, missing=1)])
    assert [a.front for a in both] == [False, True]


def test_what_is_not_known_of_all_is_not_traded_and_what_cannot_be_is_told():
    found = marked([one("a", math.nan), one("b", 50, days=2.0), one("c", 1, failed="x: y; z")])
    assert [a.front for a in found] == [False, True, False]
    text = as_text(found, "us")
    assert "not traded, for it is not known of all: cost" in text
    assert "cannot be worked out: x: y; z" in text
    assert as_csv(found, "us").count("\n") == 4


def test_every_combination_is_a_checked_job_of_its_own():
    opened = open_job(DEMO)
    choices = choices_of(opened, ["cell.depth = 6 in | 7 in", "crew.people = 4 | 8 | 9"])
    found = combined(opened, choices)
    assert len(found) == 6
    assert {(round(o.job.cell.depth / 0.0254), o.job.crew.people) for _, o in found} == {
        (d, p) for d in (6, 7) for p in (4, 8, 9)
    }
    assert found[0][0] == "cell.depth 6 in, crew.people 4"


@pytest.mark.parametrize(
    ("vary", "what", "right"),
    [
        ("cell.depht = 6 in", "'cell.depht' is no key of a job", "cell.depth"),
        ("cell.depth", "does not say what to vary", "cell.depth = 6 in"),
        ("cell.depth = 6", "6 has no unit", '"6 in"'),
        ("wish.count = 3", "may be there several times", "give all of it"),
        ("shel = 3", "'shel' is no key", "did you mean shade"),
    ],
)
def test_a_choice_that_makes_no_job_is_told_with_its_name(vary, what, right):
    opened = open_job(DEMO)
    with pytest.raises(JobError) as caught:
        combined(opened, choices_of(opened, [vary]))
    (problem,) = caught.value.problems
    assert what in problem.what
    assert right in problem.right


def test_too_many_combinations_are_refused():
    opened = open_job(DEMO)
    many = " | ".join(f"{k} in" for k in range(6, 21))
    with pytest.raises(JobError, match="225 combinations are more than 200"):
        combined(opened, choices_of(opened, [f"cell.width = {many}", f"cell.run = {many}"]))


def test_the_demo_s_own_choices_are_compared_with_figures_of_the_rooms(capsys, tmp_path):
    table = tmp_path / "front.csv"
    code = cli.main(["compare", str(DEMO), "--json", "--csv", str(table)])
    found = json.loads(capsys.readouterr().out)["alternatives"]
    assert code == 0
    assert len(found) == 4
    assert any(a["front"] for a in found)
    assert all(a["food"] > 0 and a["soil"] > 0 and a["water"] > 0 for a in found)
    low, drawn = (next(a for a in found if a["name"].startswith(n)) for n in ("low", "as drawn"))
    assert float(low["price"]) != float(drawn["price"])
    assert cli.main(["compare", str(DEMO), "--csv", str(table)]) == 2  # never over another file
    assert "is there already" in capsys.readouterr().err


def test_one_job_without_choices_has_nothing_to_be_compared_with(capsys, tmp_path):
    assert cli.main(["new", str(tmp_path / "hill")]) == 0
    assert cli.main(["compare", str(tmp_path / "hill")]) == 2
    assert "nothing to compare it with" in capsys.readouterr().err
