/* honesty/page_record.c: the program's own record on the example roster. */
#include "honesty/page.h"

#include "coaching/words/record_words.h"
#include "honesty/table.h"
#include "roster/record.h"
#include "roster/settings.h"

static void write_rows(struct page *page, const struct record *record)
{
    text_add(&page->text,
             "| claim | cases | agreed | the opposite | not clear | not known | agreed, % "
             "of the clear |\n| --- | --- | --- | --- | --- | --- | --- |\n");
    for (int claim = 0; claim < RECORD_CLAIMS; claim++) {
        const struct record_row *row = &record->rows[claim];
        const double clear = (double)(row->agreed + row->against);
        text_add_format(&page->text, "| %s | %zu | %zu | %zu | %zu | %zu | %s |\n",
                        record_claim_name((enum record_claim)claim), row->of, row->agreed,
                        row->against, row->between, row->untold,
                        row->is_enough ? table_share(page->arena, (double)row->agreed, clear)
                                       : "too few to tell");
    }
    text_add(&page->text, "\n| of | what the program says |\n| --- | --- |\n");
    text_add_format(&page->text, "| all | %s |\n", words_record_head(page->arena, record));
    for (int claim = 0; claim < RECORD_CLAIMS; claim++) {
        text_add_format(&page->text, "| %s | %s |\n", record_claim_name((enum record_claim)claim),
                        record->rows[claim].text);
    }
    text_add_format(&page->text, "| how a base test repeats | %s |\n", record->repeat_text);
    text_add_format(&page->text, "\n%s\n", words_record_worth());
}

/* The example is looked at on its own today. */
static bool take(struct page *page, struct record *record, struct error *err)
{
    struct roster *roster = NULL;
    const char *today = NULL;
    if (!roster_open(page->example, ROSTER_OPEN, (struct roster_now){ 0 }, &roster, err)) {
        return false;
    }
    const bool done = settings_get(roster, page->arena, SETTING_TODAY, &today, err) &&
                      (today != NULL || error_set(err, ERROR_INPUT,
                                                  "%s: has no today of its own: is it the example?",
                                                  page->example)) &&
                      record_take(roster, page->arena, today, record, err);
    roster_close(roster);
    return done;
}

bool page_record(struct page *page, struct error *err)
{
    struct record record = { 0 };
    text_add(
        &page->text,
        "\n## Record on the example roster\n\nWhat came next of the verdicts on the invented "
        "riders of `plumbline example`: the same as `plumbline roster record` says of a coach's "
        "own. Their hearts, days, heat and illness are the simulator's; most base tests lie on "
        "the line, and an effort rated afterwards is the rider's word, not the truth.\n\n");
    if (page->example != NULL) {
        if (!take(page, &record, err)) {
            return false;
        }
    } else {
        const struct limits limits = limits_default();
        record_finish(page->arena, &record, &limits);
    }
    write_rows(page, &record);
    return true;
}
