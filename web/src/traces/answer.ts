/* The answer of rides/{id}/traces, from its bytes to series.
 *
 *   4 bytes   length of the head, little endian
 *   head      JSON: which seconds, how many a bucket holds, what was left out, where the arrays lie
 *   arrays    typed, each at a multiple of 8 from the beginning of the answer
 *
 * A channel comes as one value a second ("power_w"), or, where a pixel would hold several seconds,
 * as five values a bucket ("power_w.first", ".min", ".max", ".last", ".mean").  Both become the same
 * thing here: a lowest, a highest and a mean for each step, NaN where nothing is known. */

export interface Span {
  from_s: number;
  to_s: number;
}

export interface Mask extends Span {
  channel: string;
  text: string | null;
}

/** A channel over from_s + i * step_s; of single seconds the three are the same array. */
export interface Series {
  name: string;
  unit: string;
  from_s: number;
  step_s: number;
  mean: Float64Array;
  low: Float64Array;
  high: Float64Array;
}

export interface TraceAnswer extends Span {
  /** Length of the whole ride. */
  seconds: number;
  series: ReadonlyMap<string, Series>;
  masks: readonly Mask[];
  pauses: readonly Span[];
}

type Head = Record<string, unknown>;

const TYPES = {
  int8: Int8Array,
  uint8: Uint8Array,
  int16: Int16Array,
  uint16: Uint16Array,
  int32: Int32Array,
  uint32: Uint32Array,
  float32: Float32Array,
  float64: Float64Array,
} as const;

/* What stands for "unknown" in an integer array is its own extreme. */
const MISSING = {
  int8: -128,
  uint8: 255,
  int16: -32768,
  uint16: 65535,
  int32: -2147483648,
  uint32: 4294967295,
} as const;

export class BadAnswer extends Error {}

function bad(what: string): never {
  throw new BadAnswer(`The traces that came are not readable: ${what}.`);
}

function number(of: Head, key: string): number {
  const value = of[key];
  if (typeof value !== "number" || !Number.isFinite(value)) {
    bad(`no number ${key}`);
  }
  return value;
}

function text(of: Head, key: string): string {
  const value = of[key];
  if (typeof value !== "string") {
    bad(`no word ${key}`);
  }
  return value;
}

function list(of: Head, key: string): unknown[] {
  const value = of[key];
  if (!Array.isArray(value)) {
    bad(`no list ${key}`);
  }
  return value;
}

function headOf(bytes: ArrayBuffer): Head {
  if (bytes.byteLength < 4) {
    bad("cut off");
  }
  const length = new DataView(bytes).getUint32(0, true);
  if (length > bytes.byteLength - 4) {
    bad("cut off in its head");
  }
  let head: unknown;
  try {
    head = JSON.parse(new TextDecoder("utf-8", { fatal: true }).decode(new Uint8Array(bytes, 4, length)));
  } catch {
    bad("its head is no JSON");
  }
  if (typeof head !== "object" || head === null) {
    bad("its head is no object");
  }
  return head as Head;
}

/** One array as doubles: scaled, NaN where unknown. */
function valuesOf(bytes: ArrayBuffer, row: Head): Float64Array {
  const type = text(row, "type");
  if (!Object.hasOwn(TYPES, type)) {
    bad(`an array of ${type}`);
  }
  const kind = TYPES[type as keyof typeof TYPES];
  const offset = number(row, "offset");
  const count = number(row, "count");
  if (offset % kind.BYTES_PER_ELEMENT !== 0 || count < 0 || offset < 0 ||
      offset + count * kind.BYTES_PER_ELEMENT > bytes.byteLength) {
    bad("an array lies outside");
  }
  const raw = new kind(bytes, offset, count);
  const scale = typeof row["scale"] === "number" ? row["scale"] : 1;
  const missing = typeof row["missing"] === "number" ? row["missing"]
    : (MISSING as Record<string, number>)[type] ?? NaN;
  return Float64Array.from(raw, (value) => (value === missing ? NaN : value * scale));
}

function spanOf(value: unknown): Span {
  if (Array.isArray(value) && typeof value[0] === "number" && typeof value[1] === "number") {
    return { from_s: value[0], to_s: value[1] };
  }
  if (typeof value === "object" && value !== null) {
    return { from_s: number(value as Head, "from_s"), to_s: number(value as Head, "to_s") };
  }
  return bad("a span without ends");
}

function maskOf(value: unknown): Mask {
  const row = value as Head;
  return {
    ...spanOf(value),
    channel: text(row, "channel"),
    text: typeof row["text"] === "string" ? row["text"] : null,
  };
}

const PARTS = [".first", ".min", ".max", ".last", ".mean"];

function seriesOf(arrays: ReadonlyMap<string, { unit: string; values: Float64Array }>, name: string,
                   from_s: number, step_s: number): Series {
  const single = arrays.get(name);
  if (single !== undefined) {
    const { values, unit } = single;
    return { name, unit, from_s, step_s: 1, mean: values, low: values, high: values };
  }
  const low = arrays.get(`${name}.min`);
  const high = arrays.get(`${name}.max`);
  if (low === undefined || high === undefined) {
    return bad(`${name} without its ends`);
  }
  const middle = low.values.map((value, i) => (value + (high.values[i] ?? NaN)) / 2);
  return {
    name,
    unit: low.unit,
    from_s,
    step_s,
    mean: arrays.get(`${name}.mean`)?.values ?? middle,
    low: low.values,
    high: high.values,
  };
}

export function decodeAnswer(bytes: ArrayBuffer): TraceAnswer {
  const head = headOf(bytes);
  const from_s = number(head, "from_s");
  const step_s = number(head, "bucket_s");
  const arrays = new Map<string, { unit: string; values: Float64Array }>();
  const names = new Set<string>();
  for (const value of list(head, "arrays")) {
    const row = value as Head;
    const name = text(row, "name");
    arrays.set(name, { unit: typeof row["unit"] === "string" ? row["unit"] : "", values: valuesOf(bytes, row) });
    const part = PARTS.find((ending) => name.endsWith(ending));
    names.add(part === undefined ? name : name.slice(0, -part.length));
  }
  const series = new Map<string, Series>();
  for (const name of names) {
    series.set(name, seriesOf(arrays, name, from_s, step_s));
  }
  return {
    from_s,
    to_s: number(head, "to_s"),
    seconds: number(head, "seconds"),
    series,
    masks: list(head, "masks").map(maskOf),
    pauses: list(head, "pauses").map(spanOf),
  };
}
