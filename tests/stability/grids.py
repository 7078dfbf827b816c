"""Small layouts of cells for the tests of clips and anchors."""

import numpy as np


def grid(there, half_offset=False):
    """Row, number and clips of the cells that are there ((r, c) bool), and their grid places."""
    there = np.asarray(there, bool)
    places = np.argwhere(there)
    at = np.full(there.shape, -1)
    at[there] = np.arange(len(places))
    clips = []
    for i, j in places:
        if j + 1 < there.shape[1] and there[i, j + 1]:
            clips.append((at[i, j], at[i, j + 1]))
        # in half-offset bond every second row stands half a cell to the right
        above = [j + i % 2 - 1, j + i % 2] if half_offset else [j]
        clips += [
            (at[i - 1, k], at[i, j])
            for k in above
            if i and 0 <= k < there.shape[1] and there[i - 1, k]
        ]
    number = np.concatenate([np.arange(1, n + 1) for n in there.sum(axis=1)])
    return places[:, 0] + 1, number, np.array(clips, int).reshape(-1, 2), places


def hangs(there, half_offset=False):
    """Which of the cells lead up to row 1, along a row or upward, found one by one."""
    row, _, clips, places = grid(there, half_offset)
    held = row == 1
    for _ in range(len(row)):
        for a, b in clips:
            if row[a] == row[b]:
                held[a] = held[b] = held[a] or held[b]
            else:
                upper, lower = (a, b) if row[a] < row[b] else (b, a)
                held[lower] |= held[upper]
    kept = np.zeros_like(there)
    kept[tuple(places[held].T)] = True
    return kept
