"""What a set-out says of itself: the working of each row's start, and where to take care."""

from __future__ import annotations

import numpy as np

from hillwright.arrays import Array, Mask
from hillwright.layout.groundtapes import BENT, bent_by
from hillwright.layout.stations import station_offset
from hillwright.layout.stretches import Stretches, distance_from_string, foot_on_string
from hillwright.layout.tapes import FLATTEST, SHARPEST, slope_distance
from hillwright.layout.tolerances import ANCHOR, STAKE
from hillwright.method import Method, Number, Working
from hillwright.terrain.model import Ground

_WAY = ("dx", "dy", "dz")


def poor_points(found: Stretches, angle: Array, sigma: Array) -> tuple[str, ...]:
    """Name the ends that two tapes set poorly: (r, 2) meeting angles and standard errors."""
    said = []
    if _any(poor := (angle < SHARPEST) | (angle > FLATTEST)):
        said.append(
            f"The tapes meet outside 30 to 150 degrees at {_ends(found, poor)}: set these by "
            "station and offset."
        )
    if _any(poor := sigma > STAKE):
        said.append(
            f"Two tapes set {_ends(found, poor)} no better than {1e3 * STAKE:.0f} mm (one standard "
            "error): set these by station and offset."
        )
    top = (found.row == found.row.min(initial=1))[:, None]
    if _any(poor := (sigma > ANCHOR) & (sigma <= STAKE) & top):
        said.append(
            f"Anchors of the top row at {_ends(found, poor)} come out no better than "
            f"{1e3 * ANCHOR:.0f} mm: pull the top string first and set them on it."
        )
    return tuple(said)


def lifted(ground: Ground, found: Stretches, ends: Array, a: Array, b: Array) -> tuple[str, ...]:
    """Say which taut tapes from the pegs to the ends (r, 2, 3) would lie bent over a hump."""
    if not len(ends):
        return ()
    flat = ends.reshape(-1, 3)
    worst, where, count = 0.0, "", 0
    for name, peg in (("A", a), ("B", b)):
        hump, long = bent_by(ground, peg, flat)
        bent = long > BENT
        count += int(bent.sum())
        k = int(np.argmax(np.where(bent, hump, 0)))
        if bent[k] and hump[k] > worst:
            worst, where = float(hump[k]), f"{name} to {found.name[k // 2]}-{'SE'[k % 2]}"
    if not count:
        return ()
    tapes = f"{count} tape" if count == 1 else f"{count} tapes"
    return (
        f"The ground stands in the line of {tapes}, most from {where} ({worst:.2f} m): hold "
        "both ends equally high over their points so that the tape runs free, or use station and "
        "offset.",
    )


def row_workings(
    found: Stretches, start: Array, a: Array, b: Array, base_line: Array, string: Array
) -> tuple[Working, ...]:
    """Give the working of every figure of each row's start."""
    if not len(start):
        return ()
    station, offset = station_offset(base_line[0], base_line[1], start)
    foot = foot_on_string(string, start)
    by_method = _method(station_offset)
    way = (base_line[1] - base_line[0])[:2]
    bearing = float(np.mod(np.arctan2(way[0], way[1]), 2 * np.pi))
    found_workings = []
    for i, name in enumerate(found.name):
        thing = f"setout.row.{name[1:].lstrip('0')}"
        for tape, peg in (("tape_a", a), ("tape_b", b)):
            found_workings.append(
                _taped(f"{thing}.{tape}", start[i] - peg, f"from peg {tape[-1].upper()}")
            )
        east, north = (start[i] - base_line[0])[:2].tolist()
        for figure, value, equation, note in (
            ("station", station[i], "station = E sin(b) + N cos(b)", ""),
            ("offset", offset[i], "offset = E cos(b) - N sin(b)", "right of the line is positive"),
        ):
            found_workings.append(
                Working(
                    f"{thing}.{figure}",
                    by_method.title,
                    equation,
                    (
                        Number("E, east of the line's start", east, "m"),
                        Number("N, north of it", north, "m"),
                        Number("b, bearing of the line", bearing, "rad"),
                    ),
                    Number(figure, float(value), "m"),
                    by_method.source,
                    note,
                )
            )
        away = start[i] - foot[i]
        source = _method(distance_from_string)
        found_workings.append(
            Working(
                f"{thing}.from_string",
                source.title,
                source.equation,
                tuple(Number(k, v, "m") for k, v in zip(_WAY, away.tolist(), strict=True)),
                Number("d", float(np.linalg.norm(away)), "m"),
                source.source,
                "from F, the nearest place of the top string, its ends drawn on",
            )
        )
    return tuple(found_workings)


def _taped(figure: str, way: Array, note: str) -> Working:
    given: dict[str, float | int | str] = dict(zip(_WAY, way.tolist(), strict=True))
    return Working.of(figure, slope_distance, given, float(slope_distance(*way)), note=note)


def _method(function: object) -> Method:
    found: Method = function.method  # type: ignore[attr-defined]
    return found


def _any(poor: Mask) -> bool:
    return bool(poor.any())


def _ends(found: Stretches, poor: Mask) -> str:
    """Name the first few ends of (r, 2) that are meant."""
    named = [f"{found.name[i]}-{'SE'[k]}" for i, k in np.argwhere(poor)]
    return ", ".join(named[:6]) + (f" and {len(named) - 6} more" if len(named) > 6 else "")
