/* base/files.c: whole files in, whole files out. */
#include "base/files.h"

#include "base/files_set.h"

/* zlib then takes its input as const. */
#define ZLIB_CONST

#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <sodium.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>
#include <zlib.h>

static const size_t PIPE_STEP = 64u * 1024u;
static const size_t GZIP_STEP = 1024u * 1024u; /* zlib counts in unsigned int */
static const size_t GZIP_USUAL_RATIO = 4;

/* A pipe or a device has no size: read until it ends, up to the cap. */
static bool read_to_end(struct arena *arena, int fd, const char *path, size_t cap, size_t hint,
                        struct bytes *out, struct error *err)
{
    size_t capacity = hint > 0 ? hint + 1 : PIPE_STEP;
    uint8_t *bytes = arena_alloc(arena, capacity, 1);
    size_t size = 0;
    for (;;) {
        if (size == capacity) {
            uint8_t *wider = arena_alloc(arena, capacity * 2, 1);
            memcpy(wider, bytes, size);
            bytes = wider;
            capacity *= 2;
        }
        const ssize_t got = read(fd, bytes + size, capacity - size);
        if (got < 0 && errno == EINTR) {
            continue;
        }
        if (got < 0) {
            return error_set(err, ERROR_STORAGE, "%s: cannot be read: %s", path, strerror(errno));
        }
        if (got == 0) {
            break;
        }
        size += (size_t)got;
        if (size > cap) {
            return error_set(err, ERROR_TOO_LARGE, "%s: larger than %zu MB; is it one recording?",
                             path, cap / 1000000u);
        }
    }
    out->at = bytes;
    out->size = size;
    return true;
}

bool files_read(struct arena *arena, const char *path, size_t cap, struct bytes *out,
                struct error *err)
{
    const int fd = open(path, O_RDONLY | O_CLOEXEC);
    if (fd < 0) {
        return error_set(err, errno == EACCES ? ERROR_DENIED : ERROR_NOT_FOUND,
                         "%s: cannot be opened: %s", path, strerror(errno));
    }
    struct stat st = { 0 };
    bool ok = false;
    if (fstat(fd, &st) != 0) {
        error_set(err, ERROR_STORAGE, "%s: cannot be read: %s", path, strerror(errno));
    } else if (S_ISDIR(st.st_mode)) {
        error_set(err, ERROR_NOT_FOUND, "%s: is a folder; name a file in it", path);
    } else if (S_ISREG(st.st_mode) && (uintmax_t)st.st_size > cap) {
        error_set(err, ERROR_TOO_LARGE, "%s: larger than %zu MB; is it one recording?", path,
                  cap / 1000000u);
    } else {
        const size_t hint = S_ISREG(st.st_mode) ? (size_t)st.st_size : 0;
        ok = read_to_end(arena, fd, path, cap, hint, out, err);
    }
    close(fd);
    return ok;
}

/* What inflating gave. */
struct inflated {
    size_t size; /* of all of it, up to cap + 1; only the first `capacity` bytes were kept */
    const char *damaged;
    bool started;
};

/* Inflates all members (they may follow one another: RFC 1952 section 2.2), keeps what fits into
 * bytes [capacity] and counts the rest, until there is more than cap. */
static struct inflated inflate_into(struct bytes in, uint8_t *bytes, size_t capacity, size_t cap)
{
    uint8_t beyond[16 * 1024] = { 0 };
    struct inflated got = { 0 };
    z_stream z = { 0 };
    if (inflateInit2(&z, 15 + 16) != Z_OK) {
        return got;
    }
    got.started = true;
    size_t taken = 0;
    while (got.size <= cap) {
        const bool keeps = got.size < capacity;
        const size_t room = keeps ? capacity - got.size : sizeof beyond;
        const size_t step_in = in.size - taken > GZIP_STEP ? GZIP_STEP : in.size - taken;
        const size_t step_out = room > GZIP_STEP ? GZIP_STEP : room;
        z.next_in = in.at + taken;
        z.avail_in = (uInt)step_in;
        z.next_out = keeps ? bytes + got.size : beyond;
        z.avail_out = (uInt)step_out;
        const int status = inflate(&z, Z_NO_FLUSH);
        taken += step_in - z.avail_in;
        got.size += step_out - z.avail_out;
        if (status == Z_STREAM_END) {
            if (in.size - taken >= 2 && in.at[taken] == 0x1F && in.at[taken + 1] == 0x8B) {
                inflateReset(&z);
                continue;
            }
            break;
        }
        if (status != Z_OK && status != Z_BUF_ERROR) {
            got.damaged = "the gzip around it is damaged";
            break;
        }
        if (taken == in.size && z.avail_out > 0) {
            got.damaged = "the gzip around it ends early";
            break;
        }
    }
    inflateEnd(&z);
    return got;
}

bool files_gunzip(struct arena *arena, struct bytes in, size_t cap, struct bytes *out,
                  const char **damaged, struct error *err)
{
    *damaged = NULL;
    if (in.size < 2 || in.at[0] != 0x1F || in.at[1] != 0x8B) {
        *out = in;
        return true;
    }
    /* Recordings shrink to a third or so.  What doesn't fit is counted first and inflated again:
     * a small file that swells to the cap (a bomb) costs time but no memory. */
    size_t capacity = in.size > cap / GZIP_USUAL_RATIO ? cap : in.size * GZIP_USUAL_RATIO;
    uint8_t *bytes = arena_alloc(arena, capacity, 1);
    struct inflated got = inflate_into(in, bytes, capacity, cap);
    if (got.size > capacity && got.size <= cap) {
        capacity = got.size;
        bytes = arena_alloc(arena, capacity, 1);
        got = inflate_into(in, bytes, capacity, cap);
    }
    if (!got.started) {
        return error_set(err, ERROR_INTERNAL, "gzip: the decompressor could not start");
    }
    if (got.size > cap) {
        return error_set(err, ERROR_TOO_LARGE,
                         "the gzip holds more than %zu MB; is it one recording?", cap / 1000000u);
    }
    *damaged = got.damaged;
    out->at = bytes;
    out->size = got.size;
    return true;
}

bool files_write(const char *path, struct bytes bytes, struct error *err)
{
    /* Whoever interrupts us waits until the file is whole, and nothing is left beside it. */
    struct files_set set;
    files_set_begin(&set);
    if (!files_set_add(&set, path, bytes, err)) {
        files_set_drop(&set);
        return false;
    }
    return files_set_keep(&set, err);
}

void files_sha256(struct bytes bytes, char out[65])
{
    unsigned char digest[crypto_hash_sha256_BYTES];
    crypto_hash_sha256(digest, bytes.at, bytes.size);
    sodium_bin2hex(out, 65, digest, sizeof digest);
}
