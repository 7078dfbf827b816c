/** The plan as a canvas that can be looked at and worked on by mouse, touch and keyboard. */

import { effect, useSignal } from "@preact/signals";
import { useEffect, useRef } from "preact/hooks";
import { usesOf } from "../parts/model";
import { submit } from "../state/edits";
import { choose, chosen, chosenCell } from "../state/chosen";
import { fresh, handle, hover, look, over, showAll, tool, view } from "../state/eye";
import { job, parts, units } from "../state/job";
import { layersNow, shown } from "../state/shown";
import { t } from "../words";
import { cellAt, cellGrid } from "./cellgrid";
import { deviceSize } from "./crisp";
import { draw } from "./draw";
import { Layer, MANY } from "./layer";
import { nearest, nearestPiece } from "./near";
import { kept } from "./paths";
import { TOOLS, type At, type Draft } from "./tools";
import { panned, toHill, turned, zoomed, type Point } from "./view";
import { nextCell, type Way } from "./walk";

const grid = kept(cellGrid);
const uses = kept(usesOf);
const REACH = 14, FINGER = 24; // of a pointer, of a finger [CSS px]
const STILL = 4; // a press that moves no farther is a click [CSS px]

const at = (): At => ({ parts: parts.value, job: job.value?.job ?? {}, units: units.value });
const handles = (): Point[] => (tool.value ? TOOLS[tool.value].handles(at()) : []);

export const Plan = () => {
  const canvas = useRef<HTMLCanvasElement>(null);
  const draft = useSignal<Draft | null>(null);

  useEffect(() => {
    const element = canvas.current!, ctx = element.getContext("2d", { alpha: false })!;
    let frame = 0, again = (): void => undefined;
    const layer = new Layer(() => again());
    const sized = (): void => {
      const { clientWidth: width, clientHeight: height } = element, ratio = devicePixelRatio;
      if (!width || !height) return;
      element.width = deviceSize(width, ratio);
      element.height = deviceSize(height, ratio);
      view.value = { ...view.value, width, height };
      if (fresh.value) showAll();
    };
    const watch = new ResizeObserver(sized);
    watch.observe(element);
    sized();
    // the first plan is shown whole, and a plan that changes stays whole until somebody looks closer
    const follow = effect(() => {
      if ((parts.value.ground || parts.value.cells) && fresh.peek()) queueMicrotask(showAll);
    });
    const redraw = effect(() => {
      const picture = {
        parts: parts.value, uses: uses(parts.value), shown: shown.value, layers: layersNow.value, chosen: chosenCells(), hover: hover.value,
        pipe: chosen.value?.kind === "pipe" ? chosen.value.index : -1,
        bar: chosen.value?.kind === "bar" ? chosen.value.index : -1,
        draft: draft.value, handles: handles(), active: handle.value,
      };
      const v = view.value;
      again = (): void => {
        cancelAnimationFrame(frame);
        frame = requestAnimationFrame(() => {
          const start = performance.now(), many = (picture.parts.cells?.n ?? 0) > MANY;
          const detail = many ? layer.paint(ctx, v, devicePixelRatio, picture) : draw(ctx, v, devicePixelRatio, picture);
          performance.measure("draw", { start, detail }); // what benchmarks/bench_page.py reads
        });
      };
      again();
    });
    const undo = hands(element, draft);
    return () => {
      watch.disconnect();
      follow();
      redraw();
      undo();
      layer.close();
      cancelAnimationFrame(frame);
    };
  }, []);

  const cells = parts.value.cells;
  const label = t("hill.label", { cells: cells?.n ?? 0, rows: cells?.n ? cells.row[cells.n - 1] : 0 });
  return <canvas ref={canvas} id="plan" class={`plan ${tool.value ? "moving" : ""}`} tabIndex={0} role="application" aria-label={label} data-view={JSON.stringify(view.value)} onKeyDown={keys} />;
};

const chosenCells = (): number[] => {
  const c = chosen.value, cells = parts.value.cells;
  if (chosenCell.value >= 0) return [chosenCell.value];
  if (c?.kind !== "row" || !cells) return [];
  return Array.from(cells.row.keys()).filter((i) => cells.row[i] === c.row);
};

/** The anchor or pipe that is drawn at a place. */
const smallAt = (p: Point): { kind: "bar" | "pipe"; index: number } | null => {
  const { drip, bars } = parts.value, reach = REACH / 2 / view.value.scale;
  const bar = bars && layersNow.value.bars ? nearest(bars.place, 3, p, reach) : -1;
  if (bar >= 0) return { kind: "bar", index: bar };
  const pipe = drip && layersNow.value.drip ? nearestPiece(drip.line, p, reach) : -1;
  return pipe >= 0 ? { kind: "pipe", index: pipe } : null;
};

/** Choose what lies at a place: a bar, a pipe, a cell, or with `row` the whole row. */
const pick = (p: Point, row: boolean): void => {
  const { cells } = parts.value, small = smallAt(p);
  if (small) return choose(small);
  const i = cells ? cellAt(grid(cells.corners), cells.corners, ...p) : -1;
  if (i < 0 || !cells) return choose(null);
  choose(row ? { kind: "row", row: cells.row[i] } : { kind: "cell", row: cells.row[i], number: cells.number[i] });
};

/** Mouse, pen and fingers. Returns how to let go of them. */
const hands = (element: HTMLCanvasElement, draft: { value: Draft | null }): (() => void) => {
  const down = new Map<number, Point>();
  let from: Point = [0, 0], moved = false, grip = -1;
  const spot = (e: MouseEvent): Point => {
    const box = element.getBoundingClientRect();
    return [e.clientX - box.left, e.clientY - box.top];
  };
  let reach = REACH;
  const hill = (s: Point): Point => toHill(view.value, s[0], s[1]);

  const press = (e: PointerEvent): void => {
    if (e.button > 1) return;
    element.setPointerCapture(e.pointerId);
    down.set(e.pointerId, spot(e));
    if (down.size > 1) {
      grip = -1;
      draft.value = null;
      return;
    }
    from = spot(e);
    moved = false;
    reach = (e.pointerType === "touch" ? FINGER : REACH) / view.value.scale;
    grip = nearest(handles().flat(), 2, hill(from), reach);
    handle.value = grip;
  };
  const move = (e: PointerEvent): void => {
    const s = spot(e), before = down.get(e.pointerId);
    if (!before) {
      const cells = parts.value.cells;
      if (e.pointerType === "mouse" && cells) hover.value = cellAt(grid(cells.corners), cells.corners, ...hill(s));
      if (e.pointerType === "mouse") over.value = tool.value ? null : smallAt(hill(s));
      return;
    }
    moved ||= Math.hypot(s[0] - from[0], s[1] - from[1]) > STILL;
    if (down.size === 2) pinch(e.pointerId, before, s);
    else if (grip >= 0 && moved) draft.value = TOOLS[tool.value!].draft(at(), grip, hill(s));
    else if (moved) look(panned(view.value, s[0] - before[0], s[1] - before[1]));
    down.set(e.pointerId, s);
  };
  const pinch = (id: number, before: Point, now: Point): void => {
    const other = [...down].find(([k]) => k !== id)![1];
    const far = (p: Point): number => Math.max(1, Math.hypot(p[0] - other[0], p[1] - other[1]));
    const mid = (p: Point): Point => [(p[0] + other[0]) / 2, (p[1] + other[1]) / 2];
    const [a, b] = [mid(before), mid(now)];
    look(zoomed(panned(view.value, b[0] - a[0], b[1] - a[1]), far(now) / far(before), b[0], b[1]));
  };
  const lift = (e: PointerEvent): void => {
    const single = down.size === 1;
    if (!down.delete(e.pointerId) || !single || e.type === "pointercancel") {
      draft.value = null;
      return;
    }
    const p = hill(spot(e)), hand = tool.value && TOOLS[tool.value];
    draft.value = null;
    if (hand && grip >= 0) {
      if (moved) done(hand.drop(at(), grip, p));
    } else if (!moved) {
      const made = hand?.press?.(at(), p, reach);
      if (made) done(made);
      else if (!hand) pick(p, e.shiftKey);
    }
  };
  const wheel = (e: WheelEvent): void => {
    e.preventDefault();
    const lines = e.deltaMode === 1 ? 16 : 1;
    look(zoomed(view.value, Math.exp(-e.deltaY * lines * (e.ctrlKey ? 0.01 : 0.0018)), ...spot(e)));
  };
  const leave = (): void => {
    hover.value = -1;
    over.value = null;
  };
  // what is being dragged goes back to where it was
  const letGo = (e: KeyboardEvent): void => {
    if (e.key !== "Escape" || grip < 0 || !down.size) return;
    grip = -1;
    moved = true;
    down.clear();
    draft.value = null;
    e.stopImmediatePropagation();
    e.preventDefault();
  };
  element.addEventListener("keydown", letGo, { capture: true });
  const on: [string, (e: any) => void][] = [
    ["pointerdown", press], ["pointermove", move], ["pointerup", lift], ["pointercancel", lift], ["pointerleave", leave], ["wheel", wheel],
  ];
  for (const [name, hear] of on) element.addEventListener(name, hear, { passive: false });
  return () => {
    element.removeEventListener("keydown", letGo, { capture: true });
    on.forEach(([name, hear]) => element.removeEventListener(name, hear));
  };
};

const done = (made: { summary: string; patch: Parameters<typeof submit>[1] } | null): void => {
  if (made) submit(made.summary, made.patch);
};

const WAYS: Record<string, Way> = { ArrowLeft: "left", ArrowRight: "right", ArrowUp: "up", ArrowDown: "down" };
const NUDGE = 24; // of one press of an arrow key [CSS px]

const keys = (e: KeyboardEvent): void => {
  const v = view.value, way = WAYS[e.key], cells = parts.value.cells;
  const dx = way === "left" ? 1 : way === "right" ? -1 : 0, dy = way === "up" ? 1 : way === "down" ? -1 : 0;
  if (e.ctrlKey || e.metaKey || e.altKey) return;
  if (way && tool.value && handle.value >= 0 && !e.shiftKey) nudge(-dx, -dy);
  else if (way && cells && chosenCell.value >= 0 && !e.shiftKey) {
    const i = nextCell(cells, chosenCell.value, way);
    choose({ kind: "cell", row: cells.row[i], number: cells.number[i] });
  } else if (way) look(panned(v, dx * NUDGE * 2, dy * NUDGE * 2));
  else if (e.key === "+" || e.key === "=") look(zoomed(v, 1.25));
  else if (e.key === "-") look(zoomed(v, 0.8));
  else if (e.key === "0") showAll();
  else if (e.key === "[" || e.key === "]") look(turned(v, e.key === "[" ? Math.PI / 12 : -Math.PI / 12));
  else if (e.key === "Enter" && cells?.n && !tool.value) {
    const i = chosenCell.value >= 0 ? chosenCell.value : Math.floor(cells.n / 2);
    choose({ kind: "cell", row: cells.row[i], number: cells.number[i] });
  } else if (e.key === "Escape") {
    if (tool.value) tool.value = null;
    else choose(null);
  } else if (e.key === "Delete" && tool.value && handle.value >= 0) done(TOOLS[tool.value].remove?.(at(), handle.value) ?? null);
  else if (e.key === "n" && tool.value) handle.value = (handle.value + 1) % Math.max(1, handles().length);
  else return;
  e.preventDefault();
};

/** Move the chosen handle by a tenth of the job's unit. */
const nudge = (dx: number, dy: number): void => {
  const here = handles()[handle.value], v = view.value, by = layersNow.value.unit / 10;
  const c = Math.cos(v.turn), s = Math.sin(v.turn);
  done(TOOLS[tool.value!].drop(at(), handle.value, [here[0] + by * (c * dx - s * dy), here[1] + by * (-s * dx - c * dy)]));
};
