"""Three sections with 2,000 trial circles each, by Bishop's method in 40 slices; and the search.

Yardstick: xslope (Apache-2.0), an open slope program for Python, cutting and solving the same
circles one by one in as many slices. The factors of both are held against each other.
"""

import platform
import time
from importlib.metadata import version
from pathlib import Path

import numpy as np
from shapely.geometry import LineString, Polygon
from xslope.slice import generate_slices
from xslope.solve import bishop as theirs_bishop

from hillwright.job.read import open_job
from hillwright.plan import work_out
from hillwright.stability import trial
from hillwright.stability.critical import critical_on
from hillwright.stability.section import section
from hillwright.stability.stage import assess

CIRCLES, SLICES, REPEATS, YARDSTICK = 2000, 40, 5, 60
WATER = 9.81  # kN/m3

# EX1(a) and EX1(c) of the ACADS review (Giam and Donald 1989) and the latter with water, an
# invented line; lengths in m, strengths in kPa, weights in kN/m3
GROUND = [(20, 25), (30, 25), (50, 35), (70, 35)]
LINES = [
    [(20, 25), (30, 25), (40, 27), (50, 29), (54, 31), (70, 31)],
    [(20, 25), (30, 25), (40, 27), (52, 24), (70, 24)],
]
LEVEL = [(20, 25), (30, 25), (50, 30), (70, 31)]
ONE = ([3.0], [19.6], [20.0])
THREE = ([0.0, 5.3, 7.2], [38.0, 23.0, 20.0], [19.5, 19.5, 19.5])
SECTIONS = {
    "one soil": (ONE, [], None),
    "three": (THREE, LINES, None),
    "wet": (THREE, LINES, LEVEL),
}


def ours(soils, lines, level):
    c, phi, weight = (np.array(v) for v in soils)
    wet = {} if level is None else {"water_line": level, "water_unit_weight": WATER * 1e3}
    return section(
        GROUND, c * 1e3, np.radians(phi), weight * 1e3, layer_lines=lines, base=20.0, **wet
    )


def theirs(soils, lines, level):
    tops = [GROUND, *lines]
    floors = [*lines, [(20, 20), (70, 20)]]
    materials = [
        {"name": f"soil {i}", "c": c, "phi": phi, "gamma": g, "gamma_sat": g, "option": "mc"}
        | {"u": "none" if level is None else "piezo", "d": 0.0, "psi": 0.0}
        for i, (c, phi, g) in enumerate(zip(*soils, strict=True))
    ]
    zones = [
        Polygon([*top, *floor[::-1]]).buffer(0) for top, floor in zip(tops, floors, strict=True)
    ]
    return {
        "materials": materials,
        "polygons": [{"polygon": zone, "mat_id": i} for i, zone in enumerate(zones)],
        "ground_surface": LineString(GROUND),
        "domain_polygon": Polygon([*GROUND, (70, 20), (20, 20)]),
        "piezo_line": level or [],
        "gamma_water": WATER,
        "tcrack_depth": 0.0,
        "tcrack_water": 0.0,
        "k_seismic": 0.0,
        "dloads": [],
        "dloads2": [],
        "reinforce_lines": [],
        "pile_lines": [],
    }


def trials(given, count):
    """Give circles of all sizes that slide, the same every time."""
    rng = np.random.default_rng(3)
    space = trial.of(given)
    n = 4 * count
    x1, x2 = rng.uniform(space.left, 45, n), rng.uniform(40, space.right, n)
    at = np.column_stack([x1, x2, rng.uniform(0.15, 0.9, n)])
    circles, _ = trial.place(space, at, np.full(n, trial.FREE, np.intp))
    good = np.isfinite(trial.rate(space, circles, trial.named("bishop"), SLICES))
    return space, circles.take(np.flatnonzero(good)[:count])


def best(work, repeats=REPEATS):
    """Give the shortest of a few runs [s]."""
    times = []
    for _ in range(repeats):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return min(times)


def one_by_one(model, circles):
    found = []
    for x, z, r in zip(circles.x, circles.z, circles.radius, strict=True):
        circle = {"Xo": x, "Yo": z, "R": r, "Depth": z - r}
        done, given = generate_slices(
            model, circle=circle, num_slices=SLICES, debug=False, check_inputs=False
        )
        solved, answer = theirs_bishop(given[0]) if done else (False, {})
        found.append(answer["FS"] if solved else np.nan)
    return np.array(found)


def main():
    total, ratios = 0.0, []
    rating = trial.named("bishop")
    for name, what in SECTIONS.items():
        given, model = ours(*what), theirs(*what)
        space, circles = trials(given, CIRCLES)
        assert len(circles) == CIRCLES, len(circles)
        spent = best(lambda s=space, c=circles: trial.rate(s, c, rating, SLICES))
        few = circles.take(np.linspace(0, CIRCLES - 1, YARDSTICK).astype(int))
        start = time.perf_counter()
        yardstick = one_by_one(model, few)
        each = (time.perf_counter() - start) / YARDSTICK
        mine = trial.rate(space, few, rating, SLICES)
        off = np.nanmax(np.abs(mine / yardstick - 1))
        assert np.isfinite(yardstick).mean() > 0.9
        assert off < 0.005, off
        total += spent
        ratios.append(each / (spent / CIRCLES))
        print(
            f"{name}: {spent / CIRCLES * 1e6:.1f} us a circle, yardstick {each * 1e6:.0f} us, "
            f"ratio {ratios[-1]:.0f}; factors differ by {off:.2%} at most"
        )
    print(f"3 sections of {CIRCLES} circles: {total:.3f} s; ratio {min(ratios):.0f} or more")
    sections = [ours(*what) for what in SECTIONS.values()]
    spent = best(lambda: [critical_on(s) for s in sections])
    tried = sum(critical_on(s).tried for s in sections)
    print(f"critical circles of 3 sections, Bishop and Spencer, {tried} circles: {spent:.3f} s")
    plan = work_out(open_job(Path(__file__).parents[1] / "examples" / "long-meadow" / "job.toml"))
    of_job = (plan.surface, plan.layout, plan.job.soil, plan.job.checklist, plan.job.holding)
    spent = best(lambda: assess(*of_job))
    found = assess(*of_job)
    print(
        f"the whole stage on {plan.layout.count} cells, {len(found.map.xy)} places of the map with "
        f"2,000 samples each and {sum(c.tried for c in found.circles)} circles: {spent:.3f} s"
    )
    print(f"numpy {np.__version__}, xslope {version('xslope')}, Python {platform.python_version()}")


if __name__ == "__main__":
    main()
