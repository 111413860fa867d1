/* tests/roster/test_store_import.c: files into the roster: what is taken, known, refused, whatever
 * the order and the number of threads. */
#include "roster/store.h"

#include "base/text.h"
#include "maths/maths.h"
#include "roster/changes.h"
#include "roster/facts.h"
#include "roster/folders.h"
#include "roster/best_months.h"
#include "roster/import.h"
#include "roster/recordings.h"

#include <errno.h>
#include <math.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

static struct arena *arena;
static struct roster *roster;
static const char *place;
static const char *folder;
static struct rider ada;
static struct rider ben;
static const struct roster_now now = { 1773480413, "tester" };

static struct rider add_rider(const char *name)
{
    struct rider rider = { .name = name, .zone_name = "Europe/Berlin" };
    struct error err = { 0 };
    must(riders_add(roster, arena, now, &rider, &err), &err);
    return rider;
}

static void open_store(void)
{
    struct error err = { 0 };
    place = store_place();
    must(roster_open(place, ROSTER_CREATE, now, &roster, &err), &err);
    ada = add_rider("Ada Berg");
    ben = add_rider("Ben Lind");
    struct fact fact = {
        .day = "2026-02-01", .value = 240, .low = (double)NAN, .high = (double)NAN
    };
    must(facts_set(roster, arena, now, &ada, FACT_THRESHOLD, &fact, &err), &err);
}

static int begin(void **state)
{
    (void)state;
    static int n;
    char name[32];
    snprintf(name, sizeof name, "rides-%d", n++);
    arena = arena_open();
    folder = store_path(name);
    check(mkdir(folder, 0700) == 0);
    open_store();
    return 0;
}

static int end(void **state)
{
    (void)state;
    roster_close(roster);
    arena_close(arena);
    return 0;
}

/* ---- files ---- */

static void write_file(const char *name, const char *content, size_t size)
{
    const char *path = arena_format(arena, "%s/%s", folder, name);
    struct error err = { 0 };
    for (char *slash = strchr(path + strlen(folder) + 1, '/'); slash != NULL;
         slash = strchr(slash + 1, '/')) {
        *slash = '\0';
        check(mkdir(path, 0700) == 0 || errno == EEXIST);
        *slash = '/';
    }
    must(files_write(path, (struct bytes){ (const uint8_t *)content, size }, &err), &err);
}

/* An hour or so of a table: power about `watts`, from a local morning. */
static void write_ride(const char *name, const char *day, int hour, int seconds, int watts)
{
    struct text out = text_begin(arena, 10000000);
    text_add(&out, "time,power,heart_rate,cadence\n");
    uint32_t seed = (uint32_t)watts;
    for (int i = 0; i < seconds; i++) {
        seed = seed * 1664525u + 1013904223u;
        text_add_format(&out, "%sT%02d:%02d:%02dZ,%d,%d,%d\n", day, hour + i / 3600, i / 60 % 60,
                        i % 60, watts + (int)(seed >> 27), 130 + i / 600, 88);
    }
    write_file(name, out.bytes, out.length);
}

static void write_words(const char *name, const char *words)
{
    write_file(name, words, strlen(words));
}

/* ---- importing ---- */

static struct text told;
static const char *told_line; /* of the last file that had one */
static struct read_column columns[1];
static size_t n_columns;

static void tell(void *context, const struct imported_file *file)
{
    (void)context;
    const char *base = strrchr(file->name, '/');
    told_line = file->line == NULL ? told_line : arena_string(arena, file->line);
    text_add_format(&told, "%s %s%s\n", base == NULL ? file->name : base + 1,
                    import_outcome_name(file->outcome), file->remembered ? " again" : "");
}

static struct import_sum import_of(const struct rider *rider, unsigned threads, size_t n,
                                   const char *const paths[])
{
    struct import_sum sum = { 0 };
    struct error err = { 0 };
    const struct import_call call = { .roster = roster,
                                      .place = place,
                                      .now = now,
                                      .rider = rider,
                                      .n_threads = threads,
                                      .columns = columns,
                                      .n_columns = n_columns,
                                      .tell = tell };
    told = text_begin(arena, 1000000);
    must(import_paths(arena, &call, paths, n, &sum, &err), &err);
    return sum;
}

static const char *in_folder(const char *name)
{
    return arena_format(arena, "%s/%s", folder, name);
}

static struct import_sum import_all(const struct rider *rider)
{
    return import_of(rider, 2, 1, &folder);
}

static int64_t number(const char *sql)
{
    struct db_rows rows = { 0 };
    struct error err = { 0 };
    must(db_query(roster_db(roster), arena, sql, "I", DB_NONE, &rows, &err), &err);
    return db_integer_at(&rows, 0, 0);
}

/* Everything that importing writes, as text: ids too. */
static const char *dump(bool with_ids)
{
    static const struct {
        const char *sql;
        const char *shape;
    } tables[] = {
        { "SELECT id, rider, original, same_as, part, format, local_day, n_seconds, timer_s FROM "
          "recording ORDER BY id",
          "iiiIitTii" },
        { "SELECT id, name, size, sha256, content FROM original ORDER BY id", "itixx" },
        { "SELECT id, recording, channel, content FROM series ORDER BY id", "iitx" },
        { "SELECT id, recording, work_j, at_least FROM best_curve ORDER BY id", "iixx" },
        { "SELECT rider, month, work_j, recordings FROM best_month ORDER BY rider, month", "itxx" },
        { "SELECT question, subject, set_number, rep_number, content, basis_hash FROM reading "
          "ORDER "
          "BY id",
          "tiiitx" },
        { "SELECT path, sha256, message FROM failed_file ORDER BY path", "txt" },
    };
    /* The same without the numbers that rows got. */
    static const struct {
        const char *sql;
        const char *shape;
    } contents[] = {
        { "SELECT r.rider, r.local_day, r.start_utc_s, r.n_seconds, o.sha256, m.start_utc_s FROM "
          "recording r JOIN original o ON o.id = r.original LEFT JOIN recording m ON m.id = "
          "r.same_as ORDER BY o.sha256, r.part",
          "iTIixI" },
        { "SELECT o.sha256, s.channel, s.content FROM series s JOIN recording r ON r.id = "
          "s.recording JOIN original o ON o.id = r.original ORDER BY o.sha256, s.channel",
          "xtx" },
        { "SELECT rider, month, work_j FROM best_month ORDER BY rider, month", "itx" },
        { "SELECT o.sha256, g.question, g.set_number, g.rep_number, g.content, g.basis_hash FROM "
          "reading g JOIN recording r ON r.id = g.subject JOIN original o ON o.id = r.original "
          "ORDER BY o.sha256, g.question, g.set_number, g.rep_number",
          "xtiitx" },
        { "SELECT path, sha256, message FROM failed_file ORDER BY path", "txt" },
    };
    struct text out = text_begin(arena, 100000000);
    struct error err = { 0 };
    const size_t n = with_ids ? COUNT(tables) : COUNT(contents);
    for (size_t t = 0; t < n; t++) {
        struct db_rows rows = { 0 };
        const char *shape = with_ids ? tables[t].shape : contents[t].shape;
        must(db_query(roster_db(roster), arena, with_ids ? tables[t].sql : contents[t].sql, shape,
                      DB_NONE, &rows, &err),
             &err);
        for (size_t i = 0; i < rows.count; i++) {
            for (size_t c = 0; shape[c] != '\0'; c++) {
                char sum[65];
                switch (shape[c]) {
                case 'x':
                    files_sha256(db_blob_at(&rows, i, c), sum);
                    text_add_format(&out, "%s|", sum);
                    break;
                case 't':
                case 'T':
                    text_add_format(&out, "%s|",
                                    db_text_at(&rows, i, c) == NULL ? "-"
                                                                    : db_text_at(&rows, i, c));
                    break;
                default:
                    text_add_format(&out, "%lld|", (long long)db_integer_at(&rows, i, c));
                    break;
                }
            }
            text_add(&out, "\n");
        }
    }
    return out.bytes;
}

/* ---- the tests ---- */

static void test_import__takes_what_is_a_ride_and_says_why_not(void **state)
{
    (void)state;
    write_ride("a/one.csv", "2026-02-10", 8, 1800, 200);
    write_ride("a/two.csv", "2026-02-12", 8, 1500, 180);
    write_words("a/notes.txt", "bring the pump");
    write_words("a/empty.csv", "");
    write_words("a/.hidden.csv", "time,power\n");
    write_words("elsewhere", "x");
    check(symlink(in_folder("elsewhere"), in_folder("a/link.csv")) == 0);
    const char *paths[] = { in_folder("a") };
    struct import_sum sum = import_of(&ada, 2, 1, paths);
    check_text("first", told.bytes,
               "empty.csv unreadable\nnotes.txt not-a-recording\none.csv taken\ntwo.csv taken\n");
    check_integer("rides", (int64_t)sum.rides, 2);
    check_integer("listed", (int64_t)sum.n_listed, 4);
    /* again: nothing is read twice */
    sum = import_of(&ada, 2, 1, paths);
    check_text(
        "second", told.bytes,
        "empty.csv unreadable again\nnotes.txt not-a-recording again\none.csv known\ntwo.csv "
        "known\n");
    check_integer("rides", number("SELECT COUNT(*) FROM recording"), 2);
    check_integer("tries", number("SELECT CAST(SUM(tries) AS BIGINT) FROM failed_file"), 2);
    /* other bytes are tried, and what can be read then is forgotten as a failure */
    write_words("a/notes.txt", "bring two pumps");
    write_ride("a/empty.csv", "2026-02-14", 8, 900, 170);
    sum = import_of(&ada, 2, 1, paths);
    check_text("third", told.bytes,
               "empty.csv taken\nnotes.txt not-a-recording\none.csv known\ntwo.csv known\n");
    check_integer("failures", number("SELECT COUNT(*) FROM failed_file"), 1);
    check_integer("tries", number("SELECT CAST(SUM(tries) AS BIGINT) FROM failed_file"), 2);
    /* a newer version of reading tries again */
    store_run(roster_db(roster), "UPDATE failed_file SET sha256 = NULL");
    sum = import_of(&ada, 2, 1, paths);
    check(strstr(told.bytes, "notes.txt not-a-recording\n") != NULL);
    check_integer("tries", number("SELECT CAST(SUM(tries) AS BIGINT) FROM failed_file"), 3);
}

static void test_import__the_same_bytes_of_two_riders_are_a_conflict(void **state)
{
    (void)state;
    write_ride("one.csv", "2026-02-10", 8, 900, 200);
    const char *paths[] = { in_folder("one.csv") };
    import_of(&ada, 1, 1, paths);
    const struct import_sum sum = import_of(&ben, 1, 1, paths);
    check_integer("conflicts", (int64_t)sum.files[IMPORT_CONFLICT], 1);
    check(strstr(told_line, "Ada Berg's already (ride 1)") != NULL);
    check(strstr(told_line, "not taken for Ben Lind") != NULL);
    check_integer("rides", number("SELECT COUNT(*) FROM recording"), 1);
}

/* What is no ride at all, and what may be one that went wrong. */
static void test_import__tells_other_things_from_damaged_rides(void **state)
{
    (void)state;
    static const struct {
        const char *name;
        const char *words;
        enum import_outcome outcome;
    } rows[] = {
        { "README.md", "# Rides\n\nOne folder a month.\n", IMPORT_OTHER_THING },
        { "facts.csv", "file,mean_w,note\na.fit,200,wet\n", IMPORT_OTHER_THING },
        { "plan.gpx",
          "<?xml version=\"1.0\"?><gpx version=\"1.1\"><rte><rtept lat=\"1\" "
          "lon=\"2\"/></rte></gpx>",
          IMPORT_OTHER_THING },
        { "place.kml", "<?xml version=\"1.0\"?><kml><Placemark/></kml>", IMPORT_OTHER_THING },
        { "photo.jpg", "\xff\xd8\xff\xe0 JFIF and so on", IMPORT_OTHER_THING },
        /* file_id of a workout: FIT profile, type 5; local 0, one enum field */
        { "workout.fit",
          "\x0c\x10\x00\x00\x0b\x00\x00\x00.FIT\x40\x00\x00\x00\x00\x01\x00\x01\x00\x00\x05",
          IMPORT_OTHER_THING },
        { "login.gpx", "<html><body>Log in</body></html>", IMPORT_UNREADABLE },
        { "empty.fit", "", IMPORT_UNREADABLE },
        { "head.fit", "\x0c\x10\x00\x00\x00\x01\x00\x00.FIT", IMPORT_UNREADABLE },
        { "untimed.csv", "power,heart_rate\n200,140\n", IMPORT_UNREADABLE },
        { "unnamed.csv", "time,speed_kmh,left\n0,30,200\n", IMPORT_UNREADABLE },
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        const size_t size = strcmp(rows[i].name, "workout.fit") == 0 ? 23
                            : strcmp(rows[i].name, "head.fit") == 0  ? 12
                                                                     : strlen(rows[i].words);
        write_file(rows[i].name, rows[i].words, size);
        const char *path[] = { in_folder(rows[i].name) };
        const struct import_sum sum = import_of(&ada, 1, 1, path);
        check_integer(rows[i].name, (int64_t)sum.files[rows[i].outcome], 1);
        import_of(&ada, 1, 1, path);
        check_text(rows[i].name, told.bytes,
                   arena_format(arena, "%s %s again\n", rows[i].name,
                                import_outcome_name(rows[i].outcome)));
    }
}

/* The columns that a coach named are kept: a ride is read again from its bytes. */
static void test_import__named_columns_are_kept_with_the_ride(void **state)
{
    (void)state;
    struct text out = text_begin(arena, 1000000);
    text_add(&out, "time;distance (km);Left, pedal\n");
    for (int i = 0; i < 600; i++) {
        text_add_format(&out, "2026-02-10T08:%02d:%02dZ;%d,%d;%d\n", i / 60, i % 60, i / 100,
                        i % 100, 150 + i % 7);
    }
    write_file("left.csv", out.bytes, out.length);
    const char *path[] = { in_folder("left.csv") };
    import_of(&ada, 1, 1, path);
    check_text("without", told.bytes, "left.csv unreadable\n");
    columns[0] = (struct read_column){ CHANNEL_POWER, "Left, pedal" };
    n_columns = 1;
    import_of(&ada, 1, 1, path);
    n_columns = 0;
    check_text("with", told.bytes, "left.csv taken\n");
    struct ride_row row = { 0 };
    struct recording *again = NULL;
    const struct limits limits = limits_default();
    struct error err = { 0 };
    must(recordings_row(roster_db(roster), arena, 1, &row, &err), &err);
    check_text("kept", row.columns, "power=Left, pedal\n");
    must(recordings_reread(roster_db(roster), arena, &row, &limits, &again, &err), &err);
    check_integer("power", (int64_t)recording_summary(again, CHANNEL_POWER).samples, 600);
}

/* A run with power counts for hours, and for nothing that is a rider's. */
static void test_import__other_sports_have_neither_bests_nor_verdicts(void **state)
{
    (void)state;
    struct text out = text_begin(arena, 1000000);
    text_add(&out, "<?xml version=\"1.0\"?><gpx version=\"1.1\"><trk><type>running</type><trkseg>");
    for (int i = 0; i < 1500; i++) {
        text_add_format(&out,
                        "<trkpt lat=\"1\" lon=\"2\"><time>2026-02-10T08:%02d:%02dZ</time>"
                        "<extensions><power>400</power><hr>150</hr></extensions></trkpt>",
                        i / 60, i % 60);
    }
    text_add(&out, "</trkseg></trk></gpx>");
    write_file("run.gpx", out.bytes, out.length);
    write_ride("ride.csv", "2026-02-11", 8, 1500, 200);
    import_all(&ada);
    check_integer("recordings", number("SELECT COUNT(*) FROM recording"), 2);
    check_integer("its time", number("SELECT timer_s FROM recording WHERE sport = 'running'"),
                  1500);
    check_integer("rides", number("SELECT COUNT(*) FROM recording WHERE is_ride"), 1);
    check_integer("curves",
                  number("SELECT COUNT(*) FROM best_curve b JOIN recording r ON r.id = b.recording "
                         "WHERE NOT r.is_ride"),
                  0);
    check_integer("verdicts",
                  number("SELECT COUNT(*) FROM reading g JOIN recording r ON r.id = g.subject "
                         "WHERE NOT r.is_ride AND g.verdict <> 'cannot tell'"),
                  0);
    struct best_envelope *bests = arena_alloc(arena, 1, sizeof *bests);
    struct error err = { 0 };
    must(best_months_range(roster_db(roster), arena, ada.id, "2026-01-01", "2027-01-01", bests,
                           &err),
         &err);
    check(bests->count > 0);
    check(bests->work_j[59] < 60 * 300);
}

/* Every recording overlaps with every other: one counts, and the month holds its bests alone. */
static void test_import__a_crowd_of_doubles_is_one_ride(void **state)
{
    (void)state;
    enum { CROWD = 40 };
    for (int i = 0; i < CROWD; i++) {
        write_ride(arena_format(arena, "crowd/%02d.csv", i), "2026-02-10", 8,
                   1200 + 10 * ((i * 7) % CROWD), 150 + i);
    }
    const struct import_sum sum = import_all(&ada);
    check_integer("taken", (int64_t)sum.rides, CROWD);
    check_integer("count", number("SELECT COUNT(*) FROM recording WHERE same_as IS NULL"), 1);
    /* the longest, since all have full cover and one format */
    check_integer("longest",
                  number("SELECT MAX(n_seconds) - (SELECT n_seconds FROM recording WHERE same_as "
                         "IS NULL) FROM recording"),
                  0);
    const char *content = dump(false);
    roster_close(roster);
    open_store();
    for (int i = CROWD - 1; i >= 0; i--) {
        const char *one[] = { in_folder(arena_format(arena, "crowd/%02d.csv", (i * 13) % CROWD)) };
        import_of(&ada, 1, 1, one);
    }
    check_text("another order", dump(false), content);
}

static void test_import__folders_say_whose_rides_they_hold(void **state)
{
    (void)state;
    struct error err = { 0 };
    struct change_line undone = { 0 };
    write_ride("inbox/one.csv", "2026-02-10", 8, 900, 200);
    write_ride("inbox/deep/two.csv", "2026-02-11", 8, 900, 190);
    write_ride("team/ben_lind/2026/three.csv", "2026-02-12", 8, 900, 180);
    write_ride("nobody.csv", "2026-02-13", 8, 900, 170);
    struct import_sum sum = import_all(NULL);
    check_integer("without", (int64_t)sum.files[IMPORT_NO_RIDER], 3);
    check_integer("by name", (int64_t)sum.files[IMPORT_TAKEN], 1);
    const char *inbox[] = { in_folder("inbox") };
    sum = import_of(&ada, 2, 1, inbox);
    check_integer("named", (int64_t)sum.files[IMPORT_TAKEN], 2);
    sum = import_all(NULL);
    check_integer("kept", (int64_t)sum.files[IMPORT_KNOWN], 3);
    check_integer("still nobody's", (int64_t)sum.files[IMPORT_NO_RIDER], 1);
    check_integer("ben", number("SELECT COUNT(*) FROM recording WHERE rider = 2"), 1);
    must(changes_undo(roster, arena, now, 0, &undone, &err), &err);
    check(strstr(undone.words, "are Ada Berg's") != NULL);
    check_integer("folders", number("SELECT COUNT(*) FROM folder"), 0);
}

static void write_many(void)
{
    for (int i = 0; i < 60; i++) {
        const char *day = arena_format(arena, "2026-%02d-%02d", 1 + i / 28, 1 + i % 28);
        write_ride(arena_format(arena, "many/%02d.csv", (i * 37) % 60), day, 7, 300 + i * 7,
                   150 + i * 3 % 50);
        if (i % 7 == 0) { /* a second device, 40 s later */
            write_ride(arena_format(arena, "many/watch-%02d.csv", i), day, 7, 280 + i * 7, 140);
        }
        if (i % 11 == 0) {
            write_words(arena_format(arena, "many/odd-%02d.txt", i), "no ride");
        }
    }
}

static void test_import__threads_and_order_make_no_difference(void **state)
{
    (void)state;
    const char *many[] = { in_folder("many") };
    write_many();
    struct import_sum sum = import_of(&ada, 1, 1, many);
    check_integer("rides", (int64_t)sum.rides, 69);
    check_integer("same", (int64_t)sum.same, 9);
    const char *first = dump(true);
    const char *content = dump(false);
    roster_close(roster);
    open_store();
    import_of(&ada, 4, 1, many);
    check_text("4 threads", dump(true), first);
    roster_close(roster);
    open_store();
    for (int i = 59; i >= 0; i--) {
        const char *one[] = { in_folder(arena_format(arena, "many/%02d.csv", i)) };
        import_of(&ada, 1, 1, one);
    }
    import_of(&ada, 3, 1, many);
    check_text("another order", dump(false), content);
}

/* A gzip and a zip are what is in them. */
static void test_import__gzip_is_what_is_in_it(void **state)
{
    (void)state;
    write_ride("one.csv", "2026-02-10", 8, 900, 200);
    check(system(arena_format(arena, "gzip -k %s", in_folder("one.csv"))) == 0);
    const struct import_sum sum = import_all(&ada);
    check_integer("taken", (int64_t)sum.files[IMPORT_TAKEN], 1);
    check_integer("known", (int64_t)sum.files[IMPORT_KNOWN], 1);
}

/* Asked before each file: no more after 20.  Readers ask one at a time. */
static bool stopped(void *context)
{
    int *asked = context;
    return ++*asked > 20;
}

static void test_import__stopped_leaves_whole_files_and_goes_on_later(void **state)
{
    (void)state;
    const char *many[] = { in_folder("many") };
    struct import_sum sum = { 0 };
    struct error err = { 0 };
    int asked = 0;
    const struct import_call call = { .roster = roster,
                                      .place = place,
                                      .now = now,
                                      .rider = &ada,
                                      .n_threads = 2,
                                      .stopped = stopped,
                                      .context = &asked };
    write_many();
    must(import_paths(arena, &call, many, 1, &sum, &err), &err);
    check(sum.was_stopped);
    check(sum.rides > 10 && sum.rides <= 20);
    check_integer("told", number("SELECT COUNT(*) FROM recording"), (int64_t)sum.rides);
    check_integer("whole", number("SELECT COUNT(*) FROM best_curve"), (int64_t)sum.rides);
    sum = import_of(&ada, 2, 1, many);
    check_integer("rides", number("SELECT COUNT(*) FROM recording"), 69);
    check(!sum.was_stopped);
}

/* What was true that day: Ada's threshold is known from February on. */
static void test_import__reads_each_ride_with_the_facts_of_its_day(void **state)
{
    (void)state;
    write_ride("january.csv", "2026-01-20", 8, 3700, 160);
    write_ride("february.csv", "2026-02-20", 8, 3700, 160);
    import_all(&ada);
    check_integer("february knows the threshold",
                  number("SELECT COUNT(*) FROM reading WHERE question = 'base' AND day = "
                         "'2026-02-20' AND content LIKE '%given of 2026-02-01%'"),
                  1);
    check_integer("january doesn't",
                  number("SELECT COUNT(*) FROM reading WHERE day = '2026-01-20' AND content LIKE "
                         "'%given of%'"),
                  0);
    check_integer("bases differ",
                  number("SELECT COUNT(DISTINCT basis_hash) FROM reading WHERE question = 'base'"),
                  2);
}

/* A place that can't be written any more: nothing is told as taken that isn't there. */
static void test_import__a_store_that_fails_takes_nothing_half(void **state)
{
    (void)state;
    struct import_sum sum = { 0 };
    struct error err = { 0 };
    const char *many[] = { in_folder("many") };
    const struct import_call call = {
        .roster = roster, .place = place, .now = now, .rider = &ada, .n_threads = 2, .tell = tell
    };
    write_many();
    store_run(roster_db(roster), "DROP TABLE reading");
    told = text_begin(arena, 1000000);
    check(!import_paths(arena, &call, many, 1, &sum, &err));
    check_text("told", told.bytes, "");
    check_integer("recordings", number("SELECT COUNT(*) FROM recording"), 0);
    check_integer("originals", number("SELECT COUNT(*) FROM original"), 0);
}

int main(int argc, char *argv[])
{
    if (!store_begin(argc, argv)) {
        return 0;
    }
    maths_begin();
#define TEST(name) cmocka_unit_test_setup_teardown(name, begin, end)
    const struct CMUnitTest tests[] = {
        TEST(test_import__takes_what_is_a_ride_and_says_why_not),
        TEST(test_import__the_same_bytes_of_two_riders_are_a_conflict),
        TEST(test_import__tells_other_things_from_damaged_rides),
        TEST(test_import__named_columns_are_kept_with_the_ride),
        TEST(test_import__other_sports_have_neither_bests_nor_verdicts),
        TEST(test_import__a_crowd_of_doubles_is_one_ride),
        TEST(test_import__folders_say_whose_rides_they_hold),
        TEST(test_import__threads_and_order_make_no_difference),
        TEST(test_import__gzip_is_what_is_in_it),
        TEST(test_import__stopped_leaves_whole_files_and_goes_on_later),
        TEST(test_import__reads_each_ride_with_the_facts_of_its_day),
        TEST(test_import__a_store_that_fails_takes_nothing_half),
    };
    return store_end(cmocka_run_group_tests(tests, NULL, NULL));
}
