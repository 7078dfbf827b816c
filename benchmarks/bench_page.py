"""The plan of 5,000 and 20,000 cells panned and zoomed in the page, in a headless browser.

Yardstick: the same cells drawn in the same browser the plain way, cell by cell: a path, a fill, a
stroke. Both are timed until the pixels are there (a read of one pixel waits for them). Beside it
the time from frame to frame of a drag, with whatever is drawn anew between two frames.
"""

import platform
import statistics
import sys
from importlib.metadata import version
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "tests" / "page"))

from drive import launched
from many import hill, served

CELLS = (5_000, 20_000)
STEPS = 60
ASKED = 16.0  # a frame of 60 a second, for 5,000 cells [ms]

DRAGGED = """async steps => {  // from frame to frame while the plan is dragged
  const c = document.getElementById("plan"), box = c.getBoundingClientRect(), times = [];
  c.setPointerCapture = () => undefined;
  const hand = (kind, k) => c.dispatchEvent(new PointerEvent(kind, { pointerId: 1, button: 0,
    clientX: box.left + 300 - 5 * k, clientY: box.top + 300 + k, pointerType: "mouse" }));
  hand("pointerdown", 0);
  let last = performance.now();
  for (let k = 1; k <= steps; k++) {
    hand("pointermove", k);
    await new Promise(requestAnimationFrame);
    times.push(performance.now() - last);
    last = performance.now();
  }
  hand("pointerup", steps);
  return times;
}"""

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
                page.wait_for_timeout(1000)
                frames = page.evaluate(DRAGGED, STEPS)
                page.wait_for_timeout(1000)
                other = statistics.median(plain)
                print(
                    f"{n:,} cells on {width} x {height} px, {overlay}: {ours:.1f} ms a redraw; "
                    f"cell by cell {other:.1f} ms; ratio {ours / other:.2f}; dragged, a frame "
                    f"every {statistics.median(frames):.1f} ms (worst {max(frames):.0f})"
                    + (f"; asked for: under {ASKED:.0f} ms" if n == CELLS[0] else "")
                )
            page.close()


if __name__ == "__main__":
    main()
