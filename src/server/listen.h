/* server/listen.h: the address of this machine at which requests come. */
#ifndef SERVER_LISTEN_H
#define SERVER_LISTEN_H

#include "base/error.h"

/* Listens at an address in digits ("127.0.0.1", "::1").
 *   port         0 chooses a free one; *port gets it
 *   is_loopback  whether nobody but this machine reaches it
 * False: ERROR_USAGE (no such address), ERROR_BUSY (the port is taken), ERROR_STORAGE. */
MUST_USE bool listen_open(const char *address, int *port, int *fd, bool *is_loopback,
                          struct error *err);

#endif
