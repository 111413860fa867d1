/* server/answering.c: an answer to a read is made and kept, by a request or by a task. */
#include "server/answering.h"

#include <string.h>

struct reading_call {
    const struct api_route *route;
    struct api_call *call;
};

static bool read_in_one(struct db *db, void *context, struct error *err)
{
    const struct reading_call *reading = context;
    (void)db;
    /* It may be the second try. */
    reading->call->out = text_begin(reading->call->arena, ANSWERING_BYTES_MOST);
    return reading->route->handler(reading->call, err);
}

bool answering_make(struct store *store, const struct api_route *route, struct api_call *call,
                    struct error *err)
{
    struct reading_call reading = { route, call };
    if (!store_reader(store, &call->roster, err)) {
        return false;
    }
    const bool done = db_read(roster_db(call->roster), read_in_one, &reading, err);
    store_reader_back(store, call->roster);
    if (done && call->out.cut) {
        return error_set(err, ERROR_TOO_LARGE, "the answer is larger than 64 MB; ask for less");
    }
    return done;
}

struct kept_answer *answering_keep(struct kept *kept, const char *key, uint64_t generation,
                                   const struct api_call *call)
{
    return kept_add(kept, key, generation, call->out.bytes, call->out.length,
                    call->type != NULL ? call->type : "application/json");
}

char *answering_copy(const struct text *out)
{
    return out->length > 0 ? strndup(out->bytes, out->length) : NULL;
}
