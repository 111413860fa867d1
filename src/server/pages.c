/* server/pages.c: the few pages that the program writes itself. */
#include "server/pages.h"

#include "server/problem.h"

const char pages_style[] = ":root{color-scheme:light dark;font:1.125rem/1.5 Georgia,serif}"
                           "body{max-width:36rem;margin:12vh auto;padding:0 1.5rem}"
                           "h1{font-size:1.5rem;font-weight:600}"
                           "input,button{font:inherit;padding:.4rem .6rem}"
                           "label{display:block;margin:1rem 0 .25rem}"
                           "code{font-family:ui-monospace,monospace;font-size:.9em}"
                           ":focus-visible{outline:2px solid;outline-offset:2px}";

static void begin(struct text *out, const char *title)
{
    text_add_format(out,
                    "<!doctype html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n"
                    "<meta name=\"viewport\" content=\"width=device-width\">\n"
                    "<link rel=\"icon\" href=\"data:,\">\n"
                    "<link rel=\"stylesheet\" href=\"" PAGES_STYLE_PATH "\">\n"
                    "<title>%s · Plumbline</title>\n</head>\n<body>\n<main>\n<h1>%s</h1>\n",
                    title, title);
}

static void end(struct text *out)
{
    text_add(out, "</main>\n</body>\n</html>\n");
}

static void add_escaped(struct text *out, const char *words)
{
    for (const char *c = words; *c != '\0'; c++) {
        switch (*c) {
        case '<': text_add(out, "&lt;"); break;
        case '>': text_add(out, "&gt;"); break;
        case '&': text_add(out, "&amp;"); break;
        case '"': text_add(out, "&quot;"); break;
        default: text_add_bytes(out, c, 1); break;
        }
    }
}

void pages_no_way_in(struct text *out, bool was_token)
{
    begin(out, was_token ? "This address was used before" : "This browser isn't let in yet");
    text_add(out, was_token
                      ? "<p>The address that <code>plumbline serve</code> prints opens Plumbline "
                        "once, in one browser, so that nobody else who finds it gets in.</p>\n"
                      : "<p>Riders' data are for their coach alone, so Plumbline opens only by the "
                        "address that <code>plumbline serve</code> prints where it runs.</p>\n");
    text_add(out, "<p>If the browser that was let in is closed, end <code>plumbline serve</code> "
                  "and start it again: it prints a new address.</p>\n");
    end(out);
}

void pages_password(struct text *out, const char *why)
{
    begin(out, "Password");
    if (why != NULL) {
        text_add(out, "<p role=\"alert\">");
        add_escaped(out, why);
        text_add(out, "</p>\n");
    }
    text_add(out, "<form method=\"post\" action=\"/login\">\n"
                  "<label for=\"password\">The password of this roster</label>\n"
                  "<input id=\"password\" name=\"password\" type=\"password\" "
                  "autocomplete=\"current-password\" required autofocus>\n"
                  "<button>Open</button>\n</form>\n");
    end(out);
}

void pages_not_built(struct text *out)
{
    begin(out, "The page wasn't built");
    text_add(out, "<p>This Plumbline was built without its pages, so there is nothing to look at "
                  "here; the command line has everything. To build them: Node.js, then "
                  "<code>./do build</code>.</p>\n");
    end(out);
}

void pages_problem(struct text *out, int status, const char *why)
{
    begin(out, problem_title(status));
    text_add(out, "<p>");
    add_escaped(out, why);
    text_add(out, "</p>\n<p><a href=\"/\">To the beginning</a></p>\n");
    end(out);
}
