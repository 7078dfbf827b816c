import { describe, expect, test } from "vitest";
import { union, state, type Tick } from "../src/field/ticks";
import { unpack } from "../src/parts/packed";
import { laidOver, partOf } from "../src/parts/read";
import { dropped, put, sent, type Edit } from "../src/state/outbox";

const edit = (id: string, base: number): Edit => ({ id, base, summary: id, patch: [] });

describe("edits on their way", () => {
  const queue = put(put([edit("a", 4)], edit("b", 4)), edit("c", 4));

  test("stand on what was saved before them, so that they do not clash with their own maker", () => {
    expect(sent(queue, 5, true).map((e) => [e.id, e.base])).toEqual([["b", 5], ["c", 5]]);
  });

  test("stay on what their maker saw where somebody else came between", () => {
    expect(sent(queue, 6, false).map((e) => e.base)).toEqual([4, 4]);
  });

  test("go on without one that was refused", () => {
    expect(dropped(queue).map((e) => e.id)).toEqual(["b", "c"]);
  });
});

describe("ticks", () => {
  const tick = (uuid: string, key: string, done: boolean, at: string): Tick => ({ uuid, key, done, at, device: "" });
  const ours = [tick("1", "row/1/filled", true, "2026-01-01T10:00:00Z"), tick("2", "row/2/filled", true, "2026-01-01T10:00:00Z")];
  const theirs = [tick("3", "row/1/filled", false, "2026-01-01T11:00:00Z"), tick("1", "row/1/filled", true, "2026-01-01T10:00:00Z")];

  test("of two phones are all kept, each once, whichever side they come from", () => {
    expect(union(ours, theirs).map((t) => t.uuid).sort()).toEqual(["1", "2", "3"]);
    expect(state(union(ours, theirs))).toEqual(state(union(theirs, ours)));
  });

  test("say what was said last", () => {
    expect(state(union(ours, theirs))).toEqual(new Map([["row/1/filled", false], ["row/2/filled", true]]));
  });

  test("of one moment are decided alike on every phone", () => {
    const a = tick("a", "k", true, "2026-01-01T10:00:00Z"), b = tick("b", "k", false, "2026-01-01T10:00:00Z");
    expect(state([a, b]).get("k")).toBe(false);
    expect(state([b, a]).get("k")).toBe(false);
  });
});

describe("a packed part", () => {
  /** As the service writes it: mark, length, header, padding to 8, arrays. */
  const packed = (header: string, data: Uint8Array): ArrayBuffer => {
    const head = new TextEncoder().encode(header), start = 8 + head.length + ((8 - ((8 + head.length) % 8)) % 8);
    const bytes = new Uint8Array(start + data.length);
    bytes.set(new TextEncoder().encode("HWA1"));
    new DataView(bytes.buffer).setUint32(4, head.length, true);
    bytes.set(head, 8);
    bytes.set(data, start);
    return bytes.buffer;
  };
  const header = (word: string): string => JSON.stringify({ arrays: [{ name: "row", dtype: "i4", shape: [2], offset: 0 }, { name: "xy", dtype: "f8", shape: [1, 2], offset: 8 }], meta: { word } });
  const data = new Uint8Array(24);
  new DataView(data.buffer).setInt32(4, -7, true);
  new DataView(data.buffer).setFloat64(16, 2.5, true);

  test.each(["", "a", "ab", "abc", "abcd", "länger"])("is read wherever its header ends (%s)", (word) => {
    const { arrays, shapes, meta } = unpack(packed(header(word), data));
    expect([...arrays.row]).toEqual([0, -7]);
    expect([...arrays.xy]).toEqual([0, 2.5]);
    expect(shapes.xy).toEqual([1, 2]);
    expect(meta.word).toBe(word);
  });

  test("that is something else is refused with its first letters", () => {
    expect(() => unpack(new TextEncoder().encode("<!doctype").buffer as ArrayBuffer)).toThrow('starts with "<!do"');
    expect(() => unpack(packed(JSON.stringify({ arrays: [{ name: "x", dtype: "c8", shape: [1], offset: 0 }] }), data))).toThrow('"c8"');
  });

  test("belongs to its room, and overlays of other rooms stay as they are", () => {
    expect([partOf("overlays.sun"), partOf("cells"), partOf("news")]).toEqual(["overlays", "cells", null]);
    const before = { values: { sun: new Float32Array(12) }, steps: { sun: 12 }, heldTimes: [1], hydrozones: ["low"], mixes: [] };
    const after = laidOver(before, { values: { gap: new Float32Array(1) }, steps: { gap: 1 }, heldTimes: [], hydrozones: [], mixes: [] });
    expect(Object.keys(after.values)).toEqual(["sun", "gap"]);
    expect(after.hydrozones).toEqual(["low"]);
  });
});
