"""The work of the demo hill of 500 cells, scheduled and proven; a day of the bucket brigade.

Yardsticks: the same solver for the same effort without our first schedule and bound; and as many
bare timeouts of simpy as the brigade's people take, with nothing between them.
"""

import platform
import time
from pathlib import Path

import numpy as np
import ortools
import simpy

from hillwright.crew import proven
from hillwright.crew.brigade import brigade_pace
from hillwright.crew.brigadesim import simulate_brigade
from hillwright.crew.planning import plan_work, prove_work
from hillwright.crew.project import Times
from hillwright.job.read import open_job
from hillwright.plan import crew_inputs, work_out

HILL = Path(__file__).parents[1] / "examples" / "long-meadow" / "job.toml"
GAP, SECONDS, DAY = 0.02, 5.0, 1.0  # bars: share above the bound; of a proof; of a simulated day
LINE = {
    "people": 14, "turn": 3.0, "hand_over": 2.0, "load": 4.0, "pour": 3.0, "buckets": 40,
    "empties_return": 20.0,
}  # fmt: skip


def timed(work):
    """Give the result and the processor time, which another program on the machine does not add."""
    start = time.process_time()
    found = work()
    return found, time.process_time() - start


def cold(inputs):
    """Prove without our schedule and bound: one task after the other, and no bound but zero."""
    prove, bound = proven.prove, proven.resource_bound

    def one_by_one(project, effort, first=None):
        start, at = np.zeros(project.count, np.intp), 0
        for i in project.order:
            start[i] = max(at, project.release[i])
            at = int(start[i]) + project.modes[i][0].duration
        return prove(project, effort, Times(start, np.zeros(project.count, np.intp), at))

    from hillwright.crew import planning

    planning.prove, proven.resource_bound = one_by_one, lambda project: 0
    try:
        return timed(lambda: prove_work(*inputs))
    finally:
        planning.prove, proven.resource_bound = prove, bound


def bare(events):
    """Run so many timeouts and nothing else."""
    env = simpy.Environment()

    def person():
        while True:
            yield env.timeout(1.0)

    for _ in range(LINE["people"]):
        env.process(person())
    env.run(until=events / LINE["people"])


def main():
    plan = work_out(open_job(HILL))
    rooms = (plan.layout, plan.surface, plan.setout, plan.fill, plan.stability.anchoring)
    inputs = crew_inputs(plan.job, *rooms, plan.planting, plan.carry)
    prove_work(*inputs, 0.1)  # the solver is loaded before the clock runs
    at_once, quick = timed(lambda: plan_work(*inputs))
    found, slow = timed(lambda: prove_work(*inputs))
    other, theirs = cold(inputs)
    print(
        f"{plan.layout.count} cells, {len(found.tasks)} tasks: at once {at_once.hours:.1f} h in "
        f"{quick:.3f} s, at most {100 * at_once.gap:.1f} % above the shortest"
    )
    print(
        f"proven {found.hours:.1f} h, gap {100 * found.gap:.2f} % in {slow:.1f} s; without our "
        f"start and bound {other.hours:.1f} h, gap {100 * other.gap:.2f} % in {theirs:.1f} s"
    )
    day, took = timed(lambda: simulate_brigade(**LINE, day=6 * 3600.0, spread=0.3))
    pace = brigade_pace(**LINE)
    _, yard = timed(lambda: bare(day.buckets * LINE["people"] * 3))
    print(
        f"a day of {LINE['people']} people, {day.buckets:,} buckets: {took:.2f} s, "
        f"{took / yard:.1f} times as many bare timeouts; {day.buckets_per_hour:.0f} an hour, "
        f"{pace.buckets_per_hour:.0f} if no time varied"
    )
    print(
        f"Python {platform.python_version()}, ortools {ortools.__version__}, simpy "
        f"{simpy.__version__}"
    )
    if found.gap > min(GAP, other.gap) or slow > SECONDS or took > DAY:
        raise SystemExit("the schedule or the brigade has become too slow or too loose")


if __name__ == "__main__":
    main()
