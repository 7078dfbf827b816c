"""One cell on a plane, for tests of what it holds."""

import math

import numpy as np

WIDTH, RUN = 0.6, 0.45


def box(slope, cross=0.0, turn=0.0, width=WIDTH, run=RUN):
    """One cell on a plane: its edges keep their lengths, its row may leave the contour."""
    along = np.array([math.cos(cross), 0.0, -math.sin(cross)])
    normal = np.array(
        [math.sin(cross) * math.cos(slope), -math.sin(slope), math.cos(cross) * math.cos(slope)]
    )
    normal /= np.linalg.norm(normal)
    up = np.cross(normal, along)
    c = np.array([np.zeros(3), along * width, along * width - up * run, -up * run])
    s, t = math.sin(turn), math.cos(turn)
    return (c @ np.array([[t, s, 0], [-s, t, 0], [0, 0, 1]]))[None] + [3.0, -2.0, 10.0]
