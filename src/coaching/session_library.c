/* coaching/session_library.c: sessions that most coaches use. */
#include "coaching/session_library.h"

#include <string.h>

#define PRACTICE "common practice, no source"
#define STOP                                                                                       \
    "Stop on chest pain, dizziness, faintness or unusual breathlessness. Away from traffic, or "   \
    "indoors."
#define MAXIMAL "All-out: only after the questions before hard work. " STOP
#define ONCE    "One maximal session in 14 days."
#define WARM    "warm up 15 min at 50-65 %\n3 times (30 s at 100 % with 95-105 rpm, 90 s at 50 %)\n"
#define COOL    "\ncool down 10 min at 45 %"
#define TIRED   "\nplan B with bad legs: 45 min at 50-60 %"

const struct library_session session_library[] = {
    { "base-test", "Base test, an hour at 70 %", "base-test",
      "warm up 10 min at 50-60 %\n60 min at 70 % with 80-95 rpm \"steady, no stops, no coasting\""
      "\ncool down 5 min at 45 %\nplan B over 26 C: 60 min at 50-60 %\nnote: fan, 18 to 24 C, a "
      "bottle, your usual coffee, no hard day before",
      "Is the aerobic base built? Heart rate should rise by fewer than 10 beats.",
      "One hour; again after 4 to 6 weeks.",
      "To power. Heart rate is only written down, except as an alarm.", PRACTICE },
    { "base-ride", "Base ride", "easy",
      "warm up 10 min at 50-60 %\n75 min at 65-72 %\ncool down 5 min at 45 %\nplan B with 40 "
      "minutes only: 40 min at 60-70 %" TIRED,
      "Building the base.", "2 or 3 a week, longer by a few minutes each week.",
      "Whole sentences should be easy all the time.", PRACTICE },
    { "easy", "Easy ride", "easy", "45 min at 45-60 %", "A day to recover.", "As often as wanted.",
      "Easier than it feels right.", PRACTICE },
    { "sweet-spot", "Sweet spot, 2 x 15 min", "sweet-spot",
      WARM "2 times (15 min at 88-93 %, rest 5 min at 50 %)" COOL TIRED,
      "Much work near threshold at a bearable price.", "30 min of work.", STOP, PRACTICE },
    { "threshold", "Threshold, 3 x 10 min", "threshold",
      WARM "3 times (10 min at 95-102 %, rest 5 min at 50 %)" COOL TIRED,
      "Raising what can be held for long.", "30 min of work; at most 40 in the first year.",
      "Even from the first minute. " STOP, PRACTICE },
    { "over-unders", "Over-unders, 3 x 9 min", "over-unders",
      WARM
      "3 times (3 times (2 min at 90-94 %, 1 min at 105-110 %), rest 5 min at 50 %)" COOL TIRED,
      "Recovering while riding near threshold.", "27 min of work.", STOP, PRACTICE },
    { "vo2max", "VO2max, 4 x 4 min", "vo2max",
      WARM "4 times (4 min at 106-112 % \"first minute no harder than the last\", rest 4 min at 50 "
           "%)" COOL TIRED,
      "Raising maximal oxygen uptake.", "16 min of work; at most 20 in the first year.",
      "Ride to power: heart rate comes up late, don't chase it. " STOP,
      "range: 106 to 120 % of threshold, common practice; intervals of 4 min: Helgerud 2007, from "
      "memory" },
    { "short-vo2max", "Short VO2max, 2 x 8 x 30 s", "short-vo2max",
      WARM "2 times (8 times (30 s at 110-120 %, 30 s at 50 %), rest 5 min at 45 %)" COOL TIRED,
      "VO2max work for who can't hold long efforts yet.", "8 min of work.",
      "A block is one effort: even from first to last. " STOP,
      "30 s on, 30 s off: Billat 2000, from memory; range: common practice" },
    { "anaerobic", "Anaerobic, 6 x 45 s", "anaerobic",
      WARM "6 times (45 s at 125-150 %, rest 4 min 15 s at 45 %)" COOL TIRED,
      "Work above threshold, repeated.", "4 min 30 s of work; at most 8 in the first year.",
      "Heart rate says nothing of such efforts. " STOP, PRACTICE },
    { "test-20-min", "Test, 20 min all-out", "test",
      WARM
      "5 min all out \"hard, so that the 20 min say more\"\nrest 10 min at 50 %\n20 min all out "
      "\"the first five minutes easier than you want to\"" COOL,
      "Threshold: 95 % of the mean.", ONCE, MAXIMAL,
      "protocol: common practice; its spread: docs/measures.md" },
    { "test-2x8", "Test, 2 x 8 min all-out", "test",
      WARM "8 min all out\nrest 10 min at 50 %\n8 min all out" COOL,
      "Threshold: 90 % of the mean of both.", ONCE, MAXIMAL,
      "protocol: common practice; docs/measures.md" },
    { "test-ramp", "Test, ramp by the minute", "test",
      "warm up 10 min at 40-50 %\n25 min rising from 46 to 166 % \"each minute 5 % more, until it "
      "can't be held\"" COOL,
      "Threshold: 75 % of the best minute, give or take 8 %.", ONCE, MAXIMAL,
      "protocol: common practice, doubted; docs/measures.md" },
    { "test-efforts", "Test, efforts of 4, 12 and 7 min", "test",
      WARM "4 min all out\nrest 30 min at 45 %\n12 min all out\nrest 30 min at 45 %\n7 min all "
           "out" COOL,
      "Critical power and the work above it.", ONCE, MAXIMAL,
      "efforts of 2 to 20 min, the longest at least 12 min and 2.5 times the shortest: "
      "docs/measures.md; rests: common practice" },
    { "test-sprints", "Test, three sprints of 15 s", "test",
      WARM
      "3 times (15 s all out \"from a slow roll, seated or standing as always\", rest 5 min at "
      "45 %)" COOL,
      "Best 10 and 15 s.", ONCE, MAXIMAL, PRACTICE },
    { "test-1-min", "Test, 1 min all-out", "test",
      WARM "rest 5 min at 45 %\n1 min all out \"nothing kept for the end\"" COOL, "Best minute.",
      ONCE, MAXIMAL, PRACTICE },
    { "test-5-min", "Test, 5 min all-out", "test",
      WARM "rest 5 min at 45 %\n5 min all out \"the first minute easier than you want to\"" COOL,
      "Best 5 min.", ONCE, MAXIMAL, PRACTICE },
    { "test-10-min", "Test, 10 min all-out", "test",
      WARM "rest 5 min at 45 %\n10 min all out \"the first three minutes easier than you want "
           "to\"" COOL,
      "Best 10 min.", ONCE, MAXIMAL, PRACTICE },
};
const size_t session_library_count = sizeof session_library / sizeof session_library[0];

const struct library_session *session_library_find(const char *name)
{
    for (size_t i = 0; i < session_library_count; i++) {
        if (strcmp(session_library[i].name, name) == 0) {
            return &session_library[i];
        }
    }
    return NULL;
}

const char *const session_kinds[] = { "easy",      "base-test",   "tempo",  "sweet-spot",
                                      "threshold", "over-unders", "vo2max", "short-vo2max",
                                      "anaerobic", "sprint",      "test",   "other",
                                      NULL };

static bool is_among(const char *kind, const char *const among[], size_t n)
{
    bool is = false;
    for (size_t i = 0; i < n; i++) {
        is = is || strcmp(kind, among[i]) == 0;
    }
    return is;
}

bool session_kind_is_known(const char *kind)
{
    return is_among(kind, session_kinds, sizeof session_kinds / sizeof session_kinds[0] - 1);
}

bool session_kind_is_hard(const char *kind)
{
    static const char *const hard[] = { "threshold", "over-unders", "vo2max", "short-vo2max",
                                        "anaerobic", "sprint",      "test" };
    return is_among(kind, hard, sizeof hard / sizeof hard[0]);
}
