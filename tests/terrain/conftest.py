"""A site in the local frame, as the readers of sidecar files would give it."""

import sys
from pathlib import Path

import numpy as np
import pytest

from hillwright.job.site import Frame, Site, Spots

sys.path.insert(0, str(Path(__file__).parent))  # for analytic.py


@pytest.fixture(scope="session")
def site_of():
    """Make a site of anything measured, or of bare points."""

    def make(measured, outline=None, *, north=0.0, breaklines=(), sigma=0.02, **places):
        if not hasattr(measured, "__dataclass_fields__"):
            xyz = np.asarray(measured, float)
            names = tuple(str(i + 1) for i in range(len(xyz)))
            where = tuple(f"points.csv line {i + 2}" for i in range(len(xyz)))
            measured = Spots(names, xyz, where, tuple(breaklines), sigma)
        none = np.empty((0, 2))
        return Site(
            measured=measured,
            frame=Frame(0.0, 0.0, 1.0, 1.0, "m", "", north, "invented"),
            outline=None if outline is None else np.asarray(outline, float),
            outline_where="outline.geojson",
            exclusions=(),
            string=places.get("string"),
            base_line=places.get("base_line"),
            benchmarks=places.get("benchmarks", (None, None)),
            fixed_rows=none,
            fixed_cell=None,
            keep=none,
            leave_out=none,
        )

    return make


@pytest.fixture(scope="session")
def davis():
    """Give the 52 spot heights of Davis 1973, all in feet.

    Source: Davis, 1973, Statistics and Data Analysis in Geology; as the data set topo of the R
    package MASS, where x and y are in units of 50 ft.
    """
    rows = """
    0.3 6.1 870 1.4 6.2 793 2.4 6.1 755 3.6 6.2 690 5.7 6.2 800 1.6 5.2 800 2.9 5.1 730
    3.4 5.3 728 3.4 5.7 710 4.8 5.6 780 5.3 5.0 804 6.2 5.2 855 0.2 4.3 830 0.9 4.2 813
    2.3 4.8 762 2.5 4.5 765 3.0 4.5 740 3.5 4.5 765 4.1 4.6 760 4.9 4.2 790 6.3 4.3 820
    0.9 3.2 855 1.7 3.8 812 2.4 3.8 773 3.7 3.5 812 4.5 3.2 827 5.2 3.2 805 6.3 3.4 840
    0.3 2.4 890 2.0 2.7 820 3.8 2.3 873 6.3 2.2 875 0.6 1.7 873 1.5 1.8 865 2.1 1.8 841
    2.1 1.1 862 3.1 1.1 908 4.5 1.8 855 5.5 1.7 850 5.7 1.0 882 6.2 1.0 910 0.4 0.5 940
    1.4 0.6 915 1.4 0.1 890 2.1 0.7 880 2.3 0.3 870 3.1 0.0 880 4.1 0.8 960 5.4 0.4 890
    6.0 0.1 860 5.7 3.0 830 3.6 6.0 705
    """
    return np.array(rows.split(), float).reshape(-1, 3) * [50, 50, 1]
