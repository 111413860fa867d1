// tests/npm/fit_workout.test.mjs: workout files, as a decoder from outside reads them.
// Expected values: what tests/npm/write_workouts told beside each file.  Decoder: npm
// fit-file-parser, its checks of both checksums on; numbers of fields and enumerations are those of
// the FIT protocol's public profile.
//
// usage: WORKOUTS=FOLDER node --test-reporter=tap fit_workout.test.mjs
import assert from 'node:assert/strict';
import { readFileSync, readdirSync } from 'node:fs';
import { join } from 'node:path';
import test from 'node:test';
import FitParser from 'fit-file-parser';

const folder = process.env.WORKOUTS;
const names = readdirSync(folder).filter((n) => n.endsWith('.fit')).map((n) => n.slice(0, -4)).sort();

const unsigned = (raw) => raw.reduceRight((sum, byte) => sum * 256 + byte, 0);
const words = (raw) => Buffer.from(raw.slice(0, raw.indexOf(0))).toString('utf8');
const none = { 1: 0xFF, 2: 0xFFFF, 4: 0xFFFFFFFF };

// A message's fields by number; what is marked invalid is left out.
const fields = (message) => {
  const out = {};
  for (const { field_definition_number: number, base_type: type, raw_value: raw } of message.fields) {
    if (type === 7) {
      out[number] = words(raw);
    } else if (unsigned(raw) !== none[raw.length]) {
      out[number] = unsigned(raw);
    }
  }
  return out;
};

const cut = (text, most) => {
  let bytes = Buffer.from(text ?? '');
  if (bytes.length > most) {
    let end = most;
    while ((bytes[end] & 0xC0) === 0x80) {
      end -= 1;
    }
    bytes = bytes.subarray(0, end);
  }
  return bytes.toString('utf8');
};

const wantedTarget = { open: 2, w: 4, pct: 4, bpm: 1, max_pct: 1 };
const offset = { w: 1000, pct: 0, bpm: 100, max_pct: 0 };

const checkStep = (got, asked, index) => {
  assert.equal(got[254], index);
  if (asked.times > 0) {
    assert.equal(got[1], 6, 'repeat until steps complete');
    assert.equal(got[2], asked.first, 'back to');
    assert.equal(got[4], asked.times, 'times');
    assert.ok(got[2] < index);
    return;
  }
  assert.equal(got[0], cut(asked.name, 60), 'name');
  assert.equal(got[8], cut(asked.words, 200), 'words');
  assert.equal(got[1], asked.seconds > 0 ? 0 : 5, 'time, or open');
  assert.equal(got[2], asked.seconds > 0 ? asked.seconds * 1000 : undefined, 'milliseconds');
  assert.equal(got[3], wantedTarget[asked.aim], 'target');
  assert.equal(got[5], asked.aim === 'open' ? undefined : asked.low + offset[asked.aim], 'low');
  assert.equal(got[6], asked.aim === 'open' ? undefined : asked.high + offset[asked.aim], 'high');
  assert.equal(got[7], asked.intensity, 'intensity');
  assert.equal(got[21], asked.rpm_high > 0 ? asked.rpm_low : undefined, 'cadence');
  assert.equal(got[22], asked.rpm_high > 0 ? asked.rpm_high : undefined, 'cadence');
  assert.equal(got[19], asked.rpm_high > 0 ? 3 : undefined, 'cadence');
};

test('every kind of step is among the samples', () => {
  const all = names.flatMap((n) => JSON.parse(readFileSync(join(folder, `${n}.json`), 'utf8')).steps);
  for (const aim of Object.keys(wantedTarget)) {
    assert.ok(all.some((s) => s.times === 0 && s.aim === aim), aim);
  }
  assert.ok(all.some((s) => s.times > 0) && all.some((s) => s.rpm_high > 0 && s.words !== null));
  assert.ok(all.some((s) => s.seconds === 0 && s.times === 0));
});

for (const name of names) {
  test(`${name}: name, targets and repeats as asked`, async () => {
    const asked = JSON.parse(readFileSync(join(folder, `${name}.json`), 'utf8'));
    const got = await new FitParser({ force: false, mode: 'list', includeRawMessages: true })
      .parseAsync(readFileSync(join(folder, `${name}.fit`)));
    assert.equal(got.file_ids[0].type, 'workout');
    assert.equal(got.file_ids[0].serial_number, asked.serial);
    assert.equal(new Date(got.file_ids[0].time_created).getTime() / 1000, asked.made_utc_s);
    assert.equal(got.workout.sport, 'cycling');
    assert.equal(got.workout.num_valid_steps, asked.steps.length);
    assert.equal(got.workout.wkt_name, cut(asked.name, 60));
    const steps = got.raw_messages.filter((m) => m.global_message_number === 27);
    assert.equal(steps.length, asked.steps.length);
    steps.forEach((step, i) => checkStep(fields(step), asked.steps[i], i));
  });
}
