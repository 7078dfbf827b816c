"""500 candidate shifts of a grid of about 2,000 cells, and the proven best of all shifts.

Yardstick: one shapely box at a time, asked whether it lies within the outline, for every cell
about the outline; on some of the shifts and scaled up. Both must count the same.
"""

import platform
import time

import numpy as np
import shapely

from hillwright.layout.erosion import anchor_region
from hillwright.layout.fit import best_placing
from hillwright.layout.lattice import counts

WIDTH, RUN = 0.6, 0.45
SHIFTS, SAMPLE, REPEATS = 500, 4, 3


def lot():
    """An invented lot: a wavy outline of 144 corners and three round exclusions."""
    t = np.linspace(0, 2 * np.pi, 144, endpoint=False)
    outline = np.column_stack(
        (18 * np.cos(t) * (1 + 0.12 * np.sin(3 * t)), 11 * np.sin(t) * (1 + 0.1 * np.cos(5 * t)))
    )
    c = np.linspace(0, 2 * np.pi, 24, endpoint=False)
    ring = np.column_stack((np.cos(c), np.sin(c)))
    places = (((-8, 3), 1.1), ((4, -4), 0.8), ((9, 2), 1.5))
    return outline, [np.array(centre) + radius * ring for centre, radius in places]


def one_box_at_a_time(ground, offset, half_offset):
    """Count cells by asking of each box whether it is within."""
    low_u, low_v, high_u, high_v = ground.bounds
    du, dv = (float(x) for x in offset)
    found = 0
    for i in range(int((low_v - dv) // RUN), int((high_v - dv) // RUN) + 1):
        shift = du + (i % 2) * WIDTH / 2 * half_offset
        for j in range(int((low_u - shift) // WIDTH), int((high_u - shift) // WIDTH) + 1):
            u, v = shift + j * WIDTH, dv + i * RUN
            found += shapely.box(u, v, u + WIDTH, v + RUN).within(ground)
    return found


def main():
    outline, exclusions = lot()
    ground = shapely.Polygon(outline).difference(
        shapely.union_all([shapely.Polygon(e) for e in exclusions])
    )
    offsets = np.random.default_rng(1).uniform((0, 0), (WIDTH, RUN), (SHIFTS, 2))
    worst = 0.0
    ratio = np.inf
    for half_offset in (False, True):
        ours = []
        for _ in range(REPEATS):
            start = time.perf_counter()
            # wearing the outline down is part of the work: it is done once for all shifts
            E = anchor_region([outline], exclusions, WIDTH, RUN)
            each = counts(E, WIDTH, RUN, half_offset, offsets)
            ours.append(time.perf_counter() - start)
        start = time.perf_counter()
        slow = [one_box_at_a_time(ground, o, half_offset) for o in offsets[:SAMPLE]]
        theirs = (time.perf_counter() - start) / SAMPLE * SHIFTS
        assert each[:SAMPLE].tolist() == slow, "the two disagree"
        start = time.perf_counter()
        best = best_placing(E, WIDTH, RUN, half_offset)
        proof = time.perf_counter() - start
        assert each.max() <= best.count <= best.bound
        worst, ratio = max(worst, *ours), min(ratio, theirs / min(ours))
        print(
            f"{'half-offset' if half_offset else 'stacked':11}: {SHIFTS} shifts, "
            f"{each.min()} to {each.max()} cells: {min(ours):.4f} s; one box at a time "
            f"{theirs:.1f} s (from {SAMPLE}); ratio {theirs / min(ours):.0f}"
        )
        print(
            f"             best of all shifts {best.count}, bound {best.bound}, "
            f"{best.searched} searched: {proof:.3f} s"
        )
    print(
        f"Python {platform.python_version()}, numpy {np.__version__}, shapely "
        f"{shapely.__version__}, GEOS {shapely.geos_version_string}"
    )
    print(f"at least {ratio:.0f} times faster (bar 50), at most {worst:.3f} s (bar 1 s)")
    if ratio < 50 or worst > 1:
        raise SystemExit("the fit search has become too slow")


if __name__ == "__main__":
    main()
