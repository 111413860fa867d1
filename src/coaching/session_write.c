/* coaching/session_write.c: a session as text. */
#include "coaching/session_text.h"

enum { MINUTE_S = 60, HOUR_S = 3600, SHORT_S = 120 };

void session_write_length(struct text *out, int32_t seconds)
{
    const int32_t h = seconds < 2 * HOUR_S ? 0 : seconds / HOUR_S; /* "90 min", as coaches say */
    const int32_t min = (seconds - h * HOUR_S) / MINUTE_S;
    const int32_t s = seconds % MINUTE_S;
    if (seconds == 0) {
        text_add(out, "until the button");
    } else if (seconds < SHORT_S && s != 0) {
        text_add_format(out, "%d s", (int)seconds);
    } else {
        const char *blank = "";
        if (h > 0) {
            text_add_format(out, "%d h", (int)h);
            blank = " ";
        }
        if (min > 0) {
            text_add_format(out, "%s%d min", blank, (int)min);
            blank = " ";
        }
        if (s > 0) {
            text_add_format(out, "%s%d s", blank, (int)s);
        }
    }
}

static void write_range(struct text *out, int32_t low, int32_t high)
{
    if (low == high) {
        text_add_format(out, "%d", (int)low);
    } else {
        text_add_format(out, "%d-%d", (int)low, (int)high);
    }
}

void session_write_aim(struct text *out, enum session_aim aim, int32_t low, int32_t high)
{
    switch (aim) {
    case AIM_ALL_OUT: text_add(out, "all out"); return;
    case AIM_EFFORT: text_add(out, "effort "); break;
    case AIM_PCT:
    case AIM_W:
    case AIM_BPM:
    case AIM_MAX_PCT: break;
    case AIM_FREE:
    case AIMS: return;
    }
    write_range(out, low, high);
    text_add(out, aim == AIM_PCT       ? " %"
                  : aim == AIM_W       ? " W"
                  : aim == AIM_BPM     ? " bpm"
                  : aim == AIM_MAX_PCT ? " % of maximal heart rate"
                                       : "");
}

void session_write_step(struct text *out, const struct session_step *step)
{
    static const char *const roles[ROLES] = { "", "warm up ", "rest ", "cool down " };
    text_add(out, roles[step->role]);
    session_write_length(out, step->seconds);
    if (step->rises) {
        text_add_format(out, " rising from %d to %d %s", (int)step->low, (int)step->high,
                        step->aim == AIM_W ? "W" : "%");
    } else if (step->aim != AIM_FREE) {
        text_add(out, step->aim == AIM_ALL_OUT ? " " : " at ");
        session_write_aim(out, step->aim, step->low, step->high);
    }
    if (step->rpm_high > 0) {
        text_add(out, " with ");
        write_range(out, step->rpm_low, step->rpm_high);
        text_add(out, " rpm");
    }
    if (step->words != NULL) {
        text_add_format(out, " \"%s\"", step->words);
    }
}

/* Depth is at most SESSION_DEPTH_MOST. */
static void write_items(struct text *out, const struct session_item items[], size_t n)
{
    for (size_t i = 0; i < n; i++) {
        const bool repeats = items[i].times > 0;
        text_add(out, i == 0 ? "" : repeats ? ", then " : ", ");
        if (!repeats) {
            session_write_step(out, &items[i].step);
            continue;
        }
        text_add_format(out, "%d times (", (int)items[i].times);
        write_items(out, items[i].items, items[i].n_items);
        text_add(out, ")");
    }
}

/* A session that was read from SESSION_BYTES_MOST never needs more. */
enum { WRITTEN_MOST = 16 * SESSION_BYTES_MOST };

const char *session_write(struct arena *arena, const struct session *session)
{
    struct text out = text_begin(arena, WRITTEN_MOST);
    for (size_t i = 0; i < session->n_lines; i++) {
        const struct session_line *line = &session->lines[i];
        text_add(&out, i == 0 ? "" : "\n");
        if (line->kind == LINE_NOTE) {
            text_add_format(&out, "note: %s", line->words);
            continue;
        }
        if (line->kind == LINE_PLAN_B) {
            text_add_format(&out, "plan B%s%s: ", line->words == NULL ? "" : " ",
                            line->words == NULL ? "" : line->words);
        }
        write_items(&out, line->items, line->n_items);
    }
    return out.bytes;
}
