/* cli/serve.c: plumbline serve: the coach's pages, in a browser on this machine. */
#include "cli/example.h"
#include "cli/roster_call.h"
#include "server/serve.h"

#include <stdlib.h>

struct serve_values {
    struct roster_values common;
    double port;
    const char *listen;
    const char *name;
    double patience_s;
    bool log_json;
};

#define ROW(field) offsetof(struct serve_values, field)

static const struct option_row options[] = {
    { "port", OPTION_NUMBER, "N", "else 8177; 0 chooses a free one", ROW(port), 0, 65535 },
    { "listen", OPTION_TEXT, "ADDRESS", "else 127.0.0.1, this machine alone; needs a password",
      ROW(listen), 0, 0 },
    { "name", OPTION_TEXT, "HOST", "how browsers call it, through TLS in front; needs a password",
      ROW(name), 0, 0 },
    { "patience", OPTION_NUMBER, "S", "seconds that slow requests are waited for; else 30",
      ROW(patience_s), 1, 600 },
    { "log-json", OPTION_FLAG, NULL, "log as JSON lines, requests among them", ROW(log_json), 0,
      0 },
    ROSTER_OPTIONS,
};

/* Who serves the usual place for the first time begins there: the page then says what to do first.
 * A roster that was named must be there, lest a slip of the pen begins another. */
static bool begin_usual_place(struct roster_call *call, const struct serve_values *values,
                              struct error *err)
{
    const char *named = getenv("PLUMBLINE_ROSTER");
    struct roster *roster = NULL;
    if (values->common.roster != NULL || (named != NULL && named[0] != '\0')) {
        return true;
    }
    const bool begun = roster_open(call->place, ROSTER_CREATE, call->now, &roster, err);
    roster_close(roster);
    return begun;
}

static bool serve(struct roster_call *call, const void *raw, struct error *err)
{
    const struct serve_values *values = raw;
    const struct serve_options wanted = { .place = call->place,
                                          .today = call->today_was_named ? call->today : NULL,
                                          .listen = values->listen,
                                          .name = values->name,
                                          .port = (int)values->port,
                                          .patience_s = (int)values->patience_s,
                                          .log_json = values->log_json,
                                          .make_example = example_make };
    struct serve *server = NULL;
    if (!begin_usual_place(call, values, err)) {
        return false;
    }
    if (!serve_open(&wanted, &server, err)) {
        return err->kind != ERROR_NOT_FOUND
                   ? false
                   : error_set(err, ERROR_NOT_FOUND,
                               "%s: there is no roster; plumbline rider add NAME begins one",
                               call->place);
    }
    text_add_format(&call->out, call->json ? "{\"address\":\"%s\"}\n" : "%s\n",
                    serve_address(server));
    const bool said = roster_call_flush(call, err);
    if (said) {
        serve_run(server);
    }
    serve_close(server);
    return said;
}

static const struct roster_work work = { .command = &command_serve,
                                         .opens_itself = true,
                                         .run = serve };

static int serve_run_command(int argc, char *const argv[])
{
    struct serve_values values = { .port = SERVE_PORT, .patience_s = SERVE_PATIENCE_S };
    return roster_call(&work, argc, argv, &values);
}

const struct command command_serve = {
    .name = "serve",
    .usage = "[options]",
    .summary = "the coach's pages, in a browser on this machine",
    .about = "Prints one address to open in a browser, and serves the roster's pages there until "
             "it is interrupted. Nothing is opened beyond this machine, and the address works "
             "once, in one browser. Rides that wait are read again meanwhile, newest first. To "
             "reach it from elsewhere: set a password (plumbline password), put TLS in front, and "
             "say with --name how browsers call it.",
    .options = options,
    .n_options = sizeof options / sizeof options[0],
    .run = serve_run_command,
};
