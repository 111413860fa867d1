/* server/request_parts.h: what request.c (who may ask, pages, what is kept), request_work.c (the
 * handlers) and login.c (the password) share. */
#ifndef SERVER_REQUEST_PARTS_H
#define SERVER_REQUEST_PARTS_H

#include "server/request.h"

/* By the kind of an error; what is the machine's trouble is logged too. */
void request_refuse_kind(struct request *request, const struct error *err);

/* A page that the program wrote itself. */
void request_answer_page(struct request *request, int status, const struct text *page);

/* To another address; with a key, let in by it from now on (NULL = as before). */
void request_go_to(struct request *request, const char *location, const char *key);

/* Takes the answer over. */
void request_answer_kept(struct request *request, struct kept_answer *kept);

/* What holds in the store, looked at once for a request: nothing older than its beginning. */
MUST_USE bool request_look(struct request *request, struct error *err);

/* Under which an answer is kept: roster, day, for some the moment, and address. */
const char *request_key(const struct request *request, const struct store_state *state);

#endif
