"""Make invented hillsides: survey, outline and job, of any size, the same for the same seed.

::

    python benchmarks/hills.py FOLDER --kind points --width 12 --depth 8 --seed 3
    python benchmarks/hills.py --examples examples

The second line writes the three examples of the project again, byte for byte where the raster
library is the same. No hill here is a real place.
"""

from __future__ import annotations

import argparse
import json
import math
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Kind = Literal["sections", "points", "dem"]
FOOT = 0.3048
UTM = "EPSG:32610"
CORNER = (300_000.0, 4_100_000.0)  # in the open sea, so that nobody's land is meant


@dataclass(frozen=True)
class Hill:
    """Invented ground: uphill is +y; humps and dips are (x, y, height, width) in metres."""

    slope: float  # at x = 0, y = 0 [rad]
    across: float = math.inf  # radius of curvature along the contour, > 0 is a spur [m]
    down: float = math.inf  # radius down the slope, > 0 is convex [m]
    middle: float = 0.0  # x of the spur's back [m]
    base: float = 0.0  # height of (0, 0) [m]
    bank: tuple[float, float, float] | None = None  # y of crest, y of toe, drop [m]
    humps: tuple[tuple[float, float, float, float], ...] = ()

    def z(self, x: Array, y: Array) -> Array:
        """Give the height at plan positions [m]."""
        x, y = np.broadcast_arrays(np.asarray(x, float), np.asarray(y, float))
        z = self.base + math.tan(self.slope) * y
        z = z - (x - self.middle) ** 2 / (2 * self.across) - y**2 / (2 * self.down)
        for at_x, at_y, height, width in self.humps:
            z = z + height * np.exp(-((x - at_x) ** 2 + (y - at_y) ** 2) / (2 * width**2))
        if self.bank is not None:
            crest, toe, drop = self.bank
            z = z - drop * np.clip((crest - y) / (crest - toe), 0, 1)
        return z


def humps(
    rng: np.random.Generator, width: float, depth: float, each: float, height: float
) -> tuple[tuple[float, float, float, float], ...]:
    """Scatter humps and dips, one on each ``each`` square metres."""
    n = max(1, round(width * depth / each))
    columns = (
        rng.uniform(0, width, n),
        rng.uniform(0, depth, n),
        rng.normal(0, height, n),
        rng.uniform(0.6, 1.4, n),
    )
    return tuple(tuple(round(float(v), 4) for v in row) for row in zip(*columns, strict=True))


def sections_csv(
    hill: Hill, chainages: Array, depth: float, rng: np.random.Generator, *, us: bool, about: str
) -> str:
    """Tape a hill from a base line along its toe, as two people would, and write it down.

    Distances are read to 0.1 ft or 0.05 m and angles to half a degree; every fourth section is
    taken with a level staff (rise) in the place of the inclinometer. Sections in the middle reach
    further, so that the edge of the survey bows outward.
    """
    unit, one, tick = ("ft", FOOT, 0.1) if us else ("m", 1.0, 0.05)
    lines = [f"# {line}" for line in about.splitlines()]
    lines.append("section, chainage, base_height, side, leg, distance, angle, rise, note")
    zero = float(hill.z(np.array(0.0), np.array(0.0)))
    for k, x in enumerate(chainages, 1):
        y, leg = 0.0, 1
        height = float(hill.z(np.array(x), np.array(0.0))) - zero
        ends = depth * (1 + 0.2 * math.sin(math.pi * (k - 1) / (len(chainages) - 1)))
        while ends - y > 0.3:
            left = math.hypot(
                ends - y,
                float(hill.z(np.array(x), np.array(ends)) - hill.z(np.array(x), np.array(y))),
            )
            tape = round(min(left, rng.uniform(0.85, 1.25)) / one / tick) * tick * one
            low, high = y, y + tape
            here = float(hill.z(np.array(x), np.array(y)))
            for _ in range(50):  # the place on the ground that the tape just reaches
                mid = (low + high) / 2
                rise = float(hill.z(np.array(x), np.array(mid))) - here
                low, high = (mid, high) if math.hypot(mid - y, rise) < tape else (low, mid)
            angle = f"{round(2 * math.degrees(math.asin(rise / tape))) / 2:g} deg"
            staff = f"{rise / one:.2f} {unit}"
            how = f", {staff}" if k % 4 == 0 else f"{angle}, "
            first = f"{x / one:.2f} {unit}, {height / one:.2f} {unit}, left" if leg == 1 else ", , "
            note = "base line along the toe" if k == leg == 1 else ""
            lines.append(f"{k}, {first}, {leg}, {tape / one:.2f} {unit}, {how}, {note}".rstrip())
            y, leg = mid, leg + 1
    return "\n".join(lines) + "\n"


def shots_csv(rows: list[tuple[float, float, float | None, str]], first: int = 101) -> str:
    """Write shots (x, y, z or None, description) as point, northing, easting, elevation, code."""
    return "".join(
        f"{first + i},{5000 + y:.3f},{2000 + x:.3f},{'' if z is None else f'{z:.3f}'},{about}\n"
        for i, (x, y, z, about) in enumerate(rows)
    )


def write_dem(path: Path, hill: Hill, width: float, depth: float, step: float, turn: float) -> None:
    """Write a DEM of ``width`` by ``depth`` metres; uphill has the compass bearing ``turn``."""
    import rasterio
    from rasterio.transform import Affine

    nx, ny = round(width / step), round(depth / step)
    e = (np.arange(nx) + 0.5) * step
    n = depth - (np.arange(ny) + 0.5) * step
    x, y = into_hill(*np.meshgrid(e, n), width, depth, turn)
    z = np.round(hill.z(x, y), 3)
    z[:4, -6:] = -9999.0  # a corner where the flight saw nothing
    profile = {
        "driver": "GTiff", "dtype": "float32", "count": 1, "width": nx, "height": ny, "crs": UTM,
        "transform": Affine(step, 0, CORNER[0], 0, -step, CORNER[1] + depth), "nodata": -9999.0,
        "compress": "deflate", "predictor": 3,
    }  # fmt: skip
    with rasterio.open(path, "w", **profile) as out:
        out.write(z.astype("float32"), 1)
        out.units = ("metre",)


def into_hill(e: Array, n: Array, width: float, depth: float, turn: float) -> tuple[Array, Array]:
    """Turn metres from the south-west corner of a DEM into the hill's own x and y."""
    dx, dy = e - width / 2, n - depth / 2
    return (
        dx * math.cos(turn) - dy * math.sin(turn),
        dx * math.sin(turn) + dy * math.cos(turn),
    )


def out_of_hill(xy: Array, width: float, depth: float, turn: float) -> Array:
    """Turn the hill's x and y into map coordinates: :func:`into_hill` the other way."""
    x, y = xy.T
    e = x * math.cos(turn) + y * math.sin(turn) + width / 2
    n = -x * math.sin(turn) + y * math.cos(turn) + depth / 2
    return np.column_stack([CORNER[0] + e, CORNER[1] + n])


def geojson(features: list[tuple[str, str, Array, dict[str, str]]]) -> str:
    """Write (role, name, ring or point in map coordinates, further properties) in lon, lat."""
    import pyproj

    back = pyproj.Transformer.from_crs(UTM, "OGC:CRS84", always_xy=True)
    written = []
    for role, name, xy, more in features:
        places = [[round(float(v), 8) for v in back.transform(*p)] for p in xy]
        geometry: dict[str, object] = {"type": "Point", "coordinates": places[0]}
        if len(places) > 1:
            geometry = {"type": "Polygon", "coordinates": [[*places, places[0]]]}
        properties = {"role": role, "name": name, **more}
        written.append({"type": "Feature", "properties": properties, "geometry": geometry})
    return json.dumps({"type": "FeatureCollection", "features": written}, indent=1) + "\n"


def _places(corners: Array, unit: str, one: float) -> str:
    each = (f'["{x / one:.2f} {unit}", "{y / one:.2f} {unit}"]' for x, y in corners)
    return "[\n" + "".join(f"    {p},\n" for p in each) + "]"


def write_hill(
    folder: Path,
    kind: Kind,
    width: float,
    depth: float,
    seed: int = 1,
    *,
    slope: float = math.radians(32),
    spacing: float = 1.0,
    us: bool = False,
) -> Path:
    """Write a whole job on an invented hillside.

    Parameters
    ----------
    folder : Path
        Made if it is not there.
    kind : {"sections", "points", "dem"}
        How it is surveyed.
    width, depth : float
        Of the outline, along the contour and up the slope, in plan [m].
    seed : int
        The same seed gives the same hill.
    slope : float
        In the middle [rad].
    spacing : float
        Of the sections, shots or pixels [m].
    us : bool
        Write sections in feet.

    Returns
    -------
    Path
        The job file.
    """
    folder.mkdir(parents=True, exist_ok=True)
    rng = np.random.default_rng(seed)
    bumps = humps(rng, width, depth, each=8, height=0.04)
    across, down = 4 * max(width, 8), 6 * max(depth, 8)
    toe = math.atan(
        math.tan(slope) + depth / 2 / down
    )  # steeper below, so that the middle is right
    hill = Hill(toe, across, down, width / 2, 100.0, None, bumps)
    about = f"INVENTED hillside, seed {seed}, made by benchmarks/hills.py. No real place."
    edge = np.array([[0, 0], [width, 0], [width, depth], [0, depth]], dtype=float)
    unit, one = ("ft", FOOT) if us and kind == "sections" else ("m", 1.0)
    survey, outline = {"kind": kind, "unit": unit}, f"corners = {_places(edge, unit, one)}"
    if kind == "sections":
        chainages = np.linspace(-0.5, width + 0.5, max(3, round((width + 1) / spacing) + 1))
        survey["file"] = "sections.csv"
        # the toe line runs half a metre below the outline
        lowered = Hill(
            toe, hill.across, hill.down, hill.middle, hill.base, None,
            tuple((x, y + 0.5, h, w) for x, y, h, w in bumps),
        )  # fmt: skip
        text = sections_csv(lowered, chainages, depth + 1, rng, us=us, about=about)
        outline = f"corners = {_places(edge + np.array([0, 0.5]), unit, one)}"
        (folder / "sections.csv").write_text(text, "utf-8", newline="\n")
    elif kind == "points":
        survey |= {"file": "points.csv", "order": "PNEZD"}
        x, y = np.meshgrid(
            np.arange(-1, width + 1.01, spacing), np.arange(-1, depth + 1.01, spacing)
        )
        x, y = (v.ravel() + rng.uniform(-0.3, 0.3, v.size) * spacing for v in (x, y))
        z = hill.z(x, y) + rng.normal(0, 0.01, x.size)
        rows = [(float(a), float(b), float(c), "GR") for a, b, c in zip(x, y, z, strict=True)]
        (folder / "points.csv").write_text(shots_csv(rows), "utf-8", newline="\n")
        outline = f"corners = {_places(edge + np.array([2000, 5000]), unit, one)}"
    else:
        survey = {"kind": kind, "file": "dem.tif"}
        wide, deep = width + 8, depth + 8
        moved = Hill(
            slope, hill.across, hill.down, 0.0, 100.0, None,
            tuple((x - width / 2, y - depth / 2, h, w) for x, y, h, w in bumps),
        )  # fmt: skip
        write_dem(folder / "dem.tif", moved, wide, deep, spacing, 0.0)
        ring = out_of_hill(edge - [width / 2, depth / 2], wide, deep, 0.0)
        (folder / "outline.geojson").write_text(
            geojson([("outline", "outline", ring, {})]), "utf-8", newline="\n"
        )
        outline = 'file = "outline.geojson"'
    lines = "".join(f'{key} = "{value}"\n' for key, value in survey.items())
    (folder / "job.toml").write_text(
        f'# {about}\nunits = "{"us" if us else "metric"}"\n\n[site]\nname = "Hill {seed}"\n'
        f'notes = "{about}"\n\n[survey]\n{lines}\n[outline]\n{outline}\n',
        "utf-8",
        newline="\n",
    )
    return folder / "job.toml"


def bracken_bank(folder: Path) -> None:
    """Write the demo: a short steep bank taped in feet from a base line along its toe."""
    ft = FOOT
    bumps = (
        (8.25 * ft, 5.6 * ft, 0.20, 0.55),
        (16.5 * ft, 8.6 * ft, -0.22, 0.55),
        (23.5 * ft, 4.0 * ft, -0.10, 0.7),
        (11.0 * ft, 2.5 * ft, 0.05, 0.9),
    )
    hill = Hill(math.radians(29.5), 60, -24, 13 * ft, 0, None, bumps)
    about = (
        "INVENTED: a bank that is nowhere, made by benchmarks/hills.py.\n"
        "Tape and inclinometer, one leg a line; up is positive."
    )
    chainages = np.arange(11) * 2.75 * ft
    text = sections_csv(hill, chainages, 12.7 * ft, np.random.default_rng(11), us=True, about=about)
    (folder / "sections.csv").write_text(text, "utf-8", newline="\n")


def quarry_garden(folder: Path) -> None:
    """Write a spur above an old quarry face: shots with breaklines, codes and a top string."""
    rng = np.random.default_rng(23)
    bumps = ((3.4, 2.2, 0.07, 0.7), (9.6, 3.6, -0.09, 0.8), (6.8, 4.6, 0.05, 0.9))
    hill = Hill(math.radians(33), 20, 30, 6.5, 100, (-0.7, -1.6, 0.7), bumps)

    def shot(x: float, y: float, about: str, height: bool = True) -> tuple:
        z = float(hill.z(np.array(x), np.array(y))) + rng.normal(0, 0.008)
        return x, y, z if height else None, about

    rows = []
    for y in (-3.2, -2.4, *np.arange(-0.3, 7.6, 0.95)):
        for x in np.arange(-1.8, 15.0, 1.12):
            # the edge of the survey bows outward, so that no thin triangle hangs on it
            out_x, out_y = 1 - ((y - 2) / 5.4) ** 2, 1 - ((x - 6.5) / 8.4) ** 2
            dx, dy = rng.uniform(-0.25, 0.25, 2) * (1 if 0 < y < 7 and -1 < x < 14 else 0.1)
            wide, deep = (x - 6.5) * 0.08 * out_x, (y - 2) * 0.14 * out_y
            rows.append(shot(float(x + dx + wide), float(y + dy + deep), "GR"))
    rows += [shot(x, -0.7, "BL 1 crest of quarry face") for x in np.arange(-2.2, 15.3, 1.9)]
    rows += [shot(x, -1.6, "BL 2 toe of quarry face") for x in np.arange(-2.2, 15.3, 1.9)]
    outline = [
        (0.2, 0.3), (4.2, 0.0), (9.0, 0.05), (12.9, 0.4), (13.3, 3.0), (12.8, 5.4),
        (9.2, 6.1), (6.4, 6.25), (3.1, 6.05), (0.3, 5.3), (-0.2, 2.8),
    ]  # fmt: skip
    rows += [shot(x, y, "OL") for x, y in outline]
    rows += [shot(x, y, "TS, string peg") for x, y in ((0.9, 5.3), (6.5, 5.95), (12.2, 5.35))]
    trail = [(11.1, -0.2), (12.3, -0.2), (13.9, 2.3), (14.2, 3.2), (13.0, 3.3), (12.5, 2.3)]
    rows += [shot(x, y, "EX trail") for x, y in trail]
    boulder = [(3.0, 3.9), (3.7, 3.7), (4.1, 4.2), (3.7, 4.8), (3.1, 4.6)]
    rows += [shot(x, y, "EX boulder, foot of it", height=False) for x, y in boulder]
    (folder / "points.csv").write_text(shots_csv(rows), "utf-8", newline="\n")


def long_meadow(folder: Path) -> None:
    """Write a long gentle hillside from the air: a DEM and an outline in longitude, latitude."""
    wide, deep, turn = 56.0, 44.0, math.radians(20)
    rng = np.random.default_rng(37)
    bumps = tuple((x - 24, y - 12, h, 2.5 * w) for x, y, h, w in humps(rng, 48, 24, 30, 0.2))
    hill = Hill(math.radians(25), 120, 150, 0, 210, None, bumps)
    write_dem(folder / "dem.tif", hill, wide, deep, 0.5, turn)
    ring = np.array([(-9.4, -3.9), (0, -4.2), (9.6, -3.7), (9.9, 3.0), (3, 3.6), (-9.2, 3.2)])
    edge = out_of_hill(ring, wide, deep, turn)
    box = out_of_hill(np.array([[5.2, 0.6]]), wide, deep, turn)
    tree = out_of_hill(np.array([[-6.1, -1.2]]), wide, deep, turn)
    text = geojson(
        [
            ("outline", "meadow", edge, {}),
            ("exclusion", "utility box", box, {"radius": "2.5 ft"}),
            ("exclusion", "old apple tree", tree, {"radius": "3 ft"}),
        ]
    )
    (folder / "outline.geojson").write_text(text, "utf-8", newline="\n")


EXAMPLES = {
    "bracken-bank": bracken_bank,
    "quarry-garden": quarry_garden,
    "long-meadow": long_meadow,
}


def main() -> None:
    """Read the command line."""
    parser = argparse.ArgumentParser(description="Make invented hillsides.")
    parser.add_argument("folder", type=Path)
    parser.add_argument("--examples", action="store_true", help="write the examples' surveys there")
    parser.add_argument("--kind", choices=("sections", "points", "dem"), default="points")
    parser.add_argument("--width", type=float, default=12.0, help="metres along the contour")
    parser.add_argument("--depth", type=float, default=8.0, help="metres up the slope, in plan")
    parser.add_argument("--slope", type=float, default=32.0, help="degrees")
    parser.add_argument(
        "--spacing", type=float, default=1.0, help="metres between what is measured"
    )
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--us", action="store_true", help="sections in feet")
    given = parser.parse_args()
    if given.examples:
        for name, make in EXAMPLES.items():
            (given.folder / name).mkdir(parents=True, exist_ok=True)
            make(given.folder / name)
        return
    job = write_hill(
        given.folder, given.kind, given.width, given.depth, given.seed,
        slope=math.radians(given.slope), spacing=given.spacing, us=given.us,
    )  # fmt: skip
    print(job)


if __name__ == "__main__":
    main()
