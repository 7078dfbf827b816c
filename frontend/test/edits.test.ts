import { afterEach, expect, test, vi } from "vitest";

afterEach(() => {
  vi.unstubAllGlobals();
  vi.resetModules(); // a question that stays open keeps the queue waiting
});

/** Answer edits with revision `made`, and leave every other question open. */
const service = (made: number, others: object[]): { base: number }[] => {
  const sent: { base: number }[] = [];
  vi.stubGlobal("localStorage", { getItem: () => null, setItem: () => undefined, removeItem: () => undefined });
  vi.stubGlobal("fetch", (path: string, options?: { body?: string }) => {
    if (!String(path).endsWith("/edits")) return new Promise(() => undefined);
    sent.push(JSON.parse(options!.body!));
    return Promise.resolve(new Response(JSON.stringify({ revision: made, others }), { status: 200 }));
  });
  return sent;
};

const change = [{ op: "add", path: "/cell/name", value: "box" }] as any;

test.each([
  ["on the edit that was just saved, though the job was not asked for again yet", [], 2],
  ["on what its maker saw, where somebody else came between", [{ number: 2, summary: "theirs", keys: [] }], 1],
])("the next edit stands %s", async (_, others, base) => {
  const sent = service(2, others as object[]);
  const { queue, submit } = await import("../src/state/edits");
  const { job } = await import("../src/state/job");
  job.value = { id: "one", revision: 1 } as any;
  submit("first", change);
  await vi.waitFor(() => expect([sent.length, queue.value.length]).toEqual([1, 0]));
  submit("second", change);
  expect(queue.value.map((e) => e.base)).toEqual([base]);
});
