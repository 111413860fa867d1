/* The real server on the example roster: every documented operation is called, every answer is as
 * the document says, and the table of routes and the document are one.
 *
 * Checked against something outside: JSON Schema 2020-12 by ajv, OpenAPI 3.1 by its published schema
 * (@seriousme/openapi-schema-validator), the buckets of traces by a plain twin of their definition,
 * and what the command line prints with --json. */
import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { readFileSync } from "node:fs";
import { after, before, test } from "node:test";
import { isDeepStrictEqual } from "node:util";

import { Validator } from "@seriousme/openapi-schema-validator";

import { document, faults, named, operations, resolved, schema_names, without_others } from "./document.mjs";
import { Server } from "./server.mjs";

const { PLUMBLINE, PRINT_ROUTES, ROSTER } = process.env;
const RIDER = 1;

let server;
/* What was called: operationId -> statuses. */
const called = new Map();

before(async () => {
  server = await Server.start(PLUMBLINE, ["--roster", ROSTER]);
  await until_read_again();
});

after(async () => {
  const status = await server.stop();
  assert.equal(status, 0, server.said.join(""));
  assert.ok(!server.said.join("").includes("runtime error"), server.said.join(""));
});

/* ---- one call, checked by the document ---- */

function operation_of(method, path) {
  const parts = path.split("?")[0].split("/");
  const found = operations().filter((one) => one.method === method && one.pattern.split("/").length === parts.length &&
    one.pattern.split("/").every((part, i) => part.startsWith("{") || part === parts[i]));
  found.sort((a, b) => a.pattern.split("{").length - b.pattern.split("{").length);
  assert.ok(found.length > 0, `${method} ${path}: not documented`);
  return found[0];
}

function schema_of(operation, status) {
  const answers = operation.operation.responses;
  const answer = answers[String(status)] ?? (status >= 400 ? answers.default : undefined);
  assert.ok(answer !== undefined, `${operation.id}: ${status} is not documented`);
  return resolved(answer).content;
}

/* What one would type: the program and one of its commands. */
const COMMAND = new RegExp(`plumbline (${JSON.parse(execFileSync(PLUMBLINE, ["help", "--json"])).map((one) => one.name.split(" ")[0]).join("|")})\\b`);

/* Asks, and checks status, type and content by the document.  Returns the value. */
async function ask(method, path, options = {}, status = undefined) {
  const operation = operation_of(method, path);
  if (options.body !== undefined && (status ?? 200) < 400) {
    const schema = operation.operation.requestBody.content["application/json"].schema;
    assert.deepEqual(faults(schema, options.body), [], `${operation.id}: what is sent`);
  }
  const answer = await server.ask(method, path, options);
  const told = JSON.stringify(answer.value);
  if (status === undefined) {
    assert.ok(answer.status < 400, `${operation.id}: ${answer.status} ${told}`);
  } else {
    assert.equal(answer.status, status, `${operation.id}: ${told}`);
  }
  called.set(operation.id, [...(called.get(operation.id) ?? []), answer.status]);
  const content = schema_of(operation, answer.status);
  if (content === undefined) {
    return answer;
  }
  assert.ok(content[answer.type] !== undefined, `${operation.id}: answers with ${answer.type}`);
  if (answer.type.endsWith("json")) {
    assert.deepEqual(faults(content[answer.type].schema, answer.value), [], `${operation.id}`);
    /* Who reads it on a page has no command line before them. */
    assert.doesNotMatch(told, COMMAND, `${operation.id} names a command`);
  }
  return options.whole === true ? answer : answer.value;
}

/* The values of an enum of api/roster.schema.json. */
function schema_enum(name) {
  const shapes = JSON.parse(readFileSync(new URL("../../api/roster.schema.json", import.meta.url), "utf8"));
  return shapes.$defs[name].enum;
}

function cli(...args) {
  return JSON.parse(execFileSync(PLUMBLINE, [...args, "--json", "--roster", ROSTER], { stdio: ["ignore", "pipe", "ignore"], maxBuffer: 1e8 }));
}

/* A value without the keys that another one doesn't have, all the way down. */
function narrowed(value, like) {
  if (Array.isArray(value)) {
    return value.map((one, i) => narrowed(one, like?.[i]));
  }
  if (value !== null && typeof value === "object" && like !== null && typeof like === "object") {
    return Object.fromEntries(Object.keys(value).filter((key) => key in like).map((key) => [key, narrowed(value[key], like[key])]));
  }
  return value;
}

/* ---- the document ---- */

test("the document is OpenAPI 3.1, and every schema compiles", async () => {
  const { valid, errors } = await new Validator().validate(without_others());
  assert.ok(valid, JSON.stringify(errors));
  for (const name of schema_names()) {
    faults(named(name), null);
  }
  const ids = operations().map((one) => one.id);
  assert.equal(new Set(ids).size, ids.length, "an operationId stands twice");
});

test("objects of the document are closed", () => {
  const open = [];
  const walk = (value, at) => {
    if (value === null || typeof value !== "object") {
      return;
    }
    if (value.type === "object" && value.additionalProperties === undefined && value.unevaluatedProperties === undefined) {
      open.push(at);
    }
    Object.entries(value).forEach(([key, one]) => walk(one, `${at}/${key}`));
  };
  walk(document.components.schemas, "schemas");
  assert.deepEqual(open, []);
});

const routes = JSON.parse(execFileSync(PRINT_ROUTES, { encoding: "utf8" }));
const name_of = (method, pattern) => `${method} /${pattern}`;

test("every route of the table is documented, and every documented one is in the table", () => {
  const documented = operations().map((one) => `${one.method} ${one.pattern}`).sort();
  assert.deepEqual(routes.map((one) => name_of(one.method, one.pattern)).sort(), documented);
});

test("table and document name the same queries, bodies, answers and versions", () => {
  const of = (schema) => schema?.$ref?.split("/").pop().replace(".schema.json", "") ?? null;
  for (const route of routes.filter((one) => one.kind !== "events")) {
    const where = name_of(route.method, route.pattern);
    const { operation, parameters } = operations().find((one) => `${one.method} ${one.pattern}` === where);
    const queries = parameters.filter((one) => one.in === "query").map((one) => one.name).sort();
    assert.deepEqual((route.query ?? "").split(" ").filter((name) => name !== "").sort(), queries, where);
    const body = operation.requestBody?.content;
    assert.equal(of(body?.["application/json"]?.schema), route.request, `${where}: body`);
    assert.equal(body?.["application/octet-stream"] !== undefined, route.takes_file, `${where}: file`);
    const needs = parameters.some((one) => one.name === "If-Match" && one.required);
    assert.equal(needs, route.needs_version, `${where}: If-Match`);
    const good = Object.entries(operation.responses).find(([status]) => /^2/.test(status));
    const content = resolved(good[1]).content;
    const answer = of(content?.["application/json"]?.schema) ?? (content?.["application/octet-stream"]?.schema !== undefined ? "traces_head" : null);
    assert.equal(answer, route.answer, `${where}: answer`);
  }
});

/* ---- reads ---- */

test("the session and the list are as documented, and the list is the command line's", async () => {
  const session = await ask("GET", "/session");
  assert.equal(session.example, true);
  const who = await ask("GET", "/who");
  const printed = cli("who", "--all");
  assert.deepEqual(narrowed(who.items, printed.items), printed.items);
  assert.equal(who.groups.reduce((sum, one) => sum + one.riders, 0), who.items.filter((one) => one.first).length);
  assert.ok(who.items.some((one) => one.gauge !== null), "no row has a gauge");
});

test("riders and every rider's page are as documented", async () => {
  const { riders } = await ask("GET", "/riders?all=true");
  assert.equal(riders.length, cli("rider", "list").length);
  const seen = new Set();
  for (const { id } of riders) {
    const rider = await ask("GET", `/riders/${id}`);
    const printed = cli("rider", "show", String(id));
    assert.deepEqual(narrowed(rider.person, printed), narrowed(printed, rider.person));
    /* Contacts stand the newest first on the page. */
    const entries = { ...rider, contacts: rider.contacts.toReversed() };
    for (const key of ["goals", "events", "blocks", "days_off", "available", "screening", "flags", "consents", "contacts"]) {
      assert.deepEqual(narrowed(entries[key], printed[key]), printed[key], `${key} of rider ${id}`);
      seen.add(printed[key] === null || printed[key].length === 0 ? "" : key);
    }
    await ask("GET", `/riders/${id}/notes?from=2026-08-01`);
  }
  assert.ok(seen.has("goals") && seen.has("events") && seen.has("screening"), [...seen].join(" "));
});

test("weeks are those of week, progress and load", async () => {
  for (const id of [1, 4, 9, 14]) {
    const weeks = await ask("GET", `/riders/${id}/weeks?weeks=10`);
    const week = cli("week", String(id));
    assert.deepEqual(narrowed(weeks.readings, week.readings), week.readings);
    const progress = cli("progress", String(id));
    assert.deepEqual(narrowed(weeks.durations, progress.durations), progress.durations);
    assert.deepEqual(weeks.weeks, cli("load", String(id), "--weeks", "10").weeks);
    const last_year = await ask("GET", `/riders/${id}/weeks?against=last-year`);
    const earlier = cli("progress", String(id), "--against", "last-year");
    assert.deepEqual(narrowed(last_year.durations, earlier.durations), earlier.durations);
  }
});

test("a stored reading put together again is the one that was read", async () => {
  let compared = 0;
  for (const id of [1, 4, 9, 14]) {
    const { work } = await ask("GET", `/riders/${id}/weeks`);
    for (const { ride, reading } of work) {
      const answer = await ask("GET", `/rides/${ride}`);
      const read = answer.ride.readings.find((one) => one.question === "hard work" && one.about === "ride");
      /* Spans are left out; the gauge is drawn from numbers of two decimals. */
      const like = (one) => ({ ...one, spans: [], gauge: one.gauge?.width });
      assert.deepEqual(like(reading), like(read));
      compared++;
    }
  }
  assert.ok(compared > 0, "no ride's hard work was judged");
});

test("rides and bests are those of rides and bests", async () => {
  for (const id of [1, 9]) {
    const rides = await ask("GET", `/riders/${id}/rides?all=true`);
    const printed = cli("rides", String(id), "--all");
    assert.deepEqual(narrowed(rides.rides, printed), printed);
    const plain = await ask("GET", `/riders/${id}/bests`);
    assert.equal(plain.against, null);
    const bests = await ask("GET", `/riders/${id}/bests?from=2026-06-01&against=before`);
    const best = cli("bests", String(id), "--from", "2026-06-01", "--against", "before");
    assert.deepEqual(narrowed(bests.bests, best.bests), best.bests);
    /* A best begins where its ride says that it does. */
    for (const one of bests.bests) {
      const { ride } = await ask("GET", `/rides/${one.ride}`);
      const there = ride.bests.find((other) => other.duration_s === one.duration_s);
      assert.equal(one.start_s, there.start_s, `${one.duration_s} s of ride ${one.ride}`);
    }
  }
});

test("figures are scenes at any width", async () => {
  for (const figure of ["ladder", "curves", "base-tests", "week-load", "heart-weeks", "durations", "teaching"]) {
    for (const query of ["width=215", "width=1200", "from=2026-06-01&against=before", ""]) {
      const scene = await ask("GET", `/riders/${RIDER}/figures/${figure}?${query}`);
      assert.ok(scene.items.length > 0, `${figure} ${query}`);
    }
  }
  await ask("GET", `/riders/${RIDER}/figures/none`, {}, 404);
  const { rides } = await ask("GET", `/riders/${RIDER}/rides`);
  for (const figure of ["heart", "left"]) {
    for (const query of ["width=215", "width=1200", ""]) {
      const scene = await ask("GET", `/rides/${rides[0].id}/figures/${figure}?${query}`);
      assert.ok(scene.items.length > 0, `${figure} ${query}`);
    }
  }
  await ask("GET", `/rides/${rides[0].id}/figures/none`, {}, 404);
});

test("the program's record is that of roster record", async () => {
  const record = await ask("GET", "/record");
  assert.deepEqual(record, cli("roster", "record"));
  assert.equal(record.claims.length, 8);
  for (const one of record.claims) {
    assert.equal(one.of, one.agreed + one.against + one.between, one.claim);
    assert.equal(one.enough, one.agreed + one.against >= record.least_cases, one.claim);
  }
});

test("critical power and the heart's response are those of critical and heart", async () => {
  const ends = new Set();
  const same = (one, other) => assert.deepEqual({ ...one, rides_being_read_again: 0, rides_waiting_for_usual: 0 }, { ...other, rides_being_read_again: 0, rides_waiting_for_usual: 0 });
  for (const { id, name } of (await ask("GET", "/riders?all=true")).riders) {
    const critical = await ask("GET", `/riders/${id}/critical`);
    same(critical, cli("critical", String(id)));
    assert.equal(critical.end === "known", critical.cp_w !== null);
    const heart = await ask("GET", `/riders/${id}/heart`);
    same(heart, cli("heart", name));
    ends.add(heart.response.end);
    for (const { ride } of heart.rides.slice(-1)) {
      same(await ask("GET", `/rides/${ride}/heart`), cli("heart", String(ride)));
    }
  }
  assert.ok(ends.has("fitted"), [...ends].join(" "));
  await ask("GET", "/riders/999/critical", {}, 404);
  await ask("GET", "/riders/999/heart", {}, 404);
  await ask("GET", "/rides/99999/heart", {}, 404);
});

test("a session taught is that of teach, and it is told or refused with a reason", async () => {
  const ends = new Set();
  for (const { id } of (await ask("GET", "/riders")).riders) {
    const taught = await ask("GET", `/riders/${id}/teach`);
    assert.deepEqual({ ...taught, rides_being_read_again: 0, rides_waiting_for_usual: 0 }, { ...cli("teach", String(id)), rides_being_read_again: 0, rides_waiting_for_usual: 0 });
    assert.equal(taught.ways.length, taught.end === "told" && !taught.withheld ? 2 : 0);
    ends.add(taught.end);
    if (taught.end === "told") {
      const other = await ask("GET", `/riders/${id}/teach?reps=3&rep_s=180&rest_s=200&heart_bpm=${taught.session.heart_rate_bpm}`);
      assert.equal(other.ways[0].reps.length, 3);
    }
  }
  assert.ok(ends.has("told") && ends.size > 1, [...ends].join(" "));
  await ask("GET", `/riders/${RIDER}/teach?reps=0`, {}, 400);
});

test("a ride is as documented, and what show prints", async () => {
  const { rides } = (await ask("GET", "/riders/9/rides"));
  for (const { id } of rides.filter((_, i) => i % 12 === 0)) {
    const ride = await ask("GET", `/rides/${id}`);
    const [printed] = cli("show", String(id));
    assert.deepEqual(narrowed(ride.ride, printed), printed);
    for (const reading of ride.ride.readings) {
      assert.ok("gauge" in reading && reading.heading !== undefined, "a reading without its gauge");
    }
  }
});

test("an answer that was had is not sent again", async () => {
  const first = await ask("GET", "/who", { whole: true });
  const again = await server.ask("GET", "/who", { headers: { "if-none-match": first.headers.get("etag") } });
  assert.equal(again.status, 304);
});

/* ---- traces ---- */

const TYPES = { uint8: Uint8Array, int16: Int16Array };

function decoded(bytes) {
  const length = new DataView(bytes).getUint32(0, true);
  const head = JSON.parse(new TextDecoder("utf-8", { fatal: true }).decode(new Uint8Array(bytes, 4, length)));
  assert.deepEqual(faults(named("traces_head"), head), []);
  const arrays = new Map();
  for (const { name, type, scale, missing, offset, count } of head.arrays) {
    assert.equal(offset % 8, 0);
    arrays.set(name, Array.from(new TYPES[type](bytes, offset, count), (value) => (value === missing ? NaN : value * scale)));
  }
  return { head, arrays };
}

/* The five of a bucket by their definition. */
function five(values) {
  const known = values.filter((value) => !Number.isNaN(value));
  return known.length === 0 ? [NaN, NaN, NaN, NaN, NaN]
    : [known[0], Math.min(...known), Math.max(...known), known.at(-1), known.reduce((sum, value) => sum + value, 0) / known.length];
}

test("traces: buckets are the first, least, greatest, last and mean of their seconds", async () => {
  for (const id of [5, 41, 300]) {
    const { head } = decoded(await ask("GET", `/rides/${id}/traces?points=16`));
    const every = new Map();
    for (let from = 0; from < head.seconds; from += 4000) {
      const part = decoded(await ask("GET", `/rides/${id}/traces?from=${from}&to=${Math.min(from + 4000, head.seconds)}&points=4096`));
      assert.equal(part.head.bucket_s, 1);
      part.arrays.forEach((values, name) => every.set(name, [...(every.get(name) ?? []), ...values]));
    }
    for (const points of [16, 250, 1000]) {
      const { head: told, arrays } = decoded(await ask("GET", `/rides/${id}/traces?points=${points}`));
      const step = told.bucket_s;
      assert.equal(step, Math.ceil(head.seconds / points));
      for (const [name, values] of every) {
        const { scale } = told.arrays.find((one) => one.name.startsWith(name));
        for (let i = 0; i * step < head.seconds && step > 1; i++) {
          const want = five(values.slice(i * step, (i + 1) * step));
          ["first", "min", "max", "last", "mean"].forEach((part, k) => {
            const got = arrays.get(`${name}.${part}`)[i];
            const near = part === "mean" ? scale : scale * 1e-6;
            assert.ok(Number.isNaN(want[k]) ? Number.isNaN(got) : Math.abs(got - want[k]) <= near + 1e-9, `${name}.${part}[${i}] of ride ${id}: ${got}, not ${want[k]}`);
          });
        }
      }
    }
  }
});

test("traces: the seconds of a best have its mean power", async () => {
  const { ride } = await ask("GET", "/rides/5");
  for (const duration of [60, 300]) {
    const { start_s: from, power_w } = ride.bests.find((one) => one.duration_s === duration);
    const { arrays } = decoded(await ask("GET", `/rides/5/traces?points=4096&from=${from}&to=${from + duration}`));
    const seconds = arrays.get("power_w").map((value) => (Number.isNaN(value) ? 0 : value));
    assert.equal(seconds.length, duration);
    assert.ok(Math.abs(seconds.reduce((sum, value) => sum + value, 0) / duration - power_w) < 1e-3);
  }
  await ask("GET", "/rides/5/traces?from=9999999", {}, 400);
});

/* ---- writes ---- */

test("the look at the list is kept", async () => {
  const since = await ask("POST", "/session/looked");
  assert.equal(typeof since.rides, "number");
});

test("a mark on the list moves the row, and a row that isn't the one that was seen is refused", async () => {
  const { items } = await ask("GET", "/who");
  const item = items.find((one) => one.first && one.mark === null && one.group !== "away");
  const path = `/who/${item.rider}/marks`;
  await ask("POST", path, { body: { code: item.code, state: "done" } }, 428);
  await ask("POST", path, { body: { code: item.code, state: "done" }, version: item.version + 1 }, 412);
  await ask("POST", path, { body: { code: item.code, state: "gone" }, version: item.version }, 400);
  await ask("POST", path, { body: { code: item.code, state: "not before" }, version: item.version }, 400);
  const done = await ask("POST", path, { body: { code: item.code, state: "asked", line: "by phone" }, version: item.version });
  assert.match(done.words, /asked, waiting \(by phone\)/);
  const row = (await ask("GET", "/who")).items.find((one) => one.rider === item.rider && one.code === item.code);
  assert.equal(row.mark, "asked");
  assert.equal(row.group, "waiting for an answer");
  await ask("POST", `/changes/${done.change}/undo`);
  const back = (await ask("GET", "/who")).items.find((one) => one.rider === item.rider && one.code === item.code);
  assert.deepEqual(back, item);
});

/* New, edited, refused, taken away, and each of it taken back. */
async function walk_entry(path, list, made, edited, bad) {
  const before = await list();
  const answer = await ask("POST", path, { body: made, whole: true });
  assert.equal(answer.status, 201);
  assert.equal(answer.headers.get("location"), `/api/1${path}/${answer.value.number}`);
  const one = `${path}/${answer.value.number}`;
  await ask("POST", path, { body: { ...made, nonsense: 1 } }, 400);
  await ask("POST", path, { body: bad }, 400);
  await ask("PUT", one, { body: edited }, 428);
  const put = await ask("PUT", one, { body: edited, version: answer.value.version });
  assert.ok(put.version > answer.value.version, "the version rises");
  await ask("PUT", one, { body: made, version: answer.value.version }, 412);
  await ask("DELETE", one, { version: answer.value.version }, 412);
  const gone = await ask("DELETE", one, { version: put.version });
  await ask("PUT", one, { body: edited, version: put.version }, 404);
  assert.deepEqual(await list(), before);
  await ask("POST", `/changes/${gone.change}/undo`);
  const entry = (await list()).find((other) => other.number === answer.value.number || other.id === answer.value.number);
  assert.ok(entry !== undefined, `${path}: taking away was taken back`);
  await ask("DELETE", one, { version: entry.version });
}

const listed = (key) => async () => (await ask("GET", `/riders/${RIDER}`))[key];

test("dated facts: new, edited, taken away, taken back", async () => {
  await walk_entry(`/riders/${RIDER}/weights`, listed("weights"), { from: "2026-08-30", value: 61.4 }, { value: 61.8, note: "evening" }, { value: 5 });
  /* Control characters go no further. */
  const odd = await ask("POST", `/riders/${RIDER}/rest-heart-rates`, { body: { value: 49, note: "a\u001b[31mb" } });
  const [kept] = (await ask("GET", `/riders/${RIDER}`)).rest_heart_rates;
  assert.ok(!/[\u0000-\u001f]/.test(kept.note), JSON.stringify(kept));
  await ask("POST", `/changes/${odd.change}/undo`);
  await walk_entry(`/riders/${RIDER}/max-heart-rates`, listed("max_heart_rates"), { from: "2026-08-30", value: 191 }, { value: 192, at_least: true, known_by: "race" }, { value: "much" });
  await walk_entry(`/riders/${RIDER}/rest-heart-rates`, listed("rest_heart_rates"), { from: "2026-08-30", value: 51 }, { value: 50, note: null }, {});
  await walk_entry(`/riders/${RIDER}/thresholds`, listed("thresholds"), { from: "2026-08-31", value: 240, low: 230, high: 251 }, { value: 238, known_by: "20-minute test" }, { value: 240, low: 250, high: 260 });
});

test("entries: new, edited, taken away, taken back", async () => {
  const of = (name) => `/riders/${RIDER}/${name}`;
  await walk_entry(of("goals"), listed("goals"), { words: "finish in the group" }, { words: "finish in the first group", due: "2027-06-01" }, { words: "" });
  await walk_entry(of("events"), listed("events"), { day: "2027-05-02", name: "Hill Round" }, { day: "2027-05-03", name: "Hill Round", weight: "A", note: "hilly" }, { day: "2027-05-02", name: "x", weight: "D" });
  await walk_entry(of("blocks"), listed("blocks"), { name: "winter", from: "2027-01-04", until: "2027-02-28" }, { name: "winter", from: "2027-01-04", until: "2027-03-07" }, { name: "winter", from: "2027-02-04", until: "2027-01-28" });
  await walk_entry(of("days-off"), listed("days_off"), { kind: "away", from: "2026-12-20", until: "2026-12-27" }, { kind: "away", from: "2026-12-20", until: null }, { kind: "sleepy" });
  await walk_entry(of("flags"), listed("flags"), { kind: "heart-medicine", from: "2026-08-30" }, { kind: "heart-medicine", from: "2026-08-29", note: "told by mail" }, { kind: "none" });
  await walk_entry(of("consents"), listed("consents"), { kind: "studies", given: "2026-08-30" }, { kind: "studies", given: "2026-08-30", by: "herself" }, { kind: "studies", given: "2027-01-01" });
  await walk_entry(of("contacts"), listed("contacts"), { day: "2026-08-30", words: "spoke of the heat" }, { day: "2026-08-30", how: "phone", words: "spoke of the heat" }, { words: null });
  const early = await ask("POST", of("contacts"), { body: { day: "2026-08-29", words: "of the bike" } });
  const late = await ask("POST", of("contacts"), { body: { day: "2026-08-31", words: "of the race" } });
  const contacts = (await listed("contacts")()).map((one) => one.number);
  assert.ok(contacts.indexOf(late.number) < contacts.indexOf(early.number), "the newest contact comes first");
  await ask("POST", `/changes/${late.change}/undo`);
  await ask("POST", `/changes/${early.change}/undo`);
  await walk_entry(of("screenings"), async () => [(await ask("GET", `/riders/${RIDER}`)).screening].filter((one) => one !== null),
    { day: "2026-08-31", yes: [] }, { day: "2026-08-31", yes: ["chest-pain"], note: "once" }, { yes: ["toothache"] });
});

test("notes: new, edited, taken away, taken back", async () => {
  await walk_entry(`/riders/${RIDER}/notes`, async () => (await ask("GET", `/riders/${RIDER}/notes`)).notes,
    { day: "2026-08-30", legs_1_5: 2, fan: false, words: "heavy legs" }, { legs_1_5: 3, caffeine: "more", hot: true, temperature_c: 31 }, { legs_1_5: 7 });
});

test("sessions: the library and the coach's own are those of session library", async () => {
  const all = await ask("GET", "/own-sessions");
  assert.deepEqual([...all.library, ...all.own.map(({ version, ...rest }) => rest)], cli("session", "library"));
  /* Every kind that a session may be (the document's own list), each with a word for people. */
  assert.deepEqual(all.kinds.map((one) => one.name).sort(), [...schema_enum("session_kind")].sort());
  assert.deepEqual(all.kinds.filter((one) => one.of_work).map((one) => one.name).sort(), [...schema_enum("work_kind")].sort());
  assert.equal(all.kinds.find((one) => one.name === "short-vo2max").words, "short VO2max");
  const path = `/own-sessions/${encodeURIComponent("hills / long")}`;
  const body = { words: "6 times (3 min at 108-115 %, 3 min at 50 %)", kind: "vo2max", note: "the mill road" };
  const kept = await ask("PUT", path, { body });
  await ask("PUT", path, { body }, 409);
  await ask("PUT", path, { body: { words: "6 tines (3 min at 108 %)" }, version: kept.version }, 400);
  await ask("PUT", "/own-sessions/vo2max", { body }, 409);
  const again = await ask("PUT", path, { body: { ...body, note: null }, version: kept.version });
  await ask("PUT", path, { body, version: kept.version }, 412);
  await ask("DELETE", path, { version: kept.version }, 412);
  const gone = await ask("DELETE", path, { version: again.version });
  await ask("DELETE", path, { version: again.version }, 404);
  await ask("POST", `/changes/${gone.change}/undo`);
  const [own] = (await ask("GET", "/own-sessions")).own.filter((one) => one.name === "hills / long");
  assert.deepEqual([own.kind, own.meant_for, own.source], ["vo2max", null, "the coach's own"]);
  await ask("DELETE", path, { version: own.version });
});

/* A rider who may ride hard, and one day without anything near it. */
const DRAFTED = "2027-03-10";
const HARD = "15 min at 50-65 %\n4 times (4 min at 106-112 %, 4 min at 50 %)\nplan B over 26 C: 60 min at 50 %";

async function hard_rider() {
  for (const { id } of (await ask("GET", "/riders")).riders) {
    const read = await ask("POST", `/riders/${id}/session-words`, { body: { day: DRAFTED, words: HARD, kind: "vo2max" } });
    if (read.breaches.length === 0 && read.threshold_w !== null) {
      return id;
    }
  }
  return assert.fail("no rider of the example may ride hard");
}

test("words of a session are read without being saved: steps, watts, dose, faults with a place", async () => {
  const rider = await hard_rider();
  const path = `/riders/${rider}/session-words`;
  const read = await ask("POST", path, { body: { day: DRAFTED, words: HARD, kind: "vo2max" } });
  assert.equal(read.words, HARD);
  assert.deepEqual(read.lines.map((one) => one.kind), ["block", "block", "plan B"]);
  assert.equal(read.lines[2].when, "over 26 C");
  assert.equal(read.steps.length, 9);
  assert.equal(read.steps[1].from_s, 900);
  /* % of threshold in watts, by hand. */
  assert.equal(read.steps[1].high_w, Math.round(1.12 * read.threshold_w));
  assert.deepEqual([read.dose.duration_s, read.dose.vo2max_s, read.dose.hard], [900 + 4 * 480, 960, true]);
  const wrong = await ask("POST", path, { body: { day: DRAFTED, words: "warm up 10 min\n15 mn at 50 %" } });
  assert.deepEqual([wrong.words, wrong.steps, wrong.fault.line, wrong.fault.column, wrong.fault.letters], [null, undefined, 2, 4, 2]);
  assert.match(wrong.fault.instead, /min/);
  await ask("POST", path, { body: { day: DRAFTED, words: HARD, kind: "swim" } }, 400);
  await ask("POST", path, { body: { day: "someday", words: HARD } }, 400);
  await ask("POST", path, { body: { words: HARD } }, 400);
  await ask("POST", "/riders/999/session-words", { body: { day: DRAFTED, words: HARD } }, 404);
});

test("words of a session a step harder or longer; its profile is drawn when a width is asked", async () => {
  const rider = await hard_rider();
  const path = `/riders/${rider}/session-words`;
  const body = { day: DRAFTED, words: HARD, kind: "vo2max" };
  const plain = await ask("POST", path, { body });
  assert.equal(plain.figure, null);
  const drawn = await ask("POST", `${path}?width=400`, { body });
  assert.equal(drawn.figure.width, 400);
  /* A row for each step as it is ridden. */
  assert.equal(drawn.figure.table.rows.length, drawn.steps.length);
  await ask("POST", `${path}?width=10`, { body }, 400);
  const harder = await ask("POST", path, { body: { ...body, nudge: "harder" } });
  assert.equal(harder.words, HARD.replace("106-112", "108-114"));
  const longer = await ask("POST", path, { body: { ...body, nudge: "longer" } });
  assert.equal(longer.words, HARD.replace("4 times", "5 times"));
  assert.equal(longer.dose.vo2max_s, plain.dose.vo2max_s + 240);
  await ask("POST", path, { body: { ...body, nudge: "faster" } }, 400);
  await ask("POST", path, { body: { ...body, words: "60 min at 130-145 bpm", nudge: "harder" } }, 409);
});

test("sessions: copied to days and riders in one change or none; one undo takes all back", async () => {
  const rider = await hard_rider();
  const other = (await ask("GET", "/riders")).riders.find((one) => one.id !== rider).id;
  const path = `/riders/${rider}/sessions`;
  const easy = { day: DRAFTED, name: "Easy hour", kind: "easy", words: "60 min at 50-60 %", why: "a day to recover" };
  const made = await ask("POST", path, { body: easy });
  const of = async (id) => (await ask("GET", `/riders/${id}/sessions?from=2027-03-08&to=2027-03-22`)).sessions;
  const before = [(await of(rider)).length, (await of(other)).length];
  const copies = `${path}/${made.number}/copies`;
  const to = [{ rider, day: "2027-03-12" }, { rider: other, day: "2027-03-12" }, { rider: other, day: "2027-03-13" }];
  const done = await ask("POST", copies, { body: { to }, version: made.version });
  await ask("POST", copies, { body: { to }, version: made.version + 1 }, 412);
  assert.match(done.words, /3 sessions/);
  const [one] = (await of(other)).filter((row) => row.day === "2027-03-13");
  assert.deepEqual([one.name, one.kind, one.words, one.why, one.state, one.brief], ["Easy hour", "easy", easy.words, easy.why, "drafted", "1 h"]);
  assert.deepEqual([(await of(rider)).length, (await of(other)).length], [before[0] + 1, before[1] + 2]);
  /* A rider's next session is the first from today on. */
  const rows = (await ask("GET", "/riders")).riders.find((row) => row.id === other);
  const first = (await ask("GET", `/riders/${other}/sessions?from=${(await ask("GET", "/riders")).today}&to=2027-03-22`)).sessions.find((row) => ["given", "drafted"].includes(row.state));
  assert.deepEqual(rows.next_session, { number: first.number, day: first.day, name: first.name, state: first.state });
  await ask("POST", `/changes/${done.change}/undo`);
  assert.deepEqual([(await of(rider)).length, (await of(other)).length], before);
  /* Hard a day after hard: named by rider and day, and nothing is drafted. */
  const hard = await ask("POST", path, { body: { ...easy, day: "2027-03-15", name: "Hills", kind: "vo2max", words: HARD } });
  const refused = await ask("POST", `${path}/${hard.number}/copies`, { body: { to: [{ rider, day: "2027-03-20" }, { rider, day: "2027-03-21" }] }, version: hard.version }, 409);
  assert.match(refused.detail, /2027-03-21: .*safe_hard_gap_h/);
  assert.equal((await of(rider)).filter((row) => row.name === "Hills").length, 1);
  const known = await ask("POST", `${path}/${hard.number}/copies`, { body: { to: [{ rider, day: "2027-03-20" }, { rider, day: "2027-03-21", knowingly: ["safe_hard_gap_h"] }] }, version: hard.version });
  await ask("POST", copies, { body: { to: [] }, version: made.version }, 400);
  await ask("POST", copies, { body: { to: [{ rider: 999, day: "2027-03-12" }] }, version: made.version }, 404);
  await ask("POST", copies, { body: { to: [{ rider, day: "soon" }] }, version: made.version }, 400);
  for (const { change } of [known, hard, made]) {
    await ask("POST", `/changes/${change}/undo`);
  }
});

test("a ride says which session it was, as the session says which ride came back", async () => {
  let told = 0;
  let moved = 0;
  for (const { id } of (await ask("GET", "/riders")).riders) {
    const { sessions } = await ask("GET", `/riders/${id}/sessions?from=2026-07-27&to=2026-08-31`);
    for (const session of sessions.filter((one) => ["moved", "ridden", "changed"].includes(one.outcome) && (one.outcome === "moved" || told < 3))) {
      const { came_back: came } = await ask("GET", `/riders/${id}/sessions/${session.number}`);
      if (came.ride !== null) {
        const answer = await ask("GET", `/rides/${came.ride}/session`);
        assert.deepEqual([answer.session.number, answer.came_back], [session.number, came]);
        told += 1;
        moved += session.outcome === "moved" ? 1 : 0;
      }
    }
  }
  assert.ok(told >= 3 && moved >= 1, `${told} told, ${moved} of them moved`);
  /* One long before anything was given. */
  const { rides } = await ask("GET", `/riders/${RIDER}/rides`);
  assert.deepEqual([(await ask("GET", `/rides/${rides[0].id}/session`)).session], [null]);
  await ask("GET", "/rides/99999/session", {}, 404);
});

test("what a session would bring, and of one that is over what it was expected to", async () => {
  const { today, riders } = await ask("GET", "/riders");
  const headings = { past: new Set(), open: new Set() };
  for (const { id } of riders.slice(0, 4)) {
    const { sessions } = await ask("GET", `/riders/${id}/sessions?from=2026-08-17&to=2026-09-14`);
    for (const { number, day, outcome } of sessions) {
      const { outlook } = await ask("GET", `/riders/${id}/sessions/${number}`);
      headings[day < today || (outcome !== null && outcome !== "not-yet") ? "past" : "open"].add(outlook?.heading);
    }
  }
  assert.deepEqual([...headings.past], ["What it was expected to bring"]);
  assert.deepEqual([...headings.open], ["What it would bring"]);
});

test("sessions: drafted, edited, taken away, taken back", async () => {
  const rider = await hard_rider();
  await walk_entry(`/riders/${rider}/sessions`, async () => (await ask("GET", `/riders/${rider}/sessions?from=2027-03-08&to=2027-03-15`)).sessions,
    { day: DRAFTED, name: "Easy", words: "60 min at 50-60 %" }, { day: DRAFTED, name: "Easy", kind: "easy", words: "90 min at 50-60 %", why: "a day to recover" }, { day: DRAFTED, name: "Easy", words: "60 mn" });
  await ask("GET", `/riders/${rider}/sessions?from=2027-03-08&to=2027-03-08`, {}, 400);
  await ask("GET", `/riders/${rider}/sessions?from=2027-03-08&to=2029-03-08`, {}, 400);
});

test("sessions: a safe limit is named or nothing is saved; given, fetched, withdrawn, and the version of another is refused", async () => {
  const rider = await hard_rider();
  const path = `/riders/${rider}/sessions`;
  const wish = { day: DRAFTED, name: "VO2max, 4 x 4 min", kind: "vo2max", words: HARD, why: "the next step" };
  const first = await ask("POST", path, { body: wish });
  const near = { ...wish, day: "2027-03-11" };
  const { breaches } = await ask("POST", `/riders/${rider}/session-words`, { body: { day: near.day, words: HARD, kind: "vo2max" } });
  assert.deepEqual(breaches.map((one) => [one.name, one.refused]), [["safe_hard_gap_h", false]]);
  await ask("POST", path, { body: near }, 409);
  await ask("POST", path, { body: { ...near, knowingly: ["safe_hard"] } }, 409);
  const second = await ask("POST", path, { body: { ...near, knowingly: ["safe_hard_gap_h"] } });
  const one = `${path}/${second.number}`;
  assert.equal((await ask("GET", one)).confirmed, "safe_hard_gap_h");
  /* Another's change is 412; a safe limit with the right version is 409. */
  await ask("PUT", one, { body: near, version: second.version + 1 }, 412);
  await ask("PUT", one, { body: near, version: second.version }, 409);
  await ask("GET", `${one}/calendar`, {}, 409);
  await ask("POST", `${one}/state`, { body: { state: "drafted" }, version: second.version }, 400);
  await ask("POST", `${one}/state`, { body: { state: "given" }, version: second.version + 1 }, 412);
  await ask("POST", `${one}/state`, { body: { state: "given" } }, 428);
  const given = await ask("POST", `${one}/state`, { body: { state: "given" }, version: second.version });
  assert.match(given.words, /given/);
  await ask("DELETE", one, { version: given.version }, 409);
  /* A FIT file: 14 bytes of head, ".FIT" at 8 (the protocol's file header). */
  const workout = await ask("GET", `${one}/workout`);
  assert.equal(new TextDecoder().decode(new Uint8Array(workout, 8, 4)), ".FIT");
  /* A PDF begins with its version (ISO 32000-1, 7.5.2). */
  for (const page of ["a6", "a5&no_power=true"]) {
    const card = await ask("GET", `${one}/card?page=${page}`);
    assert.equal(new TextDecoder().decode(new Uint8Array(card, 0, 7)), "%PDF-1.");
  }
  await ask("GET", `${one}/card?page=a4`, {}, 400);
  const text = (bytes) => new TextDecoder("utf-8", { fatal: true }).decode(bytes).replace(/\r\n /g, "");
  const uid = (calendar) => /\r\nUID:(.*)\r\n/.exec(calendar)[1];
  const entry = text(await ask("GET", `${one}/calendar`));
  assert.match(entry, /BEGIN:VEVENT[^]*DTSTART;VALUE=DATE:20270311\r\n/);
  assert.doesNotMatch(entry, /CANCELLED/);
  const withdrawn = await ask("POST", `${one}/state`, { body: { state: "withdrawn" }, version: given.version });
  const after = text(await ask("GET", `${one}/calendar`));
  assert.match(after, /STATUS:CANCELLED/);
  assert.equal(uid(after), uid(entry));
  const whole = text(await ask("GET", `/riders/${rider}/calendar`));
  assert.ok(whole.includes(uid(entry)), "what was withdrawn stays in the calendar, cancelled");
  await ask("POST", `/changes/${withdrawn.change}/undo`);
  const shown = cli("session", "show", String(rider), String(second.number));
  const whole_session = await ask("GET", one);
  assert.deepEqual(narrowed(whole_session, shown), narrowed(shown, whole_session));
  for (const { change } of [given, second, first]) {
    await ask("POST", `/changes/${change}/undo`);
  }
  await ask("GET", one, {}, 404);
});

/* Rows of limits that say what counts as hard, and for whom: nothing to go past. */
const WHAT_COUNTS = ["safe_hard_pct", "safe_hard_s", "safe_beginner_years"];
/* One session past each limit, and what stands about it: days of March 2027. */
const FOUR = "4 times (4 min at 106-112 %, 4 min)";
const PAST_LIMITS = {
  safe_threshold_s: { words: "50 min at 95 %", kind: "threshold", before: [] },
  safe_vo2max_s: { words: "6 times (4 min at 110 %, 4 min)", kind: "vo2max", before: [] },
  safe_anaerobic_s: { words: "12 times (45 s at 140 %, 4 min)", kind: "anaerobic", before: [] },
  safe_hard_gap_h: { words: FOUR, kind: "vo2max", before: [["2027-03-19", FOUR, "vo2max"]] },
  hard_days_week: { words: FOUR, kind: "vo2max", before: [["2027-03-15", FOUR, "vo2max"], ["2027-03-18", FOUR, "vo2max"]] },
  safe_maximal_days: { words: "20 min all out", kind: "test", before: [["2027-03-07", "8 min all out", "test"]] },
};

test("sessions: each safe limit is gone past by its own name alone, saved and given", async () => {
  const names = cli("limits").map((row) => row.name).filter((name) => (name.startsWith("safe_") || name === "hard_days_week") && !WHAT_COUNTS.includes(name));
  assert.deepEqual(Object.keys(PAST_LIMITS).sort(), names.sort());
  const { number: rider } = await ask("POST", "/riders", { body: { name: "Cy Holt", born: "1990-01-01", training_since: "2026-08-01" } });
  await ask("POST", `/riders/${rider}/screenings`, { body: { day: "2026-08-31", yes: [] } });
  const path = `/riders/${rider}/sessions`;
  for (const [name, { words, kind, before }] of Object.entries(PAST_LIMITS)) {
    for (const [day, other, of] of before) {
      await ask("POST", path, { body: { day, name: "before", kind: of, words: other } });
    }
    const wish = { day: "2027-03-20", name, kind, words };
    const others = names.filter((other) => other !== name);
    await ask("POST", path, { body: wish }, 409);
    await ask("POST", path, { body: { ...wish, knowingly: others } }, 409);
    const saved = await ask("POST", path, { body: { ...wish, knowingly: [name] } });
    const one = `${path}/${saved.number}`;
    assert.equal((await ask("GET", one)).confirmed, name);
    await ask("POST", `${one}/state`, { body: { state: "given", knowingly: others }, version: saved.version }, 409);
    await ask("POST", `${one}/state`, { body: { state: "given", knowingly: [name] }, version: saved.version });
    assert.equal((await ask("GET", one)).confirmed, name);
    await ask("POST", `/riders/${rider}/withdrawal`, { body: { from: "2027-01-01" } });
  }
});

/* A rider with nothing planned, for whom something is proposed. */
async function unplanned_rider() {
  for (const { id } of (await ask("GET", "/riders")).riders) {
    const next = await ask("GET", `/riders/${id}/next`);
    if (next.stands.length === 0 && next.proposals.some((one) => one.number !== null)) {
      return id;
    }
  }
  return assert.fail("no rider of the example is without a plan");
}

test("what next: as the command line says it; drafted by what was seen, and called off in one change", async () => {
  const rider = await unplanned_rider();
  const path = `/riders/${rider}/next`;
  const seen = await ask("GET", path);
  assert.deepEqual(seen, cli("next", String(rider)));
  await ask("GET", `${path}?days=15`, {}, 400);
  assert.ok((await ask("GET", `${path}?days=14`)).until > seen.until);
  const { number } = seen.proposals.find((one) => one.number !== null);
  await ask("POST", path, { body: { mark: "00000000", numbers: [number] } }, 409);
  await ask("POST", path, { body: { mark: seen.mark, numbers: [] } }, 400);
  await ask("POST", path, { body: { mark: seen.mark, numbers: [16] } }, 400);
  const drafted = await ask("POST", path, { body: { mark: seen.mark, numbers: [number] } });
  const after = await ask("GET", path);
  assert.deepEqual(after.stands.map((one) => [one.number, one.state]), [[drafted.number, "drafted"]]);
  await ask("POST", path, { body: { mark: seen.mark, numbers: [number] } }, 409);
  const off = await ask("POST", `/riders/${rider}/withdrawal`, { body: {} });
  assert.deepEqual((await ask("GET", path)).stands, []);
  await ask("POST", `/riders/${rider}/withdrawal`, { body: { from: "2030-01-01" } }, 404);
  for (const { change } of [off, drafted]) {
    await ask("POST", `/changes/${change}/undo`);
  }
});

test("availability: set, edited, refused, taken away", async () => {
  const path = `/riders/${RIDER}/availability/2026-08-31`;
  const days = [{ weekday: 1, minutes: 60, place: "indoors" }, { weekday: 6, minutes: 180, place: "outdoors" }];
  const set = await ask("PUT", path, { body: { days } });
  await ask("PUT", path, { body: { days: days.slice(1) } }, 409);
  const edited = await ask("PUT", path, { body: { days: days.slice(1) }, version: set.version });
  await ask("PUT", path, { body: { days }, version: set.version }, 412);
  await ask("PUT", path, { body: { days: [{ weekday: 8, minutes: 60, place: "either" }] }, version: edited.version }, 400);
  assert.equal((await ask("GET", `/riders/${RIDER}`)).available.version, edited.version);
  await ask("DELETE", path, { version: set.version }, 412);
  await ask("DELETE", path, { version: edited.version });
});

test("a rider is added and edited", async () => {
  const added = await ask("POST", "/riders", { body: { name: "Nela Quist", sex: "female", accepts: ["fit", "card"], tests: ["20min", "5min"] } });
  const path = `/riders/${added.number}`;
  await ask("POST", "/riders", { body: { name: "Nela Quist" } }, 409);
  await ask("POST", "/riders", { body: { name: "Nelly", tests: ["3min"] } }, 400);
  assert.deepEqual((await ask("GET", path)).person.tests, ["5min", "20min"]);
  const edited = await ask("PUT", path, { body: { name: "Nela Quist", born: "1998-03-04", coached: false }, version: added.version });
  await ask("PUT", path, { body: { name: "Nela" }, version: added.version }, 412);
  const { person } = await ask("GET", path);
  assert.deepEqual([person.sex, person.accepts, person.tests, person.coached, person.version], [null, [], [], false, edited.version]);
});

/* Rides that were made old are read again in the background. */
async function until_read_again() {
  for (let i = 0; i < 600; i++) {
    if ((await ask("GET", "/jobs")).rides_being_read_again === 0) {
      return;
    }
    await new Promise((resolve) => setTimeout(resolve, 100));
  }
  assert.fail("rides are still being read again after a minute");
}

test("what is said of a ride: marked, asked, spoiled, taken back; its readings follow", async () => {
  const { rides } = await ask("GET", "/riders/4/rides");
  const { id } = rides.findLast((one) => one.ride && one.readings.some((reading) => reading.question === "hard work"));
  const was = await ask("GET", `/rides/${id}`);
  const version = was.mark.version ?? undefined;
  const mark = await ask("POST", `/rides/${id}/mark`, { body: { was: "race", spoiled_by: null }, version });
  assert.ok(mark.rides_being_read_again >= 1);
  await ask("POST", `/rides/${id}/mark`, { body: { was: "test", spoiled_by: null }, version }, version === undefined ? 409 : 412);
  await ask("POST", `/rides/${id}/mark`, { body: { was: "walk", spoiled_by: null }, version: mark.version }, 400);
  const asked = await ask("POST", `/rides/${id}/asked`, { body: { kind: "vo2max", low_pct: 106, high_pct: 120, reps: 4, rep_duration_s: 240 }, version: mark.version });
  await ask("POST", `/rides/${id}/asked`, { body: { kind: "vo2max", low_pct: 120, high_pct: 106 }, version: asked.version }, 400);
  const now = await ask("GET", `/rides/${id}`);
  assert.deepEqual([now.mark.was, now.asked.kind, now.asked.reps], ["race", "vo2max", 4]);
  assert.ok(now.ride.readings.some((reading) => reading.question === "hard work" && /asked/.test(reading.basis.intent ?? "")));
  await until_read_again();
  assert.equal((await ask("GET", `/rides/${id}`)).current, true);
  await ask("POST", `/changes/${asked.change}/undo`);
  await ask("POST", `/changes/${mark.change}/undo`);
  await ask("POST", `/changes/${mark.change}/undo`, {}, 409);
  await until_read_again();
  assert.deepEqual((await ask("GET", `/rides/${id}`)).ride, was.ride);
});

test("a changed threshold has its rides read again, and undo brings everything back", async () => {
  const { thresholds } = await ask("GET", "/riders/4");
  const before = await ask("GET", "/riders/4/weeks");
  const { number, version, value } = thresholds[0];
  const changed = await ask("PUT", `/riders/4/thresholds/${number}`, { body: { value: value + 20 }, version });
  assert.ok(changed.rides_being_read_again > 0);
  await until_read_again();
  await ask("POST", `/changes/${changed.change}/undo`);
  await until_read_again();
  /* Rides are held against usual once they are read. */
  let then = await ask("GET", "/riders/4/weeks");
  for (let i = 0; i < 240 && !isDeepStrictEqual(then, before); i++) {
    await new Promise((done) => setTimeout(done, 250));
    then = await ask("GET", "/riders/4/weeks");
  }
  assert.deepEqual(then, before);
  const { changes } = await ask("GET", "/changes?n=3");
  assert.equal(changes[0].undoes, changed.change);
});

test("of two recordings one counts, and each may be a ride of its own", async () => {
  await ask("POST", "/rides/5/main-recording", {}, 404);
  await ask("POST", "/rides/5/own-ride", {}, 404);
  /* Two devices of one hour, one without power. */
  const table = (columns, row) => [`timestamp,${columns}`, ...Array.from({ length: 3600 }, (_, s) =>
    `${new Date(Date.UTC(2026, 7, 29, 5, 0, s)).toISOString().slice(0, 19)}Z,${row(s)}`)].join("\n");
  const files = { "computer.csv": table("power,heart_rate", (s) => `${140 + (s % 30)},${118 + (s % 7)}`), "watch.csv": table("heart_rate,cadence", (s) => `${118 + (s % 7)},${85 + (s % 5)}`) };
  const ids = [];
  for (const [name, text] of Object.entries(files)) {
    const job = await job_over((await ask("POST", `/imports?name=${name}&rider=14`, { bytes: new TextEncoder().encode(text) })).url);
    assert.equal(job.result.counts.taken, 1, JSON.stringify(job));
    ids.push(job.result.files[0].rides[0].id);
  }
  const [computer, watch] = ids;
  assert.equal((await ask("GET", `/rides/${watch}`)).same_as, computer);
  const main = await ask("POST", `/rides/${watch}/main-recording`);
  const ride = await ask("GET", `/rides/${watch}`);
  assert.deepEqual(ride.recordings.map((one) => [one.id, one.main]), [[watch, true], [computer, false]]);
  const own = await ask("POST", `/rides/${computer}/own-ride`);
  assert.equal((await ask("GET", `/rides/${computer}`)).same_as, null);
  await ask("POST", `/changes/${own.change}/undo`);
  await ask("POST", `/changes/${main.change}/undo`);
  assert.equal((await ask("GET", `/rides/${watch}`)).same_as, computer);
});

/* ---- work ---- */

async function job_over(url) {
  for (let i = 0; i < 1200; i++) {
    const job = await ask("GET", url.replace("/api/1", ""));
    if (!["waiting", "running"].includes(job.state)) {
      return job;
    }
    await new Promise((resolve) => setTimeout(resolve, 100));
  }
  return assert.fail("the job doesn't end");
}

let a_job;

test("files: taken, known, unreadable, each with its line", async () => {
  const lines = ["time,power,heart_rate", ...Array.from({ length: 1500 }, (_, s) => `${s},${150 + (s % 40)},${120 + (s % 9)}`)];
  const bytes = new TextEncoder().encode(`${lines.join("\n")}\n`);
  const begun = await ask("POST", `/imports?name=evening.csv&rider=${RIDER}`, { bytes, whole: true });
  assert.equal(begun.status, 202);
  assert.equal(begun.headers.get("location"), begun.value.url);
  const taken = await job_over(begun.value.url);
  assert.deepEqual([taken.state, taken.result.files[0].outcome], ["done", "taken"], JSON.stringify(taken));
  const again = await job_over((await ask("POST", `/imports?name=evening.csv&rider=${RIDER}`, { bytes })).url);
  assert.equal(again.result.counts.known, 1);
  const broken = await job_over((await ask("POST", `/imports?name=broken.fit&rider=${RIDER}`, { bytes: new TextEncoder().encode("\x0e\x10\x54\x08\x64\0\0\0.FIT\0\0\x40\0\0") })).url);
  assert.equal(broken.result.files[0].outcome, "unreadable");
  assert.ok(broken.result.files[0].text.length > 0);
  await ask("DELETE", begun.value.url.replace("/api/1", ""));
  a_job = begun.value.url.replace("/api/1", "");
  await ask("GET", "/jobs/999999", {}, 404);
});

test("a read that isn't there at a glance is a job; once it is over the read has its answer", async () => {
  for (const path of [`/riders/${RIDER}/weeks?weeks=13`, `/riders/${RIDER}/figures/ladder?width=333`, `/riders/${RIDER}/bests?all=true`]) {
    const begun = await ask("GET", path, { headers: { prefer: "wait=0" }, whole: true });
    assert.equal(begun.status, 202, path);
    assert.equal(begun.headers.get("location"), begun.value.url);
    assert.deepEqual([begun.value.kind, (await job_over(begun.value.url)).state], ["answer", "done"]);
    assert.equal((await ask("GET", path, { headers: { prefer: "wait=0" }, whole: true })).status, 200, path);
  }
});

test("events are a stream", async () => {
  for (const path of ["/events", `${a_job}/events`]) {
    const abort = new AbortController();
    const answer = await fetch(`${server.origin}/api/1${path}`, { headers: { cookie: server.cookie }, signal: abort.signal });
    assert.equal(answer.headers.get("content-type").split(";")[0], "text/event-stream");
    const { value } = await answer.body.getReader().read();
    assert.match(new TextDecoder().decode(value), /^event: (hello|job)\ndata: \{/);
    called.set(operation_of("GET", path).id, [200]);
    abort.abort();
  }
});

test("what isn't there, isn't known, or isn't well formed is a problem in one line", async () => {
  await ask("GET", "/riders/999", {}, 404);
  await ask("GET", "/riders/ada", {}, 404);
  await ask("GET", "/rides/99999", {}, 404);
  await ask("GET", "/riders/1/weeks?weeks=1", {}, 400);
  await ask("GET", "/riders/1/weeks?against=never", {}, 400);
  await ask("GET", "/riders/1/weeks?colour=red", {}, 400);
  await ask("GET", "/riders/1/bests?from=2026-13-01", {}, 400);
  await ask("GET", "/riders/1/bests?against=before", {}, 400);
  await ask("POST", "/changes/999999/undo", {}, 404);
  const other = await server.ask("PATCH", "/riders/1", { body: {} });
  assert.equal(other.status, 405);
  assert.deepEqual(faults(named("problem"), other.value), []);
});

test("the example opens as a roster of its own", { skip: !routes.some((one) => one.pattern === "example") && "no such route" }, async () => {
  /* This server stands on an example already: there is nothing to make. */
  const begun = await ask("POST", "/example");
  const job = await job_over(begun.url);
  assert.equal(job.state, "done", JSON.stringify(job));
  const session = await ask("DELETE", "/example");
  assert.equal(session.roster, "example.plumbline");
});

test("every documented operation was called, and answered well once", async () => {
  await ask("DELETE", "/session");
  assert.equal((await server.ask("GET", "/session")).status, 401);
  const never = operations().map((one) => one.id)
    .filter((id) => !(called.get(id) ?? []).some((status) => status < 400));
  assert.deepEqual(never, []);
});
