"""100,000 places on a 2,000 by 2,000 heightfield, and the ground of a job of 150 points.

Yardstick: scipy's map_coordinates with cubic splines on coefficients made beforehand, which gives
heights alone; ours gives heights and gradients. For the job: scipy's own thin plate through the
same points, at the same nodes.
"""

import platform
import time

import numpy as np
import scipy
from scipy import interpolate, ndimage

from hillwright.job.site import Frame, Site, Spots
from hillwright.terrain.heightfield import HeightField
from hillwright.terrain.stage import make_surface

REPEATS = 5


def best(work):
    """Give the shortest of a few runs [s]."""
    times = []
    for _ in range(REPEATS):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return min(times)


def invented_site(n=150):
    rng = np.random.default_rng(1)
    xy = rng.uniform(0, 1, (n, 2)) * [34, 24] - 2
    z = 0.7 * xy[:, 1] + 0.3 * np.sin(xy[:, 0] / 3) * np.cos(xy[:, 1] / 2.5)
    names = tuple(str(i + 1) for i in range(n))
    spots = Spots(names, np.column_stack([xy, z + rng.normal(0, 0.02, n)]), names, (), 0.02)
    outline, none = np.array([[0, 0], [30, 0], [30, 20], [0, 20.0]]), np.empty((0, 2))
    frame = Frame(0.0, 0.0, 1.0, 1.0, "m", "", 0.0, "invented")
    return Site(
        spots, frame, outline, "outline", (), None, None, (None, None), none, None, none, none
    )


def main():
    rng = np.random.default_rng(2)
    field = HeightField(0.0, 0.0, 1.0, rng.random((2000, 2000)))
    x, y = rng.uniform(0, 1999, (2, 100_000))
    coefficients = ndimage.spline_filter(field.heights)
    ours = best(lambda: field.at(x, y))
    theirs = best(lambda: ndimage.map_coordinates(coefficients, [y, x], prefilter=False))
    print(f"100,000 places with gradients {ours * 1e3:.0f} ms, yardstick {theirs * 1e3:.0f} ms")
    print(f"ratio {theirs / ours:.2f}")

    site = invented_site()
    surface = make_surface(site, 0.6096, 0.4572, 0.0508, None)
    nodes = np.column_stack([g.ravel() for g in surface.ground.window.mesh()])
    xyz = site.measured.xyz
    ours = best(lambda: make_surface(site, 0.6096, 0.4572, 0.0508, None))
    theirs = best(lambda: interpolate.RBFInterpolator(xyz[:, :2], xyz[:, 2])(nodes))
    print(f"ground of 150 points {ours * 1e3:.0f} ms, yardstick {theirs * 1e3:.0f} ms")
    print(f"ratio {theirs / ours:.1f}")
    print(f"numpy {np.__version__}, scipy {scipy.__version__}, Python {platform.python_version()}")


if __name__ == "__main__":
    main()
