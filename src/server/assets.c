/* server/assets.c: the built page, found by its path. */
#include "server/assets.h"

#include <stdlib.h>
#include <string.h>

static int by_path(const void *key, const void *row)
{
    return strcmp(key, ((const struct asset *)row)->path);
}

const struct asset *asset_find(const char *path)
{
    return bsearch(path, asset_table, asset_count, sizeof asset_table[0], by_path);
}

const struct asset *asset_page(void)
{
    return asset_find("/index.html");
}
