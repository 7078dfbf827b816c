/** Draws the plan: everything in hill metres under one transform, words and handles in pixels on top. */

import { number } from "../numbers";
import { plantOf, type Cells, type Parts } from "../parts/model";
import type { Layers, Shown } from "../state/shown";
import { cellAt, cellGrid } from "./cellgrid";
import { isStrong, labelPlace, upright } from "./contours";
import { LOOK } from "./look";
import { cellEdges, cellPaths, classed, contourPaths, crowns, cutCells, kept, line, pipePaths, quad, spotPaths, struck, treads, ring } from "./paths";
import { meanWidth, middle } from "./quads";
import { inkOn, step, STEPS, tone } from "./tone";
import { boxOf, matrix, meets, seen, toScreen, type Point, type View } from "./view";

export interface Picture {
  parts: Parts;
  /** What each cell is for: the same array as long as nothing changed. */
  uses: Uint8Array;
  shown: Shown;
  layers: Layers;
  /** Indices of chosen cells. */
  chosen: readonly number[];
  hover: number;
  pipe: number;
  bar: number;
  /** What is being dragged: a ring, a line or a circle in its new place. */
  draft: { points: readonly Point[]; closed: boolean } | null;
  handles: readonly Point[];
  active: number;
}

type Ctx = CanvasRenderingContext2D;

const grid = kept(cellGrid);

/** What stands still while somebody looks round, in pieces short enough to be drawn between two frames. */
export function* still(ctx: Ctx, v: View, ratio: number, p: Picture): Generator<void> {
  ctx.setTransform(1, 0, 0, 1, 0, 0);
  ctx.fillStyle = LOOK.paper;
  ctx.fillRect(0, 0, ctx.canvas.width, ctx.canvas.height);
  const px = 1 / v.scale; // of one CSS pixel on the hill [m]
  ctx.setTransform(...matrix(v, ratio));
  ctx.lineJoin = "round";
  drawGround(ctx, px, p);
  yield;
  yield* drawCells(ctx, v, px, ratio, p);
  drawOutline(ctx, px, p);
  drawWater(ctx, px, p);
  drawBars(ctx, px, p);
  yield;
  ctx.setTransform(ratio, 0, 0, ratio, 0, 0);
  drawWords(ctx, v, p);
}

/** What follows the hand: what is chosen, what is dragged, handles. */
export const over = (ctx: Ctx, v: View, ratio: number, p: Picture): void => {
  const px = 1 / v.scale;
  ctx.setTransform(...matrix(v, ratio));
  ctx.lineJoin = "round";
  drawPicked(ctx, px, p);
  drawChosen(ctx, px, p);
  drawDraft(ctx, px, p);
  ctx.setTransform(ratio, 0, 0, ratio, 0, 0);
  ctx.textAlign = "center";
  ctx.textBaseline = "middle";
  drawHandles(ctx, v, p);
};

export const draw = (ctx: Ctx, v: View, ratio: number, p: Picture): void => {
  for (const _ of still(ctx, v, ratio, p)); // all pieces at once
  over(ctx, v, ratio, p);
};

const stroke = (ctx: Ctx, path: Path2D, colour: string, width: number, dash: number[] = []): void => {
  ctx.strokeStyle = colour;
  ctx.lineWidth = width;
  ctx.setLineDash(dash);
  ctx.stroke(path);
  ctx.setLineDash([]);
};

const fill = (ctx: Ctx, path: Path2D, colour: string): void => {
  ctx.fillStyle = colour;
  ctx.fill(path);
};

const drawGround = (ctx: Ctx, px: number, { parts: { ground }, layers }: Picture): void => {
  if (!ground) return;
  const { thin, strong } = contourPaths(ground);
  stroke(ctx, thin, LOOK.contour, px * 0.8);
  stroke(ctx, strong, LOOK.strong, px * 1.4);
  if (layers.spots) {
    const spots = spotPaths(ground);
    fill(ctx, spots, "rgb(147 64 31 / 12%)");
    stroke(ctx, spots, LOOK.accent, px * 1.2, [px * 3, px * 3]);
  }
  for (const e of ground.exclusions) {
    const place = line(e.ring, true);
    fill(ctx, place, "rgb(44 39 33 / 10%)");
    stroke(ctx, place, LOOK.ink, px * 1.2, [px * 6, px * 3]);
  }
};

const TONES = [...Array.from({ length: STEPS }, (_, s) => tone(s)), LOOK.unknown];

const AT_ONCE = 1000; // cells of one piece

function* fillCells(ctx: Ctx, cells: Cells, v: View, of: (i: number) => number, colours: readonly string[]): Generator<void> {
  const paths = cellPaths(cells);
  let left = AT_ONCE;
  for (const [k, list] of classed(cells, of, colours.length, seen(v)).entries()) {
    ctx.fillStyle = colours[k];
    for (const i of list) {
      ctx.fill(paths[i]);
      if (--left) continue;
      left = AT_ONCE;
      yield;
      ctx.fillStyle = colours[k];
    }
  }
}

/** Width of a line that is drawn thousands of times: under one device pixel it is drawn forty times as
 *  fast as over it; only where cells are large, and so few, it is as wide as it should be. */
const hair = (px: number, css: number, wide: number, ratio: number): number => px * (wide > 40 ? css : Math.min(css, 0.95 / ratio));

function* drawCells(ctx: Ctx, v: View, px: number, ratio: number, { parts, uses, shown, layers }: Picture): Generator<void> {
  const { cells, plants } = parts;
  if (!cells) return;
  const wide = meanWidth(cells.corners) * v.scale;
  if (shown.values) {
    const { values, low, high } = shown;
    yield* fillCells(ctx, cells, v, (i) => (step(values[i], low, high) + STEPS + 1) % (STEPS + 1), TONES);
    if (shown.weakBelow !== undefined) {
      const [onLight, onDark] = struck(cells, values, shown.weakBelow, low, high);
      stroke(ctx, onLight, LOOK.ink, hair(px, 1.2, wide, ratio));
      stroke(ctx, onDark, "#ffffff", hair(px, 1.2, wide, ratio));
    }
  } else yield* fillCells(ctx, cells, v, (i) => uses[i], [LOOK.open, LOOK.tread, shown.name === "plain" ? LOOK.open : LOOK.leaf]);
  if (wide > 4)
    for (const path of cellEdges(cells)) {
      stroke(ctx, path, LOOK.ink, hair(px, 0.8, wide, ratio));
      yield;
    }
  if (wide > 9) {
    if (!shown.values) stroke(ctx, treads(cells, uses), LOOK.soft, hair(px, 0.8, wide, ratio));
    stroke(ctx, cutCells(cells), LOOK.soft, hair(px, 0.7, wide, ratio));
  }
  if (plants && layers.crowns) {
    fill(ctx, crowns(plants), "rgb(92 106 52 / 14%)");
    stroke(ctx, crowns(plants), "#5c6a34", px);
  }
}

const drawOutline = (ctx: Ctx, px: number, { parts: { ground, cells } }: Picture): void => {
  if (ground) {
    const path = new Path2D();
    ring(path, ground.outline, 2);
    stroke(ctx, path, LOOK.ink, px * 1.8);
  }
  if (cells?.topString.length) {
    const path = new Path2D();
    for (let i = 0; i < cells.topString.length; i += 3)
      if (i) path.lineTo(cells.topString[i], cells.topString[i + 1]);
      else path.moveTo(cells.topString[i], cells.topString[i + 1]);
    stroke(ctx, path, LOOK.accent, px * 2.2);
  }
};

const PIPES = [
  { width: 3, dash: [9, 3] },
  { width: 2.6, dash: [] },
  { width: 1.6, dash: [] },
  { width: 0.9, dash: [] },
] as const;

const drawWater = (ctx: Ctx, px: number, { parts: { drip, drains, ground }, layers }: Picture): void => {
  for (const d of drains?.drains ?? []) {
    stroke(ctx, line(d.line), LOOK.water, px * 2.4, [px * 10, px * 3, px * 2, px * 3]);
    if (d.lead_line.length) stroke(ctx, line(d.lead_line), LOOK.water, px * 1.6, [px * 10, px * 3, px * 2, px * 3]);
  }
  if (drip && layers.drip) {
    pipePaths(drip).forEach((path, kind) => stroke(ctx, path, LOOK.water, px * PIPES[kind].width, PIPES[kind].dash.map((d) => d * px)));
  }
  const mark = (at: Point | null | undefined): void => {
    if (!at) return;
    const tap = new Path2D();
    tap.arc(at[0], at[1], px * 5, 0, 2 * Math.PI);
    fill(ctx, tap, LOOK.paper);
    stroke(ctx, tap, LOOK.water, px * 2);
  };
  if (layers.drip) mark(ground?.tap);
  for (const [x, y] of ground?.entries ?? []) {
    const door = new Path2D(), r = px * 6;
    door.moveTo(x - r, y - r);
    door.lineTo(x + r, y - r);
    door.lineTo(x, y + r);
    door.closePath();
    fill(ctx, door, LOOK.paper);
    stroke(ctx, door, LOOK.ink, px * 1.6);
  }
};

const drawBars = (ctx: Ctx, px: number, { parts: { bars, cells }, layers }: Picture): void => {
  if (!bars || !layers.bars) return;
  // never larger than a part of a cell: seen from afar they would hide the rows
  const path = new Path2D(), r = Math.min(px * 3.4, cells ? meanWidth(cells.corners) * 0.14 : Infinity);
  for (let i = 0; i < bars.place.length; i += 3) {
    const x = bars.place[i], y = bars.place[i + 1];
    path.moveTo(x - r, y - r);
    path.lineTo(x + r, y + r);
    path.moveTo(x - r, y + r);
    path.lineTo(x + r, y - r);
  }
  stroke(ctx, path, LOOK.ink, px * 1.6);
};

/** The pipe or the bar that is chosen. */
const drawPicked = (ctx: Ctx, px: number, { parts: { drip, bars }, layers, pipe, bar }: Picture): void => {
  if (drip && layers.drip && pipe >= 0 && pipe * 6 < drip.line.length) {
    const [ax, ay, , bx, by] = drip.line.subarray(pipe * 6, pipe * 6 + 6);
    stroke(ctx, line([[ax, ay], [bx, by]]), LOOK.accent, px * 5);
  }
  if (bars && layers.bars && bar >= 0 && bar * 3 < bars.place.length) {
    const at = new Path2D();
    at.arc(bars.place[bar * 3], bars.place[bar * 3 + 1], px * 8, 0, 2 * Math.PI);
    stroke(ctx, at, LOOK.accent, px * 2.5);
  }
};

const drawChosen = (ctx: Ctx, px: number, { parts: { cells }, chosen, hover }: Picture): void => {
  if (!cells) return;
  if (hover >= 0 && hover < cells.n) {
    const path = new Path2D();
    quad(path, cells.corners, hover);
    stroke(ctx, path, LOOK.hover, px * 1.6);
  }
  if (!chosen.length) return;
  const path = new Path2D();
  for (const i of chosen) quad(path, cells.corners, i);
  stroke(ctx, path, LOOK.paper, px * 5);
  stroke(ctx, path, LOOK.accent, px * 3);
};

const drawDraft = (ctx: Ctx, px: number, { draft }: Picture): void => {
  if (draft) stroke(ctx, line(draft.points, draft.closed), LOOK.accent, px * 2, [px * 6, px * 4]);
};

const drawWords = (ctx: Ctx, v: View, { parts, shown, layers }: Picture): void => {
  const { cells, ground } = parts;
  const box = seen(v);
  ctx.textAlign = "center";
  ctx.textBaseline = "middle";
  if (ground) drawHeights(ctx, v, ground, cells, layers.unit);
  if (!cells) return;
  const width = meanWidth(cells.corners) * v.scale;
  drawRowNames(ctx, v, cells, width);
  if (width < 26) return;
  const size = Math.min(15, width / 2.8);
  for (let i = 0; i < cells.n; i++) {
    if (!meets(boxOf(cells.corners.subarray(i * 12, i * 12 + 12), 3), box)) continue;
    const [x, y] = toScreen(v, ...middle(cells.corners, i));
    const value = shown.values ? shown.say(shown.values[i]) : (plantOf(parts, i)?.code ?? "");
    const at = shown.values ? step(shown.values[i], shown.low, shown.high) : 0;
    ctx.fillStyle = shown.values ? inkOn(at) : LOOK.ink;
    ctx.font = `600 ${size}px system-ui, sans-serif`;
    if (value && (!shown.values || width > 44)) ctx.fillText(value, x, y);
    if (width < 64) continue;
    ctx.fillStyle = shown.values ? inkOn(at) : LOOK.soft;
    ctx.font = "11px system-ui, sans-serif";
    ctx.fillText(`${cells.row[i]}·${cells.number[i]}`, x, y + size * 0.9 + 4);
  }
};

/** Number of each row at its left end, as seen looking uphill. */
const drawRowNames = (ctx: Ctx, v: View, cells: NonNullable<Parts["cells"]>, width: number): void => {
  if (width < 9) return;
  ctx.font = "600 11px system-ui, sans-serif";
  ctx.fillStyle = LOOK.soft;
  let last: Point = [-99, -99];
  for (let i = 0; i < cells.n; i++) {
    if (i && cells.row[i] === cells.row[i - 1]) continue;
    const o = i * 12, c = cells.corners;
    // half a cell further left than its first cell
    const x = (c[o] + c[o + 9]) / 2 + 0.32 * (c[o] - c[o + 3]), y = (c[o + 1] + c[o + 10]) / 2 + 0.32 * (c[o + 1] - c[o + 4]);
    const [sx, sy] = toScreen(v, x, y);
    if (Math.hypot(sx - last[0], sy - last[1]) < 13) continue; // no room beside the one before
    last = [sx, sy];
    halo(ctx, String(cells.row[i]), sx, sy);
  }
};

const drawHeights = (ctx: Ctx, v: View, ground: NonNullable<Parts["ground"]>, cells: Parts["cells"], unit: number): void => {
  ctx.font = "10.5px system-ui, sans-serif";
  ctx.fillStyle = LOOK.soft;
  const c = ground.contours;
  for (let i = 0; i + 1 < c.start.length; i++) {
    if (!isStrong(c, i)) continue;
    // on the ground, not on the words of a cell
    const places = [0.5, 0.12, 0.88, 0.3, 0.7].map((share) => labelPlace(c, i, share));
    const free = places.find(({ at }) => !cells || cellAt(grid(cells.corners), cells.corners, ...at) < 0);
    if (!free || free.length * v.scale < 90) continue;
    const { at, angle } = free;
    const [x, y] = toScreen(v, at[0], at[1]);
    ctx.save();
    ctx.translate(x, y);
    ctx.rotate(upright(-angle + -v.turn));
    halo(ctx, number(c.level[i] / unit, 2, 0), 0, 0);
    ctx.restore();
  }
};

const halo = (ctx: Ctx, words: string, x: number, y: number): void => {
  ctx.strokeStyle = LOOK.paper;
  ctx.lineWidth = 3;
  ctx.lineJoin = "round";
  ctx.strokeText(words, x, y);
  ctx.fillText(words, x, y);
};

const drawHandles = (ctx: Ctx, v: View, { handles, active }: Picture): void => {
  handles.forEach(([hx, hy], i) => {
    const [x, y] = toScreen(v, hx, hy);
    ctx.beginPath();
    ctx.rect(Math.round(x) - 7, Math.round(y) - 7, 14, 14);
    ctx.fillStyle = i === active ? LOOK.accent : LOOK.paper;
    ctx.fill();
    ctx.strokeStyle = LOOK.accent;
    ctx.lineWidth = 2;
    ctx.stroke();
    ctx.fillStyle = i === active ? "#ffffff" : LOOK.accent;
    ctx.font = "600 10px system-ui, sans-serif";
    ctx.fillText(String(i + 1), Math.round(x), Math.round(y) + 0.5);
  });
};
