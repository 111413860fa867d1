/* server/kept.c: answers that are kept while they are true. */
#include "server/kept.h"

#include "base/files.h"

#include <pthread.h>
#include <stdatomic.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { SLOTS = 2048 }; /* a power of two, and more than are kept */

/* One slot a hash: a newcomer takes the place of who was there. */
struct slot {
    char *key; /* NULL = free */
    uint64_t generation;
    struct kept_answer *answer;
};

/* More than there are workers. */
enum { MADE_MOST = 32 };

struct kept {
    pthread_mutex_t lock;
    pthread_cond_t made;
    const char *making[MADE_MOST]; /* keys, of those who make them; NULL = free */
    struct slot slots[SLOTS];
    size_t count;
    size_t bytes;
};

struct counted {
    struct kept_answer answer; /* first: a kept_answer is where its counted is */
    atomic_int holders;
};

static void hold(struct kept_answer *answer)
{
    atomic_fetch_add(&((struct counted *)answer)->holders, 1);
}

struct kept_answer *kept_hold(struct kept_answer *answer)
{
    hold(answer);
    return answer;
}

void kept_let_go(struct kept_answer *answer)
{
    if (answer != NULL && atomic_fetch_sub(&((struct counted *)answer)->holders, 1) == 1) {
        free(answer->bytes);
        free(answer);
    }
}

struct kept *kept_open(void)
{
    struct kept *kept = calloc(1, sizeof *kept);
    if (kept == NULL) {
        abort();
    }
    pthread_mutex_init(&kept->lock, NULL);
    pthread_cond_init(&kept->made, NULL);
    return kept;
}

static void empty(struct kept *kept, struct slot *slot)
{
    if (slot->key != NULL) {
        kept->count--;
        kept->bytes -= slot->answer->size;
        kept_let_go(slot->answer);
        free(slot->key);
        *slot = (struct slot){ 0 };
    }
}

void kept_close(struct kept *kept)
{
    if (kept != NULL) {
        for (size_t i = 0; i < SLOTS; i++) {
            empty(kept, &kept->slots[i]);
        }
        pthread_cond_destroy(&kept->made);
        pthread_mutex_destroy(&kept->lock);
        free(kept);
    }
}

/* FNV-1a, 64 bits.  Source: Fowler, Noll, Vo (public note, from memory). */
static struct slot *slot_of(struct kept *kept, const char *key)
{
    uint64_t hash = 14695981039346656037u;
    for (const char *c = key; *c != '\0'; c++) {
        hash = (hash ^ (unsigned char)*c) * 1099511628211u;
    }
    return &kept->slots[(hash ^ hash >> 32) % SLOTS];
}

/* Under the lock. */
static struct kept_answer *find(struct kept *kept, const char *key, uint64_t generation)
{
    const struct slot *slot = slot_of(kept, key);
    if (slot->key == NULL || slot->generation != generation || strcmp(slot->key, key) != 0) {
        return NULL;
    }
    hold(slot->answer);
    return slot->answer;
}

struct kept_answer *kept_find(struct kept *kept, const char *key, uint64_t generation)
{
    pthread_mutex_lock(&kept->lock);
    struct kept_answer *found = find(kept, key, generation);
    pthread_mutex_unlock(&kept->lock);
    return found;
}

/* Where a key is being made, or a free place (key NULL); NULL = neither.  Under the lock. */
static const char **place_of(struct kept *kept, const char *key)
{
    for (size_t i = 0; i < MADE_MOST; i++) {
        const char *other = kept->making[i];
        if (key == NULL ? other == NULL : other != NULL && strcmp(other, key) == 0) {
            return &kept->making[i];
        }
    }
    return NULL;
}

struct kept_answer *kept_find_or_make(struct kept *kept, const char *key, uint64_t generation)
{
    pthread_mutex_lock(&kept->lock);
    struct kept_answer *found = find(kept, key, generation);
    while (found == NULL && place_of(kept, key) != NULL) {
        pthread_cond_wait(&kept->made, &kept->lock);
        found = find(kept, key, generation);
    }
    const char **place = found == NULL ? place_of(kept, NULL) : NULL;
    if (place != NULL) {
        *place = key;
    }
    pthread_mutex_unlock(&kept->lock);
    return found;
}

void kept_made(struct kept *kept, const char *key)
{
    pthread_mutex_lock(&kept->lock);
    const char **place = place_of(kept, key);
    if (place != NULL) {
        *place = NULL;
    }
    pthread_cond_broadcast(&kept->made);
    pthread_mutex_unlock(&kept->lock);
}

/* Under the lock: what is of another generation goes first, then whatever is met. */
static void make_room(struct kept *kept, uint64_t generation, size_t size)
{
    for (int all = 0; all < 2; all++) {
        for (size_t i = 0; i < SLOTS; i++) {
            if (kept->count < KEPT_ANSWERS_MOST && kept->bytes + size <= KEPT_BYTES_MOST) {
                return;
            }
            struct slot *slot = &kept->slots[i];
            if (slot->key != NULL && (all == 1 || slot->generation != generation)) {
                empty(kept, slot);
            }
        }
    }
}

static void keep(struct kept *kept, const char *key, uint64_t generation,
                 struct kept_answer *answer)
{
    char *own_key = strdup(key);
    if (own_key == NULL) {
        abort();
    }
    pthread_mutex_lock(&kept->lock);
    make_room(kept, generation, answer->size);
    struct slot *slot = slot_of(kept, key);
    empty(kept, slot);
    *slot = (struct slot){ own_key, generation, answer };
    hold(answer);
    kept->count++;
    kept->bytes += answer->size;
    pthread_mutex_unlock(&kept->lock);
}

struct kept_answer *kept_add(struct kept *kept, const char *key, uint64_t generation,
                             const char *bytes, size_t size, const char *type)
{
    char digest[65];
    struct counted *counted = calloc(1, sizeof *counted);
    char *copy = malloc(size > 0 ? size : 1);
    if (counted == NULL || copy == NULL) {
        abort();
    }
    struct kept_answer *answer = &counted->answer;
    memcpy(copy, bytes, size);
    answer->bytes = copy;
    answer->size = size;
    answer->type = type;
    atomic_init(&counted->holders, 1);
    files_sha256((struct bytes){ (const uint8_t *)bytes, size }, digest);
    snprintf(answer->etag, sizeof answer->etag, "W/\"%.16s\"", digest);
    if (key != NULL && size <= KEPT_BYTES_MOST / 8) {
        keep(kept, key, generation, answer);
    }
    return answer;
}
