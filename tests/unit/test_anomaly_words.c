/* What a finding says: what was read, what was expected and whence, what else is known, and the
 * doubt. */
#include "anomaly_story.h"

struct told {
    const char *title, *now, *text;
    const char
        *says; /* "tank: reading | expected | source | more | doubt", a line for each finding */
};

static const struct told ROWS[] = {
    {"a start that is late", "02 20:00", PALE READINGS R("02 19:00", "ph: 5.02, gravity: 11.9 P"),
     "F1: pH 5.02, gravity 11.9 P at 31 h | below pH 4.95, gravity below 11.6 P by 30 h | wort pH "
     "5.10, original 12.0 P"},
    {"pH alone, the wort's not known", "02 20:00", UNKNOWN READINGS R("02 19:00", "ph: 4.95"),
     "F1: pH 4.95 at 31 h | below pH 4.90 by 30 h | pH usual in the trade"},
    {"gravity alone", "02 20:00", PALE READINGS R("02 19:00", "gravity: 11.8 P"),
     "F1: gravity 11.8 P at 31 h | gravity below 11.6 P by 30 h | original 12.0 P"},
    {"cleaner", "02 09:00", PALE READINGS R("02 08:00", "ph: 5.31, gravity: 11.5 P"),
     "F1: pH 5.31 at 20 h | below pH 5.10 | the wort's own pH"},
    {"perhaps cleaner", "02 09:00", UNKNOWN READINGS R("02 08:00", "ph: 5.60"),
     "F1: pH 5.60 at 20 h | below pH 5.30 | usual for wort"},
    {"acid", "02 09:00", PALE READINGS R("02 08:00", "ph: 4.10, gravity: 11.5 P"),
     "F1: pH 4.10 at 20 h | above pH 4.20 on the first day | usual in the trade"},
    {"bacteria, by two meters", "05 09:00",
     PALE READINGS R("05 08:00", "ph: 3.55, gravity: 2.8 P, ph-meter: M1")
         R("05 08:30", "ph: 3.57, ph-meter: M2") M1_IN_ORDER,
     "M2: M2 has no calibration in the plant log | a meter in order | the plant log | 1 surprising "
     "figure came from it\n"
     "F1 2 times: pH 3.57 on day 4 | pH 4.05..4.45 | the beer's limit | two meters agree: M1 read "
     "3.55 on 5 Nov 08:00, M2 3.57"},
    {"the other meter was two days ago", "05 21:00",
     PALE READINGS R("04 08:00", "ph: 3.55, gravity: 4.2 P, ph-meter: M1")
         R("05 20:01", "ph: 3.57, ph-meter: M1") M1_IN_ORDER,
     "F1 2 times: pH 3.57 on day 5 | pH 4.05..4.45 | the beer's limit"},
    {"another meter, a day and a half ago", "05 21:00",
     PALE READINGS R("04 08:00", "ph: 3.55, gravity: 4.2 P, ph-meter: M1")
         R("05 20:00", "ph: 3.57, ph-meter: M2") M1_IN_ORDER,
     "M2: M2 has no calibration in the plant log | a meter in order | the plant log | 1 surprising "
     "figure came from it\n"
     "F1 2 times: pH 3.57 on day 5 | pH 4.05..4.45 | the beer's limit | two meters agree: M1 read "
     "3.55 on 4 Nov 08:00, M2 3.57"},
    {"another meter, a minute longer ago", "05 21:00",
     PALE READINGS R("04 07:59", "ph: 3.55, gravity: 4.2 P, ph-meter: M1")
         R("05 20:00", "ph: 3.57, ph-meter: M2") M1_IN_ORDER,
     "M2: M2 has no calibration in the plant log | a meter in order | the plant log | 1 surprising "
     "figure came from it\n"
     "F1 2 times: pH 3.57 on day 5 | pH 4.05..4.45 | the beer's limit"},
    {"read in cold beer", "11 09:00",
     PALE FORCED EVENTS EVENT("07 10:00", "chill") READINGS ENDED R("08 08:00", "temp: 6 C") R(
         "09 09:00", "temp: 2 C") R("10 09:00", "temp: 2 C") R("11 08:00", "temp: 1.5 C, ph: 3.55"),
     "F1: pH 3.55 on day 10 | pH 4.05..4.45 | the beer's limit | the beer was at 1.5 C: was the "
     "sample warmed?"},
    {"at ten degrees it is cold", "08 09:00",
     PALE FORCED EVENTS EVENT("07 10:00", "chill")
         READINGS ENDED R("08 08:00", "temp: 10.0 C, ph: 3.55"),
     "F1: pH 3.55 on day 7 | pH 4.05..4.45 | the beer's limit | the beer was at 10.0 C: was the "
     "sample warmed?"},
    {"just over ten it is not", "08 09:00",
     PALE FORCED EVENTS EVENT("07 10:00", "chill")
         READINGS ENDED R("08 08:00", "temp: 10.1 C, ph: 3.55"),
     "F1: pH 3.55 on day 7 | pH 4.05..4.45 | the beer's limit"},
    {"cold beer, not its pH", "09 12:00",
     PALE FORCED EVENTS EVENT("07 10:00", "chill") READINGS ENDED R("08 08:00", "temp: 6.0 C")
         R("09 11:00", "temp: 4.0 C, ph: 4.20"),
     "F1: 4.0 C | -1.0..2.0 C | the beer's limit, chilled on 7 Nov 10:00"},
    {"a rise", "06 09:00", PALE READINGS COURSE R("06 08:00", "gravity: 3.1 P"),
     "F1: gravity 3.1 P after 2.8 P | 2.8 P or less | its reading of 5 Nov 08:00"},
    {"a rise between two meters", "06 09:00",
     PALE READINGS R("05 08:00", "gravity: 2.8 P, gravity-meter: R1, temp: 20 C")
         R("06 08:00", "gravity: 3.3 P"),
     "F1: gravity 3.3 P after 2.8 P | 2.8 P or less | its reading of 5 Nov 08:00 | the two were "
     "read with different meters"},
    {"a stall", "06 09:00",
     LAGER READINGS R("03 08:00", "gravity: 7.7 P") R("04 08:00", "gravity: 5.0 P")
         R("06 08:00", "gravity: 5.0 P"),
     "F1: gravity 5.0 P, 2.2 P above its limit | 2.2..2.8 P | the beer's terminal gravity | it was "
     "5.0 P on 4 Nov 08:00\n"
     ": no round since 4 Nov | one every day | usual in the trade"},
    {"a stall, no limit known", "06 09:00",
     PLAIN READINGS R("03 08:00", "gravity: 7.7 P") R("04 08:00", "gravity: 5.2 P")
         R("06 08:00", "gravity: 5.2 P"),
     "F1: gravity 5.2 P | still falling | only 57 % attenuated | it was 5.2 P on 4 Nov 08:00\n"
     ": no round since 4 Nov | one every day | usual in the trade"},
    {"stuck", "06 09:00",
     PALE READINGS R("03 08:00", "gravity: 7.7 P") R("04 08:00", "gravity: 5.0 P")
         R("05 08:00", "gravity: 4.9 P") R("06 08:00", "gravity: 5.0 P"),
     "F1: gravity 5.0 P, 2.2 P above its limit, steady for 2 days | 2.2..2.8 P | the beer's "
     "terminal gravity"},
    {"stuck above its forced value, roused", "07 09:00",
     PALE FORCED EVENTS EVENT("04 20:00", "rouse") READINGS R("03 08:00", "gravity: 7.7 P")
         R("04 08:00", "gravity: 5.0 P") R("05 08:00", "gravity: 3.4 P")
             R("06 08:00", "gravity: 3.4 P") R("07 08:00", "gravity: 3.4 P"),
     "F1 2 times: gravity 3.4 P, 1.0 P above its limit, steady for 3 days | 2.4 P | its forced "
     "value | roused on 4 Nov 20:00, without effect"},
    {"a Belgian beer, stuck", "07 09:00",
     ABBEY READINGS R("03 08:00", "gravity: 7.7 P") R("04 08:00", "gravity: 5.0 P")
         R("05 08:00", "gravity: 5.0 P") R("06 08:00", "gravity: 5.0 P")
             R("07 08:00", "gravity: 5.0 P"),
     "F1 2 times: gravity 5.0 P, 2.2 P above its limit, steady for 4 days | 2.2..2.8 P | the "
     "beer's terminal gravity | Belgian yeast may creep on for weeks"},
    {"chilled early", "09 09:00",
     PALE FORCED EVENTS EVENT("05 10:00", "chill") READINGS R(
         "03 08:00", "gravity: 7.7 P, temp: 19 C") R("04 08:00", "gravity: 5.0 P, temp: 19 C")
         R("05 08:00", "gravity: 3.8 P, temp: 19 C") R("07 08:00", "gravity: 3.6 P, temp: 2.0 C")
             R("08 08:00", "gravity: 3.6 P, temp: 1.0 C")
                 R("09 08:00", "gravity: 3.6 P, temp: 1.0 C"),
     "F1: gravity 3.6 P, 1.2 P above its limit | 2.4 P | its forced value | chilled on 5 Nov "
     "10:00, while it still fell"},
    {"chilled early, no limit known", "09 09:00",
     PLAIN EVENTS EVENT("05 10:00", "chill") READINGS R("03 08:00", "gravity: 7.7 P, temp: 19 C")
         R("04 08:00", "gravity: 5.0 P, temp: 19 C") R("05 08:00", "gravity: 3.8 P, temp: 19 C") R(
             "07 08:00", "gravity: 3.6 P, temp: 2.0 C") R("08 08:00", "gravity: 3.6 P, temp: 1.0 C")
             R("09 08:00", "gravity: 3.6 P, temp: 1.0 C"),
     "F1: gravity 3.6 P | an end before the chill | usual in the trade | chilled on 5 Nov 10:00, "
     "while it still fell"},
    {"it ferments again", "08 09:00", PALE FORCED READINGS ENDED R("08 08:00", "gravity: 2.3 P"),
     "F1: gravity 2.3 P | 2.5 P | where it had ended on 7 Nov 08:00"},
    {"and hops were in it", "08 09:00",
     PALE FORCED EVENTS EVENT("07 10:00", "dry hop") READINGS ENDED R("08 08:00", "gravity: 2.2 P"),
     "F1: gravity 2.2 P | 2.5 P | where it had ended on 7 Nov 08:00 | dry hopped on 7 Nov 10:00: "
     "hops can start it again"},
    {"below its limit", "06 09:00", PALE FORCED READINGS COURSE R("06 08:00", "gravity: 1.9 P"),
     "F1: gravity 1.9 P | 2.4 P | its forced value"},
    {"a forced sample that stopped", "04 09:00",
     PALE "forced: {gravity: 6.0 P, at: 2026-11-03 12:00}\n" READINGS R("04 08:00",
                                                                        "gravity: 6.5 P, ph: 4.30"),
     "F1: forced value 6.0 P of 12.0 P | below 5.4 P | usual in the trade"},
    {"finished, its pH over its range", "07 09:00",
     PALE FORCED READINGS ENDED R("07 08:30", "ph: 4.49"),
     "F1: pH 4.49, finished | pH 4.05..4.45 | the beer's limit"},
    {"finished, never below 4.5, and dull", "07 09:00",
     PALE FORCED READINGS R("05 08:00", "gravity: 2.5 P, ph: 4.80")
         R("06 08:00", "gravity: 2.5 P, ph: 4.75")
             R("07 08:00", "gravity: 2.5 P, ph: 4.71, vdk: pass"),
     "F1 2 times: pH 4.71, finished | below pH 4.60 | 21 CFR 114 | it will taste dull and heavy"},
    {"at 4.70 it is not dull", "07 09:00",
     PALE FORCED READINGS R("05 08:00", "gravity: 2.5 P, ph: 4.80")
         R("06 08:00", "gravity: 2.5 P, ph: 4.75")
             R("07 08:00", "gravity: 2.5 P, ph: 4.70, vdk: pass"),
     "F1 2 times: pH 4.70, finished | below pH 4.60 | 21 CFR 114"},
    {"not passed, below 4.6", "07 09:00",
     PALE FORCED READINGS R("05 08:00", "gravity: 2.5 P, ph: 4.60")
         R("06 08:00", "gravity: 2.5 P, ph: 4.57")
             R("07 08:00", "gravity: 2.5 P, ph: 4.55, vdk: pass"),
     "F1 2 times: pH 4.55, finished | below pH 4.50 | usual in the trade"},
    {"VDK", "07 09:00", PALE FORCED READINGS ENDED R("07 08:30", "vdk: 0.12 mg/L"),
     "F1: VDK 0.12 mg/L | at most 0.10 mg/L | the beer's limit"},
    {"VDK by smell", "07 09:00", PALE FORCED READINGS ENDED R("07 08:30", "vdk: fail"),
     "F1: VDK smell: fail | at most 0.10 mg/L | the beer's limit"},
    {"VDK by both", "07 09:00", PALE FORCED READINGS ENDED R("07 08:30", "vdk: 0.12 mg/L fail"),
     "F1: VDK 0.12 mg/L, smell: fail | at most 0.10 mg/L | the beer's limit"},
    {"VDK by the trade's limit", "07 09:00",
     PLAIN FORCED READINGS R("05 08:00", "gravity: 2.5 P") R("06 08:00", "gravity: 2.5 P")
         R("07 08:00", "gravity: 2.5 P, vdk: 0.12 mg/L"),
     "F1: VDK 0.12 mg/L | at most 0.10 mg/L | off-flavour above that"},
    {"VDK rises", "08 09:00", PALE FORCED READINGS ENDED R("08 08:00", "vdk: 0.10 mg/L"),
     "F1: VDK 0.10 mg/L | 0.05 mg/L or less | its reading of 7 Nov 08:00"},
    {"VDK is due", "07 09:00",
     PALE FORCED READINGS COURSE R("06 08:00", "gravity: 2.5 P") R("07 08:00", "gravity: 2.5 P"),
     "F1: no VDK test, finished on 6 Nov 08:00 | at most 0.10 mg/L | the beer's limit"},
    {"VDK is due, and late", "09 09:00",
     PALE FORCED EVENTS EVENT("07 10:00", "chill") READINGS COURSE R("06 08:00", "gravity: 2.5 P")
         R("07 08:00", "gravity: 2.5 P") R("08 08:00", "temp: 6 C") R("09 08:00", "temp: 2 C"),
     "F1: no VDK test, finished on 6 Nov 08:00, and already cold | at most 0.10 mg/L | the beer's "
     "limit"},
    {"too warm", "03 09:00", PALE READINGS R("03 08:00", "gravity: 7.7 P, temp: 21.2 C"),
     "F1: 21.2 C | 18.0..20.0 C | the beer's limit"},
    {"too cold by the trade", "03 09:00",
     PLAIN READINGS R("03 08:00", "gravity: 7.7 P, temp: 14.2 C"),
     "F1: 14.2 C | 15.0..25.0 C | usual in the trade"},
    {"not cold", "09 12:00",
     PALE FORCED EVENTS EVENT("07 10:00", "chill") READINGS ENDED R("08 08:00", "temp: 6.0 C")
         R("09 11:00", "temp: 4.0 C"),
     "F1: 4.0 C | -1.0..2.0 C | the beer's limit, chilled on 7 Nov 10:00"},
    {"not falling", "08 09:00",
     PALE FORCED EVENTS EVENT("07 10:00", "chill") READINGS ENDED R("08 08:00", "temp: 18.0 C"),
     "F1: 18.0 C, 22 h after the chill | below 14.4 C | usual in the trade"},
    {"a jump", "04 09:00", PLAIN READINGS R("03 08:00", "temp: 17 C") R("04 08:00", "temp: 22 C"),
     "F1: 22.0 C, 17.0 C 24 h before | within 4.0 C of that | usual in the trade"},
    {"a fall in two hours", "04 12:00",
     PLAIN READINGS R("04 08:00", "temp: 20 C") R("04 10:00", "temp: 16.9 C"),
     "F1: 16.9 C, 20.0 C 2 h before | within 3.0 C of that | usual in the trade"},
    {"pressure near the name plate", "04 09:00",
     PALE READINGS R("03 08:00", "pressure: 0.5 bar") R("04 08:00", "pressure: 0.85 bar"),
     "F1: 0.85 bar of 1.00 bar | below 0.80 bar | 80 % of the name plate | it was 0.50 bar on 3 "
     "Nov 08:00"},
    {"pressure of longer ago is not told", "06 09:00",
     PALE READINGS R("03 07:59", "pressure: 0.5 bar") R("06 08:00", "pressure: 0.85 bar"),
     "F1: 0.85 bar of 1.00 bar | below 0.80 bar | 80 % of the name plate\n"
     ": no round since 3 Nov | one every day | usual in the trade"},
    {"pressure rises", "04 09:00",
     BRIGHT READINGS R("03 08:00", "temp: 1 C, pressure: 0.60 bar")
         R("04 08:00", "temp: 1 C, pressure: 0.75 bar"),
     "B1: 0.75 bar, 0.60 bar on 3 Nov 08:00 | within 0.10 bar of that | its own reading, at the "
     "same temperature"},
    {"pressure does not build", "06 09:00",
     PALE EVENTS EVENT("04 10:00", "close")
         READINGS R("04 08:00", "gravity: 4.2 P, pressure: 0.1 bar")
             R("05 08:00", "gravity: 3.4 P, pressure: 0.1 bar")
                 R("06 08:00", "gravity: 2.9 P, pressure: 0.1 bar"),
     "F1: 0.10 bar, closed on 4 Nov 10:00 at 0.10 bar | 0.30 bar or more | gravity fell by 1.3 P "
     "since"},
    {"short of gas", "04 09:00", BRIGHT READINGS R("04 08:00", "temp: 1 C, carbonation: 2.39 vol"),
     "B1: 2.39 vol | 2.40..2.60 vol | the beer's limit | 0.61 bar at 1.0 C would hold 2.50 vol"},
    {"too much gas, warm", "04 09:00",
     BRIGHT READINGS R("04 08:00", "temp: 18 C, carbonation: 2.95 vol"),
     "B1: 2.95 vol | 2.40..2.60 vol | the beer's limit | 1.83 bar at 18.0 C would hold 2.50 vol, "
     "but the tank is rated for 2.00 bar: chill it further; do not package it: over-carbonated "
     "packages can burst"},
    {"gas, and no temperature", "04 09:00", BRIGHT READINGS R("04 08:00", "carbonation: 2.39 vol"),
     "B1: 2.39 vol | 2.40..2.60 vol | the beer's limit"},
    {"oxygen rises", "05 09:00",
     BRIGHT READINGS R("04 08:00", "oxygen: 10 ppb") R("05 08:00", "oxygen: 31 ppb"),
     "B1: 31 ppb, 10 ppb on 4 Nov 08:00 | at most 50 ppb | the beer's limit"},
    {"oxygen over the limit", "04 09:00", BRIGHT READINGS R("04 08:00", "oxygen: 51 ppb"),
     "B1: 51 ppb | at most 50 ppb | the beer's limit"},
    {"oxygen without a limit", "05 09:00",
     HEAD("1", "Plain", "B1") READINGS R("04 08:00", "oxygen: 10 ppb")
         R("05 08:00", "oxygen: 31 ppb"),
     "B1: 31 ppb, 10 ppb on 4 Nov 08:00 | no rise | its reading before"},
    {"a meter overdue", "05 09:00",
     PALE READINGS R(
         "05 08:00",
         "ph: 3.55, gravity: 2.8 P, ph-meter: M2") "---\nplant: 2026-11\ncalibrations:\n"
                                                   "  - {at: 2026-11-01 07:00, meter: M2, temp: 25 "
                                                   "C, buffers: [{ph: 7.00, mv: 0}, {ph: 4.01, mv: "
                                                   "172}]}\n",
     "M2: M2 was last calibrated on Sun 1 Nov and wants it daily | a meter in order | the plant "
     "log | 1 surprising figure came from it\n"
     "F1: pH 3.55 on day 4 | pH 4.05..4.45 | the beer's limit |  | M2 was last calibrated on Sun 1 "
     "Nov and wants it daily"},
    {"used overdue", "05 09:00",
     PALE READINGS R("05 08:00", "ph: 4.22, gravity: 2.8 P, ph-meter: M2") M1_IN_ORDER,
     "M2: M2 has no calibration in the plant log | a calibration before use | usual in the trade"},
    {"two figures of one doubtful meter", "05 09:00",
     HEAD("1", "Pale", "F1") READINGS R("05 08:00", "ph: 3.55, gravity: 2.8 P, ph-meter: M2")
         HEAD("2", "Pale", "F2") READINGS R("05 08:05", "ph: 3.56, gravity: 2.8 P, ph-meter: M2"),
     "M2: M2 has no calibration in the plant log | a meter in order | the plant log | 2 surprising "
     "figures came from it\n"
     "F1: pH 3.55 on day 4 | pH 4.05..4.45 | the beer's limit |  | M2 has no calibration in the "
     "plant log\n"
     "F2: pH 3.56 on day 4 | pH 4.05..4.45 | the beer's limit |  | M2 has no calibration in the "
     "plant log"},
    {"a meter off in three tanks", "08 09:00", THREE("4.38", "4.39", "4.37") M1_IN_ORDER,
     "M1: M1 read 0.17 too high in all 3 tanks at rest | as the days before | median over the "
     "tanks at rest | calibrated on 1 Nov; on 8 Nov it was found right; read with it: F1, F2, F3"},
    {"low, and found low by its next calibration", "09 09:00",
     THREE("4.02", "4.03", "4.01") "---\nplant: 2026-11\ncalibrations:\n"
                                   "  - {at: 2026-11-08 07:00, meter: M1, temp: 25 C, buffers: "
                                   "[{ph: 7.00, reads: 6.80}, {ph: 4.01, reads: 3.81}]}\n",
     "M1: M1 read 0.19 too low in all 3 tanks at rest | as the days before | median over the tanks "
     "at rest | no calibration of it in the log; on 8 Nov it was found 0.20 too low; read with it: "
     "F1, F2, F3\n"
     "F1: pH 4.02, finished | pH 4.05..4.45 | the beer's limit |  | M1 read 0.19 too low in 3 "
     "tanks on Sat 7 Nov\n"
     "F2: pH 4.03, finished | pH 4.05..4.45 | the beer's limit |  | M1 read 0.19 too low in 3 "
     "tanks on Sat 7 Nov\n"
     "F3: pH 4.01, finished | pH 4.05..4.45 | the beer's limit |  | M1 read 0.19 too low in 3 "
     "tanks on Sat 7 Nov\n"
     ": no round since 7 Nov | one every day | usual in the trade"},
    {"a tank passed by twice", "05 15:00",
     HEAD("1", "Pale", "F1") READINGS R("04 08:00", "gravity: 4.2 P, ph: 4.24")
         R("05 08:00", "gravity: 2.8 P, ph: 4.22") HEAD("2", "Pale", "F2")
             READINGS R("03 08:00", "gravity: 7.7 P, ph: 4.33"),
     "F2: not read on 5 Nov nor the round before | a reading on every round | usual in the trade"},
    {"figures copied", "08 15:00",
     HEAD("1", "Plain", "F1") READINGS R("07 08:00", "gravity: 2.5 P, ph: 4.20, temp: 19.4 C")
         R("08 08:00", "gravity: 2.5 P, ph: 4.20, temp: 19.4 C") HEAD("2", "Plain", "F2")
             READINGS R("07 08:00", "gravity: 2.6 P, ph: 4.25, temp: 19.3 C")
                 R("08 08:00", "gravity: 2.6 P, ph: 4.25, temp: 19.3 C"),
     ": all figures of 8 Nov the same as before: F1, F2 | a little scatter | usual in the trade"},
    {"figures copied of beer that was split since", "09 15:00",
     "---\nbatch: 1\nbeer: Plain\nbrewed: 2026-11-01 12:00\nvolume: 28 hL\noriginal: 12.0 P\n"
     "tanks:\n  - {tank: F1, from: 2026-11-01 12:00}\n"
     "  - {tank: B1, from: 2026-11-09 09:00, volume: 14 hL}\n"
     "  - {tank: B2, from: 2026-11-09 09:00, volume: 14 hL}\n" READINGS R(
         "06 08:00", "gravity: 2.5 P, ph: 4.20, temp: 19.4 C")
         R("07 08:00", "gravity: 2.5 P, ph: 4.20, temp: 19.4 C")
             R("08 08:00", "gravity: 2.5 P, ph: 4.20, temp: 19.4 C"),
     "B1: all figures of 8 Nov the same as before: F1 | a little scatter | usual in the trade"},
    {"figures copied in one tank", "09 15:00",
     HEAD("1", "Plain", "F1") READINGS R("07 08:00", "gravity: 2.5 P, ph: 4.20, temp: 19.4 C")
         R("08 08:00", "gravity: 2.5 P, ph: 4.20, temp: 19.4 C")
             R("09 08:00", "gravity: 2.5 P, ph: 4.20, temp: 19.4 C"),
     "F1: all figures of 9 Nov the same as before: F1 | a little scatter | usual in the trade"},
    {"a barrel not read for a month", "16 15:00",
     "---\nbatch: 2\nbeer: Sour\nbrewed: 2026-10-01 12:00\ntanks: [{tank: F4, from: 2026-10-01 "
     "12:00}]\nreadings:\n  - {at: 2026-10-16 23:59, ph: 3.50}\n",
     "F4: not read for 31 days | a reading every 30 days | its every:"},
    {"whose readings lie below", "22 09:00", BY_TURNS("18.0") M1_IN_ORDER,
     "CD: CD reads temp 1.0 lower than the others | the same | median of 11 pairs with one meter"},
    {"whose readings lie apart", "22 09:00", BY_TURNS("20.0") M1_IN_ORDER,
     "CD: CD reads temp 1.0 higher than the others | the same | median of 11 pairs with one meter"},
    {"nobody walked", "08 09:00", PLAIN READINGS R("05 08:00", "temp: 19.0 C"),
     ": no round since 5 Nov | one every day | usual in the trade"},
    {"a count typed wrong", "08 15:00",
     BRIGHT EVENTS PACKAGED("27 hL", "80") READINGS R("07 08:00", "temp: 1 C"),
     "B1: the containers hold 24.0 hL | about 27.0 hL | the volume written beside them"},
    {"beer that went away", "08 15:00",
     FILLED EVENTS PACKAGED("24.9 hL", "83") READINGS R("07 08:00", "temp: 1 C"),
     "B1: packaged 24.9 hL | about 28.0 hL | what went into the tank"},
    {"the cold room is warm", "05 09:00",
     "---\nplant: 2026-11\nreadings:\n  - {at: 2026-11-05 08:00, check: cold room, value: 4.1 C}\n",
     "cold room: cold room 4.1 C | 1..4 C | its limits"},
    {"a counter backwards", "05 09:00",
     "---\nplant: 2026-11\nreadings:\n  - {at: 2026-11-04 08:00, check: water in, value: 120.4 "
     "m3}\n"
     "  - {at: 2026-11-05 08:00, check: water in, value: 102.9 m3}\n",
     "water in: water in 1029.0 hL | at least 1204.0 hL | the reading before"},
    {"a check not read", "06 21:00",
     "---\nplant: 2026-11\nreadings:\n  - {at: 2026-11-05 08:00, check: steam, value: 2.0 bar}\n  "
     "- {at: 2026-11-04 08:00, check: cold room, value: 3.0 C}\n",
     "cold room: cold room not read for 61 h | every 24 h | daily\n"
     "steam: steam not read for 37 h | every 12 h | its every:"},
    {"twice the water", "24 09:00", FORTNIGHTS("221"),
     "water in: water in 14.3 for each volume brewed in 14 days | about 7.3 | the fortnights "
     "before"},
    {"in the middle of the third day", "03 13:00",
     PALE READINGS R("03 12:00", "ph: 3.55, gravity: 7.7 P"),
     "F1: pH 3.55 on day 3 | pH 4.05..4.45 | the beer's limit"},
    {"the strip was at the end of its scale", "05 09:00",
     PALE READINGS R("05 08:00", "ph: <3.5, ph-meter: S1") R("05 08:30", "ph: 3.57, ph-meter: M1")
         M1_IN_ORDER,
     "F1: pH 3.57 on day 4 | pH 4.05..4.45 | the beer's limit"},
    {"nobody wrote the first meter", "05 09:00",
     PALE READINGS R("05 08:00", "ph: 3.55") R("05 08:30", "ph: 3.57, ph-meter: M1") M1_IN_ORDER,
     "F1 2 times: pH 3.57 on day 4 | pH 4.05..4.45 | the beer's limit"},
    {"nobody wrote the second meter", "05 09:00",
     PALE READINGS R("05 08:00", "ph: 3.55, ph-meter: M1") R("05 08:30", "ph: 3.57") M1_IN_ORDER,
     "F1 2 times: pH 3.57 on day 4 | pH 4.05..4.45 | the beer's limit"},
    {"the other meter says otherwise", "05 09:00",
     PALE READINGS R("05 08:00", "ph: 4.20, ph-meter: S1") R("05 08:30", "ph: 3.57, ph-meter: M1")
         M1_IN_ORDER,
     "F1: pH 3.57 on day 4 | pH 4.05..4.45 | the beer's limit"},
    {"pressure near what the tank bears", "04 09:00",
     BRIGHT READINGS R("04 08:00", "temp: 16 C, carbonation: 2.30 vol"),
     "B1: 2.30 vol | 2.40..2.60 vol | the beer's limit | 1.66 bar at 16.0 C would hold 2.50 vol, "
     "but the tank is rated for 2.00 bar: chill it further"},
    {"at least so much gas", "04 09:00",
     HEAD("1", "Salty", "B1") READINGS R("04 08:00", "temp: 1 C, carbonation: 1.50 vol"),
     "B1: 1.50 vol | at least 2.00 vol | the beer's limit | 0.29 bar at 1.0 C would hold 2.00 vol"},
    {"at most so much", "04 09:00",
     HEAD("1", "Abbey", "B1") READINGS R("04 08:00", "temp: 1 C, carbonation: 3.50 vol"),
     "B1: 3.50 vol | at most 3.00 vol | the beer's limit | 0.94 bar at 1.0 C would hold 3.00 vol; "
     "do not package it: over-carbonated packages can burst"},
    {"a fourth tank read with the meter that was off", "08 09:00",
     THREE("4.38", "4.39", "4.37") HEAD("4", "Plain", "F4")
         READINGS R("07 08:00", "ph: 4.60, ph-meter: M1") M1_IN_ORDER,
     "M1: M1 read 0.17 too high in all 3 tanks at rest | as the days before | median over the "
     "tanks at rest | calibrated on 1 Nov; on 8 Nov it was found right; read with it: F1, F2, F3, "
     "F4"},
    {"beer in no tank goes by its number", "08 09:00",
     THREE("4.38", "4.39", "4.37") "---\nbatch: 7\nbeer: Plain\nbrewed: 2026-11-01 12:00\n" READINGS
         R("07 08:00", "ph: 4.60, ph-meter: M1") M1_IN_ORDER,
     "M1: M1 read 0.17 too high in all 3 tanks at rest | as the days before | median over the "
     "tanks at rest | calibrated on 1 Nov; on 8 Nov it was found right; read with it: F1, F2, F3, "
     "7"},
    {"what was read with another meter, or on another day, is not of it", "08 09:00",
     THREE("4.38", "4.39", "4.37") HEAD("4", "Plain", "F4")
         READINGS R("07 08:00", "ph: 4.60, ph-meter: M2") HEAD("5", "Plain", "B1")
             READINGS R("06 08:00", "ph: 4.60, ph-meter: M1") R("07 08:00", "ph: 4.60") M1_IN_ORDER,
     "M1: M1 read 0.17 too high in all 3 tanks at rest | as the days before | median over the "
     "tanks at rest | calibrated on 1 Nov; on 8 Nov it was found right; read with it: F1, F2, F3\n"
     "M2: M2 has no calibration in the plant log | a calibration before use | usual in the trade"},
    {"tanks in the order of the walk, then those that are not on it", "05 09:00",
     HEAD("1", "Pale", "U2") READINGS R("05 08:00", "temp: 21.2 C") HEAD("2", "Pale", "U1")
         READINGS R("05 08:00", "temp: 21.3 C") HEAD("3", "Pale", "F3")
             READINGS R("05 08:00", "temp: 21.4 C") HEAD("4", "Pale", "F1")
                 READINGS R("05 08:00", "temp: 21.5 C"),
     "F1: 21.5 C | 18.0..20.0 C | the beer's limit\n"
     "F3: 21.4 C | 18.0..20.0 C | the beer's limit\n"
     "U1: 21.3 C | 18.0..20.0 C | the beer's limit\n"
     "U2: 21.2 C | 18.0..20.0 C | the beer's limit"},
    {"a check read to a hundredth", "05 09:00",
     "---\nplant: 2026-11\nreadings:\n  - {at: 2026-11-05 08:00, check: cold room, value: 4.10 "
     "C}\n",
     "cold room: cold room 4.10 C | 1..4 C | its limits"},
    {"its pressure in another tank is not told", "05 09:00",
     "---\nbatch: 1\nbeer: Pale\nbrewed: 2026-11-01 12:00\noriginal: 12.0 P\ntanks: [{tank: F1, "
     "from: 2026-11-01 12:00, to: 2026-11-04 12:00}, {tank: B1, from: 2026-11-04 12:00}]\n" READINGS
         R("04 08:00", "pressure: 0.5 bar") R("05 08:00", "pressure: 1.7 bar"),
     "B1: 1.70 bar of 2.00 bar | below 1.60 bar | 80 % of the name plate"},
    {"a warning by a sound meter needs no doubt of another one's", "05 09:00",
     PALE READINGS R("05 08:00", "ph: 3.70, gravity: 2.8 P, ph-meter: M1")
         R("05 08:30", "ph: 3.70, ph-meter: M2") M1_IN_ORDER,
     "M2: M2 has no calibration in the plant log | a meter in order | the plant log | 1 surprising "
     "figure came from it\n"
     "F1 2 times: pH 3.70 on day 4 | pH 4.05..4.45 | the beer's limit | two meters agree: M1 read "
     "3.70 on 5 Nov 08:00, M2 3.70"},
    {"the later of two as far away", "05 09:00",
     BRIGHT READINGS R("03 08:00", "temp: 1 C, pressure: 0.60 bar")
         R("04 08:00", "temp: 1 C, pressure: 0.60 bar")
             R("05 08:00", "temp: 1 C, pressure: 0.75 bar"),
     "B1: 0.75 bar, 0.60 bar on 4 Nov 08:00 | within 0.10 bar of that | its own reading, at the "
     "same temperature"},
};

static void words(void **state)
{
    size_t wrong = 0;
    (void)state;
    for (size_t i = 0; i < sizeof ROWS / sizeof ROWS[0]; i++) {
        struct anomaly_test test;
        struct anomaly_findings findings =
            judge_story(&test, ROWS[i].title, ROWS[i].now, ROWS[i].text, NULL);
        struct str says = words_of(&test.arena, &findings);
        if (!str_is(says, ROWS[i].says)) {
            print_error("%s: says\n" STR_FMT "\nand should say\n%s\n", ROWS[i].title, STR_ARG(says),
                        ROWS[i].says);
            wrong++;
        }
        anomaly_test_close(&test);
    }
    assert_int_equal(wrong, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(words)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
