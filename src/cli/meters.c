/* cli/meters.c: plumbline meters: two power meters held against each other by a ride with both. */
#include "cli/meters.h"

#include "base/files.h"
#include "recording/container.h"
#include "roster/readings.h"

#include <stdlib.h>
#include <string.h>

struct meters_values {
    struct roster_values common;
    const char *first;
    const char *second;
    const char *note;
    const char *remove;
    bool look;
};

#define ROW(field) offsetof(struct meters_values, field), 0, 0

static const struct option_row options[] = {
    { "first", OPTION_TEXT, "METER",
      "the power meter of the first ride, by name, number or serial, where it doesn't say",
      ROW(first) },
    { "second", OPTION_TEXT, "METER", "the same of the second", ROW(second) },
    { "note", OPTION_TEXT, "WORDS", "a note beside what is kept", ROW(note) },
    { "look", OPTION_FLAG, NULL, "compare, and keep nothing", ROW(look) },
    { "remove", OPTION_TEXT, "NUMBER", "RIDER: take the check of that number away", ROW(remove) },
    ROSTER_LATER,
    ROSTER_OPTIONS,
};

static const struct roster_work work;

static bool is_number(const char *word)
{
    const size_t length = strlen(word);
    return length > 0 && length < 18 && strspn(word, "0123456789") == length;
}

static bool check(const struct roster_call *call, const void *raw, struct error *err)
{
    const struct meters_values *values = raw;
    const bool compares = call->n_words == 2;
    if (!compares &&
        (values->first != NULL || values->second != NULL || values->note != NULL || values->look)) {
        return roster_usage(&work, "--first, --second, --note and --look go with two recordings",
                            err);
    }
    if (values->remove != NULL && (compares || !is_number(values->remove))) {
        return roster_usage(
            &work, "--remove: say RIDER --remove NUMBER, a number that meters RIDER shows", err);
    }
    const struct {
        const char *option;
        const char *given;
    } meters[2] = { { "--first", values->first }, { "--second", values->second } };
    for (size_t i = 0; compares && i < 2; i++) {
        if (meters[i].given != NULL && !recordings_names_one(call->words[i])) {
            return roster_usage(&work,
                                arena_format(call->arena,
                                             "%s: is for a ride that is stored; %.60s "
                                             "is a file",
                                             meters[i].option, call->words[i]),
                                err);
        }
    }
    return true;
}

/* ---- one side ---- */

/* The only power meter of the recording, else its only trainer; 0 = none, or several. */
static int64_t serial_of(const struct recording *recording)
{
    static const char *const kinds[] = { "power", "trainer" };
    for (size_t k = 0; k < 2; k++) {
        int64_t serial = 0;
        for (size_t i = 0; i < recording->n_sensors; i++) {
            const struct device *sensor = &recording->sensors[i];
            if (strcmp(sensor->kind, kinds[k]) != 0 || sensor->serial == 0) {
                continue;
            }
            if (serial != 0 && serial != sensor->serial) {
                return 0;
            }
            serial = sensor->serial;
        }
        if (serial != 0) {
            return serial;
        }
    }
    return 0;
}

/* The one recording with power of a file. */
static bool take_file(struct roster_call *call, const struct limits *limits,
                      struct meter_side *side, struct error *err)
{
    struct arena *arena = call->arena;
    struct bytes packed = { 0 };
    struct container *container = NULL;
    struct container_entry entry = { 0 };
    size_t n = 0;
    if (!files_read(arena, side->name, (size_t)limits->value[LIMIT_CAP_FILE_BYTES], &packed, err) ||
        !container_open(arena, packed, side->name, limits, &container, err)) {
        return false;
    }
    bool done = true;
    while (done && container_next(container, arena, &entry)) {
        const struct read_options read_options = { .file = entry.name,
                                                   .packing_damage = entry.damage };
        struct recordings recordings = { 0 };
        if (entry.error.kind != ERROR_NONE) {
            *err = entry.error;
            done = false;
        } else {
            done = recording_read(arena, entry.bytes, &read_options, limits, &recordings, err);
        }
        for (size_t i = 0; done && i < recordings.count; i++) {
            const bool has_power = recordings.items[i]->value[CHANNEL_POWER] != NULL;
            side->recording =
                has_power || side->recording == NULL ? recordings.items[i] : side->recording;
            n += has_power ? 1 : 0;
        }
    }
    container_close(container);
    if (done && n > 1) {
        done = error_set(err, ERROR_INPUT,
                         "%s: holds %zu recordings with power; import it, and name rides",
                         side->name, n);
    }
    if (done && side->recording == NULL) {
        done = error_set(err, ERROR_INPUT, "%s: holds no recording", side->name);
    }
    return done;
}

static bool take_ride(struct roster_call *call, struct meter_side *side, struct error *err)
{
    struct recording *recording = ARENA_ARRAY(call->arena, struct recording, 1);
    if (call->roster == NULL) {
        return error_set(err, ERROR_NOT_FOUND,
                         "%s: there is no roster that holds rides; name two files", side->name);
    }
    side->is_stored = true;
    side->recording = recording;
    return recordings_find(call->roster, call->arena, side->name, &side->row, err) &&
           recordings_load(roster_db(call->roster), call->arena, side->row.id, recording, err);
}

static bool take_side(struct roster_call *call, const char *word, const struct limits *limits,
                      const char *place, struct meter_side *side, struct error *err)
{
    side->name = word;
    side->meter_words = place;
    const bool done = recordings_names_one(word) ? take_ride(call, side, err)
                                                 : take_file(call, limits, side, err);
    if (done && side->recording != NULL) {
        side->serial = serial_of(side->recording);
        if (side->serial != 0) {
            side->meter_words =
                arena_format(call->arena, "power meter %lld", (long long)side->serial);
        }
    }
    return done;
}

/* Whose ride; the meter that recorded it.  A meter that was named must be there; one that the
 * recording should have said, but didn't, only means that nothing is kept. */
static bool take_meter(struct roster_call *call, const struct rider *rider, const char *word,
                       struct meter_side *side, struct error *err)
{
    struct error why = { 0 };
    if (meter_checks_meter(call->roster, call->arena, rider, &side->row, word, &side->meter,
                           &why)) {
        side->meter_words = side->meter.name;
        side->serial = side->meter.serial;
        return true;
    }
    side->meter = (struct equipment){ 0 };
    side->why_not = arena_string(call->arena, why.message);
    if (word != NULL || (why.kind != ERROR_NOT_FOUND && why.kind != ERROR_CONFLICT)) {
        *err = why;
        return false;
    }
    return true;
}

/* ---- the act ---- */

static bool find_rider(struct roster_call *call, const struct meter_found *found,
                       struct rider *rider, struct error *err)
{
    const struct meter_side *sides = found->sides;
    if (!sides[0].is_stored || !sides[1].is_stored || sides[0].row.rider != sides[1].row.rider) {
        return true;
    }
    return riders_row(roster_db(call->roster), call->arena, sides[0].row.rider, rider, err);
}

static const char *why_not_kept(const struct meter_found *found, const struct meters_values *values)
{
    if (found->rider == NULL) {
        return found->sides[0].is_stored && found->sides[1].is_stored
                   ? "the two rides are of two riders"
                   : "only rides that are stored are kept; import the files";
    }
    if (values->look) {
        return "--look";
    }
    if (found->reading.verdict == VERDICT_CANNOT_TELL) {
        return "nothing could be told";
    }
    return found->sides[0].meter.id == 0   ? found->sides[0].why_not
           : found->sides[1].meter.id == 0 ? found->sides[1].why_not
                                           : NULL;
}

static bool keep(struct roster_call *call, const struct meters_values *values,
                 struct meter_found *found, struct error *err)
{
    found->not_kept = why_not_kept(found, values);
    if (found->not_kept != NULL) {
        return true;
    }
    const struct meter_side *sides = found->sides;
    found->kept = (struct kept_check){ .meters = { sides[0].meter.id, sides[1].meter.id },
                                       .recordings = { sides[0].row.id, sides[1].row.id },
                                       .check = found->check,
                                       .method = question_method(QUESTION_METERS),
                                       .note = values->note };
    return meter_checks_keep(call->roster, call->arena, call->now, found->rider, &found->kept,
                             &found->said, err);
}

static bool compare(struct roster_call *call, const struct meters_values *values, struct error *err)
{
    struct meter_found found = { 0 };
    struct rider rider = { 0 };
    struct limits limits = limits_default();
    const char *const words[2] = { values->first, values->second };
    if (call->roster != NULL &&
        !readings_limits(roster_db(call->roster), call->arena, 0, &limits, err)) {
        return false;
    }
    for (size_t i = 0; i < 2; i++) {
        if (!take_side(call, call->words[i], &limits, i == 0 ? "the first" : "the second",
                       &found.sides[i], err)) {
            return false;
        }
    }
    if (found.sides[0].is_stored && found.sides[1].is_stored &&
        found.sides[0].row.id == found.sides[1].row.id) {
        return error_set(err, ERROR_USAGE, "%s and %s are one recording; name two of one ride",
                         call->words[0], call->words[1]);
    }
    if (!find_rider(call, &found, &rider, err)) {
        return false;
    }
    found.rider = rider.id == 0 ? NULL : &rider;
    for (size_t i = 0; found.rider != NULL && i < 2; i++) {
        if (!take_meter(call, &rider, words[i], &found.sides[i], err)) {
            return false;
        }
    }
    if (found.rider != NULL &&
        !readings_limits(roster_db(call->roster), call->arena, rider.id, &limits, err)) {
        return false;
    }
    const struct meter_side *a = &found.sides[0];
    const struct meter_side *b = &found.sides[1];
    const struct meters_ask ask = {
        .recordings = { a->recording, b->recording },
        .same_meter = (a->serial != 0 && a->serial == b->serial) ||
                      (a->meter.id != 0 && a->meter.id == b->meter.id),
    };
    found.reading = meters_read(call->arena, &ask, &limits, &found.check);
    if (!keep(call, values, &found, err)) {
        return false;
    }
    meters_told_found(call, &found);
    return true;
}

static bool run(struct roster_call *call, const void *raw, struct error *err)
{
    const struct meters_values *values = raw;
    struct rider rider = { 0 };
    const char *said = NULL;
    if (call->n_words == 2) {
        return compare(call, values, err);
    }
    if (call->roster == NULL) {
        return error_set(err, ERROR_NOT_FOUND,
                         "there is no roster; plumbline rider add NAME begins one");
    }
    if (!riders_find(call->roster, call->arena, call->words[0], &rider, err)) {
        return false;
    }
    if (values->remove != NULL) {
        if (!meter_checks_remove(call->roster, call->arena, call->now, &rider,
                                 strtoll(values->remove, NULL, 10), &said, err)) {
            return false;
        }
        if (!call->json) {
            text_add_wrapped(&call->out, said, 0, 2, 80);
            return true;
        }
    }
    return meters_told_list(call, &rider, err);
}

static const struct roster_work work = { .command = &command_meters,
                                         .least_words = 1,
                                         .most_words = 2,
                                         .may_lack = true,
                                         .check = check,
                                         .run = run };

static int meters_run(int argc, char *const argv[])
{
    struct meters_values values = { 0 };
    return roster_call(&work, argc, argv, &values);
}

const struct command command_meters = {
    .name = "meters",
    .usage = "RIDER | A B [options]",
    .summary = "do two power meters agree, by one ride recorded with both",
    .about =
        "Holds two recordings of one ride against each other, second by second: by how many per "
        "cent the second meter reads above the first, at low and at high power, with the likely "
        "range, or why that can't be told. A and B are rides by number (recordings RIDE lists "
        "those of one ride) or RIDER@2026-03-14, or two files. Of two rides with known meters the "
        "check is kept: bests and thresholds of the two are then compared by it, not by the "
        "published trueness of power meters. Undo takes it back. With RIDER alone: the checks "
        "there are, their age, and rides that could be checked.",
    .options = options,
    .n_options = sizeof options / sizeof options[0],
    .run = meters_run,
};
