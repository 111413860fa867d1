/* Riders of whom little or nonsense is on file (tests/cli/odd_roster.py): every documented GET of
 * each, of their rides and of a session drafted for them, answers by the document or refuses with a
 * problem, and nothing that is said holds a number that is none.
 *
 * Checked against something outside: JSON by JavaScript's own parser, which knows no NaN, and JSON
 * Schema 2020-12 by ajv. */
import assert from "node:assert/strict";
import { after, before, test } from "node:test";

import { faults, operations, resolved } from "./document.mjs";
import { Server } from "./server.mjs";

const { PLUMBLINE, ODD_ROSTER } = process.env;
const TODAY = "2026-03-30";

/* What a number that is none, and a value that is missing, look like in words. */
const NO_NUMBER = /(?<![A-Za-z])[-+−]?(nan|inf|infinity|undefined|null)(?![A-Za-z])|\[object /i;
/* Beyond any number that an answer has reason to hold: seconds since 1970 of the year 2099 are 4e9. */
const BEYOND = 1e11;

let server;
let people;
let drafted = 0;

before(async () => {
  server = await Server.start(PLUMBLINE, ["--roster", ODD_ROSTER, "--today", TODAY]);
  people = (await server.ask("GET", "/riders?all=true")).value.riders;
  for (const { id } of people) {
    const wish = { day: TODAY, name: "Odd", kind: "vo2max", why: "", knowingly: [],
                   words: "15 min at 50-65 %, then 5 times (4 min at 106-112 %, 4 min at 50 %), 10 min at 45 %" };
    const words = await server.ask("POST", `/riders/${id}/session-words`, { body: { day: wish.day, words: wish.words, kind: wish.kind } });
    assert.deepEqual(wrong_in("session-words", words.value), []);
    const knowingly = (words.value.breaches ?? []).map((one) => one.name);
    const made = await server.ask("POST", `/riders/${id}/sessions`, { body: { ...wish, knowingly } });
    assert.deepEqual(wrong_in("sessions", made.value), []);
    drafted += made.status < 400 ? 1 : 0;
  }
});

after(async () => {
  assert.equal(await server.stop(), 0, server.said.join(""));
  assert.ok(!server.said.join("").includes("runtime error"), server.said.join(""));
});

/* Lines of what an answer holds that it must not; a version is a hash. */
function wrong_in(where, value, at = "") {
  if (typeof value === "string") {
    return NO_NUMBER.test(value) ? [`${where} ${at}: ${value.slice(0, 120)}`] : [];
  }
  if (typeof value === "number") {
    return Math.abs(value) > BEYOND && !at.endsWith("/version") ? [`${where} ${at}: ${value}`] : [];
  }
  return value === null || typeof value !== "object" ? []
    : Object.entries(value).flatMap(([key, one]) => wrong_in(where, one, `${at}/${key}`));
}

/* Every address of an operation for these values of its parameters. */
function addresses(pattern, parameters, values) {
  return [...pattern.matchAll(/\{(\w+)\}/g)].reduce((paths, [hole, name]) => {
    const listed = parameters.find((one) => one.name === name)?.schema?.enum;
    const known = listed ?? values[name] ?? [];
    return paths.flatMap((path) => known.map((one) => path.replace(hole, String(one))));
  }, [pattern]);
}

async function wrong_of(one, path) {
  const answer = await server.ask("GET", path);
  const answers = one.operation.responses;
  const said = resolved(answers[String(answer.status)] ?? answers.default).content;
  const wrong = answer.status >= 500 ? [`${path}: ${answer.status}`] : [];
  if (path.endsWith("/traces") && answer.status === 200) {
    const head = new Uint8Array(answer.value, 4, new DataView(answer.value).getUint32(0, true));
    return [...wrong, ...wrong_in(path, JSON.parse(new TextDecoder().decode(head)))];
  }
  if (!answer.type.endsWith("json")) {
    return wrong;
  }
  const schema = said?.[answer.type]?.schema;
  return [...wrong, ...(schema === undefined ? [`${path}: ${answer.type}`] : faults(schema, answer.value).map((line) => `${path} ${line}`)),
          ...wrong_in(path, answer.value)];
}

/* A run of the whole: what is asked of one rider, and how many answers that were. */
async function wrong_of_rider(id) {
  const { rides } = (await server.ask("GET", `/riders/${id}/rides?all=true`)).value;
  const { sessions } = (await server.ask("GET", `/riders/${id}/sessions`)).value;
  const values = { rider: [id], ride: rides.slice(0, 2).map((ride) => ride.id), number: sessions.map((one) => one.number) };
  const wrong = [];
  let asked = 0;
  for (const one of operations().filter(({ method, pattern }) => method === "GET" && /\{(rider|ride)\}/.test(pattern))) {
    for (const path of addresses(one.pattern, one.parameters, values)) {
      wrong.push(...await wrong_of(one, path));
      asked++;
    }
  }
  return { wrong, asked, rides: rides.length };
}

test("every answer about an odd rider is by the document, and no number is none", async (t) => {
  let rides = 0;
  for (const { id, name } of people) {
    const told = await wrong_of_rider(id);
    assert.deepEqual(told.wrong, [], name);
    assert.ok(told.asked > 15, `${name}: ${told.asked} asked`);
    rides += told.rides;
  }
  assert.ok(people.length > 14 && rides > 40 && drafted > 12, `${people.length} riders, ${rides} rides, ${drafted} drafts`);
  t.diagnostic(`${people.length} riders, ${rides} rides, ${drafted} drafts`);
});

test("every answer about an odd roster is by the document, and no number is none", async () => {
  const wrong = [];
  for (const one of operations().filter(({ method, pattern, id }) => method === "GET" && !pattern.includes("{") && id !== "get_events")) {
    wrong.push(...await wrong_of(one, one.pattern));
  }
  assert.deepEqual(wrong, []);
});
