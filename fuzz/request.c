/* fuzz/request.c: any bytes as what a request is made of: its address, its headers, its body. */
#include "target.h"
#include "whole.h"

#include "base/text.h"
#include "server/access.h"
#include "server/body.h"
#include "server/router.h"

#include <string.h>

/* Whatever an address gives is text without control characters, and no way out of a folder. */
static void check_word(const char *word)
{
    if (!text_is_utf8(word, strlen(word))) {
        fuzz_broken("a word is UTF-8", word);
    }
    for (const char *c = word; *c != '\0'; c++) {
        if ((unsigned char)*c < 0x20u || *c == 0x7F) {
            fuzz_broken("a word has no control characters", word);
        }
    }
}

static void read_address(struct arena *arena, const char *text)
{
    struct router_address address;
    struct error err = { 0 };
    const struct api_route *route = NULL;
    struct api_words path = { 0 };
    if (!router_read(arena, text, &address, &err)) {
        if (err.message[0] == '\0') {
            fuzz_broken("a refusal says why", text);
        }
        return;
    }
    for (size_t i = 0; i < address.n_parts; i++) {
        const char *part = address.parts[i];
        check_word(part);
        if (part[0] == '\0' || strcmp(part, ".") == 0 || strcmp(part, "..") == 0) {
            fuzz_broken("a part is a name", text);
        }
    }
    for (size_t i = 0; i < address.query.n; i++) {
        check_word(address.query.items[i].name);
        check_word(address.query.items[i].value);
    }
    if (router_find(arena, api_routes, api_route_count, "GET", address.parts, address.n_parts,
                    &route, &path) == ROUTER_ROUTE &&
        !router_query_is_known(route, &address.query, &err) && err.message[0] == '\0') {
        fuzz_broken("a refusal says why", text);
    }
    (void)router_allowed(arena, api_routes, api_route_count, address.parts, address.n_parts);
}

static void read_headers(const char *text)
{
    static const struct access_rules rules = { .hosts = { "127.0.0.1:8177" },
                                               .n_hosts = 1,
                                               .origins = { "http://127.0.0.1:8177" },
                                               .n_origins = 1 };
    const struct access_headers headers = { .host = "127.0.0.1:8177",
                                            .n_hosts = 1,
                                            .origin = text,
                                            .fetch_site = text,
                                            .content_type = text,
                                            .has_body = true };
    const char *why = NULL;
    char key[ACCESS_KEY_SIZE];
    char password[40];
    if (access_check(&rules, ACCESS_WRITE, &headers, &why) == 0) {
        fuzz_broken("one text is never origin, site and type at once", text);
    }
    if (access_cookie(text, "plumbline-8177", key) && strlen(key) != ACCESS_KEY_SIZE - 1) {
        fuzz_broken("a key has its length", text);
    }
    if (access_version(text) == 0) {
        fuzz_broken("a header that is there is a version or none", text);
    }
    (void)access_etag_matches(text, "W/\"0123456789abcdef\"");
    (void)access_takes_gzip(text);
    if (access_form_password(text, password, sizeof password) && strlen(password) == 0) {
        fuzz_broken("a password is not empty", text);
    }
}

static void check_body(const struct body *body, int depth)
{
    if (depth > BODY_DEPTH_MOST) {
        fuzz_broken("depth is capped", "");
    }
    if (body->text != NULL) {
        if (!text_is_utf8(body->text, strlen(body->text))) {
            fuzz_broken("a text is UTF-8", body->text);
        }
    }
    for (size_t i = 0; i < body->n_items; i++) {
        check_body(&body->items[i], depth + 1);
    }
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    struct arena *arena = arena_open();
    const struct body *body = NULL;
    struct error err = { 0 };
    char *text = ARENA_ARRAY(arena, char, size + 1);
    if (size > 0) {
        memcpy(text, data, size);
    }
    read_address(arena, text);
    read_headers(text);
    if (body_read(arena, (struct bytes){ data, size }, &body, &err)) {
        check_body(body, 1);
    }
    arena_close(arena);
    return 0;
}
