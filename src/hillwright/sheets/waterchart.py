"""The year's water as bars: what plants use, the tuned program, the same minutes all year."""

from __future__ import annotations

from collections.abc import Sequence

from hillwright.watering.words import month_name

WIDTH, HEIGHT = 170.0, 62.0  # [mm]
_LEFT, _BOTTOM, _TOP = 18.0, 8.0, 7.0
_FILLS = ("#d9d9d9", "#4d4d4d", "none")  # told apart without colour, and by their outline


def water_chart(series: Sequence[Sequence[float]], unit: str) -> bytes:
    """Draw three bars for each month.

    Parameters
    ----------
    series : three sequences of 12
        Figures in the unit that is written at the axis.
    unit : str
        As in "gal".
    """
    most = max((max(s) for s in series), default=0.0) or 1.0
    step = _round_step(most / 4)
    top = step * -(-most // step)
    scale = (HEIGHT - _BOTTOM - _TOP) / top
    base = HEIGHT - _BOTTOM
    month = (WIDTH - _LEFT) / 12
    bar = month / 4
    marks = []
    k = 0
    while k * step <= top * (1 + 1e-9):
        y = base - k * step * scale
        marks.append(
            f'<line x1="{_LEFT:.2f}" y1="{y:.2f}" x2="{WIDTH:.2f}" y2="{y:.2f}" '
            'stroke="#999999" stroke-width="0.1"/>'
            f'<text x="{_LEFT - 1.5:.2f}" y="{y + 0.9:.2f}" text-anchor="end">'
            f"{k * step:,.0f}</text>"
        )
        k += 1
    for m in range(12):
        x = _LEFT + m * month + bar / 2
        for s, fill in zip(series, _FILLS, strict=True):
            h = s[m] * scale
            marks.append(
                f'<rect x="{x:.2f}" y="{base - h:.2f}" width="{bar:.2f}" height="{h:.2f}" '
                f'fill="{fill}" stroke="#000000" stroke-width="0.15"/>'
            )
            x += bar
        middle = _LEFT + (m + 0.5) * month
        marks.append(
            f'<text x="{middle:.2f}" y="{HEIGHT - 3:.2f}" text-anchor="middle">'
            f"{month_name(m)[:3]}</text>"
        )
    marks.append(f'<text x="0" y="3">{unit}</text>')
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{WIDTH}mm" height="{HEIGHT}mm" '
        f'viewBox="0 0 {WIDTH} {HEIGHT}" font-family="Source Sans 3" font-size="2.6">'
    )
    return (head + "".join(marks) + "</svg>").encode()


def _round_step(size: float) -> float:
    """Give the next of 1, 2, 5 times a power of ten."""
    power = 1.0
    while power * 10 <= size:
        power *= 10
    while power > size:
        power /= 10
    return next((k * power for k in (1.0, 2.0, 5.0) if k * power >= size), 10 * power)
