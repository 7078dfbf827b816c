"""The price book: what each thing costs, from whom, until when (CSV).

A header of COLUMNS, one price a line, lines that begin with # are remarks. The prices are those of
one pack; `pack` says how many of `unit` it holds: a roll of 100 ft is unit ft, pack 100. A row
without a price says that the price is not known yet. Rows of one item are packs or suppliers to
choose from.
"""

from __future__ import annotations

import csv
import datetime
import io
import re
from dataclasses import dataclass, replace
from decimal import Decimal

from hillwright import units
from hillwright.errors import did_you_mean
from hillwright.job.files import Problems, find, read_text
from hillwright.job.model import OpenJob
from hillwright.units import UnitError

COLUMNS = (
    "kind", "item", "unit", "pack", "low", "price", "high", "currency", "date", "good until",
    "supplier", "note",
)  # fmt: skip
KINDS = ("material", "plant", "delivery", "hire", "labour")
COUNTED = ("each", "day", "load")  # units that are no measure
MEASURES = ("ft", "in", "yd", "m", "cm", "ft2", "yd2", "m2", "yd3", "ft3", "gal", "L", "m3", "lb",
            "ton", "kg", "t", "h")  # fmt: skip
_TON, _TONNE = 2000 * 0.45359237, 1000.0  # a ton in a price book is of 2,000 lb [kg]
_TAGS = {"[length]": "m", "[length] ** 2": "m2", "[length] ** 3": "m3", "[mass]": "kg",
         "[time]": "s"}  # fmt: skip
_NUMBER = re.compile(r"\d{1,3}(?:,\d{3})+(?:\.\d*)?|\d+\.?\d*|\.\d+")
_SIGNS = re.compile(r"^[^\w.,+-]+\s*|\s*[^\w.,+-]+$|^[A-Z]{3}\s+|\s+[A-Z]{3}$")
_TOLD = 3  # prices that a remark names
_OLD = 365  # days after which a price is told to be old: common practice, no source


@dataclass(frozen=True, slots=True)
class Price:
    """One row; money for one pack, the pack in SI."""

    kind: str
    item: str
    unit: str  # as written
    tag: str  # "each", "day", "load", or the SI tag of the unit
    size: float  # of one unit in SI
    pack: float  # units in a pack
    low: Decimal | None
    likely: Decimal | None  # None: not known yet
    high: Decimal | None
    date: str
    until: str
    supplier: str
    note: str
    line: int

    @property
    def holds(self) -> float:
        """What a pack holds, in SI or as a count."""
        return self.pack * self.size


@dataclass(frozen=True, slots=True)
class PriceBook:
    """All rows of a price book."""

    file: str  # "" none is named
    rows: tuple[Price, ...]
    remarks: tuple[str, ...]  # old prices and such
    offer: str = ""  # day that the prices were looked at

    def known(self) -> PriceBook:
        """Give the rows that have a price."""
        return replace(self, rows=tuple(r for r in self.rows if r.likely is not None))


def read_prices(opened: OpenJob, today: datetime.date | None = None) -> PriceBook:
    """Read the price book that a job names; an empty one where it names none.

    Parameters
    ----------
    opened : OpenJob
        The job and where its file lies.
    today : date, optional
        Against which prices run out where the job gives no day of the offer.

    Raises
    ------
    SurveyError
        Everything that is wrong in the file, line by line.
    """
    terms = opened.job.estimate
    if not terms.prices.strip():
        return PriceBook("", (), ())
    path = find(opened.path, terms.prices, "estimate.prices")
    offer = datetime.date.fromisoformat(terms.date) if terms.date else None
    return parse(read_text(path), path.name, terms.currency, offer, today)


def parse(
    text: str,
    file: str,
    currency: str = "USD",
    offer: datetime.date | None = None,
    today: datetime.date | None = None,
) -> PriceBook:
    """Read a price book from its text.

    Raises
    ------
    SurveyError
        Everything that is wrong in it, line by line.
    """
    problems = Problems(file)
    lines = [(n, t) for n, t in enumerate(text.splitlines(), 1)
             if t.strip() and not t.lstrip().startswith(("#", '"#'))]  # fmt: skip
    if not lines:
        problems.add(None, "holds no price", f"write the header {', '.join(COLUMNS)}")
        problems.raise_any()
    cut = next((c for c in ";\t" if c in lines[0][1]), ",")
    head = [c.strip().lower() for c in next(csv.reader([lines[0][1]], delimiter=cut))]
    for name in head:
        if name not in COLUMNS:
            right = did_you_mean(name, COLUMNS, f"the columns are {', '.join(COLUMNS)}")
            problems.add(lines[0][0], f"{name!r} is not a column", right)
    for name in ("item", "unit", "price"):
        if name not in head:
            problems.add(lines[0][0], f"there is no column {name!r}", f"write {', '.join(COLUMNS)}")
    problems.raise_any()
    reader = _Reader(problems, currency, offer, today)
    rows = []
    for n, line in lines[1:]:
        cells = next(csv.reader(io.StringIO(line), delimiter=cut))
        if len([c for c in cells if c.strip()]) and len(cells) > len(head):
            right = 'put quotes round a text with a comma, as in "1,200.50"'
            problems.add(n, f"{len(cells)} values under {len(head)} names", right)
            continue
        given = {k: v.strip() for k, v in zip(head, cells, strict=False)}
        if row := reader.row(given, n):
            rows.append(row)
    reader.twice(rows)
    problems.raise_any()
    day = offer or today
    return PriceBook(file, tuple(rows), reader.remarks(), day.isoformat() if day else "")


class _Reader:
    def __init__(
        self,
        problems: Problems,
        currency: str,
        offer: datetime.date | None,
        today: datetime.date | None,
    ) -> None:
        self.problems, self.currency, self.offer, self.today = problems, currency, offer, today
        self.gone: list[str] = []
        self.old: list[str] = []

    def remarks(self) -> tuple[str, ...]:
        """Say which prices ran out or are old, a few of them by name."""
        said = []
        for found, what in (
            (self.gone, "ran out before today; ask again"),
            (self.old, "are more than a year old"),
        ):
            if found:
                more = f" and {len(found) - _TOLD} more" if len(found) > _TOLD else ""
                said.append(f"Prices that {what}: {', '.join(found[:_TOLD])}{more}.")
        return tuple(said)

    def row(self, given: dict[str, str], n: int) -> Price | None:
        add, before = self.problems.add, len(self.problems.found)
        kind, item = given.get("kind", "").lower() or "material", given.get("item", "")
        if kind not in KINDS:
            right = did_you_mean(kind, KINDS, f"write {', '.join(KINDS)}")
            add(n, f"{kind!r} is no kind of price", right)
        if not item:
            add(n, "names no item", "write what it is, as `hillwright prices JOB` writes it")
        tag, size = self._unit(given.get("unit", ""), kind, n)
        pack = self._pack(given.get("pack", ""), n)
        money = {k: self._money(given.get(k, ""), k, item, n) for k in ("low", "price", "high")}
        if not any(given.get(k) and v is None for k, v in money.items()):  # each was read
            self._in_order(money, item, n)
        coin = given.get("currency", "")
        if coin and coin.upper() != self.currency:
            right = f"give the price in {self.currency}, or change estimate.currency"
            add(n, f"{item}: the price is in {coin}, and the job counts in {self.currency}", right)
        day = self._date(given.get("date", ""), "date", n)
        until = self._date(given.get("good until", ""), "good until", n)
        self._in_time(item, day, until, n)
        if len(self.problems.found) > before:
            return None
        return Price(
            kind, item, given.get("unit", ""), tag, size, pack, money["low"], money["price"],
            money["high"], day, until, given.get("supplier", ""), given.get("note", ""), n,
        )  # fmt: skip

    def _unit(self, name: str, kind: str, n: int) -> tuple[str, float]:
        plain = name.lower()
        known = (*COUNTED, *MEASURES)
        if plain in COUNTED:
            if kind == "labour":
                self.problems.add(n, f"labour is paid by the hour, not by {name}", "write h")
            return plain, 1.0
        if plain in ("ton", "tons"):
            return "kg", _TON
        if name in ("t", "tonne"):
            return "kg", _TONNE
        try:
            found = units.unit(name) if name else None
            for dimension, tag in _TAGS.items():
                if found is not None and found.check(dimension):
                    return tag, float(found.to_base_units().magnitude)
            raise UnitError(f"{name!r} is not a unit that things are sold by", "")
        except UnitError:
            what = f"{name!r} is not a unit that things are sold by" if name else "has no unit"
            right = did_you_mean(name, known, f"write one of {', '.join(known)}")
            self.problems.add(n, what, right)
            return "each", 1.0

    def _pack(self, text: str, n: int) -> float:
        if not text:
            return 1.0
        if not _NUMBER.fullmatch(text) or not float(text.replace(",", "")) > 0:
            right = "write how many units one price buys, as in 100; blank is 1"
            self.problems.add(n, f"pack: {text!r} is not a number above zero", right)
            return 1.0
        return float(text.replace(",", ""))

    def _money(self, text: str, column: str, item: str, n: int) -> Decimal | None:
        if not text:
            return None
        if text.startswith(("-", "\u2212", "(")):
            what = f"{item}: {column} {text} is negative"
            self.problems.add(n, what, "write 0 or more; a discount is its own, lower price")
            return None
        if re.fullmatch(r"\d+,\d{1,2}|\d{1,3}(\.\d{3})+,\d+", text):
            what = f"{item}: {column} {text!r} has a decimal comma"
            self.problems.add(n, what, "write a point, as in 12.50")
            return None
        if not _NUMBER.fullmatch(text):
            bare = _SIGNS.sub("", text)
            right = "write a number, as in 12.50"
            if bare != text and _NUMBER.fullmatch(bare):
                right = f"write {bare}: the currency stands in its own column"
            self.problems.add(n, f"{item}: {column} {text!r} is not a number", right)
            return None
        return Decimal(text.replace(",", ""))

    def _in_order(self, money: dict[str, Decimal | None], item: str, n: int) -> None:
        low, price, high = money["low"], money["price"], money["high"]
        if price is None:
            if low is not None or high is not None:
                right = "write the likeliest price too, or leave all three blank"
                self.problems.add(n, f"{item}: has a range and no price", right)
            return
        if (low is not None and low > price) or (high is not None and high < price):
            what = f"{item}: low, price and high are not in that order"
            self.problems.add(n, what, "write the lowest first, the highest last")

    def _date(self, text: str, column: str, n: int) -> str:
        try:
            return datetime.date.fromisoformat(text).isoformat() if text else ""
        except ValueError:
            self.problems.add(n, f"{column}: {text!r} is not a date", "write it as in 2026-05-04")
            return ""

    def _in_time(self, item: str, day: str, until: str, n: int) -> None:
        if day and until and until < day:
            what = f"{item}: is good until {until}, before its own date {day}"
            self.problems.add(n, what, "correct the one that is wrong")
            return
        now = self.offer or self.today
        if now is None:
            return
        if day and day > now.isoformat():
            what = f"{item}: the price is dated {day}, after "
            what += f"the offer of {now}" if self.offer else f"today ({now})"
            self.problems.add(n, what, "correct the date, or estimate.date")
        elif until and until < now.isoformat():
            if self.offer:
                what = f"{item}: the price ran out on {until}, before the offer of {now}"
                self.problems.add(n, what, "ask for a new price, or make it blank: not known yet")
            else:
                self.gone.append(f"{item} on {until} ({self.problems.at(n)})")
        elif day and not until and (now - datetime.date.fromisoformat(day)).days > _OLD:
            self.old.append(f"{item} of {day} ({self.problems.at(n)})")

    def twice(self, rows: list[Price]) -> None:
        seen: dict[tuple[object, ...], int] = {}
        for row in rows:
            key = (row.kind, plain(row.item), row.holds, row.tag, row.supplier.lower())
            if (first := seen.setdefault(key, row.line)) != row.line:
                what = f"{row.item}: the same pack of the same supplier is on line {first} too"
                self.problems.add(row.line, what, "keep one of the two")


def plain(item: str) -> str:
    """Write an item's name as it is looked up: case and spaces do not count."""
    return " ".join(item.lower().replace("\u00b2", "2").replace("\u00b3", "3").split())
