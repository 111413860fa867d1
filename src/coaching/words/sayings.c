/* coaching/words/sayings.c: from a cause's code to its sentence. */
#include "coaching/words/sayings.h"

#include "base/text.h"
#include "coaching/words/words.h"

#include <string.h>

enum { WORDS_CAP = 4000 };

const char *sayings_find(struct arena *arena, const struct saying rows[], size_t n,
                         const struct cause *cause)
{
    for (size_t i = 0; i < n; i++) {
        if (strcmp(rows[i].code, cause->code) == 0) {
            return rows[i].say != NULL ? rows[i].say(arena, cause) : rows[i].text;
        }
    }
    return NULL;
}

static void add(struct text *text, struct causes *causes, const struct saying rows[], size_t n)
{
    for (size_t i = 0; i < causes->count; i++) {
        struct cause *cause = &causes->items[i];
        if (cause->text == NULL) {
            cause->text = sayings_find(text->arena, rows, n, cause);
        }
        if (cause->text != NULL) {
            text_add_format(text, " %s", cause->text);
        }
    }
}

void sayings_compose(struct arena *arena, struct reading *reading, const char *lead,
                     const struct saying rows[], size_t n)
{
    struct text text = text_begin(arena, WORDS_CAP);
    text_add(&text, lead);
    add(&text, &reading->cannot_because, rows, n);
    add(&text, &reading->because, rows, n);
    add(&text, &reading->settle_by, rows, n);
    reading->text = text.bytes;
}

char *sayings_whole(struct arena *arena, const struct cause *cause, const char *name)
{
    return words_whole(arena, cause_value(cause, name));
}
