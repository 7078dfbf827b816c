"""Edits of about 500 cells in a real browser: from the key or choice to the frame that shows it.

The service saves the edit on the disk, its worker works the plan out, the parts that changed are
fetched and drawn. Yardstick: the same browser's and service's round trip for nothing, a fetch of
the job as it stands and the next frame. Run: python benchmarks/bench_screen.py
"""

import platform
import statistics
import sys
import tempfile
from importlib.metadata import version
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "tests" / "page"))

from drive import Hill, Serving, launched

BARS = {"price": 150, "plant": 150, "emitter": 150, "outline": 1000}  # [ms]
ROUNDS = 5

# until what stands at a place on the page is another text, and a frame with it is on its way
WATCHED = """([selector, nth]) => {
  const text = () => document.querySelectorAll(selector)[nth]?.textContent ?? "";
  const before = text();
  let start = 0;
  const begin = e => { if (e.type === "change" || e.key === "Enter") start ||= performance.now(); };
  for (const kind of ["change", "keydown"]) document.addEventListener(kind, begin, true);
  window.shown = new Promise((done, never) => {
    setTimeout(() => never(new Error(`still as it was: ${before}`)), 20_000);
    const seen = new MutationObserver(() => {
      if (!start || text() === before || !text()) return;
      seen.disconnect();
      for (const kind of ["change", "keydown"]) document.removeEventListener(kind, begin, true);
      requestAnimationFrame(() => done(performance.now() - start));
    });
    seen.observe(document.body, { subtree: true, childList: true, characterData: true });
  });
}"""

NOTHING = """async path => {
  const start = performance.now();
  await (await fetch(path)).json();
  await new Promise(requestAnimationFrame);
  return performance.now() - start;
}"""


def timed(hill, selector, do, nth=0):
    """Give the milliseconds until the text at a place is another."""
    hill.page.evaluate(WATCHED, [selector, nth])
    found = []
    hill.change(lambda: (do(), found.append(hill.page.evaluate("() => window.shown"))))
    hill.page.wait_for_timeout(500)
    return found[0]


def price(hill, k):
    """Another share of profit: the price in the answer to question 9."""
    hill.page.locator(".question").nth(8).click()
    do = lambda: hill.set("/estimate/profit", f"{16 + k} %")  # noqa: E731
    return timed(hill, ".question .short", do, 8)


def plant(hill, k):
    """Another plant in a cell: what the panel says grows there."""
    hill.page.get_by_role("button", name="As a table").click()
    hill.page.get_by_role("button", name=f"Row {5 + k}, cell 9:").click()
    choice = hill.page.locator(".chosen .decide select")
    grows = hill.page.locator(".chosen .facts").inner_text()
    name = "Oregano" if "Oregano" not in grows else "Thyme"
    do = lambda: choice.select_option(label=f"plant {name}")  # noqa: E731
    return timed(hill, ".chosen .facts", do)


def emitter(hill, k):
    """Another kind of emitter: the range of flows beside the drawing."""
    hill.page.get_by_role("button", name="Plan", exact=True).click()
    hill.page.select_option(".bar select >> nth=0", "emitter_flow")
    hill.page.locator(".question").nth(6).click()
    field = hill.page.locator("[data-key='/irrigation/emitters']")
    hill.unfolded(field)
    do = lambda: field.select_option("turbulent" if k % 2 == 0 else "compensating")  # noqa: E731
    return timed(hill, ".legend", do)


def outline(hill, k):
    """A corner of the outline moved by its numbers: the count of cells."""
    hill.page.get_by_role("button", name="Plan", exact=True).click()
    hill.tool("outline")
    along = hill.points().nth(2).locator("input").first
    value = along.input_value()
    along.fill(f"{float(value) + (-2.0 if k % 2 == 0 else 2.0):.2f}")
    return timed(hill, ".question .short", lambda: along.press("Enter"), 1)


def main():
    """Print a line for each kind of edit."""
    with tempfile.TemporaryDirectory() as folder, launched() as browser:
        print(f"Chromium {browser.version}, driver {version('playwright')}, {platform.machine()}")
        with Serving(Path(folder)) as serving:
            job = serving.started(example="long-meadow")
            page = browser.new_page(viewport={"width": 1440, "height": 900}, locale="en-US")
            page.set_default_timeout(60_000)
            page.goto(serving.address)
            page.wait_for_selector("h1")
            hill = Hill(page, serving, job).open()
            nothing = statistics.median(page.evaluate(NOTHING, f"/api/jobs/{job}") for _ in "12345")
            print(f"{hill.cells()} whole cells; a fetch of the job and a frame: {nothing:.0f} ms")
            for edit in (price, plant, emitter, outline):
                took = [edit(hill, k) for k in range(ROUNDS)]
                print(
                    f"{edit.__name__:8} on the screen in {statistics.median(took):4.0f} ms, worst "
                    f"{max(took):4.0f} (bar {BARS[edit.__name__]}), ratio "
                    f"{statistics.median(took) / nothing:.0f}"
                )


if __name__ == "__main__":
    main()
