"""A row of cells on a plane, and what a job asks of it."""

from types import SimpleNamespace

import numpy as np

from hillwright.watering.model import Rules
from hillwright.watering.stage import Asked

DEG = np.pi / 180
RULES = Rules(
    efficiency=0.81, windows=((14400.0, 32400.0),), weekdays=tuple(range(7)), longest_interval=7,
    surface_slope=0.0, rain_method="scs", rain_share=0.8, establishment=12 * 7 * 86400.0,
)  # fmt: skip
ASKED = Asked(
    place="Pasadena", weather=None, reference=(), rain=(), latitude=None, longitude=None,
    altitude=0.0, north=0.0, north_known=True, texture="sandy loam",
    texture_told=False, available=None, roots_below=0.0, emitters=2,
    emitter_flow=1 / 3.6e6, rules=RULES, landscape="residential", price=0.0,
)  # fmt: skip


def garden(n=6, width=0.6, run=0.45, slope=34.0, faces=180.0, depth=0.2):
    """Give n cells in one row on a plane that faces a compass bearing."""
    b, a = slope * DEG, faces * DEG
    down = np.array([np.sin(a) * np.cos(b), np.cos(a) * np.cos(b), -np.sin(b)])
    across = np.array([-np.cos(a), np.sin(a), 0.0])  # to the right, looking uphill
    corners = []
    for k in range(n):
        left = k * width * across
        right = left + width * across
        corners.append([left, right, right + run * down, left + run * down])
    return SimpleNamespace(
        corners=np.array(corners), row=np.ones(n, dtype=int), cell=SimpleNamespace(depth=depth)
    )
