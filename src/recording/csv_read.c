/* recording/csv_read.c: from a table to recordings. */
#include "recording/csv_read.h"

#include "recording/csv_table.h"
#include "recording/csv_text.h"
#include "recording/grid.h"
#include "recording/stretches.h"

#include <math.h>
#include <string.h>

struct job {
    struct arena *arena;
    const struct read_options *options;
    const struct limits *limits;
    struct csv_table table;
    bool turned_round;
    struct stretches stretches;
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

/* Cuts the rows into recordings where the clock was set, and marks rows that ran back a little. */
static bool cut(struct job *job, struct error *err)
{
    const struct stretch_times times = { .count = job->table.count, .time_ms = job->table.time_ms };
    switch (stretches_cut(job->arena, &times, job->limits, &job->stretches)) {
    case STRETCHES_CUT: return true;
    case STRETCHES_TOO_MANY:
        return error_set(err, ERROR_TOO_LARGE,
                         "%s: the time jumps more than %.0f times; is it one recording?",
                         job->options->file, job->limits->value[LIMIT_CAP_FILE_RECORDINGS]);
    case STRETCHES_TOO_LONG: break;
    }
    return error_set(err, ERROR_TOO_LARGE,
                     "%s: a recording of more than %.0f h; is the time in seconds?",
                     job->options->file, job->limits->value[LIMIT_CAP_RECORDING_S] / 3600.0);
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
    const size_t seconds = stretches_seconds(&job->stretches);
    const double most = job->limits->value[LIMIT_CAP_CSV_MEMORY_BYTES] + 3.0 * (double)file_bytes;
    if ((double)used + (double)seconds * (double)((n_channels + 1) * PER_SECOND) > most) {
        return error_set(err, ERROR_TOO_LARGE,
                         "%s: %zu recordings of %.0f h together, in too few rows; is the time in "
                         "seconds?",
                         job->options->file, job->stretches.count, (double)seconds / 3600.0);
    }
    return true;
}

/* Steps of 1 to `most_s` seconds between two rows. */
static size_t count_steps(const struct samples *samples, int32_t most_s)
{
    size_t n = 0;
    int32_t before_s = 0;
    for (size_t i = 0; i < samples->count; i++) {
        if (samples->dropped[i] == 0) {
            const int32_t step_s = samples->time_s[i] - before_s;
            n += step_s >= 1 && step_s <= most_s ? 1 : 0;
            before_s = samples->time_s[i];
        }
    }
    return n;
}

/* The usual step between rows of the recording, in seconds: their median, the upper one of two.
 * It is found by counting, not by sorting: of a row a second the first count is the answer. */
static int32_t usual_step_s(const struct samples *samples)
{
    const size_t n = count_steps(samples, INT32_MAX);
    const size_t half = n / 2;
    int32_t below_s = 0; /* no more than half of the steps are that short */
    int32_t usual_s = 1;
    while (n > 0 && count_steps(samples, usual_s) <= half) {
        below_s = usual_s;
        usual_s *= 2; /* no step is as long as limit cap_recording_s */
    }
    while (usual_s - below_s > 1) {
        const int32_t middle_s = below_s + (usual_s - below_s) / 2;
        if (count_steps(samples, middle_s) <= half) {
            below_s = middle_s;
        } else {
            usual_s = middle_s;
        }
    }
    return usual_s;
}

/* Whether the rider stood between two rows: not if distance grew as it does when one goes on. */
static bool stood(const void *with, const struct samples *samples, size_t a, size_t b)
{
    const struct limits *limits = with;
    const int32_t *distance = samples->value[CHANNEL_DISTANCE];
    if (distance == NULL || distance[a] == RECORDING_MISSING || distance[b] == RECORDING_MISSING) {
        return true;
    }
    const double metres = ((double)distance[b] - distance[a]) * channel_row(CHANNEL_DISTANCE)->step;
    return metres <
           limits->value[LIMIT_PAUSE_MOVING_MS] * (samples->time_s[b] - samples->time_s[a]);
}

static void find_pauses(const struct job *job, struct recording *recording)
{
    const double gap_s = job->limits->value[LIMIT_PAUSE_GAP_S];
    /* A rare rhythm is no pause at every row. */
    const double steps_s =
        usual_step_s(&recording->samples) * job->limits->value[LIMIT_PAUSE_GAP_STEPS];
    stretch_find_pauses(job->arena, recording, (int32_t)(steps_s > gap_s ? steps_s : gap_s), stood,
                        job->limits);
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
    const size_t n_dropped = stretch->clock.n_back + stretch->clock.n_wild;
    if (n_dropped > 0) {
        struct finding *finding =
            recording_add_finding(job->arena, recording, "clock", -1, EFFECT_NOTED);
        finding_add_number(finding, "rows", (double)n_dropped);
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
    const struct stretch *stretch = &job->stretches.items[i];
    struct recording *recording = stretches_recording(job->arena, &job->stretches, i, table->value);
    recording->format = FORMAT_CSV;
    recording->has_start_utc = table->form == CSV_TIME_INSTANT;
    recording->has_utc_offset = table->has_offset;
    recording->utc_offset_s = table->offset_s;
    if (recording->has_start_utc) {
        recording->start_utc = (int64_t)floor((double)table->time_ms[stretch->from] / 1000.0 + 0.5);
    }
    const struct samples *samples = &recording->samples;
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
    pass_midnights(&job.table);
    turn_round(&job);
    if (!cut(&job, err) || !fits_memory(&job, arena_bytes(arena) - before, bytes.size, err)) {
        return false;
    }
    out->items = ARENA_ARRAY(arena, struct recording *, job.stretches.count);
    for (size_t i = 0; i < job.stretches.count; i++) {
        out->items[i] = make_recording(&job, i);
        grid_fill(arena, out->items[i], limits);
    }
    out->count = job.stretches.count;
    return true;
}
