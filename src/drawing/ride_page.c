/* drawing/ride_page.c: the reading of one ride, as one page. */
#include "drawing/ride_page.h"

#include "coaching/words/words.h"
#include "drawing/page_parts.h"
#include "drawing/ride_parts.h"

#include <math.h>
#include <string.h>

enum { FINDINGS_SHOWN = 4 };

struct hand {
    struct page_hand at;
    const struct ride_page *page;
    bool traces_drawn; /* they stand once */
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

/* Trust says what was left out; the others because what. */
static void add_notes(struct hand *hand, const struct reading *reading)
{
    if (reading->question != QUESTION_TRUST) {
        page_reading_notes(&hand->at, reading);
        return;
    }
    struct arena *arena = hand->at.scene->arena;
    const struct page_note notes[] = {
        { "Left out", findings(arena, hand->page, reading->text) },
        { "Can\u2019t tell", page_reasons(arena, &reading->cannot_because, reading->text) },
        { "To settle it", page_reasons(arena, &reading->settle_by, reading->text) },
    };
    page_notes(&hand->at, notes, sizeof notes / sizeof notes[0]);
}

/* ---- figures ---- */

static void add_traces(struct hand *hand, const struct reading *reading)
{
    if (hand->traces_drawn || !has_traces(hand->page->recording)) {
        return;
    }
    hand->traces_drawn = true;
    hand->at.y = ride_traces_draw(hand->at.scene, PAGE_MARGIN, hand->at.y + 4.0,
                                  PAGE_WIDTH - 2.0 * PAGE_MARGIN, hand->page, reading) +
                 6.0;
}

/* ---- the parts of the page, in their order ---- */

static void add_title(struct hand *hand)
{
    const struct ride_page *page = hand->page;
    struct arena *arena = hand->at.scene->arena;
    const char *slash = strrchr(page->source->file, '/');
    page_title(&hand->at, hand->at.scene->title,
               arena_format(arena, "%s\n%s", words_contents(arena, page->recording),
                            slash == NULL ? page->source->file : slash + 1));
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
        const double top = hand->at.y + 10.0;
        scene_begin_part(hand->at.scene, ROLE_PARAGRAPH, NULL);
        const struct place place = scene_paragraph(hand->at.scene, PAGE_MARGIN + PAGE_HANG, top,
                                                   PAGE_MEASURE, PAGE_BODY, runs, 2);
        scene_end_part(hand->at.scene);
        const struct stroke bar = { COLOUR_INK, 2.2, 0.0 };
        hand->at.y = place.y + place.height;
        scene_line(hand->at.scene, PAGE_MARGIN + 5.0, top + 1.0, PAGE_MARGIN + 5.0,
                   hand->at.y - 1.0, &bar);
    }
}

static void add_question(struct hand *hand, const struct reading *reading)
{
    page_heading(&hand->at, words_question(reading->question));
    page_verdict(&hand->at, reading);
    page_gauge(&hand->at, reading);
    if (holds_evidence(reading)) {
        add_traces(hand, reading);
    }
    if (reading->question == QUESTION_HARD_WORK && hand->page->readings->reps.count > 0) {
        hand->at.y = ride_reps_draw(hand->at.scene, PAGE_MARGIN, hand->at.y + 4.0,
                                    PAGE_WIDTH - 2.0 * PAGE_MARGIN, hand->page) +
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
            page_heading(&hand->at, words_question(reading->question));
            page_verdict(&hand->at, reading);
        }
    }
}

static void add_sums(struct hand *hand)
{
    struct scene *scene = hand->at.scene;
    const struct ride_page *page = hand->page;
    const char *zones = words_zones(scene->arena, page->facts, page->readings);
    if (zones == NULL && page->readings->bests.count == 0) {
        return;
    }
    page_heading(&hand->at, "What was ridden");
    if (zones != NULL) {
        const struct run run = { zones, FACE_SERIF, COLOUR_INK };
        scene_begin_part(scene, ROLE_PARAGRAPH, NULL);
        const struct place place = scene_paragraph(scene, PAGE_MARGIN + PAGE_HANG, hand->at.y,
                                                   PAGE_MEASURE, PAGE_BODY, &run, 1);
        scene_end_part(scene);
        hand->at.y = place.y + place.height + 6.0;
    }
    hand->at.y = ride_bests_draw(scene, PAGE_MARGIN + PAGE_HANG, hand->at.y,
                                 PAGE_WIDTH - 2.0 * PAGE_MARGIN - PAGE_HANG, page);
}

struct scene ride_page_draw(struct arena *arena, struct fonts *fonts, const struct ride_page *page)
{
    const struct recording *recording = page->recording;
    struct scene scene = scene_begin(arena, fonts, words_title(arena, recording), PAGE_WIDTH);
    scene.date_utc = recording->has_start_utc ? recording->start_utc : 0;
    struct hand hand = { .at = { .scene = &scene }, .page = page };
    add_title(&hand);
    add_cautions(&hand);
    add_questions(&hand);
    add_sums(&hand);
    scene.height = fmax(hand.at.y + PAGE_MARGIN - 10.0, PAGE_HEIGHT);
    return scene;
}
