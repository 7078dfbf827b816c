"""The order: what is bought of each line, in which packs, from whom, and for how much."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal

from hillwright.estimate.book import Matched, in_line_units
from hillwright.estimate.cutting import CutPlan, cut
from hillwright.estimate.drip import STEP
from hillwright.estimate.model import TakeoffLine
from hillwright.estimate.money import coin, exact
from hillwright.estimate.packs import cheapest_packs
from hillwright.job.prices import Price

PACKED = "delivery of packed goods"
JOINT = "coupling, to join tubing"
NOT_PRICED = "no price in the price book"


@dataclass(frozen=True, slots=True)
class ToCut:
    """Pieces of one line, and the lengths that one supplier sells; whole steps."""

    line: int
    supplier: str
    pieces: tuple[int, ...]
    wanted: tuple[int, ...]
    rolls: tuple[int, ...]
    costs: tuple[float, ...]  # () where one length is sold, or a price is not known
    kerf: int


@dataclass(frozen=True, slots=True, eq=False)
class CutLine:
    """How a line is cut from what one supplier sells."""

    task: ToCut
    plan: CutPlan
    joints: int  # pieces longer than any roll are joined so often


@dataclass(frozen=True, slots=True)
class Bought:
    """So many packs of one row of the price book."""

    packs: Decimal  # whole; hours of labour have two decimals
    pack: float  # units in a pack
    unit: str
    supplier: str
    low: Decimal  # of a pack
    each: Decimal
    high: Decimal
    amount: Decimal
    row: int  # line of the price book
    ranged: bool  # low and high are the book's own


@dataclass(frozen=True, slots=True, eq=False)
class OrderLine:
    """One line of the takeoff, bought."""

    line: TakeoffLine
    bought: tuple[Bought, ...]  # () nothing is needed, or nothing is known
    missing: str  # why it has no price, "" it has
    cut: CutLine | None = None
    unpriced: tuple[tuple[int, float, str, str], ...] = ()  # packs, pack, unit, supplier
    sizes: tuple[tuple[float, float], ...] = ()  # packs to choose among: holds, price; () cut

    @property
    def amount(self) -> Decimal:
        """What it costs, as printed."""
        return sum((b.amount for b in self.bought), Decimal(0))


def to_cut(lines: Sequence[TakeoffLine], match: Matched, kerf: float) -> tuple[ToCut, ...]:
    """Find what has to be cut from rolls or bars, for each supplier of it."""
    found = []
    for i, (line, rows) in enumerate(zip(lines, match.rows, strict=True)):
        if not line.pieces or not line.count:
            continue
        saw = math.ceil(kerf / STEP - 1e-9) if line.unit == "each" else 0
        # cut to measure: waste of what is counted is more pieces, of what is laid longer ones
        longer = 1 + line.waste if line.unit == "m" else 1.0
        pieces = [max(1, math.ceil(length * longer / STEP - 1e-6)) for length, _ in line.pieces]
        wanted = [n for _, n in line.pieces]
        if line.unit == "each":
            wanted = [int(line.ordered)]
        for supplier in dict.fromkeys(r.supplier for r in rows):
            sold = [r for r in rows if r.supplier == supplier and _by_roll(r, line)]
            if not sold:
                continue
            rolls = tuple(int(r.holds / STEP + 1e-6) for r in sold)
            costs = tuple(float(r.likely) for r in sold if r.likely is not None)
            whole = len(costs) == len(sold) > 1 and all(c > 0 for c in costs)
            found.append(
                ToCut(i, supplier, tuple(pieces), tuple(wanted), rolls, costs if whole else (), saw)
            )
    return tuple(found)


def _by_roll(row: Price, line: TakeoffLine) -> bool:
    """Tell rolls and bars from what is sold by the foot or metre."""
    return row.tag == "m" and not (row.pack == 1 and row.holds < max(p for p, _ in line.pieces))


@dataclass(frozen=True, slots=True, eq=False)
class Cuts:
    """All cutting plans."""

    lines: tuple[CutLine, ...]


def cut_lines(tasks: Iterable[ToCut]) -> Cuts:
    """Stage: cut every line; a piece longer than any roll is joined from whole rolls and a rest."""
    return Cuts(tuple(_cut_one(task) for task in tasks))


def _cut_one(task: ToCut) -> CutLine:
    longest = max(task.rolls)
    wanted: dict[int, int] = {}
    joints = 0
    for piece, n in zip(task.pieces, task.wanted, strict=True):
        whole, rest = divmod(piece, longest) if piece > longest else (0, piece)
        joints += n * (whole - (rest == 0)) if whole else 0
        if whole:
            wanted[longest] = wanted.get(longest, 0) + n * whole
        if rest:
            wanted[rest] = wanted.get(rest, 0) + n
    pieces = sorted(wanted, reverse=True)
    plan = cut(pieces, [wanted[p] for p in pieces], task.rolls, task.costs or None, task.kerf)
    used = ToCut(task.line, task.supplier, tuple(pieces), tuple(wanted[p] for p in pieces),
                 task.rolls, task.costs, task.kerf)  # fmt: skip
    return CutLine(used, plan, joints)


def ordered(
    lines: Sequence[TakeoffLine],
    match: Matched,
    cuts: Cuts,
    spread: dict[str, tuple[float, float]],
    decimals: int,
) -> tuple[OrderLine, ...]:
    """Buy every line where it is cheapest, all of a line from one supplier.

    Parameters
    ----------
    lines : sequence of TakeoffLine
        What is needed.
    match : Matched
        Rows of the price book by line.
    cuts : Cuts
        Cutting plans, by line and supplier.
    spread : dict
        Low and high by kind, times the price, where the book gives none.
    decimals : int
        Of the smallest coin.
    """
    at = {(c.task.line, c.task.supplier): c for c in cuts.lines}
    found = []
    for i, (line, rows) in enumerate(zip(lines, match.rows, strict=True)):
        if line.kind == "work" or not line.count:
            continue
        by_supplier = {s: [r for r in rows if r.supplier == s]
                       for s in dict.fromkeys(r.supplier for r in rows)}  # fmt: skip
        choices = [
            _from(line, mine, at.get((i, s)), spread, decimals) for s, mine in by_supplier.items()
        ]
        priced = [c for c in choices if not c.missing]
        if priced:
            found.append(min(priced, key=lambda c: c.amount))
        else:
            found.append(choices[0] if choices else OrderLine(line, (), NOT_PRICED))
    return tuple(found)


def _from(
    line: TakeoffLine,
    rows: list[Price],
    how: CutLine | None,
    spread: dict[str, tuple[float, float]],
    decimals: int,
) -> OrderLine:
    """Buy one line from one supplier, in each way that it is sold; the cheapest is kept."""
    if line.kind == "labour":
        known = [r for r in rows if r.likely is not None]
        if not known:
            return OrderLine(line, (), "the hour has no price")
        row = min(known, key=lambda r: r.likely or Decimal(0))
        hours = coin(exact(float(line.count)) / 3600, 2)
        return OrderLine(line, (_bought(row, hours, spread, decimals),), "")
    ways: list[tuple[list[Price], tuple[int, ...], CutLine | None]] = []
    choice: tuple[tuple[float, float], ...] = ()
    rolls = [r for r in rows if line.pieces and _by_roll(r, line)]
    if rolls and how is not None:
        ways.append((rolls, how.plan.rolls, how))
    if packs := [r for r in rows if r not in rolls]:
        priced = [r for r in packs if r.likely is not None] or packs
        need = line.ordered
        if line.pieces and line.unit == "each" and packs[0].tag == "m":
            need = sum(n * p for p, n in line.pieces) * line.ordered / line.count
        sizes = [in_line_units(line, r) for r in priced]
        costs = [float(r.likely or 0) or 1e-9 for r in priced]
        ways.append((priced, cheapest_packs(need, sizes, costs), None))
        choice = tuple(zip(sizes, costs, strict=True))
    best: OrderLine | None = None
    for sold, counts, cut_from in ways:
        pairs = [(r, n) for r, n in zip(sold, counts, strict=True) if n]
        if any(r.likely is None for r, _ in pairs):
            want = tuple((n, r.pack, r.unit, r.supplier) for r, n in pairs)
            each = OrderLine(line, (), "the price is blank", cut_from, want)
        else:
            goods = tuple(_bought(r, Decimal(n), spread, decimals) for r, n in pairs)
            each = OrderLine(line, goods, "", cut_from, sizes=() if cut_from else choice)
        if best is None or (bool(each.missing), each.amount) < (bool(best.missing), best.amount):
            best = each
    return best if best is not None else OrderLine(line, (), NOT_PRICED)


def _bought(
    row: Price, packs: Decimal, spread: dict[str, tuple[float, float]], decimals: int
) -> Bought:
    each = row.likely or Decimal(0)
    low, high = spread[row.kind]
    return Bought(
        packs,
        row.pack,
        row.unit,
        row.supplier,
        each * exact(low) if row.low is None else row.low,
        each,
        each * exact(high) if row.high is None else row.high,
        coin(packs * each, decimals),
        row.line,
        row.low is not None and row.high is not None,
    )


def extra_lines(bought: Sequence[OrderLine]) -> list[TakeoffLine]:
    """Give what only the order asks for: couplings of joined tubing, a trip of each supplier."""
    found = []
    joints = {o.line.item: o.cut.joints for o in bought if o.cut and o.cut.joints}
    if count := sum(joints.values()):
        note = "; ".join(f"{n} in {item}" for item, n in joints.items())
        found.append(
            TakeoffLine(JOINT, count, "each", "", (), note, group="fittings", works=("laterals",),
                        figure="takeoff.joints", ordered=count)
        )  # fmt: skip
    for supplier in sorted({b.supplier for o in bought for b in o.bought if _packed(o.line)}):
        who = supplier or "supplier not named"
        found.append(
            TakeoffLine(PACKED, 1, "load", "one trip", (), who, "delivery",
                        works=("assemble", "set", "anchors"), figure="takeoff.deliveries",
                        ordered=1)
        )  # fmt: skip
    return found


def _packed(line: TakeoffLine) -> bool:
    return line.kind in ("material", "plant") and line.unit != "m3"
