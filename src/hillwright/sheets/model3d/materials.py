"""Materials by lightness first: what a colour shows, a grey copy shows as well.

Each has its own CIE lightness, five or more apart from every other, and a tint.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

# lightness (CIE L*, 0 black to 100 white) and tint (red, green, blue in proportion)
_LOOKS = {
    "wall": (15, (1.0, 0.9, 0.8)),
    "tree": (22, (0.55, 1.0, 0.5)),
    "bar": (28, (1.0, 0.75, 0.65)),
    "soil": (34, (1.0, 0.75, 0.5)),
    "berry": (40, (0.6, 1.0, 0.55)),
    "drain": (46, (0.6, 0.8, 1.0)),
    "vegetable": (52, (0.6, 1.0, 0.45)),
    "ground": (58, (1.0, 0.88, 0.7)),
    "herb": (64, (0.75, 1.0, 0.7)),
    "walking": (70, (1.0, 0.95, 0.85)),
    "cover": (76, (0.8, 1.0, 0.6)),
    "pipe": (83, (0.9, 0.95, 1.0)),
    "flower": (90, (1.0, 0.85, 0.9)),
}
_LUMINANCE = np.array([0.2126, 0.7152, 0.0722])  # of linear sRGB (IEC 61966-2-1)


@dataclass(frozen=True, slots=True)
class Look:
    """One material."""

    name: str
    colour: tuple[float, float, float]  # linear


def look(name: str) -> Look:
    """Give a material by its name."""
    lightness, tint = _LOOKS[name]
    target = ((lightness + 16) / 116) ** 3  # luminance; all are above the linear foot at L* 8
    colour = np.array(tint)
    # a tint that would go over white is let fade until its luminance is right
    for fade in np.linspace(0, 1, 21):
        faded = colour * (1 - fade) + fade
        scaled = faded * target / float(_LUMINANCE @ faded)
        if scaled.max() <= 1:
            break
    red, green, blue = (float(c) for c in scaled)
    return Look(name, (red, green, blue))


NAMES = tuple(_LOOKS)
