/* server/sessions.c: who was let in. */
#include "server/sessions.h"

#include <pthread.h>
#include <sodium.h>
#include <stdlib.h>
#include <string.h>

enum { KEY_BYTES = 32, HASH_BYTES = 32 };

struct session {
    bool is_open;
    uint8_t hash[HASH_BYTES];
    int64_t used_s;
};

struct sessions {
    pthread_mutex_t lock; /* all below */
    char token[ACCESS_KEY_SIZE];
    bool is_spent;
    int64_t idle_s;
    struct session items[SESSIONS_MOST];
    int wrong; /* passwords in a row */
    int64_t wait_until_s;
};

static void make_key(char out[ACCESS_KEY_SIZE])
{
    uint8_t bytes[KEY_BYTES];
    randombytes_buf(bytes, sizeof bytes);
    sodium_bin2hex(out, ACCESS_KEY_SIZE, bytes, sizeof bytes);
    sodium_memzero(bytes, sizeof bytes);
}

static void hash_key(const char *key, uint8_t out[HASH_BYTES])
{
    crypto_generichash(out, HASH_BYTES, (const unsigned char *)key, strlen(key), NULL, 0);
}

struct sessions *sessions_open(int64_t idle_s)
{
    struct sessions *sessions = calloc(1, sizeof *sessions);
    if (sessions == NULL || sodium_init() < 0) {
        abort();
    }
    pthread_mutex_init(&sessions->lock, NULL);
    sessions->idle_s = idle_s;
    make_key(sessions->token);
    return sessions;
}

void sessions_close(struct sessions *sessions)
{
    if (sessions != NULL) {
        pthread_mutex_destroy(&sessions->lock);
        sodium_memzero(sessions, sizeof *sessions);
        free(sessions);
    }
}

void sessions_token(const struct sessions *sessions, char out[ACCESS_KEY_SIZE])
{
    memcpy(out, sessions->token, ACCESS_KEY_SIZE);
}

/* Under the lock. */
static void begin(struct sessions *sessions, int64_t now_s, char key[ACCESS_KEY_SIZE])
{
    struct session *place = &sessions->items[0];
    for (size_t i = 0; i < SESSIONS_MOST; i++) {
        struct session *one = &sessions->items[i];
        if (!one->is_open) {
            place = one;
            break;
        }
        place = one->used_s < place->used_s ? one : place;
    }
    make_key(key);
    place->is_open = true;
    place->used_s = now_s;
    hash_key(key, place->hash);
}

bool sessions_spend(struct sessions *sessions, const char *token, int64_t now_s,
                    char key[ACCESS_KEY_SIZE])
{
    bool is_right = false;
    pthread_mutex_lock(&sessions->lock);
    if (!sessions->is_spent && strlen(token) == ACCESS_KEY_SIZE - 1 &&
        sodium_memcmp(token, sessions->token, ACCESS_KEY_SIZE - 1) == 0) {
        is_right = true;
        sessions->is_spent = true;
        begin(sessions, now_s, key);
    }
    pthread_mutex_unlock(&sessions->lock);
    return is_right;
}

void sessions_begin(struct sessions *sessions, int64_t now_s, char key[ACCESS_KEY_SIZE])
{
    pthread_mutex_lock(&sessions->lock);
    begin(sessions, now_s, key);
    pthread_mutex_unlock(&sessions->lock);
}

/* Under the lock; NULL if it is not known. */
static struct session *find(struct sessions *sessions, const char *key, int64_t now_s)
{
    uint8_t hash[HASH_BYTES];
    struct session *found = NULL;
    hash_key(key, hash);
    for (size_t i = 0; i < SESSIONS_MOST; i++) {
        struct session *one = &sessions->items[i];
        if (one->is_open && sodium_memcmp(one->hash, hash, sizeof hash) == 0) {
            found = one;
        }
    }
    if (found != NULL && sessions->idle_s > 0 && now_s - found->used_s > sessions->idle_s) {
        found->is_open = false;
        return NULL;
    }
    return found;
}

bool sessions_know(struct sessions *sessions, const char *key, int64_t now_s)
{
    pthread_mutex_lock(&sessions->lock);
    struct session *found = find(sessions, key, now_s);
    if (found != NULL) {
        found->used_s = now_s;
    }
    pthread_mutex_unlock(&sessions->lock);
    return found != NULL;
}

void sessions_end(struct sessions *sessions, const char *key)
{
    pthread_mutex_lock(&sessions->lock);
    struct session *found = key != NULL ? find(sessions, key, 0) : NULL;
    for (size_t i = 0; i < SESSIONS_MOST; i++) {
        if (key == NULL || &sessions->items[i] == found) {
            sessions->items[i].is_open = false;
        }
    }
    pthread_mutex_unlock(&sessions->lock);
}

int64_t sessions_wait_s(struct sessions *sessions, int64_t now_s)
{
    pthread_mutex_lock(&sessions->lock);
    const int64_t wait_s = sessions->wait_until_s - now_s;
    pthread_mutex_unlock(&sessions->lock);
    return wait_s > 0 ? wait_s : 0;
}

void sessions_tried(struct sessions *sessions, bool was_right, int64_t now_s)
{
    pthread_mutex_lock(&sessions->lock);
    sessions->wrong = was_right ? 0 : sessions->wrong + 1;
    int64_t wait_s = 0;
    for (int i = TRIES_FREE; i <= sessions->wrong && wait_s < TRIES_WAIT_MOST_S; i++) {
        wait_s = wait_s == 0 ? TRIES_WAIT_S : 2 * wait_s;
    }
    sessions->wait_until_s = now_s + (wait_s < TRIES_WAIT_MOST_S ? wait_s : TRIES_WAIT_MOST_S);
    pthread_mutex_unlock(&sessions->lock);
}
