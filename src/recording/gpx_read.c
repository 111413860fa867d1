/* recording/gpx_read.c: the door: what is refused, and what a tear leaves. */
#include "recording/gpx_read.h"

#include "recording/damage_words.h"
#include "recording/gpx_parse.h"
#include "recording/gpx_recording.h"

#include <string.h>

bool gpx_probe(struct bytes bytes)
{
    static const uint8_t marks[][4] = {
        { 0xFF, 0xFE, '<', 0x00 },
        { 0xFE, 0xFF, 0x00, '<' }, /* UTF-16 with its mark */
        { '<', 0x00, '?', 0x00 },
        { 0x00, '<', 0x00, '?' }, /* and without */
    };
    for (size_t i = 0; bytes.size >= 4 && i < sizeof marks / sizeof marks[0]; i++) {
        if (memcmp(bytes.at, marks[i], sizeof marks[i]) == 0) {
            return true;
        }
    }
    size_t at = bytes.size >= 3 && memcmp(bytes.at, "\xEF\xBB\xBF", 3) == 0 ? 3 : 0;
    while (at < bytes.size && bytes.at[at] != 0 && strchr(" \t\r\n", bytes.at[at]) != NULL) {
        at++;
    }
    return at < bytes.size && bytes.at[at] == '<';
}

static const char *plural(size_t n)
{
    return n == 1 ? "" : "s";
}

/* No track point at all. */
static bool refuse_plan(struct arena *arena, const struct gpx_file *gpx, const char *file,
                        struct error *err)
{
    if (gpx->n_routes > 0) {
        return error_set(err, ERROR_INPUT,
                         "%s: is a planned route (%s point%s), not a recording; export the ride "
                         "itself",
                         file, damage_grouped(arena, gpx->n_route_points),
                         plural(gpx->n_route_points));
    }
    if (gpx->n_waypoints > 0) {
        return error_set(err, ERROR_INPUT,
                         "%s: holds %s waypoint%s and no track, so no recording; export the ride "
                         "itself",
                         file, damage_grouped(arena, gpx->n_waypoints), plural(gpx->n_waypoints));
    }
    return error_set(err, ERROR_INPUT, "%s: holds no track; choose the file of a ride", file);
}

static bool refuse_timeless(struct arena *arena, const struct gpx_file *gpx, const char *file,
                            struct error *err)
{
    const size_t without = gpx->n_timeless + gpx->n_bad_times;
    if (gpx->n_points == 0 && gpx->n_bad_times == 0) {
        return error_set(err, ERROR_INPUT,
                         without == 1 ? "%s: its %s track point has no time: a plan, not a "
                                        "recording; export the ride itself"
                                      : "%s: none of its %s track points has a time: a plan, not a "
                                        "recording; export the ride itself",
                         file, damage_grouped(arena, without));
    }
    return error_set(err, ERROR_INPUT,
                     "%s: %s of its %s track points have no time that can be read; export it again",
                     file, damage_grouped(arena, without),
                     damage_grouped(arena, without + gpx->n_points));
}

static bool refuse_torn(const struct gpx_file *gpx, const struct read_options *options,
                        struct error *err)
{
    if (gpx->end == GPX_CUT && options->packing_damage != NULL) {
        return error_set(
            err, ERROR_INPUT,
            "%s: %s, before its first track point; copy the file from the device again",
            options->file, options->packing_damage);
    }
    if (gpx->end == GPX_CUT) {
        return error_set(err, ERROR_INPUT,
                         "%s: cut off before its first track point; copy the file from the device "
                         "again",
                         options->file);
    }
    return error_set(err, ERROR_INPUT,
                     "%s: is no XML from line %zu, column %zu on, before its first track point; "
                     "export it again",
                     options->file, gpx->line, gpx->column);
}

/* Whether there is a recording in it; if not, err says what it is. */
static bool has_recording(struct arena *arena, const struct gpx_file *gpx,
                          const struct read_options *options, const struct limits *limits,
                          struct error *err)
{
    const size_t without = gpx->n_timeless + gpx->n_bad_times;
    const double share_pct = 100.0 * (double)without / (double)(without + gpx->n_points);
    if (without + gpx->n_points == 0) {
        return gpx->end == GPX_CUT || gpx->end == GPX_MALFORMED
                   ? refuse_torn(gpx, options, err)
                   : refuse_plan(arena, gpx, options->file, err);
    }
    return (gpx->n_points > 0 && share_pct <= limits->value[LIMIT_GPX_BAD_POINTS_PCT]) ||
           refuse_timeless(arena, gpx, options->file, err);
}

static void add_damage(struct arena *arena, const struct recordings *out, const char *detail,
                       const struct gpx_file *gpx)
{
    for (size_t i = 0; i < out->count; i++) {
        struct finding *finding =
            recording_add_finding(arena, out->items[i], "damage", -1, EFFECT_NOTED);
        finding->detail = detail;
        finding_add_number(finding, "records", (double)gpx->n_points);
        if (gpx->end == GPX_MALFORMED) {
            finding_add_number(finding, "line", (double)gpx->line);
            finding_add_number(finding, "column", (double)gpx->column);
        }
        if (gpx->end == GPX_TRAILING) {
            finding_add_number(finding, "bytes", (double)gpx->trailing);
        }
    }
}

/* Findings and the line of a file that isn't whole. */
static void report_damage(struct arena *arena, const struct gpx_file *gpx, const char *file,
                          struct recordings *out)
{
    static const char *const again = "copy the file from the device again.";
    const char *points = arena_format(arena, "%s point%s", damage_grouped(arena, gpx->n_points),
                                      plural(gpx->n_points));
    int64_t seconds = 0;
    for (size_t i = 0; i < out->count; i++) {
        seconds += (int64_t)out->items[i]->n_seconds;
    }
    const char *duration = damage_duration(arena, seconds);
    if (gpx->other_letters) {
        add_damage(arena, out, "letters in another encoding than it names", gpx);
    }
    switch (gpx->end) {
    case GPX_WHOLE: break;
    case GPX_CUT:
        add_damage(arena, out, "cut off", gpx);
        out->damage = arena_format(arena, "%s: cut off after %s. The first %s were read; %s", file,
                                   points, duration, again);
        break;
    case GPX_MALFORMED:
        add_damage(arena, out, "bytes that make no sense", gpx);
        out->damage = arena_format(
            arena,
            "%s: is no XML from line %zu, column %zu on, after %s. The first %s were read; %s",
            file, gpx->line, gpx->column, points, duration, again);
        break;
    case GPX_TRAILING:
        add_damage(arena, out, "bytes after the end", gpx);
        out->damage =
            arena_format(arena, "%s: %s bytes after its end are no part of it and were left out.",
                         file, damage_grouped(arena, gpx->trailing));
        break;
    }
}

bool gpx_read(struct arena *arena, struct bytes bytes, const struct read_options *options,
              const struct limits *limits, struct recordings *out, struct error *err)
{
    *out = (struct recordings){ 0 };
    struct arena *scratch = arena_open();
    struct gpx_file gpx = { 0 };
    const bool read = gpx_parse(scratch, bytes, options->file, limits, &gpx, err) &&
                      has_recording(scratch, &gpx, options, limits, err) &&
                      gpx_recordings_make(arena, &gpx, bytes, options->file, limits, out, err);
    if (read) {
        report_damage(arena, &gpx, options->file, out);
    }
    arena_close(scratch);
    return read;
}
