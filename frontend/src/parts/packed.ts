/** A part of the plan as the service packs it: "HWA1", a header in JSON, then plain arrays. */

export type Numbers = Float32Array | Float64Array | Int32Array | Uint32Array | Uint8Array;

export interface Packed {
  readonly arrays: Readonly<Record<string, Numbers>>;
  readonly shapes: Readonly<Record<string, readonly number[]>>;
  readonly meta: Readonly<Record<string, unknown>>;
}

interface Head {
  name: string;
  dtype: string;
  shape: number[];
  offset: number;
}

const MAKERS = { f4: Float32Array, f8: Float64Array, i4: Int32Array, u4: Uint32Array, u1: Uint8Array } as const;

/** Read a packed part; the arrays share its memory. Throws where the bytes are something else. */
export const unpack = (bytes: ArrayBuffer): Packed => {
  const mark = new TextDecoder("latin1").decode(new Uint8Array(bytes, 0, Math.min(4, bytes.byteLength)));
  if (mark !== "HWA1") throw new Error(`a part of the plan starts with "${mark}", not with "HWA1"`);
  const length = new DataView(bytes).getUint32(4, true);
  const head = JSON.parse(new TextDecoder().decode(new Uint8Array(bytes, 8, length)));
  const data = 8 + length + ((8 - ((8 + length) % 8)) % 8);
  const arrays: Record<string, Numbers> = {}, shapes: Record<string, number[]> = {};
  for (const { name, dtype, shape, offset } of head.arrays as Head[]) {
    const Maker = MAKERS[dtype as keyof typeof MAKERS];
    if (!Maker) throw new Error(`"${name}" is of a kind "${dtype}" that the page does not know`);
    const count = shape.reduce((a, b) => a * b, 1);
    arrays[name] = new Maker(bytes, data + offset, count);
    shapes[name] = shape;
  }
  return { arrays, shapes, meta: head.meta ?? {} };
};
