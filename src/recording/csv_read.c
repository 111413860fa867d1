/* recording/csv_read.c: from a table to recordings. */
#include "recording/csv_read.h"

#include "recording/csv_table.h"
#include "recording/csv_text.h"
#include "recording/grid.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Rows of one recording: [from, to) of the table. */
struct stretch {
    size_t from;
    size_t to;
    size_t n_dropped;
    int64_t most_back_ms;
};

struct job {
    struct arena *arena;
    const struct read_options *options;
    const struct limits *limits;
    struct csv_table table;
    uint8_t *dropped; /* [table.count] */
    int32_t *time_s;  /* [table.count] from the first row of the recording */
    bool turned_round;
    struct stretch *stretches;
    size_t n_stretches;
    size_t stretches_capacity;
};

/* The text up to a line's end, where no character is cut, as far as the probe looks. */
static struct bytes head_of(struct bytes bytes)
{
    const size_t longest = (size_t)limits_row(LIMIT_CAP_CSV_LINE_BYTES)->value;
    struct bytes head = bytes;
    if (head.size > longest) {
        head.size = longest;
        while (head.size > 0 && head.at[head.size - 1] != '\n' && head.at[head.size - 1] != '\r') {
            head.size--;
        }
    }
    return head;
}

/* Whether the first line that isn't blank holds a delimiter, or two of the lines do. */
static bool has_delimiters(struct bytes head)
{
    size_t lines = 0;
    bool is_first = true;
    bool has_text = false;
    bool has_delimiter = false;
    for (size_t i = 0; i <= head.size; i++) {
        if (i == head.size || head.at[i] == '\n' || head.at[i] == '\r') {
            lines += has_delimiter ? 1 : 0;
            if (lines > 1 || (has_delimiter && is_first)) {
                return true;
            }
            is_first = is_first && !has_text;
            has_text = has_delimiter = false;
        } else {
            has_delimiter = has_delimiter || strchr(",;\t", head.at[i]) != NULL;
            has_text = has_text || head.at[i] != ' ';
        }
    }
    return false;
}

bool csv_probe(struct bytes bytes)
{
    /* Of UTF-16 each character takes two bytes and becomes up to three. */
    struct arena *scratch = arena_open();
    const size_t longest = 2 * (size_t)limits_row(LIMIT_CAP_CSV_LINE_BYTES)->value;
    const struct bytes front = { bytes.at, bytes.size < longest ? bytes.size : longest };
    const struct bytes plain = csv_text_plain(scratch, front);
    struct bytes head = head_of(plain);
    size_t from = 0;
    while (from < head.size && strchr(" \t\r\n", head.at[from]) != NULL && head.at[from] != 0) {
        from++;
    }
    /* What other text formats begin with: XML, JSON. */
    const bool is_other = from == head.size || strchr("<{[", head.at[from]) != NULL;
    const bool is_table = !is_other && csv_text_is_text(head) && has_delimiters(head);
    arena_close(scratch);
    return is_table;
}

/* A table whose newest row stands first is turned round. */
static void turn_round(struct job *job)
{
    struct csv_table *table = &job->table;
    size_t ahead = 0;
    size_t back = 0;
    for (size_t i = 1; i < table->count; i++) {
        ahead += table->time_ms[i] > table->time_ms[i - 1] ? 1 : 0;
        back += table->time_ms[i] < table->time_ms[i - 1] ? 1 : 0;
    }
    if (back <= ahead) {
        return;
    }
    job->turned_round = true;
    for (size_t i = 0, j = table->count - 1; i < j; i++, j--) {
        const int64_t time = table->time_ms[i];
        table->time_ms[i] = table->time_ms[j];
        table->time_ms[j] = time;
        for (size_t c = 0; c < CHANNEL_COUNT; c++) {
            if (table->value[c] != NULL) {
                const int32_t value = table->value[c][i];
                table->value[c][i] = table->value[c][j];
                table->value[c][j] = value;
            }
        }
    }
}

/* A clock that shows 23:59:59 and then 0:00:00 has passed midnight. */
static void pass_midnights(struct csv_table *table)
{
    static const int64_t DAY_MS = 86400000;
    int64_t days_ms = 0;
    if (table->form != CSV_TIME_CLOCK) {
        return;
    }
    for (size_t i = 1; i < table->count; i++) {
        table->time_ms[i] += days_ms;
        if (table->time_ms[i - 1] - table->time_ms[i] > DAY_MS / 2) {
            days_ms += DAY_MS;
            table->time_ms[i] += DAY_MS;
        }
    }
}

static bool add_stretch(struct job *job, size_t from, struct error *err)
{
    const size_t most = (size_t)job->limits->value[LIMIT_CAP_FILE_RECORDINGS];
    if (job->n_stretches == most) {
        return error_set(err, ERROR_TOO_LARGE,
                         "%s: the time jumps more than %zu times; is it one recording?",
                         job->options->file, most);
    }
    job->stretches = arena_grow(job->arena, job->stretches, job->n_stretches,
                                &job->stretches_capacity, sizeof job->stretches[0]);
    job->stretches[job->n_stretches++] = (struct stretch){ .from = from, .to = from };
    return true;
}

/* One row whose time is far off while the next goes on from the one before. */
static bool is_wild(const struct csv_table *table, size_t i, int64_t newest_ms, int64_t back_ms)
{
    const int64_t step_ms = table->time_ms[i] - newest_ms;
    if ((step_ms >= -back_ms && step_ms <= back_ms) || i + 1 == table->count) {
        return false;
    }
    const int64_t next_ms = table->time_ms[i + 1] - newest_ms;
    return next_ms >= 0 && next_ms <= back_ms;
}

/* Marks row i of the stretch as not put on the grid. */
static void drop(struct job *job, struct stretch *stretch, size_t i, int64_t back_ms)
{
    job->dropped[i] = 1;
    stretch->n_dropped++;
    stretch->most_back_ms = back_ms > stretch->most_back_ms ? back_ms : stretch->most_back_ms;
}

/* Cuts the rows into recordings where the clock was set, and marks rows that ran back a little. */
static bool cut(struct job *job, struct error *err)
{
    const struct csv_table *table = &job->table;
    const int64_t back_ms = (int64_t)job->limits->value[LIMIT_CLOCK_BACK_S] * 1000;
    const int64_t jump_ms = (int64_t)job->limits->value[LIMIT_CLOCK_JUMP_S] * 1000;
    const int64_t longest_ms = (int64_t)job->limits->value[LIMIT_CAP_RECORDING_S] * 1000;
    int64_t first_ms = 0;
    int64_t newest_ms = 0;
    for (size_t i = 0; i < table->count; i++) {
        const int64_t step_ms = table->time_ms[i] - newest_ms;
        const bool wild = i > 0 && is_wild(table, i, newest_ms, back_ms);
        if (i == 0 || (!wild && (step_ms < -back_ms || step_ms > jump_ms))) {
            if (!add_stretch(job, i, err)) {
                return false;
            }
            first_ms = newest_ms = table->time_ms[i];
        }
        struct stretch *stretch = &job->stretches[job->n_stretches - 1];
        stretch->to = i + 1;
        const int64_t shown_ms = wild ? newest_ms : table->time_ms[i];
        job->time_s[i] = (int32_t)((shown_ms - first_ms + 500) / 1000);
        if (wild || table->time_ms[i] < newest_ms) {
            drop(job, stretch, i, newest_ms - table->time_ms[i]);
            continue;
        }
        newest_ms = table->time_ms[i];
        if (newest_ms - first_ms >= longest_ms) {
            return error_set(err, ERROR_TOO_LARGE,
                             "%s: a recording of more than %.0f h; is the time in seconds?",
                             job->options->file, (double)longest_ms / 3600000.0);
        }
    }
    return true;
}

/* What the grids of all recordings will take, against what is left: nothing is allocated that the
 * file's size doesn't warrant. */
static bool fits_memory(const struct job *job, size_t used, size_t file_bytes, struct error *err)
{
    /* A second of a channel is a value, its mask and what trust works with beside them. */
    static const size_t PER_SECOND = 3 * sizeof(int32_t);
    size_t n_channels = 0;
    for (size_t c = 0; c < CHANNEL_COUNT; c++) {
        n_channels += job->table.value[c] != NULL ? 1 : 0;
    }
    size_t seconds = 0;
    for (size_t i = 0; i < job->n_stretches; i++) {
        const struct stretch *stretch = &job->stretches[i];
        int32_t last_s = 0;
        for (size_t row = stretch->from; row < stretch->to; row++) {
            last_s = job->time_s[row] > last_s ? job->time_s[row] : last_s;
        }
        seconds += (size_t)last_s + 1;
    }
    const double most = job->limits->value[LIMIT_CAP_CSV_MEMORY_BYTES] + 3.0 * (double)file_bytes;
    if ((double)used + (double)seconds * (double)((n_channels + 1) * PER_SECOND) > most) {
        return error_set(err, ERROR_TOO_LARGE,
                         "%s: %zu recordings of %.0f h together, in too few rows; is the time in "
                         "seconds?",
                         job->options->file, job->n_stretches, (double)seconds / 3600.0);
    }
    return true;
}

static int by_size(const void *a, const void *b)
{
    const int32_t x = *(const int32_t *)a;
    const int32_t y = *(const int32_t *)b;
    return (x > y) - (x < y);
}

/* The usual step between rows of the recording, in seconds: their median. */
static int32_t usual_step_s(const struct samples *samples)
{
    struct arena *scratch = arena_open();
    int32_t *steps = ARENA_ARRAY(scratch, int32_t, samples->count);
    size_t n = 0;
    int32_t before = 0;
    for (size_t i = 0; i < samples->count; i++) {
        if (samples->dropped[i] == 0) {
            if (samples->time_s[i] > before) {
                steps[n++] = samples->time_s[i] - before;
            }
            before = samples->time_s[i];
        }
    }
    qsort(steps, n, sizeof steps[0], by_size);
    const int32_t usual = n == 0 ? 1 : steps[n / 2];
    arena_close(scratch);
    return usual;
}

/* Whether distance grew between two rows as it does when the rider goes on. */
static bool went_on(const struct samples *samples, size_t a, size_t b, double moving_ms)
{
    const int32_t *distance = samples->value[CHANNEL_DISTANCE];
    if (distance == NULL || distance[a] == RECORDING_MISSING || distance[b] == RECORDING_MISSING) {
        return false;
    }
    const double metres = ((double)distance[b] - distance[a]) * channel_row(CHANNEL_DISTANCE)->step;
    return metres >= moving_ms * (samples->time_s[b] - samples->time_s[a]);
}

static void find_pauses(const struct job *job, struct recording *recording)
{
    const struct samples *samples = &recording->samples;
    const int32_t usual_s = usual_step_s(samples);
    const int32_t gap_s = (int32_t)job->limits->value[LIMIT_PAUSE_GAP_S];
    /* A rare rhythm is no pause at every row. */
    const double steps_s = usual_s * job->limits->value[LIMIT_PAUSE_GAP_STEPS];
    const int32_t longest_s = steps_s > gap_s ? (int32_t)steps_s : gap_s;
    size_t capacity = 0;
    size_t before = 0; /* the first row is never dropped */
    for (size_t i = 1; i < samples->count; i++) {
        if (samples->dropped[i] != 0) {
            continue;
        }
        if (samples->time_s[i] - samples->time_s[before] > longest_s &&
            !went_on(samples, before, i, job->limits->value[LIMIT_PAUSE_MOVING_MS])) {
            recording->pauses = arena_grow(job->arena, recording->pauses, recording->n_pauses,
                                           &capacity, sizeof recording->pauses[0]);
            recording->pauses[recording->n_pauses++] =
                (struct span){ samples->time_s[before] + 1, samples->time_s[i] };
        }
        before = i;
    }
}

static bool has_value(const int32_t *value, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        if (value[i] != RECORDING_MISSING) {
            return true;
        }
    }
    return false;
}

static void add_findings(const struct job *job, const struct stretch *stretch,
                         struct recording *recording)
{
    const struct csv_table *table = &job->table;
    if (table->n_bad > 0) {
        struct finding *finding =
            recording_add_finding(job->arena, recording, "bad-rows", -1, EFFECT_NOTED);
        finding_add_number(finding, "rows", (double)table->n_bad);
        finding_add_number(finding, "of", (double)table->n_rows);
        finding_add_number(finding, "first_line", (double)table->first_bad_line);
        finding->detail = table->first_bad;
    }
    for (size_t c = 0; c < CHANNEL_COUNT; c++) {
        if (table->strange[c] != NULL) {
            struct finding *finding =
                recording_add_finding(job->arena, recording, "unit-unknown", -1, EFFECT_NOTED);
            finding->detail = table->strange[c];
        }
    }
    if (stretch->n_dropped > 0) {
        struct finding *finding =
            recording_add_finding(job->arena, recording, "clock", -1, EFFECT_NOTED);
        finding_add_number(finding, "rows", (double)stretch->n_dropped);
        finding_add_number(finding, "most_back_s", (double)stretch->most_back_ms / 1000.0);
    }
    if (job->turned_round) {
        struct finding *finding =
            recording_add_finding(job->arena, recording, "clock", -1, EFFECT_NOTED);
        finding_add_number(finding, "turned_round", 1.0);
    }
    if (recording->is_ride) {
        recording_add_finding(job->arena, recording, "sport-assumed", -1, EFFECT_NOTED);
    }
}

static struct recording *make_recording(const struct job *job, size_t i)
{
    const struct csv_table *table = &job->table;
    const struct stretch *stretch = &job->stretches[i];
    struct recording *recording = ARENA_ARRAY(job->arena, struct recording, 1);
    *recording = recording_unknown();
    recording->format = FORMAT_CSV;
    recording->part = i + 1;
    recording->parts = job->n_stretches;
    recording->has_start_utc = table->form == CSV_TIME_INSTANT;
    recording->has_utc_offset = table->has_offset;
    recording->utc_offset_s = table->offset_s;
    if (recording->has_start_utc) {
        recording->start_utc = (int64_t)floor((double)table->time_ms[stretch->from] / 1000.0 + 0.5);
    }
    struct samples *samples = &recording->samples;
    samples->count = stretch->to - stretch->from;
    samples->time_s = job->time_s + stretch->from;
    samples->dropped = job->dropped + stretch->from;
    for (size_t c = 0; c < CHANNEL_COUNT; c++) {
        int32_t *value = table->value[c] == NULL ? NULL : table->value[c] + stretch->from;
        if (value != NULL && has_value(value, samples->count)) {
            samples->value[c] = value;
        }
    }
    recording->is_ride =
        samples->value[CHANNEL_POWER] != NULL || samples->value[CHANNEL_CADENCE] != NULL;
    find_pauses(job, recording);
    add_findings(job, stretch, recording);
    return recording;
}

bool csv_read(struct arena *arena, struct bytes bytes, const struct read_options *options,
              const struct limits *limits, struct recordings *out, struct error *err)
{
    const size_t before = arena_bytes(arena);
    struct job job = { .arena = arena, .options = options, .limits = limits };
    if (!csv_table_read(arena, csv_text_plain(arena, bytes), options, limits, &job.table, err)) {
        return false;
    }
    job.dropped = ARENA_ARRAY(arena, uint8_t, job.table.count);
    job.time_s = ARENA_ARRAY(arena, int32_t, job.table.count);
    pass_midnights(&job.table);
    turn_round(&job);
    if (!cut(&job, err) || !fits_memory(&job, arena_bytes(arena) - before, bytes.size, err)) {
        return false;
    }
    out->items = ARENA_ARRAY(arena, struct recording *, job.n_stretches);
    for (size_t i = 0; i < job.n_stretches; i++) {
        out->items[i] = make_recording(&job, i);
        grid_fill(arena, out->items[i], limits);
    }
    out->count = job.n_stretches;
    return true;
}
