"""A 24-hour storm at 1-minute steps on 500 and on 50,000 cells, with and without the grid.

Yardstick: the same balance in plain Python, one cell after another down the hill in every step, on
a part of the storm and scaled up. Both must agree on what leaves the hill.
"""

import math
import platform
import time

import numpy as np

from hillwright.runoff.cellstore import held_below, plan_area, slope_area
from hillwright.runoff.rowsoil import SoilWater, soils_of
from hillwright.runoff.rowstorm import storm_on_rows
from hillwright.runoff.spill import spill_paths

WALL, SOIL, WIDTH, RUN, SLOPE, CROSS = 0.2, 0.15, 0.6, 0.45, 0.5, 0.02
FILL, GROUND = SoilWater(0.41, 3e-6, 0.11, 0.2, 0.25), SoilWater(0.39, 3e-7, 0.2, 0.3)
PLAIN_STEPS = 120  # that the yardstick marches


def laid(rows, columns):
    """Give corners, rows and clips of a grid on a wavy slope, rows offset by half a cell."""
    down = RUN / math.hypot(1, SLOPE)
    i, j = (g.ravel() for g in np.mgrid[0:rows, 0:columns])
    x, y = j * WIDTH + WIDTH / 2 * (i % 2), -i * down
    px = np.stack((x, x + WIDTH, x + WIDTH, x), axis=1)
    py = np.stack((y, y, y - down, y - down), axis=1)
    pz = SLOPE * py + CROSS * px + 0.3 * np.sin(px / 3) * np.cos(py / 2)
    side = [np.stack((k, k + 1), axis=1) for k in (np.flatnonzero(j < columns - 1),)]
    for way in (0, 1):
        beside = j + np.where(i % 2, way, way - 1)
        ok = np.flatnonzero((i < rows - 1) & (beside >= 0) & (beside < columns))
        side.append(np.stack((ok, (i[ok] + 1) * columns + beside[ok]), axis=1))
    return np.stack((px, py, pz), axis=2), i + 1, np.concatenate(side)


def rain_of_a_day():
    t = np.arange(1440)
    rain = np.exp(-(((t - 720) / 120) ** 2)) + 0.05
    return 0.12 * rain / rain.sum()


def plain(corners, row, clips, rain):
    """March cell by cell; give what left in each step [m3]."""
    n, area = len(corners), plan_area(corners)
    wall = np.full(n, WALL)
    spill = spill_paths(corners, row, clips, wall)
    hold = held_below(corners, np.full(n, SOIL), np.zeros(n), spill.level) / area
    soils = soils_of(FILL, GROUND, SOIL * slope_area(corners) / area, hold, n)
    below = [[] for _ in range(n)]
    for a, b, share in zip(spill.source, spill.target, spill.share, strict=True):
        below[a].append((int(b), float(share * area[a] / area[b])))
    order = np.argsort(spill.order, kind="stable").tolist()
    s = {k: getattr(soils, k).tolist() for k in soils.__slots__}
    out_share = (spill.exits.sum(axis=0) * area).tolist()
    pond, soak, deep, through = [0.0] * n, [0.0] * n, [0.0] * n, [False] * n
    leaves = []

    def drinks(taken, k_dt, suction):
        a = taken - 0.5 * k_dt
        return math.sqrt(a * a + 2 * k_dt * (taken + suction)) - a

    for depth in rain.tolist():
        gets, gone = [depth] * n, 0.0
        for c in order:
            water = gets[c] + pond[c]
            if through[c]:
                k_dt = s["ground_conductivity"][c] * 60
                out = drinks(deep[c], k_dt, s["ground_suction"][c])
                fill_dt, wet = s["conductivity"][c] * 60, deep[c] / s["ground_room"][c]
                head = s["thick"][c] + wet + s["ground_suction"][c] / s["ground_room"][c]
                both = head * fill_dt * k_dt / (s["thick"][c] * k_dt + wet * fill_dt)
                faster = s["conductivity"][c] >= s["ground_conductivity"][c]
                out = min(out, both) if faster else out
                out = min(out, max(soak[c] - s["kept"][c], 0.0))
                soak[c] -= out
                deep[c] += out
                most = max(fill_dt, both) if faster else fill_dt
            else:
                most = drinks(soak[c], s["conductivity"][c] * 60, s["suction"][c])
            most = min(most, s["room"][c] - soak[c], water)
            soak[c] += most
            through[c] = through[c] or soak[c] >= s["room"][c] * (1 - 1e-12)
            water -= most
            over = max(water - s["hold"][c], 0.0)
            pond[c] = water - over
            if over:
                gone += over * out_share[c]
                for b, weight in below[c]:
                    gets[b] += over * weight
        leaves.append(gone)
    return np.array(leaves)


def main():
    print(f"Python {platform.python_version()}, numpy {np.__version__}")
    rain = rain_of_a_day()
    for rows, columns, turns in ((20, 25, 5), (200, 250, 2)):
        corners, row, clips = laid(rows, columns)
        times, found = [], None
        start = time.perf_counter()
        paths = spill_paths(corners, row, clips, np.full(len(corners), WALL))
        ways = time.perf_counter() - start
        for _ in range(turns):
            start = time.perf_counter()
            found = storm_on_rows(
                corners, row, clips, WALL, SOIL, FILL, GROUND, rain, 60.0, paths=paths
            )
            times.append(time.perf_counter() - start)
        storm = float(np.median(times))
        part = slice(660, 660 + PLAIN_STEPS) if len(corners) < 1000 else slice(718, 722)
        start = time.perf_counter()
        yard = plain(corners, row, clips, rain[part])
        plainly = (time.perf_counter() - start) / len(yard) * len(rain)
        same = storm_on_rows(
            corners, row, clips, WALL, SOIL, FILL, GROUND, rain[part], 60.0, paths=paths
        )
        left = (same.rows.toe + same.rows.left + same.rows.right) * 60
        off = np.abs(left - yard).max() / max(yard.max(), 1e-300)
        print(
            f"{len(corners)} cells, {len(rain)} steps: {storm:.3f} s with and without the grid "
            f"(and {ways:.3f} s once for the paths); plain Python, with the grid only: "
            f"{plainly:.1f} s; {plainly / storm:.0f} times as fast; differs by {off:.1e} of the "
            f"peak; balance {found.balance:.1e}"
        )


if __name__ == "__main__":
    main()
