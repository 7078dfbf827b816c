"""Heights on a square grid, read anywhere between the nodes with a smooth gradient."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np

from hillwright.arrays import Array, frozen
from hillwright.errors import OutOfRange
from hillwright.method import method

_BLOCK = 1 << 14  # places read at once: small enough that the sixteen gathers stay in cache
_FEW = 600  # up to so many places the calls cost more than the sums


@dataclass(frozen=True, slots=True)
class Window:
    """Where the nodes of a field stand: nx by ny nodes, ``step`` apart, from x0, y0."""

    x0: float  # of the south-west node [m]
    y0: float  # [m]
    step: float  # [m]
    nx: int
    ny: int

    @property
    def x(self) -> Array:
        """(nx,) easting of each column [m]."""
        return np.asarray(self.x0 + self.step * np.arange(self.nx), float)

    @property
    def y(self) -> Array:
        """(ny,) northing of each row [m]."""
        return np.asarray(self.y0 + self.step * np.arange(self.ny), float)

    def mesh(self) -> tuple[Array, Array]:
        """(ny, nx) easting and northing of each node [m]."""
        x, y = np.meshgrid(self.x, self.y)
        return x, y


@dataclass(frozen=True, eq=False)
class HeightField:
    """Ground as heights on a square grid; ``heights[j, i]`` stands at x0 + i step, y0 + j step.

    Between the nodes it is bicubic convolution: through every node, with a continuous gradient,
    and exact on any quadratic up to the border.
    """

    x0: float  # of heights[0, 0] [m]
    y0: float  # [m]
    step: float  # spacing both ways, rows go north [m]
    heights: Array  # (ny, nx) [m]

    def __post_init__(self) -> None:
        heights = np.asarray(self.heights, float)
        if heights.ndim != 2 or min(heights.shape) < 2:
            raise OutOfRange(
                "heights", f"a grid of shape {heights.shape}", "give at least 2 by 2 heights"
            )
        if not (self.step > 0 and np.isfinite(self.step)):
            raise OutOfRange("step", "no spacing between the heights", "give a spacing above 0")
        object.__setattr__(self, "heights", frozen(heights))

    @cached_property
    def padded(self) -> Array:
        """(ny + 2, nx + 2) the heights with one node more on every side [m]."""
        return frozen(pad_quadratic(self.heights))

    def __reduce__(self) -> tuple[Any, ...]:
        # the padding is worked out again, so a pickle is no larger than the heights
        return type(self), (self.x0, self.y0, self.step, self.heights)

    @classmethod
    def sample(cls, function: Callable[[Array, Array], Array], window: Window) -> HeightField:
        """Make a field of any z(x, y) [m] by reading it at the nodes of a window."""
        x, y = window.mesh()
        heights = np.broadcast_to(np.asarray(function(x, y), float), x.shape)
        return cls(window.x0, window.y0, window.step, heights)

    @property
    def window(self) -> Window:
        """Where the nodes stand."""
        ny, nx = self.heights.shape
        return Window(self.x0, self.y0, self.step, nx, ny)

    def at(self, x: Array, y: Array) -> tuple[Array, Array, Array]:
        """Give height and gradient at places in plan; not a number outside the field.

        Parameters
        ----------
        x, y : (...) array
            Places in plan. [m]

        Returns
        -------
        tuple of (...) array
            Height [m], dz/dx and dz/dy [-].
        """
        u = (np.asarray(x, float) - self.x0) / self.step
        v = (np.asarray(y, float) - self.y0) / self.step
        z, p, q = bicubic(self.padded, u, v)
        return z, p / self.step, q / self.step

    def on(self, x: Array, y: Array) -> Array:
        """(len(y), len(x)) heights at the crossings of columns x and rows y [m].

        Columns and rows are done one after the other, so a whole grid costs little.
        """
        kx, wx = _taps((np.asarray(x, float) - self.x0) / self.step, self.heights.shape[1])
        ky, wy = _taps((np.asarray(y, float) - self.y0) / self.step, self.heights.shape[0])
        rows = sum(wy[j][:, None] * self.padded[ky + j] for j in range(4))
        turned = np.ascontiguousarray(np.asarray(rows).T)
        return np.asarray(sum(wx[i][:, None] * turned[kx + i] for i in range(4))).T

    def gradient(self) -> tuple[Array, Array]:
        """(ny, nx) dz/dx and dz/dy at the nodes, as :meth:`at` gives them there [-]."""
        a = self.padded
        p = (a[1:-1, 2:] - a[1:-1, :-2]) / (2 * self.step)
        q = (a[2:, 1:-1] - a[:-2, 1:-1]) / (2 * self.step)
        return p, q


@method(
    title="Height between the nodes of a grid",
    equation="z = sum of w(s) z_k over 4 by 4 nodes; w(s) = 3/2|s|^3 - 5/2|s|^2 + 1 for |s| < 1, "
    "-1/2|s|^3 + 5/2|s|^2 - 4|s| + 2 for 1 < |s| < 2",
    source="Keys 1981, Cubic convolution interpolation for digital image processing (from memory)",
)
def grid_height(heights: Array, step: float, x: Array, y: Array) -> Array:
    """Read a grid of heights between its nodes by bicubic convolution.

    Parameters
    ----------
    heights : (ny, nx) array
        Rows go north, the first at y = 0; columns go east, the first at x = 0. [m]
    step : float
        Spacing of the nodes both ways. [m]
    x, y : (...) array
        Places in plan from the south-west node. [m]

    Returns
    -------
    (...) array
        Height; not a number outside the grid. [m]

    Notes
    -----
    Exact on quadratics; on other smooth ground the error falls with the cube of the spacing.
    """
    return HeightField(0.0, 0.0, step, np.asarray(heights, float)).at(x, y)[0]


def pad_quadratic(heights: Array) -> Array:
    """Add one node on every side, going on with the quadratic through the last three."""
    for axis in (0, 1):
        a = np.moveaxis(heights, axis, 0)
        if len(a) > 2:
            first, last = 3 * a[0] - 3 * a[1] + a[2], 3 * a[-1] - 3 * a[-2] + a[-3]
        else:
            first, last = 2 * a[0] - a[1], 2 * a[-1] - a[-2]
        heights = np.moveaxis(np.concatenate([first[None], a, last[None]]), 0, axis)
    return np.ascontiguousarray(heights)


def _weights(t: Array) -> tuple[tuple[Array, ...], tuple[Array, ...]]:
    """Keys' weights of four neighbours and their derivatives, at t past the second (0 to 1)."""
    t2 = t * t
    t3 = t2 * t
    w = (
        t2 - 0.5 * (t + t3),
        1 - 2.5 * t2 + 1.5 * t3,
        0.5 * t + 2 * t2 - 1.5 * t3,
        0.5 * (t3 - t2),
    )
    d = (
        2 * t - 0.5 - 1.5 * t2,
        4.5 * t2 - 5 * t,
        0.5 + 4 * t - 4.5 * t2,
        1.5 * t2 - t,
    )
    return w, d


def _taps(u: Array, n: int) -> tuple[Any, tuple[Array, ...]]:
    k = np.clip(np.floor(u), 0, n - 2).astype(np.intp)
    return k, _weights(u - k)[0]


def bicubic(padded: Array, u: Array, v: Array) -> tuple[Array, Array, Array]:
    """Read a padded grid and its derivatives at column u and row v (in nodes of the bare grid).

    Parameters
    ----------
    padded : (ny + 2, nx + 2) array
        As :func:`pad_quadratic` gives it.
    u, v : (...) array
        Column and row, 0 to nx - 1 and 0 to ny - 1; not a number comes back outside.

    Returns
    -------
    tuple of (...) array
        Value, and its derivatives per column and per row.
    """
    u, v = np.broadcast_arrays(u, v)
    shape = u.shape
    u, v = u.ravel(), v.ravel()
    if u.size <= _FEW:
        z, p, q = _read_few(padded, u, v)
        return z.reshape(shape), p.reshape(shape), q.reshape(shape)
    z, p, q = (np.empty(u.size) for _ in range(3))
    for start in range(0, u.size, _BLOCK):
        part = slice(start, start + _BLOCK)
        z[part], p[part], q[part] = _read(padded, u[part], v[part])
    return z.reshape(shape), p.reshape(shape), q.reshape(shape)


def _read(padded: Array, u: Array, v: Array) -> tuple[Array, Array, Array]:
    rows, columns = padded.shape
    nx, ny = columns - 2, rows - 2
    slack = 1e-9 * max(nx, ny)
    with np.errstate(invalid="ignore"):
        outside = ~((u >= -slack) & (u <= nx - 1 + slack) & (v >= -slack) & (v <= ny - 1 + slack))
    if any_outside := bool(outside.any()):
        u, v = np.where(outside, 0.0, u), np.where(outside, 0.0, v)
    i = np.clip(u.astype(np.intp), 0, nx - 2)
    j = np.clip(v.astype(np.intp), 0, ny - 2)
    wx, dx = _weights(u - i)
    wy, dy = _weights(v - j)
    flat = padded.ravel()
    k = j * columns + i
    z, p, q = np.zeros(u.size), np.zeros(u.size), np.zeros(u.size)
    for row in range(4):
        four = [flat.take(k + (row * columns + c)) for c in range(4)]
        value = wx[0] * four[0] + wx[1] * four[1] + wx[2] * four[2] + wx[3] * four[3]
        z += wy[row] * value
        q += dy[row] * value
        p += wy[row] * (dx[0] * four[0] + dx[1] * four[1] + dx[2] * four[2] + dx[3] * four[3])
    if any_outside:
        z[outside] = p[outside] = q[outside] = np.nan
    return z, p, q


# rows: the weights of the four neighbours, then their derivatives; columns: 1, t, t^2, t^3
_KEYS = np.array(
    [
        [0.0, -0.5, 1.0, -0.5],
        [1.0, 0.0, -2.5, 1.5],
        [0.0, 0.5, 2.0, -1.5],
        [0.0, 0.0, -0.5, 0.5],
        [-0.5, 2.0, -1.5, 0.0],
        [0.0, -5.0, 4.5, 0.0],
        [0.5, 4.0, -4.5, 0.0],
        [0.0, -1.0, 1.5, 0.0],
    ]
)


def _read_few(padded: Array, u: Array, v: Array) -> tuple[Array, Array, Array]:
    """Do as :func:`_read` in few calls: for the lines and fronts that ask a thousand times."""
    rows, columns = padded.shape
    last = np.array([[columns - 3.0], [rows - 3.0]])
    uv = np.stack((u, v))
    with np.errstate(invalid="ignore"):
        inside = (np.abs(2 * uv - last) <= last + 2e-9 * last.max()).all(axis=0)
    everywhere = bool(inside.all())
    if not everywhere:
        uv[:, ~inside] = 0.0
    ij = np.maximum(np.minimum(uv.astype(np.intp), last.astype(np.intp) - 1), 0)
    powers = np.empty((4, uv.size))
    powers[0], powers[1] = 1.0, (uv - ij).ravel()
    np.multiply(powers[1], powers[1], out=powers[2])
    np.multiply(powers[1], powers[2], out=powers[3])
    w = (_KEYS @ powers).reshape(2, 4, 2, u.size)  # value or derivative, neighbour, axis, place
    near = ij[1] * columns + ij[0] + (np.arange(4)[:, None] * columns + np.arange(4)).reshape(16, 1)
    four = padded.ravel().take(near).reshape(4, 4, u.size)
    along = np.einsum("rcn,dcn->drn", four, w[:, :, 0])
    z = np.einsum("rn,rn->n", along[0], w[0, :, 1])
    p = np.einsum("rn,rn->n", along[1], w[0, :, 1])
    q = np.einsum("rn,rn->n", along[0], w[1, :, 1])
    if not everywhere:
        z[~inside] = p[~inside] = q[~inside] = np.nan
    return z, p, q
