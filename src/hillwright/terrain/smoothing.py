"""What grading does to ground: bumps and dips shorter than its width go, the hill stays."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array, Mask
from hillwright.errors import OutOfRange
from hillwright.method import method

_REACH = 3.5  # of a Gaussian, in standard deviations; what is cut off weighs 0.05 %


def gaussian(values: Array, sigma: float) -> Array:
    """Smooth a grid with a Gaussian of ``sigma`` nodes; a plane comes back as it was.

    Beyond the border the grid goes on as its mirror image turned upside down, which keeps the
    trend of a hill where a plain mirror would flatten it.
    """
    reach = min(int(np.ceil(_REACH * sigma)), min(values.shape) - 1)
    if reach < 1 or sigma <= 0:
        return values
    k = np.arange(reach + 1)
    w = np.exp(-0.5 * (k / sigma) ** 2)
    w /= w[0] + 2 * w[1:].sum()
    padded = np.pad(values, reach, mode="reflect", reflect_type="odd")
    return _along_rows(_along_rows(padded, w).T, w).T


def _along_rows(padded: Array, w: Array) -> Array:
    """Weigh each row with its neighbours above and below."""
    reach = len(w) - 1
    n = len(padded) - 2 * reach
    out = w[0] * padded[reach : reach + n]
    both = np.empty_like(out)
    for k in range(1, reach + 1):
        np.add(padded[reach - k : reach - k + n], padded[reach + k : reach + k + n], out=both)
        both *= w[k]
        out += both
    return np.ascontiguousarray(out)


@method(
    title="Ground as grading leaves it",
    equation="z_graded = G z + G (z - G z), G a Gaussian of standard deviation = width",
    source="Tukey 1977, Exploratory Data Analysis (twicing) (from memory); "
    "the width is common practice, no source",
)
def graded_heights(heights: ArrayLike, step: float, width: float) -> Array:
    """Even ground out over a width.

    Parameters
    ----------
    heights : (ny, nx) array
        Ground on a square grid, none missing. [m]
    step : float
        Spacing of the grid. [m]
    width : float
        That grading evens out; nothing is done below half the spacing. [m]

    Returns
    -------
    (ny, nx) array
        Ground after grading. [m]

    Raises
    ------
    OutOfRange
        A missing height, or a width below zero.

    Notes
    -----
    The second pass gives back what the first took off a dome or put in a hollow: away from the
    border any quadratic comes back as it was, so the hill keeps its shape and only what is
    shorter than about three widths goes.
    """
    z = np.asarray(heights, float)
    if z.ndim != 2 or not np.isfinite(z).all():
        raise OutOfRange("heights", "a grid with heights missing", "give every height")
    if not (width >= 0 and step > 0):
        raise OutOfRange("width", f"{width:g} m is no width", "give a width of 0 or more")
    if width < step / 2:
        return z
    once = gaussian(z, width / step)
    return np.asarray(once + gaussian(z - once, width / step))


def filled_in(values: Array, out: Mask, sigma: float) -> Array:
    """Replace the nodes marked ``out`` by what the nodes round them say, nearer ones more."""
    weight = gaussian_weight((~out).astype(float), sigma)
    total = gaussian_weight(np.where(out, 0.0, values), sigma)
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.where(out & (weight > 1e-9), total / weight, values)


def gaussian_weight(values: Array, sigma: float) -> Array:
    """Sum a grid under a Gaussian, with nothing beyond its border."""
    reach = max(1, int(np.ceil(_REACH * sigma)))
    w = np.exp(-0.5 * (np.arange(reach + 1) / sigma) ** 2)
    padded = np.pad(values, reach)
    return _along_rows(_along_rows(padded, w).T, w).T
