"""The plan of 5,000 and 20,000 cells panned and zoomed in the page, in a headless browser.

Yardstick: the same cells drawn in the same browser the plain way, cell by cell: a path, a fill, a
stroke. Both are timed until the pixels are there (a read of one pixel waits for them).
"""

import platform
import re
import statistics
import sys
from importlib.metadata import version
from pathlib import Path

import numpy as np

ROOT = Path(__file__).parents[1]
sys.path.insert(0, str(ROOT / "tests" / "page"))

from drive import launched  # noqa: E402

from hillwright.web.packed import Column, as_json, pack  # noqa: E402

PAGE = ROOT / "src" / "hillwright" / "web" / "page"
CELLS = (5_000, 20_000)
STEPS = 60
ASKED = 16.0  # of issue 10, for 5,000 cells [ms]

PANNED = """async steps => {
  const c = document.getElementById("plan"), ctx = c.getContext("2d");
  const box = c.getBoundingClientRect();
  const times = [];
  for (let k = 0; k < steps; k++) {
    performance.clearMeasures("draw");
    c.dispatchEvent(new WheelEvent("wheel", { deltaY: k % 2 ? 30 : -30, cancelable: true,
      clientX: box.left + 200 + k, clientY: box.top + 150 }));
    await new Promise(requestAnimationFrame);
    const start = performance.now();
    ctx.getImageData(0, 0, 1, 1);
    const raster = performance.now() - start;
    const drawn = performance.getEntriesByName("draw").at(-1);
    if (drawn) times.push(drawn.duration + raster);
  }
  return times;
}"""

PLAIN = """([corners, scale, width, height, steps]) => {
  const c = document.createElement("canvas");
  c.width = width; c.height = height;
  const ctx = c.getContext("2d", { alpha: false }), times = [];
  for (let k = 0; k < steps; k++) {
    const start = performance.now();
    ctx.setTransform(1, 0, 0, 1, 0, 0);
    ctx.fillStyle = "#fbf7ec";
    ctx.fillRect(0, 0, width, height);
    ctx.setTransform(scale, 0, 0, -scale, 30 + k, 30);
    ctx.lineWidth = 1 / scale;
    for (const q of corners) {
      ctx.beginPath();
      ctx.moveTo(q[0], q[1]);
      for (let i = 2; i < 8; i += 2) ctx.lineTo(q[i], q[i + 1]);
      ctx.closePath();
      ctx.fillStyle = "#d9ddba";
      ctx.fill();
      ctx.strokeStyle = "#2c2721";
      ctx.stroke();
    }
    ctx.getImageData(0, 0, 1, 1);
    times.push(performance.now() - start);
  }
  return times;
}"""


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


def main():
    with launched() as browser:
        print(f"Chromium {browser.version}, driver {version('playwright')}, {platform.machine()}")
        for n in CELLS:
            page = browser.new_page(viewport={"width": 1800, "height": 960})
            served(page, n)
            canvas = page.locator("#plan")
            width, height = canvas.evaluate("c => [c.width, c.height]")
            scale = canvas.evaluate("c => JSON.parse(c.dataset.view).scale")
            corners = hill(n)[0][..., :2].reshape(n, 8).round(3).tolist()
            plain = page.evaluate(PLAIN, [corners, scale, width, height, 12])
            for overlay in ("plants", "gap"):
                page.select_option(".bar select >> nth=0", overlay)
                page.wait_for_timeout(300)
                ours = statistics.median(page.evaluate(PANNED, STEPS))
                other = statistics.median(plain)
                print(
                    f"{n:,} cells on {width} x {height} px, {overlay}: {ours:.1f} ms a redraw; "
                    f"cell by cell {other:.1f} ms; ratio {ours / other:.2f}"
                    + (f"; asked for: under {ASKED:.0f} ms" if n == CELLS[0] else "")
                )
            page.close()


if __name__ == "__main__":
    main()
