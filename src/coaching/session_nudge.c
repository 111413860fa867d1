/* coaching/session_nudge.c: a session made a step harder, easier, longer or shorter. */
#include "coaching/session_nudge.h"

#include <math.h>
#include <string.h>

/* The scale of effort has whole numbers: the smallest step there is. */
enum { EFFORT_STEP = 1 };

bool session_nudge_find(const char *name, enum session_nudge *out)
{
    static const char *const names[SESSION_NUDGES] = { "harder", "easier", "longer", "shorter" };
    for (size_t i = 0; i < SESSION_NUDGES; i++) {
        if (strcmp(name, names[i]) == 0) {
            *out = (enum session_nudge)i;
            return true;
        }
    }
    return false;
}

/* ---- the work ---- */

struct look {
    double threshold_w;
    const struct limits *limits;
    bool only_hard; /* something is: the rest isn't the work */
};

static bool is_hard(const struct look *look, const struct session_step *step)
{
    const double middle = 0.5 * ((double)step->low + (double)step->high);
    switch (step->aim) {
    case AIM_PCT: return middle >= look->limits->value[LIMIT_SAFE_HARD_PCT];
    case AIM_W:
        return 100.0 * middle >= look->limits->value[LIMIT_SAFE_HARD_PCT] * look->threshold_w;
    case AIM_EFFORT: return middle >= look->limits->value[LIMIT_HARD_DAY_EFFORT];
    case AIM_FREE:
    case AIM_BPM:
    case AIM_MAX_PCT:
    case AIM_ALL_OUT:
    case AIMS: break;
    }
    return false;
}

static bool is_work(const struct look *look, const struct session_step *step)
{
    const bool moves = step->aim == AIM_PCT || step->aim == AIM_W || step->aim == AIM_EFFORT;
    return moves && step->role == ROLE_NONE && (!look->only_hard || is_hard(look, step));
}

static bool any_hard(const struct look *look, const struct session_item items[], size_t n)
{
    bool found = false;
    for (size_t i = 0; i < n; i++) {
        const struct session_item *item = &items[i];
        found =
            found || (item->times == 0 ? item->step.role == ROLE_NONE && is_hard(look, &item->step)
                                       : any_hard(look, item->items, item->n_items));
    }
    return found;
}

static int64_t work_seconds(const struct look *look, const struct session_item *item)
{
    if (item->times == 0) {
        return is_work(look, &item->step) ? item->step.seconds : 0;
    }
    int64_t sum = 0;
    for (size_t i = 0; i < item->n_items; i++) {
        sum += work_seconds(look, &item->items[i]);
    }
    return sum * item->times;
}

/* ---- harder, easier ---- */

static int32_t ceiling(enum session_aim aim)
{
    return aim == AIM_PCT ? SESSION_PCT_MOST : aim == AIM_W ? SESSION_W_MOST : SESSION_EFFORT_MOST;
}

/* Both ends by one step, or neither. */
static bool move_step(const struct look *look, struct session_step *step, int32_t sign)
{
    const double pct = look->limits->value[LIMIT_NEXT_MORE_PCT];
    const double per_cent_w = look->threshold_w > 0.0 ? look->threshold_w : step->low;
    const int32_t by = step->aim == AIM_EFFORT ? EFFORT_STEP
                       : step->aim == AIM_PCT  ? (int32_t)lround(pct)
                                               : (int32_t)lround(pct * per_cent_w / 100.0);
    const int32_t low = step->low + sign * by;
    const int32_t high = step->high + sign * by;
    if (by == 0 || low < 1 || high > ceiling(step->aim)) {
        return false;
    }
    step->low = low;
    step->high = high;
    return true;
}

static bool move_all(const struct look *look, struct session_item items[], size_t n, int32_t sign)
{
    bool moved = false;
    for (size_t i = 0; i < n; i++) {
        if (items[i].times > 0) {
            moved = move_all(look, items[i].items, items[i].n_items, sign) || moved;
        } else if (is_work(look, &items[i].step)) {
            moved = move_step(look, &items[i].step, sign) || moved;
        }
    }
    return moved;
}

/* ---- longer, shorter ---- */

/* The repeat whose count says how many efforts: of two blocks of eight it is the eight. */
static struct session_item *count_of(const struct look *look, struct session_item *item)
{
    const bool is_sets = item->times < look->limits->value[LIMIT_NUDGE_REPS_FEW];
    for (size_t i = 0; is_sets && i < item->n_items; i++) {
        if (item->items[i].times > 0) {
            return count_of(look, &item->items[i]);
        }
    }
    return item;
}

static bool add_effort(const struct look *look, struct session_item *repeat, int32_t sign)
{
    struct session_item *count = count_of(look, repeat);
    if (count->times + sign < 1 || count->times + sign > SESSION_TIMES_MOST) {
        return false;
    }
    count->times += sign;
    return true;
}

static bool stretch(const struct look *look, struct session_step *step, int32_t sign)
{
    const double by_s = look->limits->value[LIMIT_NUDGE_LENGTH_S];
    const int32_t seconds = step->seconds + sign * (int32_t)lround(by_s);
    if (seconds < look->limits->value[LIMIT_NUDGE_LEAST_S] || seconds > SESSION_SECONDS_MOST) {
        return false;
    }
    step->seconds = seconds;
    return true;
}

/* Work that is ridden once; nothing is work where heart rate alone is asked: then all riding is. */
static int64_t once_seconds(const struct look *look, const struct session_step *step, bool any_work)
{
    const bool counts = any_work ? is_work(look, step) : step->role == ROLE_NONE;
    return counts ? step->seconds : 0;
}

static bool any_work(const struct look *look, const struct session *session)
{
    int64_t sum = 0;
    for (size_t l = 0; l < session->n_lines; l++) {
        const struct session_line *line = &session->lines[l];
        for (size_t i = 0; line->kind == LINE_BLOCK && i < line->n_items; i++) {
            sum += work_seconds(look, &line->items[i]);
        }
    }
    return sum > 0;
}

/* The repeat or the step with most of the work: an effort more, or so many minutes. */
static bool change_length(const struct look *look, const struct session *session, int32_t sign)
{
    struct session_item *most = NULL;
    int64_t most_s = 0;
    const bool has_work = any_work(look, session);
    for (size_t l = 0; l < session->n_lines; l++) {
        const struct session_line *line = &session->lines[l];
        for (size_t i = 0; line->kind == LINE_BLOCK && i < line->n_items; i++) {
            struct session_item *item = &line->items[i];
            const int64_t seconds = item->times > 0 ? work_seconds(look, item)
                                                    : once_seconds(look, &item->step, has_work);
            if (seconds > most_s) {
                most_s = seconds;
                most = item;
            }
        }
    }
    return most == NULL      ? false
           : most->times > 0 ? add_effort(look, most, sign)
                             : stretch(look, &most->step, sign);
}

bool session_nudge_make(struct session *session, enum session_nudge nudge, double threshold_w,
                        const struct limits *limits)
{
    struct look look = { .threshold_w = threshold_w, .limits = limits };
    const int32_t sign = nudge == SESSION_HARDER || nudge == SESSION_LONGER ? 1 : -1;
    bool changed = false;
    for (size_t l = 0; l < session->n_lines; l++) {
        const struct session_line *line = &session->lines[l];
        look.only_hard = look.only_hard ||
                         (line->kind == LINE_BLOCK && any_hard(&look, line->items, line->n_items));
    }
    if (nudge == SESSION_LONGER || nudge == SESSION_SHORTER) {
        return change_length(&look, session, sign);
    }
    for (size_t l = 0; l < session->n_lines; l++) {
        const struct session_line *line = &session->lines[l];
        if (line->kind == LINE_BLOCK) {
            changed = move_all(&look, line->items, line->n_items, sign) || changed;
        }
    }
    return changed;
}
