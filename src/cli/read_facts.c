/* cli/read_facts.c: options to facts. */
#include "cli/read_facts.h"

#include "base/files.h"
#include "base/text.h"
#include "roster/asked.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* A zone table of ten lines is far below this. */
static const size_t ZONE_FILE_CAP = 65536;

struct read_values read_values_unknown(void)
{
    const double unknown = (double)NAN;
    return (struct read_values){ .threshold_w = unknown,
                                 .max_heart_rate_bpm = unknown,
                                 .rest_heart_rate_bpm = unknown,
                                 .weight_kg = unknown };
}

/* "106-120", "106-120%", "225-245W". */
static bool parse_target(const char *text, struct target *out, struct error *err)
{
    char *end = NULL;
    const double low = strtod(text, &end);
    const bool has_low = end != text && *end == '-';
    const char *second = has_low ? end + 1 : end;
    const double high = has_low ? strtod(second, &end) : (double)NAN;
    while (*end == ' ') {
        end++;
    }
    const bool in_watts = (*end == 'W' || *end == 'w') && end[1] == '\0';
    const bool in_pct = *end == '\0' || (*end == '%' && end[1] == '\0');
    if (!has_low || end == second || (!in_watts && !in_pct)) {
        return error_set(err, ERROR_USAGE,
                         "--target %s: not a range; write 106-120 (%% of threshold) or 225-245W",
                         text);
    }
    const double lowest = ASKED_LEAST;
    const double highest = in_watts ? ASKED_W_MOST : ASKED_PCT_MOST;
    if (!(low >= lowest && high <= highest && low < high)) {
        return error_set(err, ERROR_USAGE,
                         "--target %s: the low end must lie below the high end, "
                         "both within %g to %g %s",
                         text, lowest, highest, in_watts ? "W" : "%");
    }
    if (in_watts) {
        out->low_w = low;
        out->high_w = high;
    } else {
        out->low_pct = low;
        out->high_pct = high;
    }
    return true;
}

static bool parse_kind(const char *text, enum work_kind *out, struct error *err)
{
    const char *names[KIND_COUNT];
    size_t n = 0;
    for (int k = KIND_UNKNOWN + 1; k < KIND_COUNT; k++) {
        names[n++] = work_kind_name((enum work_kind)k);
        if (strcmp(text, work_kind_name((enum work_kind)k)) == 0) {
            *out = (enum work_kind)k;
            return true;
        }
    }
    const char *nearest = text_nearest(text, names, n);
    if (nearest != NULL) {
        return error_set(err, ERROR_USAGE, "--kind %s: not known; did you mean %s?", text, nearest);
    }
    return error_set(err, ERROR_USAGE, "--kind %s: not known; --help lists the kinds", text);
}

/* "4x4min", "10x30s", "4x240". */
static bool parse_reps(const char *text, struct rider_facts *facts, struct error *err)
{
    char *end = NULL;
    const long reps = strtol(text, &end, 10);
    const bool has_cross = end != text && (*end == 'x' || *end == 'X');
    const char *second = has_cross ? end + 1 : end;
    const double length = has_cross ? strtod(second, &end) : (double)NAN;
    const bool minutes = strcmp(end, "min") == 0;
    const bool seconds = strcmp(end, "s") == 0 || *end == '\0';
    const double duration_s = minutes ? length * 60.0 : length;
    if (!has_cross || end == second || !(minutes || seconds) || reps < 1 ||
        reps > ASKED_REPS_MOST || !(duration_s >= 1.0 && duration_s <= ASKED_REP_S_MOST)) {
        return error_set(err, ERROR_USAGE, "--reps %s: not understood; write 4x4min or 10x30s",
                         text);
    }
    facts->reps_asked = (int)reps;
    facts->rep_duration_s = duration_s;
    return true;
}

static bool parse_day(struct arena *arena, const char *text, struct rider_facts *facts,
                      struct error *err)
{
    const struct {
        const char *word;
        bool *mark;
    } words[] = {
        { "hot", &facts->day.hot },
        { "no-fan", &facts->day.no_fan },
        { "dehydrated", &facts->day.dehydrated },
        { "ill", &facts->day.ill },
        { "caffeine", &facts->day.caffeine_out_of_habit },
        { "hard-day-before", &facts->day.hard_day_before },
        { "fan", &facts->fan_known },
    };
    char *list = arena_string(arena, text);
    char *rest = NULL;
    for (char *word = strtok_r(list, ",", &rest); word != NULL; word = strtok_r(NULL, ",", &rest)) {
        bool known = false;
        for (size_t i = 0; i < sizeof words / sizeof words[0]; i++) {
            if (strcmp(word, words[i].word) == 0) {
                *words[i].mark = true;
                known = true;
            }
        }
        if (!known) {
            const char *names[sizeof words / sizeof words[0]];
            for (size_t i = 0; i < sizeof words / sizeof words[0]; i++) {
                names[i] = words[i].word;
            }
            const char *nearest = text_nearest(word, names, sizeof words / sizeof words[0]);
            if (nearest != NULL) {
                return error_set(err, ERROR_USAGE, "--day %s: not known; did you mean %s?", word,
                                 nearest);
            }
            return error_set(err, ERROR_USAGE, "--day %s: not known; --help lists the words", word);
        }
    }
    if (facts->fan_known && facts->day.no_fan) {
        return error_set(err, ERROR_USAGE, "--day %s: a fan and no fan; say one of them", text);
    }
    facts->fan_known = facts->fan_known || facts->day.no_fan;
    return true;
}

const char *read_facts_nearest_limit(const char *name)
{
    const char *names[LIMITS_COUNT];
    size_t n = 0;
    for (int id = 0; id < LIMITS_COUNT; id++) {
        const struct limit_row *row = limits_row((enum limit_id)id);
        if (strncmp(row->name, "cap_", 4) != 0) {
            names[n++] = row->name;
        }
    }
    return text_nearest(name, names, n);
}

static bool parse_limit(struct arena *arena, const char *text, struct limits *limits,
                        struct error *err)
{
    char *name = arena_string(arena, text);
    char *value = strchr(name, '=');
    enum limit_id id = (enum limit_id)0;
    if (value == NULL) {
        return error_set(err, ERROR_USAGE, "--limit %s: write NAME=VALUE", text);
    }
    *value++ = '\0';
    if (!limits_find(name, &id) || strncmp(name, "cap_", 4) == 0) {
        const char *nearest = read_facts_nearest_limit(name);
        return error_set(err, ERROR_USAGE,
                         "--limit %s: no such limit%s%s; plumbline limits lists them", name,
                         nearest == NULL ? "" : ", did you mean ", nearest == NULL ? "" : nearest);
    }
    char *end = NULL;
    const double number = strtod(value, &end);
    const struct limit_row *row = limits_row(id);
    if (*value == '\0' || *end != '\0' || !(number >= row->lowest && number <= row->highest)) {
        return error_set(err, ERROR_USAGE, "--limit %s: must be %g to %g %s", name, row->lowest,
                         row->highest, row->unit);
    }
    limits->value[id] = number;
    return true;
}

static bool read_zones(struct arena *arena, const char *file, struct rider_facts *facts,
                       struct error *err)
{
    struct bytes bytes = { 0 };
    return files_read(arena, file, ZONE_FILE_CAP, &bytes, err) &&
           zones_parse(bytes, file, &facts->zones, err);
}

bool read_facts_asked(const char *target, const char *kind, const char *reps,
                      struct rider_facts *facts, struct error *err)
{
    return (target == NULL || parse_target(target, &facts->target, err)) &&
           (kind == NULL || parse_kind(kind, &facts->kind, err)) &&
           (reps == NULL || parse_reps(reps, facts, err));
}

bool read_facts_make(struct arena *arena, const struct read_values *values,
                     struct rider_facts *facts, struct limits *limits, struct error *err)
{
    *limits = limits_default();
    *facts = facts_unknown();
    facts->threshold_w = values->threshold_w;
    facts->threshold_known_by = isnan(values->threshold_w) ? NULL : "given";
    facts->max_heart_rate_bpm = values->max_heart_rate_bpm;
    facts->rest_heart_rate_bpm = values->rest_heart_rate_bpm;
    facts->weight_kg = values->weight_kg;
    facts->heart_medicine = values->heart_medicine;
    facts->pregnant = values->pregnant;
    if (values->indoors && values->outdoors) {
        return error_set(err, ERROR_USAGE, "--indoors and --outdoors: say one of them");
    }
    if (values->indoors || values->outdoors) {
        facts->place = values->indoors ? PLACE_INDOORS : PLACE_OUTDOORS;
    }
    if (values->bests != NULL && strcmp(values->bests, "all") != 0) {
        return error_set(err, ERROR_USAGE, "--bests %s: only \"all\" is known", values->bests);
    }
    if (values->rest_heart_rate_bpm >= values->max_heart_rate_bpm) {
        return error_set(err, ERROR_USAGE,
                         "--rest-heart-rate %g: must lie below --max-heart-rate %g",
                         values->rest_heart_rate_bpm, values->max_heart_rate_bpm);
    }
    return read_facts_asked(values->target, values->kind, values->reps, facts, err) &&
           (values->day == NULL || parse_day(arena, values->day, facts, err)) &&
           (values->limit == NULL || parse_limit(arena, values->limit, limits, err)) &&
           (values->zones == NULL || read_zones(arena, values->zones, facts, err));
}
