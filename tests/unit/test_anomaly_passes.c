/* What is looked at across the tanks, at its bounds: meters, the plant, the line, the round. */
#include "anomaly_run.h"
#include "anomaly_story.h"

#define PLANT                   "---\nplant: 2026-11\nreadings:\n"
#define CHECK(at, check, value) "  - {at: 2026-11-" at ", check: " check ", value: " value "}\n"
/* Every other check in order, so that only one is looked at. */
#define ROOM(at)    CHECK(at, "cold room", "3.0 C")
#define OVERDUE(at) PALE READINGS R(at, "ph: 4.22, gravity: 2.8 P, ph-meter: M2")
#define FILL(volume)                                                                               \
    "---\nbatch: 1\nbeer: Pale\nbrewed: 2026-11-01 12:00\n"                                        \
    "tanks: [{tank: B1, from: 2026-11-06 12:00, volume: " volume "}]\n"
#define DAY7                         READINGS R("07 08:00", "temp: 1 C")
#define TANK(number, tank, readings) HEAD(number, "Plain", tank) READINGS readings
#define SAME(day)                    R(day " 08:00", "gravity: 2.5 P, ph: 4.20, temp: 19.4 C")
#define ROUND(at)                    "  - {at: 2026-11-" at "}\n"
#define ROUNDS                       "---\nplant: 2026-11\nrounds:\n"

static const struct row METERS[] = {
    {"an overdue meter of a week ago", "12 08:00", OVERDUE("05 08:00") M1_IN_ORDER,
     "meter-due:note round-missed:note"},
    {"of longer ago", "12 08:01", OVERDUE("05 08:00") M1_IN_ORDER, "round-missed:note"},
    {"calibrated after it was used", "06 09:00",
     OVERDUE("05 08:00") "---\nplant: 2026-11\ncalibrations:\n"
                         "  - {at: 2026-11-05 09:00, meter: M2, temp: 25 C, buffers: [{ph: 7.00, "
                         "mv: 0}, {ph: 4.01, mv: 172}]}\n",
     ""},
    {"one in doubt, another one due the same day", "05 09:00",
     HEAD("1", "Pale", "F1") READINGS R("05 08:00", "ph: 3.55, gravity: 2.8 P, ph-meter: M1")
         HEAD("2", "Pale", "F2") READINGS R("05 08:00", "ph: 4.22, gravity: 2.8 P, ph-meter: M2"),
     "meter-doubt:warn meter-due:note ph-low:warn?"},
    {"a hydrometer is never due", "05 09:00",
     PALE READINGS R("05 08:00", "gravity: 2.8 P, gravity-meter: R1, temp: 20 C"), ""},
    {"three tanks off a week ago", "14 08:00", THREE("4.38", "4.39", "4.37") M1_IN_ORDER,
     "meter-shift:warn round-missed:note"},
    {"a week is over", "14 08:01", THREE("4.38", "4.39", "4.37") M1_IN_ORDER, "round-missed:note"},
    {"two meters in doubt on one day", "05 09:00",
     HEAD("1", "Pale", "F1") READINGS R("05 08:00", "ph: 3.55, gravity: 2.8 P, ph-meter: M1")
         HEAD("2", "Pale", "F2") READINGS R("05 08:00", "ph: 3.55, gravity: 2.8 P, ph-meter: M2"),
     "meter-doubt:warn meter-doubt:warn ph-low:warn? ph-low:warn?"},
    {"one meter in doubt on two days", "06 09:00",
     PALE READINGS R("05 08:00", "ph: 3.55, gravity: 2.8 P, ph-meter: M2")
         R("06 08:00", "ph: 3.55, gravity: 2.6 P, ph-meter: M2"),
     "meter-doubt:warn meter-doubt:warn ph-low:warn"},
    {"a meter that nobody declared", "05 09:00",
     PALE READINGS R("05 08:00", "ph: 3.55, gravity: 2.8 P, ph-meter: M9"), "ph-low:alarm?"},
    {"a meter of something else", "05 09:00",
     PALE READINGS R("05 08:00", "ph: 3.55, gravity: 2.8 P, ph-meter: D1"), "ph-low:alarm?"},
    {"in doubt three times", "05 10:00",
     PALE READINGS R("05 08:00", "ph: 3.55, gravity: 2.8 P, ph-meter: M2")
         R("05 08:30", "ph: 3.56, ph-meter: M2") R("05 09:00", "ph: 3.56, ph-meter: M2"),
     "meter-doubt:warn ph-low:warn"},
    {"a doubtful meter's surprise of a week ago", "12 08:00",
     PALE READINGS R("05 08:00", "ph: 3.55, gravity: 2.8 P, ph-meter: M2") M1_IN_ORDER,
     "meter-doubt:warn ph-low:warn? round-missed:note"},
    {"of longer ago", "12 08:01",
     PALE READINGS R("05 08:00", "ph: 3.55, gravity: 2.8 P, ph-meter: M2") M1_IN_ORDER,
     "ph-low:warn? round-missed:note"},
};

static const struct row LINE[] = {
    {"the count off by less than two in a hundred", "08 15:00",
     BRIGHT EVENTS PACKAGED("27.5 hL", "90") DAY7, ""},
    {"by two in a hundred", "08 15:00", BRIGHT EVENTS PACKAGED("30 hL", "98") DAY7, ""},
    {"each of two tanks has its own", "08 15:00",
     "---\nbatch: 1\nbeer: Pale\nbrewed: 2026-11-01 12:00\ntanks: [{tank: F1, from: 2026-11-01 "
     "12:00, to: 2026-11-06 12:00}, {tank: B1, from: 2026-11-06 12:00, volume: 14 hL}, {tank: U2, "
     "from: 2026-11-06 12:00, volume: 14 hL}]\n" EVENTS
     "  - {at: 2026-11-08 10:00, what: package, tank: B1, volume: 13.5 hL, empty: yes}\n"
     "  - {at: 2026-11-08 11:00, what: package, tank: U2, volume: 13.5 hL, empty: yes}\n",
     ""},
    {"by more", "08 15:00", BRIGHT EVENTS PACKAGED("27.6 hL", "90") DAY7, "line-figures:note"},
    {"a count without a volume", "08 15:00",
     BRIGHT "events: [{at: 2026-11-08 10:00, what: package, empty: yes, containers: [{size: 30 L, "
            "count: 90}]}]\n" DAY7,
     ""},
    {"5.7 in a hundred are lost", "08 15:00", FILL("28 hL") EVENTS PACKAGED("26.4 hL", "88") DAY7,
     ""},
    {"6.2 are", "08 15:00", FILL("28 hL") EVENTS PACKAGED("26.25 hL", "88") DAY7,
     "line-figures:note"},
    {"half in a hundred more", "08 15:00", FILL("28 hL") EVENTS PACKAGED("28.13 hL", "94") DAY7,
     ""},
    {"more than that", "08 15:00", FILL("28 hL") EVENTS PACKAGED("28.15 hL", "94") DAY7,
     "line-figures:note"},
    {"two days' packaging add up", "08 15:00",
     FILL("28 hL") EVENTS
     "  - {at: 2026-11-07 10:00, what: package, volume: 13.5 hL}\n" PACKAGED("13.5 hL", "45") DAY7,
     ""},
    {"a day's volume is missing", "08 15:00",
     FILL("28 hL") EVENTS "  - {at: 2026-11-07 10:00, what: package}\n" PACKAGED("13.5 hL", "45")
         DAY7,
     ""},
    {"what was filled before, from another tank, is not of it", "08 15:00",
     "---\nbatch: 1\nbeer: Pale\nbrewed: 2026-11-01 12:00\ntanks: [{tank: F1, from: 2026-11-01 "
     "12:00, to: "
     "2026-11-06 12:00}, {tank: B1, from: 2026-11-06 12:00, volume: 28 hL}]\n" EVENTS
     "  - {at: 2026-11-05 10:00, what: package, volume: 1.5 hL}\n" PACKAGED("27 hL", "90") DAY7,
     ""},
    {"the tank is not empty yet", "08 15:00",
     FILL("28 hL") EVENTS "  - {at: 2026-11-08 10:00, what: package, volume: 13.5 hL}\n" DAY7, ""},
    {"three days ago", "11 10:00", FILL("28 hL") EVENTS PACKAGED("24.9 hL", "83") DAY7,
     "line-figures:note"},
    {"longer ago", "11 10:01", FILL("28 hL") EVENTS PACKAGED("24.9 hL", "83") DAY7, ""},
};

#define BREWS                                                                                      \
    BREW("1", "09-20") BREW("2", "10-04") BREW("3", "10-20") BREW("4", "11-02") BREW("5", "11-12")
#define EIGHT           BREW("6", "09-05") BREW("7", "08-25") BREW("8", "08-10") BREWS
#define SILO(at, value) "  - {at: 2026-" at " 08:00, check: silo, value: " value " m3}\n"
/* The last brew was pitched on the minute at which the last fortnight begins. */
#define BOUNDARY(last)                                                                             \
    BREW("1", "09-20")                                                                             \
    BREW("2", "10-04")                                                                             \
    BREW("3", "10-20")                                                                             \
    BREW("4", "11-02")                                                                             \
    "---\nbatch: 5\nbeer: Plain\nbrewed: 2026-11-10 08:00\nvolume: 28 hL\n"                        \
    "---\nplant: 2026-11\nreadings:\n" COUNTER("09-15", "100") COUNTER("09-29", "120")             \
        COUNTER("10-13", "141") COUNTER("10-27", "160") COUNTER("11-10", "181")                    \
            COUNTER("11-24", last)

static const struct row CHECKS[] = {
    {"the cold room at its low end", "05 09:00", PLANT CHECK("05 08:00", "cold room", "1.0 C"), ""},
    {"the cold room freezes", "05 09:00", PLANT CHECK("05 08:00", "cold room", "0.9 C"),
     "check-limits:warn"},
    {"only the last reading counts", "05 09:00",
     PLANT CHECK("04 08:00", "cold room", "5.0 C") CHECK("05 08:00", "cold room", "3.0 C"), ""},
    {"in whatever order they stand", "05 09:00",
     PLANT CHECK("05 08:00", "cold room", "3.0 C") CHECK("04 08:00", "cold room", "5.0 C"), ""},
    {"a limit at one end", "05 09:00", PLANT CHECK("05 08:00", "steam", "0.9 bar"),
     "check-limits:warn"},
    {"and at it", "05 09:00", PLANT CHECK("05 08:00", "steam", "1.0 bar"), ""},
    {"read a day and a half ago", "06 20:00", PLANT CHECK("05 08:00", "cold room", "3.0 C"), ""},
    {"a minute more", "06 20:01", PLANT CHECK("05 08:00", "cold room", "3.0 C"),
     "check-missed:note"},
    {"every twelve hours: after eighteen", "06 02:00", PLANT CHECK("05 08:00", "steam", "2.0 bar"),
     ""},
    {"a minute more", "06 02:01", PLANT CHECK("05 08:00", "steam", "2.0 bar"), "check-missed:note"},
    {"a counter backwards by a little", "05 09:00",
     PLANT CHECK("04 08:00", "water in", "120.4 m3") CHECK("05 08:00", "water in", "120.3 m3"),
     "check-counter:warn"},
    {"a counter's readings in no order", "05 09:00",
     PLANT CHECK("05 08:00", "water in", "120.4 m3") CHECK("03 08:00", "water in", "118.0 m3")
         CHECK("04 08:00", "water in", "119.0 m3"),
     ""},
    {"a counter backwards, in no order", "05 09:00",
     PLANT CHECK("05 08:00", "water in", "118.5 m3") CHECK("03 08:00", "water in", "118.0 m3")
         CHECK("04 08:00", "water in", "119.0 m3"),
     "check-counter:warn"},
    {"what is written for later is not known yet", "05 09:00",
     PLANT CHECK("05 08:00", "cold room", "3.0 C") CHECK("05 09:01", "cold room", "5.0 C"), ""},
    {"what is written now is", "05 09:00",
     PLANT CHECK("05 08:00", "cold room", "3.0 C") CHECK("05 09:00", "cold room", "5.0 C"),
     "check-limits:warn"},
    {"twice in one minute: the later entry", "05 09:00",
     PLANT CHECK("05 08:00", "cold room", "3.0 C") CHECK("05 08:00", "cold room", "5.0 C"),
     "check-limits:warn"},
    {"twice in one minute the day before", "05 09:00",
     PLANT CHECK("05 08:00", "water in", "119.5 m3") CHECK("04 08:00", "water in", "119.0 m3")
         CHECK("04 08:00", "water in", "120.0 m3"),
     "check-counter:warn"},
    {"a counter's first reading", "05 09:00", PLANT CHECK("05 08:00", "water in", "120.4 m3"), ""},
    {"a new counter begins low", "05 09:00",
     PLANT CHECK("04 08:00", "water in", "120.4 m3")
         CHECK("05 08:00", "water in", "0.3 m3, reset: yes"),
     ""},
    {"a room may get colder", "05 09:00",
     PLANT CHECK("04 08:00", "cold room", "3.0 C") CHECK("05 08:00", "cold room", "2.0 C"), ""},
    {"half as much water again", "24 09:00", FORTNIGHTS("211.7"), ""},
    {"more than that", "24 09:00", FORTNIGHTS("211.8"), "water-use:note"},
    {"exactly half as much again", "24 09:00",
     BREWS "---\nplant: 2026-11\nreadings:\n" COUNTER("09-15", "100") COUNTER("09-29", "128")
         COUNTER("10-13", "156") COUNTER("10-27", "184") COUNTER("11-10", "212")
             COUNTER("11-24", "254"),
     ""},
    {"the six fortnights before, no more", "24 09:00",
     EIGHT "---\nplant: 2026-11\nreadings:\n" COUNTER("08-04", "100") COUNTER("08-18", "140")
         COUNTER("09-01", "160") COUNTER("09-15", "200") COUNTER("09-29", "220")
             COUNTER("10-13", "260") COUNTER("10-27", "280") COUNTER("11-10", "320")
                 COUNTER("11-24", "370"),
     "water-use:note"},
    {"another check's reading is not the counter's", "24 09:00",
     FORTNIGHTS("207") CHECK("10 08:00", "cold room", "3.0 C")
         CHECK("24 07:00", "cold room", "3.0 C"),
     ""},
    {"pitched as a fortnight begins, it is of that one", "24 09:00", BOUNDARY("211.8"),
     "water-use:note"},
    {"and of no other", "24 09:00", BOUNDARY("211.7"), ""},
    {"nothing was brewed", "24 09:00",
     BREW("1", "09-20") BREW("2", "10-04") BREW("3", "10-20")
         BREW("4", "11-02") "---\nplant: 2026-11\nreadings:\n" COUNTER("09-15", "100")
             COUNTER("09-29", "120") COUNTER("10-13", "141") COUNTER("10-27", "160")
                 COUNTER("11-10", "181") COUNTER("11-24", "221"),
     ""},
    {"a new counter in between tells nothing of its fortnight", "24 09:00",
     BREWS "---\nplant: 2026-11\nreadings:\n" COUNTER("09-15", "100") COUNTER("09-29", "120")
         COUNTER("10-13", "141") COUNTER("10-27", "160") COUNTER("11-10", "5")
             COUNTER("11-24", "34.5"),
     ""},
    {"a fortnight without water counts", "24 09:00",
     BREWS "---\nplant: 2026-11\nreadings:\n" COUNTER("09-29", "120") COUNTER("10-13", "140")
         COUNTER("10-27", "170") COUNTER("11-10", "170") COUNTER("11-24", "201"),
     "water-use:note"},
    {"what is no counter is not used up", "24 09:00",
     BREWS "---\nplant: 2026-11\nreadings:\n" SILO("09-15", "100") SILO("09-29", "120")
         SILO("10-13", "141") SILO("10-27", "160") SILO("11-10", "181") SILO("11-24", "221"),
     ""},
    {"three fortnights before are enough", "24 09:00",
     BREW("2", "10-04") BREW("3", "10-20") BREW("4", "11-02")
         BREW("5", "11-12") "---\nplant: 2026-11\nreadings:\n" COUNTER("09-29", "120")
             COUNTER("10-13", "141") COUNTER("10-27", "160") COUNTER("11-10", "181")
                 COUNTER("11-24", "221"),
     "water-use:note"},
    {"two are not", "24 09:00",
     BREW("3", "10-20") BREW("4", "11-02")
         BREW("5", "11-12") "---\nplant: 2026-11\nreadings:\n" COUNTER("10-13", "141")
             COUNTER("10-27", "160") COUNTER("11-10", "181") COUNTER("11-24", "221"),
     ""},
    {"a counter read two days before serves", "24 09:00",
     BREW("2", "10-04") BREW("3", "10-20") BREW("4", "11-02")
         BREW("5", "11-12") "---\nplant: 2026-11\nreadings:\n" COUNTER("09-27", "120")
             COUNTER("10-13", "141") COUNTER("10-27", "160") COUNTER("11-10", "181")
                 COUNTER("11-24", "221"),
     "water-use:note"},
    {"an older one does not", "24 09:00",
     BREW("2", "10-04") BREW("3", "10-20") BREW("4", "11-02")
         BREW("5", "11-12") "---\nplant: 2026-11\nreadings:\n" COUNTER("09-26", "120")
             COUNTER("10-13", "141") COUNTER("10-27", "160") COUNTER("11-10", "181")
                 COUNTER("11-24", "221"),
     ""},
};

static const struct row ROUNDS_OF[] = {
    {"a round six hours ago is over", "05 14:00",
     TANK("1", "F1", R("04 08:00", "temp: 19.2 C") R("05 08:00", "temp: 19.0 C"))
         TANK("2", "F2", R("04 08:00", "temp: 19.0 C")),
     "round-missed:note"},
    {"a minute earlier it may still come", "05 13:59",
     TANK("1", "F1", R("04 08:00", "temp: 19.2 C") R("05 08:00", "temp: 19.0 C"))
         TANK("2", "F2", R("04 08:00", "temp: 19.0 C")),
     ""},
    {"a round in the log, six hours ago", "05 14:00",
     TANK("1", "F1", R("04 08:00", "temp: 19.2 C") R("05 08:00", "temp: 19.0 C"))
         TANK("2", "F2", R("04 08:00", "temp: 19.0 C")) ROUNDS ROUND("04 08:00") ROUND("05 08:00"),
     "round-missed:note"},
    {"a minute earlier it may not have ended", "05 13:59",
     TANK("1", "F1", R("04 08:00", "temp: 19.2 C") R("05 08:00", "temp: 19.0 C"))
         TANK("2", "F2", R("04 08:00", "temp: 19.0 C")) ROUNDS ROUND("04 08:00") ROUND("05 08:00"),
     ""},
    {"a look into one tank is no round where rounds are logged", "06 15:00",
     TANK("1", "F1", R("05 08:00", "temp: 19.2 C") R("06 08:00", "temp: 19.0 C"))
         TANK("2", "F2", R("05 08:00", "temp: 19.0 C")) ROUNDS ROUND("05 08:00"),
     ""},
    {"filled on the day of the round", "05 15:00",
     TANK("1", "F1", R("05 08:00", "temp: 19.0 C")) "---\nbatch: 2\nbeer: Plain\nbrewed: "
                                                    "2026-11-05 06:00\ntanks: [{tank: F2, from: "
                                                    "2026-11-05 06:00}]\n",
     ""},
    {"filled the day before", "05 15:00",
     TANK("1", "F1", R("05 08:00", "temp: 19.0 C")) "---\nbatch: 2\nbeer: Plain\nbrewed: "
                                                    "2026-11-04 16:00\ntanks: [{tank: F2, from: "
                                                    "2026-11-04 16:00}]\n",
     "round-missed:note"},
    {"passed by twice, but skipped with a reason the first time", "05 15:00",
     TANK("1", "F1", R("04 08:00", "temp: 19.0 C") R("05 08:00", "temp: 19.1 C"))
         TANK("2", "F2", R("03 08:00", "temp: 19.0 C")) ROUNDS
     "  - {at: 2026-11-04 08:00, skipped: [{tank: F2, why: \"hoses\"}]}\n" ROUND("05 08:00"),
     "round-missed:note"},
    {"a tank wanted every day is on every round", "05 15:00",
     TANK("1", "F1", R("04 08:00", "temp: 19.2 C") R("05 08:00", "temp: 19.0 C"))
         TANK("2", "U2", R("04 08:00", "temp: 19.0 C")),
     "round-missed:note"},
    {"a barrel after thirty days", "16 15:00",
     "---\nbatch: 2\nbeer: Sour\nbrewed: 2026-10-01 12:00\ntanks: [{tank: F4, from: 2026-10-01 "
     "12:00}]\nreadings:\n  - {at: 2026-10-16 23:59, ph: 3.50}\n" TANK(
         "1", "F1", R("15 08:00", "temp: 19.0 C") R("16 08:00", "temp: 19.0 C")),
     "round-missed:note"},
    {"not before", "16 15:00",
     "---\nbatch: 2\nbeer: Sour\nbrewed: 2026-10-01 12:00\ntanks: [{tank: F4, from: 2026-10-01 "
     "12:00}]\nreadings:\n  - {at: 2026-10-17 00:00, ph: 3.50}\n" TANK(
         "1", "F1", R("15 08:00", "temp: 19.0 C") R("16 08:00", "temp: 19.0 C")),
     ""},
    {"a round of three days ago still matters", "10 15:00",
     TANK("1", "F1", R("06 08:00", "temp: 19.0 C")) TANK("2", "F2", R("07 08:00", "temp: 19.0 C")),
     "round-missed:note round-missed:note"},
    {"of four it does not", "11 15:00",
     TANK("1", "F1", R("06 08:00", "temp: 19.0 C")) TANK("2", "F2", R("07 08:00", "temp: 19.0 C")),
     "round-missed:note"},

    {"one tank the same three days in a row", "09 15:00",
     TANK("1", "F1", SAME("07") SAME("08") SAME("09"))
         TANK("2", "F2", R("08 08:00", "temp: 19.0 C") R("09 08:00", "temp: 19.2 C"))
             TANK("3", "F3", R("08 08:00", "temp: 19.0 C") R("09 08:00", "temp: 19.2 C")),
     "round-copied:note"},
    {"two days in a row", "09 15:00",
     TANK("1", "F1", SAME("08") SAME("09"))
         TANK("2", "F2", R("08 08:00", "temp: 19.0 C") R("09 08:00", "temp: 19.2 C"))
             TANK("3", "F3", R("08 08:00", "temp: 19.0 C") R("09 08:00", "temp: 19.2 C")),
     ""},
    {"two of four", "08 15:00",
     TANK("1", "F1", SAME("07") SAME("08")) TANK("2", "F2", SAME("07") SAME("08"))
         TANK("3", "F3", R("08 08:00", "temp: 19.0 C")) TANK("4", "B1", R("08 08:00", "temp: 1 C")),
     "round-copied:note"},
    {"two of five", "08 15:00",
     TANK("1", "F1", SAME("07") SAME("08")) TANK("2", "F2", SAME("07") SAME("08"))
         TANK("3", "F3", R("08 08:00", "temp: 19.0 C")) TANK("4", "B1", R("08 08:00", "temp: 1 C"))
             TANK("5", "F4", R("08 08:00", "temp: 19.0 C")),
     ""},
    {"two figures are too few to tell", "08 15:00",
     TANK("1", "F1",
          R("07 08:00", "ph: 4.20, temp: 19.4 C") R("08 08:00", "ph: 4.20, temp: 19.4 C"))
         TANK("2", "F2",
              R("07 08:00", "ph: 4.20, temp: 19.4 C") R("08 08:00", "ph: 4.20, temp: 19.4 C")),
     ""},
    {"one figure more is another reading", "08 15:00",
     TANK("1", "F1",
          SAME("07") R("08 08:00", "gravity: 2.5 P, ph: 4.20, temp: 19.4 C, pressure: 0.2 bar"))
         TANK("2", "F2",
              SAME("07")
                  R("08 08:00", "gravity: 2.5 P, ph: 4.20, temp: 19.4 C, pressure: 0.2 bar")),
     ""},
    {"twice on one day is one reading", "08 15:00",
     TANK("1", "F1", SAME("08") R("08 08:10", "gravity: 2.5 P, ph: 4.20, temp: 19.4 C"))
         TANK("2", "F2", SAME("08") R("08 08:10", "gravity: 2.5 P, ph: 4.20, temp: 19.4 C")),
     ""},
};

/* n pairs, each with AB's 19.0 C first. */
#define PAIRS9                                                                                     \
    PLAIN READINGS TURN("12", "13", "20.0") TURN("14", "15", "20.0") TURN("16", "17", "20.0")      \
        TURN("18", "19", "20.0") R("20 08:00", "temp: 19.0 C, by: AB")
/* Eleven pairs: AB reads one thing, CD the other. */
#define BOTH(a, b, one, other) R(a " 08:00", one ", by: AB") R(b " 08:00", other ", by: CD")
#define TURNS(one, other)                                                                          \
    PLAIN READINGS BOTH("10", "11", one, other) BOTH("12", "13", one, other)                       \
        BOTH("14", "15", one, other) BOTH("16", "17", one, other) BOTH("18", "19", one, other)     \
            BOTH("20", "21", one, other)
#define AB(at, temp) R(at " 08:00", "temp: " temp " C, by: AB")
#define CD(at, temp) R(at " 08:00", "temp: " temp " C, by: CD")
#define EVERY_TWO(a, b)                                                                            \
    PLAIN READINGS R("01 13:00", "temp: 19.0 C, by: AB") CD("03", b) AB("05", a) CD("07", b)       \
        AB("09", a) CD("11", b) AB("13", a) CD("15", b) AB("17", a) CD("19", b) AB("21", a)
#define EVERY_THREE(a, b)                                                                          \
    CD("04", b)                                                                                    \
    AB("07", a) CD("10", b) AB("13", a) CD("16", b) AB("19", a) CD("22", b) AB("25", a) CD("28", b)
/* Ten pairs in October, a day apart, at nine. */
#define OCT(day, temp, by) "  - {at: 2026-" day " 09:00, temp: " temp " C, by: " by "}\n"
#define OCTOBER                                                                                    \
    "---\nbatch: 1\nbeer: Plain\nbrewed: 2026-09-20 12:00\n"                                       \
    "tanks: [{tank: F1, from: 2026-09-20 12:00}]\n" READINGS OCT("09-30", "19.0", "AB")            \
        OCT("10-01", "20.0", "CD") OCT("10-02", "19.0", "AB") OCT("10-03", "20.0", "CD")           \
            OCT("10-04", "19.0", "AB") OCT("10-05", "20.0", "CD") OCT("10-06", "19.0", "AB")       \
                OCT("10-07", "20.0", "CD") OCT("10-08", "19.0", "AB") OCT("10-09", "20.0", "CD")   \
                    OCT("10-10", "19.0", "AB")
static const struct row PEOPLE[] = {
    {"a tenth of a Plato", "22 09:00", TURNS("gravity: 2.50 P", "gravity: 2.60 P"),
     "round-person:note"},
    {"0.105 P", "22 09:00", TURNS("gravity: 2.500 P", "gravity: 2.605 P"), "round-person:note"},
    {"0.09 P", "22 09:00", TURNS("gravity: 2.50 P", "gravity: 2.59 P"), ""},
    {"0.05 of pH", "22 09:00", TURNS("ph: 4.20", "ph: 4.25"), "round-person:note"},
    {"0.04 of pH", "22 09:00", TURNS("ph: 4.20", "ph: 4.24"), ""},
    {"0.05 bar", "22 09:00", TURNS("pressure: 0.20 bar", "pressure: 0.25 bar"),
     "round-person:note"},
    {"0.04 bar", "22 09:00", TURNS("pressure: 0.20 bar", "pressure: 0.24 bar"), ""},
    {"each with a meter of his own: it may be the meter", "22 09:00",
     TURNS("temp: 20 C, gravity: 2.50 P, gravity-meter: R1", "temp: 20 C, gravity: 2.62 P"), ""},
    {"off the end of the scale is no pair", "22 09:00",
     TURNS("gravity: 2.50 P", "gravity: \">2.60 P\""), ""},
    {"two days between them", "22 09:00", EVERY_TWO("19.0", "20.0"), "round-person:note"},
    {"three: the beer may have changed", "28 15:00",
     TANK("1", "F1", EVERY_THREE("19.0", "20.0")) TANK("2", "F2", EVERY_THREE("19.1", "20.1")), ""},
    {"half a degree apart", "22 09:00", BY_TURNS("19.5") M1_IN_ORDER, "round-person:note"},
    {"0.4 apart", "22 09:00", BY_TURNS("19.4") M1_IN_ORDER, ""},
    {"three degrees apart are still at rest", "22 09:00", BY_TURNS("22.0") M1_IN_ORDER,
     "round-person:note"},
    {"more is not", "22 09:00", BY_TURNS("22.1") M1_IN_ORDER, ""},
    {"lower", "22 09:00", BY_TURNS("18.0") M1_IN_ORDER, "round-person:note"},
    {"eight pairs are too few", "21 09:00", PAIRS9, ""},
    {"ten pairs", "22 09:00",
     PLAIN READINGS TURN("11", "12", "20.0") TURN("13", "14", "20.0") TURN("15", "16", "20.0")
         TURN("17", "18", "20.0") TURN("19", "20", "20.0") R("21 08:00", "temp: 19.0 C, by: AB"),
     "round-person:note"},
    {"nine", "21 09:00",
     PLAIN READINGS TURN("11", "12", "20.0") TURN("13", "14", "20.0") TURN("15", "16", "20.0")
         TURN("17", "18", "20.0") TURN("19", "20", "20.0"),
     ""},
    {"nine of ten on one side", "22 09:00",
     PLAIN READINGS TURN("11", "12", "18.8") R("13 08:00", "temp: 17.8 C, by: AB")
         R("14 08:00", "temp: 20.0 C, by: CD") TURN("15", "16", "20.0") TURN("17", "18", "20.0")
             TURN("19", "20", "20.0") R("21 08:00", "temp: 19.0 C, by: AB"),
     "round-person:note"},
    {"nine of ten, the one in between", "22 09:00",
     PLAIN READINGS TURN("11", "12", "20.0") TURN("13", "14", "18.9")
         R("15 08:00", "temp: 17.9 C, by: AB") R("16 08:00", "temp: 20.0 C, by: CD") TURN(
             "17", "18", "20.0") TURN("19", "20", "20.0") R("21 08:00", "temp: 19.0 C, by: AB"),
     "round-person:note"},
    {"eight of ten, and two that agree", "22 09:00",
     PLAIN READINGS TURN("11", "12", "20.0") TURN("13", "14", "20.0") TURN("15", "16", "20.0")
         TURN("17", "18", "19.0") TURN("19", "20", "20.0") R("21 08:00", "temp: 19.0 C, by: AB"),
     ""},
    {"nobody wrote who read the others", "22 09:00",
     PLAIN READINGS R("10 08:00", "temp: 19.0 C, by: AB") R("11 08:00", "temp: 20.0 C")
         R("12 08:00", "temp: 19.0 C, by: AB") R("13 08:00", "temp: 20.0 C"),
     "round-missed:note"},
    {"sixty days of pairs", "30 09:00", OCTOBER, "round-missed:note round-person:note"},
    {"a minute later one pair of the ten is too old", "30 09:01", OCTOBER, "round-missed:note"},
    {"eight of ten", "22 09:00",
     PLAIN READINGS TURN("11", "12", "18.8") R("13 08:00", "temp: 17.8 C, by: AB")
         R("14 08:00", "temp: 20.0 C, by: CD") TURN("15", "16", "18.9")
             R("17 08:00", "temp: 17.9 C, by: AB") R("18 08:00", "temp: 20.0 C, by: CD")
                 TURN("19", "20", "20.0") R("21 08:00", "temp: 19.0 C, by: AB"),
     ""},
    {"three people: all but the two in the middle", "14 09:00",
     PLAIN READINGS TURN("01", "02", "20.0") TURN("03", "04", "20.0") TURN("05", "06", "20.0")
         TURN("07", "08", "20.0") TURN("09", "10", "20.0") TURN("11", "12", "20.0")
             R("13 08:00", "temp: 19.0 C, by: EF"),
     "round-person:note round-person:note"},
};

static const struct row NO_ROUND[] = {
    {"nobody walked yesterday", "07 09:00", PLAIN READINGS R("05 08:00", "temp: 19.0 C"),
     "round-missed:note"},
    {"yesterday somebody did", "07 09:00", PLAIN READINGS R("06 08:00", "temp: 19.0 C"), ""},
    {"nothing was ever read", "07 09:00", PLAIN, ""},
    {"for a barrel alone nobody need walk", "08 15:00",
     HEAD("1", "Sour", "F4") READINGS R("05 08:00", "gravity: 9.2 P"), ""},
    {"the beer has gone", "07 09:00",
     "---\nbatch: 1\nbeer: Plain\nbrewed: 2026-11-01 12:00\n"
     "tanks: [{tank: F1, from: 2026-11-01 12:00, to: 2026-11-05 12:00}]\n" READINGS R(
         "05 08:00", "temp: 19.0 C"),
     ""},
};

#define TABLE(rows) tell_stories(rows, sizeof rows / sizeof rows[0], NULL)

static void meters(void **state)
{
    (void)state;
    TABLE(METERS);
}

static void line(void **state)
{
    (void)state;
    TABLE(LINE);
}

static void checks(void **state)
{
    (void)state;
    TABLE(CHECKS);
}

static void rounds(void **state)
{
    (void)state;
    TABLE(ROUNDS_OF);
    TABLE(NO_ROUND);
}

static void people(void **state)
{
    (void)state;
    TABLE(PEOPLE);
}

/* The walk first, then the other tanks as the cellar file has them, then what it does not have. */
static void walking_order(void **state)
{
    static const char cellar[] = "---\ncellar: Test\nzone: UTC\nwalk: [F2]\n"
                                 "tanks:\n  F1: {kind: fermenter}\n  F2: {kind: fermenter}\n"
                                 "  F3: {kind: fermenter}\n";
    static const char *const TANKS[] = {"F2", "F1", "F3", "F9"};
    struct anomaly_test test;
    (void)state;
    anomaly_test_open(&test, cellar);
    anomaly_test_load(&test, "---\nplant: 2026-11\n", moment("07 09:00"));
    for (size_t i = 1; i < sizeof TANKS / sizeof TANKS[0]; i++)
        assert_true(anomaly_walk_order(&test.judged, str_of(TANKS[i - 1])) <
                    anomaly_walk_order(&test.judged, str_of(TANKS[i])));
    anomaly_test_close(&test);
}

/* Where nobody walks, it is so from the day after the last round on. */
static void no_round_since(void **state)
{
    struct anomaly_test test;
    struct anomaly_findings findings = judge_story(
        &test, "no round", "08 09:00", PLAIN READINGS R("05 08:00", "temp: 19.0 C"), NULL);
    (void)state;
    assert_int_equal(findings.n, 1);
    assert_int_equal(findings.items[0].at, moment("06 00:00"));
    anomaly_test_close(&test);
}

/* Of the tanks that a meter was off in, one is asked for, or none. */
static void asked_for(void **state)
{
    static const struct {
        const char *title;
        bool asked[3];
        const char *found;
    } rows[] = {
        {"all", {true, true, true}, "meter-shift:warn"},
        {"one", {false, true, false}, "meter-shift:warn"},
        {"none", {false, false, false}, ""},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct anomaly_test test;
        anomaly_test_open(&test, CELLAR);
        anomaly_test_load(&test, THREE("4.38", "4.39", "4.37") M1_IN_ORDER, moment("07 09:00"));
        test.judged.asked = rows[i].asked;
        struct anomaly_findings findings = anomaly_judge(&test.judged);
        struct str found = describe(&test.arena, &findings);
        if (!str_is(found, rows[i].found))
            fail_msg("%s: found \"" STR_FMT "\"", rows[i].title, STR_ARG(found));
        anomaly_test_close(&test);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(meters),        cmocka_unit_test(line),
        cmocka_unit_test(checks),        cmocka_unit_test(rounds),
        cmocka_unit_test(people),        cmocka_unit_test(asked_for),
        cmocka_unit_test(walking_order), cmocka_unit_test(no_round_since),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
