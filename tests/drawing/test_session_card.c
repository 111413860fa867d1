/* A session's card on paper: whatever is asked, of whomever, no word lies on another or in the
 * margin, none is smaller than what can be read, and every sentence of the card is there. */
#include "drawing/draw_check.h"

#include "coaching/session_library.h"
#include "coaching/session_text.h"
#include "drawing/paint.h"
#include "drawing/session_card.h"
#include "drawing/session_profile.h"
#include "maths/random.h"

#include <stdio.h>

enum { WAYS = 6 };

static const struct heart_response response = { .end = RESPONSE_FITTED,
                                                .n_rides = 20,
                                                .threshold_w = 246.0,
                                                .node = 14,
                                                .tau_s = 55.0,
                                                .dead_s = 5.0,
                                                .gain_bpm_per_w = 0.35,
                                                .gain_low = 0.3,
                                                .gain_high = 0.4,
                                                .rest_bpm = 72.0,
                                                .drift_bpm_per_h = 8.0,
                                                .error_bpm = 3.0,
                                                .day_sd_bpm = 4.5 };

/* Power, none, medicine, pregnancy without power, nothing known, not screened. */
static struct rider_facts facts_of(int way)
{
    struct rider_facts facts = facts_unknown();
    facts.zones = zones_default();
    facts.screened = way == 5 ? SCREENED_NOT : SCREENED_ALL_NO;
    if (way == 4) {
        return facts;
    }
    facts.threshold_w = way == 3 ? (double)NAN : 246.0;
    facts.max_heart_rate_bpm = 189.0;
    facts.rest_heart_rate_bpm = way == 1 ? 52.0 : (double)NAN;
    facts.heart_medicine = way == 2;
    facts.pregnant = way == 3;
    facts.age_y = way == 5 ? 16.0 : 34.0;
    return facts;
}

/* Of words, and of one without a blank. */
#define LONG_NAME                                                                                  \
    "Maria Wilhelmina Oosterhuizen-Vandenberghe-Montgomery of the Upper Lantern Ridge "            \
    "Wwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwww"

struct drawn {
    struct arena *arena;
    struct fonts *fonts;
    struct limits limits;
};

/* Critical power that every hard session is too much for: the card says so too. */
static const struct session_outlook *outlook_of(const struct drawn *drawn,
                                                const struct session *session,
                                                const struct rider_facts *facts, int way)
{
    const struct expected_rider rider = {
        .response = way == 0 || way == 2 ? &response : NULL,
        .w = { 240, (double)NAN, (double)NAN, 6000, (double)NAN, (double)NAN },
        .threshold_w = facts->threshold_w,
        .max_heart_bpm = facts->max_heart_rate_bpm,
        .zones = &facts->zones,
    };
    const struct outlook_ask ask = { session, &rider, facts, false };
    struct session_outlook *outlook = ARENA_ARRAY(drawn->arena, struct session_outlook, 1);
    *outlook = outlook_read(drawn->arena, &ask, &drawn->limits);
    return outlook;
}

static struct session_card card_of(const struct drawn *drawn, const char *row, const char *name,
                                   const char *kind, const char *words, const char *why, int way)
{
    struct session *session = ARENA_ARRAY(drawn->arena, struct session, 1);
    struct rider_facts *facts = ARENA_ARRAY(drawn->arena, struct rider_facts, 1);
    struct session_fault fault = { 0 };
    const bool read = session_read(drawn->arena, words, session, &fault);
    check_text(row, read ? "" : session_fault_words(drawn->arena, &fault), "");
    *facts = facts_of(way);
    const struct card_asked asked = { .name = name,
                                      .kind = kind,
                                      .why = why,
                                      .rider = way == 3 ? LONG_NAME : "Ada Berg",
                                      .day = 20800,
                                      .session = session,
                                      .facts = facts,
                                      .outlook = outlook_of(drawn, session, facts, way),
                                      .no_power = way == 1 };
    return session_card_make(drawn->arena, &asked, &drawn->limits);
}

/* All words of the pages but heads and numbers, one after another with single blanks. */
static const char *words_of(struct arena *arena, const struct card_pages *pages)
{
    struct text out = text_begin(arena, 1000000);
    for (size_t p = 0; p < pages->n; p++) {
        const struct scene *page = &pages->pages[p];
        for (size_t i = 0; i < page->count; i++) {
            const bool is_words = page->items[i].kind == ITEM_PARAGRAPH;
            for (size_t r = 0; is_words && r < page->items[i].n_runs; r++) {
                for (const char *c = page->items[i].runs[r].words; *c != '\0'; c++) {
                    if (*c != ' ') {
                        text_add_bytes(&out, c, 1);
                    }
                }
            }
        }
    }
    return out.bytes;
}

/* Blanks are where lines and pages break.  Where the words begin. */
static const char *check_said(struct arena *arena, const char *row, const char *all,
                              const char *words)
{
    struct text bare = text_begin(arena, 100000);
    for (const char *c = words == NULL ? "" : words; *c != '\0'; c++) {
        if (*c != ' ') {
            text_add_bytes(&bare, c, 1);
        }
    }
    const char *at = strstr(all, bare.bytes);
    if (at == NULL) {
        check_text(row, all, bare.bytes);
    }
    return at;
}

static void check_list(struct arena *arena, const char *row, const char *all,
                       const char *const words[], size_t n)
{
    for (size_t i = 0; i < n; i++) {
        check_said(arena, row, all, words[i]);
    }
}

static void check_all_said(struct arena *arena, const char *row, const struct session_card *card,
                           const struct card_pages *pages)
{
    const char *all = words_of(arena, pages);
    check_said(arena, row, all, card->title);
    check_said(arena, row, all, card->under);
    check_said(arena, row, all, card->about);
    check_said(arena, row, all, card->why);
    check_said(arena, row, all, card->prepare);
    check_said(arena, row, all, card->ask);
    check_list(arena, row, all, card->alarms, card->n_alarms);
    check_list(arena, row, all, card->ways, card->n_ways);
    check_list(arena, row, all, card->cautions, card->n_cautions);
    check_list(arena, row, all, card->plan_b, card->n_plan_b);
    check_list(arena, row, all, card->notes, card->n_notes);
    check_list(arena, row, all, card->questions, CARD_QUESTIONS);
    /* When to stop comes before what may wait for the second page. */
    if (card->n_cautions > 0 && card->n_plan_b > 0) {
        check(check_said(arena, row, all, card->cautions[0]) <
              check_said(arena, row, all, card->plan_b[0]));
    }
    for (size_t i = 0; i < card->n_parts; i++) {
        check_said(arena, row, all, card->parts[i].lead);
        check_said(arena, row, all, card->parts[i].rest);
        check_said(arena, row, all, card->parts[i].heart);
    }
}

/* A hundredth of a point is no clipping. */
static void check_page(const char *row, const struct scene *page, double margin)
{
    static const double HAIR = 0.01;
    draw_check_sound(row, page);
    for (size_t i = 0; i < page->count; i++) {
        const struct item *item = &page->items[i];
        if (item->kind == ITEM_BEGIN || item->kind == ITEM_END) {
            continue;
        }
        const struct place *place = &item->place;
        check(place->x >= margin - HAIR && place->y >= margin - HAIR);
        check(place->x + place->width <= page->width - margin + HAIR);
        check(place->y + place->height <= page->height - margin + HAIR);
        if (item->kind == ITEM_TEXT || item->kind == ITEM_PARAGRAPH) {
            check(item->size >= LETTERS_LEAST);
        }
    }
}

static struct card_pages check_card(const struct drawn *drawn, const char *row,
                                    const struct session_card *card, enum card_paper paper)
{
    struct card_pages pages = { 0 };
    session_card_draw(drawn->arena, drawn->fonts, card, 189.0, &drawn->limits, paper, &pages);
    for (size_t i = 0; i < pages.n; i++) {
        check_page(row, &pages.pages[i], card_paper_margin(paper));
    }
    check_all_said(drawn->arena, row, card, &pages);
    return pages;
}

static struct drawn begin(void)
{
    struct arena *arena = arena_open();
    struct drawn drawn = { arena, draw_fonts(arena), { { 0 } } };
    drawn.limits = limits_default();
    return drawn;
}

static void end(const struct drawn *drawn)
{
    fonts_close(drawn->fonts);
    arena_close(drawn->arena);
}

static void test_session_card__every_session_of_the_library_for_everybody(void **state)
{
    (void)state;
    struct drawn drawn = begin();
    for (size_t i = 0; i < session_library_count; i++) {
        const struct library_session *named = &session_library[i];
        for (int way = 0; way < WAYS; way++) {
            const char *row = arena_format(drawn.arena, "%s, way %d", named->name, way);
            const struct session_card card =
                card_of(&drawn, row, named->title, named->kind, named->words, "Why so.", way);
            for (int paper = 0; paper < CARD_PAPERS; paper++) {
                const struct card_pages pages =
                    check_card(&drawn, row, &card, (enum card_paper)paper);
                check(pages.n >= 1 && pages.n <= 2);
            }
        }
    }
    end(&drawn);
}

/* The longest that is taken: titles, words, notes with and without blanks, many parts. */
static void test_session_card__the_longest_texts_go_on_to_more_pages(void **state)
{
    (void)state;
    struct drawn drawn = begin();
    char blanks[3901];
    char solid[3901];
    for (size_t i = 0; i < 3900; i++) {
        blanks[i] = i % 7 == 6 ? ' ' : 'W';
        solid[i] = 'W';
    }
    blanks[3900] = solid[3900] = '\0';
    blanks[3899] = 'W';
    struct text many = text_begin(drawn.arena, SESSION_BYTES_MOST);
    for (int i = 0; i < 40; i++) {
        text_add_format(&many, "%s%d s at 50-%d %% with 80-100 rpm \"%s\"", i == 0 ? "" : ", ",
                        31 + i, 60 + i, "mind the wind and the others behind you");
    }
    const char *const words[] = {
        arena_format(drawn.arena, "10 min at 50 %%\nnote: %s", blanks),
        arena_format(drawn.arena, "10 min at 50 %%\nnote: %s", solid),
        many.bytes,
        arena_format(drawn.arena,
                     "10 min at 50 %%\nplan B with %.100s: 9 times (3 times (20 s at 110-120 %%, "
                     "40 s at 45-55 %%), rest 5 min at 45 %%), 20 min at 130-145 bpm, cool down "
                     "10 min at 45 %%\nplan B with %.100s: 30 min at effort 3-4",
                     solid, blanks),
        "until the button at 200 W, until the button",
        "33 times (3 times (2 times (10 s at 400 %, 10 s)))",
        "12 h at 1 %",
        "1 s at 2500 W",
        "5 min at 130-145 bpm, 20 min at 65-75 % of maximal heart rate, 5 min at effort 3-4, 2 min",
    };
    char title[121];
    memset(title, 'M', 120);
    title[120] = '\0';
    for (size_t i = 0; i < COUNT(words); i++) {
        for (int way = 0; way < WAYS; way++) {
            const char *row = arena_format(drawn.arena, "long %zu, way %d", i, way);
            const struct session_card card =
                card_of(&drawn, row, title, "other", words[i], blanks, way);
            for (int paper = 0; paper < CARD_PAPERS; paper++) {
                check_card(&drawn, row, &card, (enum card_paper)paper);
            }
        }
    }
    end(&drawn);
}

/* Random steps: nothing in the profile collides, alone from the narrowest figure to a wide one. */
static void test_session_profile__random_sessions_are_drawn_without_fault(void **state)
{
    (void)state;
    struct drawn drawn = begin();
    struct random random = random_begin(7);
    static const char *const aims[] = {
        " at %d-%d %%", " at %d-%d W", " at effort 3-4", " all out", "", " at %d-%d bpm",
    };
    for (int round = 0; round < 400; round++) {
        struct text words = text_begin(drawn.arena, SESSION_BYTES_MOST);
        const int n = 1 + (int)random_below(&random, 6);
        for (int i = 0; i < n; i++) {
            const bool repeats = random_below(&random, 3) == 0;
            const int low = 45 + (int)random_below(&random, 90);
            const int high = low + (int)random_below(&random, 20);
            const char *aim = aims[random_below(&random, COUNT(aims))];
            text_add_format(&words, "%s%s%d s", i == 0 ? "" : ", ", repeats ? "7 times (" : "",
                            5 + (int)random_below(&random, 900));
            if (strchr(aim, '%') != NULL) {
                const char *unit = strstr(aim, "W") != NULL     ? "W"
                                   : strstr(aim, "bpm") != NULL ? "bpm"
                                                                : "%";
                text_add_format(&words, " at %d-%d %s", low, high, unit);
            } else {
                text_add(&words, aim);
            }
            text_add(&words, repeats ? ", 20 s at 50 %)" : "");
        }
        const struct session_card card =
            card_of(&drawn, words.bytes, "Random", "other", words.bytes, NULL, (int)(round % WAYS));
        const struct session_profile profile = session_profile_of(&card, 189.0, &drawn.limits);
        static const double widths[] = { 215.0, 333.0, 520.0, 1200.0 };
        const struct figure_maker maker = { drawn.arena, drawn.fonts, widths[round % 4] };
        const struct scene scene = session_profile_figure(&maker, "Profile", &profile);
        draw_check_sound(words.bytes, &scene);
        check(scene.table != NULL && scene.table->n_rows >= (size_t)n);
    }
    end(&drawn);
}

/* By hand: 15 min of 60 are a quarter of the width; 50-60 % of 246 W are two lines whose heights
 * are as 5 to 6. */
static void test_session_profile__places_follow_time_and_range(void **state)
{
    (void)state;
    struct drawn drawn = begin();
    const struct session_card card =
        card_of(&drawn, "hour", "Hour", "easy", "15 min at 50-60 %, 45 min at 100 %", NULL, 0);
    const struct session_profile profile = session_profile_of(&card, 189.0, &drawn.limits);
    struct scene scene = scene_begin(drawn.arena, drawn.fonts, "hour", 400.0);
    scene.height = session_profile_draw(&scene, 0.0, 0.0, 400.0, 8.0, &profile);
    const struct item *areas[2] = { NULL, NULL };
    const struct item *lines[3] = { NULL, NULL, NULL };
    size_t n_areas = 0;
    size_t n_lines = 0;
    for (size_t i = 0; i < scene.count; i++) {
        const struct item *item = &scene.items[i];
        if (item->kind == ITEM_AREA && n_areas < 2) {
            areas[n_areas++] = item;
        }
        if (item->kind == ITEM_PATH && item->stroke.colour == COLOUR_INK && n_lines < 3) {
            lines[n_lines++] = item;
        }
    }
    check(n_areas == 2 && n_lines == 3);
    check_close("time", areas[1]->place.width / areas[0]->place.width, 3.0, 1e-9);
    const double floor_y = areas[0]->place.y + areas[0]->place.height;
    const double sixty = floor_y - lines[0]->place.y;
    const double fifty = floor_y - lines[1]->place.y;
    const double hundred = floor_y - lines[2]->place.y;
    check_close("range", fifty / sixty, 5.0 / 6.0, 1e-9);
    check_close("range", sixty / hundred, 0.6, 1e-9);
    /* zones of common practice: 55 % is still zone 1, 100 % is zone 4 */
    const char *dump = draw_dump(&scene);
    if (strstr(dump, "\"1\"") == NULL || strstr(dump, "\"4\"") == NULL) {
        check_text("zones", dump, "1 and 4");
    }
    end(&drawn);
}

static void test_paint_pages__the_same_pages_give_the_same_bytes(void **state)
{
    (void)state;
    struct drawn drawn = begin();
    struct error err = { 0 };
    const struct library_session *named = session_library_find("vo2max");
    const struct session_card card =
        card_of(&drawn, "vo2max", named->title, named->kind, named->words, NULL, 0);
    struct card_pages pages = check_card(&drawn, "a6", &card, CARD_A6);
    session_card_draw(drawn.arena, drawn.fonts, &card, 189.0, &drawn.limits, CARD_A5, &pages);
    struct bytes first = { 0 };
    struct bytes second = { 0 };
    must(paint_pages(drawn.arena, pages.pages, pages.n, &first, &err), &err);
    must(paint_pages(drawn.arena, pages.pages, pages.n, &second, &err), &err);
    check(first.size == second.size && memcmp(first.at, second.at, first.size) == 0);
    end(&drawn);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_session_card__every_session_of_the_library_for_everybody),
        cmocka_unit_test(test_session_card__the_longest_texts_go_on_to_more_pages),
        cmocka_unit_test(test_session_profile__random_sessions_are_drawn_without_fault),
        cmocka_unit_test(test_session_profile__places_follow_time_and_range),
        cmocka_unit_test(test_paint_pages__the_same_pages_give_the_same_bytes),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
