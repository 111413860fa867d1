/* recording/gpx_parse.h: from the bytes of an XML file to track points, in file order.
 *
 * Elements are known by their local name and by where they stand; what namespace a prefix stands
 * for is never asked, so that a file whose exporter forgot to declare a prefix is read too.
 *
 *     gpx > trk > trkseg > trkpt        lat, lon; ele and time below it; sensor fields at any depth
 *     gpx > trk > type                  what sport
 *     gpx > rte > rtept, gpx > wpt      counted, for the refusal
 *
 * Bounded by cap_gpx_*: points, depth, kinds of names, bytes of a tag or comment, bytes of a text.
 * A document type is refused before anything in it is read, so no entity is ever expanded. */
#ifndef RECORDING_GPX_PARSE_H
#define RECORDING_GPX_PARSE_H

#include "recording/recording.h"

#define GPX_TYPE_BYTES 64

struct gpx_track {
    char type[GPX_TYPE_BYTES]; /* as written, UTF-8, unclean; "" unknown */
};

/* A point that has a time. */
struct gpx_point {
    int64_t utc_ms;
    int32_t value[CHANNEL_COUNT]; /* RECORDING_MISSING where there is none */
    int32_t offset_s;             /* local time, where a time said so */
    bool has_offset;
    uint32_t track;   /* index of tracks */
    uint32_t segment; /* 0-based, over the whole file */
};

#define GPX_BLOCK_POINTS 1024
struct gpx_block {
    struct gpx_point points[GPX_BLOCK_POINTS];
    struct gpx_block *next;
};

enum gpx_end {
    GPX_WHOLE,
    GPX_CUT,       /* the bytes end, or are zeros from here on, before the document does */
    GPX_MALFORMED, /* no XML from here on */
    GPX_TRAILING,  /* something follows the end of the document */
};

struct gpx_file {
    struct gpx_block *blocks; /* all full but the last */
    size_t n_points;          /* with a time: those in the blocks */
    size_t n_timeless;        /* points without a time */
    size_t n_bad_times;       /* points whose time can't be read */
    size_t n_bad_values;      /* fields that hold no number, or one out of range */
    size_t n_routes;
    size_t n_route_points;
    size_t n_waypoints;
    struct gpx_track *tracks; /* [n_tracks] */
    size_t n_tracks;
    bool other_letters; /* some bytes weren't in the encoding that the file names */
    enum gpx_end end;
    size_t line; /* where it ends, 1-based, unless GPX_WHOLE */
    size_t column;
    size_t trailing; /* bytes: GPX_TRAILING */
};

/* All memory is taken from `arena`.  False, with err naming `file`, for what is no GPX at all
 * (another kind of XML, a web page, a document type, an encoding that isn't known) and past a cap;
 * a tear in the bytes is no error here: what came before it is kept and out->end says so. */
MUST_USE bool gpx_parse(struct arena *arena, struct bytes bytes, const char *file,
                        const struct limits *limits, struct gpx_file *out, struct error *err);

#endif
