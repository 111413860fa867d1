// tests/npm/fit_written.test.mjs: what the writer wrote, as a decoder from outside reads it.
// Expected values: the requests that tests/npm/write_samples told beside each file; sums are made
// here from them.  Decoder: npm fit-file-parser, version in package-lock.json, with its checks of
// both checksums on (force: false).
//
// usage: SAMPLES=FOLDER node --test-reporter=tap fit_written.test.mjs
import assert from 'node:assert/strict';
import { readFileSync, readdirSync } from 'node:fs';
import { join } from 'node:path';
import test from 'node:test';
import FitParser from 'fit-file-parser';

const folder = process.env.SAMPLES;
const names = readdirSync(folder).filter((n) => n.endsWith('.fit')).map((n) => n.slice(0, -4)).sort();

const parse = (bytes) => new FitParser({
  force: false, mode: 'list', includeRawMessages: true,
}).parseAsync(bytes);
const load = async (name) => {
  const bytes = readFileSync(join(folder, `${name}.fit`));
  return {
    asked: JSON.parse(readFileSync(join(folder, `${name}.json`), 'utf8')),
    bytes,
    got: await parse(bytes),
  };
};
const seconds = (date) => date.getTime() / 1000;
const near = (got, want, tolerance, what) =>
  assert.ok(Math.abs(got - want) <= tolerance, `${what}: got ${got}, wanted ${want} +- ${tolerance}`);
// Of numbers that may be unknown: undefined on both sides is equal.
const nearOrAbsent = (got, want, tolerance, what) => {
  if (want === undefined) {
    assert.equal(got, undefined, `${what} must be absent`);
  } else {
    assert.notEqual(got, undefined, `${what} is absent, wanted ${want}`);
    near(got, want, tolerance, what);
  }
};

// Our channel, the protocol's field, and how far the field's step lets them differ.
const channels = [
  ['power_w', (r) => r.power, 0],
  ['heart_rate_bpm', (r) => r.heart_rate, 0],
  ['cadence_rpm', (r) => r.cadence, 0],
  ['speed_ms', (r) => r.enhanced_speed, 1e-9],
  ['distance_m', (r) => r.distance, 1e-9],
  ['altitude_m', (r) => r.enhanced_altitude, 1e-9],
  ['temperature_c', (r) => r.temperature, 0],
  ['latitude_deg', (r) => r.position_lat, 1e-8],
  ['longitude_deg', (r) => r.position_long, 1e-8],
  ['balance_left_pct', (r) => r.left_right_balance && 100 - r.left_right_balance.value, 0],
];

const timerSeconds = (events, from, to) => {
  let total = 0;
  let since = null;
  for (const event of events) {
    if (event.starts && since === null) {
      since = event.time_utc;
    } else if (!event.starts && since !== null) {
      total += Math.max(0, Math.min(to, event.time_utc) - Math.max(from, since));
      since = null;
    }
  }
  return total;
};

const mean = (values) => values.length === 0
  ? undefined : values.reduce((sum, value) => sum + value, 0) / values.length;
const most = (values) => (values.length === 0 ? undefined : Math.max(...values));
const column = (records, name) => records.map((r) => r[name]).filter((v) => v !== undefined)
  .filter((v) => name !== 'heart_rate_bpm' || v > 0);

const checkSums = (got, records, asked) => {
  const power = asked.developer ? [] : column(records, 'power_w');
  nearOrAbsent(got.avg_power, mean(power), 0.5, 'avg_power');
  nearOrAbsent(got.max_power, most(power), 0, 'max_power');
  for (const [name, field] of [['heart_rate_bpm', 'heart_rate'], ['cadence_rpm', 'cadence']]) {
    nearOrAbsent(got[`avg_${field}`], mean(column(records, name)), 0.5, `avg_${field}`);
    nearOrAbsent(got[`max_${field}`], most(column(records, name)), 0, `max_${field}`);
  }
  const distance = column(records, 'distance_m');
  nearOrAbsent(got.total_distance, distance.length === 0 ? undefined : distance.at(-1) - distance[0],
    1e-6, 'total_distance');
};

// A record's power stands until the next record, 3 s at most (limit bridge_other_s).
const work = (all, records) => records.reduce((sum, record) => {
  const next = all[all.indexOf(record) + 1];
  const hold = next === undefined ? 1 : Math.min(3, next.time_utc - record.time_utc);
  return record.power_w === undefined ? sum : (sum ?? 0) + record.power_w * hold;
}, undefined);

test('the samples cover every option of the writer', async () => {
  const all = await Promise.all(names.map(load));
  for (const option of ['big_endian', 'compressed', 'old_header', 'developer']) {
    assert.ok(all.some(({ asked }) => asked[option]), `${option} is asked for somewhere`);
    assert.ok(all.some(({ asked }) => !asked[option]), `${option} is left out somewhere`);
  }
  assert.ok(all.some(({ asked }) => asked.laps.length > 1));
  assert.ok(all.some(({ asked }) => asked.events.length > 2));
});

for (const name of names) {
  test(`${name}: header as asked, both checksums right`, async () => {
    const { asked, bytes, got } = await load(name);
    assert.equal(bytes[0], asked.old_header ? 12 : 14);
    assert.equal(bytes.readUInt32LE(4), bytes.length - bytes[0] - 2);
    assert.equal(got.protocolVersion, asked.developer ? 0x20 : 0x10);
    if (!asked.old_header) {
      assert.notEqual(bytes.readUInt16LE(12), 0, 'a header of 14 bytes carries its CRC');
    }
    // The decoder compares the checksums: it must refuse the file with any byte changed.
    const changed = Buffer.from(bytes);
    changed[bytes.length - 20] ^= 1;
    await assert.rejects(() => parse(changed).catch((e) => { throw new Error(String(e)); }), /CRC/);
  });

  test(`${name}: byte order and time headers as asked`, async () => {
    const { asked, got } = await load(name);
    for (const message of got.raw_messages) {
      assert.equal(message.little_endian, !asked.big_endian);
    }
    const records = got.raw_messages.filter((m) => m.global_message_number === 20);
    const compressed = records.filter((m) => m.compressed_timestamp !== undefined).length;
    // The device message stands at the first record's time, so that every record but those after
    // a gap of 32 s or more can be compressed.
    const able = asked.records.filter((r, i) =>
      i === 0 || r.time_utc - asked.records[i - 1].time_utc < 32 ||
      asked.events.some((e) => e.starts && r.time_utc - e.time_utc < 32 &&
        e.time_utc > asked.records[i - 1].time_utc)).length;
    assert.equal(compressed, asked.compressed ? able : 0);
  });

  test(`${name}: every record and channel comes back`, async () => {
    const { asked, got } = await load(name);
    assert.equal(got.records.length, asked.records.length);
    asked.records.forEach((want, i) => {
      assert.equal(seconds(got.records[i].timestamp), want.time_utc, `time of record ${i}`);
      for (const [channel, read, tolerance] of channels) {
        nearOrAbsent(read(got.records[i]), want[channel], tolerance, `${channel} of record ${i}`);
      }
    });
  });

  test(`${name}: power stands where it was asked`, async () => {
    const { asked, got } = await load(name);
    const records = got.raw_messages.filter((m) => m.global_message_number === 20);
    records.forEach((message, i) => {
      const native = message.fields.find((f) => f.field_definition_number === 7);
      const want = asked.records[i].power_w ?? 0xFFFF;
      const bytes = asked.big_endian ? [want >> 8, want & 0xFF] : [want & 0xFF, want >> 8];
      if (asked.developer) {
        assert.deepEqual(native.raw_value, [0xFF, 0xFF], 'native power is invalid');
        assert.deepEqual(message.developer_fields.map((f) => f.raw_value), [bytes]);
      } else {
        assert.equal(message.developer_fields.length, 0);
        if (native !== undefined) {
          assert.deepEqual(native.raw_value, bytes);
        }
      }
    });
    const described = got.field_descriptions ?? [];
    assert.equal(described.length, asked.developer ? 1 : 0);
    if (asked.developer) {
      assert.equal(described[0].native_mesg_num, 'record');
      assert.equal(described[0].native_field_num, 7);
      assert.equal(described[0].units, 'watts');
    }
  });

  test(`${name}: timer events as asked`, async () => {
    const { asked, got } = await load(name);
    assert.deepEqual(
      got.events.map((e) => [seconds(e.timestamp), e.event, e.event_type]),
      asked.events.map((e) => [e.time_utc, 'timer', e.starts ? 'start' : 'stop_all']));
  });

  test(`${name}: laps as asked, with their sums`, async () => {
    const { asked, got } = await load(name);
    assert.equal(got.laps.length, asked.laps.length);
    const end = asked.records.at(-1).time_utc;
    asked.laps.forEach((want, i) => {
      const lap = got.laps[i];
      assert.equal(lap.message_index.value, i);
      assert.equal(seconds(lap.start_time), want.start_utc);
      assert.equal(seconds(lap.timestamp), want.end_utc);
      assert.equal(lap.total_elapsed_time, want.end_utc - want.start_utc);
      assert.equal(lap.total_timer_time, timerSeconds(asked.events, want.start_utc, want.end_utc));
      const isLast = i + 1 === asked.laps.length;
      assert.equal(lap.lap_trigger, want.by_hand ? 'manual' : isLast ? 'session_end' : 'time');
      assert.equal(lap.wkt_step_index?.value, want.workout_step < 0 ? undefined : want.workout_step);
      const records = asked.records.filter((r) => r.time_utc >= want.start_utc &&
        (r.time_utc < want.end_utc || (r.time_utc === end && want.end_utc === end)));
      checkSums(lap, records, asked);
      nearOrAbsent(lap.total_work, asked.developer ? undefined : work(asked.records, records), 0,
        'total_work');
    });
  });

  test(`${name}: one session and activity as asked, with their sums`, async () => {
    const { asked, got } = await load(name);
    assert.equal(got.sessions.length, 1);
    const [session] = got.sessions;
    const start = asked.records[0].time_utc;
    const end = asked.records.at(-1).time_utc;
    assert.equal(seconds(session.start_time), start);
    assert.equal(session.total_elapsed_time, end - start);
    assert.equal(session.total_timer_time, timerSeconds(asked.events, start, end));
    assert.equal(session.num_laps, asked.laps.length);
    assert.equal(session.sport, asked.sport);
    const places = { cycling: { indoors: 'indoor_cycling', outdoors: 'road', unknown: 'generic' },
      running: { indoors: 'treadmill' } };
    assert.equal(session.sub_sport, places[asked.sport][asked.place]);
    assert.equal(session.workout_rpe, asked.effort === null ? undefined : asked.effort * 10);
    checkSums(session, asked.records, asked);
    nearOrAbsent(session.total_work, asked.developer ? undefined : work(asked.records, asked.records),
      0, 'total_work');
    const speed = column(asked.records, 'speed_ms');
    nearOrAbsent(session.enhanced_avg_speed, mean(speed), 0.0005001, 'enhanced_avg_speed');
    nearOrAbsent(session.enhanced_max_speed, most(speed), 1e-9, 'enhanced_max_speed');
    assert.equal(got.activity.num_sessions, 1);
    assert.equal(got.activity.total_timer_time, session.total_timer_time);
    assert.equal(
      got.activity.local_timestamp === undefined
        ? null : seconds(got.activity.local_timestamp) - seconds(got.activity.timestamp),
      asked.utc_offset_s);
  });

  // What the reader takes for a weight is what a decoder from outside calls one: the C reader is
  // held to these numbers by tests/recording/test_fit_weight.c.
  test(`${name}: weights as asked, in the profile's own numbers`, async () => {
    const { asked, got } = await load(name);
    for (const [number, field, key, scale] of [[3, 4, 'weight_kg', 10], [30, 0, 'weighed_kg', 100]]) {
      const messages = got.raw_messages.filter((m) => m.global_message_number === number);
      assert.equal(messages.length, asked[key] === null ? 0 : 1);
      for (const message of messages) {
        const { raw_value: raw } =
          message.fields.find((f) => f.field_definition_number === field);
        const want = Math.round(asked[key] * scale);
        assert.deepEqual(raw, asked.big_endian ? [want >> 8, want & 0xFF] : [want & 0xFF, want >> 8]);
      }
    }
    nearOrAbsent(got.user_profile?.weight, asked.weight_kg ?? undefined, 1e-9, 'set in the device');
    nearOrAbsent(got.weight_scale?.weight, asked.weighed_kg ?? undefined, 1e-9, 'by a scale');
  });

  test(`${name}: who recorded it`, async () => {
    const { asked, got } = await load(name);
    const [id] = got.file_ids;
    assert.equal(id.type, 'activity');
    assert.equal(id.manufacturer, 'development');
    assert.equal(id.product, asked.product);
    assert.equal(id.serial_number, asked.serial);
    assert.equal(seconds(id.time_created), asked.records[0].time_utc);
    assert.equal(got.device_infos.length, 1);
    assert.equal(got.device_infos[0].device_index, 'creator');
    assert.equal(got.device_infos[0].serial_number, asked.serial);
  });
}
