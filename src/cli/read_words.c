/* cli/read_words.c: the page of `read` on a terminal. */
#include "cli/read_words.h"

#include "cli/gauge_words.h"
#include "coaching/ride_balance.h"
#include "coaching/words/power_words.h"
#include "coaching/words/words.h"

#include <math.h>
#include <string.h>

enum { WIDTH = 80, INDENT = 2, HANG = 4, LABEL = 12 };

/* Words in a paragraph of their own, indented. */
static void add_paragraph(struct text *out, size_t indent, const char *words)
{
    if (words == NULL || words[0] == '\0') {
        return;
    }
    text_add_format(out, "%*s", (int)indent, "");
    text_add_wrapped(out, words, indent, indent, WIDTH);
}

/* "  because    the words": label in a column of its own, the rest hangs behind it. */
static void add_labelled(struct text *out, const char *label, const char *words)
{
    if (words == NULL) {
        return;
    }
    const size_t hang = HANG + LABEL;
    text_add_format(out, "%*s%-*s", HANG, "", LABEL, label);
    text_add_wrapped(out, words, hang, hang, WIDTH);
}

/* `said` is the sentence above: what it holds already isn't said twice. */
static void add_causes(struct text *out, const char *label, const char *said,
                       const struct causes *causes)
{
    bool first = true;
    for (size_t i = 0; i < causes->count; i++) {
        const char *words = causes->items[i].text;
        if (words == NULL || (said != NULL && strstr(said, words) != NULL)) {
            continue;
        }
        add_labelled(out, first ? label : "", words);
        first = false;
    }
}

void read_words_add_reading(struct text *out, const char *heading, const struct reading *reading)
{
    text_add_format(out, "\n%*s%s  %s\n", INDENT, "", heading, words_verdict(reading->verdict));
    add_paragraph(out, HANG, reading->text);
    struct gauge gauge;
    if (reading_gauge(out->arena, reading, &gauge)) {
        gauge_words_add(out, &gauge, HANG + 2);
    }
    /* The findings stand under the first question one by one. */
    if (reading->question != QUESTION_TRUST) {
        add_causes(out, "because", reading->text, &reading->because);
    }
    add_causes(out, "can't tell:", reading->text, &reading->cannot_because);
    add_causes(out, "to settle:", reading->text, &reading->settle_by);
}

static const char *or_dash(struct arena *arena, double value, const char *format)
{
    if (isnan(value)) {
        return "-";
    }
#pragma GCC diagnostic push
#pragma GCC diagnostic ignored "-Wformat-nonliteral"
    return arena_format(arena, format, value);
#pragma GCC diagnostic pop
}

static const char *clock_or_dash(struct arena *arena, double seconds)
{
    return isnan(seconds) ? "-" : words_clock(arena, (int32_t)lround(seconds));
}

static void add_rep_table(struct text *out, const struct ride_readings *readings)
{
    struct arena *arena = out->arena;
    const struct reps *reps = &readings->reps;
    text_add_format(out, "\n%*s%3s %7s %7s %4s %4s %5s %5s %5s  %-11s %s\n", INDENT, "", "rep",
                    "from", "length", "W", "%", "below", "in", "above", "thirds W", "verdict");
    for (size_t i = 0; i < reps->count; i++) {
        const struct rep *rep = &reps->items[i];
        const char *thirds = arena_format(
            arena, "%s %s %s", or_dash(arena, rep->first_third_w, "%.0f"),
            or_dash(arena, rep->middle_third_w, "%.0f"), or_dash(arena, rep->last_third_w, "%.0f"));
        text_add_format(
            out, "%*s%3zu %7s %7s %4s %4s %5s %5s %5s  %-11s %s\n", INDENT, "", i + 1,
            words_clock(arena, rep->span.from_s),
            words_clock(arena, rep->span.to_s - rep->span.from_s),
            or_dash(arena, rep->mean_power_w, "%.0f"),
            or_dash(arena, rep->pct_of_threshold, "%.0f"), clock_or_dash(arena, rep->below_s),
            clock_or_dash(arena, rep->in_s), clock_or_dash(arena, rep->above_s), thirds,
            readings->rep_verdicts == NULL ? "" : words_verdict(readings->rep_verdicts[i]));
    }
}

static bool has_heart(const struct reps *reps)
{
    for (size_t i = 0; i < reps->count; i++) {
        if (!isnan(reps->items[i].heart_peak_bpm)) {
            return true;
        }
    }
    return false;
}

static void add_heart_table(struct text *out, const struct ride_readings *readings)
{
    struct arena *arena = out->arena;
    const struct reps *reps = &readings->reps;
    if (!has_heart(reps)) {
        return;
    }
    text_add_format(out, "\n%*s%3s %11s %10s %15s %11s %15s\n", INDENT, "", "rep", "heart from",
                    "to peak", "90 % of max in", "time there", "60 s after");
    for (size_t i = 0; i < reps->count; i++) {
        const struct rep *rep = &reps->items[i];
        text_add_format(out, "%*s%3zu %11s %10s %15s %11s %15s\n", INDENT, "", i + 1,
                        or_dash(arena, rep->heart_start_bpm, "%.0f"),
                        or_dash(arena, rep->heart_peak_bpm, "%.0f"),
                        clock_or_dash(arena, rep->heart_to_90_s),
                        clock_or_dash(arena, rep->heart_at_90_s),
                        or_dash(arena, -rep->recovery_60s_bpm, "%+.0f"));
    }
}

/* What each rep took of the work above critical power, and about what was left.  Where critical
 * power isn't known nothing is said: `critical` says why. */
static void add_balance_table(struct text *out, const struct ride_balance *balance)
{
    struct arena *arena = out->arena;
    if (balance == NULL || balance->end != BALANCE_KNOWN ||
        (balance->n_reps == 0 && !balance->trace.is_wrong)) {
        return;
    }
    text_add_format(out, "\n%*s", INDENT, "");
    text_add_wrapped(out, words_ride_balance(arena, balance), INDENT, INDENT, 80);
    if (balance->trace.is_wrong) {
        return;
    }
    text_add_format(out, "\n%*s%3s %14s %16s\n", INDENT, "", "rep", "took about, kJ",
                    "left about, kJ");
    for (size_t i = 0; i < balance->n_reps; i++) {
        const struct rep_balance *rep = &balance->reps[i];
        text_add_format(out, "%*s%3zu %14s %16s\n", INDENT, "", i + 1,
                        or_dash(arena, rep->cost_j / 1000.0, "%.1f"),
                        arena_format(arena, "%.0f (%.0f to %.0f)", fmax(rep->left_j, 0.0) / 1000.0,
                                     fmax(rep->left_low_j, 0.0) / 1000.0,
                                     fmax(rep->left_high_j, 0.0) / 1000.0));
    }
}

/* "10 min    257 W  3.81 W/kg  at 12:04"; 38 columns. */
static const char *best_words(struct arena *arena, const struct rider_facts *facts,
                              const struct best *best)
{
    const char *by_weight =
        isnan(facts->weight_kg)
            ? ""
            : arena_format(arena, " %5.2f W/kg", best->power_w / facts->weight_kg);
    return arena_format(arena, "%9s %s%4.0f W%s  at %s", words_duration(arena, best->duration_s),
                        best->at_least ? ">" : " ", best->power_w, by_weight,
                        words_clock(arena, best->start_s));
}

/* Two columns, read downwards. */
static void add_bests(struct text *out, const struct rider_facts *facts, const struct bests *bests)
{
    if (bests->count == 0) {
        return;
    }
    bool any_at_least = false;
    const size_t rows = (bests->count + 1) / 2;
    text_add_format(out, "\n%*sBests\n", INDENT, "");
    for (size_t i = 0; i < rows; i++) {
        text_add_format(out, "%*s%-38s", INDENT, "",
                        best_words(out->arena, facts, &bests->items[i]));
        any_at_least = any_at_least || bests->items[i].at_least;
        if (i + rows < bests->count) {
            text_add(out, best_words(out->arena, facts, &bests->items[i + rows]));
            any_at_least = any_at_least || bests->items[i + rows].at_least;
        }
        text_add(out, "\n");
    }
    if (any_at_least) {
        add_paragraph(out, HANG, arena_format(out->arena, "> %s", words_at_least()));
    }
}

static void add_zones(struct text *out, const struct rider_facts *facts,
                      const struct ride_readings *readings)
{
    struct arena *arena = out->arena;
    if (isnan(facts->threshold_w) || isnan(readings->zone_s[0])) {
        return;
    }
    text_add_format(out, "\n%*sTime in zones, threshold %.0f W\n", INDENT, "", facts->threshold_w);
    double lower = 0.0;
    for (size_t i = 0; i < facts->zones.count; i++) {
        const double upper = facts->zones.upper_pct[i];
        const char *range = isinf(upper) ? arena_format(arena, "over %.0f %%", lower)
                                         : arena_format(arena, "to %.0f %%", upper);
        text_add_format(out, "%*s%-24s %12s  %10s\n", HANG, "", facts->zones.name[i], range,
                        words_duration(arena, readings->zone_s[i]));
        lower = upper;
    }
}

void read_words_add(struct text *out, const struct ride_source *source,
                    const struct recording *recording, const struct rider_facts *facts,
                    const struct ride_readings *readings, const struct bests *bests)
{
    text_add(out, source->file);
    if (recording->parts > 1) {
        text_add_format(out, "  (%zu of %zu)", recording->part, recording->parts);
    }
    text_add(out, "\n");
    add_paragraph(out, INDENT, readings->summary);
    for (size_t i = 0; i < readings->cautions.count; i++) {
        add_labelled(out, "CAUTION", readings->cautions.items[i].text);
    }
    for (size_t i = 0; i < readings->count; i++) {
        const struct reading *reading = &readings->items[i];
        if (reading->rep > 0) {
            continue; /* the table of reps says it */
        }
        if (reading->set > 0) {
            if (readings->reps.n_sets > 1) {
                add_labelled(out, arena_format(out->arena, "set %d", reading->set), reading->text);
            }
            continue;
        }
        read_words_add_reading(out, words_question(reading->question), reading);
        if (reading->question == QUESTION_TRUST && readings->finding_texts != NULL) {
            for (size_t f = 0; f < recording->n_findings; f++) {
                if (reading->text != NULL &&
                    strstr(reading->text, readings->finding_texts[f]) != NULL) {
                    continue;
                }
                add_labelled(out, finding_effect_name(recording->findings[f].effect),
                             readings->finding_texts[f]);
            }
        }
    }
    if (readings->reps.count > 0) {
        add_rep_table(out, readings);
        add_heart_table(out, readings);
    }
    add_balance_table(out, readings->balance);
    add_zones(out, facts, readings);
    add_bests(out, facts, bests);
}
