"""Cutting plans: rolls and time against plain first-fit-decreasing and a general packing solver.

Yardsticks on the same pieces: first-fit-decreasing written out plainly, and OR-Tools' CP-SAT with
an assignment of pieces to rolls, given a fixed amount of work. Ours proves its count.
"""

import platform
import time

import numpy as np
import ortools
from ortools.sat.python import cp_model

from hillwright.estimate.cutting import cut

ROLL = 6096  # 100 ft in steps of 5 mm
WORK = 4.0  # deterministic seconds of the general solver


def timed(work):
    """Give the result and the processor time, which another program on the machine does not add."""
    start = time.process_time()
    found = work()
    return found, time.process_time() - start


def plain(pieces):
    """First-fit-decreasing."""
    rooms = []
    for piece in sorted(pieces, reverse=True):
        k = next((k for k, room in enumerate(rooms) if room >= piece), None)
        if k is None:
            rooms.append(ROLL - piece)
        else:
            rooms[k] -= piece
    return len(rooms)


def general(pieces, most):
    """Pack with a general solver; gives rolls and its bound."""
    model = cp_model.CpModel()
    put = [[model.new_bool_var("") for _ in range(most)] for _ in pieces]
    used = [model.new_bool_var("") for _ in range(most)]
    for row in put:
        model.add_exactly_one(row)
    for b in range(most):
        load = sum(int(p) * row[b] for p, row in zip(pieces, put, strict=True))
        model.add(load <= ROLL * used[b])
        if b:
            model.add_implication(used[b], used[b - 1])
    model.minimize(sum(used))
    solver = cp_model.CpSolver()
    solver.parameters.max_deterministic_time = WORK
    solver.parameters.num_workers = 1
    solver.solve(model)
    return round(solver.objective_value), round(solver.best_objective_bound)


def main():
    """Print rolls, bounds and ratios; fail where ours is worse or proves less."""
    rng = np.random.default_rng(4)
    cases = {
        "tubes to stakes, 400": rng.integers(60, 900, 400),
        "laterals, 60": rng.integers(1200, 5800, 60),
        "awkward, 60": rng.integers(1500, 3300, 60),
        "three lengths, 120": rng.choice([1421, 2033, 2847], 120),
    }
    bad = False
    for name, pieces in cases.items():
        kinds, counts = np.unique(pieces, return_counts=True)
        cut(kinds, counts, (ROLL,), (1.0,))  # the solver is loaded before the clock runs
        plan, ours = timed(lambda k=kinds, c=counts: cut(k, c, (ROLL,), (1.0,)))
        first, quick = timed(lambda p=pieces: plain(p.tolist()))
        (packed, bound), slow = timed(lambda p=pieces, n=first: general(p.tolist(), n))
        print(
            f"{name}: {sum(plan.rolls)} rolls, none fewer than {plan.bound:.0f}, {ours:.3f} s; "
            f"first fit {first} ({ours / max(quick, 1e-6):.0f} times its time, no bound); "
            f"general solver {packed}, none fewer than {bound}, {slow / max(ours, 1e-6):.0f} times "
            "our time"
        )
        bad |= sum(plan.rolls) > min(first, packed) or plan.bound < bound
    print(f"Python {platform.python_version()}, ortools {ortools.__version__}")
    if bad:
        raise SystemExit("a cutting plan is worse than the yardstick, or proves less")


if __name__ == "__main__":
    main()
