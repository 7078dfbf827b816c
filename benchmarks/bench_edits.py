"""Edits of a hillside of about 500 cells: from the saved edit to what it changes on the page.

Through the same process and pipe as the page's; and within this process, where its processor time
can be taken, which others on the machine do not lengthen. The yardstick is a plan of the same job
with everything redone: an edit's ratio to it says what redoing only what changed is worth.
Run: python benchmarks/bench_edits.py
"""

import platform
import tempfile
import threading
import time
import tomllib
from pathlib import Path

from hillwright.job.read import open_job
from hillwright.plan import work_out
from hillwright.planting.model import PLANTED
from hillwright.store.pointer import operations
from hillwright.store.sqlite import SqliteStore
from hillwright.store.toml import edited
from hillwright.web.hub import Hub
from hillwright.web.live import LiveMemo
from hillwright.web.places import written
from hillwright.web.planner import Limits, Planner
from hillwright.web.serve import beside

JOB = Path(__file__).parents[1] / "examples" / "long-meadow" / "job.toml"
ROUNDS = 3


class Clock(Hub):
    """Notes when each part came, and when the plan stood."""

    def __init__(self) -> None:
        super().__init__()
        self.start, self.parts, self.done = 0.0, {}, threading.Event()

    def begin(self) -> None:
        self.start, self.parts = time.perf_counter(), {}
        self.done.clear()

    def tell(self, kind, data) -> None:
        now = time.perf_counter() - self.start
        for name in data.get("parts", {}) if kind == "stage" else ():
            self.parts.setdefault(name, now)
        if kind in ("plan", "problems", "cancelled"):
            self.parts[kind] = now
            self.done.set()


def edits(plan, text):
    """Give an edit of each kind, and the part that shows it: three of each, no two the same."""
    frame = plan.site.frame
    place = {"origin": (frame.origin_x, frame.origin_y), "scale": frame.scale}
    projection = frame.crs if frame.crs.startswith("+proj") else ""
    place |= {"unit_name": frame.unit_name, "projection": projection}
    units, there = plan.job.units, tomllib.loads(text)
    grown = [i for i in range(len(plan.layout.row)) if plan.planting.use[i] == PLANTED]
    herbs = [p.id for p in plan.planting.plants if p.kind == "herb"][:ROUNDS]
    outline = {k: v for k, v in there.get("outline", {}).items() if k not in ("file", "corners")}
    for k in range(ROUNDS):
        price = {**there.get("watering", {}), "price": 3.0 + k}
        yield "price", "answers", [("/watering", price)]
        cell = grown[len(grown) // 2 + 7 * k]
        pin = {"cell": f"R{plan.layout.row[cell]}-{plan.layout.number[cell]}", "plant": herbs[k]}
        yield "plant", "plants", [("/pin", [*there.get("pin", []), pin])]
        emitter = {"name": "own", "flow": f"0.{5 + k} gal/h", "pressure": "10 psi"}
        yield "emitter", "drip", [("/emitter", [{**emitter, "highest": "50 psi"}])]
        ring = plan.surface.outline.copy()
        ring[0] += 0.04 * (k + 1) * (ring.mean(axis=0) - ring[0])
        corners = [written((float(x), float(y)), place, units) for x, y in ring]
        yield "outline", "cells", [("/outline", {**outline, "corners": corners})]


def main() -> None:
    """Time each edit and print it beside the cold plan."""
    opened = open_job(JOB)
    plan = work_out(opened)
    with tempfile.TemporaryDirectory() as folder:
        store, clock = SqliteStore(Path(folder) / "jobs.sqlite"), Clock()
        files = beside(opened.path)
        revision = store.create("bench", files)
        planner = Planner(clock, store.blob, Limits())

        def run(revision) -> dict[str, float]:
            clock.begin()
            planner.plan(revision)
            clock.done.wait()
            return dict(clock.parts)

        run(revision)  # opens the process and loads its libraries
        text = files["job.toml"].decode()
        for k in range(2):  # until every library is loaded and every table read
            twist = [("/cell/max_twist", f"{21 + k} mm")]
            run(changed(store, revision.job, files, text, twist))
        found: dict[str, list[tuple[float, float]]] = {}
        cold = []
        for k, (kind, shows, patch) in enumerate(edits(plan, text)):
            if k % 4 == 0:  # nothing of the ground up is known for another smoothing
                grading = [("/grading", {"smooth": f"{0.31 + 0.01 * k:.2f} m"})]
                cold.append(run(changed(store, revision.job, files, text, grading))["plan"])
                run(changed(store, revision.job, files, text, []))
            told = run(changed(store, revision.job, files, text, patch))
            end = told.get("plan", float("nan"))
            found.setdefault(kind, []).append((told.get(shows, end), end))
        planner.close()
        store.close()
    work = processor(plan, text, files)
    base = min(cold)
    print(f"Python {platform.python_version()}, {len(plan.layout.row)} cells")
    print(f"everything redone: {1000 * base:.0f} ms")
    bars = {"price": 150, "plant": 150, "emitter": 150, "outline": 1000}
    for kind, times in found.items():
        first, whole = min(t[0] for t in times), min(t[1] for t in times)
        print(
            f"{kind:8s} on the page {1000 * first:5.0f} ms (bar {bars[kind]}), "
            f"ratio {first / base:.2f}; "
            f"whole plan {1000 * whole:5.0f} ms, ratio {whole / base:.2f}; "
            f"processor time {1000 * work[kind][0]:4.0f} and {1000 * work[kind][1]:4.0f} ms"
        )


def processor(plan, text, files) -> dict[str, tuple[float, float]]:
    """Give the least processor time of each kind of edit: until it is told, and of the plan [s]."""
    with tempfile.TemporaryDirectory() as folder:
        for name, body in files.items():
            (Path(folder) / name).write_bytes(body)
        file, told, start = Path(folder) / "job.toml", {}, 0.0

        def tell(word, what) -> None:
            for name in what.get("parts", {}):
                told.setdefault(name, time.process_time() - start)

        memo = LiveMemo(tell, lambda: None)
        memo.plan(open_job(file))
        found = {}
        for kind, shows, patch in edits(plan, text):
            steps = [{"op": "add", "path": path, "value": value} for path, value in patch]
            file.write_text(edited(text, operations(steps)), "utf-8")
            told.clear()
            start = time.process_time()
            memo.plan(open_job(file))
            whole = time.process_time() - start
            times = (told.get(shows, whole), whole)
            found[kind] = tuple(map(min, times, found.get(kind, times)))
            file.write_text(text, "utf-8")
            memo.plan(open_job(file))
        return found


def changed(store, job, files, text, patch):
    """Save the job with a patch on top of the first text."""
    steps = [{"op": "add", "path": path, "value": value} for path, value in patch]
    new = {**files, "job.toml": edited(text, operations(steps)).encode()}
    return store.save(job, store.revision(job).number, new)


if __name__ == "__main__":
    main()
