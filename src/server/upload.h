/* server/upload.h: a file that comes with a request, streamed to disk without a name: when the
 * program ends, however it ends, it is gone. */
#ifndef SERVER_UPLOAD_H
#define SERVER_UPLOAD_H

#include "server/api.h"

/* Beside the roster, where there is room and nobody else looks; in TMPDIR for a server's. */
MUST_USE bool upload_open(const char *place, struct api_upload *out, struct error *err);

/* ERROR_TOO_LARGE past most bytes, ERROR_STORAGE when the disk is full. */
MUST_USE bool upload_add(struct api_upload *upload, const char *bytes, size_t n, int64_t most,
                         struct error *err);

/* Back to its beginning. */
MUST_USE bool upload_rewind(struct api_upload *upload, struct error *err);

#endif
