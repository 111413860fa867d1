/* drawing/page_parts.c: what pages are made of: headings, verdicts, gauges, notes. */
#include "drawing/page_parts.h"

#include "coaching/gauge.h"
#include "coaching/words/words.h"
#include "drawing/gauge.h"

#include <string.h>

enum { REASONS_SHOWN = 5 };

static const struct text_style HEADING = { FACE_SERIF_ITALIC, 13.0, COLOUR_INK, ANCHOR_LEFT };

void page_heading(struct page_hand *hand, const char *words)
{
    const struct stroke hairline = { COLOUR_HAIRLINE, 0.7, 0.0 };
    hand->y += 14.0;
    scene_line(hand->scene, PAGE_MARGIN, hand->y, PAGE_WIDTH - PAGE_MARGIN, hand->y, &hairline);
    hand->y += 20.0;
    scene_begin_part(hand->scene, ROLE_HEADING, NULL);
    scene_text(hand->scene, PAGE_MARGIN, hand->y, &HEADING, words);
    scene_end_part(hand->scene);
    hand->y += 7.0;
}

void page_title(struct page_hand *hand, const char *title, const char *under)
{
    struct scene *scene = hand->scene;
    const double width = PAGE_WIDTH - 2.0 * PAGE_MARGIN;
    const struct run large = { title, FACE_SERIF_STRONG, COLOUR_INK };
    scene_begin_part(scene, ROLE_TITLE, NULL);
    struct place place =
        scene_paragraph(scene, PAGE_MARGIN, PAGE_MARGIN - 10.0, width, 20.0, &large, 1);
    scene_end_part(scene);
    const struct run small = { under, FACE_SANS, COLOUR_QUIET };
    scene_begin_part(scene, ROLE_PARAGRAPH, NULL);
    place = scene_paragraph(scene, PAGE_MARGIN, place.y + place.height + 2.0, width, PAGE_SMALL,
                            &small, 1);
    scene_end_part(scene);
    hand->y = place.y + place.height + 4.0;
}

void page_verdict(struct page_hand *hand, const struct reading *reading)
{
    const char *text = reading->text == NULL ? words_verdict(reading->verdict) : reading->text;
    const size_t lead = words_lead(text);
    char *strong = arena_string(hand->scene->arena, text);
    strong[lead] = '\0';
    const struct run runs[] = { { strong, FACE_SERIF_STRONG, COLOUR_INK },
                                { text + lead, FACE_SERIF, COLOUR_INK } };
    scene_begin_part(hand->scene, ROLE_PARAGRAPH, NULL);
    scene_mark(hand->scene, PAGE_MARGIN + 5.0, hand->y + 1.0, 13.0,
               gauge_mark(verdict_answer(reading->verdict)));
    const struct place place = scene_paragraph(hand->scene, PAGE_MARGIN + PAGE_HANG, hand->y,
                                               PAGE_MEASURE, PAGE_BODY, runs, 2);
    scene_end_part(hand->scene);
    hand->y = place.y + place.height + 4.0;
}

void page_gauge(struct page_hand *hand, const struct reading *reading)
{
    struct gauge gauge;
    if (!reading_gauge(hand->scene->arena, reading, &gauge)) {
        return;
    }
    hand->y = gauge_draw(hand->scene, PAGE_MARGIN + PAGE_HANG, hand->y + 6.0, PAGE_MEASURE, &gauge,
                         !hand->bar_words_said) +
              4.0;
    hand->bar_words_said = hand->bar_words_said || gauge.bar != NULL;
}

/* Small words with a strong label, one paragraph. */
static void add_note(struct page_hand *hand, const char *label, const char *words)
{
    const struct run runs[] = {
        { arena_format(hand->scene->arena, "%s ", label), FACE_SANS_STRONG, COLOUR_INK },
        { words, FACE_SANS, COLOUR_QUIET },
    };
    scene_begin_part(hand->scene, ROLE_PARAGRAPH, NULL);
    const struct place place = scene_paragraph(hand->scene, PAGE_MARGIN + PAGE_HANG + 10.0, hand->y,
                                               PAGE_MEASURE - 10.0, PAGE_SMALL, runs, 2);
    scene_end_part(hand->scene);
    hand->y = place.y + place.height + 3.0;
}

/* What the rows of reps show, or the sentence says: not again among the reasons. */
static bool is_shown_elsewhere(const struct cause *cause, const char *said)
{
    static const char *const codes[] = {
        "started-too-hard",
        "stopped",
        "cut-short",
        "faded",
        "below",
        "above",
        "fast-start",
        "done",
        "described",
        "on-the-line",
        "reps-done",
        "minutes",
        "work",
        "heart-late",
        "heart-alone-done",
        "heart-alone-below",
        "share-above",
    };
    for (size_t i = 0; i < sizeof codes / sizeof codes[0]; i++) {
        if (strcmp(codes[i], cause->code) == 0) {
            return true;
        }
    }
    return cause->text == NULL || (said != NULL && strstr(said, cause->text) != NULL);
}

const char *page_reasons(struct arena *arena, const struct causes *causes, const char *said)
{
    struct text text = text_begin(arena, 10000);
    size_t n = 0;
    for (size_t i = 0; i < causes->count && n < REASONS_SHOWN; i++) {
        if (!is_shown_elsewhere(&causes->items[i], said)) {
            text_add_format(&text, "%s%s", n == 0 ? "" : " ", causes->items[i].text);
            n++;
        }
    }
    return n == 0 ? NULL : text.bytes;
}

void page_notes(struct page_hand *hand, const struct page_note notes[], size_t n)
{
    const double top = hand->y + 2.0;
    hand->y = top;
    for (size_t i = 0; i < n; i++) {
        if (notes[i].words != NULL) {
            add_note(hand, notes[i].label, notes[i].words);
        }
    }
    if (hand->y > top) {
        const struct stroke hairline = { COLOUR_HAIRLINE, 1.2, 0.0 };
        scene_line(hand->scene, PAGE_MARGIN + PAGE_HANG, top, PAGE_MARGIN + PAGE_HANG,
                   hand->y - 3.0, &hairline);
        hand->y += 2.0;
    }
}

void page_reading_notes(struct page_hand *hand, const struct reading *reading)
{
    struct arena *arena = hand->scene->arena;
    const struct page_note notes[] = {
        { "Because", page_reasons(arena, &reading->because, reading->text) },
        { "Can\u2019t tell", page_reasons(arena, &reading->cannot_because, reading->text) },
        { "To settle it", page_reasons(arena, &reading->settle_by, reading->text) },
    };
    page_notes(hand, notes, sizeof notes / sizeof notes[0]);
}
