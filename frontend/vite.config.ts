import { readFileSync } from "node:fs";
import { defineConfig, type Plugin } from "vite";
import { manual } from "./manual.ts";

// what the page is made with asks that its notice goes along
const SHIPPED = ["preact", "@preact/signals", "@preact/signals-core", "three"];
const notices = (): Plugin => ({
  name: "notices",
  apply: "build",
  generateBundle() {
    const told = SHIPPED.map((name) => `${name}\n\n${readFileSync(`node_modules/${name}/LICENSE`, "utf8").trim()}\n`);
    this.emitFile({ type: "asset", fileName: "notices.txt", source: told.join("\n----\n\n") });
  },
});

// Everything is served by the package: hashed names, no inline script or style, nothing from afar.
export default defineConfig({
  plugins: [manual("../docs/job.md"), notices()],
  oxc: { jsx: { runtime: "automatic", importSource: "preact" } },
  build: {
    outDir: "../src/hillwright/web/page",
    emptyOutDir: true,
    target: "es2022",
    assetsInlineLimit: 0,
    modulePreload: { polyfill: false },
    chunkSizeWarningLimit: 800, // the 3D part, loaded only when it is asked for
  },
});
