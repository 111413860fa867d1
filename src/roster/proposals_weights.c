/* roster/proposals_weights.c: weights that ride files have, against what is in force.
 *
 *     device 4711   72.0  72.0  72.0  72.0  73.8  73.8   what its owner once set, year after year
 *     device 812                  70.2                   another one
 *     proposed      72.0          70.2      73.8         its first, and every change of it
 *
 * A setting that stayed says nothing new, whatever the coach wrote down meanwhile; and who set it
 * may have been another rider. */
#include "roster/proposals.h"

#include <math.h>
#include <string.h>

/* A device and its setting in the ride before. */
struct told {
    const struct ride_row *row;
    double kg;
};

struct telling {
    struct arena *arena;
    const struct scan *scan;
    const struct limits *limits;
    const struct proposals *doubts;
    const struct db_rows *declined;
    struct db_rows others; /* serials of devices that are another rider's as much */
    struct told *told;     /* [n_told] */
    size_t n_told;
    size_t told_capacity;
    size_t first; /* of the weights on the page */
    struct proposals *page;
};

static bool same_text(const char *a, const char *b)
{
    return a == NULL || b == NULL ? a == b : strcmp(a, b) == 0;
}

static bool same_device(const struct ride_row *a, const struct ride_row *b)
{
    return a->device_serial == b->device_serial &&
           (a->device_serial != 0 || (same_text(a->device_maker, b->device_maker) &&
                                      same_text(a->device_product, b->device_product)));
}

/* Devices that recorded as many rides of another rider: whose setting it is can't be told. */
static bool find_others(struct db *db, struct arena *arena, int64_t rider, struct db_rows *out,
                        struct error *err)
{
    return db_query(db, arena,
                    "SELECT DISTINCT mine.serial FROM (SELECT device_serial AS serial, COUNT(*) AS "
                    "rides FROM recording WHERE rider = $1 AND device_serial IS NOT NULL GROUP BY "
                    "device_serial) mine JOIN (SELECT device_serial AS serial, rider, COUNT(*) AS "
                    "rides FROM recording WHERE rider <> $1 AND device_serial IS NOT NULL GROUP BY "
                    "device_serial, rider) o ON o.serial = mine.serial WHERE o.rides >= mine.rides "
                    "ORDER BY mine.serial",
                    "i", DB_ARGS(db_integer(rider)), out, err);
}

static bool is_doubtful(const struct telling *t, const struct ride_row *row)
{
    for (size_t i = 0; i < t->doubts->count; i++) {
        if (t->doubts->items[i].recording == row->id) {
            return true;
        }
    }
    for (size_t i = 0; i < t->others.count; i++) {
        if (row->device_serial != 0 && db_integer_at(&t->others, i, 0) == row->device_serial) {
            return true;
        }
    }
    return false;
}

/* Whether the device said so in the ride before; from now on it did. */
static bool was_told(struct telling *t, const struct ride_row *row)
{
    struct told *one = NULL;
    for (size_t i = 0; one == NULL && i < t->n_told; i++) {
        one = same_device(t->told[i].row, row) ? &t->told[i] : NULL;
    }
    if (one == NULL) {
        t->told = arena_grow(t->arena, t->told, t->n_told, &t->told_capacity, sizeof t->told[0]);
        one = &t->told[t->n_told++];
        *one = (struct told){ row, (double)NAN };
    }
    /* Steps of the file are 0.1 kg. */
    const bool same = fabs(one->kg - row->weight_kg) < 0.05;
    one->kg = row->weight_kg;
    return same;
}

/* On file, or proposed before: whichever is newer on that day. */
static void find_in_force(const struct telling *t, const char *day, struct proposal *out)
{
    const struct fact *fact = scan_fact_on(t->scan->weights, t->scan->n_weights, day);
    out->in_force = fact == NULL ? (double)NAN : fact->value;
    out->in_force_from = fact == NULL ? NULL : fact->day;
    for (size_t i = t->first; i < t->page->count; i++) {
        const struct proposal *one = &t->page->items[i];
        if ((out->in_force_from == NULL || strcmp(one->day, out->in_force_from) > 0) &&
            strcmp(one->day, day) <= 0) {
            out->in_force = one->fact.value;
            out->in_force_from = one->day;
        }
    }
}

/* The one of that day on the page; NULL if there is none. */
static struct proposal *of_day(const struct telling *t, const char *day)
{
    for (size_t i = t->first; i < t->page->count; i++) {
        if (strcmp(t->page->items[i].day, day) == 0) {
            return &t->page->items[i];
        }
    }
    return NULL;
}

static void look_at(struct telling *t, const struct ride_row *row)
{
    const bool weighed = row->weight_from != NULL && strcmp(row->weight_from, "scale") == 0;
    const double kg = round(row->weight_kg * 10.0) / 10.0;
    struct proposal new = { .kind = PROPOSAL_WEIGHT };
    if (!weighed && was_told(t, row)) {
        return;
    }
    find_in_force(t, row->local_day, &new);
    struct proposal *same_day = of_day(t, row->local_day);
    const bool on_file = same_day == NULL &&
                         new.in_force_from != NULL &&strcmp(new.in_force_from, row->local_day) == 0;
    if (on_file || (same_day != NULL && same_day->weighed && !weighed) ||
        fabs(kg - new.in_force) <= t->limits->value[LIMIT_WEIGHT_CHANGE_KG]) {
        return;
    }
    new.can_accept = true;
    new.what = arena_format(t->arena, "weight: %.1f kg", kg);
    new.recording = row->id;
    new.day = row->local_day;
    new.weighed = weighed;
    new.fact = (struct fact){
        .day = new.day,
        .value = kg,
        .low = (double)NAN,
        .high = (double)NAN,
        .note = arena_format(t->arena, "%s, ride %lld",
                             weighed ? "by a scale" : "as set in the device", (long long)row->id),
    };
    if (proposals_is_declined(t->declined, &new)) {
        return;
    }
    if (same_day != NULL) {
        new.in_force = same_day->in_force;
        new.in_force_from = same_day->in_force_from;
        *same_day = new;
    } else {
        *proposals_add(t->arena, t->page, PROPOSAL_WEIGHT) = new;
    }
}

bool proposals_add_weights(struct db *db, struct arena *arena, const struct scan_call *call,
                           const struct scan *scan, const struct proposals *doubts,
                           const struct db_rows *declined, struct proposals *page,
                           struct error *err)
{
    const struct fact_row *range = fact_row(FACT_WEIGHT);
    struct telling t = { .arena = arena,
                         .scan = scan,
                         .limits = call->limits,
                         .doubts = doubts,
                         .declined = declined,
                         .first = page->count,
                         .page = page };
    if (!find_others(db, arena, call->rider->id, &t.others, err)) {
        return false;
    }
    for (size_t i = 0; i < scan->count; i++) {
        const struct ride_row *row = &scan->rides[i].row;
        if (!(row->weight_kg >= range->lowest && row->weight_kg <= range->highest)) {
            continue;
        }
        page->n_weights++;
        if (is_doubtful(&t, row)) {
            page->n_weights_left_out++;
        } else {
            look_at(&t, row);
        }
    }
    return true;
}
