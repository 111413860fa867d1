/* cli/example.h: the example roster, for who serves it. */
#ifndef CLI_EXAMPLE_H
#define CLI_EXAMPLE_H

#include "cli/command.h"
#include "server/example.h"

/* The whole example: an example_maker. */
MUST_USE bool example_make(struct arena *arena, const char *folder,
                           const struct example_listener *listener, struct error *err);

#endif
