/* server/listen.c: the address of this machine at which requests come. */
#include "server/listen.h"

#include "server/http.h"

#include <arpa/inet.h>
#include <errno.h>
#include <netinet/in.h>
#include <string.h>
#include <sys/socket.h>
#include <unistd.h>

union address {
    struct sockaddr any;
    struct sockaddr_in four;
    struct sockaddr_in6 six;
};

static bool read_address(const char *words, int port, union address *out, socklen_t *size,
                         bool *is_loopback, struct error *err)
{
    *out = (union address){ .six = { .sin6_family = AF_UNSPEC } };
    if (inet_pton(AF_INET, words, &out->four.sin_addr) == 1) {
        out->four.sin_family = AF_INET;
        out->four.sin_port = htons((uint16_t)port);
        *size = sizeof out->four;
        *is_loopback = (ntohl(out->four.sin_addr.s_addr) >> 24) == 127;
        return true;
    }
    if (inet_pton(AF_INET6, words, &out->six.sin6_addr) == 1) {
        out->six.sin6_family = AF_INET6;
        out->six.sin6_port = htons((uint16_t)port);
        *size = sizeof out->six;
        *is_loopback = IN6_IS_ADDR_LOOPBACK(&out->six.sin6_addr);
        return true;
    }
    return error_set(err, ERROR_USAGE,
                     "--listen %.60s: is no address of a machine; write digits, as 127.0.0.1",
                     words);
}

static bool fail(int fd, const char *what, struct error *err)
{
    const int cause = errno;
    if (fd >= 0) {
        close(fd);
    }
    return error_set(
        err, cause == EADDRINUSE ? ERROR_BUSY : ERROR_STORAGE, "%s: %s%s", what, strerror(cause),
        cause == EADDRINUSE ? "; name another with --port, or --port 0 for a free one" : "");
}

static int port_of(int fd)
{
    union address address = { .six = { .sin6_family = AF_UNSPEC } };
    socklen_t size = sizeof address;
    if (getsockname(fd, &address.any, &size) != 0) {
        return 0;
    }
    return ntohs(address.any.sa_family == AF_INET6 ? address.six.sin6_port : address.four.sin_port);
}

bool listen_open(const char *address, int *port, int *fd, bool *is_loopback, struct error *err)
{
    const int yes = 1;
    union address wanted;
    socklen_t size = 0;
    if (!read_address(address, *port, &wanted, &size, is_loopback, err)) {
        return false;
    }
    const int made = socket(wanted.any.sa_family, SOCK_STREAM | SOCK_CLOEXEC | SOCK_NONBLOCK, 0);
    if (made < 0) {
        return fail(made, "no socket can be had", err);
    }
    setsockopt(made, SOL_SOCKET, SO_REUSEADDR, &yes, sizeof yes);
    if (wanted.any.sa_family == AF_INET6) {
        setsockopt(made, IPPROTO_IPV6, IPV6_V6ONLY, &yes, sizeof yes);
    }
    if (bind(made, &wanted.any, size) != 0 || listen(made, HTTP_CONNECTIONS_MOST) != 0) {
        return fail(made, "the port can't be had", err);
    }
    *port = port_of(made);
    *fd = made;
    return true;
}
