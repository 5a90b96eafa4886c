/* Each rule has a story that fires and a near miss that does not. */
#include "anomaly_story.h"

static const struct row ROWS[] = {
    {"nothing to say of a healthy beer", "07 09:00", PALE FORCED READINGS ENDED, ""},
    {"no readings at all", "02 07:00", PALE, ""},

    /* slow-start */
    {"pH and gravity unmoved at 31 h", "02 20:00",
     PALE READINGS R("02 19:00", "ph: 5.02, gravity: 11.9 P"), "slow-start:alarm"},
    {"the same at 29 h is too early to say", "02 20:00",
     PALE READINGS R("02 17:00", "ph: 5.02, gravity: 11.9 P"), ""},
    {"pH alone unmoved", "02 20:00", PALE READINGS R("02 19:00", "ph: 5.00"), "slow-start:warn"},
    {"gravity alone unmoved", "02 20:00", PALE READINGS R("02 19:00", "gravity: 11.8 P"),
     "slow-start:warn"},
    {"pH 0.15 down is a start", "02 20:00",
     PALE READINGS R("02 19:00", "ph: 4.95, gravity: 11.5 P"), ""},
    {"the wort's pH is not known: about 5.0 is no start", "02 20:00",
     UNKNOWN READINGS R("02 19:00", "ph: 4.95, gravity: 11.9 P"), "slow-start:alarm"},
    {"4.8 is", "02 20:00", UNKNOWN READINGS R("02 19:00", "ph: 4.80, gravity: 11.4 P"), ""},
    {"a lager at 71 h is in time", "04 20:00",
     LAGER READINGS R("04 11:00", "ph: 5.05, gravity: 11.9 P"), ""},
    {"a lager at 73 h is not", "04 20:00",
     LAGER READINGS R("04 13:00", "ph: 5.05, gravity: 11.9 P"), "slow-start:alarm"},
    {"it began at last", "03 09:00",
     PALE READINGS R("02 19:00", "ph: 5.02, gravity: 11.9 P")
         R("03 08:00", "ph: 4.80, gravity: 11.0 P"),
     ""},

    /* residue */
    {"pH above the wort's", "02 09:00", PALE READINGS R("02 08:00", "ph: 5.31, gravity: 11.5 P"),
     "ph-above-wort:alarm"},
    {"pH as the wort had it", "02 09:00", PALE READINGS R("02 08:00", "ph: 5.20, gravity: 11.5 P"),
     ""},
    {"the wort's pH is not known: only far above the usual", "02 09:00",
     "---\nbatch: 1\nbeer: Pale\nbrewed: 2026-11-01 12:00\noriginal: 12.0 P\n"
     "tanks: [{tank: F1, from: 2026-11-01 12:00}]\n" READINGS R("02 08:00", "ph: 5.60"),
     "ph-above-wort:warn"},
    {"acid on the first day", "02 09:00", PALE READINGS R("02 08:00", "ph: 4.10, gravity: 11.5 P"),
     "ph-acid-early:alarm"},
    {"fast yeast is no acid", "02 09:00", PALE READINGS R("02 08:00", "ph: 4.18, gravity: 7.5 P"),
     ""},
    {"pH 4.2 is not clearly low", "02 09:00",
     PALE READINGS R("02 08:00", "ph: 4.20, gravity: 11.5 P"), ""},

    /* ph-low */
    {"far too low, once", "05 09:00", PALE READINGS R("05 08:00", "ph: 3.55, gravity: 2.8 P"),
     "ph-low:alarm?"},
    {"too low, once", "05 09:00", PALE READINGS R("05 08:00", "ph: 3.70, gravity: 2.8 P"),
     "ph-low:warn?"},
    {"too low, twice", "06 09:00",
     PALE READINGS R("05 08:00", "ph: 3.72, gravity: 2.8 P")
         R("06 08:00", "ph: 3.70, gravity: 2.6 P"),
     "ph-low:alarm"},
    {"low, but not by so much", "05 09:00", PALE READINGS R("05 08:00", "ph: 3.76, gravity: 2.8 P"),
     ""},
    {"one spike is not a fact", "06 09:00",
     PALE READINGS R("05 08:00", "ph: 3.55, gravity: 2.8 P")
         R("06 08:00", "ph: 4.20, gravity: 2.6 P"),
     ""},
    {"no limit in the cellar file: the trade's", "05 09:00",
     PLAIN READINGS R("05 08:00", "ph: 3.40, gravity: 2.8 P"), "ph-low:alarm?"},
    {"a sour is meant to", "05 09:00", SOUR READINGS R("05 08:00", "ph: 3.30, gravity: 5.0 P"), ""},
    {"seen, and not worse since", "06 09:00",
     PALE "seen: [{rule: ph-low, at: 2026-11-05 09:00, by: MO}]\n" READINGS R(
         "05 08:00", "ph: 3.55, gravity: 2.8 P") R("06 08:00", "ph: 3.55, gravity: 2.6 P"),
     "ph-low:alarm*"},
    {"seen as a warning, an alarm now", "06 09:00",
     PALE "seen: [{rule: ph-low, at: 2026-11-05 09:00, by: MO}]\n" READINGS R(
         "05 08:00", "ph: 3.70, gravity: 2.8 P") R("06 08:00", "ph: 3.70, gravity: 2.6 P"),
     "ph-low:alarm"},
    {"seen, and no worse for days", "08 09:00",
     PALE "seen: [{rule: ph-low, at: 2026-11-05 09:00, by: MO}]\n" READINGS R(
         "04 08:00", "ph: 3.55") R("05 08:00", "ph: 3.55") R("06 08:00", "ph: 3.55")
         R("07 08:00", "ph: 3.55") R("08 08:00", "ph: 3.55"),
     "ph-low:alarm*"},
    {"seen as a warning, an alarm for days", "07 09:00",
     PALE "seen: [{rule: ph-low, at: 2026-11-05 09:00, by: MO}]\n" READINGS R(
         "05 08:00", "ph: 3.70") R("06 08:00", "ph: 3.70") R("07 08:00", "ph: 3.70"),
     "ph-low:alarm"},
    {"seen before it began", "05 09:00",
     PALE "seen: [{rule: ph-low, at: 2026-11-04 09:00, by: MO}]\n" READINGS R(
         "05 08:00", "ph: 3.55, gravity: 2.8 P"),
     "ph-low:alarm?"},
    {"another rule was seen", "05 09:00",
     PALE "seen: [{rule: stuck, at: 2026-11-05 09:00, by: MO}]\n" READINGS R(
         "05 08:00", "ph: 3.55, gravity: 2.8 P"),
     "ph-low:alarm?"},

    {"seen as it was read", "05 09:00",
     PALE "seen: [{rule: ph-low, at: 2026-11-05 08:00, by: MO}]\n" READINGS R(
         "05 08:00", "ph: 3.55, gravity: 2.8 P"),
     "ph-low:alarm?*"},
    {"seen as it was first read, and no worse since", "06 09:00",
     PALE "seen: [{rule: ph-low, at: 2026-11-05 08:00, by: MO}]\n" READINGS R(
         "05 08:00", "ph: 3.55, gravity: 2.8 P") R("06 08:00", "ph: 3.55, gravity: 2.6 P"),
     "ph-low:alarm*"},
    {"seen on the minute of the reading", "06 09:00",
     PALE "seen: [{rule: ph-low, at: 2026-11-06 08:00, by: MO}]\n" READINGS R(
         "05 08:00", "ph: 3.55, gravity: 2.8 P") R("06 08:00", "ph: 3.50, gravity: 2.6 P"),
     "ph-low:alarm*"},
    {"seen in another tank", "06 09:00",
     PALE "seen: [{rule: ph-low, at: 2026-11-06 08:30, by: MO, tank: F2}]\n" READINGS R(
         "05 08:00", "ph: 3.55, gravity: 2.8 P") R("06 08:00", "ph: 3.50, gravity: 2.6 P"),
     "ph-low:alarm"},
    {"seen in this one", "06 09:00",
     PALE "seen: [{rule: ph-low, at: 2026-11-06 08:30, by: MO, tank: F1}]\n" READINGS R(
         "05 08:00", "ph: 3.55, gravity: 2.8 P") R("06 08:00", "ph: 3.50, gravity: 2.6 P"),
     "ph-low:alarm*"},
    /* course */
    {"gravity rises, once", "06 09:00", PALE READINGS COURSE R("06 08:00", "gravity: 3.1 P"),
     "gravity-rising:note?"},
    {"gravity rises, twice", "07 09:00",
     PALE READINGS COURSE R("06 08:00", "gravity: 3.1 P") R("07 08:00", "gravity: 3.1 P"),
     "gravity-rising:warn vdk-due:note"},
    {"two tenths are two samples", "06 09:00", PALE READINGS COURSE R("06 08:00", "gravity: 3.0 P"),
     ""},
    {"sugar was added", "06 09:00",
     PALE EVENTS EVENT("05 10:00", "addition") READINGS COURSE R("06 08:00", "gravity: 3.4 P"), ""},
    {"two meters may differ more", "06 09:00",
     PALE READINGS R("05 08:00", "gravity: 2.8 P, gravity-meter: D1")
         R("06 08:00", "gravity: 3.2 P, gravity-meter: R1, temp: 20 C"),
     "meter-due:note"},
    {"stalled far above", "06 09:00",
     PALE READINGS R("03 08:00", "gravity: 7.7 P") R("04 08:00", "gravity: 5.0 P")
         R("05 08:00", "gravity: 4.9 P") R("06 08:00", "gravity: 5.0 P"),
     "stuck:alarm"},
    {"stalled is not stuck while a day is missing", "06 09:00",
     LAGER READINGS R("03 08:00", "gravity: 7.7 P") R("04 08:00", "gravity: 5.0 P")
         R("06 08:00", "gravity: 5.0 P"),
     "stalled:warn round-missed:note"},
    {"a tenth a day is not standing still", "06 09:00",
     LAGER READINGS R("03 08:00", "gravity: 7.7 P") R("04 08:00", "gravity: 5.0 P")
         R("06 08:00", "gravity: 4.8 P"),
     "round-missed:note"},
    {"stuck a Plato above its forced value", "07 09:00",
     PALE FORCED READINGS R("03 08:00", "gravity: 7.7 P") R("04 08:00", "gravity: 5.0 P")
         R("05 08:00", "gravity: 3.4 P") R("06 08:00", "gravity: 3.4 P")
             R("07 08:00", "gravity: 3.4 P"),
     "stuck:alarm"},
    {"0.3 P above it is within the margin", "07 09:00",
     PALE FORCED READINGS R("03 08:00", "gravity: 7.7 P") R("04 08:00", "gravity: 5.0 P")
         R("05 08:00", "gravity: 2.7 P") R("06 08:00", "gravity: 2.7 P")
             R("07 08:00", "gravity: 2.7 P, vdk: pass"),
     ""},
    {"chilled a Plato too early", "09 09:00",
     PALE FORCED EVENTS EVENT("05 10:00", "chill") READINGS R(
         "03 08:00", "gravity: 7.7 P, temp: 19 C") R("04 08:00", "gravity: 5.0 P, temp: 19 C")
         R("05 08:00", "gravity: 3.8 P, temp: 19 C") R("07 08:00", "gravity: 3.6 P, temp: 2.0 C")
             R("08 08:00", "gravity: 3.6 P, temp: 1.0 C")
                 R("09 08:00", "gravity: 3.6 P, temp: 1.0 C"),
     "chilled-early:warn"},
    {"chilled at its end", "09 09:00",
     PALE FORCED EVENTS EVENT("07 10:00", "chill") READINGS ENDED R("09 08:00", "temp: 2.0 C"),
     "round-missed:note"},
    {"it ferments again, once", "08 09:00",
     PALE FORCED READINGS ENDED R("08 08:00", "gravity: 2.3 P"), "restart:note?"},
    {"it ferments again after dry hops", "09 09:00",
     PALE FORCED EVENTS EVENT("07 10:00", "dry hop") READINGS ENDED R("08 08:00", "gravity: 2.2 P")
         R("09 08:00", "gravity: 2.1 P"),
     "restart:warn"},
    {"a tenth lower is the same", "08 09:00",
     PALE FORCED READINGS ENDED R("08 08:00", "gravity: 2.4 P"), ""},
    {"below its limit, once", "06 09:00",
     PALE FORCED READINGS COURSE R("06 08:00", "gravity: 1.9 P"), "gravity-below:warn?"},
    {"below its limit, twice", "07 09:00",
     PALE FORCED READINGS COURSE R("06 08:00", "gravity: 1.9 P") R("07 08:00", "gravity: 1.8 P"),
     "gravity-below:alarm"},
    {"0.3 P below is within the margin", "07 09:00",
     PALE FORCED READINGS COURSE R("06 08:00", "gravity: 2.1 P")
         R("07 08:00", "gravity: 2.1 P, vdk: pass"),
     ""},
    {"the forced sample stopped half way", "04 09:00",
     PALE "forced: {gravity: 6.0 P, at: 2026-11-03 12:00}\n" READINGS R("04 08:00",
                                                                        "gravity: 6.5 P, ph: 4.30"),
     "forced-high:warn"},

    /* final */
    {"finished at pH 4.55", "07 09:00",
     PALE FORCED READINGS R("05 08:00", "gravity: 2.5 P, ph: 4.60")
         R("06 08:00", "gravity: 2.5 P, ph: 4.57")
             R("07 08:00", "gravity: 2.5 P, ph: 4.55, vdk: pass"),
     "ph-not-passed:warn"},
    {"finished at pH 4.62", "07 09:00",
     PALE FORCED READINGS R("05 08:00", "gravity: 2.5 P, ph: 4.65")
         R("06 08:00", "gravity: 2.5 P, ph: 4.62")
             R("07 08:00", "gravity: 2.5 P, ph: 4.62, vdk: pass"),
     "ph-hold:alarm"},
    {"not finished: pH is not judged yet", "06 09:00",
     PALE FORCED READINGS R("05 08:00", "gravity: 6.5 P, ph: 4.65")
         R("06 08:00", "gravity: 4.5 P, ph: 4.62"),
     ""},
    {"a lager may be at 4.62 by its own range", "09 09:00",
     LAGER READINGS R("06 08:00", "gravity: 2.5 P, ph: 4.62")
         R("07 08:00", "gravity: 2.5 P, ph: 4.62") R("08 08:00", "gravity: 2.5 P, ph: 4.62")
             R("09 08:00", "gravity: 2.5 P, ph: 4.62"),
     "ph-hold:warn"},
    {"a little over the beer's range", "07 09:00",
     PALE FORCED READINGS ENDED R("07 08:30", "ph: 4.49"), "ph-final:note"},
    {"chilling raises pH", "10 09:00",
     PALE FORCED EVENTS EVENT("07 10:00", "chill") READINGS ENDED R(
         "09 08:00", "ph: 4.55, temp: 2.0 C") R("10 08:00", "ph: 4.55, temp: 1.0 C"),
     ""},
    {"VDK over the limit", "07 09:00", PALE FORCED READINGS ENDED R("07 08:30", "vdk: 0.12 mg/L"),
     "vdk-high:warn"},
    {"VDK at the limit", "07 09:00",
     PALE FORCED READINGS R("05 08:00", "gravity: 2.5 P") R("06 08:00", "gravity: 2.5 P")
         R("07 08:00", "gravity: 2.5 P, vdk: 0.10 mg/L"),
     ""},
    {"the warmed sample smells", "07 09:00", PALE FORCED READINGS ENDED R("07 08:30", "vdk: fail"),
     "vdk-high:warn"},
    {"a trace", "07 09:00", PALE FORCED READINGS ENDED R("07 08:30", "vdk: trace"),
     "vdk-high:note"},
    {"VDK rises", "09 09:00", PALE FORCED READINGS ENDED R("09 08:00", "vdk: 0.10 mg/L"),
     "vdk-rising:note? round-missed:note"},
    {"VDK before the end is not judged", "04 09:00",
     PALE FORCED READINGS R("04 08:00", "gravity: 4.2 P, vdk: 0.40 mg/L"), ""},
    {"VDK is due", "07 09:00",
     PALE FORCED READINGS COURSE R("06 08:00", "gravity: 2.5 P") R("07 08:00", "gravity: 2.5 P"),
     "vdk-due:note"},
    {"and was passed over", "09 09:00",
     PALE FORCED EVENTS EVENT("07 10:00", "chill") READINGS COURSE R("06 08:00", "gravity: 2.5 P")
         R("07 08:00", "gravity: 2.5 P") R("08 08:00", "temp: 6 C") R("09 08:00", "temp: 2 C"),
     "vdk-due:warn"},

    /* temperature */
    {"a degree too warm", "03 09:00", PALE READINGS R("03 08:00", "gravity: 7.7 P, temp: 21.2 C"),
     "temp-ferment:warn"},
    {"half a degree is nothing", "03 09:00",
     PALE READINGS R("03 08:00", "gravity: 7.7 P, temp: 20.5 C"), ""},
    {"the cooling has failed", "03 09:00",
     PALE READINGS R("03 08:00", "gravity: 7.7 P, temp: 24.5 C"), "temp-ferment:alarm"},
    {"a fall into the chill is not too cold", "08 09:00",
     PALE FORCED EVENTS EVENT("07 10:00", "chill") READINGS ENDED R("08 08:00", "temp: 6.0 C"), ""},
    {"not cold after two days", "09 12:00",
     PALE FORCED EVENTS EVENT("07 10:00", "chill") READINGS ENDED R("09 11:00", "temp: 4.0 C"),
     "temp-cold:warn round-missed:note"},
    {"an hour before that it may still fall", "09 09:00",
     PALE FORCED EVENTS EVENT("07 10:00", "chill") READINGS ENDED R("09 08:00", "temp: 4.0 C"),
     "round-missed:note"},
    {"the chill does not bite", "08 09:00",
     PALE FORCED EVENTS EVENT("07 10:00", "chill") READINGS ENDED R("08 08:00", "temp: 18.0 C"),
     "temp-not-falling:warn"},
    {"five degrees warmer over night", "04 09:00",
     PLAIN READINGS R("03 08:00", "gravity: 7.7 P, temp: 17 C")
         R("04 08:00", "gravity: 4.2 P, temp: 22 C"),
     "temp-jump:warn"},
    {"three are its own heat", "04 09:00",
     PLAIN READINGS R("03 08:00", "gravity: 7.7 P, temp: 17 C")
         R("04 08:00", "gravity: 4.2 P, temp: 20 C"),
     ""},

    /* pressure */
    {"at 90 % of the name plate", "04 09:00", PALE READINGS R("04 08:00", "pressure: 0.9 bar"),
     "pressure-rated:alarm"},
    {"at 80 % of it", "04 09:00", PALE READINGS R("04 08:00", "pressure: 0.80 bar"),
     "pressure-rated:warn"},
    {"at 79 %", "04 09:00", PALE READINGS R("04 08:00", "pressure: 0.79 bar"), ""},
    {"rising in the bright tank", "04 09:00",
     BRIGHT READINGS R("03 08:00", "temp: 1 C, pressure: 0.60 bar")
         R("04 08:00", "temp: 1 C, pressure: 0.75 bar"),
     "pressure-rising:note?"},
    {"and again", "05 09:00",
     BRIGHT READINGS R("03 08:00", "temp: 1 C, pressure: 0.60 bar")
         R("04 08:00", "temp: 1 C, pressure: 0.75 bar")
             R("05 08:00", "temp: 1 C, pressure: 0.90 bar"),
     "pressure-rising:warn"},
    {"gas was given", "04 09:00",
     BRIGHT EVENTS EVENT("03 10:00", "carbonate")
         READINGS R("03 08:00", "temp: 1 C, pressure: 0.20 bar")
             R("04 08:00", "temp: 1 C, pressure: 0.65 bar"),
     ""},
    {"it got warmer", "04 09:00",
     BRIGHT READINGS R("03 08:00", "temp: 1 C, pressure: 0.60 bar")
         R("04 08:00", "temp: 3 C, pressure: 0.75 bar"),
     ""},
    {"a leak", "05 09:00",
     BRIGHT READINGS R("03 08:00", "temp: 1 C, pressure: 0.60 bar")
         R("04 08:00", "temp: 1 C, pressure: 0.45 bar")
             R("05 08:00", "temp: 1 C, pressure: 0.30 bar"),
     "pressure-falling:warn"},
    {"vented", "04 09:00",
     BRIGHT EVENTS EVENT("03 10:00", "vent") READINGS R("03 08:00", "temp: 1 C, pressure: 0.60 bar")
         R("04 08:00", "temp: 1 C, pressure: 0.20 bar"),
     ""},
    {"closed, and no pressure", "06 09:00",
     PALE EVENTS EVENT("04 10:00", "close")
         READINGS R("04 08:00", "gravity: 4.2 P, pressure: 0.1 bar")
             R("05 08:00", "gravity: 3.4 P, pressure: 0.1 bar")
                 R("06 08:00", "gravity: 2.9 P, pressure: 0.1 bar"),
     "pressure-not-building:warn"},
    {"closed, and pressure builds", "06 09:00",
     PALE EVENTS EVENT("04 10:00", "close")
         READINGS R("04 08:00", "gravity: 4.2 P, pressure: 0.1 bar")
             R("05 08:00", "gravity: 3.4 P, pressure: 0.3 bar")
                 R("06 08:00", "gravity: 2.9 P, pressure: 0.5 bar"),
     ""},

    /* bright */
    {"short of gas", "04 09:00", BRIGHT READINGS R("04 08:00", "temp: 1 C, carbonation: 2.39 vol"),
     "carbonation:warn"},
    {"enough", "04 09:00", BRIGHT READINGS R("04 08:00", "temp: 1 C, carbonation: 2.40 vol"), ""},
    {"far too much", "04 09:00", BRIGHT READINGS R("04 08:00", "temp: 1 C, carbonation: 2.95 vol"),
     "carbonation:alarm"},
    {"the fermenter's gas is not judged", "04 09:00",
     PALE READINGS R("04 08:00", "gravity: 5.0 P, carbonation: 1.0 vol"), ""},
    {"oxygen over the limit", "04 09:00", BRIGHT READINGS R("04 08:00", "oxygen: 51 ppb"),
     "oxygen:warn"},
    {"oxygen rises", "05 09:00",
     BRIGHT READINGS R("04 08:00", "oxygen: 10 ppb") R("05 08:00", "oxygen: 31 ppb"),
     "oxygen:note"},
    {"oxygen as it was", "05 09:00",
     BRIGHT READINGS R("04 08:00", "oxygen: 30 ppb") R("05 08:00", "oxygen: 50 ppb"), ""},

    /* the meter first */
    {"read with a meter in order", "05 09:00",
     PALE READINGS R("05 08:00", "ph: 3.55, gravity: 2.8 P, ph-meter: M1") M1_IN_ORDER,
     "ph-low:alarm?"},
    {"read with a meter that is not", "05 09:00",
     PALE READINGS R("05 08:00", "ph: 3.55, gravity: 2.8 P, ph-meter: M2") M1_IN_ORDER,
     "meter-doubt:warn ph-low:warn?"},
    {"read with a strip", "02 09:00",
     PALE READINGS R("02 08:00", "ph: 5.4, gravity: 11.5 P, ph-meter: S1"),
     "meter-doubt:warn ph-above-wort:warn"},
    {"two meters, one in order: it holds", "05 09:00",
     PALE READINGS R("05 08:00", "ph: 3.55, gravity: 2.8 P, ph-meter: M1")
         R("05 08:30", "ph: 3.57, ph-meter: M2") M1_IN_ORDER,
     "meter-doubt:warn ph-low:alarm"},
    {"a doubtful density meter: no less than a note", "06 09:00",
     PALE READINGS R("05 08:00", "gravity: 2.8 P, gravity-meter: D1")
         R("06 08:00", "gravity: 3.2 P, gravity-meter: D1"),
     "meter-doubt:warn gravity-rising:note?"},
    {"in doubt, in order, in doubt: it holds", "05 10:00",
     PALE READINGS R("05 08:00", "ph: 3.55, gravity: 2.8 P, ph-meter: M2") R(
         "05 08:30", "ph: 3.57, ph-meter: M1") R("05 09:00", "ph: 3.56, ph-meter: M2") M1_IN_ORDER,
     "meter-doubt:warn ph-low:alarm"},
    {"in doubt twice", "05 10:00",
     PALE READINGS R("05 08:00", "ph: 3.55, gravity: 2.8 P, ph-meter: M2")
         R("05 09:00", "ph: 3.56, ph-meter: M2") M1_IN_ORDER,
     "meter-doubt:warn ph-low:warn"},
    {"overdue, and nothing surprises", "05 09:00",
     PALE READINGS R("05 08:00", "ph: 4.22, gravity: 2.8 P, ph-meter: M2") M1_IN_ORDER,
     "meter-due:note"},
    {"off the end of the scale says nothing", "05 09:00",
     PALE READINGS R("05 08:00", "ph: <4.7, gravity: 2.8 P, ph-meter: S1"), ""},

    {"three tanks off by the same on one day", "07 09:00",
     THREE("4.38", "4.39", "4.37") M1_IN_ORDER, "meter-shift:warn"},
    {"two of three are as they were", "07 09:00", THREE("4.38", "4.20", "4.20") M1_IN_ORDER, ""},
    {"all three by less than a meter wanders", "07 09:00",
     THREE("4.28", "4.29", "4.27") M1_IN_ORDER, ""},
    {"two tanks cannot tell", "07 09:00",
     AT_REST("1", "F1", "4.38") AT_REST("2", "F2", "4.38") M1_IN_ORDER, ""},

    /* the round */
    {"a tank passed by", "05 15:00",
     HEAD("1", "Pale", "F1") READINGS R("05 08:00", "gravity: 2.8 P, ph: 4.22")
         HEAD("2", "Pale", "F2") READINGS R("04 08:00", "gravity: 4.2 P, ph: 4.24"),
     "round-missed:note"},
    {"the last round is that of any tank", "05 15:00",
     HEAD("1", "Pale", "F1") READINGS R("04 08:00", "gravity: 4.2 P, ph: 4.24")
         HEAD("2", "Pale", "F2") READINGS R("05 08:00", "gravity: 2.8 P, ph: 4.22"),
     "round-missed:note"},
    {"read before it was pitched: that was its wort", "05 15:00",
     HEAD("1", "Pale", "F1") READINGS R("05 08:00", "gravity: 2.8 P, ph: 4.22")
         HEAD("2", "Pale", "F2") EVENTS EVENT("05 08:06", "pitch")
             READINGS R("05 08:03", "gravity: 12.0 P"),
     ""},
    {"twice", "05 15:00",
     HEAD("1", "Pale", "F1") READINGS R("04 08:00", "gravity: 4.2 P, ph: 4.24") R(
         "05 08:00", "gravity: 2.8 P, ph: 4.22") HEAD("2", "Pale", "F2") READINGS
         R("03 08:00",
           "gravity: 7.7 P, ph: 4.33") "---\nplant: 2026-11\nrounds:\n  - {at: 2026-11-04 08:00}\n"
                                       "  - {at: 2026-11-05 08:00}\n",
     "round-missed:warn"},
    {"skipped, and the round says why", "05 15:00",
     HEAD("1", "Pale", "F1") READINGS R("05 08:00", "gravity: 2.8 P, ph: 4.22")
         HEAD("2", "Pale", "F2") READINGS R(
             "04 08:00", "gravity: 4.2 P, ph: 4.24") "---\nplant: 2026-11\nrounds:\n  - {at: "
                                                     "2026-11-05 08:00, skipped: [{tank: F2, why: "
                                                     "\"hoses\"}]}\n",
     ""},
    {"a barrel is not due for a month", "05 15:00",
     HEAD("1", "Pale", "F1") READINGS R("05 08:00", "gravity: 2.8 P, ph: 4.22")
         HEAD("2", "Sour", "F4") READINGS R("02 08:00", "gravity: 9.2 P"),
     ""},
    {"the round of today may still come", "05 09:00",
     HEAD("1", "Pale", "F1") READINGS R("04 08:00", "gravity: 4.2 P, ph: 4.24")
         HEAD("2", "Pale", "F2") READINGS R("04 08:30", "gravity: 4.2 P, ph: 4.24"),
     ""},
    {"every figure as the day before, in both tanks", "08 15:00",
     HEAD("1", "Plain", "F1") READINGS R("07 08:00", "gravity: 2.5 P, ph: 4.20, temp: 19.4 C")
         R("08 08:00", "gravity: 2.5 P, ph: 4.20, temp: 19.4 C") HEAD("2", "Plain", "F2")
             READINGS R("07 08:00", "gravity: 2.6 P, ph: 4.25, temp: 19.3 C")
                 R("08 08:00", "gravity: 2.6 P, ph: 4.25, temp: 19.3 C"),
     "round-copied:note"},
    {"in one of two that can be chance", "08 15:00",
     HEAD("1", "Plain", "F1") READINGS R("07 08:00", "gravity: 2.5 P, ph: 4.20, temp: 19.4 C")
         R("08 08:00", "gravity: 2.5 P, ph: 4.20, temp: 19.4 C") HEAD("2", "Plain", "F2")
             READINGS R("07 08:00", "gravity: 2.6 P, ph: 4.25, temp: 19.3 C")
                 R("08 08:00", "gravity: 2.6 P, ph: 4.25, temp: 19.4 C"),
     ""},
    {"one reads temperature higher", "22 09:00", BY_TURNS("20.0") M1_IN_ORDER, "round-person:note"},
    {"half a degree apart at most is no person", "22 09:00", BY_TURNS("19.3") M1_IN_ORDER, ""},

    /* the line */
    {"containers and volume agree", "08 15:00",
     BRIGHT EVENTS PACKAGED("27 hL", "90") READINGS R("07 08:00", "temp: 1 C"), ""},
    {"a count typed wrong", "08 15:00",
     BRIGHT EVENTS PACKAGED("27 hL", "80") READINGS R("07 08:00", "temp: 1 C"),
     "line-figures:note"},
    {"a tenth of the tank is missing", "08 15:00",
     FILLED EVENTS PACKAGED("24.9 hL", "83") READINGS R("07 08:00", "temp: 1 C"),
     "line-figures:note"},
    {"what a blend took is not missing", "08 15:00",
     FILLED EVENTS PACKAGED("18 hL", "60")
         READINGS R("07 08:00", "temp: 1 C") "---\nbatch: 2\nbeer: Plain\nbrewed: 2026-11-07 "
                                             "12:00\nof: [{batch: 1, volume: 10 hL}]\n"
                                             "tanks: [{tank: F2, from: 2026-11-07 12:00}]\n",
     ""},
    {"three in a hundred are usual", "08 15:00",
     FILLED EVENTS PACKAGED("27 hL", "90") READINGS R("07 08:00", "temp: 1 C"), ""},
    {"more than there was", "08 15:00",
     FILLED EVENTS PACKAGED("28.2 hL", "94") READINGS R("07 08:00", "temp: 1 C"),
     "line-figures:note"},

    /* the plant */
    {"the cold room is warm", "05 09:00",
     "---\nplant: 2026-11\nreadings:\n  - {at: 2026-11-05 08:00, check: cold room, value: 4.1 C}\n",
     "check-limits:warn"},
    {"the cold room at its limit", "05 09:00",
     "---\nplant: 2026-11\nreadings:\n  - {at: 2026-11-05 08:00, check: cold room, value: 4.0 C}\n",
     ""},
    {"a counter backwards", "05 09:00",
     "---\nplant: 2026-11\nreadings:\n  - {at: 2026-11-04 08:00, check: water in, value: 120.4 "
     "m3}\n"
     "  - {at: 2026-11-05 08:00, check: water in, value: 102.9 m3}\n",
     "check-counter:warn"},
    {"a counter that stands", "05 09:00",
     "---\nplant: 2026-11\nreadings:\n  - {at: 2026-11-04 08:00, check: water in, value: 120.4 "
     "m3}\n"
     "  - {at: 2026-11-05 08:00, check: water in, value: 120.4 m3}\n",
     ""},
    {"twice the water of the fortnights before", "24 09:00", FORTNIGHTS("221"), "water-use:note"},
    {"a third more", "24 09:00", FORTNIGHTS("207"), ""},
    {"a check passed over", "06 09:00",
     "---\nplant: 2026-11\nreadings:\n  - {at: 2026-11-04 08:00, check: cold room, value: 3.0 C}\n",
     "check-missed:note"},
    {"a check of yesterday, in the morning", "05 09:00",
     "---\nplant: 2026-11\nreadings:\n  - {at: 2026-11-04 08:00, check: cold room, value: 3.0 C}\n",
     ""},
};

static void stories(void **state)
{
    bool fired[ANOMALY_COUNT] = {false};
    size_t wrong = 0;
    (void)state;
    for (size_t i = 0; i < sizeof ROWS / sizeof ROWS[0]; i++)
        wrong += !tell_story(&ROWS[i], NULL, fired);
    for (int rule = 0; rule < ANOMALY_COUNT; rule++)
        if (!fired[rule])
            print_message("note: no story here for %s\n", ANOMALY_RULES[rule].name);
    assert_int_equal(wrong, 0);
}

/* A fall after the end is measured from that end, not from its own first reading. */
static void restarts_from_the_end(void **state)
{
    struct anomaly_test test;
    (void)state;
    anomaly_test_open(&test, CELLAR);
    anomaly_test_load(&test,
                      PALE FORCED READINGS ENDED R("08 08:00", "gravity: 2.2 P")
                          R("09 08:00", "gravity: 2.0 P"),
                      moment("09 09:00"));
    struct anomaly_findings findings = anomaly_judge(&test.judged);
    bool found = false;
    for (size_t i = 0; i < findings.n; i++)
        if (findings.items[i].rule == ANOMALY_RESTART) {
            assert_true(str_is(findings.items[i].expected, "2.5 P"));
            found = true;
        }
    assert_true(found);
    anomaly_test_close(&test);
}

#define SPLIT                                                                                      \
    "---\nbatch: 1\nbeer: Pale\nbrewed: 2026-11-01 12:00\noriginal: 12.0 P\ntanks: [{tank: F1, "   \
    "from: "                                                                                       \
    "2026-11-01 12:00, to: 2026-11-05 12:00}, {tank: F2, from: 2026-11-05 12:00}, {tank: F3, "     \
    "from: "                                                                                       \
    "2026-11-05 12:00}]\n"
#define GONE                                                                                       \
    "---\nbatch: 1\nbeer: Pale\nbrewed: 2026-11-01 12:00\noriginal: 12.0 P\ntanks: [{tank: F1, "   \
    "from: "                                                                                       \
    "2026-11-01 12:00, to: 2026-11-05 12:00}]\n"

/* From a moment on also what has ended (a - behind it), and beer that has left. */
static void since(void **state)
{
    static const struct {
        const char *title, *since;
        struct row row;
    } rows[] = {
        {"what ended since",
         "05 08:00",
         {"", "06 09:00",
          PALE READINGS R("05 08:00", "ph: 3.55, gravity: 2.8 P") R("06 08:00", "ph: 4.20"),
          "ph-low:alarm?-"}},
        {"what ended before",
         "05 08:01",
         {"", "06 09:00",
          PALE READINGS R("05 08:00", "ph: 3.55, gravity: 2.8 P") R("06 08:00", "ph: 4.20"), ""}},
        {"what still is",
         "05 08:01",
         {"", "06 09:00",
          PALE READINGS R("05 08:00", "ph: 3.55, gravity: 2.8 P") R("06 08:00", "temp: 19 C"),
          "ph-low:alarm?"}},
        {"split since: told once",
         "05 08:00",
         {"", "06 09:00", SPLIT READINGS R("05 08:00", "ph: 3.55, gravity: 2.8 P"),
          "ph-low:alarm?"}},
        {"twice in one of the parts",
         "05 08:00",
         {"", "06 09:00",
          SPLIT READINGS R(
              "05 08:00",
              "ph: 3.55, gravity: 2.8 P") "  - {at: 2026-11-06 08:00, tank: F2, ph: 3.55}\n",
          "ph-low:alarm?- ph-low:alarm?"}},
        {"beer that has left since",
         "05 08:00",
         {"", "06 09:00", GONE READINGS R("05 08:00", "ph: 3.55, gravity: 2.8 P"),
          "ph-low:alarm?"}},
        {"beer that has left, and nothing since",
         "05 08:01",
         {"", "06 09:00", GONE READINGS R("05 08:00", "ph: 3.55, gravity: 2.8 P"), ""}},
        {"beer that leaves this minute",
         "05 12:00",
         {"", "05 12:00", GONE READINGS R("05 12:00", "ph: 3.55, gravity: 2.8 P"), ""}},
        {"beer that has left",
         "06 09:00",
         {"", "06 09:00", GONE READINGS R("05 08:00", "ph: 3.55, gravity: 2.8 P"), ""}},
    };
    size_t wrong = 0;
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct anomaly_test test;
        anomaly_test_open(&test, CELLAR);
        anomaly_test_load(&test, rows[i].row.text, moment(rows[i].row.now));
        assert_int_equal(test.diags.n, 0);
        test.judged.since = moment(rows[i].since);
        struct anomaly_findings findings = anomaly_judge(&test.judged);
        struct str found = describe(&test.arena, &findings);
        if (!str_is(found, rows[i].row.found)) {
            print_error("%s: found \"" STR_FMT "\"\n", rows[i].title, STR_ARG(found));
            wrong++;
        }
        anomaly_test_close(&test);
    }
    assert_int_equal(wrong, 0);
}

/* What is asked for alone: a level, tanks; and what an alarm is. */
static void kept(void **state)
{
    static const struct {
        const char *title;
        enum anomaly_level least;
        const char *tanks[2];
        size_t tank_count;
        const char *found;
        size_t alarms;
    } rows[] = {
        {"all",
         ANOMALY_NOTE,
         {NULL},
         0,
         "meter-due:note ph-low:alarm? temp-ferment:note ph-low:warn?",
         1},
        {"no notes", ANOMALY_WARN, {NULL}, 0, "ph-low:alarm? ph-low:warn?", 1},
        {"alarms", ANOMALY_ALARM, {NULL}, 0, "ph-low:alarm?", 1},
        {"one tank", ANOMALY_NOTE, {"F2"}, 1, "ph-low:warn?", 0},
        {"two tanks",
         ANOMALY_NOTE,
         {"F2", "F1"},
         2,
         "ph-low:alarm? temp-ferment:note ph-low:warn?",
         1},
        {"no such tank", ANOMALY_NOTE, {"F9"}, 1, "", 0},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct anomaly_test test;
        struct anomaly_findings findings = judge_story(
            &test, rows[i].title, "05 09:00",
            HEAD("1", "Pale", "F1") READINGS R("05 08:00", "ph: 3.55, gravity: 2.8 P, temp: 20.6 C")
                HEAD("2", "Pale", "F2") READINGS R("05 08:00", "ph: 3.70, gravity: 2.8 P")
                    HEAD("3", "Pale", "F3") READINGS R("05 08:00", "ph: 4.20, ph-meter: M2"),
            NULL);
        anomaly_keep(&findings, rows[i].least, rows[i].tanks, rows[i].tank_count);
        struct str found = describe(&test.arena, &findings);
        size_t alarms = 0;
        for (size_t k = 0; k < findings.n; k++)
            alarms += anomaly_is_alarm(&findings.items[k]);
        if (!str_is(found, rows[i].found) || alarms != rows[i].alarms)
            fail_msg("%s: found \"" STR_FMT "\", %zu alarms", rows[i].title, STR_ARG(found),
                     alarms);
        anomaly_test_close(&test);
    }
    static const struct batch_seen seen;
    assert_true(anomaly_is_alarm(&(struct anomaly_finding){.level = ANOMALY_ALARM}));
    assert_false(anomaly_is_alarm(&(struct anomaly_finding){.level = ANOMALY_WARN}));
    assert_false(
        anomaly_is_alarm(&(struct anomaly_finding){.level = ANOMALY_ALARM, .ended = true}));
    assert_false(
        anomaly_is_alarm(&(struct anomaly_finding){.level = ANOMALY_ALARM, .seen = &seen}));
    assert_int_equal(anomaly_level_of(STR("note")), ANOMALY_NOTE);
    assert_int_equal(anomaly_level_of(STR("alarm")), ANOMALY_ALARM);
    assert_int_equal(anomaly_level_of(STR("")), ANOMALY_NONE);
    assert_int_equal(anomaly_level_of(STR("loud")), ANOMALY_NONE);
}

/* The list itself: every row says all it must, no two share a name. */
static void rules(void **state)
{
    (void)state;
    for (int i = 0; i < ANOMALY_COUNT; i++) {
        const struct anomaly_info *rule = &ANOMALY_RULES[i];
        assert_int_equal(anomaly_find(str_of(rule->name)), i);
        assert_true(rule->meaning[0] != '\0' && rule->normal[0] != '\0');
        assert_true(rule->causes[0] != '\0' && rule->first[0] != '\0');
        assert_true(rule->level > ANOMALY_NONE && rule->alone <= rule->level);
        bool judged = rule->scope == ANOMALY_AT_READING || rule->scope == ANOMALY_AS_OF_NOW;
        assert_int_equal(rule->judge != NULL, judged);
        assert_int_equal(rule->reads != 0, rule->scope == ANOMALY_AT_READING);
    }
    assert_int_equal(anomaly_find(STR("ph-lo")), ANOMALY_COUNT);
    assert_string_equal(anomaly_nearest(STR("ph-lo")), "ph-low");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(rules),
        cmocka_unit_test(stories),
        cmocka_unit_test(since),
        cmocka_unit_test(kept),
        cmocka_unit_test(restarts_from_the_end),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
