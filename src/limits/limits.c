/* limits/limits.c: the table itself is rows.def. */
#include "limits/limits.h"

#include <string.h>

static const struct limit_row rows[] = {
#define LIMIT_ROW(id, name, value, unit, lowest, highest, source, check)                           \
    { name, value, unit, lowest, highest, source, check },
#include "limits/rows.def"
#undef LIMIT_ROW
};

const struct limit_row *limits_row(enum limit_id id)
{
    return &rows[id];
}

struct limits limits_default(void)
{
    struct limits limits = { 0 };
    for (size_t i = 0; i < LIMITS_COUNT; i++) {
        limits.value[i] = rows[i].value;
    }
    return limits;
}

bool limits_find(const char *name, enum limit_id *id)
{
    for (size_t i = 0; i < LIMITS_COUNT; i++) {
        if (strcmp(rows[i].name, name) == 0) {
            *id = (enum limit_id)i;
            return true;
        }
    }
    return false;
}
