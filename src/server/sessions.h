/* server/sessions.h: who was let in.
 *
 *     the printed address ──token, once──> a key in a cookie ──> every request
 *     the page of the password ───────────────┘
 *
 * Token and keys are 256 random bits.  The token is worth nothing after its first use: who finds
 * the address later (a history, a shell's log) is not let in by it.  Of a key only its hash is
 * kept; all live in memory and end with the server.  Every call may come from any thread. */
#ifndef SERVER_SESSIONS_H
#define SERVER_SESSIONS_H

#include "server/access.h"

#include <stdint.h>

#define SESSIONS_MOST 64 /* the one unused for longest gives way */

struct sessions;

/* idle_s: a key unused for so long is worth nothing; 0 = as long as the server lives. */
struct sessions *sessions_open(int64_t idle_s);
void sessions_close(struct sessions *sessions); /* NULL is accepted */

/* The token of the printed address: 64 hex digits. */
void sessions_token(const struct sessions *sessions, char out[ACCESS_KEY_SIZE]);

/* True for the token, the first time; then a key is made. */
bool sessions_spend(struct sessions *sessions, const char *token, int64_t now_s,
                    char key[ACCESS_KEY_SIZE]);

/* A key for who has proved a right to it. */
void sessions_begin(struct sessions *sessions, int64_t now_s, char key[ACCESS_KEY_SIZE]);

/* Whether a key is known; it is used now. */
bool sessions_know(struct sessions *sessions, const char *key, int64_t now_s);

/* Ends one, or all (key NULL). */
void sessions_end(struct sessions *sessions, const char *key);

/* ---- how often a password may be tried ---- */

/* Seconds to wait before the next try, 0 = none.  After TRIES_FREE wrong ones in a row, by whoever,
 * each costs twice the wait of the one before, TRIES_WAIT_MOST_S at most. */
int64_t sessions_wait_s(struct sessions *sessions, int64_t now_s);
void sessions_tried(struct sessions *sessions, bool was_right, int64_t now_s);

#define TRIES_FREE        5
#define TRIES_WAIT_S      4
#define TRIES_WAIT_MOST_S 900

#endif
