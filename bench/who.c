/* bench/who.c: whom to see first, of many riders and years, against a bare scan of the same rows;
 * how it grows with riders and with years.
 *
 * PLUMBLINE_BENCH_RIDERS (200) and PLUMBLINE_BENCH_YEARS (5) make it smaller;
 * PLUMBLINE_BENCH_KEPT names a folder in which the rosters are kept from one run to the next. */
#include "bench.h"
#include "rows.h"
#include "years.h"

#include "maths/maths.h"
#include "roster/roll.h"
#include "roster/roster.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <unistd.h>

static const struct roster_now now = { 1788177600, "bench" };

struct setting {
    struct roster *roster;
    sqlite3 *bare;
    size_t rides;
    size_t riders;
    struct years_scan scan;
};

static struct setting make(struct arena *arena, size_t riders, size_t years)
{
    struct setting setting = { 0 };
    struct error err = { 0 };
    const char *name = arena_format(arena, "years-%zu-%zu", riders, years);
    const char *kept = getenv("PLUMBLINE_BENCH_KEPT");
    const char *place = kept == NULL ? bench_file(arena, name, "", 0)
                                     : arena_format(arena, "%s/%s.plumbline", kept, name);
    if (kept == NULL || access(place, R_OK) != 0) {
        bench_must(roster_open(place, ROSTER_CREATE, now, &setting.roster, &err), &err);
        roster_close(setting.roster);
        years_write(place, riders, years);
    }
    bench_must(roster_open(place, ROSTER_OPEN, now, &setting.roster, &err), &err);
    setting.bare = rows_open(place);
    return setting;
}

static void drop(struct setting *setting)
{
    sqlite3_close(setting->bare);
    roster_close(setting->roster);
}

static void who(void *with)
{
    struct setting *setting = with;
    struct arena *arena = arena_open();
    struct error err = { 0 };
    struct roll roll = { 0 };
    bench_must(roll_take(setting->roster, arena, YEARS_TODAY, NULL, &roll, &err), &err);
    setting->riders = roll.n;
    setting->rides = 0;
    for (size_t i = 0; i < roll.n; i++) {
        setting->rides += roll.riders[i].history->n_rides;
    }
    arena_close(arena);
}

static void scan(void *with)
{
    struct setting *setting = with;
    setting->scan = years_scan(setting->bare);
}

int main(int argc, char **argv)
{
    maths_begin();
    bench_begin();
    (void)argv;
    if (argc > 1) {
        return 2;
    }
    struct arena *arena = arena_open();
    const size_t riders = bench_asked("PLUMBLINE_BENCH_RIDERS", 200, 10000);
    const size_t years = bench_asked("PLUMBLINE_BENCH_YEARS", 5, 5);
    bench_title("Whom to see first (roster/roll)");
    struct setting all = make(arena, riders, years);
    const char *what = arena_format(arena, "who, %zu riders of %zu years", riders, years);
    const struct bench_pair pair =
        bench_pair((struct bench_way){ who, &all }, (struct bench_way){ scan, &all });
    if (all.rides == all.scan.rides && all.riders == riders) {
        bench_within("13", what,
                     arena_format(arena, "bare scan of the same %zu rows", all.scan.rows), pair,
                     3.0);
    } else {
        bench_differs("13", what, "bare scan of the same rows",
                      arena_format(arena, "%zu and %zu rides", all.rides, all.scan.rides));
    }
    drop(&all);
    const size_t few = riders >= 10 ? riders / 10 : 1;
    struct setting small = make(arena, few, years);
    const double small_s = bench_seconds((struct bench_way){ who, &small });
    bench_counts("law",
                 arena_format(arena, "who, %zu / %zu riders of %zu years", riders, few, years),
                 arena_format(arena, "%zu riders", few), pair.ours_s, small_s, "s", BENCH_AT_MOST,
                 1.1 * (double)riders / (double)few);
    drop(&small);
    struct setting young = make(arena, few, 1);
    bench_counts("law", arena_format(arena, "who, %zu / 1 years of %zu riders", years, few),
                 "1 year", small_s, bench_seconds((struct bench_way){ who, &young }), "s",
                 BENCH_AT_MOST, (double)years);
    drop(&young);
    arena_close(arena);
    return 0;
}
