/* recording/fit_write.c: an activity, message by message.
 * Numbers of messages, fields and enumerations are those of the FIT protocol's public profile. */
#include "recording/fit_write.h"

#include "recording/fit_crc.h"
#include "recording/fit_out.h"
#include "recording/fit_write_head.h"

/* 1989-12-31T00:00:00Z in Unix time (SD-04 in the published facts). */
static const int64_t FIT_EPOCH_UTC = 631065600;

/* Times as milliseconds in 32 bits end after 49 days. */
static const int64_t LONGEST_S = UINT32_MAX / 1000;

static const uint8_t HEADER_SIZE_OLD = 12;
static const uint8_t HEADER_SIZE = 14;
static const uint8_t PROTOCOL_1 = 0x10;
static const uint8_t PROTOCOL_2 = 0x20; /* the first that knows developer fields */
static const uint16_t PROFILE = 2132;

enum global {
    GLOBAL_SESSION = 18,
    GLOBAL_LAP = 19,
    GLOBAL_RECORD = 20,
    GLOBAL_EVENT = 21,
    GLOBAL_ACTIVITY = 34,
};

enum event { EVENT_TIMER = 0, EVENT_SESSION = 8, EVENT_LAP = 9, EVENT_ACTIVITY = 26 };
enum event_type { TYPE_START = 0, TYPE_STOP = 1, TYPE_STOP_ALL = 4 };
enum lap_trigger { TRIGGER_MANUAL = 0, TRIGGER_TIME = 1, TRIGGER_SESSION_END = 7 };

/* Sport and its sub-sports; 0 = generic. */
struct sport_row {
    uint8_t number;
    uint8_t indoors;
    uint8_t outdoors;
};

static const struct sport_row sport_rows[] = {
    /* Of an unknown sport even the place says what it was. */
    [SPORT_UNKNOWN] = { 0, 0, 0 },
    /* indoor_cycling, road */
    [SPORT_CYCLING] = { 2, 6, 7 },
    /* treadmill, street */
    [SPORT_RUNNING] = { 1, 1, 2 },
    /* lap swimming, open water */
    [SPORT_SWIMMING] = { 5, 17, 18 },
    /* indoor walking */
    [SPORT_WALKING] = { 11, 27, 0 },
    [SPORT_HIKING] = { 17, 0, 0 },
    /* indoor rowing */
    [SPORT_ROWING] = { 15, 14, 0 },
    [SPORT_SKIING] = { 12, 0, 0 },
    [SPORT_TRANSITION] = { 3, 0, 0 },
    [SPORT_DIVING] = { 53, 0, 0 },
    [SPORT_TRAINING] = { 10, 0, 0 },
    /* golf */
    [SPORT_OTHER] = { 25, 0, 0 },
};

/* What is being written, with what is asked often. */
struct job {
    const struct fit_activity *activity;
    struct fit_out_file writer;
    int64_t epoch_s; /* FIT time of second 0 */
    size_t *kept;    /* [n_kept] places in samples that are written */
    size_t n_kept;
    int32_t start_s; /* of the session: the first record or event */
    int32_t end_s;   /* the last one */
    struct fit_event default_events[2];
    const struct fit_event *events;
    size_t n_events;
    struct lap default_lap;
    const struct lap *laps;
    size_t n_laps;
};

/* Sums over the records of a span; FIT_OUT_NONE where no record says anything. */
struct sums {
    int64_t distance_cm;
    int64_t work_j;
    int64_t mean_speed_mms, max_speed_mms;
    int64_t mean_power_w, max_power_w;
    int64_t mean_heart_bpm, max_heart_bpm;
    int64_t mean_cadence_rpm, max_cadence_rpm;
};

static int64_t at(const struct job *job, int64_t second)
{
    return job->epoch_s + second;
}

static bool has_developer_power(const struct job *job)
{
    return job->activity->power_as_developer_field &&
           job->activity->samples.value[CHANNEL_POWER] != NULL;
}

static int64_t value_at(const struct job *job, enum channel channel, size_t kept)
{
    const int32_t *column = job->activity->samples.value[channel];
    const int32_t value = column == NULL ? RECORDING_MISSING : column[job->kept[kept]];
    return value == RECORDING_MISSING ? FIT_OUT_NONE : value;
}

static int32_t time_at(const struct job *job, size_t kept)
{
    return job->activity->samples.time_s[job->kept[kept]];
}

static void mean_and_max(const struct job *job, enum channel channel, size_t from, size_t to,
                         int64_t *mean, int64_t *max)
{
    int64_t sum = 0;
    int64_t count = 0;
    *mean = FIT_OUT_NONE;
    *max = FIT_OUT_NONE;
    for (size_t i = from; i < to; i++) {
        const int64_t value = value_at(job, channel, i);
        if (value == FIT_OUT_NONE || (channel == CHANNEL_HEART_RATE && value == 0)) {
            continue;
        }
        sum += value;
        count++;
        *max = value > *max ? value : *max;
    }
    if (count > 0) {
        *mean = (sum + count / 2) / count;
    }
}

static int64_t work_j(const struct job *job, size_t from, size_t to)
{
    const int64_t longest_s = (int64_t)limits_row(LIMIT_BRIDGE_OTHER_S)->value;
    int64_t joules = FIT_OUT_NONE;
    for (size_t i = from; i < to; i++) {
        const int64_t power = value_at(job, CHANNEL_POWER, i);
        if (power == FIT_OUT_NONE) {
            continue;
        }
        int64_t hold_s = i + 1 < job->n_kept ? (int64_t)time_at(job, i + 1) - time_at(job, i) : 1;
        hold_s = hold_s > longest_s ? longest_s : hold_s;
        joules = (joules == FIT_OUT_NONE ? 0 : joules) + power * hold_s;
    }
    return joules;
}

static int64_t distance_cm(const struct job *job, size_t from, size_t to)
{
    int64_t first = FIT_OUT_NONE;
    int64_t last = FIT_OUT_NONE;
    for (size_t i = from; i < to; i++) {
        const int64_t distance = value_at(job, CHANNEL_DISTANCE, i);
        if (distance != FIT_OUT_NONE) {
            first = first == FIT_OUT_NONE ? distance : first;
            last = distance;
        }
    }
    return last == FIT_OUT_NONE ? FIT_OUT_NONE : last - first;
}

/* Over the records of [from_s, to_s). */
static struct sums sums_of(const struct job *job, int64_t from_s, int64_t to_s)
{
    size_t from = 0;
    while (from < job->n_kept && time_at(job, from) < from_s) {
        from++;
    }
    size_t to = from;
    while (to < job->n_kept && time_at(job, to) < to_s) {
        to++;
    }
    struct sums sums = { .distance_cm = distance_cm(job, from, to),
                         .work_j = FIT_OUT_NONE,
                         .mean_power_w = FIT_OUT_NONE,
                         .max_power_w = FIT_OUT_NONE };
    mean_and_max(job, CHANNEL_SPEED, from, to, &sums.mean_speed_mms, &sums.max_speed_mms);
    mean_and_max(job, CHANNEL_HEART_RATE, from, to, &sums.mean_heart_bpm, &sums.max_heart_bpm);
    mean_and_max(job, CHANNEL_CADENCE, from, to, &sums.mean_cadence_rpm, &sums.max_cadence_rpm);
    if (!has_developer_power(job)) {
        mean_and_max(job, CHANNEL_POWER, from, to, &sums.mean_power_w, &sums.max_power_w);
        sums.work_j = work_j(job, from, to);
    }
    return sums;
}

/* Seconds of [from_s, to_s) while the timer ran, by the events. */
static int64_t timer_s(const struct job *job, int64_t from_s, int64_t to_s)
{
    int64_t total = 0;
    int64_t since = from_s;
    bool runs = !job->events[0].starts; /* a stop comes first: it ran before */
    for (size_t i = 0; i <= job->n_events; i++) {
        int64_t until = i < job->n_events ? job->events[i].at_s : to_s;
        until = until < from_s ? from_s : until > to_s ? to_s : until;
        if (runs) {
            total += until - since;
        }
        since = until;
        runs = i < job->n_events && job->events[i].starts;
    }
    return total;
}

/* Half away from zero. */
static int64_t tenth(int64_t value)
{
    return (value + (value < 0 ? -5 : 5)) / 10;
}

/* A channel's value in the steps of its field. */
static int64_t in_field_steps(enum channel channel, int64_t value)
{
    if (value == FIT_OUT_NONE) {
        return FIT_OUT_NONE;
    }
    if (channel == CHANNEL_ALTITUDE) { /* decimetres to fifths of a metre above -500 m */
        return value < -5000 ? FIT_OUT_NONE : (value + 5000 + 1) / 2;
    }
    if (channel == CHANNEL_TEMPERATURE) {
        return tenth(value);
    }
    if (channel == CHANNEL_BALANCE) { /* bit 7: what stands here is the right side's share */
        return value < 0 || value > 1000 ? FIT_OUT_NONE : 0x80 | tenth(1000 - value);
    }
    return value;
}

static struct fit_out_message record_message(const struct job *job, size_t kept, bool compressed)
{
    static const struct {
        enum channel channel;
        uint8_t number;
        enum fit_out_base base;
    } rows[] = {
        { CHANNEL_LATITUDE, 0, FIT_OUT_SINT32 },    { CHANNEL_LONGITUDE, 1, FIT_OUT_SINT32 },
        { CHANNEL_DISTANCE, 5, FIT_OUT_UINT32 },    { CHANNEL_SPEED, 73, FIT_OUT_UINT32 },
        { CHANNEL_ALTITUDE, 78, FIT_OUT_UINT32 },   { CHANNEL_POWER, 7, FIT_OUT_UINT16 },
        { CHANNEL_HEART_RATE, 3, FIT_OUT_UINT8 },   { CHANNEL_CADENCE, 4, FIT_OUT_UINT8 },
        { CHANNEL_TEMPERATURE, 13, FIT_OUT_SINT8 }, { CHANNEL_BALANCE, 30, FIT_OUT_UINT8 },
    };
    const struct fit_activity *activity = job->activity;
    const bool developer = has_developer_power(job);
    struct fit_out_message message = { .local = compressed ? FIT_LOCAL_RECORD_COMPRESSED
                                                           : FIT_LOCAL_RECORD,
                                       .global = GLOBAL_RECORD };
    if (!compressed) {
        fit_out_add(&message, FIT_OUT_TIME, FIT_OUT_UINT32, at(job, time_at(job, kept)));
    }
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        const enum channel channel = rows[i].channel;
        if (activity->samples.value[channel] != NULL) {
            const bool hidden = developer && channel == CHANNEL_POWER;
            fit_out_add(&message, rows[i].number, rows[i].base,
                        hidden ? FIT_OUT_NONE
                               : in_field_steps(channel, value_at(job, channel, kept)));
        }
    }
    if (developer) {
        fit_out_add_developer(&message, 0, FIT_OUT_UINT16, value_at(job, CHANNEL_POWER, kept));
    }
    return message;
}

static void write_record(struct job *job, size_t kept)
{
    const int64_t time = at(job, time_at(job, kept));
    const bool compressed =
        job->activity->compressed_timestamps && fit_out_can_compress(&job->writer, time);
    const struct fit_out_message message = record_message(job, kept, compressed);
    if (compressed) {
        fit_out_write_compressed(&job->writer, &message, time);
    } else {
        fit_out_write(&job->writer, &message);
    }
}

static void write_event(struct job *job, const struct fit_event *event)
{
    struct fit_out_message message = { .local = FIT_LOCAL_EVENT, .global = GLOBAL_EVENT };
    fit_out_add(&message, FIT_OUT_TIME, FIT_OUT_UINT32, at(job, event->at_s));
    fit_out_add(&message, 3, FIT_OUT_UINT32, 0); /* data: by hand */
    fit_out_add(&message, 0, FIT_OUT_ENUM, EVENT_TIMER);
    fit_out_add(&message, 1, FIT_OUT_ENUM, event->starts ? TYPE_START : TYPE_STOP_ALL);
    fit_out_add(&message, 4, FIT_OUT_UINT8, 0); /* group */
    fit_out_write(&job->writer, &message);
}

static const struct sport_row *sport_of(const struct job *job)
{
    return &sport_rows[job->activity->sport];
}

static uint8_t sub_sport_of(const struct job *job)
{
    const struct sport_row *row = sport_of(job);
    switch (job->activity->place) {
    case PLACE_INDOORS: return row->indoors;
    case PLACE_OUTDOORS: return row->outdoors;
    case PLACE_UNKNOWN: break;
    }
    return 0;
}

static void write_lap(struct job *job, size_t i)
{
    const struct lap *lap = &job->laps[i];
    const bool is_last = i + 1 == job->n_laps;
    /* The last record's second belongs to the lap that ends with it. */
    const int64_t to_s = lap->end_s >= job->end_s ? (int64_t)lap->end_s + 1 : lap->end_s;
    const struct sums sums = sums_of(job, lap->start_s, to_s);
    const int trigger = lap->by_hand ? TRIGGER_MANUAL
                        : is_last    ? TRIGGER_SESSION_END
                                     : TRIGGER_TIME;
    struct fit_out_message m = { .local = FIT_LOCAL_LAP, .global = GLOBAL_LAP };
    fit_out_add(&m, FIT_OUT_TIME, FIT_OUT_UINT32, at(job, lap->end_s));
    fit_out_add(&m, 254, FIT_OUT_UINT16, (int64_t)i); /* message index */
    fit_out_add(&m, 2, FIT_OUT_UINT32, at(job, lap->start_s));
    fit_out_add(&m, 7, FIT_OUT_UINT32, ((int64_t)lap->end_s - lap->start_s) * 1000);
    fit_out_add(&m, 8, FIT_OUT_UINT32, timer_s(job, lap->start_s, lap->end_s) * 1000);
    fit_out_add(&m, 9, FIT_OUT_UINT32, sums.distance_cm);
    fit_out_add(&m, 41, FIT_OUT_UINT32, sums.work_j);
    fit_out_add(&m, 19, FIT_OUT_UINT16, sums.mean_power_w);
    fit_out_add(&m, 20, FIT_OUT_UINT16, sums.max_power_w);
    fit_out_add(&m, 71, FIT_OUT_UINT16, lap->workout_step < 0 ? FIT_OUT_NONE : lap->workout_step);
    fit_out_add(&m, 0, FIT_OUT_ENUM, EVENT_LAP);
    fit_out_add(&m, 1, FIT_OUT_ENUM, TYPE_STOP);
    fit_out_add(&m, 15, FIT_OUT_UINT8, sums.mean_heart_bpm);
    fit_out_add(&m, 16, FIT_OUT_UINT8, sums.max_heart_bpm);
    fit_out_add(&m, 17, FIT_OUT_UINT8, sums.mean_cadence_rpm);
    fit_out_add(&m, 18, FIT_OUT_UINT8, sums.max_cadence_rpm);
    fit_out_add(&m, 24, FIT_OUT_ENUM, trigger);
    fit_out_add(&m, 25, FIT_OUT_ENUM, sport_of(job)->number);
    fit_out_add(&m, 39, FIT_OUT_ENUM, sub_sport_of(job));
    fit_out_write(&job->writer, &m);
}

static void write_session(struct job *job)
{
    const struct fit_activity *activity = job->activity;
    const struct sums sums = sums_of(job, job->start_s, (int64_t)job->end_s + 1);
    const int64_t elapsed_s = (int64_t)job->end_s - job->start_s;
    struct fit_out_message m = { .local = FIT_LOCAL_SESSION, .global = GLOBAL_SESSION };
    fit_out_add(&m, FIT_OUT_TIME, FIT_OUT_UINT32, at(job, job->end_s));
    fit_out_add(&m, 254, FIT_OUT_UINT16, 0); /* message index */
    fit_out_add(&m, 2, FIT_OUT_UINT32, at(job, job->start_s));
    fit_out_add(&m, 7, FIT_OUT_UINT32, elapsed_s * 1000);
    fit_out_add(&m, 8, FIT_OUT_UINT32, timer_s(job, job->start_s, job->end_s) * 1000);
    fit_out_add(&m, 9, FIT_OUT_UINT32, sums.distance_cm);
    fit_out_add(&m, 48, FIT_OUT_UINT32, sums.work_j);
    fit_out_add(&m, 124, FIT_OUT_UINT32, sums.mean_speed_mms);
    fit_out_add(&m, 125, FIT_OUT_UINT32, sums.max_speed_mms);
    fit_out_add(&m, 20, FIT_OUT_UINT16, sums.mean_power_w);
    fit_out_add(&m, 21, FIT_OUT_UINT16, sums.max_power_w);
    fit_out_add(&m, 25, FIT_OUT_UINT16, 0); /* first lap */
    fit_out_add(&m, 26, FIT_OUT_UINT16, (int64_t)job->n_laps);
    fit_out_add(&m, 0, FIT_OUT_ENUM, EVENT_SESSION);
    fit_out_add(&m, 1, FIT_OUT_ENUM, TYPE_STOP);
    fit_out_add(&m, 5, FIT_OUT_ENUM, sport_of(job)->number);
    fit_out_add(&m, 6, FIT_OUT_ENUM, sub_sport_of(job));
    fit_out_add(&m, 16, FIT_OUT_UINT8, sums.mean_heart_bpm);
    fit_out_add(&m, 17, FIT_OUT_UINT8, sums.max_heart_bpm);
    fit_out_add(&m, 18, FIT_OUT_UINT8, sums.mean_cadence_rpm);
    fit_out_add(&m, 19, FIT_OUT_UINT8, sums.max_cadence_rpm);
    fit_out_add(&m, 28, FIT_OUT_ENUM, 0); /* trigger: the activity's end */
    if (activity->effort_0_10 > 0.0 && activity->effort_0_10 <= 10.0) {
        fit_out_add(&m, 193, FIT_OUT_UINT8, (int64_t)(activity->effort_0_10 * 10.0 + 0.5));
    }
    fit_out_write(&job->writer, &m);
}

static void write_activity(struct job *job)
{
    const struct fit_activity *activity = job->activity;
    const int64_t local = at(job, job->end_s) + activity->utc_offset_s;
    struct fit_out_message m = { .local = FIT_LOCAL_ACTIVITY, .global = GLOBAL_ACTIVITY };
    fit_out_add(&m, FIT_OUT_TIME, FIT_OUT_UINT32, at(job, job->end_s));
    fit_out_add(&m, 0, FIT_OUT_UINT32, timer_s(job, job->start_s, job->end_s) * 1000);
    fit_out_add(&m, 5, FIT_OUT_UINT32, activity->has_utc_offset ? local : FIT_OUT_NONE);
    fit_out_add(&m, 1, FIT_OUT_UINT16, 1); /* sessions */
    fit_out_add(&m, 2, FIT_OUT_ENUM, 0);   /* type: manual */
    fit_out_add(&m, 3, FIT_OUT_ENUM, EVENT_ACTIVITY);
    fit_out_add(&m, 4, FIT_OUT_ENUM, TYPE_STOP);
    fit_out_write(&job->writer, &m);
}

static void write_head(struct job *job)
{
    fit_write_head(&job->writer, job->activity, at(job, job->start_s), has_developer_power(job));
}

/* Events, records and laps in order of time.  Of one second: a start, the records, a stop, a lap's
 * end. */
static void write_body(struct job *job)
{
    size_t event = 0;
    size_t lap = 0;
    for (size_t i = 0; i <= job->n_kept; i++) {
        const int64_t now_s = i < job->n_kept ? time_at(job, i) : INT64_MAX;
        for (;;) {
            const bool has_event =
                event < job->n_events &&
                (job->events[event].at_s < now_s ||
                 (job->events[event].at_s == now_s && job->events[event].starts));
            const bool has_lap = lap < job->n_laps && job->laps[lap].end_s < now_s;
            if (has_event && (!has_lap || job->events[event].at_s <= job->laps[lap].end_s)) {
                write_event(job, &job->events[event++]);
            } else if (has_lap) {
                write_lap(job, lap++);
            } else {
                break;
            }
        }
        if (i < job->n_kept) {
            write_record(job, i);
        }
    }
}

static void write_file_header(struct job *job)
{
    struct fit_out_file *writer = &job->writer;
    const struct fit_activity *activity = job->activity;
    fit_out_put(writer, activity->old_header ? HEADER_SIZE_OLD : HEADER_SIZE, 1);
    fit_out_put(writer, has_developer_power(job) ? PROTOCOL_2 : PROTOCOL_1, 1);
    fit_out_put(writer, PROFILE, 2);
    fit_out_put(writer, 0, 4);          /* size of the data, known at the end */
    fit_out_put(writer, 0x5449462E, 4); /* ".FIT" */
    if (!activity->old_header) {
        fit_out_put(writer, 0, 2); /* its CRC likewise */
    }
}

static void finish_file(struct job *job)
{
    struct fit_out_file *writer = &job->writer;
    const size_t header = writer->bytes[0];
    const size_t data = writer->size - header;
    for (size_t i = 0; i < 4; i++) {
        writer->bytes[4 + i] = (uint8_t)(data >> (8 * i));
    }
    if (header == HEADER_SIZE) {
        const uint16_t crc = fit_crc16(0, writer->bytes, 12);
        writer->bytes[12] = (uint8_t)(crc & 0xFF);
        writer->bytes[13] = (uint8_t)(crc >> 8);
    }
    fit_out_put(writer, fit_crc16(0, writer->bytes, writer->size), 2);
}

/* Which samples are written; false if there is none or a time runs back. */
static bool keep_samples(struct arena *arena, struct job *job, struct error *err)
{
    const struct samples *samples = &job->activity->samples;
    job->kept = ARENA_ARRAY(arena, size_t, samples->count);
    for (size_t i = 0; i < samples->count; i++) {
        if (samples->dropped != NULL && samples->dropped[i] != 0) {
            continue;
        }
        if (job->n_kept > 0 && samples->time_s[i] < time_at(job, job->n_kept - 1)) {
            return error_set(err, ERROR_USAGE,
                             "FIT: sample %zu is earlier than the one before it; sort by time", i);
        }
        job->kept[job->n_kept++] = i;
    }
    if (job->n_kept == 0) {
        return error_set(err, ERROR_USAGE, "FIT: no sample to write; give at least one");
    }
    return true;
}

/* Fills in events and laps that weren't given, and the session's ends. */
static bool settle_times(struct job *job, struct error *err)
{
    const struct fit_activity *activity = job->activity;
    const int32_t first_s = time_at(job, 0);
    const int32_t last_s = time_at(job, job->n_kept - 1);
    job->events = activity->events;
    job->n_events = activity->n_events;
    if (job->n_events == 0) {
        job->default_events[0] = (struct fit_event){ first_s, true };
        job->default_events[1] = (struct fit_event){ last_s, false };
        job->events = job->default_events;
        job->n_events = 2;
    }
    for (size_t i = 1; i < job->n_events; i++) {
        if (job->events[i].at_s < job->events[i - 1].at_s) {
            return error_set(err, ERROR_USAGE,
                             "FIT: timer event %zu is earlier than the one "
                             "before it; sort by time",
                             i);
        }
    }
    const int32_t first_event_s = job->events[0].at_s;
    const int32_t last_event_s = job->events[job->n_events - 1].at_s;
    job->start_s = first_event_s < first_s ? first_event_s : first_s;
    job->end_s = last_event_s > last_s ? last_event_s : last_s;
    job->laps = activity->laps;
    job->n_laps = activity->n_laps;
    if (job->n_laps == 0) {
        job->default_lap = (struct lap){ job->start_s, job->end_s, false, -1 };
        job->laps = &job->default_lap;
        job->n_laps = 1;
    }
    job->epoch_s = activity->start_utc - FIT_EPOCH_UTC;
    if (at(job, job->start_s) < 0 || at(job, job->end_s) >= UINT32_MAX ||
        (int64_t)job->end_s - job->start_s > LONGEST_S) {
        return error_set(err, ERROR_USAGE,
                         "FIT: the times don't fit the format (1990 to 2126, 49 days at most)");
    }
    return true;
}

bool fit_write(struct arena *arena, const struct fit_activity *activity, struct bytes *out,
               struct error *err)
{
    struct job job = {
        .activity = activity,
        .writer = { .arena = arena, .big_endian = activity->big_endian, .last_time = FIT_OUT_NONE }
    };
    if (!keep_samples(arena, &job, err) || !settle_times(&job, err)) {
        return false;
    }
    write_file_header(&job);
    write_head(&job);
    write_body(&job);
    write_session(&job);
    write_activity(&job);
    finish_file(&job);
    *out = (struct bytes){ job.writer.bytes, job.writer.size };
    return true;
}
