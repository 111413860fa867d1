/* server/access.c: whether a request may be answered at all. */
#include "server/access.h"

#include "server/router.h"

#include <stdlib.h>
#include <string.h>
#include <strings.h>

static bool is_one_of(const char *const names[], size_t n, const char *word)
{
    for (size_t i = 0; i < n; i++) {
        if (strcasecmp(names[i], word) == 0) {
            return true;
        }
    }
    return false;
}

/* The type without its parameters. */
static bool is_type(const char *header, const char *type)
{
    if (header == NULL) {
        return false;
    }
    const size_t n = strcspn(header, "; \t");
    return n == strlen(type) && strncasecmp(header, type, n) == 0;
}

static bool is_write(enum access_kind kind)
{
    return kind == ACCESS_WRITE || kind == ACCESS_FILE || kind == ACCESS_FORM;
}

static int check_site(const struct access_rules *rules, enum access_kind kind,
                      const struct access_headers *headers, const char **why)
{
    const char *site = headers->fetch_site;
    if (headers->origin == NULL ? is_write(kind)
                                : !is_one_of(rules->origins, rules->n_origins, headers->origin)) {
        *why = "this request comes from another site's page; only Plumbline's own page may ask";
        return 403;
    }
    /* A link on another site may lead to a page: without the cookie, which is not sent along. */
    if (site != NULL && kind != ACCESS_PAGE && strcmp(site, "same-origin") != 0 &&
        (is_write(kind) || strcmp(site, "none") != 0)) {
        *why = "this request comes from another site's page; only Plumbline's own page may ask";
        return 403;
    }
    return 0;
}

static int check_type(enum access_kind kind, const struct access_headers *headers, const char **why)
{
    if (kind == ACCESS_WRITE && headers->has_body &&
        !is_type(headers->content_type, "application/json")) {
        *why = "what is sent here is JSON: Content-Type: application/json";
        return 415;
    }
    if (kind == ACCESS_FILE && !is_type(headers->content_type, "application/octet-stream")) {
        *why = "a file is sent as it is: Content-Type: application/octet-stream";
        return 415;
    }
    if (kind == ACCESS_FORM &&
        !is_type(headers->content_type, "application/x-www-form-urlencoded")) {
        *why = "the password is sent by its own page";
        return 415;
    }
    return 0;
}

int access_check(const struct access_rules *rules, enum access_kind kind,
                 const struct access_headers *headers, const char **why)
{
    if (headers->n_hosts != 1 || headers->host == NULL) {
        *why = "the request names no host, or several";
        return 400;
    }
    if (!is_one_of(rules->hosts, rules->n_hosts, headers->host)) {
        *why = "the request is for another host; open the address that plumbline serve printed";
        return 421;
    }
    const int status = check_site(rules, kind, headers, why);
    return status != 0 ? status : check_type(kind, headers, why);
}

/* ---- single headers ---- */

static bool is_key(const char *text, size_t n)
{
    return n == ACCESS_KEY_SIZE - 1 && strspn(text, "0123456789abcdef") >= n;
}

/* Source: RFC 6265, section 4.2.1: pairs parted by "; ". */
bool access_cookie(const char *header, const char *name, char out[ACCESS_KEY_SIZE])
{
    const size_t length = strlen(name);
    size_t found = 0;
    for (const char *at = header; at != NULL && *at != '\0';) {
        at += strspn(at, "; \t");
        const size_t n = strcspn(at, ";");
        if (n > length && at[length] == '=' && memcmp(at, name, length) == 0) {
            const char *value = at + length + 1;
            size_t size = n - length - 1;
            while (size > 0 && (value[size - 1] == ' ' || value[size - 1] == '\t')) {
                size--;
            }
            if (!is_key(value, size)) {
                return false;
            }
            memcpy(out, value, size);
            out[size] = '\0';
            found++;
        }
        at += n;
    }
    return found == 1;
}

static const char *opaque(const char *etag)
{
    return strncmp(etag, "W/", 2) == 0 ? etag + 2 : etag;
}

bool access_etag_matches(const char *header, const char *etag)
{
    if (header == NULL || etag == NULL) {
        return false;
    }
    const char *wanted = opaque(etag);
    const size_t length = strlen(wanted);
    for (const char *at = header; *at != '\0';) {
        at += strspn(at, ", \t");
        const char *one = opaque(at);
        const size_t n = strcspn(one, ", \t");
        if ((n == 1 && one[0] == '*') || (n == length && memcmp(one, wanted, length) == 0)) {
            return true;
        }
        at = one + n;
    }
    return false;
}

long long access_version(const char *header)
{
    if (header == NULL) {
        return 0;
    }
    const size_t length = strlen(header);
    if (length < 3 || length > 20 || header[0] != '"' || header[length - 1] != '"' ||
        strspn(header + 1, "0123456789") != length - 2) {
        return -1;
    }
    const long long version = strtoll(header + 1, NULL, 10);
    return version > 0 ? version : -1;
}

long long access_wait_s(const char *header)
{
    for (const char *at = header; at != NULL && *at != '\0'; at += *at == ',' ? 1 : 0) {
        at += strspn(at, ", \t");
        if (strncasecmp(at, "wait=", 5) == 0 && at[5] >= '0' && at[5] <= '9') {
            return strtoll(at + 5, NULL, 10);
        }
        at += strcspn(at, ",");
    }
    return -1;
}

bool access_takes_gzip(const char *header)
{
    for (const char *at = header; at != NULL && *at != '\0';) {
        at += strspn(at, ", \t");
        const size_t n = strcspn(at, ",");
        const size_t name = strcspn(at, ",; \t");
        if (name == 4 && strncasecmp(at, "gzip", 4) == 0) {
            /* "gzip;q=0" is a no. */
            const char *q = memchr(at, '=', n);
            return q == NULL || strtod(q + 1, NULL) > 0.0;
        }
        at += n;
    }
    return false;
}

/* ---- a form ---- */

bool access_form_password(const char *body, char out[], size_t room)
{
    static const char name[] = "password=";
    size_t length = 0;
    if (strncmp(body, name, sizeof name - 1) != 0) {
        return false;
    }
    for (const char *c = body + sizeof name - 1; *c != '\0'; c++) {
        char byte = *c == '+' ? ' ' : *c;
        if (*c == '&' || length + 1 >= room) {
            return false;
        }
        if (*c == '%') {
            const int high = router_hex_digit(c[1]);
            const int low = high < 0 ? -1 : router_hex_digit(c[2]);
            if (low < 0 || high + low == 0) {
                return false;
            }
            byte = (char)(high * 16 + low);
            c += 2;
        }
        out[length++] = byte;
    }
    out[length] = '\0';
    return length > 0;
}
