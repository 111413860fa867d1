/* server/assets_none.c: built without the page (-Dweb=disabled, or web/dist isn't there). */
#include "server/assets.h"

const struct asset asset_table[] = { { 0 } };
const size_t asset_count = 0;
