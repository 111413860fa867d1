/* coaching/words/worth_words.c: what each rule is worth.  F-numbers are rows of the published
 * figures that limits/ names too; shares are those of docs/honesty.md. */
#include "coaching/words/worth_words.h"

const char *words_worth(enum question question)
{
    switch (question) {
    case QUESTION_TRUST:
        return "Of 4,719 faults put into real rides all but one were found; 2 of 1,000 faultless "
               "simulated rides were doubted. A meter that reads evenly too high or too low shows "
               "in no single ride.";
    case QUESTION_BASE: /* F-01, F-02, F-03, F-06, F-07, F-10 */
        return "Training lowers the rise, but heat, air and drink move it more than fitness does, "
               "and trained and untrained riders overlap: one hour says more of the day than of "
               "the "
               "rider. On simulated hours the likely range held the true rise 93 times in 100, and "
               "1 in 1,000 passed with a rise truly over the line; many stay on the line.";
    case QUESTION_BASE_STATE:
        return "Ten beats is the trade's line, not a law. How far a test repeats, and how often a "
               "rider usually just on the line passes one or two, stands with the verdict: so two "
               "are asked, on days apart.";
    case QUESTION_BASE_TREND:
        return "Five tests can't show a fall of six beats, thirty rides can. Training lowers heart "
               "rate at one power, and so does tiredness: it counts only where bests hold and "
               "effort doesn't rise.";
    case QUESTION_EASY_WORK:
    case QUESTION_EASY_WEEKS:
        return "The lines are the trade's habit; nobody has measured how much harder riding an "
               "easy "
               "day bears. They say whether the ride kept to what was asked, not whether it "
               "harmed.";
    case QUESTION_HARD_WORK:
        return "On simulated sessions indoors every set was found to within 3 s; outdoors 91 to 97 "
               "in 100 when the session was known, fewer with odd durations. Outdoors a set that "
               "faded is called something else about 18 times in 100. The range itself rests on a "
               "threshold that is known to some percent.";
    case QUESTION_HARD_DAY:
        return "Ten minutes above threshold is the trade's line for a hard day; it keeps hard days "
               "apart and claims no more.";
    case QUESTION_PROGRESS: /* F-50, F-51 */
        return "Bests scatter by 3 % from try to try. Of simulated riders who hadn't changed at "
               "most 4 in 100 are called better; of those who gained 6 % about 34 in 100, with "
               "three all-out efforts in each span: no clear change is no proof of none.";
    case QUESTION_STALLED:
        return "Of simulated riders who gained 2 % at most 4 in 100 are called stalled, of those "
               "who gained 4 % about 1. Most who truly stand still can't be told from those who "
               "gain a little.";
    case QUESTION_HOW:
        return "Effort against the usual is the rider's own word against the rider's own words: it "
               "finds what the rider notices. Nobody has measured here how often it is right.";
    case QUESTION_LOAD:
        return "That sudden jumps do harm is the trade's rule; studies are divided. It counts "
               "hours, which say nothing of how hard they were.";
    case QUESTION_COMEBACK:
        return "How to come back is common practice and caution; medical advice goes before it.";
    case QUESTION_METERS: /* F-85 */
        return "Of 1,000 simulated pairs of meters the range for any day held the true difference "
               "908 times. Two meters that agree may both be wrong.";
    case QUESTION_TODAY: /* F-30, F-33 */
        return "Heart rate at the same power differs by about 5 beats from day to day without any "
               "cause. A day 8 beats higher is called unusual about 26 times in 100, so usual "
               "isn't "
               "the same as well.";
    }
    return "";
}
