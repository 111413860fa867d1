/* recording/damage_words.c: numbers in the lines that say what is wrong with a file's bytes. */
#include "recording/damage_words.h"

#include <stdio.h>

const char *damage_grouped(struct arena *arena, size_t number)
{
    char digits[32];
    char text[48];
    const int n = snprintf(digits, sizeof digits, "%zu", number);
    size_t k = 0;
    for (int i = 0; i < n; i++) {
        if (i > 0 && (n - i) % 3 == 0) {
            text[k++] = ',';
        }
        text[k++] = digits[i];
    }
    text[k] = '\0';
    return arena_string(arena, text);
}

const char *damage_duration(struct arena *arena, int64_t seconds)
{
    return seconds < 120 ? arena_format(arena, "%lld s", (long long)seconds)
                         : arena_format(arena, "%lld min", (long long)((seconds + 30) / 60));
}
