/* server/answering.h: an answer to a read is made and kept, by a request or by a task. */
#ifndef SERVER_ANSWERING_H
#define SERVER_ANSWERING_H

#include "server/api.h"
#include "server/kept.h"
#include "server/store.h"

#define ANSWERING_BYTES_MOST (64u * 1000u * 1000u)

/* The handler of an API_READ in one transaction, on a handle of the store's: fills call->out. */
MUST_USE bool answering_make(struct store *store, const struct api_route *route,
                             struct api_call *call, struct error *err);

/* What was made, kept for others under a key (NULL = not), and held by the caller. */
struct kept_answer *answering_keep(struct kept *kept, const char *key, uint64_t generation,
                                   const struct api_call *call);

/* What a job's handler wrote, for as long as the job is told of: to be freed; NULL = nothing. */
char *answering_copy(const struct text *out);

#endif
