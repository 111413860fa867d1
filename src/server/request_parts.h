/* server/request_parts.h: what request.c (who may ask, pages, what is kept) and request_work.c (the
 * handlers) share. */
#ifndef SERVER_REQUEST_PARTS_H
#define SERVER_REQUEST_PARTS_H

#include "server/request.h"

/* By the kind of an error; what is the machine's trouble is logged too. */
void request_refuse_kind(struct request *request, const struct error *err);

/* Takes the answer over. */
void request_answer_kept(struct request *request, struct kept_answer *kept);

/* Under which an answer is kept: roster, day, for some the moment, and address. */
const char *request_key(const struct request *request, const struct store_state *state);

#endif
