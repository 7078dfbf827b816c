"""Wishes that contradict one another, whatever the hill: told before anything is planned."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from hillwright.errors import Problem
from hillwright.planting.model import Wish
from hillwright.planting.palette import Plant

_EPS = 1e-9


def contradictions(palette: Sequence[Plant], wishes: Sequence[Wish]) -> Iterator[Problem]:
    """Find wishes of which no planting can meet both: parts larger than their whole.

    Parameters
    ----------
    palette : sequence of Plant
        All plants that are known.
    wishes : sequence of Wish
        With names that are all known.
    """
    meant = [frozenset(p.id for p in palette if w.plant in p.tags()) for w in wishes]
    for i, part in enumerate(wishes):
        for j, whole in enumerate(wishes):
            if i != j and meant[i] <= meant[j] and (said := _more(part, whole)):
                right = f"make the part no more than wish {j + 1}, or take one of them out"
                yield Problem(f"wish[{i + 1}]", f"{said} (wish {j + 1})", right)
    apart: list[int] = []
    for i, wish in enumerate(wishes):
        if wish.share and not any(meant[i] & meant[k] for k in apart):
            apart.append(i)
    total = sum(wishes[k].share or 0.0 for k in apart)
    if total > 1 + _EPS:
        names = ", ".join(wishes[k].plant for k in apart)
        what = f"the shares of {names} add up to {100 * total:.0f} % of the planted cells"
        yield Problem(f"wish[{apart[-1] + 1}].share", what, "make them 100 % or less together")


def _more(part: Wish, whole: Wish) -> str:
    """Say that a part is wished to be more than the whole that holds it, or ""."""
    if part.share is not None and whole.share is not None and part.share > whole.share + _EPS:
        return (
            f"{100 * part.share:.0f} % {part.plant} is more than the {100 * whole.share:.0f} % "
            f"{whole.plant} that holds it"
        )
    limits = [v for v in (whole.count, whole.at_most) if v is not None]
    most = min(limits, default=None)
    if part.count is not None and most is not None and part.count > most:
        return f"{part.count} {part.plant} are more than the {most} {whole.plant} that hold them"
    return ""
