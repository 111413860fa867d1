/* The table of test_next.c: what differs from a rider whose base is built, who is screened, in the
 * first year, with two hours on each day, and did the last hard session once; and what is proposed
 * then, as rule:session+day/change, read against the rules one by one. */
#ifndef TESTS_NEXT_SITUATIONS_H
#define TESTS_NEXT_SITUATIONS_H

static const struct {
    const char *is;
    const char *proposes;
} situations[] = {
    { "years=0", ("done-once:vo2max+0 easy-rides:base-ride+1 done-once:vo2max+2 "
                  "easy-rides:base-ride+3 easy-rides:base-ride+4") },
    { "hard=none", ("first-hard:short-vo2max+0 easy-rides:base-ride+1 first-hard:short-vo2max+2 "
                    "easy-rides:base-ride+3 easy-rides:base-ride+4") },
    { "hard=done done=2",
      ("done-twice:vo2max+0/one-more easy-rides:base-ride+1 done-twice:vo2max+2/one-more "
       "easy-rides:base-ride+3 easy-rides:base-ride+4") },
    { "hard=too-fast",
      ("started-too-hard:vo2max+0/cap-start easy-rides:base-ride+1 "
       "started-too-hard:vo2max+2/cap-start easy-rides:base-ride+3 easy-rides:base-ride+4") },
    { "hard=fell",
      ("started-too-hard-and-fell:vo2max+0/lower easy-rides:base-ride+1 "
       "started-too-hard-and-fell:vo2max+2/lower easy-rides:base-ride+3 easy-rides:base-ride+4") },
    { "hard=faded", ("faded:vo2max+0/fewer easy-rides:base-ride+1 faded:vo2max+2/fewer "
                     "easy-rides:base-ride+3 easy-rides:base-ride+4") },
    { "hard=done of=threshold",
      ("done-once:threshold+0 easy-rides:base-ride+1 done-once:threshold+2 easy-rides:base-ride+3 "
       "easy-rides:base-ride+4") },
    { "hard=too-fast of=anaerobic",
      ("started-too-hard:anaerobic+0/cap-start easy-rides:base-ride+1 "
       "started-too-hard:anaerobic+2/cap-start easy-rides:base-ride+3 easy-rides:base-ride+4") },
    { "base=building",
      "base-building:base-ride+0 base-building:base-ride+1 base-building:base-ride+2" },
    { "base=building test=40", ("base-retest:base-test+0 base-building:base-ride+1 "
                                "base-building:base-ride+2 base-building:base-ride+3") },
    { "base=building test=-1", ("base-retest:base-test+0 base-building:base-ride+1 "
                                "base-building:base-ride+2 base-building:base-ride+3") },
    { "base=not-tested", ("base-not-tested:base-test+0 easy-rides:base-ride+1 "
                          "easy-rides:base-ride+2 easy-rides:base-ride+3") },
    { "base=to-confirm", ("base-to-confirm:base-test+0 easy-rides:base-ride+1 "
                          "easy-rides:base-ride+2 easy-rides:base-ride+3") },
    { "base=out-of-date", ("base-out-of-date:base-test+0 easy-rides:base-ride+1 "
                           "easy-rides:base-ride+2 easy-rides:base-ride+3") },
    { "base=building easy-too-hard",
      ("base-building:base-ride+0/cap-easy base-building:base-ride+1/cap-easy "
       "base-building:base-ride+2/cap-easy") },
    { "base=building unscreened", ("medical-advice-first base-building:base-ride+0 "
                                   "base-building:base-ride+1 base-building:base-ride+2") },
    { "base=not-tested unscreened",
      ("medical-advice-first base-not-tested:base-test+0 easy-rides:base-ride+1 "
       "easy-rides:base-ride+2 easy-rides:base-ride+3") },
    { "unscreened",
      "medical-advice-first easy-rides:base-ride+0 easy-rides:base-ride+1 easy-rides:base-ride+2" },
    { "not-cleared",
      "medical-advice-first easy-rides:base-ride+0 easy-rides:base-ride+1 easy-rides:base-ride+2" },
    { "cleared", ("done-once:vo2max+0 easy-rides:base-ride+1 done-once:vo2max+2 "
                  "easy-rides:base-ride+3 easy-rides:base-ride+4") },
    { "unscreened test-due",
      "medical-advice-first easy-rides:base-ride+0 easy-rides:base-ride+1 easy-rides:base-ride+2" },
    { "caution",
      "caution-open easy-rides:base-ride+0 easy-rides:base-ride+1 easy-rides:base-ride+2" },
    { "caution test-due",
      "caution-open easy-rides:base-ride+0 easy-rides:base-ride+1 easy-rides:base-ride+2" },
    { "today-high", ("today-high:easy+0 done-once:vo2max+1 easy-rides:base-ride+2 "
                     "easy-rides:base-ride+3 easy-rides:base-ride+4") },
    { "today-high hard=too-fast",
      ("today-high:easy+0 started-too-hard:vo2max+1/cap-start easy-rides:base-ride+2 "
       "easy-rides:base-ride+3 easy-rides:base-ride+4") },
    { "today-high base=building", ("today-high:easy+0 base-building:base-ride+1 "
                                   "base-building:base-ride+2 base-building:base-ride+3") },
    { "today-high unscreened", ("medical-advice-first today-high:easy+0 easy-rides:base-ride+1 "
                                "easy-rides:base-ride+2 easy-rides:base-ride+3") },
    { "test-due", ("test-due:test-20-min+0 easy-rides:base-ride+1 done-once:vo2max+2 "
                   "easy-rides:base-ride+3 easy-rides:base-ride+4") },
    { "test-due pregnant", ("done-once:vo2max+0 easy-rides:base-ride+1 done-once:vo2max+2 "
                            "easy-rides:base-ride+3 easy-rides:base-ride+4") },
    { "test-due hard=none",
      ("test-due:test-20-min+0 easy-rides:base-ride+1 first-hard:short-vo2max+2 "
       "easy-rides:base-ride+3 easy-rides:base-ride+4") },
    { "test-due tested-on=-5",
      "done-once:vo2max+0 easy-rides:base-ride+1 easy-rides:base-ride+2 easy-rides:base-ride+3" },
    { "test-due tested-on=-13",
      ("easy-rides:base-ride+0 test-due:test-20-min+1 easy-rides:base-ride+2 done-once:vo2max+3 "
       "easy-rides:base-ride+4") },
    { "test-due tested-on=-15", ("test-due:test-20-min+0 easy-rides:base-ride+1 done-once:vo2max+2 "
                                 "easy-rides:base-ride+3 easy-rides:base-ride+4") },
    { "test-due event=5", ("event-near:vo2max+0/fewer easy-rides:base-ride+1/shorter "
                           "easy-rides:base-ride+2/shorter easy-rides:base-ride+3/shorter") },
    { "test-due base=building", ("test-due:test-20-min+0 base-building:base-ride+1 "
                                 "base-building:base-ride+2 base-building:base-ride+3") },
    { "pregnant", ("done-once:vo2max+0 easy-rides:base-ride+1 done-once:vo2max+2 "
                   "easy-rides:base-ride+3 easy-rides:base-ride+4") },
    { "stalled",
      "stalled:threshold+0 easy-rides:base-ride+1 easy-rides:base-ride+2 easy-rides:base-ride+3" },
    { "stalled of=threshold",
      "stalled:vo2max+0 easy-rides:base-ride+1 easy-rides:base-ride+2 easy-rides:base-ride+3" },
    { "stalled test-due", ("test-due:test-20-min+0 easy-rides:base-ride+1 stalled:threshold+2 "
                           "easy-rides:base-ride+3 easy-rides:base-ride+4") },
    { "easy-too-hard", ("done-once:vo2max+0 easy-rides:base-ride+1/cap-easy done-once:vo2max+2 "
                        "easy-rides:base-ride+3/cap-easy easy-rides:base-ride+4/cap-easy") },
    { "jump", ("done-once:vo2max+0 easy-rides:base-ride+1/shorter easy-rides:base-ride+2/shorter "
               "easy-rides:base-ride+3/shorter") },
    { "jump base=building", ("base-building:base-ride+0/shorter base-building:base-ride+1/shorter "
                             "base-building:base-ride+2/shorter") },
    { "weeks=3",
      "done-once:vo2max+0 easy-rides:base-ride+1/shorter easy-rides:base-ride+2/shorter" },
    { "weeks=2", ("done-once:vo2max+0 easy-rides:base-ride+1 done-once:vo2max+2 "
                  "easy-rides:base-ride+3 easy-rides:base-ride+4") },
    { "weeks=3 base=building",
      "base-building:base-ride+0/shorter base-building:base-ride+1/shorter" },
    { "weeks=3 test-due",
      "test-due:test-20-min+0 easy-rides:base-ride+1/shorter easy-rides:base-ride+2/shorter" },
    { "event=0", ("easy-rides:base-ride+1/shorter easy-rides:base-ride+2/shorter "
                  "easy-rides:base-ride+3/shorter") },
    { "event=10", ("event-near:vo2max+0/fewer easy-rides:base-ride+1/shorter "
                   "easy-rides:base-ride+2/shorter easy-rides:base-ride+3/shorter") },
    { "event=11", ("done-once:vo2max+0 easy-rides:base-ride+1 done-once:vo2max+2 "
                   "easy-rides:base-ride+3 easy-rides:base-ride+4") },
    { "event=5 base=to-confirm", ("easy-rides:base-ride+0/shorter easy-rides:base-ride+1/shorter "
                                  "easy-rides:base-ride+2/shorter") },
    { "event=5 base=building test=40",
      ("base-building:base-ride+0/shorter base-building:base-ride+1/shorter "
       "base-building:base-ride+2/shorter") },
    { "back=doctor", "doctor" },
    { "back=doctor test-due", "doctor" },
    { "back=ill", "ill" },
    { "back=easy-only",
      "back-easy:easy+0/shorter back-easy:easy+1/shorter back-easy:easy+2/shorter" },
    { "back=easy-only base=building",
      "back-easy:easy+0/shorter back-easy:easy+1/shorter back-easy:easy+2/shorter" },
    { "back=more",
      "back-more:base-ride+0/shorter back-more:base-ride+1/shorter back-more:base-ride+2/shorter" },
    { "back=more test-due",
      "back-more:base-ride+0/shorter back-more:base-ride+1/shorter back-more:base-ride+2/shorter" },
    { "back=one-hard", ("back-one-hard:short-vo2max+0/shorter easy-rides:base-ride+1 "
                        "easy-rides:base-ride+2 easy-rides:base-ride+3") },
    { "back=one-hard unscreened",
      "medical-advice-first easy-rides:base-ride+0 easy-rides:base-ride+1 easy-rides:base-ride+2" },
    { "back=one-hard caution",
      "caution-open easy-rides:base-ride+0 easy-rides:base-ride+1 easy-rides:base-ride+2" },
    { "back=test", ("back-test:test-20-min+0 easy-rides:base-ride+1 easy-rides:base-ride+2 "
                    "easy-rides:base-ride+3") },
    { "back=test unscreened",
      "medical-advice-first easy-rides:base-ride+0 easy-rides:base-ride+1 easy-rides:base-ride+2" },
    { "back=test pregnant",
      "easy-rides:base-ride+0 easy-rides:base-ride+1 easy-rides:base-ride+2" },
    { "often", "done-once:vo2max+0 easy-rides:base-ride+1 easy-rides:base-ride+2 "
               "easy-rides:base-ride+3" },
    { "hard-unknown", ("hard-not-known:short-vo2max+0 easy-rides:base-ride+1 "
                       "hard-not-known:short-vo2max+2 easy-rides:base-ride+3 "
                       "easy-rides:base-ride+4") },
    { "hard-unknown event=5", ("easy-rides:base-ride+0/shorter easy-rides:base-ride+1/shorter "
                               "easy-rides:base-ride+2/shorter") },
    /* Hours, by hand: half of 4 h are three times 40 min; of 10 h more than three rides of 45; of
     * 2 h two of 30. */
    { "usual=4 back=easy-only",
      "back-easy:easy+0/shorter back-easy:easy+1/shorter back-easy:easy+2/shorter" },
    { "usual=10 back=easy-only", "back-easy:easy+0 back-easy:easy+1 back-easy:easy+2" },
    { "usual=2 back=easy-only", "back-easy:easy+0/shorter back-easy:easy+1/shorter" },
    { "usual=2 back=easy-only planned=60", "" },
    /* All of 6 h, less 63 min, are three whole rides; of 4 h they are cut. */
    { "usual=6 jump", "done-once:vo2max+0 easy-rides:base-ride+1 easy-rides:base-ride+2 "
                      "easy-rides:base-ride+3" },
    { "usual=4 jump", ("done-once:vo2max+0 easy-rides:base-ride+1/shorter "
                       "easy-rides:base-ride+2/shorter easy-rides:base-ride+3/shorter") },
    /* Half of 3 h, less 55 min with an effort fewer, are 35: one ride. */
    { "usual=3 event=5", "event-near:vo2max+0/fewer easy-rides:base-ride+1/shorter" },
    /* 60 % of 1 h hold neither. */
    { "usual=1 weeks=3", "easy-rides:base-ride+0/shorter" },
    { "hard-on=-1", ("easy-rides:base-ride+0 done-once:vo2max+1 easy-rides:base-ride+2 "
                     "easy-rides:base-ride+3 done-once:vo2max+6") },
    { "hard-on=-2", ("done-once:vo2max+0 easy-rides:base-ride+1 easy-rides:base-ride+2 "
                     "easy-rides:base-ride+3 done-once:vo2max+5") },
    { "hard-on=-1 hard-on=-3", ("easy-rides:base-ride+0 easy-rides:base-ride+1 "
                                "easy-rides:base-ride+2 done-once:vo2max+4 done-once:vo2max+6") },
    { "hard-on=-1 hard-on=-3 years=3",
      ("easy-rides:base-ride+0 done-once:vo2max+1 easy-rides:base-ride+2 done-once:vo2max+3 "
       "easy-rides:base-ride+4") },
    { "hard-on=2",
      "done-once:vo2max+0 easy-rides:base-ride+1 easy-rides:base-ride+2 easy-rides:base-ride+3" },
    { "hard-on=1 hard-on=4",
      "easy-rides:base-ride+0 easy-rides:base-ride+1 easy-rides:base-ride+2" },
    { "free=", "" },
    { "free=06", "done-once:vo2max+0 easy-rides:base-ride+6" },
    { "free=36", "done-once:vo2max+3 easy-rides:base-ride+6" },
    { "free=1 base=not-tested", "base-not-tested:base-test+1" },
    { "minutes=40", "easy-rides:base-ride+0 easy-rides:base-ride+1 easy-rides:base-ride+2" },
    { "minutes=40 base=building",
      "base-building:base-ride+0 base-building:base-ride+1 base-building:base-ride+2" },
    { "minutes=20", "" },
    { "minutes=60 hard=none",
      ("first-hard:short-vo2max+0 easy-rides:base-ride+1 first-hard:short-vo2max+2 "
       "easy-rides:base-ride+3 easy-rides:base-ride+4") },
    { "base=to-confirm test=2", ("easy-rides:base-ride+0 easy-rides:base-ride+1 "
                                 "easy-rides:base-ride+2 base-to-confirm:base-test+3") },
    { "base=to-confirm hard-on=-1", ("easy-rides:base-ride+0 base-to-confirm:base-test+1 "
                                     "easy-rides:base-ride+2 easy-rides:base-ride+3") },
    { "base=not-tested hard-on=-1 hard-on=1", ("easy-rides:base-ride+0 base-not-tested:base-test+1 "
                                               "easy-rides:base-ride+2 easy-rides:base-ride+3") },
    { "event=5 hard=none", ("easy-rides:base-ride+0/shorter easy-rides:base-ride+1/shorter "
                            "easy-rides:base-ride+2/shorter") },
    { "event=5 stalled", ("event-near:vo2max+0/fewer easy-rides:base-ride+1/shorter "
                          "easy-rides:base-ride+2/shorter easy-rides:base-ride+3/shorter") },
    /* All-out efforts: those chosen alone, the threshold's test before them, one in 14 days. */
    { "tests=300", ("effort-due:test-5-min+0 easy-rides:base-ride+1 done-once:vo2max+2 "
                    "easy-rides:base-ride+3 easy-rides:base-ride+4") },
    { "tests=10", ("effort-due:test-sprints+0 easy-rides:base-ride+1 done-once:vo2max+2 "
                   "easy-rides:base-ride+3 easy-rides:base-ride+4") },
    { "tests=60,1200", ("effort-due:test-1-min+0 easy-rides:base-ride+1 done-once:vo2max+2 "
                        "easy-rides:base-ride+3 easy-rides:base-ride+4") },
    { "tests=1200 hard=none",
      ("effort-due:test-20-min+0 easy-rides:base-ride+1 first-hard:short-vo2max+2 "
       "easy-rides:base-ride+3 easy-rides:base-ride+4") },
    { "tests=600 base=building", ("effort-due:test-10-min+0 base-building:base-ride+1 "
                                  "base-building:base-ride+2 base-building:base-ride+3") },
    { "tests=180", ("done-once:vo2max+0 easy-rides:base-ride+1 done-once:vo2max+2 "
                    "easy-rides:base-ride+3 easy-rides:base-ride+4") },
    { "tests=300 test-due", ("test-due:test-20-min+0 easy-rides:base-ride+1 done-once:vo2max+2 "
                             "easy-rides:base-ride+3 easy-rides:base-ride+4") },
    { "tests=300 tested-on=-5",
      "done-once:vo2max+0 easy-rides:base-ride+1 easy-rides:base-ride+2 easy-rides:base-ride+3" },
    { "tests=300 tested-on=-13",
      ("easy-rides:base-ride+0 effort-due:test-5-min+1 easy-rides:base-ride+2 done-once:vo2max+3 "
       "easy-rides:base-ride+4") },
    { "tests=300 tested-on=9", /* a maximal session stands there */
      "done-once:vo2max+0 easy-rides:base-ride+1 easy-rides:base-ride+2 easy-rides:base-ride+3" },
    { "tests=300 unscreened",
      "medical-advice-first easy-rides:base-ride+0 easy-rides:base-ride+1 easy-rides:base-ride+2" },
    { "tests=300 not-cleared",
      "medical-advice-first easy-rides:base-ride+0 easy-rides:base-ride+1 easy-rides:base-ride+2" },
    { "tests=300 pregnant", ("done-once:vo2max+0 easy-rides:base-ride+1 done-once:vo2max+2 "
                             "easy-rides:base-ride+3 easy-rides:base-ride+4") },
    { "tests=300 caution",
      "caution-open easy-rides:base-ride+0 easy-rides:base-ride+1 easy-rides:base-ride+2" },
    { "tests=300 today-high", ("today-high:easy+0 done-once:vo2max+1 easy-rides:base-ride+2 "
                               "easy-rides:base-ride+3 easy-rides:base-ride+4") },
    { "tests=300 back=more",
      "back-more:base-ride+0/shorter back-more:base-ride+1/shorter back-more:base-ride+2/shorter" },
    { "tests=300 back=one-hard", ("back-one-hard:short-vo2max+0/shorter easy-rides:base-ride+1 "
                                  "easy-rides:base-ride+2 easy-rides:base-ride+3") },
    { "tests=300 event=5", ("event-near:vo2max+0/fewer easy-rides:base-ride+1/shorter "
                            "easy-rides:base-ride+2/shorter easy-rides:base-ride+3/shorter") },
    { "tests=300 event=12",
      "done-once:vo2max+0 easy-rides:base-ride+1 easy-rides:base-ride+2 easy-rides:base-ride+3" },
    /* Sessions missed in a row: few, short, easy. */
    { "missed", "sessions-missed short-easy:easy+0 short-easy:easy+1" },
    { "missed test-due", "sessions-missed short-easy:easy+0 short-easy:easy+1" },
    { "missed tests=300", "sessions-missed short-easy:easy+0 short-easy:easy+1" },
    { "missed base=not-tested", "sessions-missed short-easy:easy+0 short-easy:easy+1" },
    { "missed stalled", "sessions-missed short-easy:easy+0 short-easy:easy+1" },
    { "missed unscreened",
      "medical-advice-first sessions-missed short-easy:easy+0 short-easy:easy+1" },
    { "missed event=5", "sessions-missed short-easy:easy+0/shorter short-easy:easy+1/shorter" },
    { "missed free=3", "sessions-missed short-easy:easy+3" },
    { "missed days=14", ("sessions-missed short-easy:easy+0 short-easy:easy+1 short-easy:easy+2 "
                         "short-easy:easy+3") },
    { "missed back=ill", "ill" },
    /* Weeks without hard work: less of it, once a week. */
    { "no-hard=2", ("done-once:vo2max+0 easy-rides:base-ride+1 done-once:vo2max+2 "
                    "easy-rides:base-ride+3 easy-rides:base-ride+4") },
    { "no-hard=3", ("hard-again:vo2max+0/fewer easy-rides:base-ride+1 easy-rides:base-ride+2 "
                    "easy-rides:base-ride+3") },
    { "no-hard=3 done=2",
      ("hard-again:vo2max+0/fewer easy-rides:base-ride+1 easy-rides:base-ride+2 "
       "easy-rides:base-ride+3") },
    { "no-hard=4 hard=too-fast",
      ("hard-again:vo2max+0/fewer easy-rides:base-ride+1 easy-rides:base-ride+2 "
       "easy-rides:base-ride+3") },
    { "no-hard=4 hard=fell",
      ("started-too-hard-and-fell:vo2max+0/lower easy-rides:base-ride+1 easy-rides:base-ride+2 "
       "easy-rides:base-ride+3") },
    { "no-hard=4 hard=faded", ("faded:vo2max+0/fewer easy-rides:base-ride+1 "
                               "easy-rides:base-ride+2 easy-rides:base-ride+3") },
    { "no-hard=9 hard=none", ("first-hard:short-vo2max+0 easy-rides:base-ride+1 "
                              "easy-rides:base-ride+2 easy-rides:base-ride+3") },
    { "no-hard=9 hard-unknown", ("hard-not-known:short-vo2max+0 easy-rides:base-ride+1 "
                                 "easy-rides:base-ride+2 easy-rides:base-ride+3") },
    { "no-hard=3 stalled",
      "stalled:threshold+0 easy-rides:base-ride+1 easy-rides:base-ride+2 easy-rides:base-ride+3" },
    { "no-hard=3 tests=300", ("effort-due:test-5-min+0 easy-rides:base-ride+1 "
                              "easy-rides:base-ride+2 easy-rides:base-ride+3") },
    { "no-hard=3 unscreened",
      "medical-advice-first easy-rides:base-ride+0 easy-rides:base-ride+1 easy-rides:base-ride+2" },
    { "no-hard=3 days=14 years=3",
      ("hard-again:vo2max+0/fewer easy-rides:base-ride+1 easy-rides:base-ride+2 "
       "easy-rides:base-ride+3 easy-rides:base-ride+4 easy-rides:base-ride+5 "
       "easy-rides:base-ride+6 hard-again:vo2max+7/fewer") },
    /* Every event counts, the later one too: two hard days in seven with both. */
    { "event=11 days=14",
      ("done-once:vo2max+0 easy-rides:base-ride+1 done-once:vo2max+2 easy-rides:base-ride+3 "
       "easy-rides:base-ride+4 easy-rides:base-ride+5 easy-rides:base-ride+6 done-once:vo2max+7 "
       "easy-rides:base-ride+8") },
    { "event=11 race=13 days=14",
      ("done-once:vo2max+0 easy-rides:base-ride+1 done-once:vo2max+2 easy-rides:base-ride+3 "
       "easy-rides:base-ride+4 easy-rides:base-ride+5 easy-rides:base-ride+6 "
       "easy-rides:base-ride+7") },
    { "minor=2",
      "done-once:vo2max+0 easy-rides:base-ride+1 easy-rides:base-ride+3 easy-rides:base-ride+4" },
    { "event=1", ("easy-rides:base-ride+0/shorter easy-rides:base-ride+2/shorter "
                  "easy-rides:base-ride+3/shorter") },
};

#endif
