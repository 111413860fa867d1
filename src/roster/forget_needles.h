/* roster/forget_needles.h: what to look for when a rider was forgotten, and looking for it.
 *
 * A needle is a run of bytes that would not stand in the file by chance: ride files are packed, so
 * any 4 bytes do come up somewhere in a gigabyte, and 8 don't (1 in 18 billion).  So
 *
 *     the name        as it is, folded, and as files are called (ada-berg, ada_berg); of less than
 *                     8 bytes only where it stands with what is written beside it: name and folded
 *                     name of the row; "of NAME", "rider NAME", as changes say it, if no letter
 *                     follows
 *     texts           notes, address, goals, file names, words of changes: from 8 bytes; of long
 *                     ones the first and last 48, since a page may end within
 *     serials         from 8 digits as text; as a number with the texts that stand before it in the
 *                     row (kind, maker, product), as the file format writes it
 *     checksums       of the original files: 32 bytes, and 64 hexadecimal digits
 *
 * What another rider's rows hold as well (a note that both have) is no trace, and left out. */
#ifndef ROSTER_FORGET_NEEDLES_H
#define ROSTER_FORGET_NEEDLES_H

#include "roster/forget.h"

struct needle {
    const char *what;
    struct bytes bytes;
    bool is_name;   /* never left out */
    bool ends_word; /* no letter may follow: "rider Al" is not in "rider Alma" */
    bool found;
};

/* Another rider's name that holds this one's: "Ada Bergmann" is no trace of Ada Berg. */
struct needle_cover {
    struct bytes bytes;
    struct bytes needle;
    size_t at; /* of the needle in it */
};

struct needles {
    struct arena *arena;
    struct needle_cover *covers;
    size_t n_covers;
    size_t covers_capacity;
    struct needle *items;
    size_t count;
    size_t capacity;
    size_t n_too_short;
    size_t n_of_others;
    size_t *first; /* [..] the table of needles by their first bytes */
    size_t *next;
    size_t n_indexed;
};

/* Of the rider as the store is now: before anything is removed. */
MUST_USE bool needles_collect(struct db *db, struct arena *arena, const struct rider *rider,
                              struct needles *out, struct error *err);

/* After the removal: drops what others' rows hold. */
MUST_USE bool needles_drop_others(struct db *db, struct needles *needles, struct error *err);

/* Looks for all of them in bytes; calls found once for each needle and place that is the first of
 * its kind in this piece. */
typedef void needles_found(void *context, struct needle *needle, size_t at);
void needles_search(struct needles *needles, struct bytes bytes, needles_found *found,
                    void *context);

/* The bytes hold the needle, and not only as a part of another rider's name. */
bool needles_is_in(const struct needles *needles, const struct needle *needle, struct bytes bytes);

/* The file whole, piece by piece; ERROR_STORAGE if it can't be read. */
MUST_USE bool needles_search_file(struct needles *needles, const char *path, needles_found *found,
                                  void *context, struct error *err);

/* A number as SQLite writes it in a row: https://www.sqlite.org/fileformat2.html, section 2.1
 * (serial types 1 to 6: big-endian, 1, 2, 3, 4, 6 or 8 bytes).  Returns how many. */
size_t needles_stored_integer(int64_t value, uint8_t out[8]);

#define NEEDLE_LEAST 8
#define NEEDLE_PIECE 48

#endif
