/* tests/roster/small_roster.c: a small roster with two riders, facts and rides. */
#include "roster/small_roster.h"

#include "base/text.h"
#include "roster/facts.h"
#include "roster/import.h"

#include <math.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>

const struct roster_now small_now = { 1773480413, "tester" };

static struct rider add_rider(struct small_roster *small, const char *name, const char *note)
{
    struct rider rider = { .name = name, .note = note, .zone_name = "Europe/Berlin" };
    struct error err = { 0 };
    must(riders_add(small->roster, small->arena, small_now, &rider, &err), &err);
    return rider;
}

static void set_fact(struct small_roster *small, const struct rider *rider, enum fact_kind kind,
                     double value, const char *note)
{
    struct error err = { 0 };
    struct fact fact = {
        .day = "2026-01-01", .value = value, .low = (double)NAN, .high = (double)NAN, .note = note
    };
    must(facts_set(small->roster, small->arena, small_now, rider, kind, &fact, &err), &err);
}

struct small_roster small_begin(void)
{
    static int n;
    char name[32];
    struct small_roster small = { .arena = arena_open() };
    struct error err = { 0 };
    snprintf(name, sizeof name, "small-%d", n++);
    small.folder = store_path(name);
    check(mkdir(small.folder, 0700) == 0);
    small.place = store_place();
    must(roster_open(small.place, ROSTER_CREATE, small_now, &small.roster, &err), &err);
    small.ada = add_rider(&small, "Ada Berg", "likes long climbs in the rain");
    small.ben = add_rider(&small, "Ben Lind", NULL);
    set_fact(&small, &small.ada, FACT_THRESHOLD, 240, "after a week of rest, on the home trainer");
    set_fact(&small, &small.ada, FACT_WEIGHT, 61.5, NULL);
    set_fact(&small, &small.ben, FACT_THRESHOLD, 280, NULL);
    return small;
}

struct small_roster small_with_rides(void)
{
    struct small_roster small = small_begin();
    small_import(&small, &small.ada,
                 small_write_ride(&small, "one.csv", "2026-01-14", 9, 3700, 170));
    small_import(&small, &small.ada,
                 small_write_ride(&small, "two.csv", "2026-03-03", 9, 4000, 180));
    small_import(&small, &small.ada,
                 small_write_ride(&small, "three.csv", "2026-03-10", 17, 3000, 200));
    small_import(&small, &small.ben,
                 small_write_ride(&small, "bens.csv", "2026-03-04", 8, 3600, 220));
    return small;
}

void small_end(struct small_roster *small)
{
    roster_close(small->roster);
    arena_close(small->arena);
    *small = (struct small_roster){ 0 };
}

const char *small_path(const struct small_roster *small, const char *name)
{
    return arena_format(small->arena, "%s/%s", small->folder, name);
}

const char *small_write_ride(struct small_roster *small, const char *name, const char *day,
                             int hour, int seconds, int watts)
{
    struct text out = text_begin(small->arena, 10000000);
    struct error err = { 0 };
    const char *path = small_path(small, name);
    text_add(&out, "time,power,heart_rate,cadence\n");
    uint32_t seed = (uint32_t)watts;
    for (int i = 0; i < seconds; i++) {
        seed = seed * 1664525u + 1013904223u;
        text_add_format(&out, "%sT%02d:%02d:%02dZ,%d,%d,%d\n", day, hour + i / 3600, i / 60 % 60,
                        i % 60, watts + (int)(seed >> 27), 130 + i / 600, 88);
    }
    must(files_write(path, (struct bytes){ (const uint8_t *)out.bytes, out.length }, &err), &err);
    return path;
}

void small_import(struct small_roster *small, const struct rider *rider, const char *path)
{
    struct import_sum sum = { 0 };
    struct error err = { 0 };
    const struct import_call call = { .roster = small->roster,
                                      .place = small->place,
                                      .now = small_now,
                                      .rider = rider,
                                      .n_threads = 1 };
    must(import_paths(small->arena, &call, &path, 1, &sum, &err), &err);
    check(sum.files[IMPORT_TAKEN] > 0);
}

int64_t small_number(const struct small_roster *small, const char *sql)
{
    struct db_rows rows = { 0 };
    struct error err = { 0 };
    must(db_query(roster_db(small->roster), small->arena, sql, "i", DB_NONE, &rows, &err), &err);
    return db_integer_at(&rows, 0, 0);
}

void small_run(const struct small_roster *small, const char *sql)
{
    store_run(roster_db(small->roster), sql);
}
