/* server/assets.h: the built page, embedded by tools/embed_assets.py. */
#ifndef SERVER_ASSETS_H
#define SERVER_ASSETS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

struct asset {
    const char *path; /* "/assets/index-4f2a.js" */
    const char *type; /* "text/javascript; charset=utf-8" */
    const char *etag; /* of the bytes before packing */
    const uint8_t *gzip;
    size_t gzip_size;
    size_t size;    /* unpacked */
    bool is_hashed; /* its name changes with its bytes: it may be kept for ever */
};

/* Sorted by path; none when the page wasn't built. */
extern const struct asset asset_table[];
extern const size_t asset_count;

/* NULL if there is none of that path. */
const struct asset *asset_find(const char *path);

/* The page itself, for the addresses that it shows: NULL when it wasn't built. */
const struct asset *asset_page(void);

#endif
