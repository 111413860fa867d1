/* roster/health.c: the questions before hard work, what switches readings off, and who agreed. */
#include "roster/health.h"

#include "base/dates.h"
#include "base/text.h"

#include <string.h>

/* ---- screening ---- */

static const struct screening_row questions[SCREENING_QUESTIONS] = {
    [SCREENING_HEART_CONDITION] = { "heart-condition", "heart_condition", "a heart condition",
                                    "Has a doctor ever spoken of a heart condition?" },
    [SCREENING_CHEST_PAIN] = { "chest-pain", "chest_pain", "chest pain",
                               "Chest pain, at rest or in exercise?" },
    [SCREENING_FAINTING] = { "fainting", "fainting", "fainting",
                             "Ever fainted, or nearly, for no plain reason?" },
    [SCREENING_SUDDEN_DEATH] = { "sudden-death-in-family", "sudden_death_in_family",
                                 "a sudden death in the family under 50",
                                 "A sudden death in the close family under 50?" },
    [SCREENING_MEDICINE] = { "medicine", "medicine", "blood-pressure or heart medicine",
                             "Any medicine for blood pressure or the heart?" },
    [SCREENING_PREGNANCY] = { "pregnancy", "pregnancy", "pregnancy", "Pregnant, or perhaps?" },
    [SCREENING_NEW_OVER_45] = { "new-and-over-45", "new_and_over_45", "new to exercise and over 45",
                                "New to exercise, and over 45?" },
};

const struct screening_row *screening_row(enum screening_question question)
{
    return &questions[question];
}

bool screening_has_yes(const struct screening *screening)
{
    bool yes = false;
    for (int q = 0; q < SCREENING_QUESTIONS; q++) {
        yes = yes || screening->yes[q];
    }
    return yes;
}

enum { SCREENING_TAIL = 3 + SCREENING_QUESTIONS }; /* the column behind the answers */

static void take_screening(const struct db_rows *rows, size_t i, void *row)
{
    struct screening *screening = row;
    screening->day = db_text_at(rows, i, 2);
    for (int q = 0; q < SCREENING_QUESTIONS; q++) {
        screening->yes[q] = db_bool_at(rows, i, 3 + (size_t)q);
    }
    screening->cleared_by = db_text_at(rows, i, SCREENING_TAIL);
    screening->cleared_day = db_text_at(rows, i, SCREENING_TAIL + 1);
    screening->note = db_text_at(rows, i, SCREENING_TAIL + 2);
}

static const char *describe_screening(struct arena *arena, const void *row)
{
    const struct screening *screening = row;
    struct text out = text_begin(arena, 4000);
    text_add_format(&out, "%s, ", screening->day);
    if (!screening_has_yes(screening)) {
        text_add(&out, "no to all seven questions");
    } else {
        size_t n = 0;
        for (int q = 0; q < SCREENING_QUESTIONS; q++) {
            if (screening->yes[q]) {
                text_add_format(&out, "%s%s", n++ == 0 ? "yes to " : ", ", questions[q].words);
            }
        }
        if (screening->cleared_day == NULL) {
            text_add(&out, "; not cleared");
        } else {
            text_add_format(&out, "; cleared by %s on %s", screening->cleared_by,
                            screening->cleared_day);
        }
    }
    if (screening->note != NULL) {
        text_add_format(&out, "; %s", screening->note);
    }
    return out.bytes;
}

static size_t edit_screening(const void *row, struct edit edits[ENTRY_EDITS_MOST])
{
    const struct screening *screening = row;
    size_t n = 0;
    edits[n++] = (struct edit){ "day", db_text(screening->day) };
    for (int q = 0; q < SCREENING_QUESTIONS; q++) {
        edits[n++] = (struct edit){ questions[q].column, db_bool(screening->yes[q]) };
    }
    edits[n++] = (struct edit){ "cleared_by", db_text(screening->cleared_by) };
    edits[n++] = (struct edit){ "cleared_day", db_text(screening->cleared_day) };
    edits[n++] = (struct edit){ "note", db_text(screening->note) };
    return n;
}

static bool clean_screening(struct arena *arena, void *row, struct error *err)
{
    struct screening *screening = row;
    if (!entry_day_is_sound("screening", screening->day, true, err) ||
        !entry_clean_words(arena, "cleared by", &screening->cleared_by, ENTRY_NAME_MOST, false,
                           err) ||
        !entry_day_is_sound("cleared on", screening->cleared_day, false, err) ||
        !entry_clean_words(arena, "note", &screening->note, ENTRY_WORDS_MOST, false, err)) {
        return false;
    }
    if ((screening->cleared_by == NULL) != (screening->cleared_day == NULL)) {
        return error_set(err, ERROR_USAGE, "a clearance has both: who cleared it, and on what day");
    }
    return screening->cleared_by == NULL || screening_has_yes(screening) ||
           error_set(err, ERROR_USAGE,
                     "no to all questions needs no clearance; say which answer was yes");
}

static bool screening_fits(struct db *db, struct arena *arena, const struct rider *rider,
                           const void *row, struct error *err)
{
    const struct screening *screening = row;
    const int age_y = health_age(rider->born_day, screening->day);
    if (screening->yes[SCREENING_NEW_OVER_45] && age_y >= 0 && age_y < 45) {
        return error_set(err, ERROR_CONFLICT, "%s is %d on %s: not over 45", rider->name, age_y,
                         screening->day);
    }
    if (screening->yes[SCREENING_PREGNANCY] && rider->sex != NULL &&
        strcmp(rider->sex, "male") == 0) {
        return error_set(err, ERROR_CONFLICT, "%s is on file as male; yes to pregnancy can't be",
                         rider->name);
    }
    struct db_rows rows = { 0 };
    if (!db_query(db, arena,
                  "SELECT id FROM screening WHERE rider = $1 AND id <> $2 AND day = $3 ORDER BY id",
                  "i",
                  DB_ARGS(db_integer(rider->id), db_integer(screening->entry.id),
                          db_text(screening->day)),
                  &rows, err)) {
        return false;
    }
    return rows.count == 0 ||
           error_set(err, ERROR_CONFLICT,
                     "a screening of %s is on file already; change that one (number %lld)",
                     screening->day, (long long)db_integer_at(&rows, 0, 0));
}

const struct entry_kind screening_kind = {
    .name = "screening",
    .act = "screening",
    .table = "screening",
    .subject = "Screening",
    .columns = "day, heart_condition, chest_pain, fainting, sudden_death_in_family, medicine, "
               "pregnancy, new_and_over_45, cleared_by, cleared_day, note",
    .shape = "tbbbbbbbTTT",
    .order = "day",
    .size = sizeof(struct screening),
    .take = take_screening,
    .describe = describe_screening,
    .edits = edit_screening,
    .clean = clean_screening,
    .fits = screening_fits,
};

/* ---- flags ---- */

static const struct {
    const char *kind;
    const char *words;
} flag_words[] = {
    { "heart-medicine", "heart-altering medicine" },
    { "pregnant", "pregnant" },
    { "guardian-agreed", "guardian agreed" },
};

const char *flag_in_words(const char *kind)
{
    for (size_t i = 0; i < sizeof flag_words / sizeof flag_words[0]; i++) {
        if (strcmp(kind, flag_words[i].kind) == 0) {
            return flag_words[i].words;
        }
    }
    return kind;
}

static bool is_flag(const char *kind)
{
    bool is = false;
    for (size_t i = 0; kind != NULL && i < sizeof flag_words / sizeof flag_words[0]; i++) {
        is = is || strcmp(kind, flag_words[i].kind) == 0;
    }
    return is;
}

static void take_flag(const struct db_rows *rows, size_t i, void *row)
{
    struct flag *flag = row;
    flag->kind = db_text_at(rows, i, 2);
    flag->from_day = db_text_at(rows, i, 3);
    flag->to_day = db_text_at(rows, i, 4);
    flag->note = db_text_at(rows, i, 5);
}

static const char *describe_flag(struct arena *arena, const void *row)
{
    const struct flag *flag = row;
    return arena_format(arena, "%s %s%s%s", flag_in_words(flag->kind),
                        entry_span_in_words(arena, flag->from_day, flag->to_day),
                        flag->note == NULL ? "" : "; ", flag->note == NULL ? "" : flag->note);
}

static size_t edit_flag(const void *row, struct edit edits[ENTRY_EDITS_MOST])
{
    const struct flag *flag = row;
    edits[0] = (struct edit){ "kind", db_text(flag->kind) };
    edits[1] = (struct edit){ "from_day", db_text(flag->from_day) };
    edits[2] = (struct edit){ "to_day", db_text(flag->to_day) };
    edits[3] = (struct edit){ "note", db_text(flag->note) };
    return 4;
}

static bool clean_flag(struct arena *arena, void *row, struct error *err)
{
    struct flag *flag = row;
    if (!is_flag(flag->kind)) {
        return error_set(err, ERROR_USAGE, "%.40s: heart-medicine, pregnant or guardian-agreed",
                         flag->kind == NULL ? "nothing" : flag->kind);
    }
    return entry_span_is_sound(flag->from_day, flag->to_day, err) &&
           entry_clean_words(arena, "note", &flag->note, ENTRY_WORDS_MOST, false, err);
}

/* A flag of that kind that holds on a day of [from, to), but for the one of that id. */
static bool find_flag(struct db *db, struct arena *arena, int64_t rider, const struct flag *flag,
                      struct db_rows *rows, struct error *err)
{
    return db_query(db, arena,
                    "SELECT from_day, to_day FROM flag WHERE rider = $1 AND id <> $2 AND kind = $3 "
                    "AND from_day < $5 AND (to_day IS NULL OR to_day > $4) ORDER BY from_day, id",
                    "tT",
                    DB_ARGS(db_integer(rider), db_integer(flag->entry.id), db_text(flag->kind),
                            db_text(flag->from_day),
                            db_text(flag->to_day == NULL ? "9999-12-31" : flag->to_day)),
                    rows, err);
}

static bool flag_fits(struct db *db, struct arena *arena, const struct rider *rider,
                      const void *row, struct error *err)
{
    const struct flag *flag = row;
    const int age_y = health_age(rider->born_day, flag->from_day);
    if (strcmp(flag->kind, "guardian-agreed") == 0 && age_y >= ADULT_YEARS) {
        return error_set(err, ERROR_CONFLICT, "%s is %d on %s: no guardian is asked", rider->name,
                         age_y, flag->from_day);
    }
    if (strcmp(flag->kind, "pregnant") == 0 && rider->sex != NULL &&
        strcmp(rider->sex, "male") == 0) {
        return error_set(err, ERROR_CONFLICT, "%s is on file as male; pregnant can't be",
                         rider->name);
    }
    struct db_rows rows = { 0 };
    if (!find_flag(db, arena, rider->id, flag, &rows, err)) {
        return false;
    }
    return rows.count == 0 ||
           error_set(err, ERROR_CONFLICT, "%s is on file %s already; change that entry instead",
                     flag_in_words(flag->kind),
                     entry_span_in_words(arena, db_text_at(&rows, 0, 0), db_text_at(&rows, 0, 1)));
}

const struct entry_kind flag_kind = {
    .name = "flag",
    .act = "flag",
    .table = "flag",
    .subject = "Flag",
    .columns = "kind, from_day, to_day, note",
    .shape = "ttTT",
    .order = "from_day",
    .size = sizeof(struct flag),
    .take = take_flag,
    .describe = describe_flag,
    .edits = edit_flag,
    .clean = clean_flag,
    .fits = flag_fits,
};

/* ---- a screening, and the flags it raises ---- */

struct screen {
    struct arena *arena;
    struct roster_now now;
    const struct rider *rider;
    struct screening *screening;
    struct screening asked; /* as it came */
};

static const struct {
    enum screening_question question;
    const char *kind;
} raises[] = {
    { SCREENING_MEDICINE, "heart-medicine" },
    { SCREENING_PREGNANCY, "pregnant" },
};

/* Raises what a yes asks for and isn't there; *n_raised counts. */
static bool raise_flags(struct change *change, const struct screen *screen, struct text *words,
                        struct error *err)
{
    for (size_t i = 0; i < sizeof raises / sizeof raises[0]; i++) {
        struct flag flag = { .kind = raises[i].kind,
                             .from_day = screen->screening->day,
                             .note = "by the screening" };
        struct db_rows rows = { 0 };
        if (!screen->screening->yes[raises[i].question]) {
            continue;
        }
        if (!find_flag(change->db, change->arena, screen->rider->id, &flag, &rows, err)) {
            return false;
        }
        if (rows.count > 0) {
            continue;
        }
        if (!entries_put(change, &flag_kind, screen->rider, &flag, err)) {
            return false;
        }
        text_add_format(words, ". Flag raised: %s from %s on", flag_in_words(flag.kind),
                        flag.from_day);
    }
    return true;
}

/* The screening as it stands, in words; NULL if there is none of that number. */
static bool before(struct db *db, const struct screen *screen, const char **out, struct error *err)
{
    struct screening *all = NULL;
    size_t count = 0;
    *out = NULL;
    if (!entries_read(db, screen->arena, &screening_kind, screen->rider->id, &all, &count, err)) {
        return false;
    }
    for (size_t i = 0; i < count; i++) {
        if (all[i].entry.id == screen->asked.entry.id) {
            *out = describe_screening(screen->arena, &all[i]);
        }
    }
    return true;
}

/* The words are known when all is done: the change's row gets them last. */
static bool screen_all(struct db *db, void *context, struct error *err)
{
    struct screen *screen = context;
    struct screening *screening = screen->screening;
    struct change change = { 0 };
    struct text words = text_begin(screen->arena, 12000);
    const char *was = NULL;
    *screening = screen->asked;
    if (!before(db, screen, &was, err)) {
        return false;
    }
    const char *is = describe_screening(screen->arena, screening);
    text_add_format(&words, "Screening of %s: %s", screen->rider->name, is);
    if (was != NULL && strcmp(was, is) == 0) {
        text_add(&words, " (as it was)");
        screening->entry.said = words.bytes;
        return true;
    }
    if (was != NULL) {
        text_add_format(&words, " (was: %s)", was);
    }
    if (!changes_begin(db, screen->arena, screen->now, words.bytes, &change, err) ||
        !entries_put(&change, &screening_kind, screen->rider, screening, err) ||
        !raise_flags(&change, screen, &words, err)) {
        return false;
    }
    screening->entry.said = words.bytes;
    return db_run(db, "UPDATE change SET words = $2 WHERE id = $1",
                  DB_ARGS(db_integer(change.id), db_text(words.bytes)), err);
}

bool health_screen(struct roster *roster, struct arena *arena, struct roster_now now,
                   const struct rider *rider, struct screening *screening, struct error *err)
{
    if (!clean_screening(arena, screening, err)) {
        return false;
    }
    struct screen screen = { arena, now, rider, screening, *screening };
    return db_write(roster_db(roster), screen_all, &screen, err);
}

/* ---- consents ---- */

static const struct {
    const char *kind;
    const char *words;
} consent_words[] = {
    { "letters", "letters about the rider's own training" },
    { "handouts", "spans of the rider's rides, without the name, shown to others" },
    { "studies", "the rider's data in studies, under a pseudonym" },
};

static const char *usual_words(const char *kind)
{
    for (size_t i = 0; i < sizeof consent_words / sizeof consent_words[0]; i++) {
        if (strcmp(kind, consent_words[i].kind) == 0) {
            return consent_words[i].words;
        }
    }
    return NULL;
}

static void take_consent(const struct db_rows *rows, size_t i, void *row)
{
    struct consent *consent = row;
    consent->kind = db_text_at(rows, i, 2);
    consent->words = db_text_at(rows, i, 3);
    consent->given_day = db_text_at(rows, i, 4);
    consent->given_by = db_text_at(rows, i, 5);
    consent->withdrawn_day = db_text_at(rows, i, 6);
}

static const char *describe_consent(struct arena *arena, const void *row)
{
    const struct consent *consent = row;
    return arena_format(
        arena, "%s, given on %s%s%s%s%s (%s)", consent->kind, consent->given_day,
        consent->given_by == NULL ? "" : " by ", consent->given_by == NULL ? "" : consent->given_by,
        consent->withdrawn_day == NULL ? "" : ", withdrawn on ",
        consent->withdrawn_day == NULL ? "" : consent->withdrawn_day, consent->words);
}

static size_t edit_consent(const void *row, struct edit edits[ENTRY_EDITS_MOST])
{
    const struct consent *consent = row;
    edits[0] = (struct edit){ "kind", db_text(consent->kind) };
    edits[1] = (struct edit){ "words", db_text(consent->words) };
    edits[2] = (struct edit){ "given_day", db_text(consent->given_day) };
    edits[3] = (struct edit){ "given_by", db_text(consent->given_by) };
    edits[4] = (struct edit){ "withdrawn_day", db_text(consent->withdrawn_day) };
    return 5;
}

static bool clean_consent(struct arena *arena, void *row, struct error *err)
{
    struct consent *consent = row;
    const char *usual = consent->kind == NULL ? NULL : usual_words(consent->kind);
    if (usual == NULL) {
        return error_set(err, ERROR_USAGE, "%.40s: letters, handouts or studies",
                         consent->kind == NULL ? "nothing" : consent->kind);
    }
    consent->words = consent->words == NULL ? usual : consent->words;
    return entry_clean_words(arena, "consent", &consent->words, ENTRY_WORDS_MOST, true, err) &&
           entry_clean_words(arena, "by", &consent->given_by, ENTRY_NAME_MOST, false, err) &&
           entry_day_is_sound("given", consent->given_day, true, err) &&
           entry_day_is_sound("withdrawn", consent->withdrawn_day, false, err) &&
           (consent->withdrawn_day == NULL ||
            strcmp(consent->withdrawn_day, consent->given_day) >= 0 ||
            error_set(err, ERROR_USAGE, "withdrawn %s: is before it was given (%s)",
                      consent->withdrawn_day, consent->given_day));
}

static bool consent_fits(struct db *db, struct arena *arena, const struct rider *rider,
                         const void *row, struct error *err)
{
    const struct consent *consent = row;
    const int age_y = health_age(rider->born_day, consent->given_day);
    if (age_y >= 0 && age_y < ADULT_YEARS && consent->given_by == NULL) {
        return error_set(err, ERROR_USAGE,
                         "%s is %d on %s: a guardian agrees as well; say who, with --by",
                         rider->name, age_y, consent->given_day);
    }
    struct db_rows rows = { 0 };
    if (!db_query(db, arena,
                  "SELECT given_day FROM consent WHERE rider = $1 AND id <> $2 AND kind = $3 AND "
                  "given_day < $5 AND (withdrawn_day IS NULL OR withdrawn_day > $4) ORDER BY "
                  "given_day, id",
                  "t",
                  DB_ARGS(db_integer(rider->id), db_integer(consent->entry.id),
                          db_text(consent->kind), db_text(consent->given_day),
                          db_text(consent->withdrawn_day == NULL ? "9999-12-31"
                                                                 : consent->withdrawn_day)),
                  &rows, err)) {
        return false;
    }
    return rows.count == 0 ||
           error_set(err, ERROR_CONFLICT, "consent to %s was given on %s already", consent->kind,
                     db_text_at(&rows, 0, 0));
}

const struct entry_kind consent_kind = {
    .name = "consent",
    .act = "consent",
    .table = "consent",
    .subject = "Consent",
    .columns = "kind, words, given_day, given_by, withdrawn_day",
    .shape = "tttTT",
    .order = "given_day",
    .size = sizeof(struct consent),
    .take = take_consent,
    .describe = describe_consent,
    .edits = edit_consent,
    .clean = clean_consent,
    .fits = consent_fits,
};

/* ---- on a day ---- */

int health_age(const char *born_day, const char *day)
{
    int64_t born_days = 0;
    int64_t days = 0;
    if (born_day == NULL || !dates_parse_day(born_day, &born_days) ||
        !dates_parse_day(day, &days) || days < born_days) {
        return -1;
    }
    const struct civil born = dates_civil_from_utc(born_days * 86400);
    const struct civil is = dates_civil_from_utc(days * 86400);
    const bool had_birthday =
        is.month > born.month || (is.month == born.month && is.day >= born.day);
    return (int)(is.year - born.year) - (had_birthday ? 0 : 1);
}

static bool flags_on(struct db *db, struct arena *arena, const struct rider *rider, const char *day,
                     struct health *out, struct error *err)
{
    struct flag *flags = NULL;
    size_t count = 0;
    if (!entries_read(db, arena, &flag_kind, rider->id, &flags, &count, err)) {
        return false;
    }
    for (size_t i = 0; i < count; i++) {
        const struct flag *flag = &flags[i];
        if (strcmp(flag->from_day, day) <= 0 &&
            (flag->to_day == NULL || strcmp(flag->to_day, day) > 0)) {
            out->heart_medicine |= strcmp(flag->kind, "heart-medicine") == 0;
            out->pregnant |= strcmp(flag->kind, "pregnant") == 0;
            out->guardian_agreed |= strcmp(flag->kind, "guardian-agreed") == 0;
        }
    }
    return true;
}

bool health_on(struct db *db, struct arena *arena, const struct rider *rider, const char *day,
               struct health *out, struct error *err)
{
    struct screening *screenings = NULL;
    size_t count = 0;
    *out = (struct health){ .age_y = health_age(rider->born_day, day), .advice_first = true };
    out->is_minor = out->age_y >= 0 && out->age_y < ADULT_YEARS;
    if (!flags_on(db, arena, rider, day, out, err) ||
        !entries_read(db, arena, &screening_kind, rider->id, &screenings, &count, err)) {
        return false;
    }
    for (size_t i = 0; i < count && strcmp(screenings[i].day, day) <= 0; i++) {
        out->is_screened = true;
        out->screening = screenings[i];
    }
    if (out->is_screened) {
        const char *cleared = out->screening.cleared_day;
        out->is_cleared = cleared != NULL && strcmp(cleared, day) <= 0;
        out->advice_first = screening_has_yes(&out->screening) && !out->is_cleared;
    }
    return true;
}
