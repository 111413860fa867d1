/* recording/container.c: gzip and zip around recordings. */
#include "recording/container.h"

#include "base/text.h"

#include <string.h>
#include <zip.h>

struct container {
    const char *file; /* clean */
    const struct limits *limits;
    struct bytes plain;  /* what is no zip: its one entry */
    const char *damage;  /* of the gzip around the whole */
    zip_t *zip;          /* NULL = no zip */
    size_t packed_bytes; /* of the whole zip */
    bool is_odd;         /* its table of contents doesn't agree with its entries */
    zip_uint64_t next;
    zip_uint64_t count;
    size_t total; /* bytes unpacked so far */
};

/* ---- what a zip is ---- */

static bool begins_as_zip(struct bytes bytes)
{
    /* A first file, nothing but an end (empty), or a piece of a split one: APPNOTE 4.3. */
    return bytes.size >= 4 && bytes.at[0] == 'P' && bytes.at[1] == 'K' &&
           ((bytes.at[2] == 3 && bytes.at[3] == 4) || (bytes.at[2] == 5 && bytes.at[3] == 6) ||
            (bytes.at[2] == 7 && bytes.at[3] == 8));
}

static uint64_t load64(const uint8_t *at)
{
    uint64_t value = 0;
    for (size_t i = 0; i < 8; i++) {
        value |= (uint64_t)at[i] << (8 * i);
    }
    return value;
}

/* The library makes room for as many entries as a zip64 end record claims, before it looks at one.
 * It finds the record by its locator, 20 bytes before an end record: APPNOTE 4.3.14 (entries at 24
 * and 32), 4.3.15 (place of the record at 8).  The same bytes inside a stored entry are none. */
static bool claims_too_many(struct bytes bytes, uint64_t most)
{
    enum { LOCATOR = 20, END_MARK = 4, RECORD = 56 };
    const uint8_t *at = bytes.at;
    size_t left = bytes.size;
    while (left >= LOCATOR + END_MARK) {
        const uint8_t *found = memmem(at, left - LOCATOR, "PK\x06\x07", 4);
        if (found == NULL) {
            return false;
        }
        const uint64_t place = load64(found + 8);
        if (memcmp(found + LOCATOR, "PK\x05\x06", END_MARK) == 0 && bytes.size >= RECORD &&
            place <= bytes.size - RECORD) {
            const uint8_t *record = bytes.at + place;
            if (load64(record + 24) > most || load64(record + 32) > most) {
                return true;
            }
        }
        left -= (size_t)(found - at) + 4;
        at = found + 4;
    }
    return false;
}

static bool refuse_zip(const char *file, const zip_error_t *error, struct error *err)
{
    switch (zip_error_code_zip(error)) {
    case ZIP_ER_NOZIP:
        return error_set(err, ERROR_INPUT,
                         "%s: is a zip that was cut off: its table of contents is missing; copy it "
                         "again",
                         file);
    case ZIP_ER_MULTIDISK:
        return error_set(err, ERROR_INPUT,
                         "%s: is one piece of a split zip; join the pieces or pack it again", file);
    default: break;
    }
    return error_set(err, ERROR_INPUT,
                     "%s: is a zip whose table of contents is damaged; pack it again", file);
}

static zip_t *open_with(struct bytes bytes, int flags, zip_error_t *error)
{
    zip_source_t *source = zip_source_buffer_create(bytes.at, bytes.size, 0, error);
    if (source == NULL) {
        return NULL;
    }
    zip_t *zip = zip_open_from_source(source, ZIP_RDONLY | flags, error);
    if (zip == NULL) {
        zip_source_free(source);
    }
    return zip;
}

static const char *raw_name(const struct container *container, zip_uint64_t i)
{
    const char *name = zip_get_name(container->zip, i, ZIP_FL_ENC_GUESS);
    return name == NULL ? "" : name;
}

/* Folders, and what systems hide beside files. */
static bool is_passed_over(const char *name)
{
    const size_t length = strlen(name);
    if (length > 0 && (name[length - 1] == '/' || name[length - 1] == '\\')) {
        return true;
    }
    const char *slash = strrchr(name, '/');
    return (slash == NULL ? name : slash + 1)[0] == '.';
}

/* Tables and texts of office programs are zips too. */
static bool is_document(const struct container *container)
{
    return zip_name_locate(container->zip, "[Content_Types].xml", 0) >= 0 ||
           strcmp(raw_name(container, 0), "mimetype") == 0;
}

static bool has_files(const struct container *container, struct error *err)
{
    const char *file = container->file;
    const double most = container->limits->value[LIMIT_CAP_ZIP_ENTRIES];
    if (container->count == 0) {
        return error_set(err, ERROR_INPUT, "%s: is an empty zip; put recordings into it", file);
    }
    if ((double)container->count > most) {
        return error_set(err, ERROR_TOO_LARGE,
                         "%s: holds more than %.0f files; pack them into several", file, most);
    }
    if (is_document(container)) {
        return error_set(err, ERROR_INPUT,
                         "%s: is a document of an office program; save its table as CSV", file);
    }
    for (zip_uint64_t i = 0; i < container->count; i++) {
        if (!is_passed_over(raw_name(container, i))) {
            return true;
        }
    }
    return error_set(err, ERROR_INPUT,
                     "%s: holds only folders and hidden files; put recordings into it", file);
}

static bool open_zip(struct container *container, struct bytes bytes, struct error *err)
{
    const double most = container->limits->value[LIMIT_CAP_ZIP_ENTRIES];
    if (claims_too_many(bytes, (uint64_t)most)) {
        return error_set(err, ERROR_TOO_LARGE,
                         "%s: holds more than %.0f files; pack them into several", container->file,
                         most);
    }
    zip_error_t error;
    zip_error_init(&error);
    container->packed_bytes = bytes.size;
    container->zip = open_with(bytes, ZIP_CHECKCONS, &error);
    if (container->zip == NULL && zip_error_code_zip(&error) != ZIP_ER_NOZIP) {
        /* One entry that doesn't agree with the table of contents must not hide the others: each
         * is still checked by its own size and checksum.  A name that stands twice is a fault to
         * the library; here it is told with the entry. */
        container->is_odd = zip_error_code_zip(&error) != ZIP_ER_EXISTS;
        zip_error_fini(&error);
        zip_error_init(&error);
        container->zip = open_with(bytes, 0, &error);
    }
    const bool opened = container->zip != NULL || refuse_zip(container->file, &error, err);
    zip_error_fini(&error);
    if (!opened) {
        return false;
    }
    const zip_int64_t count = zip_get_num_entries(container->zip, 0);
    container->count = count < 0 ? 0 : (zip_uint64_t)count;
    return has_files(container, err);
}

bool container_open(struct arena *arena, struct bytes bytes, const char *file,
                    const struct limits *limits, struct container **out, struct error *err)
{
    struct container *container = ARENA_ARRAY(arena, struct container, 1);
    struct error inner = { 0 };
    *container = (struct container){ .file = text_clean(arena, file, strlen(file)),
                                     .limits = limits,
                                     .count = 1 };
    *out = NULL;
    if (!files_gunzip(arena, bytes, (size_t)limits->value[LIMIT_CAP_FILE_BYTES], &container->plain,
                      &container->damage, &inner)) {
        return error_set(err, inner.kind, "%s: %s", container->file, inner.message);
    }
    if (begins_as_zip(container->plain) && !open_zip(container, container->plain, err)) {
        container_close(container);
        return false;
    }
    *out = container;
    return true;
}

void container_close(struct container *container)
{
    if (container != NULL && container->zip != NULL) {
        zip_discard(container->zip);
        container->zip = NULL;
    }
}

/* ---- one entry ---- */

/* "rides.zip: june/ride.fit"; the end of a very long name, where its own part is. */
static const char *entry_name(const struct container *container, struct arena *arena,
                              zip_uint64_t i)
{
    static const size_t MOST = 160;
    const char *raw = raw_name(container, i);
    if (raw[0] == '\0') {
        return arena_format(arena, "%s: file %llu", container->file, (unsigned long long)i + 1);
    }
    const char *name = text_clean(arena, raw, strlen(raw));
    const size_t length = strlen(name);
    if (length > MOST) {
        name += length - MOST;
        while (((unsigned char)*name & 0xC0) == 0x80) {
            name++;
        }
        return arena_format(arena, "%s: ...%s", container->file, name);
    }
    return arena_format(arena, "%s: %s", container->file, name);
}

/* The most that the entry may unpack to. */
static size_t room_of(const struct container *container, const zip_stat_t *stat)
{
    const double *value = container->limits->value;
    const size_t whole = (size_t)value[LIMIT_CAP_FILE_BYTES];
    const bool sized =
        (stat->valid & ZIP_STAT_COMP_SIZE) != 0 && stat->comp_size < container->packed_bytes;
    const size_t packed = sized ? (size_t)stat->comp_size : container->packed_bytes;
    const double by_ratio =
        (double)packed * value[LIMIT_CAP_ZIP_RATIO] + value[LIMIT_CAP_ZIP_FREE_BYTES];
    return by_ratio < (double)whole ? (size_t)by_ratio : whole;
}

static bool refuse_large(struct container_entry *entry, size_t room)
{
    return error_set(&entry->error, ERROR_TOO_LARGE,
                     "%s: unpacks to more than %zu MB, far more than its packed bytes warrant; is "
                     "it a recording?",
                     entry->name, room / 1000000u);
}

/* Whether it can be unpacked at all, by what the table of contents says of it. */
static bool can_unpack(struct container_entry *entry, const zip_stat_t *stat, size_t room)
{
    if ((stat->valid & ZIP_STAT_ENCRYPTION_METHOD) != 0 && stat->encryption_method != ZIP_EM_NONE) {
        return error_set(&entry->error, ERROR_INPUT,
                         "%s: is locked with a password; unpack it and give the file itself",
                         entry->name);
    }
    if ((stat->valid & ZIP_STAT_COMP_METHOD) != 0 && stat->comp_method != ZIP_CM_STORE &&
        stat->comp_method != ZIP_CM_DEFLATE) {
        return error_set(&entry->error, ERROR_INPUT,
                         "%s: is packed by a method that isn't read (%u); unpack it and give the "
                         "file itself",
                         entry->name, stat->comp_method);
    }
    if ((stat->valid & ZIP_STAT_SIZE) != 0 && stat->size > room) {
        return refuse_large(entry, room);
    }
    return true;
}

/* What a fault of an entry's packed bytes is called. */
static const char *fault_of(const zip_error_t *error)
{
    switch (zip_error_code_zip(error)) {
    case ZIP_ER_CRC: return "its checksum in the zip is wrong";
    case ZIP_ER_INCONS: return "its size in the zip is wrong";
    case ZIP_ER_EOF: return "its end is missing in the zip";
    default: break;
    }
    return "its packed bytes are damaged";
}

/* Unpacks up to `room` bytes; what came before a fault is kept, and the fault told. */
static bool unpack(zip_file_t *packed, struct arena *arena, size_t expected, size_t room,
                   struct container_entry *entry)
{
    static const size_t STEP = 64u * 1024u;
    size_t capacity = expected < room ? expected + 1 : room + 1;
    uint8_t *bytes = arena_alloc(arena, capacity, 1);
    size_t size = 0;
    for (;;) {
        if (size == capacity) {
            const size_t wider = capacity < STEP ? STEP : capacity * 2;
            uint8_t *moved = arena_alloc(arena, wider < room + 1 ? wider : room + 1, 1);
            memcpy(moved, bytes, size);
            bytes = moved;
            capacity = wider < room + 1 ? wider : room + 1;
        }
        const zip_int64_t got = zip_fread(packed, bytes + size, capacity - size);
        if (got < 0) {
            entry->damage = fault_of(zip_file_get_error(packed));
            break;
        }
        if (got == 0) {
            break;
        }
        size += (size_t)got;
        if (size > room) {
            return refuse_large(entry, room);
        }
    }
    entry->bytes = (struct bytes){ bytes, size };
    return true;
}

/* A gzip inside the zip; no zip inside it. */
static bool unwrap(struct container *container, struct arena *arena, size_t room,
                   struct container_entry *entry)
{
    const struct bytes packed = entry->bytes;
    const char *damage = NULL;
    struct error inner = { 0 };
    entry->bytes = (struct bytes){ 0 };
    if (!files_gunzip(arena, packed, room, &entry->bytes, &damage, &inner)) {
        return error_set(&entry->error, inner.kind, "%s: %s", entry->name, inner.message);
    }
    entry->damage = entry->damage == NULL ? damage : entry->damage;
    container->total += packed.size + (entry->bytes.at == packed.at ? 0 : entry->bytes.size);
    if (begins_as_zip(entry->bytes)) {
        entry->bytes = (struct bytes){ 0 };
        return error_set(&entry->error, ERROR_INPUT,
                         "%s: is a zip inside the zip; unpack it and give it alone", entry->name);
    }
    return true;
}

static bool refuse_entry(const struct container *container, struct container_entry *entry)
{
    return error_set(&entry->error, ERROR_INPUT, "%s: can't be unpacked, %s; pack it again",
                     entry->name, fault_of(zip_get_error(container->zip)));
}

static bool read_entry(struct container *container, struct arena *arena, zip_uint64_t i,
                       struct container_entry *entry)
{
    zip_stat_t stat;
    zip_stat_init(&stat);
    if (zip_stat_index(container->zip, i, 0, &stat) != 0) {
        return refuse_entry(container, entry);
    }
    const size_t whole = (size_t)container->limits->value[LIMIT_CAP_FILE_BYTES];
    const size_t room = room_of(container, &stat);
    if (!can_unpack(entry, &stat, room)) {
        return false;
    }
    zip_file_t *packed = zip_fopen_index(container->zip, i, 0);
    if (packed == NULL) {
        return refuse_entry(container, entry);
    }
    const size_t expected = (stat.valid & ZIP_STAT_SIZE) != 0 ? (size_t)stat.size : 0;
    const bool unpacked = unpack(packed, arena, expected, room, entry);
    zip_fclose(packed);
    /* The library looks at the checksum, but lets another size pass. */
    if (unpacked && entry->damage == NULL && entry->bytes.size != expected &&
        (stat.valid & ZIP_STAT_SIZE) != 0) {
        entry->damage = "its size in the zip is wrong";
    }
    return unpacked && unwrap(container, arena, whole, entry);
}

static bool next_of_zip(struct container *container, struct arena *arena,
                        struct container_entry *entry)
{
    while (container->next < container->count &&
           is_passed_over(raw_name(container, container->next))) {
        container->next++;
    }
    if (container->next >= container->count) {
        return false;
    }
    const zip_uint64_t i = container->next++;
    const double most = container->limits->value[LIMIT_CAP_ZIP_TOTAL_BYTES];
    entry->name = entry_name(container, arena, i);
    if ((double)container->total > most) {
        container->next = container->count;
        error_set(&entry->error, ERROR_TOO_LARGE,
                  "%s: and what follows was not read: the zip unpacks to more than %.0f MB",
                  entry->name, most / 1e6);
        return true;
    }
    if (!read_entry(container, arena, i, entry)) {
        entry->bytes = (struct bytes){ 0 };
    }
    if (entry->damage == NULL) {
        entry->damage = container->damage;
    }
    const char *raw = raw_name(container, i);
    if (container->is_odd) {
        entry->note = arena_format(arena,
                                   "%s: its table of contents doesn't agree with what is in it; "
                                   "what can be read, is.",
                                   container->file);
        container->is_odd = false; /* once */
    } else if (raw[0] != '\0' && zip_name_locate(container->zip, raw, 0) != (zip_int64_t)i) {
        entry->note =
            arena_format(arena, "%s: stands more than once in the zip; each is read.", entry->name);
    }
    return true;
}

bool container_next(struct container *container, struct arena *arena, struct container_entry *entry)
{
    *entry = (struct container_entry){ 0 };
    if (container->zip != NULL) {
        return next_of_zip(container, arena, entry);
    }
    if (container->next == container->count) {
        return false;
    }
    container->next++;
    entry->name = container->file;
    entry->bytes = container->plain;
    entry->damage = container->damage;
    return true;
}
