/* tests/coaching/attention_scene.h: a rider in a situation, built from a script.
 *
 *     hard faded 2; note 3 chest pain; done hard-faded 998
 *
 * Clauses parted by "; "; days are days ago.  Rides carry the number 1000 - days ago, notes 501 and
 * on as they are put down. */
#ifndef TESTS_COACHING_ATTENTION_SCENE_H
#define TESTS_COACHING_ATTENTION_SCENE_H

#include "coaching/attention.h"

/* Wednesday 18 February 2026. */
enum { TODAY = 20502, SCENE_MOST = 60, MARKS_MOST = 4 };

/* A rider and what is known, built from a script. */
struct scene {
    struct past_ride rides[SCENE_MOST];
    struct past_note notes[SCENE_MOST];
    struct past_span off[4];
    struct rider_history history;
    struct rider_readings readings;
    struct attention_rider rider;
    struct attention_mark marks[MARKS_MOST];
    size_t n_marks;
    struct meter_link link;
};

/* A quiet rider: an hour every other day, a base built, a threshold of 20 days ago. */
void scene_begin(struct scene *scene, int64_t id, const char *name);

/* One clause. */
void scene_play(struct scene *scene, const char *clause);

/* All of them.  The text is cut up. */
void scene_play_all(struct scene *scene, char *text);

/* Its readings. */
void scene_make(struct arena *arena, struct scene *scene, const struct limits *limits);

#endif
