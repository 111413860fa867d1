/* cli/plain.c: a page for a terminal without UTF-8. */
#include "cli/plain.h"

#include <langinfo.h>
#include <locale.h>
#include <string.h>
#include <utf8proc.h>

enum { LETTERS_MOST = 18 }; /* the longest compatibility decomposition, U+FDFA */

bool plain_locale_is_utf8(void)
{
    const locale_t user = newlocale(LC_CTYPE_MASK, "", (locale_t)0);
    if (user == (locale_t)0) {
        return false; /* a locale that isn't installed: the machine falls back to "C" */
    }
    const bool is_utf8 = strcmp(nl_langinfo_l(CODESET, user), "UTF-8") == 0;
    freelocale(user);
    return is_utf8;
}

static const char *mark_in_words(utf8proc_int32_t point)
{
    static const struct {
        utf8proc_int32_t point;
        const char *words;
    } marks[] = {
        { 0x00B1, "+/-" }, { 0x00B0, "deg" }, { 0x00D7, "x" },  { 0x2013, "-" },  { 0x2014, "-" },
        { 0x2019, "'" },   { 0x2212, "-" },   { 0x2264, "<=" }, { 0x2265, ">=" },
    };
    for (size_t i = 0; i < sizeof marks / sizeof marks[0]; i++) {
        if (marks[i].point == point) {
            return marks[i].words;
        }
    }
    return NULL;
}

static void add_point(struct text *out, utf8proc_int32_t point)
{
    const char *words = mark_in_words(point);
    if (words != NULL) {
        text_add(out, words);
        return;
    }
    utf8proc_int32_t letters[LETTERS_MOST] = { 0 };
    int boundary = 0;
    const utf8proc_ssize_t n = utf8proc_decompose_char(
        point, letters, LETTERS_MOST, UTF8PROC_DECOMPOSE | UTF8PROC_COMPAT | UTF8PROC_STRIPMARK,
        &boundary);
    for (utf8proc_ssize_t i = 0; i < n && i < LETTERS_MOST; i++) {
        const char letter = letters[i] < 0x80 ? (char)letters[i] : '?';
        text_add_bytes(out, &letter, 1);
    }
}

/* Where a line's words begin: behind its label, if it has one ("    because     the words"). */
static size_t words_begin(const char *line, size_t length)
{
    enum { LABELS_END = 20 };
    size_t begins = 0;
    while (begins < length && line[begins] == ' ') {
        begins++;
    }
    for (size_t i = begins; i + 2 < length && i < LABELS_END; i++) {
        if (line[i] == ' ' && line[i + 1] == ' ') {
            while (i < length && line[i] == ' ') {
                i++;
            }
            return i;
        }
    }
    return begins;
}

static void add_line(struct text *out, const char *line, size_t length, size_t width)
{
    const size_t indent = words_begin(line, length);
    size_t before = 0; /* columns that stand before `line` */
    while (before + length > width) {
        size_t cut = width - before;
        const size_t least = before > 0 ? 0 : indent;
        while (cut > least && line[cut] != ' ') {
            cut--;
        }
        if (cut <= least) {
            break; /* one long word */
        }
        text_add_bytes(out, line, cut);
        text_add_format(out, "\n%*s", (int)indent, "");
        line += cut + 1;
        length -= cut + 1;
        before = indent;
    }
    text_add_bytes(out, line, length);
}

struct text plain_page(struct arena *arena, const char *page, size_t width)
{
    const size_t length = strlen(page);
    struct text letters = text_begin(arena, 4 * length + 64);
    const char *at = page;
    const char *end = page + length;
    while (at < end) {
        utf8proc_int32_t point = 0;
        const utf8proc_ssize_t used =
            utf8proc_iterate((const utf8proc_uint8_t *)at, end - at, &point);
        if (used <= 0) {
            text_add(&letters, "?");
            at++;
        } else if (used == 1) {
            text_add_bytes(&letters, at++, 1);
        } else {
            add_point(&letters, point);
            at += used;
        }
    }
    struct text out = text_begin(arena, 8 * length + 64);
    for (const char *line = letters.bytes; *line != '\0';) {
        const size_t bytes = strcspn(line, "\n");
        add_line(&out, line, bytes, width);
        line += bytes;
        if (*line == '\n') {
            text_add(&out, "\n");
            line++;
        }
    }
    return out;
}
