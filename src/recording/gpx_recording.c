/* recording/gpx_recording.c: track points as recordings. */
#include "recording/gpx_recording.h"

#include "base/text.h"
#include "recording/gpx_fields.h"
#include "recording/grid.h"

#include <math.h>
#include <string.h>

/* Memory, in bytes at most: a point 64 while it is parsed, then 4 + 1 + 10 x 4; a second of grid
 * 10 x 5 + 1 = 51.  A point with a time takes 45 bytes of the file or more.
 *     400,000 x 51 = 20 MB;  a byte of the file: (64 + 45) / 45 + 51 / 64 = 3.2 */
static const size_t BYTES_A_SECOND = 64;

/* Points [from, to) of the file. */
struct stretch {
    size_t from;
    size_t to;
    size_t n_back; /* dropped: ran back a little */
    size_t n_wild; /* dropped: far off alone */
    bool after_jump;
    int64_t jump_ms;
};

struct job {
    struct arena *arena;
    const struct gpx_file *gpx;
    const char *file;
    const struct limits *limits;
    const struct gpx_point **points; /* [gpx->n_points] */
    struct samples all;              /* columns over all points; recordings are views of it */
    struct stretch *stretches;
    size_t n_stretches;
    size_t capacity;
};

static double limit(const struct job *job, enum limit_id id)
{
    return job->limits->value[id];
}

static const char *type_of(const struct job *job, const struct gpx_point *point)
{
    return job->gpx->tracks[point->track].type;
}

/* Whether another track goes on with the recording that `last` ended. */
static bool goes_on(const struct job *job, const struct gpx_point *last,
                    const struct gpx_point *point, int64_t newest_ms)
{
    const int64_t step_ms = point->utc_ms - newest_ms;
    return point->track == last->track ||
           (step_ms >= 0 && step_ms <= (int64_t)(limit(job, LIMIT_PAUSE_GAP_S) * 1000.0) &&
            strcmp(type_of(job, last), type_of(job, point)) == 0);
}

/* A new recording from that point on; NULL past the cap. */
static struct stretch *add_stretch(struct job *job, size_t from, struct error *err)
{
    const size_t most = (size_t)limit(job, LIMIT_CAP_FILE_RECORDINGS);
    if (job->n_stretches == most) {
        error_set(err, ERROR_TOO_LARGE,
                  "%s: holds more than %zu recordings; split it into its rides", job->file, most);
        return NULL;
    }
    job->stretches = arena_grow(job->arena, job->stretches, job->n_stretches, &job->capacity,
                                sizeof job->stretches[0]);
    struct stretch *stretch = &job->stretches[job->n_stretches++];
    *stretch = (struct stretch){ .from = from, .to = from };
    return stretch;
}

/* One point whose time is far off while the next of its track goes on from the one before. */
static bool is_wild(const struct job *job, size_t i, int64_t newest_ms, int64_t back_ms)
{
    const int64_t step_ms = job->points[i]->utc_ms - newest_ms;
    if ((step_ms >= -back_ms && step_ms <= back_ms) || i + 1 == job->gpx->n_points ||
        job->points[i + 1]->track != job->points[i]->track) {
        return false;
    }
    const int64_t next_ms = job->points[i + 1]->utc_ms - newest_ms;
    return next_ms >= 0 && next_ms <= back_ms;
}

static bool refuse_long(const struct job *job, int64_t length_ms, struct error *err)
{
    const long long minutes = (long long)(length_ms / 60000);
    return error_set(err, ERROR_TOO_LARGE,
                     "%s: a recording of %lld h %02lld min; %.0f h is the most that is read, so "
                     "split it",
                     job->file, minutes / 60, minutes % 60,
                     limit(job, LIMIT_CAP_RECORDING_S) / 3600.0);
}

/* Cuts the points into recordings and gives each its second. */
static bool cut(struct job *job, struct error *err)
{
    const int64_t back_ms = (int64_t)limit(job, LIMIT_CLOCK_BACK_S) * 1000;
    const int64_t jump_ms = (int64_t)limit(job, LIMIT_CLOCK_JUMP_S) * 1000;
    const int64_t longest_ms = (int64_t)limit(job, LIMIT_CAP_RECORDING_S) * 1000;
    struct stretch *stretch = NULL;
    int64_t first_ms = 0;
    int64_t newest_ms = 0;
    for (size_t i = 0; i < job->gpx->n_points; i++) {
        const struct gpx_point *point = job->points[i];
        const int64_t step_ms = point->utc_ms - newest_ms;
        const bool follows = i > 0 && goes_on(job, job->points[i - 1], point, newest_ms);
        const bool wild = follows && is_wild(job, i, newest_ms, back_ms);
        const bool set = follows && !wild && (step_ms < -back_ms || step_ms > jump_ms);
        if (stretch == NULL || !follows || set) {
            stretch = add_stretch(job, i, err);
            if (stretch == NULL) {
                return false;
            }
            stretch->after_jump = set;
            stretch->jump_ms = step_ms;
            first_ms = newest_ms = point->utc_ms;
        }
        stretch->to = i + 1;
        const bool back = point->utc_ms < newest_ms;
        if (wild || back) {
            /* A dropped time stays as written as far as it has a second; the grid never asks. */
            job->all.dropped[i] = 1;
            stretch->n_wild += wild ? 1 : 0;
            stretch->n_back += wild ? 0 : 1;
        } else {
            newest_ms = point->utc_ms;
        }
        const int64_t shown_ms = (wild ? newest_ms : point->utc_ms) - first_ms;
        job->all.time_s[i] = (int32_t)((shown_ms < 0 ? shown_ms - 500 : shown_ms + 500) / 1000);
        if (newest_ms - first_ms >= longest_ms) {
            return refuse_long(job, newest_ms - first_ms, err);
        }
    }
    return true;
}

static void fill_columns(struct job *job)
{
    const size_t n = job->gpx->n_points;
    bool came[CHANNEL_COUNT] = { false };
    for (size_t i = 0; i < n; i++) {
        for (size_t c = 0; c < CHANNEL_COUNT; c++) {
            came[c] = came[c] || job->points[i]->value[c] != RECORDING_MISSING;
        }
    }
    for (size_t c = 0; c < CHANNEL_COUNT; c++) {
        if (came[c]) {
            job->all.value[c] = ARENA_ARRAY(job->arena, int32_t, n);
            for (size_t i = 0; i < n; i++) {
                job->all.value[c][i] = job->points[i]->value[c];
            }
        }
    }
}

/* What the grids of all recordings will take, against what the file's size warrants. */
static bool fits_memory(const struct job *job, struct bytes bytes, struct error *err)
{
    const size_t most = (size_t)limit(job, LIMIT_CAP_FILE_SECONDS) + bytes.size / BYTES_A_SECOND;
    size_t seconds = 0;
    for (size_t i = 0; i < job->n_stretches; i++) {
        int32_t last_s = 0;
        for (size_t k = job->stretches[i].from; k < job->stretches[i].to; k++) {
            const bool counts = job->all.dropped[k] == 0 && job->all.time_s[k] > last_s;
            last_s = counts ? job->all.time_s[k] : last_s;
        }
        seconds += (size_t)last_s + 1;
    }
    return seconds <= most ||
           error_set(err, ERROR_TOO_LARGE,
                     "%s: holds more hours than one file may; split it into its rides", job->file);
}

static void find_pauses(const struct job *job, const struct stretch *stretch,
                        struct recording *recording)
{
    const int32_t gap_s = (int32_t)limit(job, LIMIT_PAUSE_GAP_S);
    size_t capacity = 0;
    size_t before = stretch->from; /* the first point is never dropped */
    for (size_t i = stretch->from + 1; i < stretch->to; i++) {
        if (job->all.dropped[i] != 0) {
            continue;
        }
        const int32_t step_s = job->all.time_s[i] - job->all.time_s[before];
        if (job->points[i]->segment != job->points[before]->segment && step_s > gap_s) {
            recording->pauses = arena_grow(job->arena, recording->pauses, recording->n_pauses,
                                           &capacity, sizeof recording->pauses[0]);
            recording->pauses[recording->n_pauses++] =
                (struct span){ job->all.time_s[before] + 1, job->all.time_s[i] };
        }
        before = i;
    }
}

static struct finding *add_clock(const struct job *job, struct recording *recording,
                                 const char *detail, const char *name, double value)
{
    struct finding *finding =
        recording_add_finding(job->arena, recording, "clock", -1, EFFECT_NOTED);
    finding->detail = detail;
    finding_add_number(finding, name, value);
    return finding;
}

static void add_findings(const struct job *job, size_t i, struct recording *recording)
{
    const struct gpx_file *gpx = job->gpx;
    const struct stretch *stretch = &job->stretches[i];
    if (gpx->n_timeless + gpx->n_bad_times + gpx->n_bad_values > 0) {
        struct finding *finding =
            recording_add_finding(job->arena, recording, "bad-points", -1, EFFECT_NOTED);
        finding_add_number(finding, "timeless", (double)(gpx->n_timeless + gpx->n_bad_times));
        finding_add_number(finding, "of",
                           (double)(gpx->n_points + gpx->n_timeless + gpx->n_bad_times));
        finding_add_number(finding, "values", (double)gpx->n_bad_values);
    }
    if (stretch->after_jump) {
        add_clock(job, recording, "was set before this recording", "jump_s",
                  (double)stretch->jump_ms / 1000.0);
    }
    if (i + 1 < job->n_stretches && job->stretches[i + 1].after_jump) {
        add_clock(job, recording, "was set after this recording", "jump_s",
                  (double)job->stretches[i + 1].jump_ms / 1000.0);
    }
    if (stretch->n_back > 0) {
        add_clock(job, recording, "ran back a little", "records", (double)stretch->n_back);
    }
    if (stretch->n_wild > 0) {
        add_clock(job, recording, "was far off for single records", "records",
                  (double)stretch->n_wild);
    }
}

/* Sport and place, by the track's type and by what came. */
static void fill_sport(const struct job *job, const char *type, struct recording *recording)
{
    const struct samples *samples = &recording->samples;
    recording->sport = gpx_field_sport(type);
    recording->place = gpx_field_place(type);
    if (recording->place == PLACE_UNKNOWN && samples->value[CHANNEL_LATITUDE] != NULL) {
        recording->place = PLACE_OUTDOORS;
    }
    recording->is_ride = recording->sport == SPORT_CYCLING;
    if (recording->sport == SPORT_UNKNOWN &&
        (samples->value[CHANNEL_POWER] != NULL || samples->value[CHANNEL_CADENCE] != NULL)) {
        recording->is_ride = true;
        struct finding *finding =
            recording_add_finding(job->arena, recording, "sport-assumed", -1, EFFECT_NOTED);
        finding->detail = type[0] == '\0' ? NULL : text_clean(job->arena, type, strlen(type));
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

static struct recording *make_recording(const struct job *job, size_t i)
{
    const struct stretch *stretch = &job->stretches[i];
    const struct gpx_point *first = job->points[stretch->from];
    struct recording *recording = ARENA_ARRAY(job->arena, struct recording, 1);
    *recording = recording_unknown();
    recording->format = FORMAT_GPX;
    recording->part = i + 1;
    recording->parts = job->n_stretches;
    recording->has_start_utc = true;
    recording->start_utc = (int64_t)floor((double)first->utc_ms / 1000.0 + 0.5);
    recording->has_utc_offset = first->has_offset;
    recording->utc_offset_s = first->has_offset ? first->offset_s : 0;
    struct samples *samples = &recording->samples;
    samples->count = stretch->to - stretch->from;
    samples->time_s = job->all.time_s + stretch->from;
    samples->dropped = job->all.dropped + stretch->from;
    for (size_t c = 0; c < CHANNEL_COUNT; c++) {
        int32_t *column = job->all.value[c] == NULL ? NULL : job->all.value[c] + stretch->from;
        samples->value[c] = column != NULL && has_value(column, samples->count) ? column : NULL;
    }
    fill_sport(job, type_of(job, first), recording);
    find_pauses(job, stretch, recording);
    add_findings(job, i, recording);
    return recording;
}

static void list_points(struct job *job)
{
    size_t n = 0;
    for (const struct gpx_block *block = job->gpx->blocks; block != NULL; block = block->next) {
        for (size_t i = 0; i < GPX_BLOCK_POINTS && n < job->gpx->n_points; i++) {
            job->points[n++] = &block->points[i];
        }
    }
}

bool gpx_recordings_make(struct arena *arena, const struct gpx_file *gpx, struct bytes bytes,
                         const char *file, const struct limits *limits, struct recordings *out,
                         struct error *err)
{
    struct arena *scratch = arena_open();
    struct job job = { .arena = arena, .gpx = gpx, .file = file, .limits = limits };
    job.points = ARENA_ARRAY(scratch, const struct gpx_point *, gpx->n_points);
    job.all.time_s = ARENA_ARRAY(arena, int32_t, gpx->n_points);
    job.all.dropped = ARENA_ARRAY(arena, uint8_t, gpx->n_points);
    list_points(&job);
    const bool made = cut(&job, err) && fits_memory(&job, bytes, err);
    if (made) {
        fill_columns(&job);
        out->items = ARENA_ARRAY(arena, struct recording *, job.n_stretches);
        for (size_t i = 0; i < job.n_stretches; i++) {
            out->items[i] = make_recording(&job, i);
            grid_fill(arena, out->items[i], limits);
        }
        out->count = job.n_stretches;
    }
    arena_close(scratch);
    return made;
}
