/* coaching/words/kind_words.c: what work is called where people read it. */
#include "coaching/words/kind_words.h"

#include <string.h>

const char *words_kind(const char *name)
{
    /* Whose name isn't its word already. */
    static const struct {
        const char *name;
        const char *words;
    } rows[] = {
        { "base-test", "base test" },
        { "sweet-spot", "sweet spot" },
        { "vo2max", "VO2max" },
        { "short-vo2max", "short VO2max" },
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        if (strcmp(rows[i].name, name) == 0) {
            return rows[i].words;
        }
    }
    return name;
}
