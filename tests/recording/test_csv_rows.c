/* tests/recording/test_csv_rows.c: rows and cells of delimited text. */
#include "check.h"

#include "base/text.h"
#include "recording/csv_rows.h"

#include <string.h>

static struct bytes bytes_of(const char *text)
{
    return (struct bytes){ (const uint8_t *)text, strlen(text) };
}

/* The whole table on one line: cells between brackets, rows ended by '|', problems by '!'. */
static const char *spell(struct arena *arena, struct bytes bytes, char delimiter, size_t longest)
{
    struct csv_rows rows = csv_rows_begin(arena, bytes, delimiter, longest, 4);
    const char *all = "";
    while (csv_rows_next(&rows)) {
        all = arena_format(arena, "%s%zu", all, rows.line);
        for (size_t i = 0; i < rows.n_cells; i++) {
            all = arena_format(arena, "%s[%s]", all, rows.cells[i]);
        }
        all = arena_format(arena, "%s%s", all, rows.problem == NULL ? "|" : "!");
    }
    return all;
}

/* By hand from RFC 4180 section 2; the number before a row is the line that it begins on. */
static const struct {
    const char *name;
    const char *text;
    char delimiter;
    const char *want;
} rows[] = {
    { "plain", "a,b\nc,d\n", ',', "1[a][b]|2[c][d]|" },
    { "CR LF, last line without end", "a,b\r\nc,d", ',', "1[a][b]|2[c][d]|" },
    { "CR alone", "a,b\rc,d\r", ',', "1[a][b]|2[c][d]|" },
    { "empty cells", ",\n,x\n", ',', "1[][]|2[][x]|" },
    { "blanks belong to the cell", " a , b\n", ',', "1[ a ][ b]|" },
    { "blank lines are rows of one empty cell", "a\n\nb\n", ',', "1[a]|2[]|3[b]|" },
    { "quotes", "\"a,b\",\"c\"\"d\"\n", ',', "1[a,b][c\"d]|" },
    { "a quoted cell over two lines", "\"a\nb\",c\nd,e\n", ',', "1[a\nb][c]|3[d][e]|" },
    { "quotes inside a plain cell stay", "a\"b\"\n", ',', "1[a\"b\"]|" },
    { "semicolon", "1,5;2\n", ';', "1[1,5][2]|" },
    { "tab", "a\tb\n", '\t', "1[a][b]|" },
    { "an open quote gives up one line only", "a,\"b\nc,d\n", ',', "1!2[c][d]|" },
    { "text behind a closing quote", "\"a\"b,c\nd\n", ',', "1!2[d]|" },
    { "too many cells", "a,b,c,d,e\nf\n", ',', "1!2[f]|" },
    { "as many cells as there may be", "a,b,c,d\n", ',', "1[a][b][c][d]|" },
};

static void test_csv_rows__follow_the_standard(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct arena *arena = arena_open();
        check_text(rows[i].name, spell(arena, bytes_of(rows[i].text), rows[i].delimiter, 64),
                   rows[i].want);
        arena_close(arena);
    }
}

/* What `spell` gives for a text without quotes, byte by byte. */
static const char *spell_plainly(struct arena *arena, struct bytes bytes, char delimiter)
{
    struct text all = text_begin(arena, 4000);
    size_t line = 1;
    for (size_t i = 0; i < bytes.size; line++) {
        struct text row = text_begin(arena, 4000);
        size_t cells = 1;
        for (; i < bytes.size && bytes.at[i] != '\n' && bytes.at[i] != '\r'; i++) {
            const char c = (char)bytes.at[i];
            cells += c == delimiter ? 1 : 0;
            if (c == delimiter) {
                text_add(&row, "][");
            } else {
                text_add_format(&row, "%c", c == '\0' ? '?' : c);
            }
        }
        i += i + 1 < bytes.size && bytes.at[i] == '\r' && bytes.at[i + 1] == '\n' ? 2 : 1;
        if (cells > 4) {
            text_add_format(&all, "%zu!", line);
        } else {
            text_add_format(&all, "%zu[%s]|", line, row.bytes);
        }
    }
    return all.bytes;
}

/* Rows are taken eight bytes at a time where they can be: random ones with all that stops that. */
static void test_csv_rows__are_the_same_as_byte_by_byte(void **state)
{
    (void)state;
    static const char letters[] = "12.-a \t\x01\x1f\x7f\x80\xff\xe9\r\n,;";
    uint32_t dice = 20260314;
    for (size_t round = 0; round < 4000; round++) {
        struct arena *arena = arena_open();
        uint8_t *text = arena_alloc(arena, 200, 1);
        const size_t size = round % 200;
        for (size_t i = 0; i < size; i++) {
            dice = dice * 1664525 + 1013904223;
            const uint32_t side = dice >> 16;
            /* Mostly plain cells of a few bytes; the zero at the end of `letters` is one of them.
             */
            text[i] = side % 8 < 5    ? '7'
                      : side % 8 == 5 ? ';'
                                      : (uint8_t)letters[(side >> 3) % sizeof letters];
        }
        const struct bytes bytes = { text, size };
        check_text("row", spell(arena, bytes, ';', 300), spell_plainly(arena, bytes, ';'));
        arena_close(arena);
    }
}

static void test_csv_rows__a_row_longer_than_its_cap_is_a_problem_not_a_read_beyond(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    check_text("plain", spell(arena, bytes_of("aaaaaaaaaaaaaaaaaaaa,b\nc,d\n"), ',', 8),
               "1!2[c][d]|");
    check_text("quoted", spell(arena, bytes_of("\"aaaaaaaaaaaaaaaaaaa\",b\nc,d\n"), ',', 8),
               "1!2[c][d]|");
    arena_close(arena);
}

static void test_csv_rows__a_zero_byte_does_not_shorten_a_cell(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct bytes bytes = { (const uint8_t *)"12\0x,3\n", 7 };
    check_text("zero", spell(arena, bytes, ',', 64), "1[12?x][3]|");
    arena_close(arena);
}

/* By hand: the same number of cells, above one, on most lines. */
static const struct {
    const char *text;
    const char *want; /* the likeliest first */
} delimiters[] = {
    { "a,b;c,d\n", ",;\t" },
    { "a;b,c;d\n", ";,\t" },
    { "a\tb\tc,d\n", "\t,;" },
    { "\"a;b;c;d\",e\n", ",;\t" },
    { "\"a;b\";e\n\"a;b;c\";e\n", ";,\t" },
    { "a\n", ",;\t" },
    { "\r\n\r\na;b\n1;2\n3,4\n", ";,\t" },
    { "", ",;\t" },
    /* Decimal commas are as many as they like. */
    { "a;b\n1,5;2,5\n1,5;2\n1;2\n", ";,\t" },
    { "a;b\n1,5;2,5\n1,5;2,5\n1,5;2,5\n", ";,\t" },
    { "a\tb\n1,5\t2,5\n1,5\t2,5\n", "\t,;" },
    /* A preamble with other marks. */
    { "ride; of, all\nwith, one, more\na\tb\tc\n1\t2\t3\n1\t2\t3\n", "\t,;" },
    /* A quote that doesn't close hides nothing. */
    { "say \"5\na;b\n1;2\n", ";,\t" },
};

static void test_csv_rows__delimiter_is_the_one_that_cuts_most_lines_alike(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(delimiters); i++) {
        char likeliest[CSV_DELIMITERS + 1] = { 0 };
        csv_rows_delimiters(bytes_of(delimiters[i].text), 50, likeliest);
        check_text(delimiters[i].text, likeliest, delimiters[i].want);
    }
    /* Only the first lines count. */
    char likeliest[CSV_DELIMITERS + 1] = { 0 };
    csv_rows_delimiters(bytes_of("a;b\n1;2\n1,2,3\n1,2,3\n1,2,3\n"), 2, likeliest);
    check_text("two lines", likeliest, ";,\t");
}

static void test_csv_rows__lines_are_counted_by_any_line_end(void **state)
{
    (void)state;
    static const struct {
        const char *text;
        size_t want;
    } cases[] = {
        { "ab\ncd\nef", 3 },      { "ab\r\ncd\r\n", 2 },     { "ab\rcd\ref\r", 3 },
        { "ab\n\n\nc\nde\n", 2 }, { "ab\rcd\nef\r\ngh", 4 }, { "", 0 },
    };
    struct arena *arena = arena_open();
    for (size_t i = 0; i < COUNT(cases); i++) {
        const struct csv_rows at = csv_rows_begin(arena, bytes_of(cases[i].text), ',', 64, 4);
        check_integer(cases[i].text, (int64_t)csv_rows_count_lines(&at, 2), (int64_t)cases[i].want);
    }
    arena_close(arena);
}

/* SD-10: a table of the shared checks, described there cell by cell. */
static void test_csv_rows__read_the_shared_table_of_the_standard(void **state)
{
    (void)state;
    if (check_shared() == NULL) {
        print_message("# note: the shared table of RFC 4180 is absent\n");
        return;
    }
    struct arena *arena = arena_open();
    const struct bytes bytes = check_shared_file(arena, "checks/standards/rfc4180.csv");
    check_text("SD-10", spell(arena, bytes, ',', 256),
               "1[name][note][value]|"
               "2[a \"quoted\" word][two\r\nlines][comma, inside]|"
               "4[ leading space kept][][3]|");
    arena_close(arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_csv_rows__follow_the_standard),
        cmocka_unit_test(test_csv_rows__are_the_same_as_byte_by_byte),
        cmocka_unit_test(test_csv_rows__a_row_longer_than_its_cap_is_a_problem_not_a_read_beyond),
        cmocka_unit_test(test_csv_rows__a_zero_byte_does_not_shorten_a_cell),
        cmocka_unit_test(test_csv_rows__delimiter_is_the_one_that_cuts_most_lines_alike),
        cmocka_unit_test(test_csv_rows__lines_are_counted_by_any_line_end),
        cmocka_unit_test(test_csv_rows__read_the_shared_table_of_the_standard),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
