/* drawing/ride_page.c: the reading of one ride, as one page. */
#include "drawing/ride_page.h"

#include "coaching/words/words.h"
#include "drawing/gauge.h"
#include "drawing/ride_parts.h"

#include <math.h>
#include <string.h>

/* A4 and its margins, in points. */
static const double PAGE_WIDTH = 595.0;
static const double PAGE_HEIGHT = 842.0;
static const double MARGIN = 52.0;
/* At most 70 letters a line of sentences. */
static const double MEASURE = 400.0;
/* A mark hangs in the margin of its sentence. */
static const double HANG = 16.0;
static const double GAUGE_WIDTH = 400.0;
static const double BODY = 11.0;
static const double SMALL = 9.0;

enum { FINDINGS_SHOWN = 4, REASONS_SHOWN = 5 };

static const struct text_style HEADING = { FACE_SERIF_ITALIC, 13.0, COLOUR_INK, ANCHOR_LEFT };

struct hand {
    struct scene *scene;
    const struct ride_page *page;
    double y;            /* where the next part begins */
    bool traces_drawn;   /* they stand once */
    bool bar_words_said; /* what a gauge's bar is, said under the first */
};

static bool is_ride_wide(const struct reading *reading)
{
    return reading->set == 0 && reading->rep == 0;
}

/* Answered by this ride, or asked of it; the others get a sentence at the end. */
static bool is_answered(const struct reading *reading)
{
    return reading->verdict != VERDICT_CANNOT_TELL || reading->basis.intent != NULL;
}

/* Its evidence can be seen in the traces; what is masked is hatched there whatever the question. */
static bool holds_evidence(const struct reading *reading)
{
    return reading->question != QUESTION_TRUST && is_answered(reading) && reading->n_spans > 0;
}

/* Of what is no ride nothing is read, so nothing is shown. */
static bool has_traces(const struct recording *recording)
{
    return recording->value[CHANNEL_POWER] != NULL || recording->value[CHANNEL_HEART_RATE] != NULL;
}

/* ---- words ---- */

static void add_heading(struct hand *hand, const char *words)
{
    const struct stroke hairline = { COLOUR_HAIRLINE, 0.7, 0.0 };
    hand->y += 14.0;
    scene_line(hand->scene, MARGIN, hand->y, PAGE_WIDTH - MARGIN, hand->y, &hairline);
    hand->y += 20.0;
    scene_begin_part(hand->scene, ROLE_HEADING, NULL);
    scene_text(hand->scene, MARGIN, hand->y, &HEADING, words);
    scene_end_part(hand->scene);
    hand->y += 7.0;
}

/* The mark, the verdict in strong letters, and the rest of the reading's own sentences. */
static void add_verdict(struct hand *hand, const struct reading *reading)
{
    const char *text = reading->text == NULL ? words_verdict(reading->verdict) : reading->text;
    const size_t lead = words_lead(text);
    char *strong = arena_string(hand->scene->arena, text);
    strong[lead] = '\0';
    const struct run runs[] = { { strong, FACE_SERIF_STRONG, COLOUR_INK },
                                { text + lead, FACE_SERIF, COLOUR_INK } };
    scene_begin_part(hand->scene, ROLE_PARAGRAPH, NULL);
    scene_mark(hand->scene, MARGIN + 5.0, hand->y + 1.0, 13.0,
               gauge_mark(verdict_answer(reading->verdict)));
    const struct place place =
        scene_paragraph(hand->scene, MARGIN + HANG, hand->y, MEASURE, BODY, runs, 2);
    scene_end_part(hand->scene);
    hand->y = place.y + place.height + 4.0;
}

/* Small words with a strong label, one paragraph. */
static void add_note(struct hand *hand, const char *label, const char *words)
{
    const struct run runs[] = {
        { arena_format(hand->scene->arena, "%s ", label), FACE_SANS_STRONG, COLOUR_INK },
        { words, FACE_SANS, COLOUR_QUIET },
    };
    scene_begin_part(hand->scene, ROLE_PARAGRAPH, NULL);
    const struct place place =
        scene_paragraph(hand->scene, MARGIN + HANG + 10.0, hand->y, MEASURE - 10.0, SMALL, runs, 2);
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

/* The causes' sentences in a row; NULL if all are said elsewhere. */
static const char *reasons(struct arena *arena, const struct causes *causes, const char *said)
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

/* Findings that took something away or spoil it; those that are only noted stay on the terminal. */
static const char *findings(struct arena *arena, const struct ride_page *page, const char *said)
{
    const struct recording *recording = page->recording;
    struct text text = text_begin(arena, 10000);
    size_t n = 0;
    size_t more = 0;
    for (size_t i = 0; i < recording->n_findings && page->readings->finding_texts != NULL; i++) {
        const char *words = page->readings->finding_texts[i];
        if (recording->findings[i].effect == EFFECT_NOTED ||
            (said != NULL && strstr(said, words) != NULL)) {
            continue;
        }
        if (n < FINDINGS_SHOWN) {
            text_add_format(&text, "%s%s", n == 0 ? "" : " ", words);
            n++;
        } else {
            more++;
        }
    }
    if (more > 0) {
        text_add_format(&text, " %s", words_more_findings(arena, more));
    }
    return n == 0 ? NULL : text.bytes;
}

/* Because, can't tell, to settle: small, with a hairline at the left. */
static void add_notes(struct hand *hand, const struct reading *reading)
{
    struct arena *arena = hand->scene->arena;
    const struct {
        const char *label;
        const char *words;
    } notes[] = {
        { "Left out",
          reading->question == QUESTION_TRUST ? findings(arena, hand->page, reading->text) : NULL },
        { "Because", reading->question == QUESTION_TRUST
                         ? NULL
                         : reasons(arena, &reading->because, reading->text) },
        { "Can\u2019t tell", reasons(arena, &reading->cannot_because, reading->text) },
        { "To settle it", reasons(arena, &reading->settle_by, reading->text) },
    };
    const double top = hand->y + 2.0;
    hand->y = top;
    for (size_t i = 0; i < sizeof notes / sizeof notes[0]; i++) {
        if (notes[i].words != NULL) {
            add_note(hand, notes[i].label, notes[i].words);
        }
    }
    if (hand->y > top) {
        const struct stroke hairline = { COLOUR_HAIRLINE, 1.2, 0.0 };
        scene_line(hand->scene, MARGIN + HANG, top, MARGIN + HANG, hand->y - 3.0, &hairline);
        hand->y += 2.0;
    }
}

/* ---- figures ---- */

static void add_gauge(struct hand *hand, const struct reading *reading)
{
    struct gauge gauge;
    if (!reading_gauge(hand->scene->arena, reading, &gauge)) {
        return;
    }
    hand->y = gauge_draw(hand->scene, MARGIN + HANG, hand->y + 6.0, GAUGE_WIDTH, &gauge,
                         !hand->bar_words_said) +
              4.0;
    hand->bar_words_said = hand->bar_words_said || gauge.bar != NULL;
}

static void add_traces(struct hand *hand, const struct reading *reading)
{
    if (hand->traces_drawn || !has_traces(hand->page->recording)) {
        return;
    }
    hand->traces_drawn = true;
    hand->y = ride_traces_draw(hand->scene, MARGIN, hand->y + 4.0, PAGE_WIDTH - 2.0 * MARGIN,
                               hand->page, reading) +
              6.0;
}

/* ---- the parts of the page, in their order ---- */

static void add_title(struct hand *hand)
{
    struct scene *scene = hand->scene;
    const struct ride_page *page = hand->page;
    const struct run title = { scene->title, FACE_SERIF_STRONG, COLOUR_INK };
    scene_begin_part(scene, ROLE_TITLE, NULL);
    struct place place =
        scene_paragraph(scene, MARGIN, MARGIN - 10.0, PAGE_WIDTH - 2.0 * MARGIN, 20.0, &title, 1);
    scene_end_part(scene);
    const char *slash = strrchr(page->source->file, '/');
    const struct run under[] = {
        { words_contents(scene->arena, page->recording), FACE_SANS, COLOUR_QUIET },
        { "\n", FACE_SANS, COLOUR_QUIET },
        { slash == NULL ? page->source->file : slash + 1, FACE_SANS, COLOUR_QUIET },
    };
    scene_begin_part(scene, ROLE_PARAGRAPH, NULL);
    place = scene_paragraph(scene, MARGIN, place.y + place.height + 2.0, PAGE_WIDTH - 2.0 * MARGIN,
                            SMALL, under, 3);
    scene_end_part(scene);
    hand->y = place.y + place.height + 4.0;
}

/* Whatever was masked: read before anything else. */
static void add_cautions(struct hand *hand)
{
    const struct causes *cautions = &hand->page->readings->cautions;
    for (size_t i = 0; i < cautions->count; i++) {
        if (cautions->items[i].text == NULL) {
            continue;
        }
        const struct run runs[] = { { "Caution. ", FACE_SERIF_STRONG, COLOUR_INK },
                                    { cautions->items[i].text, FACE_SERIF, COLOUR_INK } };
        const double top = hand->y + 10.0;
        scene_begin_part(hand->scene, ROLE_PARAGRAPH, NULL);
        const struct place place =
            scene_paragraph(hand->scene, MARGIN + HANG, top, MEASURE, BODY, runs, 2);
        scene_end_part(hand->scene);
        const struct stroke bar = { COLOUR_INK, 2.2, 0.0 };
        hand->y = place.y + place.height;
        scene_line(hand->scene, MARGIN + 5.0, top + 1.0, MARGIN + 5.0, hand->y - 1.0, &bar);
    }
}

static void add_question(struct hand *hand, const struct reading *reading)
{
    add_heading(hand, words_question(reading->question));
    add_verdict(hand, reading);
    add_gauge(hand, reading);
    if (holds_evidence(reading)) {
        add_traces(hand, reading);
    }
    if (reading->question == QUESTION_HARD_WORK && hand->page->readings->reps.count > 0) {
        hand->y = ride_reps_draw(hand->scene, MARGIN, hand->y + 4.0, PAGE_WIDTH - 2.0 * MARGIN,
                                 hand->page) +
                  4.0;
    }
    add_notes(hand, reading);
}

static bool any_holds_evidence(const struct ride_readings *readings)
{
    for (size_t i = 0; i < readings->count; i++) {
        if (is_ride_wide(&readings->items[i]) && holds_evidence(&readings->items[i])) {
            return true;
        }
    }
    return false;
}

static void add_questions(struct hand *hand)
{
    const struct ride_readings *readings = hand->page->readings;
    const bool with_evidence = any_holds_evidence(readings);
    bool rest = false;
    for (size_t i = 0; i < readings->count; i++) {
        const struct reading *reading = &readings->items[i];
        if (!is_ride_wide(reading)) {
            continue;
        }
        if (reading->question == QUESTION_TRUST) {
            add_question(hand, reading);
            if (!with_evidence) {
                add_traces(hand, NULL);
            }
        } else if (is_answered(reading)) {
            add_question(hand, reading);
        } else {
            rest = true;
        }
    }
    for (size_t i = 0; rest && i < readings->count; i++) {
        const struct reading *reading = &readings->items[i];
        if (is_ride_wide(reading) && reading->question != QUESTION_TRUST && !is_answered(reading)) {
            add_heading(hand, words_question(reading->question));
            add_verdict(hand, reading);
        }
    }
}

static void add_sums(struct hand *hand)
{
    struct scene *scene = hand->scene;
    const struct ride_page *page = hand->page;
    const char *zones = words_zones(scene->arena, page->facts, page->readings);
    if (zones == NULL && page->readings->bests.count == 0) {
        return;
    }
    add_heading(hand, "What was ridden");
    if (zones != NULL) {
        const struct run run = { zones, FACE_SERIF, COLOUR_INK };
        scene_begin_part(scene, ROLE_PARAGRAPH, NULL);
        const struct place place =
            scene_paragraph(scene, MARGIN + HANG, hand->y, MEASURE, BODY, &run, 1);
        scene_end_part(scene);
        hand->y = place.y + place.height + 6.0;
    }
    hand->y =
        ride_bests_draw(scene, MARGIN + HANG, hand->y, PAGE_WIDTH - 2.0 * MARGIN - HANG, page);
}

struct scene ride_page_draw(struct arena *arena, struct fonts *fonts, const struct ride_page *page)
{
    const struct recording *recording = page->recording;
    struct scene scene = scene_begin(arena, fonts, words_title(arena, recording), PAGE_WIDTH);
    scene.date_utc = recording->has_start_utc ? recording->start_utc : 0;
    struct hand hand = { .scene = &scene, .page = page };
    add_title(&hand);
    add_cautions(&hand);
    add_questions(&hand);
    add_sums(&hand);
    scene.height = fmax(hand.y + MARGIN - 10.0, PAGE_HEIGHT);
    return scene;
}
