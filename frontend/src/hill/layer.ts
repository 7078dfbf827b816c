/** A hill of many cells as a picture that is moved and scaled at once, and drawn anew in the time that is left.
 *
 * At rest it is pixel for pixel what drawing the plan gives. While somebody pans or zooms, the last picture is laid
 * where it belongs; a new one is drawn meanwhile on a second canvas, a few milliseconds at a time.
 */

import { deviceSize } from "./crisp";
import { over, still, type Picture } from "./draw";
import { LOOK } from "./look";
import { between, type View } from "./view";

export const MANY = 6000; // cells from which a redraw takes longer than a frame
const RIM = 160; // drawn beyond the edge, so that a pan does not show bare paper [CSS px]
const SLICE = 7; // of drawing between two frames [ms]

interface Sheet {
  canvas: HTMLCanvasElement;
  ctx: CanvasRenderingContext2D;
  view: View;
  ratio: number;
  of: readonly unknown[];
}

const same = (a: readonly unknown[], b: readonly unknown[]): boolean => a.every((v, i) => v === b[i]);
const keyOf = (p: Picture): readonly unknown[] => [p.parts, p.uses, p.shown, p.layers];

/** The view of a larger canvas about the same middle; the rim is whole device pixels, so nothing blurs. */
export const widened = (v: View, ratio: number): View => {
  const rim = Math.round(RIM * ratio) / ratio;
  return { ...v, width: v.width + 2 * rim, height: v.height + 2 * rim };
};

const sameView = (a: View, b: View): boolean =>
  a.x === b.x && a.y === b.y && a.scale === b.scale && a.turn === b.turn && a.width === b.width && a.height === b.height;

export class Layer {
  #front: Sheet | null = null;
  #spare: Sheet | null = null;
  #work: { sheet: Sheet; pieces: Generator<void> } | null = null;
  #timer = 0;

  /** `again` asks for a new frame: a sharper picture is there. */
  constructor(readonly again: () => void) {}

  /** Draw a frame; tells whether it is sharp, or moved from a picture of another view. */
  paint(ctx: CanvasRenderingContext2D, v: View, ratio: number, p: Picture): "sharp" | "moved" {
    const of = keyOf(p), wide = widened(v, ratio), front = this.#front;
    const fits = front !== null && same(front.of, of) && front.ratio === ratio && front.view.width === wide.width && front.view.height === wide.height;
    if (!fits) this.#whole(wide, ratio, p);
    const sheet = this.#front!, sharp = sameView(sheet.view, wide);
    ctx.setTransform(1, 0, 0, 1, 0, 0);
    if (!sharp) {
      ctx.fillStyle = LOOK.paper;
      ctx.fillRect(0, 0, ctx.canvas.width, ctx.canvas.height);
      ctx.setTransform(...between(sheet.view, v, ratio));
      ctx.drawImage(sheet.canvas, 0, 0);
      this.#want(wide, ratio, p);
    } else ctx.drawImage(sheet.canvas, -Math.round(((wide.width - v.width) / 2) * ratio), -Math.round(((wide.height - v.height) / 2) * ratio));
    over(ctx, v, ratio, p);
    return sharp ? "sharp" : "moved";
  }

  /** Let go of the pictures. */
  close(): void {
    clearTimeout(this.#timer);
    this.#work = this.#front = this.#spare = null;
  }

  #sheet(view: View, ratio: number, of: readonly unknown[]): Sheet {
    const kept = this.#spare, canvas = kept?.canvas ?? document.createElement("canvas");
    const [width, height] = [deviceSize(view.width, ratio), deviceSize(view.height, ratio)];
    if (canvas.width !== width || canvas.height !== height) [canvas.width, canvas.height] = [width, height];
    this.#spare = null;
    // kept where it can be read at once: a piece is not done before its pixels are there
    return { canvas, ctx: kept?.ctx ?? canvas.getContext("2d", { alpha: false, willReadFrequently: true })!, view, ratio, of };
  }

  #whole(view: View, ratio: number, p: Picture): void {
    this.#stop();
    this.#spare = this.#front ?? this.#spare;
    const sheet = this.#sheet(view, ratio, keyOf(p));
    for (const _ of still(sheet.ctx, view, ratio, p)); // all pieces at once
    this.#front = sheet;
  }

  #want(view: View, ratio: number, p: Picture): void {
    const work = this.#work;
    // one that was begun for a view nearby is better than none: it is finished first
    if (work && same(work.sheet.of, keyOf(p)) && work.sheet.ratio === ratio && work.sheet.view.width === view.width && work.sheet.view.height === view.height) return;
    this.#stop();
    const sheet = this.#sheet(view, ratio, keyOf(p));
    this.#work = { sheet, pieces: still(sheet.ctx, view, ratio, p) };
    this.#later();
  }

  #later(): void {
    this.#timer = window.setTimeout(() => this.#slice(), 4);
  }

  #slice(): void {
    const work = this.#work, end = performance.now() + SLICE;
    if (!work) return;
    do {
      if (!work.pieces.next().done) {
        work.sheet.ctx.getImageData(0, 0, 1, 1); // waits for the pixels of this piece
        continue;
      }
      this.#spare = this.#front;
      this.#front = work.sheet;
      this.#work = null;
      return this.again();
    } while (performance.now() < end);
    this.#later();
  }

  #stop(): void {
    clearTimeout(this.#timer);
    if (this.#work) this.#spare = this.#work.sheet;
    this.#work = null;
  }
}
