/* roster/forget_needles.c: what to look for when a rider was forgotten, and looking for it. */
#include "roster/forget_needles.h"

#include "base/text.h"

#include <errno.h>
#include <fcntl.h>
#include <sodium.h>
#include <string.h>
#include <unistd.h>

/* ---- collecting ---- */

static void add(struct needles *needles, const char *what, bool is_name, const void *bytes,
                size_t size)
{
    if (size < NEEDLE_LEAST) {
        needles->n_too_short++;
        return;
    }
    for (size_t i = 0; i < needles->count; i++) {
        if (needles->items[i].bytes.size == size &&
            memcmp(needles->items[i].bytes.at, bytes, size) == 0) {
            return;
        }
    }
    needles->items = arena_grow(needles->arena, needles->items, needles->count, &needles->capacity,
                                sizeof *needles->items);
    needles->items[needles->count++] = (struct needle){
        .what = what,
        .bytes = { arena_copy(needles->arena, bytes, size), size },
        .is_name = is_name,
    };
}

static void add_text(struct needles *needles, const char *what, bool is_name, const char *text)
{
    const size_t size = strlen(text);
    if (size <= 2 * NEEDLE_PIECE) {
        add(needles, what, is_name, text, size);
    } else {
        add(needles, what, is_name, text, NEEDLE_PIECE);
        add(needles, what, is_name, text + size - NEEDLE_PIECE, NEEDLE_PIECE);
    }
}

static const char *with_blanks(struct arena *arena, const char *name, char blank)
{
    char *out = arena_string(arena, name);
    for (char *at = out; *at != '\0'; at++) {
        *at = *at == ' ' ? blank : *at;
    }
    return out;
}

static void add_name(struct needles *needles, const struct rider *rider)
{
    struct arena *arena = needles->arena;
    const char *folded = riders_fold(arena, rider->name);
    static const char what[] = "the name";
    /* Side by side in the rider's row. */
    add_text(needles, what, true, arena_format(arena, "%s%s", rider->name, folded));
    if (strlen(rider->name) >= NEEDLE_LEAST) {
        add_text(needles, what, true, rider->name);
        add_text(needles, what, true, folded);
        add_text(needles, what, true, with_blanks(arena, folded, '-'));
        add_text(needles, what, true, with_blanks(arena, folded, '_'));
    } else {
        needles->n_too_short++;
        const size_t before = needles->count;
        add_text(needles, what, true, arena_format(arena, " of %s", rider->name));
        add_text(needles, what, true, arena_format(arena, "rider %s", rider->name));
        for (size_t i = before; i < needles->count; i++) {
            needles->items[i].ends_word = true;
        }
    }
}

/* Texts in a rider's own words or about them, by table; $1 is the rider. */
static const struct {
    const char *what;
    const char *sql;
} texts[] = {
    { "the address", "SELECT address FROM rider WHERE id = $1" },
    { "a note", "SELECT note FROM rider WHERE id = $1" },
    { "a note", "SELECT note FROM equipment WHERE rider = $1" },
    { "a note",
      "SELECT c.note FROM equipment_care c JOIN equipment e ON e.id = c.equipment WHERE e.rider = "
      "$1" },
    { "a note", "SELECT note FROM meter_check WHERE rider = $1" },
    { "a note", "SELECT note FROM weight WHERE rider = $1" },
    { "a note", "SELECT note FROM threshold WHERE rider = $1" },
    { "a note", "SELECT note FROM max_heart_rate WHERE rider = $1" },
    { "a note", "SELECT note FROM rest_heart_rate WHERE rider = $1" },
    { "a note", "SELECT note FROM limit_override WHERE rider = $1" },
    { "a goal", "SELECT words FROM goal WHERE rider = $1" },
    { "an event", "SELECT name FROM event WHERE rider = $1" },
    { "a note", "SELECT note FROM event WHERE rider = $1" },
    { "a note", "SELECT note FROM day_off WHERE rider = $1" },
    { "a note", "SELECT note FROM availability WHERE rider = $1" },
    { "a block", "SELECT name FROM block WHERE rider = $1" },
    { "a note", "SELECT note FROM block WHERE rider = $1" },
    { "a session", "SELECT name FROM session WHERE rider = $1" },
    { "a session", "SELECT words FROM session WHERE rider = $1" },
    { "a session", "SELECT why FROM session WHERE rider = $1" },
    { "a note", "SELECT note FROM screening WHERE rider = $1" },
    { "who cleared the rider", "SELECT cleared_by FROM screening WHERE rider = $1" },
    { "a note", "SELECT note FROM flag WHERE rider = $1" },
    { "a consent", "SELECT words FROM consent WHERE rider = $1" },
    { "who consented", "SELECT given_by FROM consent WHERE rider = $1" },
    { "a contact", "SELECT words FROM contact WHERE rider = $1" },
    { "a day's words", "SELECT words FROM day_note WHERE rider = $1" },
    { "a line of the list", "SELECT line FROM attention_mark WHERE rider = $1" },
    { "a folder", "SELECT path FROM folder WHERE rider = $1" },
    { "a file's name",
      "SELECT o.name FROM original o WHERE EXISTS (SELECT 1 FROM recording r WHERE r.original = "
      "o.id AND r.rider = $1)" },
};

static bool add_texts(struct db *db, int64_t rider, struct needles *needles, struct error *err)
{
    for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++) {
        struct db_rows rows = { 0 };
        if (!db_query(db, needles->arena, texts[i].sql, "T", DB_ARGS(db_integer(rider)), &rows,
                      err)) {
            return false;
        }
        for (size_t k = 0; k < rows.count; k++) {
            const char *text = db_text_at(&rows, k, 0);
            if (text != NULL && text[0] != '\0') {
                add_text(needles, texts[i].what, false, text);
            }
        }
    }
    return true;
}

size_t needles_stored_integer(int64_t value, uint8_t out[8])
{
    static const size_t sizes[] = { 1, 2, 3, 4, 6 }; /* else 8 */
    size_t size = 8;
    for (size_t i = 0; i < sizeof sizes / sizeof sizes[0] && size == 8; i++) {
        const int64_t end = (int64_t)1 << (8 * sizes[i] - 1);
        if (value >= -end && value < end) {
            size = sizes[i];
        }
    }
    for (size_t i = 0; i < size; i++) {
        out[i] = (uint8_t)((uint64_t)value >> (8 * (size - 1 - i)));
    }
    return size;
}

/* The serial after the texts that stand before it in its row. */
static void add_serial(struct needles *needles, const char *before, int64_t serial)
{
    /* The nearest of them will do. */
    const size_t whole = strlen(before);
    const size_t length = whole < NEEDLE_PIECE ? whole : NEEDLE_PIECE;
    before += whole - length;
    uint8_t *bytes = arena_alloc(needles->arena, length + 8, 1);
    memcpy(bytes, before, length);
    add(needles, "a serial", false, bytes, length + needles_stored_integer(serial, bytes + length));
    add_text(needles, "a serial", false, arena_format(needles->arena, "%lld", (long long)serial));
}

/* Serials that only this rider's rows have. */
#define ONLY_THEIRS                                                                                \
    " AND NOT EXISTS (SELECT 1 FROM recording r WHERE r.device_serial = x.serial AND r.rider <> "  \
    "$1) AND NOT EXISTS (SELECT 1 FROM sensor s JOIN recording r ON r.id = s.recording WHERE "     \
    "s.serial = x.serial AND r.rider <> $1) AND NOT EXISTS (SELECT 1 FROM equipment e WHERE "      \
    "e.serial = x.serial AND (e.rider IS NULL OR e.rider <> $1))"

static bool add_serials(struct db *db, int64_t rider, struct needles *needles, struct error *err)
{
    static const char *const questions[] = {
        "SELECT x.before, x.serial FROM (SELECT COALESCE(maker, '') || COALESCE(product, '') AS "
        "before, serial FROM equipment WHERE rider = $1) x WHERE x.serial IS NOT NULL" ONLY_THEIRS,
        "SELECT DISTINCT x.before, x.serial FROM (SELECT s.kind || COALESCE(s.maker, '') || "
        "COALESCE(s.product, '') AS before, s.serial FROM sensor s JOIN recording q ON q.id = "
        "s.recording WHERE q.rider = $1) x WHERE x.serial IS NOT NULL" ONLY_THEIRS,
        "SELECT DISTINCT x.before, x.serial FROM (SELECT COALESCE(device_maker, '') || "
        "COALESCE(device_product, '') AS before, device_serial AS serial FROM recording WHERE "
        "rider = $1) x WHERE x.serial IS NOT NULL" ONLY_THEIRS,
    };
    for (size_t i = 0; i < sizeof questions / sizeof questions[0]; i++) {
        struct db_rows rows = { 0 };
        if (!db_query(db, needles->arena, questions[i], "ti", DB_ARGS(db_integer(rider)), &rows,
                      err)) {
            return false;
        }
        for (size_t k = 0; k < rows.count; k++) {
            add_serial(needles, db_text_at(&rows, k, 0), db_integer_at(&rows, k, 1));
        }
    }
    return true;
}

static bool add_checksums(struct db *db, int64_t rider, struct needles *needles, struct error *err)
{
    struct db_rows rows = { 0 };
    if (!db_query(db, needles->arena,
                  "SELECT o.sha256 FROM original o WHERE EXISTS (SELECT 1 FROM recording r WHERE "
                  "r.original = o.id AND r.rider = $1) AND NOT EXISTS (SELECT 1 FROM recording r "
                  "WHERE r.original = o.id AND r.rider <> $1)",
                  "x", DB_ARGS(db_integer(rider)), &rows, err)) {
        return false;
    }
    for (size_t i = 0; i < rows.count; i++) {
        const struct bytes sum = db_blob_at(&rows, i, 0);
        char digits[65];
        if (sum.size == 32) {
            sodium_bin2hex(digits, sizeof digits, sum.at, sum.size);
            add(needles, "a file's checksum", false, sum.at, sum.size);
            add(needles, "a file's checksum", false, digits, 64);
        }
    }
    return true;
}

bool needles_collect(struct db *db, struct arena *arena, const struct rider *rider,
                     struct needles *out, struct error *err)
{
    *out = (struct needles){ .arena = arena };
    add_name(out, rider);
    return add_texts(db, rider->id, out, err) && add_serials(db, rider->id, out, err) &&
           add_checksums(db, rider->id, out, err);
}

/* ---- what others have as well ---- */

static void mark(void *context, struct needle *needle, size_t at)
{
    (void)context;
    (void)at;
    needle->found = true;
}

/* The same columns of everybody who is left: the statement without its rider. */
static const char *of_all(struct arena *arena, const char *sql)
{
    char *all = arena_string(arena, sql);
    char *rider = strstr(all, " AND r.rider = $1");
    if (rider != NULL) { /* the names of files */
        *rider = '\0';
        return arena_format(arena, "%s)", all);
    }
    rider = strstr(all, " WHERE ");
    if (rider != NULL) {
        *rider = '\0';
    }
    return all;
}

static bool mark_those_in(struct db *db, const char *sql, struct needles *needles,
                          struct error *err)
{
    struct db_rows rows = { 0 };
    if (!db_query(db, needles->arena, sql, "T", DB_NONE, &rows, err)) {
        return false;
    }
    for (size_t k = 0; k < rows.count; k++) {
        const char *text = db_text_at(&rows, k, 0);
        if (text != NULL) {
            needles_search(needles, (struct bytes){ (const uint8_t *)text, strlen(text) }, mark,
                           NULL);
        }
    }
    return true;
}

static void add_covers(struct needles *needles, const char *name)
{
    const size_t size = strlen(name);
    for (size_t i = 0; i < needles->count; i++) {
        const struct needle *needle = &needles->items[i];
        const uint8_t *in =
            needle->is_name ? memmem(name, size, needle->bytes.at, needle->bytes.size) : NULL;
        if (in != NULL) {
            needles->covers = arena_grow(needles->arena, needles->covers, needles->n_covers,
                                         &needles->covers_capacity, sizeof *needles->covers);
            needles->covers[needles->n_covers++] = (struct needle_cover){
                { arena_copy(needles->arena, name, size), size },
                needle->bytes,
                (size_t)(in - (const uint8_t *)name),
            };
        }
    }
}

static bool cover_names(struct db *db, struct needles *needles, struct error *err)
{
    struct db_rows rows = { 0 };
    if (!db_query(db, needles->arena, "SELECT name, name_folded FROM rider ORDER BY id", "tt",
                  DB_NONE, &rows, err)) {
        return false;
    }
    for (size_t i = 0; i < rows.count; i++) {
        const char *folded = db_text_at(&rows, i, 1);
        add_covers(needles, db_text_at(&rows, i, 0));
        add_covers(needles, folded);
        add_covers(needles, with_blanks(needles->arena, folded, '-'));
        add_covers(needles, with_blanks(needles->arena, folded, '_'));
    }
    return true;
}

bool needles_drop_others(struct db *db, struct needles *needles, struct error *err)
{
    static const char *const more[] = {
        "SELECT path FROM failed_file",
        "SELECT message FROM failed_file",
        "SELECT name FROM equipment",
    };
    for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++) {
        if (!mark_those_in(db, of_all(needles->arena, texts[i].sql), needles, err)) {
            return false;
        }
    }
    for (size_t i = 0; i < sizeof more / sizeof more[0]; i++) {
        if (!mark_those_in(db, more[i], needles, err)) {
            return false;
        }
    }
    size_t kept = 0;
    for (size_t i = 0; i < needles->count; i++) {
        struct needle needle = needles->items[i];
        const bool is_dropped = needle.found && !needle.is_name;
        needle.found = false;
        if (is_dropped) {
            needles->n_of_others++;
        } else {
            needles->items[kept++] = needle;
        }
    }
    needles->count = kept;
    needles->first = NULL; /* the table is made anew */
    return cover_names(db, needles, err);
}

/* ---- looking ---- */

/* First bytes of a needle to a place in a table: few positions of a file get past it. */
enum { SLOTS = 1 << 16 };

static uint32_t first_bytes(const uint8_t *at)
{
    uint32_t word = 0;
    memcpy(&word, at, sizeof word);
    return word;
}

/* Multiplicative hashing: Knuth, The Art of Computer Programming 3, section 6.4. */
static uint32_t slot_of(uint32_t word)
{
    return (word * 2654435769u) >> 16;
}

static void make_index(struct needles *needles)
{
    if (needles->first != NULL && needles->n_indexed == needles->count) {
        return;
    }
    needles->first = ARENA_ARRAY(needles->arena, size_t, SLOTS);
    needles->next = ARENA_ARRAY(needles->arena, size_t, needles->count);
    needles->n_indexed = needles->count;
    for (size_t i = 0; i < needles->count; i++) {
        const uint32_t slot = slot_of(first_bytes(needles->items[i].bytes.at));
        needles->next[i] = needles->first[slot];
        needles->first[slot] = i + 1;
    }
}

/* The hit is a part of another rider's name. */
static bool is_covered(const struct needles *needles, struct bytes bytes,
                       const struct needle *needle, size_t at)
{
    for (size_t i = 0; needle->is_name && i < needles->n_covers; i++) {
        const struct needle_cover *cover = &needles->covers[i];
        if (cover->needle.at == needle->bytes.at && at >= cover->at &&
            cover->bytes.size <= bytes.size - (at - cover->at) &&
            memcmp(cover->bytes.at, bytes.at + at - cover->at, cover->bytes.size) == 0) {
            return true;
        }
    }
    return false;
}

static bool is_letter(uint8_t c)
{
    return c >= 0x80 || (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z');
}

static bool is_at(const struct needles *needles, struct bytes bytes, const struct needle *needle,
                  size_t at)
{
    const size_t size = needle->bytes.size;
    return size <= bytes.size - at && memcmp(needle->bytes.at, bytes.at + at, size) == 0 &&
           !(needle->ends_word && at + size < bytes.size && is_letter(bytes.at[at + size])) &&
           !is_covered(needles, bytes, needle, at);
}

bool needles_is_in(const struct needles *needles, const struct needle *needle, struct bytes bytes)
{
    for (size_t at = 0; at < bytes.size; at++) {
        if (is_at(needles, bytes, needle, at)) {
            return true;
        }
    }
    return false;
}

/* Needles that begin in [from, to). */
static void search_range(struct needles *needles, struct bytes bytes, size_t from, size_t to,
                         needles_found *found, void *context)
{
    make_index(needles);
    for (size_t at = from; at < to && at + NEEDLE_LEAST <= bytes.size; at++) {
        for (size_t i = needles->first[slot_of(first_bytes(bytes.at + at))]; i > 0;
             i = needles->next[i - 1]) {
            struct needle *needle = &needles->items[i - 1];
            if (is_at(needles, bytes, needle, at)) {
                found(context, needle, at);
            }
        }
    }
}

void needles_search(struct needles *needles, struct bytes bytes, needles_found *found,
                    void *context)
{
    search_range(needles, bytes, 0, bytes.size, found, context);
}

struct piece {
    needles_found *found;
    void *context;
    size_t from; /* of the file */
};

static void found_in_piece(void *context, struct needle *needle, size_t at)
{
    const struct piece *piece = context;
    piece->found(piece->context, needle, piece->from + at);
}

/* A piece is searched up to AROUND bytes before its end, and the next one begins AROUND bytes
 * before that: every needle is seen once, with what stands before and behind it. */
enum { PIECE = 4 * 1000 * 1000, AROUND = 1024 };

static bool search_pieces(struct needles *needles, int fd, uint8_t *buffer, struct piece *piece)
{
    size_t held = 0;
    size_t searched = 0;
    for (;;) {
        const ssize_t got = read(fd, buffer + held, PIECE);
        if (got < 0 && errno == EINTR) {
            continue;
        }
        if (got < 0) {
            return false;
        }
        held += (size_t)got;
        const size_t to = got == 0 ? held : held > AROUND ? held - AROUND : 0;
        search_range(needles, (struct bytes){ buffer, held }, searched,
                     to > searched ? to : searched, found_in_piece, piece);
        searched = to > searched ? to : searched;
        if (got == 0) {
            return true;
        }
        const size_t drop = searched > AROUND ? searched - AROUND : 0;
        memmove(buffer, buffer + drop, held - drop);
        piece->from += drop;
        held -= drop;
        searched -= drop;
    }
}

bool needles_search_file(struct needles *needles, const char *path, needles_found *found,
                         void *context, struct error *err)
{
    struct arena *scratch = arena_open();
    struct piece piece = { found, context, 0 };
    const int fd = open(path, O_RDONLY | O_CLOEXEC);
    const bool done =
        fd >= 0 &&
        search_pieces(needles, fd, ARENA_RAW(scratch, uint8_t, PIECE + 2 * AROUND + 1), &piece);
    if (!done) {
        error_set(err, ERROR_STORAGE, "%s: cannot be read: %s", path, strerror(errno));
    }
    if (fd >= 0) {
        close(fd);
    }
    arena_close(scratch);
    return done;
}
