"""Convex falling lines: cost by head, added and drawn together exactly."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from hillwright.arrays import Array


@dataclass(frozen=True, slots=True, eq=False)
class Line:
    """A convex piecewise linear cost over head: where it starts, and its pieces from there on.

    Left of ``start`` nothing is possible; past the last piece more head saves nothing. ``save``
    is what one metre of head saves in each piece, falling; the option that each corner stands for
    is kept with a link's own line.
    """

    start: float
    cost: float  # at the start
    width: Array  # (k,) of each piece [m]
    save: Array  # (k,) > 0, falling
    corner: Array  # (k+1,) number of the option at each corner; empty for lines of several links
    options: int = 0

    @classmethod
    def free(cls, start: float) -> Line:
        """Give a line that costs nothing from ``start`` on."""
        none = np.empty(0)
        return cls(start, 0.0, none, none, none)

    @classmethod
    def of_options(cls, loss: Array, cost: Array) -> Line:
        """Give the line below one link's options: its cost by the head it may lose."""
        order = np.lexsort((cost, loss))
        hull: list[int] = []
        for k in order.tolist():
            if hull and cost[k] >= cost[hull[-1]]:
                continue
            while len(hull) > 1 and (cost[hull[-1]] - cost[hull[-2]]) * (
                loss[k] - loss[hull[-2]]
            ) >= (cost[k] - cost[hull[-2]]) * (loss[hull[-1]] - loss[hull[-2]]):
                hull.pop()
            hull.append(k)
        x, y = loss[hull], cost[hull]
        width = np.diff(x)
        return cls(
            float(x[0]), float(y[0]), width, -np.diff(y) / width, np.array(hull, float), len(loss)
        )

    def plus(self, *others: Line) -> Line:
        """Add lines of what hangs on one node: all see the same head."""
        lines = (self, *others)
        start = max(line.start for line in lines)
        cost, corners = 0.0, [0.0]
        slopes: list[tuple[Array, Array]] = []
        for line in lines:
            edges = line.start + np.concatenate([[0.0], np.cumsum(line.width)])
            spent = np.clip(start - edges[:-1], 0.0, line.width)
            cost += line.cost - float(spent @ line.save)
            left = np.maximum(edges - start, 0.0)
            slopes.append((left, line.save))
            corners += left.tolist()
        grid = np.unique(np.array(corners))
        middle = (grid[1:] + grid[:-1]) / 2
        save = np.zeros(len(middle))
        for left, each in slopes:
            if len(each):
                at = np.searchsorted(left, middle, side="right") - 1
                save += np.where(at < len(each), each[np.minimum(at, len(each) - 1)], 0.0)
        widths = np.diff(grid)
        good = (save > 0) & (widths > 0)
        return Line(start, cost, widths[good], save[good], np.empty(0))

    def after(self, link: Line) -> Line:
        """Put a link before this line: the head is shared where a metre of it saves most."""
        width = np.concatenate([self.width, link.width])
        save = np.concatenate([self.save, link.save])
        order = np.argsort(-save, kind="stable")
        return Line(
            self.start + link.start, self.cost + link.cost, width[order], save[order], np.empty(0)
        )

    def spend(self, link: Line, head: float) -> float:
        """Give the head that the link loses where ``head`` stands before it."""
        spare = head - self.start - link.start
        width = np.concatenate([link.width, self.width])
        save = np.concatenate([link.save, self.save])
        order = np.argsort(-save, kind="stable")
        used = np.clip(
            spare - np.concatenate([[0.0], np.cumsum(width[order])[:-1]]), 0.0, width[order]
        )
        return float(link.start + used[order < len(link.width)].sum())

    def parts(self, lost: float) -> tuple[Array, float]:
        """Give the share of each option of a link that loses ``lost``, and its cost."""
        found = np.zeros(self.options)
        left = lost - self.start
        cost = self.cost
        for k, (width, save) in enumerate(zip(self.width, self.save, strict=True)):
            if left < width * (1 - 1e-12):
                part = max(left, 0.0) / width
                found[int(self.corner[k])] += 1 - part
                found[int(self.corner[k + 1])] += part
                return found, cost - part * width * save
            left -= width
            cost -= width * save
        found[int(self.corner[-1])] += 1
        return found, cost
