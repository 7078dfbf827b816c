"""The one door to the solver (HiGHS): a program goes in as arrays, numbers and a bound come out.

Runs are repeatable: one thread, a fixed seed, and limits in nodes rather than seconds.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from hillwright.arrays import Array

INFINITY = 1e30


class Rows:
    """Rows of a program, gathered piece by piece: low <= A x <= high."""

    def __init__(self, columns: int) -> None:
        self.columns = columns
        self.count = 0
        self._low: list[Array] = []
        self._high: list[Array] = []
        self._row: list[Array] = []
        self._column: list[Array] = []
        self._value: list[Array] = []

    def add(self, row: Any, column: Any, value: Any, low: Any, high: Any, rows: int) -> None:
        """Add ``rows`` rows at once: entries by row (from 0), column and value; then limits."""
        row, column = np.asarray(row, np.int64), np.asarray(column, np.int64)
        self._row.append(row + self.count)
        self._column.append(column)
        self._value.append(np.broadcast_to(np.asarray(value, float), row.shape))
        self._low.append(np.broadcast_to(np.asarray(low, float), (rows,)))
        self._high.append(np.broadcast_to(np.asarray(high, float), (rows,)))
        self.count += rows

    def one(self, column: Any, value: Any, low: float, high: float) -> None:
        """Add one row."""
        column = np.asarray(column, np.int64)
        self.add(np.zeros(len(column)), column, value, low, high, 1)

    def matrix(self) -> tuple[Any, Array, Array]:
        """Give the rows as a sparse matrix (scipy CSR) and their limits."""
        from scipy.sparse import csr_matrix

        none = np.empty(0)
        entries = [np.concatenate([none, *part]) for part in (self._value, self._row, self._column)]
        shape = (self.count, self.columns)
        found = csr_matrix(
            (entries[0], (entries[1].astype(np.int64), entries[2].astype(np.int64))), shape
        )
        return found, np.concatenate([none, *self._low]), np.concatenate([none, *self._high])


@dataclass(slots=True)
class Program:
    """Maximise cost x within rows and limits, some columns whole."""

    cost: Array
    low: Array
    high: Array
    whole: Array  # bool
    rows: Rows
    start: Array | None = None  # a known solution
    fixed: dict[str, Any] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, eq=False)
class Solved:
    """What the solver found."""

    x: Array | None  # None where it found nothing
    value: float
    bound: float  # no solution is worth more
    duals: Array | None  # of the rows, where the program has no whole columns


def solve(
    program: Program,
    *,
    gap: float = 1e-4,
    seconds: float = 60.0,
    nodes: int = 1 << 30,
    seed: int = 1,
    relaxed: bool = False,
    enough: float | None = None,
    inner: bool = False,
    tell: Callable[[float, float], bool] | None = None,
) -> Solved:
    """Solve a program.

    Parameters
    ----------
    program : Program
        What to solve.
    gap : float
        Stop when bound and value are within this share of one another.
    seconds, nodes : float, int
        Limits; ``seconds`` is a guard, ``nodes`` keeps a run repeatable.
    relaxed : bool
        Let whole columns be broken.
    enough : float, optional
        Stop at a solution that is worth so much.
    inner : bool
        Solve from within, without a last step to a corner: quicker where only the duals of a
        broken program are wanted, of which any will do.
    tell : callable, optional
        Told the value and the bound as they get better; says whether to stop.
    """
    model = opened(program, gap, seconds, nodes, seed, relaxed)
    if enough is not None:
        model.setOptionValue("objective_target", enough)
    if inner:
        model.setOptionValue("solver", "ipm")
        model.setOptionValue("run_crossover", "off")
    if program.start is not None and not relaxed:
        _start(model, program.start)
    if tell is not None:
        _listen(model, tell)
    model.run()
    return read_out(model, relaxed)


@contextmanager
def unheard() -> Iterator[None]:
    """Keep the library's greeting, which no option turns off, out of what a command prints."""
    try:
        kept = os.dup(1)
        nowhere = os.open(os.devnull, os.O_WRONLY)
    except OSError:  # there is no output to keep it out of
        yield
        return
    try:
        sys.stdout.flush()
        os.dup2(nowhere, 1)
        yield
    finally:
        os.dup2(kept, 1)
        os.close(kept)
        os.close(nowhere)


def opened(
    program: Program, gap: float, seconds: float, nodes: int, seed: int, relaxed: bool
) -> Any:
    """Hand a program over to the library; give the library's model."""
    import highspy

    matrix, low, high = program.rows.matrix()
    with unheard():
        model: Any = highspy.Highs()  # type: ignore[no-untyped-call]
    for option, value in {
        "output_flag": False,
        "threads": 1,
        "random_seed": seed,
        "mip_rel_gap": gap,
        "time_limit": seconds,
        "mip_max_nodes": min(nodes, 2**31 - 1),
    }.items():
        model.setOptionValue(option, value)
    lp = highspy.HighsLp()
    lp.num_col_, lp.num_row_ = len(program.cost), matrix.shape[0]
    lp.col_cost_, lp.col_lower_, lp.col_upper_ = program.cost, program.low, program.high
    lp.row_lower_, lp.row_upper_ = low, high
    lp.sense_ = highspy.ObjSense.kMaximize
    lp.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
    lp.a_matrix_.start_ = matrix.indptr
    lp.a_matrix_.index_ = matrix.indices
    lp.a_matrix_.value_ = matrix.data
    if not relaxed and program.whole.any():
        kinds = (highspy.HighsVarType.kContinuous, highspy.HighsVarType.kInteger)
        lp.integrality_ = [kinds[int(w)] for w in program.whole]
    model.passModel(lp)
    return model


def _start(model: Any, x: Array) -> None:
    import highspy

    known = highspy.HighsSolution()
    known.col_value = list(map(float, x))
    known.value_valid = True
    model.setSolution(known)


def _listen(model: Any, tell: Callable[[float, float], bool]) -> None:
    def hear(event: Any) -> None:
        data = event.data_out
        if tell(float(data.mip_primal_bound), float(data.mip_dual_bound)):
            event.interrupt()

    model.cbMipInterrupt.subscribe(hear)


def read_out(model: Any, relaxed: bool) -> Solved:
    """Read what the library found."""
    import highspy

    info = model.getInfo()
    has = info.primal_solution_status == highspy.SolutionStatus.kSolutionStatusFeasible
    solution = model.getSolution()
    x = np.array(solution.col_value) if has else None
    value = float(info.objective_function_value) if has else -np.inf
    whole = any(k == highspy.HighsVarType.kInteger for k in model.getLp().integrality_)
    if whole and not relaxed:
        bound, duals = float(info.mip_dual_bound), None
    else:
        done = model.getModelStatus() == highspy.HighsModelStatus.kOptimal
        bound = value if done else np.inf
        duals = np.array(solution.row_dual) if done else None
    return Solved(x, value, bound, duals)
