/* Each rule at its bound, just below and just above: what a brewer sees when a limit is one off. */
#include "anomaly_story.h"

#define WORT(ph)                                                                                   \
    "---\nbatch: 1\nbeer: Pale\nbrewed: 2026-11-01 12:00\noriginal: 12.0 P\nwort-ph: " ph "\n"     \
    "tanks: [{tank: F1, from: 2026-11-01 12:00}]\n"
/* Split into two tanks on the fifth. */
#define HALVES                                                                                     \
    "---\nbatch: 1\nbeer: Pale\nbrewed: 2026-11-01 12:00\noriginal: 12.0 P\ntanks: [{tank: F1, "   \
    "from: "                                                                                       \
    "2026-11-01 12:00, to: 2026-11-05 12:00}, {tank: F2, from: 2026-11-05 12:00}, {tank: F3, "     \
    "from: "                                                                                       \
    "2026-11-05 12:00}]\n"
#define SLOW "gravity: 11.9 P"
/* From its fermenter to the bright tank on the fourth at noon. */
#define MOVED                                                                                      \
    "---\nbatch: 1\nbeer: Pale\nbrewed: 2026-11-01 12:00\noriginal: 12.0 P\n"                      \
    "tanks: [{tank: F1, from: 2026-11-01 12:00, to: 2026-11-04 12:00}, {tank: B1, from: "          \
    "2026-11-04 12:00}]\n"

#define BLEND                                                                                      \
    "---\nbatch: 1\nbeer: Plain\nbrewed: 2026-11-01 12:00\n"                                       \
    "of: [{batch: 8, volume: 14 hL}, {batch: 9, volume: 14 hL}]\n"                                 \
    "tanks: [{tank: F1, from: 2026-11-01 12:00}]\n"

static const struct row START[] = {
    {"the hour itself", "02 20:00", PALE READINGS R("02 18:00", "ph: 5.02, gravity: 11.9 P"),
     "slow-start:alarm"},
    {"a minute before it", "02 20:00", PALE READINGS R("02 17:59", "ph: 5.02, gravity: 11.9 P"),
     ""},
    {"pH 0.14 down is no start", "02 20:00",
     PALE READINGS R("02 19:00", "ph: 4.96, gravity: 11.5 P"), "slow-start:warn"},
    {"gravity 3 % down", "02 20:00", PALE READINGS R("02 19:00", "ph: 4.90, gravity: 11.63 P"), ""},
    {"3 % to the hundredth", "02 20:00", PALE READINGS R("02 19:00", "ph: 4.90, gravity: 11.64 P"),
     ""},
    {"gravity not quite 3 % down", "02 20:00",
     PALE READINGS R("02 19:00", "ph: 4.90, gravity: 11.65 P"), "slow-start:warn"},
    {"pH late, but a third of the extract has gone", "02 20:00",
     PALE READINGS R("02 19:00", "ph: 5.00, gravity: 8.3 P"), ""},
    {"a good quarter has", "02 20:00", PALE READINGS R("02 19:00", "ph: 5.00, gravity: 8.5 P"),
     "slow-start:warn"},
    {"no pH of the wort: 4.90 is a start", "02 20:00",
     UNKNOWN READINGS R("02 19:00", "ph: 4.90, gravity: 11.5 P"), ""},
    {"no pH of the wort: 4.91 is none", "02 20:00",
     UNKNOWN READINGS R("02 19:00", "ph: 4.91, gravity: 11.5 P"), "slow-start:warn"},
    {"a blend is as acid as what went into it", "02 09:00",
     BLEND READINGS R("02 08:00", "ph: 4.01, gravity: 4.0 P"), ""},
    {"and comes cold", "04 09:00",
     BLEND READINGS R("02 08:00", "gravity: 4.0 P, temp: 1.0 C")
         R("03 08:00", "gravity: 4.0 P, temp: 1.0 C") R("04 08:00", "gravity: 4.0 P, temp: 1.1 C"),
     ""},
    {"and need not start", "03 09:00", BLEND READINGS R("03 08:00", "ph: 4.95"), ""},
    {"soured wort has no pH to fall", "02 20:00",
     WORT("4.60") READINGS R("02 19:00", "ph: 4.60, gravity: 11.5 P"), ""},
    {"wort hardly soured has", "02 20:00",
     WORT("4.61") READINGS R("02 19:00", "ph: 4.60, gravity: 11.5 P"), "slow-start:warn"},
    {"gravity and pH of one minute, each an entry", "02 20:00",
     PALE READINGS R("02 19:00", "ph: 5.02") R("02 19:00", SLOW), "slow-start:alarm"},
    {"the other way round", "02 20:00", PALE READINGS R("02 19:00", SLOW) R("02 19:00", "ph: 5.02"),
     "slow-start:alarm"},
    {"gravity of twelve hours before counts", "02 20:00",
     PALE READINGS R("02 07:00", SLOW) R("02 19:00", "ph: 5.02"), "slow-start:alarm"},
    {"older gravity does not", "02 20:00",
     PALE READINGS R("02 06:59", SLOW) R("02 19:00", "ph: 5.02"), "slow-start:warn"},
    {"moved in between, its gravity still counts", "02 20:00",
     "---\nbatch: 1\nbeer: Pale\nbrewed: 2026-11-01 12:00\noriginal: 12.0 P\nwort-ph: 5.10\n"
     "tanks: [{tank: F1, from: 2026-11-01 12:00, to: 2026-11-02 12:00}, {tank: F2, from: "
     "2026-11-02 12:00}]\n" READINGS R("02 08:00", SLOW) R("02 19:00", "ph: 5.02"),
     "slow-start:alarm"},
    {"nobody measured the wort: its gravity alone says nothing", "02 20:00",
     "---\nbatch: 1\nbeer: Pale\nbrewed: 2026-11-01 12:00\n"
     "tanks: [{tank: F1, from: 2026-11-01 12:00}]\n" READINGS R("02 19:00", SLOW),
     ""},
    {"the pH of a sour says nothing", "04 20:00",
     SOUR READINGS R("04 13:00", "ph: 5.02, gravity: 11.5 P"), ""},

    {"pH 0.11 above the wort", "02 09:00", PALE READINGS R("02 08:00", "ph: 5.21, gravity: 11.5 P"),
     "ph-above-wort:alarm"},
    {"at 96 h", "05 15:00", PALE READINGS R("05 12:00", "ph: 5.30, gravity: 5.0 P"),
     "ph-above-wort:alarm"},
    {"a minute later chill and hops can do it", "05 15:00",
     PALE READINGS R("05 12:01", "ph: 5.30, gravity: 5.0 P"), ""},
    {"when it was pitched", "02 09:00", PALE READINGS R("01 12:00", "ph: 5.21, gravity: 12.0 P"),
     "ph-above-wort:alarm"},
    {"no pH of the wort: 5.50", "02 09:00", UNKNOWN READINGS R("02 08:00", "ph: 5.50"), ""},
    {"no pH of the wort: 5.51", "02 09:00", UNKNOWN READINGS R("02 08:00", "ph: 5.51"),
     "ph-above-wort:warn"},
    {"a sour 0.20 above", "02 09:00", SOUR READINGS R("02 08:00", "ph: 5.30"), ""},
    {"a sour 0.21 above", "02 09:00", SOUR READINGS R("02 08:00", "ph: 5.31"),
     "ph-above-wort:alarm"},

    {"pH 4.19 on the first day", "02 09:00",
     PALE READINGS R("02 08:00", "ph: 4.19, gravity: 11.5 P"), "ph-acid-early:alarm"},
    {"acid as it was pitched", "02 09:00", PALE READINGS R("01 12:00", "ph: 4.10, gravity: 12.0 P"),
     "ph-acid-early:alarm"},
    {"at 26 h", "02 15:00", PALE READINGS R("02 14:00", "ph: 4.19, gravity: 11.5 P"),
     "ph-acid-early:alarm"},
    {"a minute later", "02 15:00", PALE READINGS R("02 14:01", "ph: 4.19, gravity: 11.5 P"), ""},
    {"a quarter has gone", "02 09:00", PALE READINGS R("02 08:00", "ph: 4.19, gravity: 9.0 P"),
     "ph-acid-early:alarm"},
    {"more than a quarter has", "02 09:00", PALE READINGS R("02 08:00", "ph: 4.19, gravity: 8.9 P"),
     ""},
    {"soured before it was pitched", "02 09:00",
     WORT("4.60") READINGS R("02 08:00", "ph: 4.19, gravity: 11.5 P"), ""},
    {"not soured", "02 09:00", WORT("4.61") READINGS R("02 08:00", "ph: 4.19, gravity: 11.5 P"),
     "ph-acid-early:alarm"},
    {"a sour may be acid on its first day", "02 09:00",
     SOUR READINGS R("02 08:00", "ph: 4.19, gravity: 11.5 P"), ""},

    {"0.30 under the range", "05 09:00", PALE READINGS R("05 08:00", "ph: 3.75, gravity: 2.8 P"),
     ""},
    {"0.31 under it", "05 09:00", PALE READINGS R("05 08:00", "ph: 3.74, gravity: 2.8 P"),
     "ph-low:warn?"},
    {"0.45 under it", "05 09:00", PALE READINGS R("05 08:00", "ph: 3.60, gravity: 2.8 P"),
     "ph-low:warn?"},
    {"in no tank, the day before", "06 09:00",
     "---\nbatch: 1\nbeer: Pale\nbrewed: 2026-11-01 12:00\n" READINGS R(
         "05 08:00", "ph: 3.55, gravity: 2.8 P") R("06 08:00", "gravity: 2.6 P"),
     "ph-low:alarm?"},
    {"0.46 under it", "05 09:00", PALE READINGS R("05 08:00", "ph: 3.59, gravity: 2.8 P"),
     "ph-low:alarm?"},
    {"the trade's 3.9, 0.30 under", "05 09:00",
     PLAIN READINGS R("05 08:00", "ph: 3.60, gravity: 2.8 P"), ""},
    {"a sour without a range may be as acid as it likes", "05 09:00",
     SOUR READINGS R("05 08:00", "ph: 2.50, gravity: 5.0 P"), ""},
    {"as it was pitched, acid is another matter", "02 09:00",
     SALTY READINGS R("01 12:00", "ph: 2.80"), ""},
    {"half an hour later", "02 09:00", SALTY READINGS R("01 12:30", "ph: 2.80"), "ph-low:note?"},
    {"a sour with a range of its own, under it", "05 09:00",
     SALTY READINGS R("05 08:00", "ph: 2.89, gravity: 5.0 P"), "ph-low:note?"},
    {"a sour with a range of its own, 0.30 under it", "05 09:00",
     SALTY READINGS R("05 08:00", "ph: 2.90, gravity: 5.0 P"), ""},
};

static const struct row COURSES[] = {
    {"two meters, half a Plato apart", "06 09:00",
     PALE READINGS R("05 08:00", "gravity: 2.8 P, gravity-meter: R1, temp: 20 C")
         R("06 08:00", "gravity: 3.3 P"),
     "gravity-rising:note?"},
    {"two meters, 0.4 P apart", "06 09:00",
     PALE READINGS R("05 08:00", "gravity: 2.8 P, gravity-meter: R1, temp: 20 C")
         R("06 08:00", "gravity: 3.2 P"),
     ""},
    {"four days back", "09 09:00",
     PALE READINGS R("05 08:00", "gravity: 2.8 P") R("06 08:00", "gravity: 2.9 P")
         R("09 08:00", "gravity: 3.1 P"),
     "gravity-rising:note? round-missed:note"},
    {"longer ago", "09 09:00",
     PALE READINGS R("05 07:59", "gravity: 2.8 P") R("06 08:00", "gravity: 2.9 P")
         R("09 08:00", "gravity: 3.1 P"),
     "round-missed:note"},
    {"off the end of the scale before it", "06 09:00",
     PALE READINGS R("05 08:00", "gravity: <2.0 P") R("06 08:00", "gravity: 2.8 P"), ""},
    {"krausen was added", "06 09:00",
     PALE EVENTS EVENT("05 10:00", "krausen") READINGS COURSE R("06 08:00", "gravity: 3.4 P"), ""},
    {"the cold makes layers", "06 09:00",
     PALE EVENTS EVENT("05 10:00", "chill") READINGS COURSE R("06 08:00", "gravity: 3.4 P"), ""},
    {"sugar on the minute of the reading", "06 09:00",
     PALE EVENTS EVENT("06 08:00", "addition") READINGS COURSE R("06 08:00", "gravity: 3.4 P"), ""},
    {"sugar on the minute of the one before", "06 09:00",
     PALE EVENTS EVENT("05 08:00", "addition") READINGS COURSE R("06 08:00", "gravity: 3.4 P"), ""},
    {"sugar a minute earlier", "06 09:00",
     PALE EVENTS EVENT("05 07:59", "addition") READINGS COURSE R("06 08:00", "gravity: 3.4 P"),
     "gravity-rising:note?"},
    {"sugar in the other half", "07 09:00",
     HALVES "events: [{at: 2026-11-06 10:00, what: addition, tank: F3}]\nreadings:\n"
            "  - {at: 2026-11-06 08:00, tank: F2, gravity: 2.8 P}\n"
            "  - {at: 2026-11-07 08:00, tank: F2, gravity: 3.2 P}\n"
            "  - {at: 2026-11-07 08:00, tank: F3, temp: 19 C}\n",
     "gravity-rising:note? round-missed:note"},
    {"sugar in this half", "07 09:00",
     HALVES "events: [{at: 2026-11-06 10:00, what: addition, tank: F2}]\nreadings:\n"
            "  - {at: 2026-11-06 08:00, tank: F2, gravity: 2.8 P}\n"
            "  - {at: 2026-11-07 08:00, tank: F2, gravity: 3.2 P}\n"
            "  - {at: 2026-11-07 08:00, tank: F3, temp: 19 C}\n",
     "round-missed:note"},
    {"roused is not added", "06 09:00",
     PALE EVENTS EVENT("05 10:00", "rouse") READINGS COURSE R("06 08:00", "gravity: 3.4 P"),
     "gravity-rising:note?"},

    {"standing a Plato above the range", "06 09:00",
     LAGER READINGS R("03 08:00", "gravity: 7.7 P") R("04 08:00", "gravity: 3.8 P")
         R("06 08:00", "gravity: 3.8 P"),
     "stalled:warn round-missed:note"},
    {"0.9 P above it may just be slowing", "06 09:00",
     LAGER READINGS R("03 08:00", "gravity: 7.7 P") R("04 08:00", "gravity: 3.7 P")
         R("06 08:00", "gravity: 3.7 P"),
     "round-missed:note"},
    {"a tenth in two days is standing", "06 09:00",
     LAGER READINGS R("03 08:00", "gravity: 7.7 P") R("04 08:00", "gravity: 5.0 P")
         R("06 08:00", "gravity: 4.91 P"),
     "stalled:warn round-missed:note"},
    {"44 h are two days", "06 09:00",
     LAGER READINGS R("03 08:00", "gravity: 7.7 P") R("04 12:00", "gravity: 5.0 P")
         R("06 08:00", "gravity: 5.0 P"),
     "stalled:warn round-missed:note"},
    {"43 h are not", "06 09:00",
     LAGER READINGS R("03 08:00", "gravity: 7.7 P") R("04 13:00", "gravity: 5.0 P")
         R("06 08:00", "gravity: 5.0 P"),
     "round-missed:note"},
    {"60 h are", "07 09:00",
     LAGER READINGS R("03 08:00", "gravity: 7.7 P") R("04 20:00", "gravity: 5.0 P")
         R("07 08:00", "gravity: 5.0 P"),
     "stalled:warn round-missed:note"},
    {"61 h are another reading's", "07 09:00",
     LAGER READINGS R("03 08:00", "gravity: 7.7 P") R("04 19:00", "gravity: 5.0 P")
         R("07 08:00", "gravity: 5.0 P"),
     "round-missed:note"},
    {"a tenth of the original has gone: it stalled", "06 09:00",
     LAGER READINGS R("04 08:00", "gravity: 10.8 P") R("06 08:00", "gravity: 10.8 P"),
     "stalled:warn round-missed:note"},
    {"a little less: it has hardly begun", "06 09:00",
     LAGER READINGS R("04 08:00", "gravity: 10.9 P") R("06 08:00", "gravity: 10.9 P"),
     "round-missed:note"},
    {"no limit known: at 59 % attenuated", "06 09:00",
     PLAIN READINGS R("03 08:00", "gravity: 7.7 P") R("04 08:00", "gravity: 4.9 P")
         R("06 08:00", "gravity: 4.9 P"),
     "stalled:warn round-missed:note"},
    {"no limit known: at 60 % it may have ended", "06 09:00",
     PLAIN READINGS R("03 08:00", "gravity: 7.7 P") R("04 08:00", "gravity: 4.8 P")
         R("06 08:00", "gravity: 4.8 P"),
     "round-missed:note"},
    {"a sour may stand for months", "06 09:00",
     SOUR READINGS R("03 08:00", "gravity: 7.7 P") R("04 08:00", "gravity: 5.0 P")
         R("06 08:00", "gravity: 5.0 P"),
     "round-missed:note"},
    {"a Belgian beer falls by more than half a tenth: it creeps", "06 09:00",
     ABBEY READINGS R("03 08:00", "gravity: 7.7 P") R("04 08:00", "gravity: 5.00 P")
         R("06 08:00", "gravity: 4.945 P"),
     "round-missed:note"},
    {"a fall of 0.11 is no standing", "06 09:00",
     LAGER READINGS R("03 08:00", "gravity: 7.7 P") R("04 08:00", "gravity: 5.00 P")
         R("06 08:00", "gravity: 4.89 P"),
     "round-missed:note"},
    {"falling by 0.04 a day, it creeps", "09 09:00",
     LAGER READINGS R("03 08:00", "gravity: 5.00 P") R("04 08:00", "gravity: 4.96 P")
         R("05 08:00", "gravity: 4.92 P") R("06 08:00", "gravity: 4.88 P")
             R("07 08:00", "gravity: 4.84 P") R("08 08:00", "gravity: 4.80 P")
                 R("09 08:00", "gravity: 4.76 P"),
     ""},
    {"a Belgian beer that stands", "06 09:00",
     ABBEY READINGS R("03 08:00", "gravity: 7.7 P") R("04 08:00", "gravity: 5.00 P")
         R("06 08:00", "gravity: 4.95 P"),
     "stalled:warn round-missed:note"},
    {"a Belgian beer steady for four days: it may creep on", "07 09:00",
     ABBEY READINGS R("03 08:00", "gravity: 7.7 P") R("04 08:00", "gravity: 5.0 P")
         R("05 08:00", "gravity: 5.0 P") R("06 08:00", "gravity: 5.0 P")
             R("07 08:00", "gravity: 5.0 P"),
     "stuck:warn"},
    {"and for five: stuck", "08 09:00",
     ABBEY READINGS R("03 08:00", "gravity: 7.7 P") R("04 08:00", "gravity: 5.0 P")
         R("05 08:00", "gravity: 5.0 P") R("06 08:00", "gravity: 5.0 P")
             R("07 08:00", "gravity: 5.0 P") R("08 08:00", "gravity: 5.0 P"),
     "stuck:alarm"},

    {"a sour below its forced value", "07 09:00",
     SOUR FORCED READINGS COURSE R("06 08:00", "gravity: 1.9 P") R("07 08:00", "gravity: 1.8 P"),
     ""},
    {"0.2 P under it after more yeast: that was meant", "08 09:00",
     PALE FORCED EVENTS EVENT("07 10:00", "pitch") READINGS ENDED R("08 08:00", "gravity: 2.30 P"),
     ""},
    {"0.2 P under it after rousing: so was that", "08 09:00",
     PALE FORCED EVENTS EVENT("07 10:00", "rouse") READINGS ENDED R("08 08:00", "gravity: 2.30 P"),
     ""},
    {"0.2 P under its end", "08 09:00", PALE FORCED READINGS ENDED R("08 08:00", "gravity: 2.30 P"),
     "restart:note?"},
    {"0.19 P under it", "08 09:00", PALE FORCED READINGS ENDED R("08 08:00", "gravity: 2.31 P"),
     ""},
    {"the cold took it down", "09 09:00",
     PALE FORCED EVENTS EVENT("07 10:00", "chill")
         READINGS ENDED R("08 08:00", "gravity: 2.2 P, temp: 6 C"),
     ""},
};

static const struct row ENDS[] = {
    {"a finished beer at pH 4.45", "07 09:00", PALE FORCED READINGS ENDED R("07 08:30", "ph: 4.45"),
     ""},
    {"0.05 over its range", "07 09:00", PALE FORCED READINGS ENDED R("07 08:30", "ph: 4.50"),
     "ph-final:note"},
    {"0.06 over it", "07 09:00", PALE FORCED READINGS ENDED R("07 08:30", "ph: 4.51"),
     "ph-final:warn"},
    {"a little over 0.05 over it", "07 09:00",
     PALE FORCED READINGS ENDED R("07 08:30", "ph: 4.505"), "ph-final:warn"},
    {"only its first reading was below 4.5", "08 09:00",
     PALE FORCED READINGS R("04 08:00", "gravity: 2.5 P, ph: 4.49")
         R("05 08:00", "gravity: 2.5 P, ph: 4.60") R("06 08:00", "gravity: 2.5 P, ph: 4.57")
             R("07 08:00", "gravity: 2.5 P, ph: 4.55, vdk: pass"),
     "ph-final:warn"},
    {"at the low end of its range", "07 09:00",
     PALE FORCED READINGS ENDED R("07 08:30", "ph: 4.05"), ""},
    {"0.01 under it", "07 09:00", PALE FORCED READINGS ENDED R("07 08:30", "ph: 4.04"),
     "ph-final:note"},
    {"0.06 under it", "07 09:00", PALE FORCED READINGS ENDED R("07 08:30", "ph: 3.99"),
     "ph-final:warn"},
    {"cold, 0.17 over it", "10 09:00",
     PALE FORCED EVENTS EVENT("07 10:00", "chill") READINGS ENDED R("08 08:00", "temp: 6 C")
         R("09 08:00", "temp: 2.0 C") R("10 08:00", "ph: 4.62, temp: 1.0 C"),
     "ph-hold:alarm"},
    {"never passed: at 4.50", "07 09:00",
     PALE FORCED READINGS R("05 08:00", "gravity: 2.5 P, ph: 4.60")
         R("06 08:00", "gravity: 2.5 P, ph: 4.57")
             R("07 08:00", "gravity: 2.5 P, ph: 4.50, vdk: pass"),
     "ph-not-passed:warn"},
    {"passed: at 4.49", "07 09:00",
     PALE FORCED READINGS R("05 08:00", "gravity: 2.5 P, ph: 4.60")
         R("06 08:00", "gravity: 2.5 P, ph: 4.57")
             R("07 08:00", "gravity: 2.5 P, ph: 4.49, vdk: pass"),
     "ph-final:note"},
    {"at 4.59 it is not held", "07 09:00",
     PALE FORCED READINGS R("05 08:00", "gravity: 2.5 P, ph: 4.65")
         R("06 08:00", "gravity: 2.5 P, ph: 4.62")
             R("07 08:00", "gravity: 2.5 P, ph: 4.59, vdk: pass"),
     "ph-not-passed:warn"},
    {"at 4.60 it is", "07 09:00",
     PALE FORCED READINGS R("05 08:00", "gravity: 2.5 P, ph: 4.65")
         R("06 08:00", "gravity: 2.5 P, ph: 4.62")
             R("07 08:00", "gravity: 2.5 P, ph: 4.60, vdk: pass"),
     "ph-hold:alarm"},
    {"a lager's own range ends at 4.65", "09 09:00",
     LAGER READINGS R("06 08:00", "gravity: 2.5 P, ph: 4.66")
         R("07 08:00", "gravity: 2.5 P, ph: 4.66") R("08 08:00", "gravity: 2.5 P, ph: 4.66")
             R("09 08:00", "gravity: 2.5 P, ph: 4.66"),
     "ph-hold:alarm"},
    {"no range: the trade's 4.6, a note", "07 09:00",
     PLAIN READINGS R("04 08:00", "gravity: 2.5 P") R("05 08:00", "gravity: 2.5 P, ph: 3.80")
         R("06 08:00", "gravity: 2.5 P, ph: 3.80") R("07 08:00", "gravity: 2.5 P, ph: 3.80"),
     "ph-final:note"},

    {"VDK just over the limit", "07 09:00",
     PALE FORCED READINGS ENDED R("07 08:30", "vdk: 0.11 mg/L"), "vdk-high:warn"},
    {"VDK without a limit of the beer: the trade's", "07 09:00",
     PLAIN FORCED READINGS R("05 08:00", "gravity: 2.5 P") R("06 08:00", "gravity: 2.5 P")
         R("07 08:00", "gravity: 2.5 P, vdk: 0.11 mg/L"),
     "vdk-high:warn"},
    {"a test more than 48 h before its end is too old", "07 09:00",
     PALE FORCED READINGS R("03 07:59", "gravity: 3.0 P, vdk: 0.05 mg/L")
         R("05 08:00", "gravity: 2.5 P") R("06 08:00", "gravity: 2.5 P")
             R("07 08:00", "gravity: 2.5 P"),
     "vdk-due:note"},
    {"a test 48 h before it counts", "07 09:00",
     PALE FORCED READINGS R("03 08:00", "gravity: 3.0 P, vdk: 0.05 mg/L")
         R("05 08:00", "gravity: 2.5 P") R("06 08:00", "gravity: 2.5 P")
             R("07 08:00", "gravity: 2.5 P"),
     ""},
    {"no limit, no test asked for", "07 09:00",
     PLAIN FORCED READINGS R("05 08:00", "gravity: 2.5 P") R("06 08:00", "gravity: 2.5 P")
         R("07 08:00", "gravity: 2.5 P"),
     ""},
    {"VDK at the beer's own limit", "08 09:00",
     ABBEY FORCED READINGS R("03 08:00", "gravity: 2.5 P") R("04 08:00", "gravity: 2.5 P")
         R("05 08:00", "gravity: 2.5 P") R("06 08:00", "gravity: 2.5 P")
             R("07 08:00", "gravity: 2.5 P") R("08 08:00", "gravity: 2.5 P, vdk: 0.15 mg/L"),
     ""},
    {"VDK over it", "08 09:00",
     ABBEY FORCED READINGS R("03 08:00", "gravity: 2.5 P") R("04 08:00", "gravity: 2.5 P")
         R("05 08:00", "gravity: 2.5 P") R("06 08:00", "gravity: 2.5 P")
             R("07 08:00", "gravity: 2.5 P") R("08 08:00", "gravity: 2.5 P, vdk: 0.16 mg/L"),
     "vdk-high:warn"},
    {"VDK up from the beer's first reading", "07 09:00",
     PALE FORCED READINGS R("05 08:00", "gravity: 2.5 P, vdk: 0.04 mg/L")
         R("06 08:00", "gravity: 2.5 P") R("07 08:00", "gravity: 2.5 P, vdk: 0.10 mg/L"),
     "vdk-rising:note?"},
    {"VDK 0.05 more, and in another tank by now", "08 09:00",
     "---\nbatch: 1\nbeer: Pale\nbrewed: 2026-11-01 12:00\noriginal: 12.0 P\nwort-ph: 5.10\n"
     "tanks: [{tank: F1, from: 2026-11-01 12:00, to: 2026-11-07 12:00}, {tank: F2, from: "
     "2026-11-07 12:00}]\n" FORCED READINGS ENDED R("08 08:00", "vdk: 0.10 mg/L"),
     "vdk-rising:note?"},
    {"two kits in one minute do not rise", "08 09:00",
     PALE FORCED READINGS ENDED R("07 08:00", "vdk: 0.10 mg/L, vdk-meter: V2"), ""},
    {"VDK up by 0.04 is scatter", "08 09:00",
     PALE FORCED READINGS ENDED R("08 08:00", "gravity: 2.5 P, vdk: 0.09 mg/L"), ""},
    {"a test within two days before the end counts", "07 09:00",
     PALE FORCED READINGS R("05 09:00", "gravity: 2.5 P, vdk: 0.05 mg/L")
         R("06 08:00", "gravity: 2.5 P") R("07 08:00", "gravity: 2.5 P"),
     ""},
    {"an older one does not", "07 09:00",
     PALE FORCED READINGS R("02 08:00", "gravity: 8.0 P, vdk: 0.05 mg/L")
         R("03 08:00", "gravity: 5.0 P") R("04 08:00", "gravity: 4.0 P")
             R("05 08:00", "gravity: 2.5 P") R("06 08:00", "gravity: 2.5 P")
                 R("07 08:00", "gravity: 2.5 P"),
     "vdk-due:note"},
};

static const struct row TEMPERATURES[] = {
    {"0.6 C too warm", "03 09:00", PALE READINGS R("03 08:00", "gravity: 7.7 P, temp: 20.6 C"),
     "temp-ferment:note"},
    {"a degree too warm", "03 09:00", PALE READINGS R("03 08:00", "gravity: 7.7 P, temp: 21.0 C"),
     "temp-ferment:note"},
    {"more than a degree", "03 09:00", PALE READINGS R("03 08:00", "gravity: 7.7 P, temp: 21.1 C"),
     "temp-ferment:warn"},
    {"3.9 C too warm", "03 09:00", PALE READINGS R("03 08:00", "gravity: 7.7 P, temp: 23.9 C"),
     "temp-ferment:warn"},
    {"4 C too warm: the cooling", "03 09:00",
     PALE READINGS R("03 08:00", "gravity: 7.7 P, temp: 24.0 C"), "temp-ferment:alarm"},
    {"a lager that rests warm near its end: just two thirds are gone", "03 09:00",
     LAGER READINGS R("03 08:00", "gravity: 5.9 P, temp: 18.0 C"), "temp-ferment:note"},
    {"not yet", "03 09:00", LAGER READINGS R("03 08:00", "gravity: 6.0 P, temp: 18.0 C"),
     "temp-ferment:warn"},
    {"too warm for its yeast", "03 09:00",
     LAGER READINGS R("03 08:00", "gravity: 5.9 P, temp: 18.1 C"), "temp-ferment:warn"},
    {"an ale rests, too, but not so far above", "03 09:00",
     PALE READINGS R("03 08:00", "gravity: 3.0 P, temp: 23.9 C"), "temp-ferment:note"},
    {"4 C too warm near its end: the cooling", "03 09:00",
     PALE READINGS R("03 08:00", "gravity: 3.0 P, temp: 24.0 C"), "temp-ferment:alarm"},
    {"too cold is no rest", "03 09:00", PALE READINGS R("03 08:00", "gravity: 3.0 P, temp: 16.0 C"),
     "temp-ferment:warn"},
    {"as it was pitched it may be warm", "02 09:00",
     PALE READINGS R("01 12:00", "gravity: 12.0 P, temp: 24.5 C"), ""},
    {"half an hour later", "02 09:00", PALE READINGS R("01 12:30", "gravity: 12.0 P, temp: 24.5 C"),
     "temp-ferment:alarm"},
    {"half a degree too cold", "03 09:00",
     PALE READINGS R("03 08:00", "gravity: 7.7 P, temp: 17.5 C"), ""},
    {"0.6 C too cold", "03 09:00", PALE READINGS R("03 08:00", "gravity: 7.7 P, temp: 17.4 C"),
     "temp-ferment:note"},
    {"1.1 C too cold", "03 09:00", PALE READINGS R("03 08:00", "gravity: 7.7 P, temp: 16.9 C"),
     "temp-ferment:warn"},
    {"the trade's range ends at 25", "03 09:00",
     PLAIN READINGS R("03 08:00", "gravity: 7.7 P, temp: 25.5 C"), ""},
    {"and half a degree on", "03 09:00",
     PLAIN READINGS R("03 08:00", "gravity: 7.7 P, temp: 25.6 C"), "temp-ferment:note"},

    {"48 h after the chill", "09 12:00",
     PALE FORCED EVENTS EVENT("07 10:00", "chill") READINGS ENDED R("08 08:00", "temp: 6 C")
         R("09 10:00", "temp: 4.0 C"),
     "temp-cold:warn"},
    {"a minute before", "09 12:00",
     PALE FORCED EVENTS EVENT("07 10:00", "chill") READINGS ENDED R("08 08:00", "temp: 6 C")
         R("09 09:59", "temp: 4.0 C"),
     ""},
    {"half a degree over the cold range", "09 12:00",
     PALE FORCED EVENTS EVENT("07 10:00", "chill") READINGS ENDED R("08 08:00", "temp: 6 C")
         R("09 11:00", "temp: 2.5 C"),
     ""},
    {"more", "09 12:00",
     PALE FORCED EVENTS EVENT("07 10:00", "chill") READINGS ENDED R("08 08:00", "temp: 6 C")
         R("09 11:00", "temp: 2.6 C"),
     "temp-cold:warn"},
    {"half a degree under it", "09 12:00",
     PALE FORCED EVENTS EVENT("07 10:00", "chill") READINGS ENDED R("08 08:00", "temp: 6 C")
         R("09 11:00", "temp: -1.5 C"),
     ""},
    {"it may freeze", "09 12:00",
     PALE FORCED EVENTS EVENT("07 10:00", "chill") READINGS ENDED R("08 08:00", "temp: 6 C")
         R("09 11:00", "temp: -1.6 C"),
     "temp-cold:warn"},

    {"20 h after the chill", "08 09:00",
     PALE FORCED EVENTS EVENT("07 10:00", "chill") READINGS ENDED R("08 06:00", "temp: 18.0 C"),
     "temp-not-falling:warn"},
    {"a minute before that", "08 09:00",
     PALE FORCED EVENTS EVENT("07 10:00", "chill") READINGS ENDED R("08 05:59", "temp: 18.0 C"),
     ""},
    {"five degrees down", "08 09:00",
     PALE FORCED EVENTS EVENT("07 10:00", "chill") READINGS ENDED R("08 08:00", "temp: 14.4 C"),
     ""},
    {"4.9 down", "08 09:00",
     PALE FORCED EVENTS EVENT("07 10:00", "chill") READINGS ENDED R("08 08:00", "temp: 14.5 C"),
     "temp-not-falling:warn"},
    {"nearly cold enough", "08 09:00",
     PALE FORCED EVENTS EVENT("07 10:00", "chill") READINGS ENDED R("07 09:00", "temp: 6.0 C")
         R("08 08:00", "temp: 3.0 C"),
     ""},
    {"not that near", "08 09:00",
     PALE FORCED EVENTS EVENT("07 10:00", "chill") READINGS ENDED R("07 09:00", "temp: 6.0 C")
         R("08 08:00", "temp: 3.1 C"),
     "temp-not-falling:warn"},

    {"not cold after two days, nor meant to be", "09 12:00",
     PALE FORCED EVENTS CHILL("07 10:00", "14 C") READINGS ENDED R("08 08:00", "temp: 14.9 C")
         R("09 10:00", "temp: 14.5 C"),
     ""},
    {"but warmer than meant to be", "09 12:00",
     PALE FORCED EVENTS CHILL("07 10:00", "14 C") READINGS ENDED R("08 08:00", "temp: 15.0 C")
         R("09 10:00", "temp: 14.6 C"),
     "temp-cold:warn"},
    {"a step of the chill bites", "08 09:00",
     PALE FORCED EVENTS CHILL("07 10:00", "14 C") READINGS ENDED R("08 08:00", "temp: 15.0 C"), ""},
    {"or not", "08 09:00",
     PALE FORCED EVENTS CHILL("07 10:00", "14 C") READINGS ENDED R("08 08:00", "temp: 15.1 C"),
     "temp-not-falling:warn"},
    {"the last step counts", "09 12:00",
     PALE FORCED EVENTS CHILL("07 10:00", "14 C") CHILL("08 10:00", "2 C")
         READINGS ENDED R("08 08:00", "temp: 14.9 C") R("09 10:00", "temp: 14.5 C"),
     "temp-not-falling:warn"},
    {"for two days of its own", "10 12:00",
     PALE FORCED EVENTS CHILL("07 10:00", "14 C") CHILL("08 10:00", "2 C") READINGS ENDED R(
         "08 08:00", "temp: 14.9 C") R("09 10:00", "temp: 8.5 C") R("10 10:00", "temp: 2.6 C"),
     "temp-cold:warn"},

    {"its only temperature was read at the chill", "08 09:00",
     PALE EVENTS EVENT("07 10:00", "chill") READINGS R("07 10:00", "temp: 19.4 C")
         R("08 08:00", "temp: 18.0 C"),
     "temp-not-falling:warn"},
    {"nothing was read before the chill", "08 09:00",
     PALE EVENTS EVENT("07 10:00", "chill") READINGS R("08 08:00", "temp: 18.0 C"), ""},
    {"two days after the chill it is not cold", "09 12:00",
     PALE FORCED EVENTS EVENT("07 10:00", "chill") READINGS ENDED R("08 19:00", "temp: 15.5 C")
         R("09 10:00", "temp: 15.0 C"),
     "temp-cold:warn"},
    {"another tank has another temperature", "05 09:00",
     "---\nbatch: 1\nbeer: Plain\nbrewed: 2026-11-01 12:00\noriginal: 12.0 P\n"
     "tanks: [{tank: F1, from: 2026-11-01 12:00, to: 2026-11-04 12:00}, {tank: F2, from: "
     "2026-11-04 12:00}]\n" READINGS R("04 08:00", "temp: 16 C") R("05 08:00", "temp: 21 C"),
     ""},
    {"four degrees over night", "04 09:00",
     PLAIN READINGS R("03 08:00", "gravity: 7.7 P, temp: 17 C")
         R("04 08:00", "gravity: 4.2 P, temp: 21 C"),
     ""},
    {"4.1 over night", "04 09:00",
     PLAIN READINGS R("03 08:00", "gravity: 7.7 P, temp: 17 C")
         R("04 08:00", "gravity: 4.2 P, temp: 21.1 C"),
     "temp-jump:warn"},
    {"over 36 h", "04 21:00",
     PLAIN READINGS R("03 08:00", "gravity: 7.7 P, temp: 17 C")
         R("04 20:00", "gravity: 4.2 P, temp: 22 C"),
     "temp-jump:warn"},
    {"over more", "04 21:00",
     PLAIN READINGS R("03 07:59", "gravity: 7.7 P, temp: 17 C")
         R("04 20:00", "gravity: 4.2 P, temp: 22 C"),
     ""},
    {"krausen is warm", "04 09:00",
     PLAIN EVENTS EVENT("03 10:00", "krausen") READINGS R("03 08:00", "temp: 17 C")
         R("04 08:00", "temp: 22 C"),
     ""},
    {"moved", "04 09:00",
     PLAIN EVENTS EVENT("03 10:00", "move") READINGS R("03 08:00", "temp: 17 C")
         R("04 08:00", "temp: 22 C"),
     ""},
    {"a chill does not warm it", "04 09:00",
     PLAIN EVENTS EVENT("03 10:00", "chill") READINGS R("03 08:00", "temp: 17 C")
         R("04 08:00", "temp: 22 C"),
     "temp-not-falling:warn temp-jump:warn"},
    {"hops are not", "04 09:00",
     PLAIN EVENTS EVENT("03 10:00", "dry hop") READINGS R("03 08:00", "temp: 17 C")
         R("04 08:00", "temp: 22 C"),
     "temp-jump:warn"},
    {"three degrees in two hours", "04 12:00",
     PLAIN READINGS R("04 08:00", "temp: 20 C") R("04 10:00", "temp: 17 C"), ""},
    {"more than that", "04 12:00",
     PLAIN READINGS R("04 08:00", "temp: 20 C") R("04 10:00", "temp: 16.9 C"), "temp-jump:warn"},
    {"two degrees in an hour", "04 12:00",
     PLAIN READINGS R("04 08:00", "temp: 20 C") R("04 09:00", "temp: 18 C"), ""},
    {"more than two", "04 12:00",
     PLAIN READINGS R("04 08:00", "temp: 20 C") R("04 09:00", "temp: 17.9 C"), "temp-jump:warn"},
};

static const struct row PRESSURES[] = {
    {"at 89 % of the name plate", "04 09:00", PALE READINGS R("04 08:00", "pressure: 0.89 bar"),
     "pressure-rated:warn"},
    {"over the plate and rising: the plate is told", "04 09:00",
     BRIGHT READINGS R("03 08:00", "temp: 1 C, pressure: 0.60 bar")
         R("04 08:00", "temp: 1 C, pressure: 1.70 bar"),
     "pressure-rated:warn"},
    {"0.14 bar more", "04 09:00",
     BRIGHT READINGS R("03 08:00", "temp: 1 C, pressure: 0.60 bar")
         R("04 08:00", "temp: 1 C, pressure: 0.74 bar"),
     ""},
    {"a degree warmer is the same temperature", "04 09:00",
     BRIGHT READINGS R("03 08:00", "temp: 1 C, pressure: 0.60 bar")
         R("04 08:00", "temp: 2.0 C, pressure: 0.75 bar"),
     "pressure-rising:note?"},
    {"1.1 C warmer is not", "04 09:00",
     BRIGHT READINGS R("03 08:00", "temp: 1 C, pressure: 0.60 bar")
         R("04 08:00", "temp: 2.1 C, pressure: 0.75 bar"),
     ""},
    {"over three days", "06 09:00",
     BRIGHT READINGS R("03 08:00", "temp: 1 C, pressure: 0.60 bar") R(
         "04 08:00", "temp: 1 C, pressure: 0.65 bar") R("05 08:00", "temp: 1 C, pressure: 0.70 bar")
         R("06 08:00", "temp: 1 C, pressure: 0.75 bar"),
     "pressure-rising:note?"},
    {"over more", "06 09:00",
     BRIGHT READINGS R("03 07:59", "temp: 1 C, pressure: 0.60 bar") R(
         "04 08:00", "temp: 1 C, pressure: 0.65 bar") R("05 08:00", "temp: 1 C, pressure: 0.70 bar")
         R("06 08:00", "temp: 1 C, pressure: 0.75 bar"),
     ""},
    {"fermenting beer makes pressure", "04 09:00",
     PALE READINGS R("03 08:00", "temp: 19 C, pressure: 0.20 bar")
         R("04 08:00", "temp: 19 C, pressure: 0.75 bar"),
     ""},
    {"closed since: it may rise", "04 09:00",
     BRIGHT EVENTS EVENT("03 10:00", "close")
         READINGS R("03 08:00", "temp: 1 C, pressure: 0.60 bar")
             R("04 08:00", "temp: 1 C, pressure: 0.75 bar"),
     ""},
    {"krausen since: it may rise", "04 09:00",
     BRIGHT EVENTS EVENT("03 10:00", "krausen")
         READINGS R("03 08:00", "temp: 1 C, pressure: 0.60 bar")
             R("04 08:00", "temp: 1 C, pressure: 0.75 bar"),
     ""},
    {"moved since: it may rise", "04 09:00",
     BRIGHT EVENTS EVENT("03 10:00", "move") READINGS R("03 08:00", "temp: 1 C, pressure: 0.60 bar")
         R("04 08:00", "temp: 1 C, pressure: 0.75 bar"),
     ""},
    {"moved since: it may fall", "04 09:00",
     BRIGHT EVENTS EVENT("03 10:00", "move") READINGS R("03 08:00", "temp: 1 C, pressure: 0.60 bar")
         R("04 08:00", "temp: 1 C, pressure: 0.30 bar"),
     ""},
    {"roused since: it may not", "04 09:00",
     BRIGHT EVENTS EVENT("03 10:00", "rouse")
         READINGS R("03 08:00", "temp: 1 C, pressure: 0.60 bar")
             R("04 08:00", "temp: 1 C, pressure: 0.75 bar"),
     "pressure-rising:note?"},
    {"carbonated since: it may fall", "04 09:00",
     BRIGHT EVENTS EVENT("03 10:00", "carbonate")
         READINGS R("03 08:00", "temp: 1 C, pressure: 0.60 bar")
             R("04 08:00", "temp: 1 C, pressure: 0.30 bar"),
     ""},
    {"packaged since: it may fall", "04 09:00",
     BRIGHT EVENTS EVENT("03 10:00", "package")
         READINGS R("03 08:00", "temp: 1 C, pressure: 0.60 bar")
             R("04 08:00", "temp: 1 C, pressure: 0.30 bar"),
     ""},
    {"roused since: it may not fall", "04 09:00",
     BRIGHT EVENTS EVENT("03 10:00", "rouse")
         READINGS R("03 08:00", "temp: 1 C, pressure: 0.60 bar")
             R("04 08:00", "temp: 1 C, pressure: 0.30 bar"),
     "pressure-falling:note?"},
    {"chilled since, still warm", "04 09:00",
     PALE EVENTS EVENT("03 10:00", "chill") READINGS R("03 08:00", "temp: 19 C, pressure: 0.60 bar")
         R("04 05:00", "temp: 18.5 C, pressure: 0.40 bar"),
     ""},
    {"a barrel has no name plate", "04 09:00",
     HEAD("1", "Plain", "F4") READINGS R("04 08:00", "pressure: 0.9 bar"), ""},
    {"chilled in the bright tank it may fall", "04 09:00",
     BRIGHT EVENTS EVENT("03 10:00", "chill")
         READINGS R("03 08:00", "temp: 1 C, pressure: 0.60 bar")
             R("04 08:00", "temp: 1 C, pressure: 0.40 bar"),
     ""},
    {"beer in no tank", "04 09:00",
     "---\nbatch: 1\nbeer: Plain\nbrewed: 2026-11-01 12:00\n" READINGS R("04 08:00",
                                                                         "pressure: 0.9 bar"),
     ""},
    {"an open vessel bears none, and is not judged", "04 09:00",
     HEAD("1", "Plain", "U1") READINGS R("04 08:00", "pressure: 0.1 bar"), ""},
    {"without a temperature nothing is compared", "04 09:00",
     BRIGHT READINGS R("03 08:00", "pressure: 0.60 bar")
         R("04 08:00", "temp: 1 C, pressure: 0.75 bar"),
     ""},
    {"gauge and density meter, each an entry", "06 09:00",
     PALE EVENTS EVENT("04 08:00", "close") READINGS R("04 08:00", "gravity: 4.2 P")
         R("04 08:00", "pressure: 0.1 bar") R("05 08:00", "gravity: 3.4 P, pressure: 0.1 bar")
             R("06 08:00", "pressure: 0.1 bar") R("06 08:00", "gravity: 2.9 P"),
     "pressure-not-building:warn"},
    {"closed on the minute of a reading", "06 09:00",
     PALE EVENTS EVENT("04 08:00", "close")
         READINGS R("04 08:00", "gravity: 4.2 P, pressure: 0.1 bar")
             R("05 08:00", "gravity: 3.4 P, pressure: 0.1 bar")
                 R("06 08:00", "gravity: 2.9 P, pressure: 0.1 bar"),
     "pressure-not-building:warn"},
    {"without a gravity nobody can tell", "06 09:00",
     PALE EVENTS EVENT("04 08:00", "close")
         READINGS R("04 08:00", "gravity: 4.2 P, pressure: 0.1 bar")
             R("05 08:00", "gravity: 3.4 P, pressure: 0.1 bar") R("06 08:00", "pressure: 0.1 bar"),
     ""},
    {"0.14 bar less", "05 09:00",
     BRIGHT READINGS R("03 08:00", "temp: 1 C, pressure: 0.60 bar")
         R("04 08:00", "temp: 1 C, pressure: 0.53 bar")
             R("05 08:00", "temp: 1 C, pressure: 0.46 bar"),
     ""},
    {"a leak while it ferments", "05 09:00",
     PALE READINGS R("03 08:00", "temp: 19 C, pressure: 0.60 bar")
         R("04 08:00", "temp: 19 C, pressure: 0.45 bar"),
     "pressure-falling:note?"},
    {"hops were put in", "04 09:00",
     PALE EVENTS EVENT("03 10:00", "dry hop")
         READINGS R("03 08:00", "temp: 19 C, pressure: 0.60 bar")
             R("04 08:00", "temp: 19 C, pressure: 0.20 bar"),
     ""},
    {"yeast was dumped", "04 09:00",
     PALE EVENTS EVENT("03 10:00", "dump") READINGS R("03 08:00", "temp: 19 C, pressure: 0.60 bar")
         R("04 08:00", "temp: 19 C, pressure: 0.20 bar"),
     ""},
    {"cold beer takes up gas for a week", "14 09:00",
     PALE FORCED EVENTS EVENT("07 10:00", "chill") READINGS ENDED R(
         "12 08:00", "temp: 1 C, pressure: 0.60 bar") R("13 08:00", "temp: 1 C, pressure: 0.50 bar")
         R("14 08:00", "temp: 1 C, pressure: 0.40 bar"),
     ""},
    {"after it, it leaks", "14 12:00",
     PALE FORCED EVENTS EVENT("07 10:00", "chill") READINGS ENDED R(
         "12 08:00", "temp: 1 C, pressure: 0.60 bar") R("13 08:00", "temp: 1 C, pressure: 0.50 bar")
         R("14 10:00", "temp: 1 C, pressure: 0.40 bar"),
     "pressure-falling:note?"},

    {"closed for 40 h", "06 09:00",
     PALE EVENTS EVENT("04 16:00", "close")
         READINGS R("04 08:00", "gravity: 4.2 P, pressure: 0.1 bar")
             R("05 08:00", "gravity: 3.4 P, pressure: 0.1 bar")
                 R("06 08:00", "gravity: 2.9 P, pressure: 0.1 bar"),
     "pressure-not-building:warn"},
    {"for less", "06 09:00",
     PALE EVENTS EVENT("04 16:01", "close")
         READINGS R("04 08:00", "gravity: 4.2 P, pressure: 0.1 bar")
             R("05 08:00", "gravity: 3.4 P, pressure: 0.1 bar")
                 R("06 08:00", "gravity: 2.9 P, pressure: 0.1 bar"),
     ""},
    {"nothing was read before it was closed", "06 09:00",
     PALE EVENTS EVENT("04 10:00", "close")
         READINGS R("06 08:00", "gravity: 2.9 P, pressure: 0.1 bar"),
     ""},
    {"only gravity was read before it was closed", "06 09:00",
     PALE EVENTS EVENT("04 10:00", "close") READINGS R("04 08:00", "gravity: 4.2 P")
         R("05 08:00", "gravity: 3.4 P, pressure: 0.1 bar")
             R("06 08:00", "gravity: 2.9 P, pressure: 0.1 bar"),
     ""},
    {"only pressure was", "06 09:00",
     PALE EVENTS EVENT("04 10:00", "close") READINGS R("04 08:00", "pressure: 0.1 bar")
         R("05 08:00", "gravity: 3.4 P, pressure: 0.1 bar")
             R("06 08:00", "gravity: 2.9 P, pressure: 0.1 bar"),
     ""},
    {"0.3 P ought to make pressure", "06 09:00",
     PALE EVENTS EVENT("04 10:00", "close")
         READINGS R("04 08:00", "gravity: 3.2 P, pressure: 0.1 bar")
             R("05 08:00", "gravity: 3.0 P, pressure: 0.1 bar")
                 R("06 08:00", "gravity: 2.9 P, pressure: 0.1 bar"),
     "pressure-not-building:warn"},
    {"0.2 P not much", "06 09:00",
     PALE EVENTS EVENT("04 10:00", "close")
         READINGS R("04 08:00", "gravity: 3.1 P, pressure: 0.1 bar")
             R("05 08:00", "gravity: 3.0 P, pressure: 0.1 bar")
                 R("06 08:00", "gravity: 2.9 P, pressure: 0.1 bar"),
     ""},
    {"0.1 bar more is what a gauge wanders", "06 09:00",
     PALE EVENTS EVENT("04 10:00", "close")
         READINGS R("04 08:00", "gravity: 4.2 P, pressure: 0.10 bar")
             R("05 08:00", "gravity: 3.4 P, pressure: 0.15 bar")
                 R("06 08:00", "gravity: 2.9 P, pressure: 0.20 bar"),
     "pressure-not-building:warn"},
    {"0.11 bar more is pressure", "06 09:00",
     PALE EVENTS EVENT("04 10:00", "close")
         READINGS R("04 08:00", "gravity: 4.2 P, pressure: 0.10 bar")
             R("05 08:00", "gravity: 3.4 P, pressure: 0.15 bar")
                 R("06 08:00", "gravity: 2.9 P, pressure: 0.21 bar"),
     ""},
    {"vented since", "06 09:00",
     PALE
     "events: [{at: 2026-11-04 10:00, what: close}, {at: 2026-11-05 10:00, what: vent}]\n" READINGS
         R("04 08:00", "gravity: 4.2 P, pressure: 0.1 bar")
             R("05 08:00", "gravity: 3.4 P, pressure: 0.1 bar")
                 R("06 08:00", "gravity: 2.9 P, pressure: 0.1 bar"),
     ""},

    {"carbonation at the top of its range", "04 09:00",
     BRIGHT READINGS R("04 08:00", "temp: 1 C, carbonation: 2.60 vol"), ""},
    {"over it", "04 09:00", BRIGHT READINGS R("04 08:00", "temp: 1 C, carbonation: 2.61 vol"),
     "carbonation:warn"},
    {"carbonated as it was read", "04 09:00",
     PALE EVENTS EVENT("04 08:00", "carbonate")
         READINGS R("04 08:00", "gravity: 5.0 P, carbonation: 1.0 vol"),
     "carbonation:warn"},
    {"0.3 over it", "04 09:00", BRIGHT READINGS R("04 08:00", "temp: 1 C, carbonation: 2.89 vol"),
     "carbonation:warn"},
    {"packages can burst", "04 09:00",
     BRIGHT READINGS R("04 08:00", "temp: 1 C, carbonation: 2.91 vol"), "carbonation:alarm"},
    {"no limit, no finding", "04 09:00",
     HEAD("1", "Plain", "B1")
         READINGS R("04 08:00", "temp: 1 C, carbonation: 5.0 vol, oxygen: 99 ppb"),
     ""},
    {"at least so much gas", "04 09:00",
     HEAD("1", "Salty", "B1") READINGS R("04 08:00", "temp: 1 C, carbonation: 1.99 vol"),
     "carbonation:warn"},
    {"at most so much", "04 09:00",
     HEAD("1", "Abbey", "B1") READINGS R("04 08:00", "temp: 1 C, carbonation: 3.01 vol"),
     "carbonation:warn"},
    {"oxygen in the fermenter is not judged", "04 09:00",
     PALE READINGS R("04 08:00", "oxygen: 60 ppb"), ""},
    {"oxygen read before it was moved", "05 09:00",
     MOVED READINGS R("04 08:00", "oxygen: 10 ppb") R("05 08:00", "oxygen: 31 ppb"), ""},
    {"oxygen at its limit", "04 09:00", BRIGHT READINGS R("04 08:00", "oxygen: 50 ppb"), ""},
    {"oxygen of a week ago", "12 09:00",
     BRIGHT READINGS R("04 08:00", "oxygen: 10 ppb") R("11 08:00", "oxygen: 31 ppb"),
     "oxygen:note"},
    {"oxygen of longer ago", "12 09:00",
     BRIGHT READINGS R("04 07:59", "oxygen: 10 ppb") R("11 08:00", "oxygen: 31 ppb"), ""},
};

#define TABLE(rows) tell_stories(rows, sizeof rows / sizeof rows[0], NULL)

static void start(void **state)
{
    (void)state;
    TABLE(START);
}

static void courses(void **state)
{
    (void)state;
    TABLE(COURSES);
}

static void ends(void **state)
{
    (void)state;
    TABLE(ENDS);
}

static void temperatures(void **state)
{
    (void)state;
    TABLE(TEMPERATURES);
}

static void pressures(void **state)
{
    (void)state;
    TABLE(PRESSURES);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(start),        cmocka_unit_test(courses),   cmocka_unit_test(ends),
        cmocka_unit_test(temperatures), cmocka_unit_test(pressures),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
