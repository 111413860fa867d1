/* cli/session.h: the acts of `plumbline session`. */
#ifndef CLI_SESSION_H
#define CLI_SESSION_H

#include "cli/acts.h"
#include "cli/roster_call.h"
#include "roster/sessions.h"

extern const struct command command_session_write;
extern const struct command command_session_list;
extern const struct command command_session_show;
extern const struct command command_session_remove;
extern const struct command command_session_card;
extern const struct command command_session_give;
extern const struct command command_session_withdraw;
extern const struct command command_session_done;
extern const struct command command_session_library;
extern const struct command command_session_keep;
extern const struct command command_session_drop;

#endif
