#include "due.h"
#include "finish_book.h"
#include "next.h"

#include <math.h>

static const char BEERS[] =
    "  ale: {yeast: ale, terminal: 2.2..2.8 P, ferment: 18..20 C, cold: -1..2 C, "
    "vdk: ..0.10 mg/L, carbonation: 2.4..2.6 vol, oxygen: ..50 ppb}\n"
    "  soft: {yeast: ale, carbonation: ..2.6 vol}\n"
    "  lively: {yeast: ale, carbonation: 2.4.. vol}\n"
    "  quick: {yeast: ale, terminal: 2.2..2.8 P, steady: 1}\n"
    "  icy: {yeast: ale, cold: 0.. C}\n"
    "  wild: {yeast: wild, terminal: 0.5..1.5 P}\n"
    "  bare: {yeast: ale}\n"
    "  cider: {yeast: none, terminal: 2.2..2.8 P}\n"
    "  lager: {yeast: lager, terminal: 2.1..2.6 P, ferment: 10..14 C}\n";

#define EVENTS         "events:\n"
#define AT(at, what)   "  - {at: 2026-11-" at ", what: " what "}\n"
#define IN(tank)       "tanks: [{tank: " tank ", from: 2026-11-01 15:00}]\n"
#define READ(at, what) "\n  - {at: 2026-11-" at ", " what "}\n"
#define ORIGINAL       "original: 12.0 P\nvolume: 50 hL\n"
#define FORCED_AT      "forced: {gravity: 2.4 P, at: 2026-11-03 09:00}\n"
#define FORCED         ORIGINAL FORCED_AT
#define MOVED_WARM                                                                                 \
    "tanks: [{tank: FV1, from: 2026-11-01 15:00}, {tank: BT1, from: 2026-11-09 10:00}]\n"
#define ENDED    "11.0 7.5 4.2 2.8 2.4 2.4 2.4"
#define CHILLED  FORCED EVENTS AT("08 10:00", "chill")
#define CLOSING  "closing: rated 1.50 bar here; go by the name plate, and watch the relief valve"
#define TEST_VDK "VDK sample, warmed and smelt, before it is chilled"

/* What is to be done a week after the pitch, or on another day at 09:00; the caution. */
static const struct row {
    const char *title, *beer, *keys, *days;
    int now_day;
    enum next_kind kind;
    const char *step, *caution;
    const char *due; /* "4 08:00": of November; "": no time */
} ROWS[] = {
    {"falling: the next morning's round", "bare", ORIGINAL, "11.0 7.5", 2, NEXT_READ, "read again",
     "", "4 08:00"},
    {"overdue: now", "bare", ORIGINAL, "11.0 7.5", 5, NEXT_READ, "read again", "", "6 09:00"},
    {"a barrel is read once a week", "bare", ORIGINAL IN("BR1"), "11.0 7.5", 5, NEXT_READ,
     "read again", "", "10 08:00"},
    {"nobody wrote down the tank", "bare", ORIGINAL "tanks: []\n", "11.0 7.5", 2, NEXT_READ,
     "read again", "", "4 08:00"},
    {"nothing read yet", "ale", FORCED, "-", 1, NEXT_READ, "read gravity", "", ""},
    {"not brewed yet", "ale", FORCED, "-", -1, NEXT_OTHER, "brew", "", "1 15:00"},
    {"a minute before the pitch", "ale", FORCED EVENTS AT("02 09:01", "pitch"), "-", 1, NEXT_OTHER,
     "brew", "", "2 09:01"},
    {"pitched this minute", "ale", FORCED EVENTS AT("02 09:00", "pitch"), "-", 1, NEXT_READ,
     "read gravity", "", ""},
    {"moved warm, one cold reading in the bright tank", "bare", FORCED MOVED_WARM,
     ENDED READ("09 08:00", "vdk: pass") READ("10 08:00", "temp: 1 C"), 9, NEXT_CARBONATE,
     "carbonate", "", ""},
    {"moved warm, still warm in the bright tank", "bare", FORCED MOVED_WARM,
     ENDED READ("09 08:00", "vdk: pass") READ("10 08:00", "temp: 14 C"), 9, NEXT_CHILL, "chill", "",
     ""},
    {"one cold reading before it was moved", "bare", FORCED MOVED_WARM,
     ENDED READ("09 08:00", "vdk: pass, temp: 1 C"), 9, NEXT_CHILL, "chill", "", ""},
    {"slow to start", "ale", FORCED, "12.0 12.0", 2, NEXT_OTHER,
     "slow start: look at temperature and yeast, read again", "", "4 08:00"},
    {"slow to start: 30 hours", "ale", FORCED EVENTS AT("02 03:00", "pitch"), "12.0 12.0", 2,
     NEXT_OTHER, "slow start: look at temperature and yeast, read again", "", "4 08:00"},
    {"a minute less than 30 hours", "ale", FORCED EVENTS AT("02 03:01", "pitch"), "12.0 12.0", 2,
     NEXT_READ, "read again", "", "4 08:00"},
    {"not slow yet", "ale", FORCED, "12.0", 1, NEXT_READ, "read again", "", "3 08:00"},
    {"a lager may take three days", "lager", FORCED, "12.0 12.0", 2, NEXT_READ, "read again", "",
     "4 08:00"},
    {"one more day", "ale", FORCED, "11.0 7.5 4.2 2.8 2.6 2.4", 6, NEXT_READ,
     "read again: 1 more day the same", "", "8 08:00"},
    {"a lager: two more days", "lager", FORCED, "11.9 11.0 9.0 6.0 4.0 2.9 2.5/12", 7, NEXT_READ,
     "read again: 2 more days the same", "", "9 08:00"},
    {"in the margin it is counted", "ale", FORCED, "11.0 7.5 4.2 2.8 2.7", 5, NEXT_READ,
     "read again: 1 more day the same", "", "7 08:00"},
    {"none since the dry hop: nothing to count", "ale", FORCED EVENTS AT("07 10:00", "dry hop"),
     "11.0 7.5 4.2 2.4 2.4 2.4 -", 7, NEXT_READ, "read again", "", "8 09:00"},
    {"still creeping: nothing to count", "ale", ORIGINAL,
     "11.0 7.5 4.2 3.3 3.2 3.1 3.0 2.9 2.8 2.7", 10, NEXT_READ, "read again", "", "12 08:00"},
    {"thirty days, but read three times: nothing to count", "wild", ORIGINAL,
     "11.0 - - - - 1.0" READ("16 08:00", "gravity: 1.0 P") "  - {at: 2026-12-10 08:00, gravity: "
                                                           "1.0 P}\n",
     39, NEXT_READ, "read again", "", "41 08:00"},
    {"stuck", "ale", FORCED, "11.0 7.5 4.6 3.6 3.5 3.5 3.5", 7, NEXT_OTHER,
     "look at yeast and temperature; rouse, and force a sample", "", ""},
    {"stuck although roused", "ale", FORCED EVENTS AT("04 10:00", "rouse"),
     "11.0 7.5 3.6 3.5 3.5 3.5", 6, NEXT_OTHER,
     "rousing did not help: force a sample, pitch active yeast", "", ""},
    {"on hold", "ale", FORCED EVENTS AT("04 10:00", "hold"), ENDED, 7, NEXT_NOTHING,
     "on hold: wait for the release", "", ""},
    {"released", "ale", FORCED EVENTS AT("04 10:00", "hold") AT("05 10:00", "release"), ENDED, 7,
     NEXT_VDK, TEST_VDK, "", "8 09:00"},
    {"on hold again", "ale",
     FORCED EVENTS AT("04 10:00", "hold") AT("05 10:00", "release") AT("06 10:00", "hold"), ENDED,
     7, NEXT_NOTHING, "on hold: wait for the release", "", ""},
    {"below its limit", "ale", FORCED, "11.0 7.5 4.2 2.4 2.0 1.9", 6, NEXT_OTHER,
     "hold; read with another meter; look for wild yeast or enzyme", "", ""},
    {"one reading below", "ale", FORCED, "11.0 7.5 4.2 2.8 2.4 2.4 1.9", 7, NEXT_OTHER,
     "read again: the last one alone is below the limit", "", "9 08:00"},
    {"one reading moved", "ale", FORCED, "11.0 7.5 4.2 2.8 2.5 2.5 2.2", 7, NEXT_OTHER,
     "read again: the last one alone has moved", "", "9 08:00"},
    {"a step lower is no move", "ale", FORCED, "11.0 7.5 4.2 2.8 2.5 2.5 2.4", 7, NEXT_VDK,
     TEST_VDK, "", "8 09:00"},
    {"finished on the day after the dry hop, and the same since", "quick",
     ORIGINAL EVENTS AT("05 10:00", "dry hop"), "11.0 7.5 4.2 2.4 2.4 2.4", 6, NEXT_VDK, TEST_VDK,
     "", "7 09:00"},
    {"and then moved", "quick", ORIGINAL EVENTS AT("05 10:00", "dry hop"),
     "11.0 7.5 4.2 2.8 2.7 2.4", 6, NEXT_OTHER, "read again: the last one alone has moved", "",
     "8 08:00"},
    {"a wild beer has no low end", "wild", ORIGINAL, "11.0 7.5 4.2 2.0 0.5 0.1 0.1", 7, NEXT_READ,
     "read again: 28 more days the same", "", "9 08:00"},
    {"chilled early", "ale", FORCED EVENTS AT("05 10:00", "chill"), "11.0 7.5 5.0 4.0 3.9/5 3.9/1",
     6, NEXT_OTHER, "do not package: warm it again and rouse, or ask", "", ""},
    {"chilled early, no limit, well attenuated", "bare", ORIGINAL EVENTS AT("05 10:00", "chill"),
     "11.0 7.5 5.0 4.0 3.9/5 3.9/1", 6, NEXT_OTHER,
     "do not package: force a sample (stirred, warm) to learn whether it was over", "", ""},
    {"a blend came cold, and no limit tells its end", "bare",
     "of: [{batch: 8, volume: 25 hL}, {batch: 9, volume: 25 hL}]\nvolume: 50 hL\n",
     "3.9/1 3.9/1 3.9/1", 3, NEXT_OTHER,
     "do not package: force a sample (stirred, warm) to learn whether it was over", "", ""},
    {"chilled early, no limit, far from any end", "bare", ORIGINAL EVENTS AT("05 10:00", "chill"),
     "11.0 9.0 7.0 5.5 5.5/5 5.5/1", 6, NEXT_OTHER,
     "do not package: warm it again and rouse, or ask", "", ""},
    {"a forced value passed over, and no other limit", "bare",
     ORIGINAL "forced: {gravity: 6.5 P}\n", "11.0 9.0 7.0 6.5 6.5 6.5", 6, NEXT_OTHER,
     "is it meant to end so high? then give the beer a terminal; else look at mash and yeast", "",
     ""},
    {"no limit", "bare", ORIGINAL, "11.0 7.5 4.2 2.8 2.5 2.5", 6, NEXT_OTHER,
     "force a sample before chilling or packaging: no limit is known", "", ""},
    {"no judgement", "bare", ORIGINAL, "11.0 9.5 8.2 8.0 8.0 8.0", 6, NEXT_OTHER,
     "force a sample (stirred, warm) to learn where it should end", "", ""},
    {"no judgement after two days", "bare", ORIGINAL, "11.0 11.0", 2, NEXT_OTHER,
     "force a sample (stirred, warm) to learn where it should end", "", ""},
    {"no judgement after one: a sample is of no use yet", "bare", "", "11.0", 1, NEXT_READ,
     "read again", "", "3 08:00"},
    {"no judgement, but its limit is known", "ale", ORIGINAL, "13.1 13.1", 2, NEXT_READ,
     "read again", "", "4 08:00"},
    {"another beer?", "ale", FORCED, "11.0 7.5 4.2 2.8 2.4 5.4 5.4", 7, NEXT_OTHER,
     "take a fresh sample of this tank and read it twice", "", "9 08:00"},
    {"within the margin", "ale", FORCED, "11.0 7.5 4.2 3.0 2.7 2.7 2.7", 7, NEXT_OTHER,
     "confirm before packaging: 0.3 P left can make 0.59 vol", "", ""},
    {"read by refractometer alone", "ale", FORCED,
     "11.0 7.5 4.2 2.8 2.4 2.4" READ("08 08:00", "gravity: 6.1 Bx, gravity-meter: RM1"), 7,
     NEXT_OTHER, "confirm with a hydrometer or density meter", "", ""},
    {"finished, never tested for VDK", "ale", FORCED, ENDED, 7, NEXT_VDK, TEST_VDK, "", "8 09:00"},
    {"a cider is not", "cider", ORIGINAL, ENDED, 7, NEXT_CHILL, "close the valve, chill", "", ""},
    {"a lager without a VDK limit is tested too", "lager", FORCED,
     "11.9 11.0 9.0 6.0 3.0 2.4/12 2.4/12 2.4/12", 8, NEXT_VDK, TEST_VDK, "", "9 09:00"},
    {"tested, and closed", "ale", FORCED EVENTS AT("06 10:00", "close"),
     ENDED READ("08 08:30", "vdk: pass"), 7, NEXT_CHILL, "chill to -1..2 C", "", ""},
    {"tested, in a tank that nobody wrote down", "ale", FORCED "tanks: []\n",
     ENDED READ("08 08:30", "vdk: pass"), 7, NEXT_CHILL, "close the valve, chill to -1..2 C", "",
     ""},
    {"tested, in a bright tank", "ale", FORCED IN("BT1"), ENDED READ("08 08:30", "vdk: pass"), 7,
     NEXT_CHILL, "chill to -1..2 C", "", ""},
    {"tested, no cold range told", "lager", FORCED,
     "11.9 11.0 9.0 6.0 3.0 2.4/12 2.4/12 2.4/12" READ("09 08:30", "vdk: pass"), 8, NEXT_CHILL,
     "close the valve, chill", "", ""},
    {"finished and cold", "ale", CHILLED, ENDED " 2.4/9", 8, NEXT_NOTHING,
     "wait until it is cold, now 9.0 C", "", ""},
    {"a tenth over its cold range", "ale", CHILLED, ENDED " 2.4/2.1", 8, NEXT_NOTHING,
     "wait until it is cold, now 2.1 C", "", ""},
    {"no cold range: 4 C is cold", "lager", CHILLED, ENDED " 2.4/4.0", 8, NEXT_DUMP,
     "dump the yeast", "", ""},
    {"and 4.1 C is not", "lager", CHILLED, ENDED " 2.4/4.1", 8, NEXT_NOTHING,
     "wait until it is cold, now 4.1 C", "", ""},
    {"a cold range without an upper end: 4 C too", "icy", CHILLED, ENDED " 2.4/4.1", 8,
     NEXT_NOTHING, "wait until it is cold, now 4.1 C", "", ""},
    {"chilled, and no temperature read", "ale", CHILLED,
     "11.0/~ 7.5/~ 4.2/~ 2.8/~ 2.4/~ 2.4/~ 2.4/~ 2.4/~", 8, NEXT_DUMP, "dump the yeast", "", ""},
    {"cold: the yeast", "ale", CHILLED, ENDED " 2.4/2", 8, NEXT_DUMP, "dump the yeast", "", ""},
    {"0.3 P lower in the cold is no fall", "ale", ORIGINAL EVENTS AT("08 10:00", "chill"),
     "11.0 7.5 4.2 2.8 2.7 2.7 2.7 2.40/1", 8, NEXT_DUMP, "dump the yeast", "", ""},
    {"more than that may be", "ale", ORIGINAL EVENTS AT("08 10:00", "chill"),
     "11.0 7.5 4.2 2.8 2.7 2.7 2.7 2.38/1", 8, NEXT_OTHER,
     "read again: the last one alone has moved", "", "10 08:00"},
    {"dumped: move it", "ale", CHILLED AT("09 07:00", "dump"), ENDED " 2.4/2", 8, NEXT_MOVE,
     "move to a bright tank", "", ""},
    {"cold, and its VDK test did not pass", "ale", CHILLED,
     ENDED " 2.4/2" READ("08 08:30", "vdk: trace"), 8, NEXT_VDK,
     "do not package: VDK smelt \"trace\"; warm and smell a sample again, or ask", "", ""},
    {"dumped, but pH 4.60: not on its way", "ale", CHILLED AT("09 07:00", "dump"),
     ENDED " 2.4/2" READ("08 08:30", "ph: 4.60"), 8, NEXT_OTHER,
     "hold it until someone qualified releases it",
     "pH 4.60, at or above 4.6: hold it, ask someone qualified", ""},
    {"held for its pH, and released", "ale",
     CHILLED AT("09 07:00", "dump") AT("09 07:30", "hold") AT("09 07:45", "release"),
     ENDED " 2.4/2" READ("08 08:30", "ph: 4.60"), 8, NEXT_MOVE, "move to a bright tank",
     "pH 4.60, at or above 4.6: hold it, ask someone qualified", ""},
    {"too weak to be safe by itself: not on its way", "ale",
     "original: 6.0 P\n" FORCED_AT EVENTS AT("07 10:00", "chill") AT("08 07:00", "dump"),
     "5.0 3.5 2.8 2.4 2.4 2.4 2.4/2", 7, NEXT_OTHER, "hold it until someone qualified releases it",
     "only 1.9 % alcohol: hold it, ask someone qualified", ""},
    {"dumped before it was cold: again", "ale",
     FORCED EVENTS AT("07 10:00", "dump") AT("08 10:00", "chill"), ENDED " 2.4/2", 8, NEXT_DUMP,
     "dump the yeast", "", ""},
    {"dumped while it was still warm, the chill just set: again", "ale",
     CHILLED AT("08 10:00", "dump"), ENDED " 2.4/2", 8, NEXT_DUMP, "dump the yeast", "", ""},
    {"weak beer", "ale", "original: 6.0 P\n" FORCED_AT, "5.0 3.5 2.8 2.4 2.4 2.4", 6, NEXT_VDK,
     TEST_VDK, "only 1.9 % alcohol: hold it, ask someone qualified", "7 09:00"},
    {"a light beer of 2.5 %", "ale", "original: 7.2 P\n" FORCED_AT, "6.0 3.5 2.8 2.4 2.4 2.4", 6,
     NEXT_VDK, TEST_VDK, "", "7 09:00"},
    {"pH 4.60 at its end", "ale", FORCED, ENDED READ("08 08:30", "ph: 4.60"), 7, NEXT_VDK, TEST_VDK,
     "pH 4.60, at or above 4.6: hold it, ask someone qualified", "8 09:00"},
    {"pH 4.59", "ale", FORCED, ENDED READ("08 08:30", "ph: 4.59"), 7, NEXT_VDK, TEST_VDK, "",
     "8 09:00"},
    {"pH 4.60 with the reading that came to the end", "ale", FORCED,
     ENDED READ("06 08:00", "ph: 4.60"), 7, NEXT_VDK, TEST_VDK,
     "pH 4.60, at or above 4.6: hold it, ask someone qualified", "8 09:00"},
    {"pH 4.7 while it fell", "ale", FORCED, ENDED READ("06 07:59", "ph: 4.70"), 7, NEXT_VDK,
     TEST_VDK, "", "8 09:00"},
    {"the last pH counts", "ale", FORCED,
     ENDED READ("07 08:30", "ph: 4.70") "  - {at: 2026-11-08 08:30, ph: 4.50}\n", 7, NEXT_VDK,
     TEST_VDK, "", "8 09:00"},
    {"while it ferments its pH is no matter", "ale", FORCED,
     "11.0 7.5" READ("03 08:30", "ph: 4.70"), 2, NEXT_READ, "read again", "", "4 08:00"},
    {"gone", "ale", FORCED "tanks: [{tank: FV1, from: 2026-11-01 15:00, to: 2026-11-08 08:30}]\n",
     ENDED, 7, NEXT_NOTHING, "", "", ""},
};

static struct next step_of_book(struct finish_book *book, const char *beers, const char *beer,
                                const char *keys, const char *days, int now_day)
{
    finish_book_begin(book, beers);
    finish_book_batch(book, beer, keys, days, "", now_day);
    struct finish finish = finish_book_judge(book);
    return next_step(&book->context, &finish);
}

static void steps(void **state)
{
    (void)state;
    size_t wrong = 0;
    for (size_t i = 0; i < sizeof ROWS / sizeof ROWS[0]; i++) {
        const struct row *row = &ROWS[i];
        struct finish_book book;
        struct next next =
            step_of_book(&book, BEERS, row->beer, row->keys, row->days, row->now_day);
        char due[40] = "";
        int minutes = (int)((next.at - FINISH_BOOK_PITCH) / 60) + (24 + 15) * 60;
        if (next.has_at)
            snprintf(due, sizeof due, "%d %02d:%02d", minutes / 1440, minutes / 60 % 24,
                     minutes % 60);
        if (next.kind != row->kind || strcmp(next.step, row->step) != 0 ||
            strcmp(next.caution, row->caution) != 0 || strcmp(due, row->due) != 0) {
            print_error("%s: %d: %s; %s; on %s\n", row->title, (int)next.kind, next.step,
                        next.caution, due);
            wrong++;
        }
        finish_book_end(&book);
    }
    assert_int_equal(wrong, 0);
}

/* 50 hL of 12 P on the fifth morning, 0.6 P above its end unless told otherwise. */
#define CAN_CLOSE "the valve can be closed: what is left makes "
static const struct valve_row {
    const char *title, *keys, *days, *step;
} VALVE_ROWS[] = {
    {"nearly done in a strong tank", FORCED, "11.0 7.5 4.2 3.0", CAN_CLOSE "1.15 bar"},
    {"too much left for it", FORCED, "11.0 7.5 4.2 3.3", "read again"},
    {"gone fast, and a step left", FORCED, "- 11.0 7.5 2.5", CAN_CLOSE "0.19 bar"},
    {"gone fast, and nothing left to close it for", FORCED, "- 11.0 7.5 2.4", "read again"},
    {"no limit known", "original: 12.0 P\nvolume: 50 hL\n", "11.0 7.5 4.2 3.0", "read again"},
    {"closed already", FORCED EVENTS AT("04 10:00", "close"), "11.0 7.5 4.2 3.0", "read again"},
    {"closed and vented", FORCED EVENTS AT("04 10:00", "close") AT("04 11:00", "vent"),
     "11.0 7.5 4.2 3.0", CAN_CLOSE "1.15 bar"},
    {"closed again",
     FORCED EVENTS AT("04 10:00", "close") AT("04 11:00", "vent") AT("04 12:00", "close"),
     "11.0 7.5 4.2 3.0", "read again"},
    {"a tank that nobody wrote down", FORCED "tanks: []\n", "11.0 7.5 4.2 3.0", "read again"},
    {"no name plate", FORCED IN("FV2"), "11.0 7.5 4.2 3.0", "read again"},
    {"no capacity known", FORCED IN("FV3"), "11.0 7.5 4.2 3.0", "read again"},
    {"a unitank", FORCED IN("UT1"), "11.0 7.5 4.2 3.0", CAN_CLOSE "1.15 bar"},
    {"a bright tank", FORCED IN("BT1"), "11.0 7.5 4.2 3.0", "read again"},
    {"no volume known", "original: 12.0 P\n" FORCED_AT, "11.0 7.5 4.2 3.0", "read again"},
    {"less of it in this tank",
     FORCED "tanks: [{tank: FV1, from: 2026-11-01 15:00, volume: 30 hL}]\n", "11.0 7.5 4.2 3.0",
     CAN_CLOSE "0.67 bar"},
    {"some of it dumped since", FORCED EVENTS AT("04 10:00", "dump, volume: 20 hL"),
     "11.0 7.5 4.2 3.0", CAN_CLOSE "0.67 bar"},
    {"topped up since: less head space", FORCED EVENTS AT("04 10:00", "krausen, volume: 8 hL"),
     "11.0 7.5 4.2 3.0", "read again"},
    {"about so much of it", "original: 12.0 P\nvolume: \"<50 hL\"\n" FORCED_AT, "11.0 7.5 4.2 3.0",
     "read again"},
    {"its temperature read on the first day alone", FORCED, "11.0 7.5/~ 4.2/~ 3.0/~",
     CAN_CLOSE "1.15 bar"},
    {"no temperature read", FORCED, "11.0/~ 7.5/~ 4.2/~ 3.0/~", "read again"},
    {"some pressure there", FORCED, "11.0 7.5 4.2 3.0" READ("05 08:30", "pressure: 0.02 bar"),
     CAN_CLOSE "1.17 bar"},
    {"read with the gravity before", FORCED,
     "11.0 7.5 4.2 3.0" READ("04 08:30", "pressure: 0.02 bar"), CAN_CLOSE "1.17 bar"},
    {"more of it: over 80 % of its name plate", FORCED,
     "11.0 7.5 4.2 3.0" READ("05 08:30", "pressure: 0.1 bar"), "read again"},
};

static void valve(void **state)
{
    (void)state;
    size_t wrong = 0;
    for (size_t i = 0; i < sizeof VALVE_ROWS / sizeof VALVE_ROWS[0]; i++) {
        const struct valve_row *row = &VALVE_ROWS[i];
        struct finish_book book;
        struct next next =
            step_of_book(&book, "  pale: {yeast: ale}\n", "pale", row->keys, row->days, 4);
        bool closes = next.kind == NEXT_CLOSE;
        if (strcmp(next.step, row->step) != 0 || strcmp(next.caution, closes ? CLOSING : "") != 0) {
            print_error("%s: %s; %s\n", row->title, next.step, next.caution);
            wrong++;
        }
        finish_book_end(&book);
    }
    assert_int_equal(wrong, 0);
}

/* A VDK test on a date, at 12:00, of an ale that came to its end on 6 November at 08:00. */
static const struct vdk_row {
    const char *title, *beer, *at, *vdk, *step;
} VDK_ROWS[] = {
    {"three days before the end: too early", "ale", "03 12:00", "pass", "VDK sample"},
    {"a minute more than two days before", "ale", "04 07:59", "pass", "VDK sample"},
    {"two days before", "ale", "04 08:00", "pass", "close the valve, chill to -1..2 C"},
    {"after the end", "ale", "08 08:30", "0.10 mg/L", "close the valve, chill"},
    {"over its limit", "ale", "08 08:30", "0.12 mg/L",
     "VDK to come: 0.12 mg/L, wants ..0.10 mg/L; keep it warm, sample again"},
    {"a bound that proves it", "ale", "08 08:30", "<0.05 mg/L", "close the valve, chill"},
    {"a bound that does not", "ale", "08 08:30", "<0.2 mg/L", "VDK to come: <0.20 mg/L"},
    {"off the upper end", "ale", "08 08:30", "\">0.05 mg/L\"", "VDK to come: >0.05 mg/L"},
    {"smelt a trace", "ale", "08 08:30", "trace", "VDK to come: smelt \"trace\""},
    {"smelt it", "ale", "08 08:30", "fail", "VDK to come: smelt \"fail\""},
    {"no limit: any figure", "pale", "08 08:30", "0.5 mg/L", "close the valve, chill"},
};

static void vdk(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof VDK_ROWS / sizeof VDK_ROWS[0]; i++) {
        const struct vdk_row *row = &VDK_ROWS[i];
        struct finish_book book;
        char days[200];
        snprintf(days, sizeof days, "11.0 7.5 4.2 2.8 2.4 2.4\n  - {at: 2026-11-%s, vdk: %s}\n",
                 row->at, row->vdk);
        finish_book_begin(&book, "  ale: {yeast: ale, cold: -1..2 C, vdk: ..0.10 mg/L}\n"
                                 "  pale: {yeast: ale}\n");
        finish_book_batch(&book, row->beer, FORCED, days, "", 7);
        struct finish finish = finish_book_judge(&book);
        assert_int_equal(finish.verdict, FINISH_FINISHED);
        struct next next = next_step(&book.context, &finish);
        if (strstr(next.step, row->step) != next.step)
            fail_msg("%s: %s", row->title, next.step);
        assert_int_equal(next.kind, strncmp(next.step, "VDK", 3) == 0 ? NEXT_VDK : NEXT_CHILL);
        /* The round asks for it when, and only when, this does. */
        const struct due_tank tank = {.course = &book.courses.items[0],
                                      .zone = civil_utc(),
                                      .now = book.context.now + 2 * CIVIL_DAY,
                                      .kind = TANK_FERMENTER,
                                      .every_hours = 24,
                                      .phase = DUE_FINISHED,
                                      .vdk_from = due_vdk_from(&finish)};
        bool asks = (due_today(&tank).reads & 1U << READS_VDK) != 0;
        if (asks != (strncmp(next.step, "VDK", 3) == 0))
            fail_msg("%s: %s, but the round %s for it", row->title, next.step,
                     asks ? "asks" : "does not ask");
        finish_book_end(&book);
    }
}

/* Chilled on the 8th at 10:00, in a bright tank from the 9th: its carbonation, and what follows. */
#define MOVED(at)                                                                                  \
    FORCED "tanks: [{tank: FV1, from: 2026-11-01 15:00}, {tank: BT1, from: 2026-11-" at "}]\n"     \
           "events:\n" AT("08 10:00", "chill")
#define BRIGHT MOVED("09 10:00")
#define GASSED BRIGHT AT("09 12:00", "carbonate")
static const struct bright_row {
    const char *title, *beer, *keys, *at, *carbonation; /* a day and hour; "": not measured */
    enum next_kind kind;
    const char *step;
} BRIGHT_ROWS[] = {
    {"not carbonated yet", "ale", BRIGHT, "", "", NEXT_CARBONATE, "carbonate"},
    {"measured, not carbonated: gas from fermenting", "ale", BRIGHT, "10 12:00", "1.50 vol",
     NEXT_CARBONATE, "carbonate"},
    {"carbonated, with too much oxygen", "ale", GASSED, "10 12:00", "2.50 vol, oxygen: 51 ppb",
     NEXT_OTHER, "do not package: oxygen 51 ppb, wants ..50 ppb; measure it again, or ask"},
    {"at the limit of oxygen", "ale", GASSED, "10 12:00", "2.50 vol, oxygen: 50 ppb", NEXT_PACKAGE,
     "package"},
    {"too much oxygen, released", "ale", GASSED AT("10 14:00", "release"), "10 12:00",
     "2.50 vol, oxygen: 51 ppb", NEXT_PACKAGE, "package"},
    {"a beer without a limit of oxygen", "soft", GASSED, "10 12:00", "2.50 vol, oxygen: 900 ppb",
     NEXT_PACKAGE, "package"},
    {"closed in time: it came with its gas", "ale", BRIGHT, "10 12:00", "2.50 vol", NEXT_PACKAGE,
     "package"},
    {"closed too early", "ale", BRIGHT, "10 12:00", "2.61 vol", NEXT_CARBONATE,
     "let gas off: 2.61 vol, wants 2.4..2.6 vol"},
    {"what it had before it was moved may be lost", "ale", BRIGHT, "09 09:00", "2.50 vol",
     NEXT_CARBONATE, "carbonate"},
    {"no low end: what fermenting left is not what was meant", "soft", BRIGHT, "10 12:00",
     "1.50 vol", NEXT_CARBONATE, "carbonate"},
    {"no range told, and no gas given", "icy", BRIGHT, "10 12:00", "2.50 vol", NEXT_CARBONATE,
     "carbonate"},
    {"closed in time in a unitank", "ale", FORCED IN("UT1") "events:\n" AT("08 10:00", "chill"),
     "10 12:00", "2.50 vol", NEXT_PACKAGE, "package"},
    {"carbonated, not measured", "ale", GASSED, "", "", NEXT_CARBONATE, "measure the carbonation"},
    {"measured before it was carbonated", "ale", GASSED, "09 11:59", "2.50 vol", NEXT_CARBONATE,
     "measure the carbonation"},
    {"measured as it was carbonated", "ale", GASSED, "09 12:00", "2.50 vol", NEXT_PACKAGE,
     "package"},
    {"too little", "ale", GASSED, "10 12:00", "2.39 vol", NEXT_CARBONATE,
     "carbonate further: 2.39 vol, wants 2.4..2.6 vol"},
    {"at the low end", "ale", GASSED, "10 12:00", "2.40 vol", NEXT_PACKAGE, "package"},
    {"at the high end", "ale", GASSED, "10 12:00", "2.60 vol", NEXT_PACKAGE, "package"},
    {"too much", "ale", GASSED, "10 12:00", "2.61 vol", NEXT_CARBONATE,
     "let gas off: 2.61 vol, wants 2.4..2.6 vol"},
    {"no low end: it may be flat", "soft", GASSED, "10 12:00", "0.10 vol", NEXT_PACKAGE, "package"},
    {"no high end", "lively", GASSED, "10 12:00", "4.00 vol", NEXT_PACKAGE, "package"},
    {"no range told", "icy", GASSED, "10 12:00", "4.00 vol", NEXT_PACKAGE, "package"},
    {"a beer that nobody described", "ghost", GASSED, "10 12:00", "4.00 vol", NEXT_PACKAGE,
     "package"},
    {"gas into the tank it has left is none of it", "ale",
     BRIGHT "  - {at: 2026-11-09 12:00, what: carbonate, tank: FV1}\n", "", "", NEXT_CARBONATE,
     "carbonate"},
    {"a unitank is a place to carbonate", "ale",
     FORCED IN("UT1") "events:\n" AT("08 10:00", "chill"), "", "", NEXT_CARBONATE, "carbonate"},
    {"brewed into the bright tank: no place to carbonate", "ale",
     FORCED IN("BT1") "events:\n" AT("08 10:00", "chill"), "", "", NEXT_MOVE,
     "move to a bright tank"},
    {"moved within a day of the pitch: it fermented there", "ale", MOVED("02 15:00"), "", "",
     NEXT_MOVE, "move to a bright tank"},
    {"moved a minute later", "ale", MOVED("02 15:01"), "", "", NEXT_CARBONATE, "carbonate"},
    {"still in a fermenter", "ale", CHILLED, "", "", NEXT_DUMP, "dump the yeast"},
    {"nobody wrote down the tank", "ale", FORCED "tanks: []\n" EVENTS AT("08 10:00", "chill"), "",
     "", NEXT_DUMP, "dump the yeast"},
};

static void in_a_bright_tank(void **state)
{
    (void)state;
    size_t wrong = 0;
    for (size_t i = 0; i < sizeof BRIGHT_ROWS / sizeof BRIGHT_ROWS[0]; i++) {
        const struct bright_row *row = &BRIGHT_ROWS[i];
        struct finish_book book;
        char days[200] = ENDED " 2.4/1 2.4/1";
        if (row->at[0] != '\0')
            snprintf(days, sizeof days, "%s 2.4/1 2.4/1\n  - {at: 2026-11-%s, carbonation: %s}\n",
                     ENDED, row->at, row->carbonation);
        struct next next = step_of_book(&book, BEERS, row->beer, row->keys, days, 11);
        if (next.kind != row->kind || strcmp(next.step, row->step) != 0) {
            print_error("%s: %d: %s\n", row->title, (int)next.kind, next.step);
            wrong++;
        }
        finish_book_end(&book);
    }
    assert_int_equal(wrong, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(steps),
        cmocka_unit_test(valve),
        cmocka_unit_test(vdk),
        cmocka_unit_test(in_a_bright_tank),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
