/* coaching/came_match.c: which ride is which session. */
#include "coaching/came_match.h"

#include "base/sorted.h"

/* Answers are made when they are asked for, and kept. */
struct one_ride {
    bool is_loaded;
    struct came_ride ride;
    bool is_taken;   /* by a session of its day */
    bool knows_late; /* the two below */
    size_t late_of;  /* session; n_sessions = none */
    struct came_back as_late;
    bool knows_early;
    size_t early_of;
    struct came_back as_early;
};

struct one_session {
    bool knows_own;
    size_t own; /* ride of its day; n_rides = none */
    struct came_back as_own;
    bool knows_late;
    size_t late; /* ride; n_rides = none */
};

struct came_match {
    struct arena *arena;
    const struct came_match_session *sessions; /* [n_sessions] */
    size_t n_sessions;
    const struct came_match_rides *from;
    size_t n_rides; /* up to today */
    int64_t today;
    int64_t reach;
    const struct limits *limits;
    struct one_session *of_session; /* [n_sessions] */
    struct one_ride *of_ride;       /* [n_rides] */
    size_t let_go;                  /* rides before it are let go */
};

struct came_match *came_match_begin(struct arena *arena, const struct came_match_session sessions[],
                                    size_t n, const struct came_match_rides *rides, int64_t today,
                                    const struct limits *limits)
{
    struct came_match *match = arena_alloc(arena, 1, sizeof *match);
    *match = (struct came_match){ .arena = arena,
                                  .sessions = sessions,
                                  .n_sessions = n,
                                  .from = rides,
                                  .n_rides = rides->n,
                                  .today = today,
                                  .reach = (int64_t)limits->value[LIMIT_CAME_BACK_DAYS],
                                  .limits = limits };
    while (match->n_rides > 0 && rides->days[match->n_rides - 1] > today) {
        match->n_rides--;
    }
    match->of_session = ARENA_ARRAY(arena, struct one_session, n + 1);
    match->of_ride = ARENA_ARRAY(arena, struct one_ride, match->n_rides + 1);
    return match;
}

/* ---- rides at hand ---- */

static bool take_ride(struct came_match *match, size_t i, const struct came_ride **out,
                      struct error *err)
{
    struct one_ride *one = &match->of_ride[i];
    if (!one->is_loaded && !match->from->load(match->from->context, i, &one->ride, err)) {
        return false;
    }
    one->is_loaded = true;
    match->let_go = i < match->let_go ? i : match->let_go;
    *out = &one->ride;
    return true;
}

void came_match_let_go(struct came_match *match, int64_t day)
{
    for (; match->let_go < match->n_rides && match->from->days[match->let_go] < day;
         match->let_go++) {
        struct one_ride *one = &match->of_ride[match->let_go];
        if (one->is_loaded && match->from->let_go != NULL) {
            match->from->let_go(match->from->context, match->let_go);
            one->is_loaded = false;
        }
    }
}

/* Compares in scratch, and keeps what may be kept: most comparisons end in nothing. */
static bool compare(struct came_match *match, size_t session, size_t ride, struct came_back *out,
                    struct error *err)
{
    const struct came_ride *at = NULL;
    if (!take_ride(match, ride, &at, err)) {
        return false;
    }
    struct arena *scratch = arena_open();
    came_back_compare(scratch, match->sessions[session].session, at, match->limits, out);
    out->steps = out->n_steps == 0
                     ? NULL
                     : arena_copy(match->arena, out->steps, out->n_steps * sizeof out->steps[0]);
    arena_close(scratch);
    return true;
}

/* ---- 1: of their own day ---- */

struct day_of {
    size_t first_session;
    size_t end_session;
    size_t first_ride;
    size_t end_ride;
};

static size_t first_session_from(const struct came_match *match, int64_t day)
{
    return sorted_from(match->sessions, match->n_sessions, sizeof match->sessions[0],
                       offsetof(struct came_match_session, day), day);
}

static size_t first_ride_from(const struct came_match *match, int64_t day)
{
    return sorted_from(match->from->days, match->n_rides, sizeof match->from->days[0], 0, day);
}

/* Rides of the same day that have time in common are parts of one. */
static bool at_once(const struct came_match *match, size_t a, size_t b)
{
    const struct came_match_rides *from = match->from;
    return a != b && from->at_once != NULL && from->days[a] == from->days[b] &&
           from->at_once(from->context, a, b);
}

/* A session of its day has it, or another part of it. */
static bool is_taken(const struct came_match *match, size_t ride)
{
    const int64_t day = match->from->days[ride];
    bool taken = match->of_ride[ride].is_taken;
    for (size_t r = first_ride_from(match, day);
         !taken && r < match->n_rides && match->from->days[r] == day; r++) {
        taken = match->of_ride[r].is_taken && at_once(match, r, ride);
    }
    return taken;
}

static bool is_better(const struct came_back *a, const struct came_back *b)
{
    const bool a_fits = a->outcome == CAME_RIDDEN;
    const bool b_fits = b->outcome == CAME_RIDDEN;
    return a_fits != b_fits ? a_fits : a->done_s > b->done_s;
}

/* The best of the day's rides that no other session has. */
static void choose_own(struct came_match *match, const struct day_of *day, size_t session,
                       const struct came_back as[])
{
    struct one_session *one = &match->of_session[session];
    one->own = match->n_rides;
    for (size_t r = day->first_ride; r < day->end_ride; r++) {
        const struct came_back *here = &as[r - day->first_ride];
        if (!is_taken(match, r) && (one->own == match->n_rides || is_better(here, &one->as_own))) {
            one->own = r;
            one->as_own = *here;
        }
    }
    one->knows_own = true;
}

/* All sessions of a day together: first come those that fit, then what is left. */
static bool tell_day(struct came_match *match, int64_t day, struct error *err)
{
    const struct day_of of = { first_session_from(match, day), first_session_from(match, day + 1),
                               first_ride_from(match, day), first_ride_from(match, day + 1) };
    const size_t n_rides = of.end_ride - of.first_ride;
    const size_t n = of.end_session - of.first_session;
    struct came_back *as = ARENA_ARRAY(match->arena, struct came_back, n * n_rides + 1);
    for (size_t s = 0; s < n; s++) {
        for (size_t r = 0; r < n_rides; r++) {
            if (!compare(match, of.first_session + s, of.first_ride + r, &as[s * n_rides + r],
                         err)) {
                return false;
            }
        }
        struct one_session *one = &match->of_session[of.first_session + s];
        choose_own(match, &of, of.first_session + s, &as[s * n_rides]);
        if (one->own < match->n_rides && one->as_own.outcome == CAME_RIDDEN) {
            match->of_ride[one->own].is_taken = true;
        }
    }
    for (size_t s = 0; s < n; s++) {
        const struct one_session *one = &match->of_session[of.first_session + s];
        if (one->own < match->n_rides && one->as_own.outcome != CAME_RIDDEN) {
            choose_own(match, &of, of.first_session + s, &as[s * n_rides]);
        }
    }
    return true;
}

static bool know_day(struct came_match *match, int64_t day, struct error *err)
{
    const size_t first = first_session_from(match, day);
    return first == match->n_sessions || match->sessions[first].day != day ||
           match->of_session[first].knows_own || tell_day(match, day, err);
}

static bool is_open(struct came_match *match, size_t session, bool *open, struct error *err)
{
    const struct one_session *one = &match->of_session[session];
    if (!know_day(match, match->sessions[session].day, err)) {
        return false;
    }
    *open = one->own == match->n_rides || one->as_own.outcome != CAME_RIDDEN;
    return true;
}

/* ---- 2: late ---- */

/* True if a session was given for the day. */
static bool has_session(const struct came_match *match, int64_t day)
{
    const size_t first = first_session_from(match, day);
    return first < match->n_sessions && match->sessions[first].day == day;
}

static bool late_owner(struct came_match *match, size_t ride, struct error *err);

/* A part of it that began before it is of a session. */
static bool has_late_part(struct came_match *match, size_t ride, bool *has, struct error *err)
{
    *has = false;
    for (size_t r = first_ride_from(match, match->from->days[ride]); !*has && r < ride; r++) {
        if (at_once(match, r, ride) && !late_owner(match, r, err)) {
            return false;
        }
        *has = at_once(match, r, ride) && match->of_ride[r].late_of < match->n_sessions;
    }
    return true;
}

/* The session before the ride that it is: the nearest that is open and that it fits; of two of a
 * day the first. */
static bool late_owner(struct came_match *match, size_t ride, struct error *err)
{
    struct one_ride *one = &match->of_ride[ride];
    const int64_t day = match->from->days[ride];
    bool has_part = false;
    if (one->knows_late) {
        return true;
    }
    one->late_of = match->n_sessions;
    if (!know_day(match, day, err) || !has_late_part(match, ride, &has_part, err)) {
        return false;
    }
    const bool is_free = !has_part && !is_taken(match, ride);
    for (int64_t off = 1; is_free && one->late_of == match->n_sessions && off <= match->reach;
         off++) {
        for (size_t s = first_session_from(match, day - off);
             s < match->n_sessions && match->sessions[s].day == day - off &&
             one->late_of == match->n_sessions;
             s++) {
            bool open = false;
            struct came_back came = { 0 };
            if (!is_open(match, s, &open, err) || (open && !compare(match, s, ride, &came, err))) {
                return false;
            }
            /* Nearly any ride would do for an easy one: not one that was asked for something else.
             */
            if (open && came_back_may_be_moved(&came, match->limits) &&
                !(came.only_easy && has_session(match, day))) {
                one->late_of = s;
                one->as_late = came;
            }
        }
    }
    one->knows_late = true;
    return true;
}

/* The first ride after the session's day that is it. */
static bool late_ride(struct came_match *match, size_t session, struct error *err)
{
    struct one_session *one = &match->of_session[session];
    const int64_t day = match->sessions[session].day;
    bool open = false;
    if (one->knows_late) {
        return true;
    }
    if (!is_open(match, session, &open, err)) {
        return false;
    }
    one->late = match->n_rides;
    for (size_t r = first_ride_from(match, day + 1);
         open && one->late == match->n_rides && r < match->n_rides &&
         match->from->days[r] <= day + match->reach;
         r++) {
        if (!late_owner(match, r, err)) {
            return false;
        }
        if (match->of_ride[r].late_of == session) {
            one->late = r;
        }
    }
    one->knows_late = true;
    return true;
}

/* ---- 3: early ---- */

/* Whether a session before it has the ride. */
static bool is_late(struct came_match *match, size_t ride, bool *late, struct error *err)
{
    const struct one_ride *one = &match->of_ride[ride];
    *late = false;
    if (!late_owner(match, ride, err)) {
        return false;
    }
    if (one->late_of == match->n_sessions) {
        return true;
    }
    if (!late_ride(match, one->late_of, err)) {
        return false;
    }
    *late = match->of_session[one->late_of].late == ride;
    return true;
}

/* Whether the session waits for a ride: its day has passed, and none of it or after it was it. */
static bool is_waiting(struct came_match *match, size_t session, bool *waiting, struct error *err)
{
    *waiting = false;
    if (match->sessions[session].day >= match->today) {
        return true;
    }
    if (!is_open(match, session, waiting, err) || !late_ride(match, session, err)) {
        return false;
    }
    *waiting = *waiting && match->of_session[session].late == match->n_rides;
    return true;
}

/* Whether a session of that day waits for a ride. */
static bool day_waits(struct came_match *match, int64_t day, bool *waits, struct error *err)
{
    *waits = false;
    for (size_t s = first_session_from(match, day);
         !*waits && s < match->n_sessions && match->sessions[s].day == day; s++) {
        if (!is_waiting(match, s, waits, err)) {
            return false;
        }
    }
    return true;
}

static bool early_owner(struct came_match *match, size_t ride, struct error *err);

/* It or a part of it is of a session before it, or a part that began after it of one to come. */
static bool is_spoken_for(struct came_match *match, size_t ride, bool *is, struct error *err)
{
    const int64_t day = match->from->days[ride];
    if (!know_day(match, day, err)) {
        return false;
    }
    *is = is_taken(match, ride);
    for (size_t r = first_ride_from(match, day);
         !*is && r < match->n_rides && match->from->days[r] == day; r++) {
        const bool is_part = at_once(match, r, ride);
        if ((r == ride || is_part) && !is_late(match, r, is, err)) {
            return false;
        }
        if (!*is && is_part && r > ride) {
            if (!early_owner(match, r, err)) {
                return false;
            }
            *is = match->of_ride[r].early_of < match->n_sessions;
        }
    }
    return true;
}

/* The session after the ride that it is. */
static bool early_owner(struct came_match *match, size_t ride, struct error *err)
{
    struct one_ride *one = &match->of_ride[ride];
    const int64_t day = match->from->days[ride];
    bool is_gone = false;
    bool own_waits = false;
    if (one->knows_early) {
        return true;
    }
    one->early_of = match->n_sessions;
    if (!is_spoken_for(match, ride, &is_gone, err) || !day_waits(match, day, &own_waits, err)) {
        return false;
    }
    for (size_t s = first_session_from(match, day + 1);
         !is_gone && one->early_of == match->n_sessions && s < match->n_sessions &&
         match->sessions[s].day <= day + match->reach;
         s++) {
        bool waiting = false;
        struct came_back came = { 0 };
        if (!is_waiting(match, s, &waiting, err) ||
            (waiting && !compare(match, s, ride, &came, err))) {
            return false;
        }
        if (waiting && came_back_may_be_moved(&came, match->limits) &&
            !(came.only_easy && own_waits)) {
            one->early_of = s;
            one->as_early = came;
        }
    }
    one->knows_early = true;
    return true;
}

/* The last ride before the session's day that is it; n_rides = none. */
static bool early_ride(struct came_match *match, size_t session, size_t *out, struct error *err)
{
    const int64_t day = match->sessions[session].day;
    const size_t first = first_ride_from(match, day - match->reach);
    bool waiting = false;
    *out = match->n_rides;
    if (!is_waiting(match, session, &waiting, err)) {
        return false;
    }
    for (size_t r = first_ride_from(match, day); waiting && r > first && *out == match->n_rides;
         r--) {
        if (!early_owner(match, r - 1, err)) {
            return false;
        }
        *out = match->of_ride[r - 1].early_of == session ? r - 1 : *out;
    }
    return true;
}

/* ---- what is asked ---- */

/* How a ride of another day fits the session; NULL = none does. */
static bool as_moved(struct came_match *match, size_t session, const struct came_back **out,
                     struct error *err)
{
    size_t early = 0;
    *out = NULL;
    if (!late_ride(match, session, err)) {
        return false;
    }
    const size_t late = match->of_session[session].late;
    if (late < match->n_rides) {
        *out = &match->of_ride[late].as_late;
        return true;
    }
    if (!early_ride(match, session, &early, err)) {
        return false;
    }
    *out = early < match->n_rides ? &match->of_ride[early].as_early : NULL;
    return true;
}

/* The day of the session of another day that the ride is; 0 = of none. */
static bool moved_from(struct came_match *match, size_t ride, int64_t *day, struct error *err)
{
    const struct one_ride *one = &match->of_ride[ride];
    bool late = false;
    size_t early = 0;
    *day = 0;
    if (!is_late(match, ride, &late, err) || !early_owner(match, ride, err)) {
        return false;
    }
    if (late) {
        *day = match->sessions[one->late_of].day;
    } else if (one->early_of < match->n_sessions) {
        if (!early_ride(match, one->early_of, &early, err)) {
            return false;
        }
        *day = early == ride ? match->sessions[one->early_of].day : 0;
    }
    return true;
}

bool came_match_tell(struct came_match *match, size_t i, struct came_back *out, struct error *err)
{
    const struct came_match_session *session = &match->sessions[i];
    const struct one_session *one = &match->of_session[i];
    struct came_ask ask = { .session = session->session,
                            .day = session->day,
                            .today = match->today,
                            .said_done = session->said_done };
    if (!know_day(match, session->day, err) || !as_moved(match, i, &ask.as_moved, err)) {
        return false;
    }
    if (one->own < match->n_rides) {
        ask.as_own = &one->as_own;
        if (!take_ride(match, one->own, &ask.own, err) ||
            !moved_from(match, one->own, &ask.own_is_of, err)) {
            return false;
        }
    }
    came_back_tell(match->arena, &ask, match->limits, out);
    return true;
}

bool came_match_session_of(struct came_match *match, size_t i, size_t *session, struct error *err)
{
    bool late = false;
    *session = match->n_sessions;
    if (i >= match->n_rides) {
        return true;
    }
    if (!is_late(match, i, &late, err)) {
        return false;
    }
    if (late) {
        *session = match->of_ride[i].late_of;
    } else if (match->of_ride[i].is_taken) {
        const int64_t day = match->from->days[i];
        for (size_t s = first_session_from(match, day);
             s < match->n_sessions && match->sessions[s].day == day; s++) {
            const bool is_its =
                match->of_session[s].own == i && match->of_session[s].as_own.outcome == CAME_RIDDEN;
            *session = is_its ? s : *session;
        }
    }
    return true;
}
