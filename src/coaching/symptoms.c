/* coaching/symptoms.c: words in a rider's note that somebody should ask about. */
#include "coaching/symptoms.h"

#include "base/text.h"

#include <stdbool.h>
#include <stddef.h>
#include <string.h>

/* A clause as words parted by single blanks, with one before the first and after the last, so that
 * a phrase is found with strstr(" phrase ").  Apostrophes are dropped ("can't" = "cant"). */
enum { NOTE_MOST = 24000, CLAUSE_MOST = 2000 };

/* "Ill" typed for "I'll"; weather, and what is drunk cold. */
#define NOT_ILL                                                                                    \
    " be ride do go try see take get have send start keep rest skip test call email let look "     \
    "need "                                                                                        \
    "make use come write tell "
#define NOT_A_COLD                                                                                 \
    " ride start day morning shower drink wind beer evening night front snap water bottle room "   \
    "garage descent "

/* A phrase; a '*' stands for any ending.  `not_before`: words that may not follow it. */
static const struct {
    enum symptom symptom;
    const char *phrase;
    const char *not_before;
} phrases[] = {
    { SYMPTOM_CHEST, "chest", " strap straps belt band sensor monitor hrm mount cold infection " },
    { SYMPTOM_CHEST, "angina", NULL },
    { SYMPTOM_HEART, "palpitation*", NULL },
    { SYMPTOM_HEART, "arrhythmia*", NULL },
    { SYMPTOM_HEART, "irregular heart*", NULL },
    { SYMPTOM_HEART, "heart racing", NULL },
    { SYMPTOM_HEART, "heart was racing", NULL },
    { SYMPTOM_HEART, "heart raced", NULL },
    { SYMPTOM_HEART, "racing heart*", NULL },
    { SYMPTOM_HEART, "heart flutter*", NULL },
    { SYMPTOM_HEART, "heart was flutter*", NULL },
    { SYMPTOM_HEART, "flutter*", NULL },
    { SYMPTOM_HEART, "heart skip*", NULL },
    { SYMPTOM_HEART, "heart was skip*", NULL },
    { SYMPTOM_HEART, "skipped a beat", NULL },
    { SYMPTOM_HEART, "skipped beat*", NULL },
    { SYMPTOM_HEART, "skipping beats", NULL },
    { SYMPTOM_FAINT, "dizz*", NULL },
    { SYMPTOM_FAINT, "giddy", NULL },
    { SYMPTOM_FAINT, "faint", NULL },
    { SYMPTOM_FAINT, "fainted", NULL },
    { SYMPTOM_FAINT, "fainting", NULL },
    { SYMPTOM_FAINT, "light head*", NULL },
    { SYMPTOM_FAINT, "lighthead*", NULL },
    { SYMPTOM_FAINT, "passed out", NULL },
    { SYMPTOM_FAINT, "pass out", NULL },
    { SYMPTOM_FAINT, "passing out", NULL },
    { SYMPTOM_FAINT, "black* out", NULL },
    { SYMPTOM_FAINT, "blackout*", NULL },
    { SYMPTOM_FAINT, "collapsed", NULL },
    { SYMPTOM_FAINT, "lost consciousness", NULL },
    { SYMPTOM_BREATH, "breathless*", NULL },
    { SYMPTOM_BREATH, "short of breath", NULL },
    { SYMPTOM_BREATH, "shortness of breath", NULL },
    { SYMPTOM_BREATH, "cant breathe", NULL },
    { SYMPTOM_BREATH, "couldnt breathe", NULL },
    { SYMPTOM_BREATH, "could not breathe", NULL },
    { SYMPTOM_BREATH, "could hardly breathe", NULL },
    { SYMPTOM_BREATH, "struggl* to breathe", NULL },
    { SYMPTOM_BREATH, "struggl* for breath", NULL },
    { SYMPTOM_BREATH, "trouble breathing", NULL },
    { SYMPTOM_BREATH, "hard to breathe", NULL },
    { SYMPTOM_BREATH, "wheez*", NULL },
    { SYMPTOM_FEVER, "fever*", NULL },
    { SYMPTOM_FEVER, "a temperature", " of sensor " },
    { SYMPTOM_FEVER, "high temperature", NULL },
    { SYMPTOM_FEVER, "chills", NULL },
    { SYMPTOM_FEVER, "the shivers", NULL },
    { SYMPTOM_ILL, "ill", NOT_ILL },
    { SYMPTOM_ILL, "illness", NULL },
    { SYMPTOM_ILL, "sick", " of ride view day descent " },
    { SYMPTOM_ILL, "unwell", NULL },
    { SYMPTOM_ILL, "poorly", NULL },
    { SYMPTOM_ILL, "flu", NULL },
    { SYMPTOM_ILL, "covid*", NULL },
    { SYMPTOM_ILL, "infection", NULL },
    { SYMPTOM_ILL, "antibiotic*", NULL },
    { SYMPTOM_ILL, "sore throat", NULL },
    { SYMPTOM_ILL, "scratchy throat", NULL },
    { SYMPTOM_ILL, "cough*", NULL },
    { SYMPTOM_ILL, "chest cold", NULL },
    { SYMPTOM_ILL, "head cold", NULL },
    { SYMPTOM_ILL, "bad cold", NOT_A_COLD },
    { SYMPTOM_ILL, "caught a cold", NULL },
    { SYMPTOM_ILL, "have a cold", NOT_A_COLD },
    { SYMPTOM_ILL, "had a cold", NOT_A_COLD },
    { SYMPTOM_ILL, "ive a cold", NULL },
    { SYMPTOM_ILL, "got a cold", NOT_A_COLD },
    { SYMPTOM_ILL, "getting a cold", NULL },
    { SYMPTOM_ILL, "with a cold", NOT_A_COLD },
    { SYMPTOM_ILL, "vomit*", NULL },
    { SYMPTOM_ILL, "threw up", NULL },
    { SYMPTOM_ILL, "throwing up", NULL },
    { SYMPTOM_ILL, "stomach bug", NULL },
    { SYMPTOM_ILL, "diarrh*", NULL },
    { SYMPTOM_FALL, "crash", NULL },
    { SYMPTOM_FALL, "crashed", NULL },
    { SYMPTOM_FALL, "fell off", NULL },
    { SYMPTOM_FALL, "hit my head", NULL },
    { SYMPTOM_FALL, "concuss*", NULL },
};

/* What turns the words after it round, within so many words. */
static const char *const denials[] = { "no",    "not",    "never", "without", "nor",
                                       "wasnt", "didnt",  "isnt",  "hasnt",   "havent",
                                       "dont",  "doesnt", "werent" };
enum { DENIAL_REACH = 3 };

static bool is_one_of(const char *word, size_t length, const char *const list[], size_t n)
{
    for (size_t i = 0; i < n; i++) {
        if (strlen(list[i]) == length && strncmp(list[i], word, length) == 0) {
            return true;
        }
    }
    return false;
}

/* Whether one of the few words that end before `at` denies what comes. */
static bool is_denied(const char *clause, const char *at)
{
    const char *end = at; /* at the blank before the phrase */
    for (int back = 0; back < DENIAL_REACH && end > clause; back++) {
        const char *start = end - 1;
        while (*start != ' ') {
            start--;
        }
        if (is_one_of(start + 1, (size_t)(end - start - 1), denials,
                      sizeof denials / sizeof denials[0])) {
            return true;
        }
        end = start;
    }
    return false;
}

/* Past the phrase if it stands at text (which is just past a blank); NULL if it doesn't. */
static const char *phrase_end(const char *text, const char *phrase)
{
    while (*phrase != '\0') {
        if (*phrase == '*') {
            while (*text != ' ') {
                text++;
            }
        } else if (*phrase != *text) {
            return NULL;
        } else {
            text++;
        }
        phrase++;
    }
    return *text == ' ' ? text : NULL;
}

static bool may_follow(const char *end, const char *not_before)
{
    if (not_before == NULL || end[1] == '\0') {
        return true;
    }
    char word[32] = " ";
    size_t n = 1;
    while (end[n] != ' ' && end[n] != '\0' && n + 2 < sizeof word) {
        word[n] = end[n];
        n++;
    }
    word[n] = ' ';
    word[n + 1] = '\0';
    return strstr(not_before, word) == NULL;
}

static unsigned in_clause(const char *clause)
{
    unsigned found = 0;
    for (const char *at = clause; *at != '\0'; at++) {
        for (size_t i = 0; *at == ' ' && i < sizeof phrases / sizeof phrases[0]; i++) {
            const char *end = phrase_end(at + 1, phrases[i].phrase);
            if (end != NULL && may_follow(end, phrases[i].not_before) && !is_denied(clause, at)) {
                found |= phrases[i].symptom;
            }
        }
    }
    return found;
}

static bool ends_clause(unsigned char c)
{
    return strchr(".,;:!?()\n\r", (int)c) != NULL;
}

static bool is_letter(unsigned char c)
{
    return (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9') || c >= 0x80;
}

/* Bytes of an apostrophe, typed or a phone's (U+2019); 0 if there is none. */
static size_t apostrophe_at(const char *at)
{
    static const char curly[] = "\xE2\x80\x99";
    return *at == '\'' ? 1 : strncmp(at, curly, sizeof curly - 1) == 0 ? sizeof curly - 1 : 0;
}

/* The next clause of folded text, as above; moves *at past it.  False at the text's end. */
static bool next_clause(const char **at, char clause[CLAUSE_MOST])
{
    size_t n = 0;
    clause[n++] = ' ';
    const bool more = **at != '\0';
    for (bool ended = !more; !ended; (*at)++) {
        const unsigned char c = (unsigned char)**at;
        const size_t apostrophe = apostrophe_at(*at);
        /* "but" turns round what was denied; a clause too long is cut between words */
        const bool is_but = strncmp(*at, "but ", 4) == 0 && clause[n - 1] == ' ' && n > 1;
        const bool is_full = n + 3 > CLAUSE_MOST || (n + 40 > CLAUSE_MOST && !is_letter(c));
        if (c == '\0' || is_but || is_full) {
            break;
        }
        ended = ends_clause(c);
        if (apostrophe > 0) {
            *at += apostrophe - 1;
            if (strncmp(*at + 1, "ll", 2) == 0) {
                clause[n++] = ' '; /* "I'll" isn't "ill" */
            }
        } else if (is_letter(c)) {
            clause[n++] = (char)c;
        } else if (clause[n - 1] != ' ') {
            clause[n++] = ' ';
        }
    }
    if (clause[n - 1] != ' ') {
        clause[n++] = ' ';
    }
    clause[n] = '\0';
    return more;
}

unsigned symptoms_in(const char *words)
{
    char folded[NOTE_MOST];
    char clause[CLAUSE_MOST] = { 0 };
    if (words == NULL || !text_fold(words, strlen(words), folded, sizeof folded)) {
        return 0;
    }
    unsigned found = 0;
    for (const char *at = folded; next_clause(&at, clause);) {
        found |= in_clause(clause);
    }
    return found;
}
