/* recording/fit_read.c: the door: chained parts, their ends, checksums, refusals. */
#include "recording/fit_read.h"
#include "recording/fit_crc.h"
#include "recording/fit_damage.h"
#include "recording/fit_profile.h"
#include "recording/fit_recording.h"
#include "recording/fit_timer.h"

#include <math.h>
#include <string.h>

/* Memory, in bytes at most.  A record costs 4 time + 1 flag + 13 x 4 columns + 5 for time_s and
 * dropped = 62, twice where records of sessions stand mixed; a second of grid 10 x 5 + 1 = 51.
 *     300,000 x 124 + 400,000 x 51 = 57.6 MB, and items 20,000 x 128 x 2 = 5 MB
 *     a byte of the file: 124 / 40 + 51 / 64 = 3.9 */
static const size_t BYTES_A_RECORD = 40;
static const size_t BYTES_A_SECOND = 64;

/* Bytes of a header that ends in a checksum of its own, and of a checksum. */
enum { HEADER_WITH_CHECKSUM = 14, CHECKSUM_SIZE = 2 };

struct reader {
    struct arena *arena;
    struct bytes bytes;
    const struct read_options *options;
    const struct limits *limits;
    struct fit_budget budget;
    struct fit_walk *walk;
    bool tried_longer; /* a part was read past its end once: not again, to stay linear */
    struct recordings *out;
    size_t capacity;
    struct error *err;
    /* for the refusal, when nothing was read */
    bool other_kind;
    int64_t kind;
    bool was_cut;
};

/* One file of the chain and where it ends. */
struct piece {
    size_t begin;
    size_t body;     /* first byte after the header */
    size_t declared; /* first byte after the data, as the header says; may lie past the end */
    bool has_size;
    size_t next; /* where to look for another piece */
    struct fit_damage damage;
};

static uint16_t checksum(const struct reader *reader, size_t from, size_t to)
{
    return fit_crc16(0, reader->bytes.at + from, to - from);
}

static struct piece piece_begin(const struct reader *reader, size_t begin)
{
    const uint8_t *header = reader->bytes.at + begin;
    const size_t left = reader->bytes.size - begin;
    const size_t header_size = header[0];
    const uint32_t data_size = fit_load32(header + 4, false);
    struct piece piece = { .begin = begin, .has_size = data_size > 0 };
    piece.body = begin + (header_size < left ? header_size : left);
    piece.declared = begin + header_size + data_size;
    if (header_size >= HEADER_WITH_CHECKSUM && left >= HEADER_WITH_CHECKSUM) {
        const uint16_t stated = fit_load16(header + 12, false);
        /* Zero means that there is none (check SD-03). */
        piece.damage.has[FIT_HARM_HEADER] =
            stated != 0 && stated != checksum(reader, begin, begin + 12);
    }
    return piece;
}

static bool read_messages(struct reader *reader, const struct piece *piece, size_t end,
                          size_t trusted_end, struct fit_part *part)
{
    const struct fit_extent extent = {
        .bytes = reader->bytes.at,
        .at = piece->body,
        .end = end,
        .trusted_end = trusted_end,
        .widest_step = (int64_t)reader->limits->value[LIMIT_CLOCK_UNSURE_S],
    };
    if (!fit_part_read(reader->arena, reader->walk, &extent, &reader->budget, part)) {
        return error_set(reader->err, ERROR_TOO_LARGE,
                         "%s: holds more records than one file may; split it into its activities",
                         reader->options->file);
    }
    return true;
}

/* A device that died may have written on past the size that it noted last: reads the piece once
 * more without that end, and keeps it if more came of it. */
static bool read_longer(struct reader *reader, struct piece *piece, struct fit_part *part)
{
    const size_t size = reader->bytes.size;
    if (size - piece->declared <= CHECKSUM_SIZE || reader->tried_longer ||
        fit_is_header(reader->bytes.at, size, piece->declared + CHECKSUM_SIZE)) {
        return true;
    }
    reader->tried_longer = true;
    struct fit_part longer;
    if (!read_messages(reader, piece, size, piece->declared, &longer)) {
        return false;
    }
    if (longer.records.count > part->records.count || (longer.is_finished && !part->is_finished)) {
        *part = longer;
        piece->damage.has[FIT_HARM_CUT] = false;
        piece->damage.has[FIT_HARM_CHECKSUM] = false;
        piece->damage.has[FIT_HARM_WRONG_SIZE] = true;
        const size_t left = size - reader->walk->at;
        piece->next = left <= CHECKSUM_SIZE ? size : reader->walk->at;
    }
    return true;
}

/* A piece whose header gives a size that fits into the file. */
static bool read_closed(struct reader *reader, struct piece *piece, struct fit_part *part)
{
    if (!read_messages(reader, piece, piece->declared, piece->declared, part)) {
        return false;
    }
    const size_t after = reader->bytes.size - piece->declared;
    piece->next = after < CHECKSUM_SIZE ? reader->bytes.size : piece->declared + CHECKSUM_SIZE;
    if (reader->walk->stop == FIT_STOP_SHORT) {
        piece->damage.has[FIT_HARM_CUT] = true;
        return read_longer(reader, piece, part);
    }
    if (reader->walk->stop != FIT_STOP_END) {
        /* After its last message a device's memory may hold anything. */
        piece->damage.has[part->is_finished ? FIT_HARM_WRONG_SIZE : FIT_HARM_MIDDLE] = true;
        piece->damage.at = reader->walk->at;
        return true;
    }
    if (after < CHECKSUM_SIZE) {
        piece->damage.has[FIT_HARM_NO_CHECKSUM] = true;
        return true;
    }
    if (fit_load16(reader->bytes.at + piece->declared, false) ==
        checksum(reader, piece->begin, piece->declared)) {
        return true;
    }
    piece->damage.has[FIT_HARM_CHECKSUM] = true;
    return read_longer(reader, piece, part);
}

/* A piece that gives no size, or one that reaches past the end of the file. */
static bool read_open(struct reader *reader, struct piece *piece, struct fit_part *part)
{
    const size_t size = reader->bytes.size;
    if (!read_messages(reader, piece, size, piece->body, part)) {
        return false;
    }
    const size_t left = size - reader->walk->at;
    piece->next = left <= CHECKSUM_SIZE ? size : reader->walk->at;
    if (!piece->has_size) {
        piece->damage.has[FIT_HARM_NOT_CLOSED] = true;
    } else if (part->is_finished &&
               (reader->walk->stop == FIT_STOP_NONSENSE ||
                /* Over everything, its own two bytes too, a checksum comes out as 0. */
                (left == CHECKSUM_SIZE && checksum(reader, piece->begin, size) == 0))) {
        piece->damage.has[FIT_HARM_WRONG_SIZE] = true;
    } else {
        piece->damage.has[FIT_HARM_CUT] = true;
        piece->next = reader->walk->stop == FIT_STOP_SHORT ? size : piece->next;
    }
    return true;
}

static bool is_activity(const struct fit_part *part)
{
    return part->has_type ? part->type == FIT_FILE_TYPE_ACTIVITY : part->records.count > 0;
}

/* What a summary that stands before its records promises: known when one record a second came. */
static size_t expected_records(const struct fit_part *part, const struct fit_read_so_far *so_far)
{
    int64_t timer_ms = 0;
    for (size_t i = 0; i < part->n_sessions; i++) {
        if (part->sessions[i].timer_ms < 0) {
            return 0;
        }
        timer_ms += part->sessions[i].timer_ms;
    }
    const int64_t expected = (timer_ms + 500) / 1000;
    const bool every_second = so_far->seconds == (int64_t)so_far->records;
    return every_second && expected > (int64_t)so_far->records ? (size_t)expected : 0;
}

static void keep_recording(struct reader *reader, struct recording *recording)
{
    struct recordings *out = reader->out;
    out->items = arena_grow(reader->arena, out->items, out->count, &reader->capacity,
                            sizeof(struct recording *));
    out->items[out->count++] = recording;
    reader->budget.recordings--;
}

static bool refuse_many(const struct reader *reader)
{
    return error_set(reader->err, ERROR_TOO_LARGE,
                     "%s: holds more than %.0f recordings; split it into its activities",
                     reader->options->file, reader->limits->value[LIMIT_CAP_FILE_RECORDINGS]);
}

static bool add_recordings(struct reader *reader, struct fit_part *part,
                           struct fit_read_so_far *so_far)
{
    struct fit_windows windows;
    struct fit_ranges ranges;
    if (!fit_session_ranges(reader->arena, part, reader->limits, &reader->budget, &windows,
                            &ranges)) {
        return refuse_many(reader);
    }
    fit_timer_settle(part, &ranges);
    for (size_t i = 0; i < ranges.count; i++) {
        struct recording *recording =
            fit_recording_make(reader->arena, part, &windows, &ranges, i, reader->options->file,
                               reader->limits, &reader->budget, reader->err);
        if (recording == NULL && reader->err->kind != ERROR_NONE) {
            return false;
        }
        if (recording != NULL) {
            so_far->seconds += (int64_t)recording->n_seconds;
            keep_recording(reader, recording);
        }
    }
    return true;
}

static void note_line(struct reader *reader, const char *clause)
{
    if (reader->out->damage == NULL && clause != NULL) {
        reader->out->damage = arena_format(reader->arena, "%s: %s", reader->options->file, clause);
    }
}

/* Bytes that are no FIT file, up to the next header or the end. */
static size_t skip_foreign(const struct reader *reader, size_t at)
{
    const uint8_t *bytes = reader->bytes.at;
    const size_t size = reader->bytes.size;
    while (at < size && !fit_is_header(bytes, size, at)) {
        const size_t from = at + 9; /* where the next header's ".FIT" may begin */
        const uint8_t *found = from < size ? memmem(bytes + from, size - from, ".FIT", 4) : NULL;
        at = found == NULL ? size : (size_t)(found - bytes) - 8;
    }
    return at;
}

static bool read_piece(struct reader *reader, size_t begin, size_t *next)
{
    struct piece piece = piece_begin(reader, begin);
    struct fit_part part;
    const bool is_closed = piece.has_size && piece.declared <= reader->bytes.size;
    if (!(is_closed ? read_closed(reader, &piece, &part) : read_open(reader, &piece, &part))) {
        return false;
    }
    piece.damage.has[FIT_HARM_BYTE_ORDER] = reader->walk->saw_wrong_flag;
    *next = skip_foreign(reader, piece.next);
    piece.damage.trailing = *next - piece.next;
    piece.damage.has[FIT_HARM_TRAILING] = piece.damage.trailing > 0;
    reader->was_cut = reader->was_cut || piece.damage.has[FIT_HARM_CUT];
    if (!is_activity(&part)) {
        reader->other_kind = reader->other_kind || part.has_type;
        reader->kind = part.has_type && reader->kind < 0 ? part.type : reader->kind;
        return true;
    }
    const size_t before = reader->out->count;
    struct fit_read_so_far so_far = { .records = part.records.count };
    if (!add_recordings(reader, &part, &so_far)) {
        return false;
    }
    so_far.expected = expected_records(&part, &so_far);
    for (size_t i = before; i < reader->out->count; i++) {
        fit_damage_report(reader->arena, reader->out->items[i], &piece.damage, &so_far);
    }
    if (reader->out->count > before) {
        note_line(reader, fit_damage_line(reader->arena, &piece.damage, &so_far));
    }
    return true;
}

static bool refuse(const struct reader *reader)
{
    const char *file = reader->options->file;
    if (reader->other_kind) {
        const char *kind = fit_file_kind(reader->kind);
        if (kind == NULL) {
            return error_set(reader->err, ERROR_INPUT,
                             "%s: is a FIT file of kind %lld, not a ride; choose an activity file",
                             file, (long long)reader->kind);
        }
        return error_set(reader->err, ERROR_INPUT,
                         "%s: is %s %s file, not a ride; choose an activity file", file,
                         kind[0] == 'a' ? "an" : "a", kind);
    }
    if (reader->options->packing_damage != NULL) {
        return error_set(reader->err, ERROR_INPUT,
                         "%s: %s before its first record; copy the file from the device again",
                         file, reader->options->packing_damage);
    }
    return error_set(
        reader->err, ERROR_INPUT,
        reader->was_cut ? "%s: cut off before its first record; copy the file from the device again"
                        : "%s: holds no records; choose the file of a ride",
        file);
}

bool fit_probe(struct bytes bytes)
{
    return fit_is_header(bytes.at, bytes.size, 0);
}

bool fit_read(struct arena *arena, struct bytes bytes, const struct read_options *options,
              const struct limits *limits, struct recordings *out, struct error *err)
{
    *out = (struct recordings){ 0 };
    *err = (struct error){ 0 };
    struct reader reader = {
        .arena = arena,
        .bytes = bytes,
        .options = options,
        .limits = limits,
        .budget = {
            .records = (size_t)limits->value[LIMIT_CAP_FILE_RECORDS] + bytes.size / BYTES_A_RECORD,
            .seconds = (size_t)limits->value[LIMIT_CAP_FILE_SECONDS] + bytes.size / BYTES_A_SECOND,
            .recordings = (size_t)limits->value[LIMIT_CAP_FILE_RECORDINGS],
            .items = (size_t)limits->value[LIMIT_CAP_FILE_ITEMS],
            .pulses = (size_t)limits->value[LIMIT_CAP_FILE_PULSES],
        },
        .walk = ARENA_ARRAY(arena, struct fit_walk, 1),
        .out = out,
        .err = err,
        .kind = -1,
    };
    size_t files = 0;
    for (size_t at = skip_foreign(&reader, 0); at < bytes.size;) {
        /* Each file costs more than its bytes: tables are cleared for it. */
        if (++files > (size_t)limits->value[LIMIT_CAP_FILE_RECORDINGS]) {
            return refuse_many(&reader);
        }
        if (!read_piece(&reader, at, &at)) {
            return false;
        }
    }
    if (out->count == 0) {
        return refuse(&reader);
    }
    for (size_t i = 0; i < out->count; i++) {
        out->items[i]->part = i + 1;
        out->items[i]->parts = out->count;
    }
    return true;
}
