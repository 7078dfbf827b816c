"""Net of 100,000 cells on a height field of 2,000 by 2,000 nodes.

Yardstick: the same two equations for each crossing, one crossing at a time, by scipy's root
finder (MINPACK hybr) with the exact Jacobian, on part of the net and scaled up.
"""

import platform
import time

import numpy as np
import scipy
from scipy.optimize import root

from hillwright.layout.lines import geodesic, square_to
from hillwright.layout.net import lay_net
from hillwright.terrain.heightfield import HeightField, Window

ACROSS, DOWN = 0.6, 0.45
COLUMNS, LINES = 317, 317  # crossings: 316 x 316 = 99,856 cells
SAMPLE = 20  # crossings a side that the yardstick solves


def hill(x, y):
    return 0.6 * y + 1.5 * np.sin(x / 25) * np.cos(y / 30) + 0.2 * np.sin(x / 6 + y / 9)


def one_by_one(field, nodes, size):
    """Solve the crossings next to the spine again, singly; give them with the time for one."""
    found = nodes[:size, :size].copy()
    found[1:, 1:] = np.nan
    start = time.perf_counter()
    for i in range(1, size):
        for j in range(1, size):
            beside, above = found[i, j - 1], found[i - 1, j]

            def lengths(p, beside=beside, above=above):
                z, zx, zy = (float(v[0]) for v in field.at(p[:1], p[1:]))
                a, b = np.array([*p, z]) - beside, np.array([*p, z]) - above
                jac = [[2 * (c[0] + c[2] * zx), 2 * (c[1] + c[2] * zy)] for c in (a, b)]
                return np.array([a @ a - ACROSS**2, b @ b - DOWN**2]), np.array(jac)

            guess = (beside + above - found[i - 1, j - 1])[:2]
            p = root(lengths, guess, jac=True, tol=1e-12).x
            found[i, j] = [*p, field.at(p[:1], p[1:])[0][0]]
    return found, (time.perf_counter() - start) / (size - 1) ** 2


def main():
    field = HeightField.sample(hill, Window(-110.0, -170.0, 0.11, 2000, 2000))
    field.at(np.zeros(1), np.zeros(1))  # padding is set-up
    start, heading = np.array([0.0, 0.0, 0.0]), np.array([1.0, 0.05])
    middle = COLUMNS // 2
    top = np.concatenate(
        (
            geodesic(field, start, -heading, ACROSS, middle)[:0:-1],
            geodesic(field, start, heading, ACROSS, COLUMNS - 1 - middle),
        )
    )
    spine = geodesic(field, start, square_to(field, start, heading), DOWN, LINES - 1)
    times = []
    for _ in range(3):
        begun = time.perf_counter()
        net = lay_net(field, top, middle, spine, None, ACROSS, DOWN)
        times.append(time.perf_counter() - begun)
    cells = (LINES - 1) * (COLUMNS - 1)
    laid = int(np.isfinite(net.nodes[..., 0]).sum())
    single, each = one_by_one(field, net.nodes[:, middle:], SAMPLE)
    apart = np.abs(single - net.nodes[:SAMPLE, middle : middle + SAMPLE]).max()
    print(f"python {platform.python_version()}, numpy {np.__version__}, scipy {scipy.__version__}")
    print(f"{cells:,} cells ({laid:,} crossings laid): {min(times):.2f} s (bar: 2 s)")
    print(
        f"scipy.optimize.root, one by one, {(SAMPLE - 1) ** 2} crossings: {each * 1e3:.2f} ms each"
    )
    print(f"ratio {each * cells / min(times):.0f} to 1; largest difference {apart:.1e} m")


if __name__ == "__main__":
    main()
