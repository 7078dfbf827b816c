"""A tornado: what drives the cost, the widest bar at the top."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

from hillwright.estimate.costmodel import Driver

WIDTH, _LINE, _HEAD, _FOOT = 170.0, 5.2, 9.0, 4.0  # [mm]
_LABEL, _SHARE = 66.0, 16.0  # room for the names, and for the shares


def height(count: int) -> float:
    """Give how high the picture of so many bars is [mm]."""
    return _HEAD + _LINE * count + _FOOT


def tornado(drivers: Sequence[Driver], base: float, currency: str) -> bytes:
    """Draw a bar for each driver, from a good to a bad case in ten, about the likeliest cost.

    Parameters
    ----------
    drivers : sequence of Driver
        The widest first.
    base : float
        The cost with everything at its likeliest.
    currency : str
        As in "USD".
    """
    tall = height(len(drivers))
    low = min((d.low for d in drivers), default=-1.0)
    high = max((d.high for d in drivers), default=1.0)
    low, high = min(low, 0.0), max(high, 0.0)
    room = WIDTH - _LABEL - _SHARE - 14  # figures stand at both ends of the widest bar
    scale = room / max(high - low, 1e-9)
    zero = _LABEL + 7 - low * scale
    marks = [
        f'<text x="{zero:.2f}" y="3" text-anchor="middle">likeliest: {base:,.0f} {currency}</text>',
        f'<text x="{WIDTH:.2f}" y="7" text-anchor="end" fill="#444444">of the spread</text>',
        f'<line x1="{zero:.2f}" y1="4" x2="{zero:.2f}" y2="{tall - _FOOT:.2f}" '
        'stroke="#000000" stroke-width="0.25"/>',
    ]
    for k, d in enumerate(drivers):
        name = escape(_short(d.name))
        y = _HEAD + _LINE * k
        mid = y + _LINE / 2 + 0.6
        better, worse = zero + d.low * scale, zero + d.high * scale
        marks += [
            f'<text x="{_LABEL:.2f}" y="{mid:.2f}" text-anchor="end">{name}</text>',
            # open below the likeliest, filled above it: told apart without colour
            _bar(better, zero, y, "none"),
            _bar(zero, worse, y, "#8c8c8c"),
            f'<text x="{better - 1:.2f}" y="{mid:.2f}" text-anchor="end" fill="#444444">'
            f"{d.low:+,.0f}</text>",
            f'<text x="{worse + 1:.2f}" y="{mid:.2f}" fill="#444444">{d.high:+,.0f}</text>',
            f'<text x="{WIDTH:.2f}" y="{mid:.2f}" text-anchor="end">{100 * d.share:.0f} %</text>',
        ]
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{WIDTH}mm" height="{tall}mm" '
        f'viewBox="0 0 {WIDTH} {tall}" font-family="Source Sans 3" font-size="2.6">'
    )
    return (head + "".join(marks) + "</svg>").encode()


def _bar(a: float, b: float, y: float, fill: str) -> str:
    if b - a < 0.02:
        return ""
    return (
        f'<rect x="{a:.2f}" y="{y + 0.7:.2f}" width="{b - a:.2f}" height="{_LINE - 1.6:.2f}" '
        f'fill="{fill}" stroke="#000000" stroke-width="0.2"/>'
    )


def _short(name: str) -> str:
    return name if len(name) <= 52 else name[:50].rstrip() + " …"
