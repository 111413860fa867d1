/* roster/ride_sums.c: a ride's sums for the heart response, kept in the store. */
#include "roster/ride_sums.h"

#include "base/text.h"

#include <math.h>
#include <sodium.h>
#include <string.h>

static const char *const unfit_names[] = { [RIDE_FITS] = "",
                                           [RIDE_NO_POWER] = "no-power",
                                           [RIDE_NO_HEART] = "no-heart-rate",
                                           [RIDE_TOO_SHORT] = "too-short" };

/* ---- both ways between the tables and one row of numbers ---- */

/* One walk serves both: it visits every number that is kept, in the order of the file.  What
 * mirrors it, or is the same at every node, is written with it. */
struct walk {
    struct response_ride *ride;
    double *numbers;
    size_t at;
    bool is_reading; /* numbers to tables */
};

enum { COLUMN_ONE, COLUMN_F, COLUMN_WORK, COLUMN_HEART };

typedef double table[RESPONSE_COLUMNS][RESPONSE_COLUMNS];

static table *table_at(struct response_ride *ride, size_t node, size_t which)
{
    struct response_sums *sums = &ride->at[node];
    table *const tables[] = { &sums->plain, &sums->now, &sums->then, &sums->both };
    return tables[which];
}

enum { TABLES = 4, TABLE_BOTH = 3 };

static void visit(struct walk *walk, size_t node, size_t which, size_t i, size_t j)
{
    table *at = table_at(walk->ride, node, which);
    double *number = &walk->numbers[walk->at++];
    if (!walk->is_reading) {
        *number = (*at)[i][j];
        return;
    }
    (*at)[i][j] = *number;
    if (which != TABLE_BOTH) {
        (*at)[j][i] = *number;
    }
}

/* Sums without F: of the first node, and so of all. */
static void visit_common(struct walk *walk)
{
    static const size_t columns[] = { COLUMN_ONE, COLUMN_WORK, COLUMN_HEART };
    const size_t n = sizeof columns / sizeof columns[0];
    for (size_t which = 0; which < TABLES; which++) {
        for (size_t i = 0; i < n; i++) {
            for (size_t j = which == TABLE_BOTH ? 0 : i; j < n; j++) {
                visit(walk, 0, which, columns[i], columns[j]);
            }
        }
    }
    for (size_t node = 1; walk->is_reading && node < RESPONSE_NODES; node++) {
        walk->ride->at[node] = walk->ride->at[0];
    }
}

static void visit_node(struct walk *walk, size_t node)
{
    for (size_t which = 0; which < TABLES; which++) {
        for (size_t j = 0; j < RESPONSE_COLUMNS; j++) {
            visit(walk, node, which, COLUMN_F, j);
        }
    }
    for (size_t i = 0; i < RESPONSE_COLUMNS; i++) {
        if (i != COLUMN_F) {
            visit(walk, node, TABLE_BOTH, i, COLUMN_F);
        }
    }
}

static void visit_all(struct walk *walk)
{
    visit_common(walk);
    for (size_t node = 0; node < RESPONSE_NODES; node++) {
        visit_node(walk, node);
    }
}

/* ---- bytes ---- */

static void write_double(double value, uint8_t out[8])
{
    uint64_t bits = 0;
    memcpy(&bits, &value, sizeof bits);
    for (size_t i = 0; i < 8; i++) {
        out[i] = (uint8_t)(bits >> (8 * i));
    }
}

static double read_double(const uint8_t bytes[8])
{
    uint64_t bits = 0;
    double value = 0.0;
    for (size_t i = 0; i < 8; i++) {
        bits |= (uint64_t)bytes[i] << (8 * i);
    }
    memcpy(&value, &bits, sizeof value);
    return value;
}

/* Over the content, how much of it there is, and the method that made it. */
static void sum_hash(struct arena *arena, struct packed_sums *sums)
{
    crypto_hash_sha256_state state;
    const char *head = arena_format(arena, "%s\n%s\n%zu %zu %.17g %.17g\n", HEART_SUMS_METHOD,
                                    unfit_names[sums->unfit], sums->n, sums->n_pairs, sums->mean_w,
                                    sums->spread_w);
    crypto_hash_sha256_init(&state);
    crypto_hash_sha256_update(&state, (const unsigned char *)head, strlen(head));
    if (sums->content != NULL) {
        crypto_hash_sha256_update(&state, sums->content, (size_t)RIDE_SUMS_DOUBLES * 8);
    }
    crypto_hash_sha256_final(&state, sums->hash);
}

struct packed_sums ride_sums_pack(struct arena *arena, const struct response_ride *ride,
                                  enum response_unfit unfit)
{
    struct packed_sums out = { .unfit = unfit, .mean_w = (double)NAN, .spread_w = (double)NAN };
    if (unfit == RIDE_FITS && ride != NULL) {
        struct response_ride own = *ride;
        double numbers[RIDE_SUMS_DOUBLES];
        struct walk walk = { .ride = &own, .numbers = numbers };
        uint8_t *content = arena_alloc(arena, RIDE_SUMS_DOUBLES, 8);
        visit_all(&walk);
        for (size_t i = 0; i < RIDE_SUMS_DOUBLES; i++) {
            write_double(numbers[i], &content[8 * i]);
        }
        out.n = ride->n;
        out.n_pairs = ride->n_pairs;
        out.mean_w = ride->mean_w;
        out.spread_w = ride->spread_w;
        out.content = content;
    }
    sum_hash(arena, &out);
    return out;
}

/* ---- the store ---- */

bool ride_sums_store(struct db *db, int64_t recording, const struct packed_sums *sums,
                     struct error *err)
{
    const struct bytes content = { sums->content, (size_t)RIDE_SUMS_DOUBLES * 8 };
    const struct bytes hash = { sums->hash, sizeof sums->hash };
    return db_run(db, "DELETE FROM heart_sums WHERE recording = $1", DB_ARGS(db_integer(recording)),
                  err) &&
           db_run(db,
                  "INSERT INTO heart_sums (recording, method, unfit, steps, pairs, mean_w, "
                  "spread_w, content, content_hash) VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9)",
                  DB_ARGS(db_integer(recording), db_text(HEART_SUMS_METHOD),
                          db_text(unfit_names[sums->unfit]), db_integer((int64_t)sums->n),
                          db_integer((int64_t)sums->n_pairs), db_real(sums->mean_w),
                          db_real(sums->spread_w),
                          sums->content == NULL ? db_null(DB_BLOB) : db_blob(content),
                          db_blob(hash)),
                  err);
}

bool ride_sums_find(struct db *db, struct arena *arena, int64_t recording, bool *is_there,
                    struct response_ride *out, enum response_unfit *unfit, struct error *err)
{
    struct db_rows rows = { 0 };
    *is_there = false;
    if (!db_query(db, arena,
                  "SELECT method, unfit, steps, pairs, mean_w, spread_w, content FROM heart_sums "
                  "WHERE recording = $1",
                  "ttiiRRX", DB_ARGS(db_integer(recording)), &rows, err)) {
        return false;
    }
    if (rows.count == 0 || strcmp(db_text_at(&rows, 0, 0), HEART_SUMS_METHOD) != 0) {
        return true;
    }
    const char *name = db_text_at(&rows, 0, 1);
    const struct bytes content = db_blob_at(&rows, 0, 6);
    *unfit = RIDE_FITS;
    for (size_t i = 0; i < sizeof unfit_names / sizeof unfit_names[0]; i++) {
        *unfit = strcmp(name, unfit_names[i]) == 0 ? (enum response_unfit)i : *unfit;
    }
    out->n = (size_t)db_integer_at(&rows, 0, 2);
    out->n_pairs = (size_t)db_integer_at(&rows, 0, 3);
    out->mean_w = db_real_at(&rows, 0, 4);
    out->spread_w = db_real_at(&rows, 0, 5);
    *is_there = true;
    if (*unfit != RIDE_FITS) {
        return true;
    }
    if (content.size != (size_t)RIDE_SUMS_DOUBLES * 8) {
        return error_set(err, ERROR_STORAGE, "heart sums of recording %lld: %zu bytes, not %d",
                         (long long)recording, content.size, RIDE_SUMS_DOUBLES * 8);
    }
    double numbers[RIDE_SUMS_DOUBLES];
    for (size_t i = 0; i < RIDE_SUMS_DOUBLES; i++) {
        numbers[i] = read_double(content.at + 8 * i);
    }
    struct walk walk = { .ride = out, .numbers = numbers, .is_reading = true };
    visit_all(&walk);
    return true;
}
