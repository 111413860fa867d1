/* drawing/session_card.c: a card as pages of paper. */
#include "drawing/session_card.h"

#include "base/text.h"
#include "coaching/words/card_words.h"
#include "drawing/session_profile.h"

#include <math.h>
#include <string.h>

/* Points: ISO 216 sizes, 105 x 148 and 148 x 210 mm. */
static const struct sheet {
    const char *name;
    double width;
    double height;
    double margin;
    double title;
    double body;
    double small;
} sheets[CARD_PAPERS] = {
    [CARD_A6] = { "a6", 297.64, 419.53, 20.0, 13.0, 8.0, LETTERS_LEAST },
    [CARD_A5] = { "a5", 419.53, 595.28, 30.0, 16.0, 9.0, 8.0 },
};

bool card_paper_find(const char *name, enum card_paper *out)
{
    for (int i = 0; i < CARD_PAPERS; i++) {
        if (strcmp(name, sheets[i].name) == 0) {
            *out = (enum card_paper)i;
            return true;
        }
    }
    return false;
}

double card_paper_margin(enum card_paper paper)
{
    return sheets[paper].margin;
}

/* Words run down the page and on to the next. */
struct flow {
    struct arena *arena;
    struct fonts *fonts;
    const struct session_card *card;
    const struct sheet *sheet;
    struct scene *pages; /* [n] */
    size_t n;
    size_t capacity;
    double y;
    double top; /* of this page's words, under its head */
};

static struct scene *page_of(const struct flow *flow)
{
    return &flow->pages[flow->n - 1];
}

static double left_of(const struct flow *flow)
{
    return flow->sheet->margin;
}

static double width_of(const struct flow *flow)
{
    return flow->sheet->width - 2.0 * flow->sheet->margin;
}

/* A line is left for the number of the page. */
static double bottom_of(const struct flow *flow)
{
    return flow->sheet->height - flow->sheet->margin - 1.4 * flow->sheet->small;
}

/* So many bytes at most of the words, whole letters, and an ellipsis. */
static const char *cut_to(const struct flow *flow, const char *words, size_t bytes)
{
    while (bytes > 0 && ((unsigned char)words[bytes] & 0xC0u) == 0x80u) {
        bytes--;
    }
    return arena_format(flow->arena, "%.*s\u2026", (int)bytes, words);
}

/* One line at most: what is longer ends with an ellipsis.  Only of heads that repeat what the first
 * page has whole. */
static const char *shortened(const struct flow *flow, const char *words,
                             const struct text_style *style, double width)
{
    if (scene_measure(page_of(flow), 0.0, 0.0, style, words).width <= width) {
        return words;
    }
    size_t low = 0;
    size_t high = strlen(words);
    while (low + 1 < high) {
        const size_t middle = (low + high) / 2;
        const char *cut = cut_to(flow, words, middle);
        const bool fits = scene_measure(page_of(flow), 0.0, 0.0, style, cut).width <= width;
        *(fits ? &low : &high) = middle;
    }
    return cut_to(flow, words, low);
}

static void page_add(struct flow *flow)
{
    flow->pages =
        arena_grow(flow->arena, flow->pages, flow->n, &flow->capacity, sizeof *flow->pages);
    flow->pages[flow->n++] =
        scene_begin(flow->arena, flow->fonts, flow->card->title, flow->sheet->width);
    struct scene *page = page_of(flow);
    page->height = flow->sheet->height;
    page->is_bare = true;
    page->date_utc = flow->card->day * 86400;
    flow->y = flow->sheet->margin;
    if (flow->n > 1) {
        const struct text_style style = { FACE_SANS, flow->sheet->small, COLOUR_QUIET,
                                          ANCHOR_LEFT };
        const char *words =
            arena_format(flow->arena, "%s \u00b7 %s", flow->card->title, flow->card->under);
        scene_begin_part(page, ROLE_PARAGRAPH, NULL);
        scene_text(page, left_of(flow), flow->y + style.size, &style,
                   shortened(flow, words, &style, width_of(flow)));
        scene_end_part(page);
        flow->y += 2.0 * style.size;
    }
    flow->top = flow->y;
}

/* On to the next page if less than that is left. */
static void need(struct flow *flow, double height)
{
    if (flow->y + height > bottom_of(flow) && flow->y > flow->top) {
        page_add(flow);
    }
}

/* ---- paragraphs ---- */

enum { RUNS_MOST = 3 };

struct paragraph {
    struct run runs[RUNS_MOST];
    size_t n;
    double indent;
    double size;
    double right; /* room kept free at the right */
    enum role role;
};

/* Adds it if it fits on this page. */
static bool try_paragraph(struct flow *flow, const struct paragraph *words)
{
    struct scene *page = page_of(flow);
    const size_t before = page->count;
    scene_begin_part(page, words->role, NULL);
    const struct place place = scene_paragraph(page, left_of(flow) + words->indent, flow->y,
                                               width_of(flow) - words->indent - words->right,
                                               words->size, words->runs, words->n);
    scene_end_part(page);
    if (place.y + place.height > bottom_of(flow)) {
        page->count = before;
        return false;
    }
    flow->y = place.y + place.height;
    return true;
}

static size_t bytes_of(const struct paragraph *words)
{
    size_t bytes = 0;
    for (size_t i = 0; i < words->n; i++) {
        bytes += strlen(words->runs[i].words);
    }
    return bytes;
}

/* Its bytes [from, to), in the looks that they have. */
static struct paragraph part_of(struct arena *arena, const struct paragraph *words, size_t from,
                                size_t to)
{
    struct paragraph part = *words;
    size_t at = 0;
    part.n = 0;
    for (size_t i = 0; i < words->n; i++) {
        const size_t n = strlen(words->runs[i].words);
        const size_t first = from > at ? from - at : 0;
        const size_t last = to < at + n ? (to > at ? to - at : 0) : n;
        if (first < last) {
            part.runs[part.n] = words->runs[i];
            part.runs[part.n++].words =
                arena_format(arena, "%.*s", (int)(last - first), words->runs[i].words + first);
        }
        at += n;
    }
    return part;
}

static char byte_at(const struct paragraph *words, size_t at)
{
    size_t i = 0;
    while (i < words->n && at >= strlen(words->runs[i].words)) {
        at -= strlen(words->runs[i++].words);
    }
    return i < words->n ? words->runs[i].words[at] : '\0';
}

/* Longer than a page: as many lines as fit, the rest on the next. */
static void split(struct flow *flow, const struct paragraph *words)
{
    const double width = width_of(flow) - words->indent - words->right;
    const size_t cut = scene_lines_that_fit(page_of(flow), width, bottom_of(flow) - flow->y,
                                            words->size, words->runs, words->n);
    const struct paragraph first = part_of(flow->arena, words, 0, cut);
    if (cut == 0 || !try_paragraph(flow, &first)) {
        return;
    }
    page_add(flow);
    const size_t from = byte_at(words, cut) == ' ' ? cut + 1 : cut;
    const struct paragraph rest = part_of(flow->arena, words, from, bytes_of(words));
    if (rest.n > 0 && !try_paragraph(flow, &rest)) {
        split(flow, &rest);
    }
}

static void add_paragraph(struct flow *flow, const struct paragraph *words)
{
    if (try_paragraph(flow, words)) {
        return;
    }
    if (flow->y > flow->top) {
        page_add(flow);
    }
    if (!try_paragraph(flow, words)) {
        split(flow, words);
    }
}

/* One look. */
static void add_words(struct flow *flow, const char *words, enum face face, enum colour colour,
                      double size, enum role role)
{
    const struct paragraph paragraph = {
        .runs = { { words, face, colour } }, .n = 1, .size = size, .role = role
    };
    add_paragraph(flow, &paragraph);
}

static double space(const struct flow *flow)
{
    return 0.55 * flow->sheet->body;
}

/* A strong label, and words after it. */
static void add_labelled(struct flow *flow, const char *label, const char *words)
{
    const struct paragraph paragraph = {
        .runs = { { arena_format(flow->arena, "%s ", label), FACE_SANS_STRONG, COLOUR_INK },
                  { words, FACE_SANS, COLOUR_INK } },
        .n = 2,
        .size = flow->sheet->small,
        .role = ROLE_PARAGRAPH,
    };
    add_paragraph(flow, &paragraph);
}

/* ---- the parts of the card, in their order ---- */

static void add_head(struct flow *flow)
{
    const struct session_card *card = flow->card;
    add_words(flow, card->title, FACE_SERIF_STRONG, COLOUR_INK, flow->sheet->title, ROLE_TITLE);
    add_words(flow, card->under, FACE_SANS, COLOUR_INK, flow->sheet->small, ROLE_PARAGRAPH);
    add_words(flow, card->about, FACE_SANS, COLOUR_QUIET, flow->sheet->small, ROLE_PARAGRAPH);
    for (size_t i = 0; i < card->n_alarms; i++) {
        flow->y += space(flow);
        const double top = flow->y;
        const struct paragraph paragraph = { .runs = { { card->alarms[i], FACE_SERIF_STRONG,
                                                         COLOUR_INK } },
                                             .n = 1,
                                             .indent = 7.0,
                                             .size = flow->sheet->body,
                                             .role = ROLE_PARAGRAPH };
        add_paragraph(flow, &paragraph);
        scene_line(page_of(flow), left_of(flow) + 1.5, top + 1.0, left_of(flow) + 1.5,
                   flow->y - 1.0, &(struct stroke){ COLOUR_INK, 2.2, 0.0 });
    }
    if (card->why != NULL) {
        flow->y += space(flow);
        add_words(flow, card->why, FACE_SERIF_ITALIC, COLOUR_INK, flow->sheet->body,
                  ROLE_PARAGRAPH);
    }
    if (card->prepare != NULL) {
        flow->y += space(flow);
        add_words(flow, card->prepare, FACE_SERIF, COLOUR_INK, flow->sheet->body, ROLE_PARAGRAPH);
    }
}

/* Whole, on the page that has room for it. */
static void add_profile(struct flow *flow, double max_heart_bpm, const struct limits *limits)
{
    const struct session_profile profile = session_profile_of(flow->card, max_heart_bpm, limits);
    flow->y += space(flow);
    struct scene *page = page_of(flow);
    const size_t before = page->count;
    double y = session_profile_draw(page, left_of(flow), flow->y, width_of(flow),
                                    flow->sheet->small, &profile);
    if (y > bottom_of(flow)) {
        page->count = before;
        page_add(flow);
        y = session_profile_draw(page_of(flow), left_of(flow), flow->y, width_of(flow),
                                 flow->sheet->small, &profile);
    }
    flow->y = y + space(flow);
}

static void add_part(struct flow *flow, const struct card_part *part)
{
    static const double DEEPER = 9.0;
    struct arena *arena = flow->arena;
    struct paragraph words = { .indent = DEEPER * part->depth,
                               .size = flow->sheet->body,
                               .role = ROLE_PARAGRAPH };
    words.runs[words.n++] = (struct run){ part->lead, FACE_SANS_STRONG, COLOUR_INK };
    if (part->rest != NULL) {
        words.runs[words.n++] =
            (struct run){ arena_format(arena, "  %s", part->rest), FACE_SANS, COLOUR_INK };
    }
    if (part->heart != NULL) {
        words.runs[words.n++] =
            (struct run){ arena_format(arena, " %s", part->heart), FACE_SANS, COLOUR_HEART_TEXT };
    }
    /* What is repeated stays with at least one of its parts. */
    need(flow, (part->repeats ? 4.0 : 1.0) * 1.4 * flow->sheet->body);
    const size_t page = flow->n;
    const double top = flow->y;
    add_paragraph(flow, &words);
    const double from = flow->n > page ? flow->top : top;
    for (int d = 0; d < part->depth; d++) {
        const double x = left_of(flow) + DEEPER * d + 2.0;
        scene_line(page_of(flow), x, from, x, flow->y,
                   &(struct stroke){ COLOUR_HAIRLINE, 1.0, 0.0 });
    }
    flow->y += part->repeats ? 0.5 : 2.0;
}

static void add_all(struct flow *flow, const char *label, const char *const words[], size_t n)
{
    for (size_t i = 0; i < n; i++) {
        if (label == NULL) {
            add_words(flow, words[i], FACE_SANS, COLOUR_INK, flow->sheet->small, ROLE_PARAGRAPH);
        } else {
            add_labelled(flow, label, words[i]);
        }
        flow->y += 1.0;
    }
}

/* When to stop stands out. */
static void add_cautions(struct flow *flow)
{
    for (size_t i = 0; i < flow->card->n_cautions; i++) {
        add_words(flow, flow->card->cautions[i], i == 0 ? FACE_SANS_STRONG : FACE_SANS, COLOUR_INK,
                  flow->sheet->small, ROLE_PARAGRAPH);
        flow->y += 1.0;
    }
}

/* The rule to write on stands at the right of each. */
static void add_questions(struct flow *flow)
{
    const double size = flow->sheet->small;
    const double room = 34.0;
    const double line = 1.7 * size;
    need(flow, (CARD_QUESTIONS + 1.0) * line);
    scene_line(page_of(flow), left_of(flow), flow->y, left_of(flow) + width_of(flow), flow->y,
               &(struct stroke){ COLOUR_HAIRLINE, 0.7, 0.0 });
    flow->y += space(flow);
    add_words(flow, flow->card->ask, FACE_SANS_STRONG, COLOUR_INK, size, ROLE_PARAGRAPH);
    for (int q = 0; q < CARD_QUESTIONS; q++) {
        flow->y += 0.35 * size;
        const struct paragraph question = { .runs = { { flow->card->questions[q], FACE_SANS,
                                                        COLOUR_INK } },
                                            .n = 1,
                                            .size = size,
                                            .right = room + 6.0,
                                            .role = ROLE_PARAGRAPH };
        add_paragraph(flow, &question);
        const double right = left_of(flow) + width_of(flow);
        scene_line(page_of(flow), right - room, flow->y - 0.3 * size, right, flow->y - 0.3 * size,
                   &(struct stroke){ COLOUR_QUIET, 0.6, 0.0 });
    }
}

static void number_pages(const struct flow *flow)
{
    const struct text_style style = { FACE_SANS, flow->sheet->small, COLOUR_QUIET, ANCHOR_RIGHT };
    for (size_t i = 0; flow->n > 1 && i < flow->n; i++) {
        scene_begin_part(&flow->pages[i], ROLE_PARAGRAPH, NULL);
        scene_text(&flow->pages[i], left_of(flow) + width_of(flow),
                   flow->sheet->height - flow->sheet->margin - 0.25 * style.size, &style,
                   card_page_words(flow->arena, i + 1, flow->n));
        scene_end_part(&flow->pages[i]);
    }
}

void session_card_draw(struct arena *arena, struct fonts *fonts, const struct session_card *card,
                       double max_heart_bpm, const struct limits *limits, enum card_paper paper,
                       struct card_pages *pages)
{
    struct flow flow = { .arena = arena, .fonts = fonts, .card = card, .sheet = &sheets[paper] };
    page_add(&flow);
    add_head(&flow);
    add_profile(&flow, max_heart_bpm, limits);
    for (size_t i = 0; i < card->n_parts; i++) {
        add_part(&flow, &card->parts[i]);
    }
    flow.y += space(&flow);
    add_all(&flow, NULL, card->ways, card->n_ways);
    /* When to stop stands near what is ridden: of two pages the first is carried. */
    add_cautions(&flow);
    flow.y += 0.5 * space(&flow);
    add_all(&flow, NULL, card->plan_b, card->n_plan_b);
    add_all(&flow, card_note_label(), card->notes, card->n_notes);
    flow.y += space(&flow);
    add_questions(&flow);
    number_pages(&flow);
    struct scene *all = ARENA_ARRAY(arena, struct scene, pages->n + flow.n);
    for (size_t i = 0; i < pages->n + flow.n; i++) {
        all[i] = i < pages->n ? pages->pages[i] : flow.pages[i - pages->n];
    }
    pages->pages = all;
    pages->n += flow.n;
}
