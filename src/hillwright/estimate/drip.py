"""Parts of the drip network in the order; tubing as the pieces that are cut and laid."""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from typing import NamedTuple

import numpy as np

from hillwright.estimate.model import TakeoffLine
from hillwright.estimate.trace import by_row, named
from hillwright.irrigation.fittings import Fitting, fittings_of
from hillwright.irrigation.model import Irrigation, Valve
from hillwright.layout.model import Layout
from hillwright.method import Number, Working

STEP = 0.005  # pieces are cut to so much [m]
_PARTS = {"header": "header", "lateral": "laterals", "small": "emitters", "tap": "header"}
_SMALL = ("emitter", "punched", "stake", "check valve", "flush end", "tee", "cross", "elbow",
          "reducer")  # fmt: skip


class Piece(NamedTuple):
    """One length of tubing between two fittings."""

    length: float  # as drawn [m]
    name: str  # of the pipe, in words
    row: int  # that it lies in, 0 for the header


def drip_lines(irrigation: Irrigation, layout: Layout) -> tuple[list[TakeoffLine], list[Working]]:
    """Give a line for each part, with the cells or the pipes that it came from."""
    lines, kept = [], [p for p in irrigation.parts if not p.item.startswith("tubing, ")]
    joints: defaultdict[str, list[tuple[Valve, Fitting]]] = defaultdict(list)
    for v in irrigation.valves:
        for f in fittings_of(v):
            joints[f.item].append((v, f))
    for part in kept:
        cells = np.zeros(0, np.intp)
        rows: tuple[tuple[int, float], ...] = ()
        if part.item.startswith(("emitter", "stake", "punched")):
            kind = part.item.removeprefix("emitter, ") if part.item.startswith("emitter") else ""
            each = _cells(irrigation, kind)
            cells = np.unique(each)
            rows = by_row(layout, np.bincount(each, minlength=len(layout.row)))
        elif part.item in joints:
            rows = tuple(sorted(Counter(f.row for _, f in joints[part.item] if f.row).items()))
        small = part.item.startswith(_SMALL)
        mine = joints.get(part.item, ())
        work = "emitters" if cells.size else "laterals" if rows else "header"
        lines.append(
            TakeoffLine(
                part.item,
                int(part.count) if part.unit == "each" else part.count,
                part.unit,
                "",
                named(layout, cells),
                part.note,
                group="fittings" if small else "",
                works=(work,),
                rows=tuple((r, float(n)) for r, n in rows),
                traced=tuple(dict.fromkeys(_place(v, f) for v, f in mine))
                or tuple(f"valve {v.number}" for v in irrigation.valves),
            )
        )
    lines += _tubing(irrigation)
    emitters = sum(len(v.punches.node) for v in irrigation.valves)
    working = Working(
        "takeoff.emitters",
        "Emitters",
        "n = sum of the emitters of all plants",
        tuple(Number(f"valve {v.number}", len(v.punches.node), "-") for v in irrigation.valves),
        Number("count", emitters, "-"),
        "count of the network (exact)",
    )
    return lines, [working] if kept else []


def _cells(irrigation: Irrigation, kind: str) -> np.ndarray[tuple[int], np.dtype[np.intp]]:
    found = [
        v.punches.cell[[not kind or v.types[int(k)].name == kind for k in v.punches.kind]]
        for v in irrigation.valves
    ]
    return np.asarray(np.concatenate(found), np.intp)


def _place(valve: Valve, fitting: Fitting) -> str:
    """Say on which pipe a fitting is."""
    at = f", row {fitting.row}" if fitting.row else ""
    return f"valve {valve.number}, {fitting.where}{at}"


def _tubing(irrigation: Irrigation) -> list[TakeoffLine]:
    found: defaultdict[tuple[str, str], list[Piece]] = defaultdict(list)
    for valve in irrigation.valves:
        for (part, tube), pieces in pieces_of(valve).items():
            found[part, tube] += pieces
    lines = []
    for tube in sorted({tube for _, tube in found}):
        parts = {p: pieces for (p, t), pieces in found.items() if t == tube}
        pieces = [piece for each in parts.values() for piece in each]
        counts = Counter(round(math.ceil(p.length / STEP - 1e-6) * STEP, 6) for p in pieces)
        rows: defaultdict[int, float] = defaultdict(float)
        for piece in pieces:
            rows[piece.row] += piece.length
        where = "; ".join(
            f"{'to the stakes' if p == 'small' else p} {sum(x.length for x in each):.2f} m"
            for p, each in sorted(parts.items())
        )
        lines.append(
            TakeoffLine(
                f"tubing, {tube}",
                sum(p.length for p in pieces),
                "m",
                f"cut into {len(pieces):,} pieces",
                (),
                f"{where}; as drawn, before slack",
                group="tubing",
                works=tuple(dict.fromkeys(_PARTS[p] for p in sorted(parts, reverse=True))),
                rows=tuple(sorted((r, m) for r, m in rows.items() if r)),
                pieces=tuple(sorted(counts.items(), reverse=True)),
                traced=tuple(dict.fromkeys(p.name for p in pieces)),
            )
        )
    return lines


def pieces_of(valve: Valve) -> dict[tuple[str, str], list[Piece]]:
    """Cut a valve's tubing where it branches, ends or changes its size.

    A lateral's two sides are two pieces; the tube to each stake is one.
    """
    net, n = valve.network, len(valve.part)
    row_of = {int(node): int(r) for node, r in zip(valve.punches.node, valve.punches.lateral,
                                                  strict=True)}  # fmt: skip
    kids: list[list[int]] = [[] for _ in range(n)]
    for k in range(1, n):
        kids[int(net.parent[k])].append(k)
    row = [0] * n
    for k in range(n - 1, 0, -1):  # children come after their parents
        row[k] = row_of.get(k, 0) or next((row[c] for c in kids[k] if row[c]), 0)
    found: dict[tuple[str, str], list[Piece]] = {}
    begun: dict[int, int] = {}  # node to its piece's number
    lengths: list[float] = []
    heads: list[tuple[str, int, int]] = []  # part, size, row
    for k in range(1, n):
        p, part = int(net.parent[k]), valve.part[k]
        goes_on = p in begun and heads[begun[p]][:2] == (part, int(valve.size[k]))
        # of several that go on alike the first child keeps the piece; a tube to a stake is its own
        first = next((c for c in kids[p] if valve.part[c] == part
                      and valve.size[c] == valve.size[k]), k)  # fmt: skip
        if goes_on and part != "small" and first == k:
            begun[k] = begun[p]
            lengths[begun[k]] += float(valve.walked[k])
        else:
            begun[k] = len(lengths)
            lengths.append(float(valve.walked[k]))
            heads.append((part, int(valve.size[k]), row[k] if part in ("lateral", "small") else 0))
    for length, (part, size, at) in zip(lengths, heads, strict=True):
        if length <= 0:
            continue
        name = f"valve {valve.number}, {part if part != 'small' else 'tube to a stake'}"
        name += f", row {at}" if at else ""
        key = ("header" if part == "tap" else part, valve.tubes[size].name)
        found.setdefault(key, []).append(Piece(length, name, at))
    return found
