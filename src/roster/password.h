/* roster/password.h: the password that a roster asks for beyond its own machine.
 *
 * Only its hash is kept, as the setting "password": Argon2id at libsodium's interactive level
 * (64 MiB, two passes; RFC 9106), with its own salt and parameters in its text.  It is no change
 * that can be undone: an old password must not come back. */
#ifndef ROSTER_PASSWORD_H
#define ROSTER_PASSWORD_H

#include "roster/roster.h"

#define SETTING_PASSWORD  "password"
#define PASSWORD_SHORTEST 10
#define PASSWORD_LONGEST  200

/* words NULL takes it away.  ERROR_USAGE: too short or too long, or no UTF-8. */
MUST_USE bool password_set(struct roster *roster, const char *words, struct error *err);

/* Its hash in the arena; NULL = there is none. */
MUST_USE bool password_get(struct roster *roster, struct arena *arena, const char **hash,
                           struct error *err);

/* Takes a tenth of a second. */
bool password_is(const char *hash, const char *words);

#endif
