/* roster/contacts.c: when coach and rider spoke, and of what. */
#include "roster/contacts.h"

#include <string.h>

static void take_contact(const struct db_rows *rows, size_t i, void *row)
{
    struct contact *contact = row;
    contact->day = db_text_at(rows, i, 2);
    contact->how = db_text_at(rows, i, 3);
    contact->words = db_text_at(rows, i, 4);
}

static const char *describe_contact(struct arena *arena, const void *row)
{
    const struct contact *contact = row;
    return arena_format(arena, "%s%s%s: %s", contact->day, contact->how == NULL ? "" : ", ",
                        contact->how == NULL ? "" : contact->how, contact->words);
}

static size_t edit_contact(const void *row, struct edit edits[ENTRY_EDITS_MOST])
{
    const struct contact *contact = row;
    edits[0] = (struct edit){ "day", db_text(contact->day) };
    edits[1] = (struct edit){ "how", db_text(contact->how) };
    edits[2] = (struct edit){ "words", db_text(contact->words) };
    return 3;
}

static bool clean_contact(struct arena *arena, void *row, struct error *err)
{
    struct contact *contact = row;
    return entry_day_is_sound("contact", contact->day, true, err) &&
           entry_clean_words(arena, "how", &contact->how, ENTRY_NAME_MOST, false, err) &&
           entry_clean_words(arena, "contact", &contact->words, 4 * ENTRY_WORDS_MOST, true, err);
}

const struct entry_kind contact_kind = {
    .name = "contact",
    .act = "contact",
    .table = "contact",
    .subject = "Contact",
    .columns = "day, how, words",
    .shape = "tTt",
    .order = "day",
    .size = sizeof(struct contact),
    .take = take_contact,
    .describe = describe_contact,
    .edits = edit_contact,
    .clean = clean_contact,
};
