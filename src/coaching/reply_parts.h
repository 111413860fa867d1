/* coaching/reply_parts.h: the pieces of a reply: clauses of tokens, and what asks them.
 *
 * Private to coaching/reply*.c. */
#ifndef COACHING_REPLY_PARTS_H
#define COACHING_REPLY_PARTS_H

#include "coaching/reply.h"

#define CLAUSE_TOKENS 60
#define TOKEN_BYTES   24

/* A word in lower case without accents and apostrophes, or a number. */
struct token {
    char word[TOKEN_BYTES]; /* "" for a number */
    double number;          /* NAN for a word */
    double out_of;          /* 10 in "7/10" and "7 out of 10"; NAN none */
    double up_to;           /* 8 in "7-8"; NAN none */
};

struct clause {
    struct token tokens[CLAUSE_TOKENS];
    size_t count;
    const char *quote;   /* as the rider wrote it */
    enum answer topic;   /* the question it answers by number; ANSWERS = none */
    bool is_question;    /* ends with '?' */
    bool is_joined;      /* by "and" or a comma to the one before */
    bool is_bracket;     /* begins after "(" */
    enum answer follows; /* the scale that the one before told of, if joined to it; ANSWERS */
};

struct clauses {
    struct clause *items;
    size_t count;
};

/* Cuts a reply into clauses; numbered answers get their topic's word in front. */
void reply_cut(struct arena *arena, const char *text, struct clauses *out);

/* ---- words of a clause ---- */

enum { NOWHERE = -1 };

/* True if the word is one of the list, whose words stand between blanks. */
bool word_is_in(const char *word, const char *list);

/* The first token from `from` on that is in the list; NOWHERE. */
int clause_find(const struct clause *clause, int from, const char *list);
bool clause_has(const struct clause *clause, const char *list);

/* True if token i is there, and in the list. */
bool clause_is(const struct clause *clause, int i, const char *list);

/* True if token i is a number. */
bool clause_is_number(const struct clause *clause, int i);

/* True if "no", "not", "without" and the like stand shortly before token i and reach it. */
bool clause_denies(const struct clause *clause, int i);

/* True if the clause has any such word. */
bool clause_has_denial(const struct clause *clause);

/* What a detector makes of a clause. */
enum found_state { FOUND_NOTHING, FOUND_VALUE, FOUND_UNCLEAR };

struct found {
    enum found_state state;
    double value;
    const char *why; /* of unclear */
};

struct found found_nothing(void);
struct found found_value(double value);
struct found found_unclear(const char *why);

/* The subject of the five scales that token i belongs to: the nearest, the one before if two are
 * alike; ANSWERS = none in the clause. */
enum answer clause_subject(const struct clause *clause, int i);

/* ---- detectors, one an answer ---- */

struct found reply_effort(const struct clause *clause);
struct found reply_legs(const struct clause *clause);
struct found reply_sleep(const struct clause *clause);
struct found reply_sleep_hours(const struct clause *clause);
struct found reply_stress(const struct clause *clause);
struct found reply_soreness(const struct clause *clause);
struct found reply_fan(const struct clause *clause);
struct found reply_hot(const struct clause *clause);
struct found reply_temperature(const struct clause *clause);
struct found reply_dehydrated(const struct clause *clause);
struct found reply_drink(const struct clause *clause);
struct found reply_caffeine(const struct clause *clause);
struct found reply_ill(const struct clause *clause);
struct found reply_hard_before(const struct clause *clause);

/* Chest pain, fainting, palpitations, breathlessness: not denied. */
bool reply_is_alarm(const struct clause *clause);

#endif
