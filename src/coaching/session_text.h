/* coaching/session_text.h: a session in plain words, and back.
 *
 * One line a block; parts with commas between, in the order in which they are ridden:
 *
 *     15 min at 50-65 %, then 5 times (4 min at 106-112 %, 4 min at 50 %), 10 min at 45 %
 *
 *     part     4 min at 106-112 % with 90-100 rpm "stay seated"
 *              how long, at what, how fast the legs, words for the rider: all but the first may
 * lack how long 90 s, 4 min, 1 h 30 min, until the button at what  at 106-112 % (of threshold), at
 * 200-220 W, at 130-145 bpm, at 65-75 % of maximal heart rate, at effort 3-4 (of 10, by feel), all
 * out, rising from 40 to 140 % (a step each minute) again    5 times (...), one in another where
 * that is needed before   warm up, rest, cool down: "cool down 10 min at 45 %" lines    plan B over
 * 26 C: 60 min at 50-60 % note: drink before you are thirsty
 *
 * docs/sessions.md says it at length.  What isn't understood is pointed at, with what was probably
 * meant.  For every session session_write's text reads back as the same session. */
#ifndef COACHING_SESSION_TEXT_H
#define COACHING_SESSION_TEXT_H

#include "base/text.h"
#include "coaching/session.h"

/* Where reading stopped, and why. */
struct session_fault {
    size_t line;         /* from 1 */
    size_t column;       /* from 1, in letters */
    size_t letters;      /* that are meant; at least 1 */
    const char *text;    /* the line as it was given, blanks at its ends left out of nothing */
    const char *why;     /* "\"mins\" isn't understood" */
    const char *instead; /* what was probably meant, or may stand there; NULL = nothing to say */
};

/* Everything in the arena.  False: *fault says where and why. */
bool session_read(struct arena *arena, const char *text, struct session *out,
                  struct session_fault *fault);

/* The fault in one line: "line 1, column 8: \"mins\" isn't understood; did you mean min?". */
const char *session_fault_words(struct arena *arena, const struct session_fault *fault);

/* The line, and under it a caret at what is meant; `columns` wide at most. */
const char *session_fault_shown(struct arena *arena, const struct session_fault *fault,
                                size_t columns);

/* The session as text, a line a block, the last without a line's end. */
const char *session_write(struct arena *arena, const struct session *session);

/* One step: "4 min at 106-112 %". */
void session_write_step(struct text *out, const struct session_step *step);

/* "90 s", "4 min", "90 min", "2 h 30 min"; "until the button" for 0. */
void session_write_length(struct text *out, int32_t seconds);

/* "106-112 %", "200 W", "effort 3-4"; "" where nothing is asked. */
void session_write_aim(struct text *out, enum session_aim aim, int32_t low, int32_t high);

#endif
