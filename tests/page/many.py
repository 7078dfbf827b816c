"""A plan of as many cells as one likes, served to the page without a service."""

import re

import numpy as np
from drive import ROOT

from hillwright.web.packed import Column, as_json, pack

PAGE = ROOT / "src" / "hillwright" / "web" / "page"


def hill(n):
    """Give the corners, row and number of n cells on a wavy slope."""
    columns = int(np.sqrt(1.6 * n))
    k = np.arange(n)
    row, number = k // columns, k % columns
    x, y = number * 0.6, -row * 0.38

    def at(x, y):
        return np.stack([x, y + 0.6 * np.sin(x / 12), 40 + 0.6 * y], axis=-1)

    ring = [at(x, y), at(x + 0.6, y), at(x + 0.6, y - 0.38), at(x, y - 0.38)]
    return np.stack(ring, axis=1), row + 1, number + 1


def parts(n):
    """Give the parts of a plan of n cells, as the service would."""
    corners, row, number = hill(n)
    x1, y0 = corners[..., 0].max() + 1, corners[..., 1].min() - 1
    outline = [[-1, 2], [x1, 2], [x1, y0], [-1, y0]]
    levels = np.linspace(y0, 2, 30)
    lines = np.array([[[-3, y], [x1 + 2, y]] for y in levels])
    none = np.zeros((0, 2))
    ground = {
        "outline": Column("f8", outline),
        "contour_xy": Column("f4", lines.reshape(-1, 2)),
        "contour_start": Column("u4", np.arange(31) * 2),
        "contour_level": Column("f4", levels),
        "grid": Column("f4", np.zeros((2, 2))),
        "spots_xy": Column("f4", none),
        "spots_start": Column("u4", [0]),
    }
    told = {"grid": {"x0": 0, "y0": 0, "step": 1}, "interval": 1.0, "north": 0.0, "exclusions": []}
    cells = {
        "corners": Column("f4", corners),
        "row": Column("i4", row),
        "number": Column("i4", number),
        "trimmed": Column("u1", row * 0),
        "anchored": Column("u1", row == 1),
        "top_string": Column("f8", corners[:2, 0]),
    }
    depth = {"cell": {"depth": 0.2}, "count": n, "bound": n, "seams": [], "left_out": []}
    rng = np.random.default_rng(1)
    plants = {
        "use": Column("u1", np.where(np.arange(n) % 7, 2, 1)),
        "cell_plant": Column("i4", np.full(n, -1)),
        "group_plant": Column("i4", []),
        "group_centre": Column("f4", np.zeros((0, 3))),
        "group_cells": Column("i4", []),
        "group_start": Column("u4", [0]),
    }
    answer = {"question": "?", "short": "", "verdict": "clear", "lines": [], "figures": []}
    return {
        "ground": pack(ground, told),
        "cells": pack(cells, depth),
        "plants": pack(plants, {"plants": [], "latitude": 0.6}),
        "overlays.fit": pack({"gap": Column("f4", rng.random(n))}),
        "answers": as_json({"answers": [{**answer, "number": 1, "caution": ""}], "warnings": []}),
    }


def served(page, n):
    """Have the page find a plan of n cells behind every address that it asks."""
    made = parts(n)
    job = {
        **{"id": "0", "name": f"{n} cells", "units": "metric", "revision": 1, "saved": ""},
        **{"archived": False, "undo": None, "redo": None, "job": {}, "files": [], "problems": []},
    }
    heads = {name: {"digest": name, "url": ""} for name in made}
    plan = {"revision": 1, "units": "metric", "state": "done", "stages": [], "parts": heads}
    kinds = {".js": "text/javascript", ".css": "text/css", ".html": "text/html"}

    def answer(route):
        path = re.sub(r"^https?://[^/]+", "", route.request.url)
        if path.startswith("/api/"):
            last = path.rsplit("/", 1)[1]
            if last in made:
                found = made[last]
            elif last == "events":
                return route.abort()
            else:
                found = as_json({**plan, "problems": []} if last == "plan" else job)
            return route.fulfill(body=found.body, content_type=found.media)
        file = PAGE / path.lstrip("/")
        file = file if file.is_file() else PAGE / "index.html"
        kind = kinds.get(file.suffix, "application/octet-stream")
        return route.fulfill(body=file.read_bytes(), content_type=kind)

    page.route("**/*", answer)
    page.goto("http://hill.invalid/jobs/0")
    page.wait_for_selector(".question")
    page.wait_for_timeout(800)
