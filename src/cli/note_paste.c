/* cli/note_paste.c: a pasted reply into a note. */
#include "cli/note.h"

#include "coaching/reply.h"
#include "coaching/words/words.h"

#include <stdio.h>
#include <string.h>
#include <unistd.h>

/* Everything on standard input, as text; too long or no UTF-8 is told. */
static bool read_reply(struct arena *arena, const char **out, struct error *err)
{
    char *text = ARENA_ARRAY(arena, char, REPLY_BYTES_MOST + 2);
    if (isatty(STDIN_FILENO) == 1 && isatty(STDERR_FILENO) == 1) {
        fprintf(stderr, "Paste the reply; end it with Ctrl-D on a line of its own.\n");
    }
    const size_t n = fread(text, 1, REPLY_BYTES_MOST + 1, stdin);
    if (n > REPLY_BYTES_MOST) {
        return error_set(err, ERROR_TOO_LARGE,
                         "standard input: longer than %d bytes; paste one reply at a time",
                         REPLY_BYTES_MOST);
    }
    if (!text_is_utf8(text, n)) {
        return error_set(err, ERROR_INPUT, "standard input: is no text in UTF-8");
    }
    if (strspn(text, " \t\r\n") == n) {
        return error_set(err, ERROR_USAGE, "standard input: no reply there; paste it, or pipe it");
    }
    *out = text;
    return true;
}

static void add_json(struct json *json, const struct reply *reply, const char *caution)
{
    json_begin_array(json, "understood");
    for (size_t i = 0; i < reply->n_understood; i++) {
        const struct reply_answer *item = &reply->understood[i];
        json_begin_object(json, NULL);
        json_string(json, "answer", answer_row(item->answer)->name);
        json_number(json, "value", item->value, 3);
        json_string(json, "quote", item->quote);
        json_end_object(json);
    }
    json_end_array(json);
    json_begin_array(json, "left");
    for (size_t i = 0; i < reply->n_left; i++) {
        json_begin_object(json, NULL);
        json_string(json, "quote", reply->left[i].quote);
        json_string(json, "why", reply->left[i].why);
        json_end_object(json);
    }
    json_end_array(json);
    json_string(json, "caution", caution);
}

static void add_words(struct roster_call *call, const struct reply *reply, const char *caution)
{
    struct text *out = &call->out;
    enum { QUOTES = 32 };
    if (caution != NULL) {
        text_add(out, "CAUTION  ");
        text_add_wrapped(out, caution, 9, 9, 80);
    }
    text_add(out, reply->n_understood > 0 ? "Understood\n" : "Nothing was understood\n");
    for (size_t i = 0; i < reply->n_understood; i++) {
        const struct reply_answer *item = &reply->understood[i];
        text_add_format(out, "  %-*s", QUOTES - 2,
                        answer_say(call->arena, item->answer, item->value));
        text_add_wrapped(out, arena_format(call->arena, "\"%s\"", item->quote), QUOTES, QUOTES, 80);
    }
    if (reply->n_left > 0) {
        text_add(out, "Left out, kept in the words\n");
    }
    for (size_t i = 0; i < reply->n_left; i++) {
        const struct reply_left *item = &reply->left[i];
        text_add(out, "  ");
        text_add_wrapped(out,
                         item->why == NULL
                             ? arena_format(call->arena, "\"%s\"", item->quote)
                             : arena_format(call->arena, "\"%s\": %s", item->quote, item->why),
                         2, 4, 80);
    }
}

/* The same words of the same day are there already: pasted twice. */
static bool is_new(struct roster_call *call, const struct rider *rider, const struct day_note *note,
                   struct error *err)
{
    struct day_note *notes = NULL;
    size_t count = 0;
    if (note->day == NULL) {
        return true; /* refused later, with its reason */
    }
    if (!day_notes_list(call->roster, call->arena, rider->id, note->day, NULL, &notes, &count,
                        err)) {
        return false;
    }
    for (size_t i = 0; i < count; i++) {
        if (notes[i].words != NULL && note->words != NULL &&
            strcmp(notes[i].words, note->words) == 0 && strcmp(notes[i].day, note->day) == 0 &&
            notes[i].recording == note->recording) {
            return error_set(err, ERROR_CONFLICT, "these words are there already: note %lld of %s",
                             (long long)notes[i].id, note->day);
        }
    }
    return true;
}

/* True to store.  The reply may have come through a pipe: the terminal itself is asked. */
static bool is_wanted(struct roster_call *call, bool yes, bool *wanted, struct error *err)
{
    char answer[16] = { 0 };
    *wanted = yes;
    if (yes || call->json || isatty(STDERR_FILENO) != 1) {
        return true;
    }
    FILE *terminal = fopen("/dev/tty", "re");
    if (terminal == NULL) {
        return true;
    }
    const bool flushed = roster_call_flush(call, err);
    if (flushed) {
        fprintf(stderr, "Keep this? [y/N] ");
        *wanted = fgets(answer, sizeof answer, terminal) != NULL &&
                  (answer[0] == 'y' || answer[0] == 'Y');
    }
    fclose(terminal);
    return flushed;
}

bool note_paste(struct roster_call *call, const struct rider *rider, struct day_note *note,
                bool yes, struct error *err)
{
    const char *text = NULL;
    struct reply reply = { 0 };
    bool wanted = false;
    if (!read_reply(call->arena, &text, err)) {
        return false;
    }
    reply_read(call->arena, text, &reply);
    const char *caution = reply.alarm == NULL ? NULL : words_reply_alarm(call->arena, reply.alarm);
    note->answers = reply.answers;
    note->words = day_notes_words(call->arena, text);
    struct json json = json_begin(&call->out);
    if (call->json) {
        json_begin_object(&json, NULL);
        add_json(&json, &reply, caution);
    } else {
        add_words(call, &reply, caution);
    }
    if (!is_new(call, rider, note, err) || !is_wanted(call, yes, &wanted, err) ||
        (wanted && !day_notes_add(call->roster, call->arena, call->now, rider, note, err))) {
        return false;
    }
    if (call->json) {
        json_bool(&json, "stored", wanted);
        if (wanted) {
            note_json(&json, "note", note, JSON_TO_READ);
        } else {
            json_null(&json, "note");
        }
        json_end_object(&json);
    } else {
        text_add_wrapped(&call->out,
                         wanted ? arena_format(call->arena, "Kept as note %lld of %s.",
                                               (long long)note->id, note->day)
                                : "Nothing was kept; --yes keeps it.",
                         0, 2, 80);
    }
    return true;
}
