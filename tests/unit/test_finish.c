#include "finish_book.h"

#include <math.h>

static const char BEERS[] = "  ale: {yeast: ale, terminal: 2.2..2.8 P, ferment: 18..20 C}\n"
                            "  bare: {yeast: ale}\n"
                            "  lager: {yeast: lager, terminal: 2.1..2.6 P, ferment: 10..14 C}\n"
                            "  wild: {yeast: wild, terminal: 0.5..1.5 P}\n"
                            "  kettle: {yeast: sour, terminal: 2.2..2.8 P, steady: 2}\n"
                            "  quick: {yeast: ale, terminal: 2.2..2.8 P, steady: 1}\n"
                            "  hasty: {yeast: ale, steady: 1}\n";

#define ORIGINAL        "original: 12.0 P\n"
#define FORCED          ORIGINAL "forced: {gravity: 2.4 P, at: 2026-11-03 09:00}\n"
#define EVENT(at, what) "events:\n  - {at: 2026-11-" at ", what: " what "}\n"

/* Days of the same gravity (-1: not looked at) and part of the reason ("$": its end) go with each
 * verdict. */
/* Chilled as it fell, then at rest in the cold for 13 days, a step above its forced value. */
#define LAGERED                                                                                    \
    "11.0 7.5 5.1 4.0 3.4/5 3.0/5 2.7/5 2.5/5 2.5/4 2.5/3 2.5/2 2.5/2 2.5/2 2.5/2 2.5/2 2.5/2 "    \
    "2.5/1 2.5/1 2.5/1 2.5/1"

static const struct row {
    const char *title, *beer, *keys, *days;
    int now_day;
    enum finish_verdict verdict;
    int steady;
    const char *reason;
} ROWS[] = {
    {"a clean ale", "ale", FORCED, "11.0 7.5 4.2 2.8 2.5 2.4 2.4", 7, FINISH_FINISHED, 2,
     "steady at the forced limit 2.4 P"},
    {"one day is not two", "ale", FORCED, "11.0 7.5 4.2 2.8 2.6 2.4", 6, FINISH_SLOWING, 1, ""},
    {"N + 1 days within one step count as N", "ale", FORCED, "11.0 7.5 4.2 2.8 2.5 2.4 2.5", 7,
     FINISH_FINISHED, 2, "steady"},
    {"0.1 P a day is falling, whatever its neighbours", "ale", ORIGINAL,
     "11.0 7.5 4.2 3.3 3.2 3.1 3.0 2.9 2.8 2.7", 10, FINISH_SLOWING, 1, "still falling"},
    {"a lager needs three", "lager", ORIGINAL, "11.9 11.0 9.0 6.0 4.0 2.9 2.5/12 2.5/12", 8,
     FINISH_SLOWING, 2, "2 of 3 days"},
    {"and has three", "lager", ORIGINAL, "11.9 11.0 9.0 6.0 4.0 2.9 2.5/12 2.5/12 2.5/12", 9,
     FINISH_FINISHED, 3, "terminal limit 2.1..2.6 P"},
    {"a day without a reading is skipped", "ale", FORCED, "11.0 7.5 4.2 2.8 2.5 2.4 - 2.4", 8,
     FINISH_FINISHED, 2, "steady"},
    {"two readings on one morning are one day", "ale", FORCED, "11.0 7.5 4.2 2.8 2.6 2.4,2.4", 6,
     FINISH_SLOWING, 1, ""},
    {"the last reading of a day counts", "ale", FORCED, "11.0 7.5 4.2 2.8 2.6,2.4 2.4", 6,
     FINISH_FINISHED, 2, "steady"},
    {"days count after the dry hop only", "ale", FORCED EVENT("06 10:00", "dry hop"),
     "11.0 7.5 4.2 2.4 2.4 2.4", 6, FINISH_SLOWING, 1, "the same gravity for 1 of 2 days"},
    {"no reading since the dry hop", "ale", FORCED EVENT("07 10:00", "dry hop"),
     "11.0 7.5 4.2 2.4 2.4 2.4 -", 7, FINISH_SLOWING, 0, "dry hop"},
    {"after a dry hop a forced value is an upper bound", "ale", FORCED EVENT("05 10:00", "dry hop"),
     "11.0 7.5 4.2 2.4 2.0 1.9 1.9", 7, FINISH_FINISHED, 2, "..2.4 P"},
    {"flat a margin above the limit", "ale", FORCED, "11.0 7.5 4.2 3.0 2.7 2.7 2.7", 7,
     FINISH_FINISHED, 3, "above the forced limit, within its margin"},
    {"flat well above it", "ale", FORCED, "11.0 7.5 4.6 3.6 3.5 3.5 3.5", 7, FINISH_STUCK, 3,
     "1.1 P above the forced limit"},
    {"flat at the start", "ale", FORCED, "12.0 12.0 11.9", 3, FINISH_NOT_STARTED, 2,
     "0.1 P lost in 65 hours"},
    {"full fermentation", "ale", FORCED, "11.0 7.5", 2, FINISH_FERMENTING, 1, "3.5 P"},
    {"a cold lager falls evenly, and is no trickle", "lager", ORIGINAL,
     "12.0/10 11.4/11 10.3/11 8.8/11 7.5/11 6.5/11", 6, FINISH_FERMENTING, 1, "1.0 P in the last"},
    {"one reading, begun", "ale", FORCED, "11.2", 1, FINISH_FERMENTING, 1, "first reading"},
    {"below, on two readings", "ale", FORCED, "11.0 7.5 4.2 2.8 2.4 2.0 1.9", 7, FINISH_BELOW_LIMIT,
     -1, "0.5 P under the forced limit"},
    {"below, on one reading", "ale", FORCED, "11.0 7.5 4.2 2.8 2.4 2.4 1.9", 7, FINISH_FINISHED, -1,
     ""},
    {"wild beers have no low end", "wild", ORIGINAL, "11.0 7.5 4.2 2.0 0.5 0.1 0.1", 7,
     FINISH_SLOWING, 2, ""},
    {"wild beers need thirty days, not thirty readings", "wild", ORIGINAL,
     "11.0 7.5 4.2 2.0 1.2 - - - - - - - - - - 1.0 - - - - 1.0 - - - - - - 1.0", 28, FINISH_SLOWING,
     13, ""},
    {"chilled far from its end", "ale", FORCED EVENT("05 10:00", "chill"),
     "11.0 7.5 5.0 4.0 3.9/5 3.9/1 3.9/1", 7, FINISH_CHILLED_EARLY, 3,
     "chilled at 4.0 P, 1.6 P above the limit"},
    {"chilled between two readings far apart", "ale", FORCED EVENT("05 10:00", "chill"),
     "11.0 9.5 - - - 3.9/5 3.9/1 3.9/1", 7, FINISH_CHILLED_EARLY, 2,
     "last read warm at 9.5 P, first cold at 3.9 P, 1.5 P above the limit"},
    {"cold by its readings", "ale", FORCED, "11.0 7.5 5.0 4.0 3.9/9 3.9/4 3.9/2", 7,
     FINISH_CHILLED_EARLY, 3, "chilled at 4.0 P"},
    {"read cold only, at the limit", "ale", FORCED, "- - - 2.4/4 2.4/3 2.4/3", 6, FINISH_FINISHED,
     -1, "steady"},
    {"read cold only, above it", "ale", FORCED, "- - - 2.6/4 2.6/3 2.6/3", 6, FINISH_CHILLED_EARLY,
     -1, "cold before any reading"},
    {"a lager's own cold is no chilling", "lager", ORIGINAL,
     "11.9/12 9.0/12 6.0/11 4.0/9 3.5/8 3.4/8 3.3/7 3.2/7", 8, FINISH_SLOWING, -1, ""},
    {"chilled at its end: cold days count", "ale", FORCED EVENT("07 10:00", "chill"),
     "11.0 7.5 4.2 2.8 2.6 2.5 2.5/4", 7, FINISH_FINISHED, 2, "steady"},
    {"a cold reading 0.3 P away does not undo it", "ale", FORCED EVENT("08 10:00", "chill"),
     "11.0 7.5 4.2 2.8 2.4 2.4 2.4 2.7/1", 8, FINISH_FINISHED, -1, "steady"},
    {"warmed again after a chill that came early", "ale", FORCED EVENT("05 10:00", "chill"),
     "11.0 7.5 5.0 4.0 4.0/2 4.0/2 3.5/18 3.0/19 2.6/19 2.4 2.4", 11, FINISH_FINISHED, 2, "steady"},
    {"a warm fall after the end, borne out", "ale", FORCED, "11.0 7.5 4.2 2.8 2.6 2.6 2.4 2.3", 8,
     FINISH_SLOWING, -1, ""},
    {"no limit, well attenuated", "bare", ORIGINAL, "11.0 7.5 4.2 2.8 2.5 2.5", 6,
     FINISH_UNCONFIRMED, 2, "79 %"},
    {"no limit, 60 % attenuated", "bare", ORIGINAL, "11.0 7.5 5.3 4.8 4.8", 5, FINISH_UNCONFIRMED,
     2, "60 %"},
    {"no limit, not quite", "bare", ORIGINAL, "11.0 7.5 5.3 4.9 4.9", 5, FINISH_NO_JUDGEMENT, 2,
     "flat at 59 %"},
    {"slowing by its second day", "ale", FORCED, "8.0 7.0", 2, FINISH_SLOWING, 1,
     "1.0 P in the last day, 4.0 P at its fastest"},
    {"half as fast is not yet slowing", "ale", FORCED, "8.0 6.0", 2, FINISH_FERMENTING, 1, ""},
    {"a day of 30 h is told by the day", "ale", FORCED, "11.0 - 6.0", 3, FINISH_FERMENTING, 1,
     "2.5 P in the last day"},
    {"one spike and one rise", "ale", FORCED, "11.0 9.0 10.5 8.5 7.0 6.8 9.8 9.7", 8,
     FINISH_NO_JUDGEMENT, -1, "up and down"},
    {"no limit, chilled at rest", "bare", ORIGINAL EVENT("06 10:00", "chill"),
     "11.0 7.5 4.2 2.8 2.5 2.5/4 2.5/2", 7, FINISH_UNCONFIRMED, 3, "79 %"},
    {"no limit, chilled in a fall, and it went on", "bare", ORIGINAL EVENT("05 10:00", "chill"),
     "11.0 7.5 5.2 4.0 3.5/4 3.3/2 3.3/2", 7, FINISH_CHILLED_EARLY, -1, "falling by 1.2 P a day"},
    {"no limit, a fast fall that was over when it was chilled", "bare",
     ORIGINAL EVENT("05 10:00", "chill"), "11.0 8.0 5.2 2.7 2.7/4 2.6/2 2.6/2", 7,
     FINISH_UNCONFIRMED, -1, "78 %"},
    {"no limit, a slow fall that stands in the cold proves nothing", "bare",
     ORIGINAL EVENT("08 10:00", "chill"), "11.0 9.0 7.0 6.0 5.2 4.6 4.1 4.1/4 4.1/2 4.1/2", 10,
     FINISH_CHILLED_EARLY, -1, "falling by 0.5 P a day"},
    {"no limit, the fall went on in the cold later", "bare", ORIGINAL EVENT("05 10:00", "chill"),
     "11.0 7.5 4.8 3.4 3.3/4 3.2/2 3.0/2 3.0/2 3.0/2", 9, FINISH_CHILLED_EARLY, -1, ""},
    {"no limit, every other day", "bare", ORIGINAL, "11.0 - 7.5 - 2.7 - 2.7/5 - 2.7/4", 9,
     FINISH_UNCONFIRMED, -1, "78 %"},
    {"no limit, last read warm before it had begun", "bare", ORIGINAL,
     "11.9 - - - 4.9/4 4.9/2 4.9/2", 7, FINISH_CHILLED_EARLY, -1, "nothing tells"},
    {"a creep within a range is not its end", "ale", ORIGINAL,
     "11.0 7.5 4.2 3.2 3.1 3.0 2.9 2.8 2.7 2.7", 10, FINISH_SLOWING, 2, "still falling"},
    {"a creep under a forced value is no matter", "ale",
     ORIGINAL "forced: {gravity: 2.7 P, at: 2026-11-03 09:00}\n",
     "11.0 7.5 4.2 3.2 3.1 3.0 2.9 2.8 2.7 2.7", 10, FINISH_FINISHED, 2, "steady"},
    {"after a dry hop it is", "ale",
     ORIGINAL "forced: {gravity: 2.7 P, at: 2026-11-03 09:00}\n" EVENT("04 10:00", "dry hop"),
     "11.0 7.5 4.2 3.2 3.1 3.0 2.9 2.8 2.7 2.7", 10, FINISH_SLOWING, 2, "still falling"},
    {"a calm week after a rise and a spike", "ale", FORCED,
     "11.0 7.5 10.5 10.4 7.9 7.3 9.3 5.0 2.8 2.5 2.4 2.4", 12, FINISH_FINISHED, 2, "steady"},
    {"no limit, flat high", "bare", ORIGINAL, "11.0 9.5 8.2 8.0 8.0 8.0", 6, FINISH_NO_JUDGEMENT, 3,
     "flat at 33 %, no limit known"},
    {"no limit, flat at the start", "bare", ORIGINAL, "11.8 11.8 11.8", 3, FINISH_NO_JUDGEMENT, 3,
     "flat at 2 %, no limit known"},
    {"a forced value near half of the original is passed over", "ale",
     ORIGINAL "forced: {gravity: 6.5 P}\n", "11.0 9.0 7.0 6.5 6.5 6.5", 6, FINISH_STUCK, 3,
     "above the terminal limit"},
    {"one spike up is left out", "ale", FORCED, "11.0 7.5 4.2 5.6 2.5 2.4 2.4", 7, FINISH_FINISHED,
     2, "steady"},
    {"a spike down is left out", "ale", FORCED, "11.0 7.5 2.4 4.0 2.8 2.4 2.4", 7, FINISH_FINISHED,
     2, "steady"},
    {"a rise at the end is not believed", "ale", FORCED, "11.0 7.5 4.2 2.8 2.4 2.4 5.4", 7,
     FINISH_FINISHED, 2, "steady"},
    {"a rise that stays", "ale", FORCED, "11.0 7.5 4.2 2.8 2.4 5.4 5.4", 7, FINISH_NO_JUDGEMENT, -1,
     "is it the same beer"},
    {"up and down by 3 P", "ale", FORCED, "11.0 7.5 10.5 10.4 7.4 7.3 10.3 10.2 7.2 7.1", 10,
     FINISH_NO_JUDGEMENT, -1, "up and down"},
    {"a second pitch counts anew", "ale",
     FORCED EVENT("01 16:00", "pitch") "  - {at: 2026-11-06 10:00, what: pitch}\n",
     "11.0 7.5 4.2 2.4 2.4 2.4", 6, FINISH_SLOWING, 1, ""},
    {"up and down, the last one up", "ale", FORCED, "7.9 10.9 7.8 10.8 7.8 10.8", 6,
     FINISH_NO_JUDGEMENT, -1, "up and down"},
    {"one day's readings, on the third day", "ale", FORCED, "- - 4.4,4.3", 3, FINISH_FERMENTING, 1,
     "first reading"},
    {"and on the fourth", "ale", FORCED, "- - - 4.4,4.3", 4, FINISH_NO_JUDGEMENT, 1,
     "read on one day only, 4 days after the pitch"},
    {"over the original by 1 P", "ale", ORIGINAL, "13.0 13.0", 2, FINISH_NOT_STARTED, 2, ""},
    {"over it by more", "ale", ORIGINAL, "13.1 13.1", 2, FINISH_NO_JUDGEMENT, 2,
     "1.1 P above the original of 12.0 P: is that right?"},
    {"3.2 P in four hours", "ale", ORIGINAL, "11.0 9.0,5.8 5.0", 3, FINISH_SLOWING, -1, ""},
    {"3.3 P in four hours", "ale", ORIGINAL, "11.0 9.0,5.7 5.0", 3, FINISH_NO_JUDGEMENT, -1,
     "after 3 Nov 08:00 than any beer does"},
    {"and days without any since", "ale", FORCED, "11.0 9.0,5.7 5.0 3.3 2.5 2.4 2.4", 7,
     FINISH_FINISHED, -1, ""},
    {"an old reading says so", "ale", FORCED, "11.0 7.5 - - -", 5, FINISH_FERMENTING, 1,
     ", as of 3 Nov 08:00"},
    {"no reading at all", "ale", FORCED, "-", 2, FINISH_NO_JUDGEMENT, 0, "no gravity read yet"},
    {"only censored ones", "ale", FORCED, "<4.7 <4.7 <4.7", 3, FINISH_NO_JUDGEMENT, 0,
     "off the end of its scale"},
    {"one reading and no original", "ale", "", "7.5", 1, FINISH_NO_JUDGEMENT, -1, "no original"},
    {"no original, but days", "ale", "", "11.0 7.5 4.2 2.8 2.4 2.4", 6, FINISH_FINISHED, 2,
     "terminal limit"},
    {"whole degrees say nothing of the same gravity", "ale", FORCED, "11 7 4 3 3 3", 6,
     FINISH_NO_JUDGEMENT, 0, "too coarsely"},
    {"brewed this minute", "ale", FORCED EVENT("02 09:00", "pitch"), "-", 1, FINISH_NO_JUDGEMENT, 0,
     "no gravity read yet"},
    {"a minute before it is pitched", "ale", FORCED EVENT("02 09:01", "pitch"), "-", 1,
     FINISH_NO_JUDGEMENT, 0, "not brewed yet$"},
    {"read first on the fourth day, and on the next: two days tell", "ale", FORCED, "- - - 4.4 3.3",
     5, FINISH_FERMENTING, -1, "1.1 P in the last day"},
    {"read first 72 hours after the pitch", "ale", FORCED EVENT("02 08:00", "pitch"), "- - - 4.4",
     4, FINISH_NO_JUDGEMENT, -1, "read on one day only, 3 days after the pitch"},
    {"read first a minute sooner", "ale", FORCED EVENT("02 08:01", "pitch"), "- - - 4.4", 4,
     FINISH_FERMENTING, -1, "first reading"},
    {"0.2 P lost is none", "ale", FORCED, "11.8", 1, FINISH_NOT_STARTED, -1, "0.2 P lost in 17"},
    {"0.3 P lost is a start", "ale", FORCED, "11.7", 1, FINISH_FERMENTING, -1, "0.3 P"},
    {"on a scale of 0.2 P it is none", "ale", FORCED,
     "-\n  - {at: 2026-11-02 08:00, gravity: "
     "11.7 P, gravity-meter: DM2}\n",
     1, FINISH_NOT_STARTED, -1, ""},
    {"2.1 P in an hour", "ale", ORIGINAL,
     "11.0 9.0 5.0\n  - {at: 2026-11-03 09:00, gravity: 6.9 P}\n", 3, FINISH_NO_JUDGEMENT, -1,
     "than any beer does"},
    {"2.0 P in an hour", "ale", ORIGINAL,
     "11.0 9.0 5.0\n  - {at: 2026-11-03 09:00, gravity: 7.0 P}\n", 3, FINISH_FERMENTING, -1, ""},
    {"too fast, on four days", "ale", FORCED, "11.0 9.0,5.7 5.0 3.3", 4, FINISH_NO_JUDGEMENT, -1,
     "than any beer does"},
    {"too fast, on five", "ale", FORCED, "11.0 9.0,5.7 5.0 3.3 2.5", 5, FINISH_SLOWING, -1, ""},
    {"an old reading of three days says so", "ale", FORCED,
     "11.0\n  - {at: 2026-11-03 09:00, gravity: 7.5 P}\n", 5, FINISH_FERMENTING, -1,
     ", as of 3 Nov 09:00"},
    {"one a minute younger does not", "ale", FORCED,
     "11.0\n  - {at: 2026-11-03 09:01, gravity: 7.5 P}\n", 5, FINISH_FERMENTING, -1, "last day$"},
    {"no limit, chilled when it lost a little more than 0.3 P a day", "bare",
     ORIGINAL EVENT("06 10:00", "chill"), "11.0 7.5 4.2 2.82 2.50 2.50/4 2.50/2", 7,
     FINISH_CHILLED_EARLY, -1, "falling by 0.3 P a day"},
    {"no limit, 2.1 P in its last day, and it was over", "bare",
     ORIGINAL EVENT("05 10:00", "chill"), "11.0 8.0 4.8 2.7 2.7/4 2.6/2 2.6/2", 7,
     FINISH_UNCONFIRMED, -1, "78 %"},
    {"no limit, 1.9 P in its last day: too slow to tell", "bare",
     ORIGINAL EVENT("05 10:00", "chill"), "11.0 8.0 4.6 2.7 2.7/4 2.6/2 2.6/2", 7,
     FINISH_CHILLED_EARLY, -1, ""},
    {"no limit, 0.2 P lost to the first cold reading", "bare", ORIGINAL EVENT("05 10:00", "chill"),
     "11.0 8.0 5.2 2.7 2.5/4 2.5/2 2.5/2", 7, FINISH_CHILLED_EARLY, -1, ""},
    {"no limit, 0.4 P lower in the cold", "bare", ORIGINAL EVENT("05 10:00", "chill"),
     "11.0 8.0 5.2 2.7 2.7/4 2.3/2 2.3/2", 7, FINISH_CHILLED_EARLY, -1, ""},
    {"no limit, 0.3 P lower in the cold", "bare", ORIGINAL EVENT("05 10:00", "chill"),
     "11.0 8.0 5.2 2.7 2.7/4 2.4/2 2.4/2", 7, FINISH_UNCONFIRMED, -1, ""},
    {"dry hopped as it was read: not after it", "ale", FORCED EVENT("06 08:00", "dry hop"),
     "11.0 7.5 4.2 2.4 2.4 2.4", 6, FINISH_SLOWING, 1, ""},
    {"two steps down in the warm, on two days", "ale", FORCED,
     "11.0 7.5 4.2 2.8 2.6 2.6 2.5 2.4 2.4", 9, FINISH_FINISHED, -1, ""},
    {"a quarter of its way in its last warm day", "ale", FORCED EVENT("05 10:00", "chill"),
     "11.0 7.5 5.1 2.7 2.7/4 2.5/2 2.5/2", 7, FINISH_CHILLED_EARLY, -1, "falling by 2.4 P a day"},
    {"a tenth less than a quarter", "ale", FORCED EVENT("05 10:00", "chill"),
     "11.0 7.5 5.0 2.7 2.7/4 2.5/2 2.5/2", 7, FINISH_FINISHED, -1, ""},
    {"on the way down, and at its limit in the cold", "ale", FORCED EVENT("05 10:00", "chill"),
     "11.0 7.5 5.1 2.7 2.4/4 2.4/2 2.4/2", 7, FINISH_FINISHED, -1, ""},
    {"above the margin when it was chilled, within it at the first cold reading", "ale",
     FORCED EVENT("05 10:00", "chill"), "11.0 7.5 5.1 2.9 2.7/4 2.4/2 2.4/2", 7, FINISH_FINISHED,
     -1, ""},
    {"above it then, too", "ale", FORCED EVENT("05 10:00", "chill"),
     "11.0 7.5 5.1 2.9 2.8/4 2.4/2 2.4/2", 7, FINISH_CHILLED_EARLY, -1, "above the limit"},
    {"no original: a quarter from its first reading", "ale",
     "forced: {gravity: 2.4 P}\n" EVENT("05 10:00", "chill"), "11.0 7.5 4.8 2.7 2.7/4 2.5/2 2.5/2",
     7, FINISH_FINISHED, -1, ""},
    {"no original, and more than a quarter", "ale",
     "forced: {gravity: 2.4 P}\n" EVENT("05 10:00", "chill"), "11.0 7.5 4.9 2.7 2.7/4 2.5/2 2.5/2",
     7, FINISH_CHILLED_EARLY, -1, ""},
    {"no original, read warm but once, at its end: nothing tells that it was at rest", "ale",
     "forced: {gravity: 2.4 P}\n" EVENT("05 10:00", "chill"), "- - - 2.6 2.6/4 2.6/2 2.6/2", 7,
     FINISH_CHILLED_EARLY, -1, "last read warm at 2.6 P, so nothing tells whether it was over"},
    {"no original, read warm but once, above its end", "ale",
     "forced: {gravity: 2.4 P}\n" EVENT("05 10:00", "chill"), "- - - 2.8 2.8/4 2.8/2 2.8/2", 7,
     FINISH_CHILLED_EARLY, -1, "chilled at 2.8 P, 0.4 P above the limit"},
    {"no limit, no original, read warm but once", "bare", EVENT("05 10:00", "chill"),
     "- - - 2.6 2.6/4 2.6/2 2.6/2", 7, FINISH_CHILLED_EARLY, -1, "last read warm at 2.6 P, so"},
    {"no limit, chilled, read twice a day", "bare", ORIGINAL EVENT("06 10:00", "chill"),
     "11.0 7.5 4.2 2.9,2.7 2.6 2.6/4 2.6/2", 7, FINISH_UNCONFIRMED, -1, ""},
    {"no limit, cold only off the scale at first", "bare", ORIGINAL EVENT("05 10:00", "chill"),
     "11.0 8.0 5.2 2.7 <2.4/4 2.6/2 2.6/2", 7, FINISH_UNCONFIRMED, -1, "78 %"},
    {"no limit, read while it still cooled: that says nothing", "bare",
     ORIGINAL EVENT("05 10:00", "chill"), "11.0 8.0 5.2 2.7,2.7 2.5/4 2.5/2", 6,
     FINISH_CHILLED_EARLY, -1, ""},
    {"no limit, read 20 hours later: it was over", "bare", ORIGINAL EVENT("05 13:00", "chill"),
     "11.0 8.0 5.2 2.7,2.7 2.7/4 2.5/2 2.5/2", 7, FINISH_UNCONFIRMED, -1, ""},
    {"no limit, its last 20 hours were calm", "bare", ORIGINAL EVENT("06 10:00", "chill"),
     "11.0 7.5 4.2 3.6,2.8 2.5 2.5/4 2.5/2", 7, FINISH_UNCONFIRMED, -1, ""},
    {"no limit, not read since it was chilled", "bare", ORIGINAL EVENT("05 10:00", "chill"),
     "11.0 8.0 5.2 2.7", 5, FINISH_CHILLED_EARLY, -1, "falling by 2.5 P a day"},
    {"no limit, 2.0 P in its last day, and it was over", "bare",
     ORIGINAL EVENT("05 10:00", "chill"), "11.0 8.0 4.6 2.6 2.6/4 2.6/2 2.6/2", 7,
     FINISH_UNCONFIRMED, -1, ""},
    {"a creep to a step above a forced value is no matter", "ale",
     ORIGINAL "forced: {gravity: 2.7 P, at: 2026-11-03 09:00}\n",
     "11.0 7.5 4.2 3.3 3.2 3.1 3.0 2.9 2.8 2.8", 10, FINISH_FINISHED, 2, "steady"},
    {"nor is that of a sour beer", "kettle", ORIGINAL, "11.0 7.5 4.2 3.3 3.2 3.1 3.0 2.9 2.8 2.8",
     10, FINISH_FINISHED, 2, "steady"},
    {"five days of creep will do", "ale", ORIGINAL, "- - - - 3.1 3.1 3.0 2.8 2.8", 10,
     FINISH_SLOWING, -1, "still falling"},
    {"one day is all that it needs", "quick", ORIGINAL, "- 2.4", 2, FINISH_FINISHED, 1, "steady"},
    {"one day above its limit is not stuck", "quick", ORIGINAL, "9.4 7.4", 2, FINISH_FERMENTING, 1,
     "2.0 P in the last day"},
    {"two days above it are", "quick", ORIGINAL, "9.4 7.4 7.4", 3, FINISH_STUCK, 2,
     "steady 4.6 P above"},
    {"one low day is no end where no limit is known", "hasty", ORIGINAL, "9.4 6.4 3.4", 3,
     FINISH_FERMENTING, 1, "3.0 P in the last day"},
    {"two are one", "hasty", ORIGINAL, "9.4 6.4 3.4 3.4", 4, FINISH_UNCONFIRMED, 2, "steady at"},
    {"one high day is not flat there either", "hasty", ORIGINAL, "9.4 7.4", 2, FINISH_FERMENTING, 1,
     ""},
    {"one day since the dry hop", "quick", ORIGINAL EVENT("05 10:00", "dry hop"),
     "11.0 7.5 4.2 2.4 2.4", 5, FINISH_FINISHED, 1, "steady"},
    {"carbonated beer may read lower", "ale", FORCED EVENT("07 10:00", "carbonate"),
     "11.0 7.5 4.2 2.8 2.6 2.6 2.4 2.3", 8, FINISH_FINISHED, -1, ""},
    {"carbonated as it was read: it may too", "ale", FORCED EVENT("08 08:00", "carbonate"),
     "11.0 7.5 4.2 2.8 2.6 2.6 2.4 2.3", 8, FINISH_FINISHED, -1, ""},
    {"gas into the other half of the batch is no matter", "ale",
     FORCED "events:\n  - {at: 2026-11-07 10:00, what: carbonate, tank: FV2}\n",
     "11.0 7.5 4.2 2.8 2.6 2.6 2.4 2.3", 8, FINISH_SLOWING, -1, ""},
    {"never read above its limit", "ale", FORCED, "- - - 1.9 1.9", 5, FINISH_BELOW_LIMIT, -1, ""},
    {"0.4 P on a scale of 0.2 P is a start", "ale", FORCED,
     "-\n  - {at: 2026-11-02 08:00, gravity: 11.6 P, gravity-meter: DM2}\n", 1, FINISH_FERMENTING,
     -1, ""},
    {"no original, 0.1 P lost", "ale", "", "11.0 10.9", 2, FINISH_NOT_STARTED, -1, "0.1 P lost"},
    {"no original, 0.4 P lost", "ale", "", "11.0 10.6", 2, FINISH_FERMENTING, -1, "0.4 P"},
    {"the last one left out says why", "ale", FORCED, "11 <4.7", 2, FINISH_NO_JUDGEMENT, 0,
     "off the end of its scale"},
    {"two spikes of six are left out", "ale", FORCED, "11.0 12.9 7.5 9.0 4.2 2.8", 6,
     FINISH_FERMENTING, -1, ""},
    {"one spike and one rise, two days later", "ale", FORCED,
     "11.0 9.0 10.5 8.5 7.0 6.8 9.8 9.7 9.0 7.5", 10, FINISH_NO_JUDGEMENT, -1, "up and down"},
    {"and three", "ale", FORCED, "11.0 9.0 10.5 8.5 7.0 6.8 9.8 9.7 9.0 7.5 6.0", 11,
     FINISH_FERMENTING, -1, ""},
    {"a rise that stays for a third day", "ale", FORCED, "11.0 7.5 4.2 2.8 2.4 5.4 5.4 5.3", 8,
     FINISH_STUCK, -1, ""},
    {"no limit, nothing lost", "bare", ORIGINAL, "12.0 12.0", 2, FINISH_NO_JUDGEMENT, 2,
     "flat at 0 %"},
    {"a little less than half as fast is slowing", "ale", FORCED, "8.0 6.5", 2, FINISH_SLOWING, 1,
     ""},
    {"a lager that hardly moves", "lager", ORIGINAL,
     "11.9/12 11.8/12 11.7/12 11.6/12 11.6/12 11.5/12", 6, FINISH_SLOWING, 2,
     "the same gravity for 2 of 3 days"},
    {"a finished beer reads 0.4 P higher in the cold, twice: gravity does not rise", "ale",
     FORCED EVENT("08 10:00", "chill"), "11.0 7.5 4.2 2.8 2.4 2.4 2.4 2.8/1 2.8/1", 9,
     FINISH_FINISHED, -1, "steady at the forced limit"},
    {"or carbonated", "ale", FORCED EVENT("07 10:00", "carbonate"),
     "11.0 7.5 4.2 2.8 2.4 2.4 2.8 2.8", 8, FINISH_FINISHED, -1, ""},
    {"chilled far above its limit, it fermented on in the cold, and rests there for long", "ale",
     FORCED EVENT("05 10:00", "chill"),
     "11.0 7.5 5.1 4.0 3.4/5 3.0/5 2.7/5 2.4/5 2.4/5 2.4/5 2.4/5 2.4/5 2.4/5", 13, FINISH_FINISHED,
     6, "steady at the forced limit"},
    {"read in hundredths, the limit is its tenth", "ale", FORCED EVENT("05 10:00", "chill"),
     "11.00 7.50 5.10 2.70 2.43/4 2.43/2 2.42/2", 7, FINISH_FINISHED, -1, ""},
    {"the next tenth is not", "ale", FORCED EVENT("05 10:00", "chill"),
     "11.00 7.50 5.10 2.70 2.46/4 2.46/2 2.46/2", 7, FINISH_CHILLED_EARLY, -1, ""},
    {"a day less is too few", "ale", FORCED EVENT("05 10:00", "chill"),
     "11.0 7.5 5.1 4.0 3.4/5 3.0/5 2.7/5 2.4/5 2.4/5 2.4/5 2.4/5 2.4/5", 12, FINISH_CHILLED_EARLY,
     5, "1.6 P above the limit"},
    {"a step above the limit it proves nothing", "ale", FORCED EVENT("05 10:00", "chill"),
     "11.0 7.5 5.1 4.0 3.4/5 3.0/5 2.7/5 2.5/5 2.5/5 2.5/5 2.5/5 2.5/5 2.5/5", 13,
     FINISH_CHILLED_EARLY, 6, ""},
    {"nor for two weeks less a day", "ale", FORCED EVENT("05 10:00", "chill"), LAGERED, 20,
     FINISH_CHILLED_EARLY, 13, ""},
    {"but at rest there for two weeks, an ale is at its end", "ale",
     FORCED EVENT("05 10:00", "chill"), LAGERED " 2.5/1", 21, FINISH_FINISHED, 14,
     "steady at the forced limit"},
    {"two steps above it never is", "ale", FORCED EVENT("05 10:00", "chill"),
     "11.0 7.5 5.1 4.0 3.4/5 3.0/5 2.7/5 2.6/5 2.6/5 2.6/5 2.6/5 2.6/5 2.6/5 2.6/5 2.6/5 2.6/5 "
     "2.6/5 2.6/5 2.6/5 2.6/5 2.6/5 2.6/5 2.6/5 2.6/5",
     23, FINISH_CHILLED_EARLY, -1, ""},
    {"nor within a range, above its low end", "ale", ORIGINAL EVENT("05 10:00", "chill"),
     "11.0 7.5 5.1 4.0 3.4/5 3.0/5 2.7/5 2.4/5 2.4/5 2.4/5 2.4/5 2.4/5 2.4/5", 13,
     FINISH_CHILLED_EARLY, 6, ""},
    {"at its low end it does", "ale", ORIGINAL EVENT("05 10:00", "chill"),
     "11.0 7.5 5.1 4.0 3.4/5 3.0/5 2.7/5 2.2/5 2.2/5 2.2/5 2.2/5 2.2/5 2.2/5", 13, FINISH_FINISHED,
     6, ""},
    {"no limit, low enough when it was chilled in a fall: it may have been over", "bare",
     ORIGINAL EVENT("08 10:00", "chill"), "11.0 9.0 7.0 6.0 5.2 4.6 4.1 4.1/4 4.1/2 4.1/2", 10,
     FINISH_CHILLED_EARLY, -1, "a day; no limit is known, so it may have been over soon after$"},
    {"no limit, chilled high: it was not", "bare", ORIGINAL EVENT("05 10:00", "chill"),
     "11.0 9.0 7.0 6.0 6.0/4 6.0/2", 6, FINISH_CHILLED_EARLY, -1, "falling by 1.0 P a day$"},
    {"a forced value passed over, and no other limit", "bare",
     ORIGINAL "forced: {gravity: 6.5 P}\n", "11.0 9.0 7.0 6.5 6.5 6.5", 6, FINISH_NO_JUDGEMENT, 3,
     "flat at 46 %, no limit known: forced 6.5 P is passed over, so high is it"},
    {"a creep of less than 0.1 P in two weeks is told by the month", "wild", ORIGINAL,
     "11.0 7.5 4.2\n"
     "  - {at: 2026-11-20 08:00, gravity: 3.4 P}\n"
     "  - {at: 2026-12-04 08:00, gravity: 3.4 P}\n"
     "  - {at: 2026-12-18 08:00, gravity: 3.3 P}\n"
     "  - {at: 2027-01-01 08:00, gravity: 3.3 P}\n"
     "  - {at: 2027-01-15 08:00, gravity: 3.2 P}\n"
     "  - {at: 2027-01-29 08:00, gravity: 3.2 P}\n"
     "  - {at: 2027-02-12 08:00, gravity: 3.1 P}\n",
     103, FINISH_SLOWING, -1, "still falling, 0.1 P a month"},
    {"a month with three readings says how many it needs", "wild", ORIGINAL,
     "11.0 7.5 4.2 1.2\n  - {at: 2026-11-20 08:00, gravity: 1.2 P}\n"
     "  - {at: 2026-12-06 08:00, gravity: 1.2 P}\n",
     35, FINISH_SLOWING, -1, "the same gravity for 32 days, but 3 of 4 readings"},
    {"a late and an early reading are two days, but no two", "ale", FORCED,
     "11.0 7.5 4.2 2.8 2.6\n  - {at: 2026-11-06 20:00, gravity: 2.4 P}\n"
     "  - {at: 2026-11-07 08:00, gravity: 2.4 P}\n",
     7, FINISH_SLOWING, 2, "the same gravity on 2 days, but only 12 hours apart"},
    {"finer scales are judged by 0.1 P", "ale", FORCED, "11.02 7.51 4.23 2.81 2.46 2.42 2.41", 7,
     FINISH_FINISHED, 3, "steady"},
};

/* Does text hold part, or end with it where part ends in "$"? */
static bool says(const char *text, const char *part)
{
    size_t n = strlen(part), length = strlen(text);
    if (n == 0 || part[n - 1] != '$')
        return strstr(text, part) != NULL;
    return length >= n - 1 && strncmp(text + length - (n - 1), part, n - 1) == 0;
}

static void verdicts(void **state)
{
    (void)state;
    size_t wrong = 0;
    for (size_t i = 0; i < sizeof ROWS / sizeof ROWS[0]; i++) {
        const struct row *row = &ROWS[i];
        struct finish_book book;
        finish_book_begin(&book, BEERS);
        finish_book_batch(&book, row->beer, row->keys, row->days, "", row->now_day);
        struct finish finish = finish_book_judge(&book);
        if (finish.verdict != row->verdict ||
            finish.has_end != FINISH_VERDICT[finish.verdict].is_over ||
            !says(finish.reason, row->reason) ||
            (row->steady >= 0 && finish.days_steady != row->steady)) {
            print_error("%s: %s, %d days: %s\n", row->title, FINISH_VERDICT[finish.verdict].name,
                        finish.days_steady, finish.reason);
            wrong++;
        }
        finish_book_end(&book);
    }
    assert_int_equal(wrong, 0);
}

/* The first reading at the final figure, the one that called it finished, and that figure. */
static const struct end_row {
    const char *title, *keys, *days;
    int now_day, end, called; /* of November, read at 08:00 */
    double plato;
} END_ROWS[] = {
    {"two the same", FORCED, "11.0 7.5 4.2 2.8 2.4 2.4 2.4", 7, 6, 7, 2.4},
    {"within one step: the first at the last figure", FORCED, "11.0 7.5 4.2 2.8 2.5 2.4 2.5 2.4", 8,
     7, 8, 2.4},
    {"a step down later", FORCED, "11.0 7.5 4.2 2.8 2.5 2.5 2.4", 7, 8, 7, 2.4},
    {"two steps down, alone: not believed", FORCED, "11.0 7.5 4.2 2.8 2.5 2.5 2.3", 7, 6, 7, 2.5},
    {"never read before", FORCED, "- - - 2.4 2.4", 5, 5, 6, 2.4},
    {"the figure of the last warm day", FORCED EVENT("08 10:00", "chill"),
     "11.0 7.5 4.2 2.8 2.4 2.4 2.4 2.6/4 2.6/2", 9, 6, 7, 2.4},
    {"called so in the cold: that figure", FORCED EVENT("06 10:00", "chill"),
     "11.0 7.5 4.2 2.9 2.6 2.5/4 2.5/2", 7, 7, 8, 2.5},
    {"called so in the cold, a step above its last warm day", FORCED EVENT("06 10:00", "chill"),
     "11.0 7.5 4.2 2.5 2.4 2.5/4", 6, 5, 7, 2.5},
    {"roused once it was over, and it stood still", FORCED EVENT("07 10:00", "rouse"),
     "11.0 7.5 4.2 2.8 2.4 2.4 2.4 2.4", 8, 6, 9, 2.4},
    {"a day's loss of a step on two days opens nothing", ORIGINAL,
     "11.0 7.5 4.2 2.8 2.7 2.7 2.6 2.6", 8, 8, 7, 2.6},
};

static void tells_when_it_came_to_its_end(void **state)
{
    (void)state;
    size_t wrong = 0;
    for (size_t i = 0; i < sizeof END_ROWS / sizeof END_ROWS[0]; i++) {
        const struct end_row *row = &END_ROWS[i];
        struct finish_book book;
        finish_book_begin(&book, BEERS);
        finish_book_batch(&book, "ale", row->keys, row->days, "", row->now_day);
        struct finish finish = finish_book_judge(&book);
        int64_t first = FINISH_BOOK_PITCH - 7 * CIVIL_HOUR - CIVIL_DAY;
        double end = (double)(finish.end_at - first) / CIVIL_DAY;
        double called = (double)(finish.called_at - first) / CIVIL_DAY;
        if (!finish.has_end || fabs(end - row->end) > 1e-9 || fabs(called - row->called) > 1e-9 ||
            fabs(finish.rest_plato - row->plato) > 1e-9) {
            print_error("%s: %s on %.2f at %.2f P, called so on %.2f\n", row->title,
                        FINISH_VERDICT[finish.verdict].name, end, finish.rest_plato, called);
            wrong++;
        }
        finish_book_end(&book);
    }
    assert_int_equal(wrong, 0);
}

static void tells_what_is_over_and_what_is_wrong(void **state)
{
    (void)state;
    for (size_t i = 0; i < FINISH_VERDICTS; i++) {
        bool over = i == FINISH_FINISHED || i == FINISH_UNCONFIRMED;
        bool found = i == FINISH_STUCK || i == FINISH_BELOW_LIMIT;
        if (FINISH_VERDICT[i].is_over != over || FINISH_VERDICT[i].is_found != found)
            fail_msg("%s", FINISH_VERDICT[i].name);
    }
}

/* Whatever is known or not, there are words and no figure from nothing. */
static void every_day_of_every_row(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof ROWS / sizeof ROWS[0]; i++) {
        for (int day = -1; day <= ROWS[i].now_day + 3; day++) {
            struct finish_book book;
            struct buf text;
            finish_book_begin(&book, BEERS);
            finish_book_batch(&book, ROWS[i].beer, ROWS[i].keys, ROWS[i].days, "", day);
            struct finish finish = finish_book_judge(&book);
            text = buf_new(&book.arena);
            finish_explain(&book.context, &finish, &text);
            if (finish.reason[0] == '\0' || strstr(text.p, "nan") != NULL ||
                isinf(finish.to_go_plato))
                fail_msg("%s, day %d: %s", ROWS[i].title, day, text.p);
            if (finish.last == NULL && !isnan(finish.gravity_plato))
                fail_msg("%s, day %d: a gravity from nothing", ROWS[i].title, day);
            finish_book_end(&book);
        }
    }
}

/* The whole of what a person can check by hand. */
static const struct explain_row {
    const char *beer, *keys, *days;
    int now_day;
    const char *text;
} EXPLAIN_ROWS[] = {
    {"ale", FORCED, "-", 2, "no judgement: no gravity read yet."},
    {"ale", FORCED, "11.0 7.5 4.2 <4.7 2.5 2.4 - 2.4", 8,
     "finished: steady at the forced limit 2.4 P. Last reading of each day: 6 Nov 08:00 2.5 P, 7 "
     "Nov 08:00 2.4 P, 9 Nov 08:00 2.4 P. That makes 2 days of the same gravity (the same figure); "
     "this beer needs 2. 1 day without a reading not counted. Limit 2.4 P (forced), margin 0.3 P "
     "(lab: not told). Left out: 5 Nov 08:00, off the end of its scale."},
    {"ale", FORCED, "11.0", 1,
     "fermenting: 1.0 P lost by the first reading. Last reading of each day: 2 Nov 08:00 11.0 P. "
     "That makes 1 day of the same gravity (the same figure); this beer needs 2. Limit 2.2..2.8 P "
     "(terminal), margin 0.3 P (between laboratories)."},
    {"ale", FORCED, "2.4 2.4 2.4 2.4", 4,
     "finished: steady at the forced limit 2.4 P. Last reading of each day: 2 Nov 08:00 2.4 P, 3 "
     "Nov 08:00 2.4 P, 4 Nov 08:00 2.4 P, 5 Nov 08:00 2.4 P. That makes 4 days of the same gravity "
     "(the same figure); this beer needs 2. Limit 2.4 P (forced), margin 0.3 P (lab: not told)."},
    {"ale", FORCED EVENT("06 10:00", "dry hop"), "11.0 7.5 4.2 2.4 2.4 2.4", 6,
     "slowing: the same gravity for 1 of 2 days. Last reading of each day: 6 Nov 08:00 2.4 P, 7 "
     "Nov 08:00 2.4 P. Only days after the dry hop of 6 Nov 10:00 count. That makes 1 day of the "
     "same gravity (the same figure); this beer needs 2. Limit ..2.4 P (forced, from before a "
     "later addition, so it may end lower), margin 0.3 P (lab: not told)."},
    {"ale", FORCED EVENT("07 10:00", "dry hop"), "11.0 7.5 4.2 2.4 2.4 2.4", 7,
     "slowing: dry hop: the days count anew. Last reading of each day: 7 Nov 08:00 2.4 P. Only "
     "days after the dry hop of 7 Nov 10:00 count. That makes 0 days of the same gravity; this "
     "beer needs 2. Limit ..2.4 P (forced, from before a later addition, so it may end lower), "
     "margin 0.3 P (lab: not told)."},
    {"ale", FORCED EVENT("02 10:00", "dry hop"), "11.0 7.5", 2,
     "fermenting: 3.5 P in the last day. Last reading of each day: 2 Nov 08:00 11.0 P, 3 Nov 08:00 "
     "7.5 P. Only days after the dry hop of 2 Nov 10:00 count. That makes 1 day of the same "
     "gravity (the same figure); this beer needs 2. Limit 2.4 P (forced), margin 0.3 P (lab: not "
     "told)."},
    {"ale", FORCED, "11.0 7.5 4.2 2.8 2.5 2.5 2.2", 7,
     "finished: steady at the forced limit 2.4 P. Last reading of each day: 7 Nov 08:00 2.5 P, 8 "
     "Nov 08:00 2.2 P. That makes 1 day of the same gravity (the same figure); this beer needs 2. "
     "It had them on 7 Nov 08:00. Limit 2.4 P (forced), margin 0.3 P (lab: not told)."},
    {"ale", FORCED EVENT("08 10:00", "chill"), "11.0 7.5 4.2 2.8 2.5 2.5 2.5 2.3/1", 8,
     "finished: steady at the forced limit 2.4 P. Last reading of each day: 8 Nov 08:00 2.5 P, 9 "
     "Nov 08:00 2.3 P. That makes 1 day of the same gravity (the same figure); this beer needs 2. "
     "It had them on 7 Nov 08:00, and what was read since does not undo that. Limit 2.4 P "
     "(forced), margin 0.3 P (lab: not told). Chilled on 8 Nov 10:00, nearly at rest at its end, "
     "so cold days count."},
    {"ale", FORCED, "<4.7 2.4 2.4", 3,
     "finished: steady at the forced limit 2.4 P. Last reading of each day: 3 Nov 08:00 2.4 P, 4 "
     "Nov 08:00 2.4 P. That makes 2 days of the same gravity (the same figure); this beer needs 2. "
     "Limit 2.4 P (forced), margin 0.3 P (lab: not told). Left out: 2 Nov 08:00, off the end of "
     "its scale."},
    {"ale", FORCED,
     "11.0 7.5 4.2 2.8\n  - {at: 2026-11-06 08:00, gravity: 2.4 P, gravity-meter: DM1}\n"
     "  - {at: 2026-11-07 08:00, gravity: 2.4 P, gravity-meter: DM2}\n",
     6,
     "finished: steady at the forced limit 2.4 P. Last reading of each day: 5 Nov 08:00 2.8 P, 6 "
     "Nov 08:00 2.4 P, 7 Nov 08:00 2.4 P. That makes 2 days of the same gravity (the same figure); "
     "this beer needs 2. These days were read with more than one gravity meter. Limit 2.4 P "
     "(forced), margin 0.3 P (lab: not told)."},
    {"ale", ORIGINAL, "13.1 13.1", 2,
     "no judgement: 1.1 P above the original of 12.0 P: is that right? Last reading of each day: 2 "
     "Nov 08:00 13.1 P, 3 Nov 08:00 13.1 P. That makes 2 days of the same gravity (the same "
     "figure); this beer needs 2. Limit 2.2..2.8 P (terminal), margin 0.3 P (between "
     "laboratories)."},
    {"bare", ORIGINAL, "11.0 7.5 4.2 2.8 2.5 2.5 2.5 2.5 2.5 2.5 2.5 2.5 2.5 2.5 2.5 2.5", 16,
     "finished, unconfirmed: steady at 79 % attenuation, but no limit is known. Last reading of "
     "each day: 8 Nov 08:00 2.5 P, 9 Nov 08:00 2.5 P, 10 Nov 08:00 2.5 P, 11 Nov 08:00 2.5 P, 12 "
     "Nov 08:00 2.5 P, 13 Nov 08:00 2.5 P, 14 Nov 08:00 2.5 P, 15 Nov 08:00 2.5 P, 16 Nov 08:00 "
     "2.5 P, 17 Nov 08:00 2.5 P. That makes 12 days of the same gravity (the same figure); this "
     "beer needs 2. No limit is known: no forced value, and no terminal: of the beer."},
    {"ale", FORCED,
     "11.0 7.5 4.2 2.8 2.4\n  - {at: 2026-11-07 08:00, gravity: 2.4 P, gravity-meter: DM1}\n"
     "  - {at: 2026-11-08 08:00, gravity: 2.4 P, gravity-meter: DM2}\n",
     7,
     "finished: steady at the forced limit 2.4 P. Last reading of each day: 5 Nov 08:00 2.8 P, 6 "
     "Nov 08:00 2.4 P, 7 Nov 08:00 2.4 P, 8 Nov 08:00 2.4 P. That makes 3 days of the same gravity "
     "(the same figure); this beer needs 2. These days were read with more than one gravity meter. "
     "Limit 2.4 P (forced), margin 0.3 P (lab: not told)."},
    {"ale", FORCED,
     "11.0 7.5 4.2 2.8 2.4\n  - {at: 2026-11-07 08:00, gravity: 2.4 P, gravity-meter: DM1}\n"
     "  - {at: 2026-11-08 08:00, gravity: 2.4 P, gravity-meter: DM1}\n",
     7,
     "finished: steady at the forced limit 2.4 P. Last reading of each day: 5 Nov 08:00 2.8 P, 6 "
     "Nov 08:00 2.4 P, 7 Nov 08:00 2.4 P, 8 Nov 08:00 2.4 P. That makes 3 days of the same gravity "
     "(the same figure); this beer needs 2. Limit 2.4 P (forced), margin 0.3 P (lab: not told)."},
    {"ale", FORCED, "11.0 7.5 4.2 2.8 2.4 2.4 1.9", 7,
     "finished: steady at the forced limit 2.4 P. Last reading of each day: 7 Nov 08:00 2.4 P, 8 "
     "Nov 08:00 1.9 P. That makes 1 day of the same gravity (the same figure); this beer needs 2. "
     "Limit 2.4 P (forced), margin 0.3 P (lab: not told). The last reading alone is below it: "
     "unconfirmed, read again."},
    {"ale", ORIGINAL "forced: {gravity: 6.5 P}\n" EVENT("05 10:00", "chill"),
     "11.0 7.5 5.0 4.0 3.9/5 3.9/1 3.9/1", 7,
     "chilled early: chilled at 4.0 P, 1.2 P above the limit. Last reading of each day: 5 Nov "
     "08:00 4.0 P, 6 Nov 08:00 3.9 P, 7 Nov 08:00 3.9 P, 8 Nov 08:00 3.9 P. That makes 3 days of "
     "the same gravity (the same figure); this beer needs 2. The forced value 6.5 P is passed "
     "over: a sample that stops near half of the original says that wort or yeast is wrong. Limit "
     "2.2..2.8 P (terminal), margin 0.3 P (between laboratories). Chilled on 5 Nov 10:00, before "
     "its end, so cold days prove nothing."},
    {"ale", FORCED EVENT("05 10:00", "chill"),
     "11.0 7.5 5.1 4.0 3.4/5 3.0/5 2.7/5 2.4/5 2.4/5 2.4/5 2.4/5 2.4/5 2.4/5", 13,
     "finished: steady at the forced limit 2.4 P. Last reading of each day: 8 Nov 08:00 2.7 P, 9 "
     "Nov 08:00 2.4 P, 10 Nov 08:00 2.4 P, 11 Nov 08:00 2.4 P, 12 Nov 08:00 2.4 P, 13 Nov 08:00 "
     "2.4 P, 14 Nov 08:00 2.4 P. That makes 6 days of the same gravity (the same figure); this "
     "beer needs 2. Limit 2.4 P (forced), margin 0.3 P (lab: not told). Chilled on 5 Nov 10:00, "
     "before its end, which it came to in the cold."},
};

static void explains(void **state)
{
    (void)state;
    size_t wrong = 0;
    for (size_t i = 0; i < sizeof EXPLAIN_ROWS / sizeof EXPLAIN_ROWS[0]; i++) {
        const struct explain_row *row = &EXPLAIN_ROWS[i];
        struct finish_book book;
        finish_book_begin(&book, BEERS);
        finish_book_batch(&book, row->beer, row->keys, row->days, "", row->now_day);
        struct finish finish = finish_book_judge(&book);
        struct buf text = buf_new(&book.arena);
        finish_explain(&book.context, &finish, &text);
        if (strcmp(text.p, row->text) != 0) {
            print_error("%s: %s\n", row->days, text.p);
            wrong++;
        }
        finish_book_end(&book);
    }
    assert_int_equal(wrong, 0);
}

static void counts_what_is_lost_and_its_days(void **state)
{
    (void)state;
    struct finish_book book;
    finish_book_begin(&book, BEERS);
    finish_book_batch(&book, "ale", FORCED, "11.0 7.5 4.2 2.8 2.5 2.4 - 2.3", "", 8);
    struct finish finish = finish_book_judge(&book);
    assert_true(finish.has_day);
    assert_int_equal(finish.day, 8);
    assert_float_equal(finish.adf_percent, 80.83, 0.01);
    assert_true(finish.abv_percent > 5.1 && finish.abv_percent < 5.3);
    assert_float_equal(finish.to_go_plato, 0, 1e-9);
    finish_book_batch(&book, "ale", FORCED EVENT("02 09:00", "pitch"), "-", "", 1);
    finish = finish_book_judge(&book);
    assert_true(finish.has_day);
    assert_int_equal(finish.day, 0);
    finish_book_batch(&book, "ale", FORCED EVENT("02 09:01", "pitch"), "-", "", 1);
    finish = finish_book_judge(&book);
    assert_false(finish.has_day);
    finish_book_end(&book);
}

/* A hydrometer is corrected for its sample's temperature: at 5 C it reads 0.3 P too high. */
static void corrects_by_the_meter(void **state)
{
    (void)state;
    struct finish_book book;
    finish_book_begin(&book, BEERS);
    finish_book_batch(&book, "ale", FORCED, "11.0 2.5/5 2.5/20", ", gravity-meter: HY1", 3);
    struct sound sound =
        sound_points(&book.courses.items[0], book.book.cellar, book.context.now, &book.arena);
    assert_int_equal(sound.points.n, 3);
    assert_true(sound.points.items[1].plato < 2.3 && sound.points.items[1].plato > 2.0);
    assert_float_equal(sound.points.items[2].plato, 2.5, 1e-9);
    finish_book_end(&book);
}

/* Two tanks of one batch are judged by their own readings and events. */
static void judges_each_tank(void **state)
{
    (void)state;
    struct finish_book book;
    finish_book_begin(&book, BEERS);
    finish_book_batch(
        &book, "ale",
        FORCED "tanks:\n"
               "  - {tank: FV1, from: 2026-11-01 15:00, volume: 20 hL}\n"
               "  - {tank: FV2, from: 2026-11-01 15:00, volume: 20 hL}\n"
               "events:\n"
               "  - {at: 2026-11-06 12:00, what: dry hop, tank: FV2}\n",
        "11.0 7.5 4.2 2.5 2.4 2.4",
        ", tank: FV1}\n  - {at: 2026-11-06 20:00, "
        "gravity: 2.4, tank: FV2}\n  - {at: 2026-11-07 09:00, gravity: 2.4, tank: FV2",
        6);
    assert_int_equal(book.courses.n, 2);
    struct finish first = finish_judge(&book.context, &book.courses.items[0]);
    struct finish second = finish_judge(&book.context, &book.courses.items[1]);
    assert_int_equal(first.verdict, FINISH_FINISHED);
    assert_null(first.roused);
    assert_non_null(second.roused);
    assert_int_not_equal(second.verdict, FINISH_STUCK);
    finish_book_end(&book);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(verdicts),
        cmocka_unit_test(tells_when_it_came_to_its_end),
        cmocka_unit_test(tells_what_is_over_and_what_is_wrong),
        cmocka_unit_test(every_day_of_every_row),
        cmocka_unit_test(explains),
        cmocka_unit_test(counts_what_is_lost_and_its_days),
        cmocka_unit_test(corrects_by_the_meter),
        cmocka_unit_test(judges_each_tank),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
