import { signal, useSignal } from "@preact/signals";
import { useEffect, useRef } from "preact/hooks";
import type { View3d } from "../solid/scene";
import { middleDay, sunAt } from "../solid/sun";
import { parts } from "../state/job";
import { t, tt } from "../words";

const month = signal(5);
const hour = signal(10);
const trees = signal(true);

/** The hill in 3D. The library comes only now, and nothing is drawn that nobody asked for. */
export const Solid = () => {
  const canvas = useRef<HTMLCanvasElement>(null), drawn = useRef<View3d | null>(null);
  const state = useSignal<"wait" | "ready" | "no">("wait");
  const ground = parts.value.ground;
  const latitude = parts.value.plants?.latitude ?? null;
  const sun = ground && latitude !== null && Number.isFinite(ground.north) ? sunAt(middleDay(month.value), hour.value, latitude) : null;
  useEffect(() => {
    let left = false, watch: ResizeObserver | null = null;
    void import("../solid/scene").then(({ startView }) => {
      if (left || !canvas.current) return;
      try {
        drawn.current = startView(canvas.current);
      } catch {
        state.value = "no";
        return;
      }
      const element = canvas.current;
      watch = new ResizeObserver(() => drawn.current?.resize(element.clientWidth, element.clientHeight));
      watch.observe(element);
      state.value = "ready";
    });
    return () => {
      left = true;
      watch?.disconnect();
      drawn.current?.close();
      drawn.current = null;
    };
  }, []);
  const { cells, plants } = parts.value;
  useEffect(() => {
    if (state.value !== "ready") return;
    drawn.current?.show(parts.value, trees.value);
    drawn.current?.light(sun, ground?.north ?? 0);
  }, [state.value, ground, cells, plants, trees.value]);
  useEffect(() => {
    if (state.value === "ready") drawn.current?.light(sun, ground?.north ?? 0);
  }, [month.value, hour.value]);
  const deg = (a: number): string => `${Math.round((a * 180) / Math.PI)}°`;
  return (
    <div class="solid">
      <canvas ref={canvas} tabIndex={0} role="application" aria-label={t("solid.label")} onKeyDown={(e) => turn(e, drawn.current)} />
      {state.value === "wait" && <p class="nothing" role="status">{t("solid.wait")}</p>}
      {state.value === "no" && <p class="nothing">{t("solid.no")}</p>}
      <div class="player">
        <label>
          {t("solid.month")}
          <input type="range" min={0} max={11} value={month.value} aria-valuetext={tt(`month.${month.value + 1}`)} onInput={(e) => (month.value = Number(e.currentTarget.value))} />
        </label>
        <label>
          {t("solid.hour")}
          <input type="range" min={4} max={20} step={0.25} value={hour.value} aria-valuetext={`${hour.value} h`} onInput={(e) => (hour.value = Number(e.currentTarget.value))} />
        </label>
        <output>
          {tt(`month.${month.value + 1}`)}, {Math.floor(hour.value)}:{String((hour.value % 1) * 60).padStart(2, "0")} ·{" "}
          {!sun ? t("solid.no-place") : sun.height > 0 ? t("solid.sun", { height: deg(sun.height), bearing: deg(sun.bearing) }) : t("solid.night")}
        </output>
        <label>
          <input type="checkbox" checked={trees.value} onChange={(e) => (trees.value = e.currentTarget.checked)} /> {t("solid.trees")}
        </label>
      </div>
    </div>
  );
};

const STEP = Math.PI / 24;
const turn = (e: KeyboardEvent, view: View3d | null): void => {
  if (!view || e.ctrlKey || e.metaKey || e.altKey) return;
  if (e.key === "ArrowLeft") view.orbit(-STEP, 0, 1);
  else if (e.key === "ArrowRight") view.orbit(STEP, 0, 1);
  else if (e.key === "ArrowUp") view.orbit(0, -STEP, 1);
  else if (e.key === "ArrowDown") view.orbit(0, STEP, 1);
  else if (e.key === "+" || e.key === "=") view.orbit(0, 0, 0.85);
  else if (e.key === "-") view.orbit(0, 0, 1 / 0.85);
  else return;
  e.preventDefault();
};
