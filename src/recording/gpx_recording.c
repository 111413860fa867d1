/* recording/gpx_recording.c: track points as recordings. */
#include "recording/gpx_recording.h"

#include "base/text.h"
#include "recording/gpx_fields.h"
#include "recording/grid.h"
#include "recording/stretches.h"

#include <math.h>
#include <string.h>

/* Memory, in bytes at most: a point 64 while it is parsed and 8 + 8 + 1 while it is cut, then
 * 4 + 1 + 10 x 4; a second of grid 10 x 5 + 1 = 51.  A point with a time takes 45 bytes of the file
 * or more.
 *     400,000 x 51 = 20 MB;  a byte of the file: (64 + 17 + 45) / 45 + 51 / 64 = 3.6 */
static const size_t BYTES_A_SECOND = 64;

struct job {
    struct arena *arena;
    const struct gpx_file *gpx;
    const char *file;
    const struct limits *limits;
    const struct gpx_point **points; /* [gpx->n_points] */
    int32_t *value[CHANNEL_COUNT];   /* [gpx->n_points] each; recordings are views of them */
    struct stretches stretches;
};

static double limit(const struct job *job, enum limit_id id)
{
    return job->limits->value[id];
}

static const char *type_of(const struct job *job, const struct gpx_point *point)
{
    return job->gpx->tracks[point->track].type;
}

/* How a point belongs to the one before it. */
static enum stretch_link link_of(const struct job *job, const struct gpx_point *before,
                                 const struct gpx_point *point)
{
    return point->track == before->track                            ? STRETCH_INSIDE
           : strcmp(type_of(job, before), type_of(job, point)) == 0 ? STRETCH_MAY_GO_ON
                                                                    : STRETCH_APART;
}

/* Cuts the points into recordings and gives each its second. */
static bool cut(struct job *job, struct arena *scratch, struct error *err)
{
    const size_t n = job->gpx->n_points;
    int64_t *time_ms = ARENA_ARRAY(scratch, int64_t, n);
    uint8_t *link = ARENA_ARRAY(scratch, uint8_t, n);
    for (size_t i = 0; i < n; i++) {
        time_ms[i] = job->points[i]->utc_ms;
        link[i] =
            i == 0 ? STRETCH_APART : (uint8_t)link_of(job, job->points[i - 1], job->points[i]);
    }
    const struct stretch_times times = { .count = n, .time_ms = time_ms, .link = link };
    switch (stretches_cut(job->arena, &times, job->limits, &job->stretches)) {
    case STRETCHES_CUT: return true;
    case STRETCHES_TOO_MANY:
        return error_set(err, ERROR_TOO_LARGE,
                         "%s: holds more than %.0f recordings; split it into its rides", job->file,
                         limit(job, LIMIT_CAP_FILE_RECORDINGS));
    case STRETCHES_TOO_LONG: break;
    }
    return stretch_refuse_long(job->file, job->stretches.longest_ms / 1000, job->limits, err);
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
            job->value[c] = ARENA_ARRAY(job->arena, int32_t, n);
            for (size_t i = 0; i < n; i++) {
                job->value[c][i] = job->points[i]->value[c];
            }
        }
    }
}

/* What the grids of all recordings will take, against what the file's size warrants. */
static bool fits_memory(const struct job *job, struct bytes bytes, struct error *err)
{
    const size_t most = (size_t)limit(job, LIMIT_CAP_FILE_SECONDS) + bytes.size / BYTES_A_SECOND;
    return stretches_seconds(&job->stretches) <= most ||
           error_set(err, ERROR_TOO_LARGE,
                     "%s: holds more hours than one file may; split it into its rides", job->file);
}

/* Where the pauses of one recording are looked for. */
struct pauses {
    const struct job *job;
    size_t from; /* its first point */
};

/* Only between segments does a timer stand. */
static bool stood(const void *with, const struct samples *samples, size_t a, size_t b)
{
    const struct pauses *pauses = with;
    const struct gpx_point **points = pauses->job->points + pauses->from;
    (void)samples;
    return points[a]->segment != points[b]->segment;
}

static void add_findings(const struct job *job, const struct stretch *stretch,
                         struct recording *recording)
{
    const struct gpx_file *gpx = job->gpx;
    if (gpx->n_timeless + gpx->n_bad_times + gpx->n_bad_values > 0) {
        struct finding *finding =
            recording_add_finding(job->arena, recording, "bad-points", -1, EFFECT_NOTED);
        finding_add_number(finding, "timeless", (double)(gpx->n_timeless + gpx->n_bad_times));
        finding_add_number(finding, "of",
                           (double)(gpx->n_points + gpx->n_timeless + gpx->n_bad_times));
        finding_add_number(finding, "values", (double)gpx->n_bad_values);
    }
    stretch_clock_findings(job->arena, &stretch->clock, recording);
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

static struct recording *make_recording(const struct job *job, size_t i)
{
    const struct stretch *stretch = &job->stretches.items[i];
    const struct gpx_point *first = job->points[stretch->from];
    const struct pauses pauses = { job, stretch->from };
    struct recording *recording = stretches_recording(job->arena, &job->stretches, i, job->value);
    recording->format = FORMAT_GPX;
    recording->has_start_utc = true;
    recording->start_utc = (int64_t)floor((double)first->utc_ms / 1000.0 + 0.5);
    recording->has_utc_offset = first->has_offset;
    recording->utc_offset_s = first->has_offset ? first->offset_s : 0;
    fill_sport(job, type_of(job, first), recording);
    stretch_find_pauses(job->arena, recording, (int32_t)limit(job, LIMIT_PAUSE_GAP_S), stood,
                        &pauses);
    add_findings(job, stretch, recording);
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
    list_points(&job);
    const bool made = cut(&job, scratch, err) && fits_memory(&job, bytes, err);
    if (made) {
        fill_columns(&job);
        out->items = ARENA_ARRAY(arena, struct recording *, job.stretches.count);
        for (size_t i = 0; i < job.stretches.count; i++) {
            out->items[i] = make_recording(&job, i);
            grid_fill(arena, out->items[i], limits);
        }
        out->count = job.stretches.count;
    }
    arena_close(scratch);
    return made;
}
