"""Which rooms a part was made from is watched; it is made again when one of them is another."""

from dataclasses import dataclass, fields
from types import SimpleNamespace

import pytest

from hillwright.job.model import Job
from hillwright.plan import STAGES
from hillwright.rooms import Rooms
from hillwright.web.standing import ROOM, NotYet, Standing


@dataclass(frozen=True)
class Opened:
    job: Job
    path: str = "job.toml"


def job(width="24 in", price=2.0):
    survey = {"kind": "sections", "file": "s.csv"}
    return Job.model_validate(
        {"survey": survey, "cell": {"width": width}, "watering": {"price": price}}
    )


def test_every_room_of_a_plan_is_told_by_some_stage():
    told = {ROOM.get(stage, stage) for stage in STAGES} | {"opened", "site"}
    assert told >= {f.name for f in fields(Rooms)}


def test_a_part_is_made_again_only_when_a_room_that_it_read_is_another():
    standing, count = Standing(), []

    def make(s):
        count.append(1)
        return s.layout.n + s.opened.job.cell.width

    standing.begin(Opened(job()))
    with pytest.raises(NotYet):
        standing.made("part", make)
    standing.stands("layout", SimpleNamespace(n=1), "a")
    first = standing.made("part", make)
    assert standing.made("part", make) == first
    standing.stands("fill", SimpleNamespace(), "x")  # not read
    assert standing.made("part", make) == first
    assert len(count) == 2
    standing.begin(Opened(job(price=3.0)))  # a section that it did not read
    standing.stands("layout", SimpleNamespace(n=1), "a")
    assert standing.made("part", make) == first
    assert len(count) == 2
    standing.begin(Opened(job(width="30 in")))
    standing.stands("layout", SimpleNamespace(n=1), "a")
    assert standing.made("part", make) > first
    # and back: undo finds what was made before
    standing.begin(Opened(job()))
    standing.stands("layout", SimpleNamespace(n=1), "a")
    assert standing.made("part", make) == first
    assert len(count) == 3


def test_what_a_part_inside_another_read_counts_for_both():
    standing, outer = Standing(), []

    def inside(s):
        return s.layout.n

    def make(s):
        outer.append(1)
        return s.made("inside", inside) * 10

    standing.begin(Opened(job()))
    standing.stands("layout", SimpleNamespace(n=1), "a")
    assert standing.made("part", make) == 10
    standing.stands("layout", SimpleNamespace(n=2), "b")
    assert standing.made("part", make) == 20
    assert len(outer) == 2
