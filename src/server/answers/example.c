/* server/answers/example.c: the example roster, shown and left. */
#include "server/answers/answers.h"

#include "server/routes.h"
#include "server/server.h"

#include <string.h>

bool answer_example(struct api_call *call, struct error *err)
{
    return example_show(call->server, call->arena, call->task, err);
}

/* The session of the coach's own roster, since that is shown from now on. */
bool answer_example_leave(struct api_call *call, struct error *err)
{
    struct store *own = call->server->own.store;
    struct store_state state;
    example_leave(call->server);
    if (!store_look(own, &state, err) || !store_reader(own, &call->roster, err)) {
        return false;
    }
    memcpy(call->today, state.today, sizeof call->today);
    call->today_is_own = state.today_is_own;
    call->place = store_place(own);
    const bool done = route_get_session(call, err);
    store_reader_back(own, call->roster);
    return done;
}
