/* server/login.c: the page of the password, beyond this machine. */
#include "server/login.h"

#include "base/clock.h"
#include "roster/password.h"
#include "server/pages.h"
#include "server/request_parts.h"

#include <pthread.h>
#include <sodium.h>
#include <string.h>

/* One hash at a time: each takes 64 MB. */
static pthread_mutex_t one_at_a_time = PTHREAD_MUTEX_INITIALIZER;

bool login_is_asked(const struct request *request)
{
    return !request->is_api && request->server->is_beyond && strcmp(request->method, "POST") == 0 &&
           strcmp(request->parts.path, "/login") == 0;
}

static void ask_again(struct request *request, int status, const char *why, int64_t wait_s)
{
    struct text out = text_begin(request->arena, 8000);
    pages_password(&out, why);
    request_answer_page(request, status, &out);
    request->answer.retry_after_s = (int)wait_s;
}

static void let_in(struct request *request)
{
    char key[ACCESS_KEY_SIZE];
    sessions_begin(request->server->sessions, clock_steady_s(), key);
    request_go_to(request, "/", key);
}

/* Under the lock: who waits for it has its tries counted before. */
static void try_password(struct request *request, const char *hash, const char *words)
{
    struct sessions *sessions = request->server->sessions;
    const int64_t wait_s = sessions_wait_s(sessions, clock_steady_s());
    if (wait_s > 0) {
        ask_again(request, 429,
                  arena_format(request->arena,
                               "Too many wrong passwords; wait %lld s, then try "
                               "again.",
                               (long long)wait_s),
                  wait_s);
        return;
    }
    const bool is_right = password_is(hash, words);
    sessions_tried(sessions, is_right, clock_steady_s());
    if (is_right) {
        let_in(request);
    } else {
        ask_again(request, 401, "That isn't the password.", 0);
    }
}

void login_answer(struct request *request)
{
    struct store_state state;
    struct error err = { 0 };
    char words[PASSWORD_LONGEST + 1];
    if (!store_look(request->server->own.store, &state, &err)) {
        request_refuse(request, 500, &err);
        return;
    }
    if (state.password[0] == '\0' || request->body.length == 0 ||
        !access_form_password(request->body.bytes, words, sizeof words)) {
        ask_again(request, 401, "That isn't the password.", 0);
        return;
    }
    pthread_mutex_lock(&one_at_a_time);
    try_password(request, state.password, words);
    pthread_mutex_unlock(&one_at_a_time);
    sodium_memzero(words, sizeof words);
}
