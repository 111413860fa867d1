import { expect, test } from "vitest";

import { BadAnswer, decodeAnswer } from "./answer";

interface Part {
  name: string;
  type: string;
  unit: string;
  values: number[];
  scale?: number;
}

const BYTES: Record<string, number> = { int16: 2, uint8: 1, float32: 4 };

/* The contract's layout, written anew: length, head, arrays at multiples of 8. */
function written(head: Record<string, unknown>, parts: Part[]): ArrayBuffer {
  const rows: Record<string, unknown>[] = parts.map((part) => ({ name: part.name, type: part.type, unit: part.unit,
    count: part.values.length, offset: 1e6, ...(part.scale === undefined ? {} : { scale: part.scale }) }));
  const encode = (): Uint8Array => new TextEncoder().encode(JSON.stringify({ ...head, arrays: rows }));
  let at = 0;
  const room = encode().length + 8;
  at = Math.ceil((4 + room) / 8) * 8;
  parts.forEach((part, i) => {
    (rows[i] ?? {})["offset"] = at;
    at = Math.ceil((at + part.values.length * (BYTES[part.type] ?? 1)) / 8) * 8;
  });
  const bytes = new ArrayBuffer(at);
  const json = encode();
  new DataView(bytes).setUint32(0, json.length, true);
  new Uint8Array(bytes, 4, json.length).set(json);
  parts.forEach((part, i) => {
    const view = new DataView(bytes, rows[i]?.["offset"] as number);
    part.values.forEach((value, k) => {
      if (part.type === "int16") view.setInt16(2 * k, value, true);
      if (part.type === "uint8") view.setUint8(k, value);
      if (part.type === "float32") view.setFloat32(4 * k, value, true);
    });
  });
  return bytes;
}

const HEAD = {
  from_s: 100,
  to_s: 103,
  seconds: 3600,
  bucket_s: 1,
  masks: [{ channel: "power_w", from_s: 101, to_s: 102, reason: "spike", text: "a spike" }],
  pauses: [[102, 103]],
};

test("single seconds: a value each, the type's extreme is unknown", () => {
  const answer = decodeAnswer(written(HEAD, [
    { name: "power_w", type: "int16", unit: "W", values: [200, -32768, 0] },
    { name: "heart_rate_bpm", type: "uint8", unit: "beats/min", values: [120, 121, 255] },
    { name: "temperature_c", type: "int16", unit: "°C", values: [205, 206, -10], scale: 0.1 },
  ]));
  expect([...(answer.series.get("power_w")?.mean ?? [])]).toEqual([200, NaN, 0]);
  expect([...(answer.series.get("heart_rate_bpm")?.low ?? [])]).toEqual([120, 121, NaN]);
  expect(answer.series.get("temperature_c")?.mean[0]).toBeCloseTo(20.5);
  expect(answer.series.get("power_w")?.from_s).toBe(100);
  expect(answer.masks).toEqual([{ channel: "power_w", from_s: 101, to_s: 102, text: "a spike" }]);
  expect(answer.pauses).toEqual([{ from_s: 102, to_s: 103 }]);
  expect(answer.seconds).toBe(3600);
});

test("buckets: lowest, highest and mean of each", () => {
  const answer = decodeAnswer(written({ ...HEAD, bucket_s: 10, to_s: 120 }, [
    { name: "power_w.first", type: "int16", unit: "W", values: [1, 2] },
    { name: "power_w.min", type: "int16", unit: "W", values: [0, 100] },
    { name: "power_w.max", type: "int16", unit: "W", values: [300, 200] },
    { name: "power_w.last", type: "int16", unit: "W", values: [3, 4] },
    { name: "power_w.mean", type: "float32", unit: "W", values: [150.5, NaN] },
  ]));
  const power = answer.series.get("power_w");
  expect(power?.step_s).toBe(10);
  expect([...(power?.low ?? [])]).toEqual([0, 100]);
  expect([...(power?.high ?? [])]).toEqual([300, 200]);
  expect([...(power?.mean ?? [])]).toEqual([150.5, NaN]);
  expect(answer.series.size).toBe(1);
});

test("bytes that are no answer are refused in words, wherever they are cut", () => {
  const whole = written(HEAD, [{ name: "power_w", type: "int16", unit: "W", values: [200, 1, 0] }]);
  const json = new DataView(whole).getUint32(0, true);
  for (let length = 0; length < 4 + json; length++) {
    expect(() => decodeAnswer(whole.slice(0, length))).toThrow(BadAnswer);
  }
  expect(() => decodeAnswer(written(HEAD, [{ name: "power_w", type: "text", unit: "", values: [] }]))).toThrow(/array of text/);
  expect(() => decodeAnswer(written({ ...HEAD, from_s: "0" }, []))).toThrow(/from_s/);
});
