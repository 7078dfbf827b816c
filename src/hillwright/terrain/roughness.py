"""How rough ground is, from the heights round a place."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright.errors import OutOfRange
from hillwright.method import method


class Roughness(NamedTuple):
    """Measures of one window of heights."""

    tri_riley: float
    tri_wilson: float
    tpi: float
    range: float
    detrended_rms: float


@method(
    title="Ruggedness, position and range of a window of heights",
    equation=(
        "TRI = sqrt(sum (z_i - z)^2) (Riley), mean |z_i - z| (Wilson); TPI = z - mean(z_i); "
        "range = max - min; detrended = RMS off the least-squares plane"
    ),
    source="Riley et al. 1999; Wilson et al. 2007 (from memory)",
)
def roughness_window(window: ArrayLike) -> Roughness:
    """Measure the heights round the middle of a window.

    Parameters
    ----------
    window : (n, n) array
        Heights, n odd and at least 3; rows either way up. [any]

    Returns
    -------
    tri_riley : float
        Root of the summed squares of the differences to the middle. [any]
    tri_wilson : float
        Mean difference to the middle. [any]
    tpi : float
        Middle less the mean of those round it: above zero on a hump. [any]
    range : float
        Highest less lowest. [any]
    detrended_rms : float
        RMS off the plane that fits best: roughness as grading meets it. [any]

    Raises
    ------
    OutOfRange
        Not a square window with a middle, or a height missing.

    Notes
    -----
    On a steep hill the first four mostly measure the slope; judge grading by the last.
    """
    z = np.asarray(window, float)
    if z.ndim != 2 or z.shape[0] != z.shape[1] or z.shape[0] < 3 or z.shape[0] % 2 == 0:
        raise OutOfRange(
            "window", f"heights of shape {z.shape}", "give as many rows as columns, 3, 5, 7 ..."
        )
    if not np.isfinite(z).all():
        raise OutOfRange("window", "a height is missing", "give a number at every place")
    n = len(z)
    middle = z[n // 2, n // 2]
    around = np.delete(z.ravel(), z.size // 2)
    difference = around - middle
    step = np.arange(n) - n // 2
    spread = n * float((step**2).sum())
    ax, ay = (z * step).sum() / spread, (z * step[:, None]).sum() / spread
    off = z - z.mean() - ax * step - ay * step[:, None]
    return Roughness(
        float(np.sqrt((difference**2).sum())),
        float(np.abs(difference).mean()),
        float(middle - around.mean()),
        float(z.max() - z.min()),
        float(np.sqrt((off**2).mean())),
    )
