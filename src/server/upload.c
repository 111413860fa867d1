/* server/upload.c: a file that comes with a request. */
#include "server/upload.h"

#include "server/store.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

/* Beside the roster, where there is room for it. */
static const char *upload_folder(struct arena *arena, const char *place)
{
    const char *beside = store_folder(arena, place);
    const char *temporary = getenv("TMPDIR");
    if (beside != NULL) {
        return beside;
    }
    return temporary != NULL && temporary[0] != '\0' ? temporary : "/tmp";
}

bool upload_open(const char *place, struct api_upload *out, struct error *err)
{
    struct arena *arena = arena_open();
    const char *folder = upload_folder(arena, place);
    *out = (struct api_upload){ 0 };
    out->fd = open(folder, O_TMPFILE | O_RDWR | O_CLOEXEC, 0600);
    if (out->fd < 0 && (errno == EOPNOTSUPP || errno == EISDIR || errno == EINVAL)) {
        /* A file system that knows no files without a name: one whose name goes at once. */
        char *path = arena_format(arena, "%s/.plumbline-upload-XXXXXX", folder);
        out->fd = mkostemp(path, O_CLOEXEC);
        if (out->fd >= 0) {
            unlink(path);
        }
    }
    const int cause = errno;
    arena_close(arena);
    return out->fd >= 0 ||
           error_set(err, ERROR_STORAGE, "the file can't be taken: %s", strerror(cause));
}

bool upload_add(struct api_upload *upload, const char *bytes, size_t n, int64_t most,
                struct error *err)
{
    if ((int64_t)n > most - upload->size) {
        return error_set(err, ERROR_TOO_LARGE,
                         "the file is larger than %lld MB; is it one recording?",
                         (long long)most / 1000000);
    }
    while (n > 0) {
        const ssize_t put = write(upload->fd, bytes, n);
        if (put < 0 && errno == EINTR) {
            continue;
        }
        if (put <= 0) {
            return error_set(err, ERROR_STORAGE, "the file can't be taken: %s",
                             strerror(put < 0 ? errno : ENOSPC));
        }
        bytes += put;
        n -= (size_t)put;
        upload->size += put;
    }
    return true;
}

bool upload_rewind(struct api_upload *upload, struct error *err)
{
    return lseek(upload->fd, 0, SEEK_SET) == 0 ||
           error_set(err, ERROR_STORAGE, "the file can't be taken: %s", strerror(errno));
}
