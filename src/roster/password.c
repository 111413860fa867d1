/* roster/password.c: the password that a roster asks for beyond its own machine. */
#include "roster/password.h"

#include "base/text.h"
#include "roster/settings.h"

#include <sodium.h>
#include <string.h>

struct password_work {
    const char *hash; /* NULL = none */
};

static bool store(struct db *db, void *context, struct error *err)
{
    const struct password_work *work = context;
    return db_run(db, "DELETE FROM setting WHERE name = $1", DB_ARGS(db_text(SETTING_PASSWORD)),
                  err) &&
           (work->hash == NULL ||
            db_run(db, "INSERT INTO setting (name, content) VALUES ($1, $2)",
                   DB_ARGS(db_text(SETTING_PASSWORD), db_text(work->hash)), err));
}

bool password_set(struct roster *roster, const char *words, struct error *err)
{
    char hash[crypto_pwhash_STRBYTES];
    struct password_work work = { 0 };
    if (words != NULL) {
        const size_t length = strlen(words);
        if (length < PASSWORD_SHORTEST || length > PASSWORD_LONGEST) {
            return error_set(err, ERROR_USAGE, "the password must have %d to %d characters",
                             PASSWORD_SHORTEST, PASSWORD_LONGEST);
        }
        if (!text_is_utf8(words, length)) {
            return error_set(err, ERROR_USAGE, "the password is not UTF-8");
        }
        if (sodium_init() < 0 ||
            crypto_pwhash_str_alg(hash, words, length, crypto_pwhash_OPSLIMIT_INTERACTIVE,
                                  crypto_pwhash_MEMLIMIT_INTERACTIVE,
                                  crypto_pwhash_ALG_ARGON2ID13) != 0) {
            return error_set(err, ERROR_INTERNAL,
                             "the password can't be hashed: 64 MB of memory "
                             "are needed");
        }
        work.hash = hash;
    }
    return db_write(roster_db(roster), store, &work, err);
}

bool password_get(struct roster *roster, struct arena *arena, const char **hash, struct error *err)
{
    return settings_get(roster, arena, SETTING_PASSWORD, hash, err);
}

bool password_is(const char *hash, const char *words)
{
    return sodium_init() >= 0 && strlen(hash) < crypto_pwhash_STRBYTES &&
           crypto_pwhash_str_verify(hash, words, strlen(words)) == 0;
}
