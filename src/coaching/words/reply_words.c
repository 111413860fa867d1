/* coaching/words/reply_words.c: what is said of a rider's reply. */
#include "coaching/words/words.h"

char *words_reply_alarm(struct arena *arena, const char *quote)
{
    return arena_format(arena,
                        "The rider writes \"%s\". Ask about it: with chest pain, fainting, "
                        "palpitations or undue breathlessness nothing hard until a doctor has seen "
                        "the rider.",
                        quote);
}
