"""Drip networks of 10,000 and 100,000 emitters, solved for the flow of each.

Yardstick: the EPANET engine's own solve call on the same network, read from the file that this
program writes. Both must give the same flows.
"""

import platform
import tempfile
import time
from importlib.metadata import version
from pathlib import Path

import numpy as np
from epanet import toolkit

from hillwright.irrigation.asked import water_plants
from hillwright.irrigation.combs import comb, comb_network
from hillwright.irrigation.solve import WATER_20C, prepare, solve
from hillwright.job.drip import DripText, SupplyText
from hillwright.layout.model import CellShape, Layout
from hillwright.sheets.inp import inp

HEAD, REPEATS = 20.0, 7


def network(emitters, exponent):
    """An emitter of 2 L/h every 0.3 m, 100 to a row, down a slope."""
    rows = emitters // 100
    manifold = 0.1 if emitters <= 10_000 else 0.3
    parts = comb(rows, 100, 0.3, 0.0136, manifold, 0.6, 0.05, 10.0)
    return comb_network(parts, rows, 2 / 3.6e6 / 10**exponent, exponent)


def best(work):
    times = []
    for _ in range(REPEATS):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return min(times)


def compare(exponent, least):
    net = network(10_000, exponent)
    made = prepare(net)
    found = solve(made, HEAD)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "net.inp"
        path.write_text(inp(net, found, "benchmark", WATER_20C))
        project = toolkit.createproject()
        toolkit.open(project, str(path), str(path.with_suffix(".rpt")), "")
        toolkit.openH(project)

        def yardstick():
            toolkit.initH(project, toolkit.INITFLOW)
            toolkit.runH(project)

        # in turn, so that a busy machine is busy for both
        ours, theirs = best(lambda: solve(made, HEAD)), best(yardstick)
        flows = np.array(
            [toolkit.getlinkvalue(project, i, toolkit.FLOW) for i in range(1, len(net.parent))]
        )
        toolkit.closeH(project)
        toolkit.close(project)
        toolkit.deleteproject(project)
    off = float(np.max(np.abs(flows / 6e4 / found.flow[1:] - 1)))
    assert off < 1e-4, off
    print(
        f"10,000 emitters, exponent {exponent}: {1e3 * ours:.1f} ms, {found.rounds} rounds; engine "
        f"{1e3 * theirs:.0f} ms; ratio {theirs / ours:.1f} (bar {least}); flows differ by {off:.1e}"
    )
    return theirs / ours >= least


def slope(rows, columns, width=0.6, run=0.45, fall=0.23, across=0.39):
    """A plain slope of cells, row 1 at the top."""
    line, column = np.divmod(np.arange(rows * columns), columns)
    x, y, z = column * width, -line * across, -line * fall
    steps = ((0, 0, 0), (width, 0, 0), (width, -across, -fall), (0, -across, -fall))
    corners = np.stack([np.stack([x + a, y + b, z + c], 1) for a, b, c in steps], 1)
    n, none, no = len(x), np.zeros(len(x)), np.zeros(len(x), bool)
    shape = CellShape(width, run, 0.2, False, 0.01, 2, 0.03, 0.05, 0.4, 5.0)
    seen = (none,) * 7
    rest = ((), (), np.zeros((2, 3)), "made", 0.0, n, n, n, 1, (), ())
    own = (line + 1, column + 1, np.ones(n, int), line == 0, no)
    return Layout(shape, corners, *own, *seen, np.empty((0, 2), int), *rest)


def main():
    held = [compare(0.5, 2), compare(0.05, 20)]
    for exponent in (0.5, 0.05):
        made = prepare(network(100_000, exponent))
        found = solve(made, HEAD)
        spent = best(lambda made=made: solve(made, HEAD))
        print(
            f"100,000 emitters, exponent {exponent}: {spent:.3f} s (bar 0.15 s); continuity "
            f"{found.continuity:.0e}"
        )
    cells = slope(25, 20)
    for kind in ("compensating", "turbulent"):
        wish = DripText(emitters=kind)

        def work(wish=wish):
            return water_plants(cells, None, SupplyText(), wish, (), (), 0.1)

        found, spent = work(), best(work)
        gaps = [(v.cost / v.bound - 1, v.pipe_cost / v.pipe_bound - 1) for v in found.valves]
        print(
            f"500 cells, {kind}: {len(found.valves)} valves routed, sized and solved twice in "
            f"{spent:.3f} s (bar 5 s); routes within {max(g[0] for g in gaps):.0%} of their bound, "
            f"pipe within {max(g[1] for g in gaps):.1%}"
        )
    print(
        f"numpy {np.__version__}, owa-epanet {version('owa-epanet')}, "
        f"Python {platform.python_version()}"
    )
    assert all(held), "below the bar"


if __name__ == "__main__":
    main()
