/* server/log.h: what the server says on stderr: words, or one JSON object a line (--log-json).
 *
 * Ids and patterns, never names, queries, tokens or keys: a log may be shown to others. */
#ifndef SERVER_LOG_H
#define SERVER_LOG_H

#include <stdbool.h>

/* Once, before threads are. */
void log_begin(bool as_json);

void log_error(const char *format, ...) __attribute__((format(printf, 1, 2)));
void log_info(const char *format, ...) __attribute__((format(printf, 1, 2)));

/* A request that was answered; only said as JSON.
 *   pattern   of its route, or "page", "asset", "-" */
void log_request(const char *method, const char *pattern, int status, double ms);

#endif
