/* fuzz/reply.c: any text as a rider's reply. */
#include "target.h"
#include "whole.h"

#include "base/text.h"
#include "coaching/reply.h"

#include <math.h>
#include <string.h>

static void check_reply(const struct reply *reply, const char *text)
{
    struct day_answers told = answers_none();
    for (size_t i = 0; i < reply->n_understood; i++) {
        const struct reply_answer *item = &reply->understood[i];
        told.value[item->answer] = item->value;
        if (strstr(text, item->quote) == NULL) {
            fuzz_broken("what was understood is quoted", item->quote);
        }
        if (!answer_is_sound(item->answer, item->value)) {
            fuzz_broken("an answer is one that can be", item->quote);
        }
    }
    for (size_t i = 0; i < reply->n_left; i++) {
        if (strstr(text, reply->left[i].quote) == NULL) {
            fuzz_broken("what was left is quoted", reply->left[i].quote);
        }
    }
    for (int a = 0; a < ANSWERS; a++) {
        if (isnan(told.value[a]) != isnan(reply->answers.value[a])) {
            fuzz_broken("what counts is what was told", answer_row((enum answer)a)->name);
        }
    }
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    if (!text_is_utf8((const char *)data, size)) {
        return 0; /* refused before it comes so far */
    }
    struct arena *arena = arena_open();
    char *text = ARENA_ARRAY(arena, char, size + 1);
    struct reply reply = { 0 };
    if (size > 0) {
        memcpy(text, data, size);
    }
    reply_read(arena, text, &reply);
    check_reply(&reply, text);
    arena_close(arena);
    return 0;
}
