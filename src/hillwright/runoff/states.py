"""The hill in its four states: bare, just built, in its first wet season, and grown in."""

from __future__ import annotations

from dataclasses import dataclass

from hillwright.data import table
from hillwright.runoff.cover import grass_cover
from hillwright.runoff.curvenumber import number_range, tabled_number
from hillwright.runoff.tables import rows

Range = tuple[float, float, float]  # low, best, high


@dataclass(frozen=True, slots=True)
class CoverState:
    """What covers the hill at one time, and the factors that follow from it."""

    name: str  # "bare hill", "just built", "first wet season", "grown in"
    words: str
    ground_cover: Range  # share of the ground, from what loses least to what loses most
    c: Range  # cover factor
    p: Range  # practice factor
    rill_ratio: float  # of ls_rusle
    cover: str  # row of the curve number table
    treatment: str
    conditions: tuple[str, str, str]
    rows: bool  # the rows are in: slope length is their pitch
    source: str
    status: str


def cover_states() -> tuple[CoverState, ...]:
    """Give the four states in their order (``data/soil_loss.toml``, states)."""
    meta = table("soil_loss")["states"]
    return tuple(_state(r, meta["source"], meta["status"]) for r in rows("soil_loss", "states"))


def _state(row: dict[str, object], source: str, status: str) -> CoverState:
    def three(name: str, end: str = "") -> list[object]:
        return [row[f"{name}_{k}{end}"] for k in ("low", "best", "high")]

    low, best, high = (float(str(v)) / 100 for v in three("ground_cover", "_pct"))
    p_low, p_best, p_high = (float(str(v)) for v in three("p"))
    bad, usual, good = (str(v) for v in three("condition"))
    return CoverState(
        name=str(row["state"]),
        words=str(row["words"]),
        ground_cover=(low, best, high),
        c=(float(grass_cover(low)), float(grass_cover(best)), float(grass_cover(high))),
        p=(p_low, p_best, p_high),
        rill_ratio=float(str(row["rill_ratio"])),
        cover=str(row["cover"]),
        treatment=str(row["treatment"]),
        conditions=(bad, usual, good),
        rows=bool(row["rows"]),
        source=source,
        status=status,
    )


def state_numbers(state: CoverState, group: str) -> Range:
    """Give the curve number of a state on a soil group: P10, P50 and P90.

    The middle one is tabled; the ends are its dry and wet envelopes, none below 30.

    Raises
    ------
    OutOfRange
        A soil group other than A to D.
    """
    best = tabled_number(state.cover, group, state.conditions[1], state.treatment)
    ends = number_range(best)
    return max(float(ends.dry), 30.0), best, float(ends.wet)
