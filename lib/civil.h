/*
 * Civil time: instants, the calendar, and the wall clock of a zone. An instant is a count of
 * seconds since 1970-01-01T00:00:00Z without leap seconds, as POSIX counts them. The calendar is
 * the Gregorian one. A zone is read from a TZif file (RFC 9636) or is a fixed offset; nothing here
 * looks at the TZ variable, the locale or the clock.
 *
 * Text is read for the years CIVIL_FIRST_YEAR to CIVIL_LAST_YEAR, and a zone knows its rules for
 * just those. Instants and days outside the years 0 to 9999 are taken as the nearest end of them,
 * so any int64_t may be given and a year is always written with four digits.
 */
#ifndef GYLE_CIVIL_H
#define GYLE_CIVIL_H

#include "arena.h"

#include <stddef.h>
#include <stdint.h>

#define CIVIL_FIRST_YEAR 1900
#define CIVIL_LAST_YEAR  2200
#define CIVIL_MINUTE     60
#define CIVIL_HOUR       3600
#define CIVIL_DAY        86400

struct civil_zone;

enum civil_status {
    CIVIL_OK,
    CIVIL_FOLD,       /* the hour comes twice that night: the first was taken */
    CIVIL_GAP,        /* the hour is skipped that night */
    CIVIL_SYNTAX,     /* not written as a time */
    CIVIL_IMPOSSIBLE, /* no such date or time of day: 2026-02-30, 25:00 */
    CIVIL_RANGE       /* a year before CIVIL_FIRST_YEAR or after CIVIL_LAST_YEAR */
};

/* What a status means to the person who wrote the time, and what would be right; for a diagnostic.
 * "" for CIVIL_OK. */
const char *civil_status_text(enum civil_status status);

/* The calendar. A day is a count of days since 1970-01-01. */

struct civil_date {
    int year;
    int month; /* 1..12 */
    int day;   /* 1..31 */
};

/* Any year; a month outside 1..12 has 0 days. */
int civil_days_in_month(int year, int month);

/* The date must exist. */
int64_t civil_day_of_date(struct civil_date date);

struct civil_date civil_date_of_day(int64_t day);

/* 1 Monday to 7 Sunday, as ISO 8601 counts. */
int civil_weekday(int64_t day);

/* Zones. */

/*
 * The zone called name, which lives as long as the arena. "UTC", "+01:00" and "-03:30" always work.
 * Any other name is that of a TZif file in folder; a folder of NULL or "" stands for the first of
 * /usr/share/zoneinfo, /usr/lib/zoneinfo, /usr/share/lib/zoneinfo, /etc/zoneinfo that has the file.
 * No file is opened for a name that does not match [A-Za-z0-9_+-]+(/[A-Za-z0-9_+-]+)*.
 * On failure NULL, and *why is a reason to print after the name and a colon.
 */
const struct civil_zone *civil_zone_read(struct arena *arena, const char *folder, const char *name,
                                         size_t name_len, const char **why);

/*
 * The same from the bytes of a TZif file. Version 1 files are taken, though they have no rule: the
 * offset then stays as their last transition left it. Refused, with a reason: a file that is cut
 * short or contradicts itself, one of over 1 MiB, and one that counts leap seconds ("right/...").
 */
const struct civil_zone *civil_zone_decode(struct arena *arena, const void *bytes, size_t size,
                                           const char **why);

/* UTC, without an arena. */
const struct civil_zone *civil_utc(void);

/* The wall clock. */

struct civil_time {
    int year, month, day, hour, minute, second;
    int weekday;              /* 1 Monday to 7 Sunday */
    int offset;               /* seconds east of UTC */
    const char *abbreviation; /* "GMT", "+0545"; as long as the zone */
};

void civil_local(const struct civil_zone *zone, int64_t at, struct civil_time *time);

/*
 * The instant at which the zone's clock shows a date and time of day (seconds since its midnight,
 * 0..86399). CIVIL_OK or CIVIL_FOLD; CIVIL_GAP, with *at the moment of the jump; CIVIL_IMPOSSIBLE
 * or CIVIL_RANGE, with *at untouched.
 */
enum civil_status civil_instant(const struct civil_zone *zone, struct civil_date date,
                                int seconds_of_day, int64_t *at);

/* The day that the zone's calendar shows: equal values are the same calendar day. */
int64_t civil_day(const struct civil_zone *zone, int64_t at);

/* The first second of that day in the zone; where clocks skip midnight, or the whole day, the
 * moment of the jump. */
int64_t civil_day_start(const struct civil_zone *zone, int64_t day);

/* Reading. None of these takes white space around the text or leaves anything of it unread. */

/*
 * RFC 3339 ("2026-11-14T15:30:00Z", "2026-11-14 15:30:00.5+01:00"; the seconds may be left out), or
 * a local time of the zone ("2026-11-14 15:30", "2026-11-14T15:30:20"). A fraction of a second is
 * read and dropped. "-00:00" is read as "Z". A leap second (23:59:60 in UTC) is read as the second
 * after it. *at as civil_instant() leaves it; untouched on CIVIL_SYNTAX.
 */
enum civil_status civil_parse(const char *text, size_t n, const struct civil_zone *zone,
                              int64_t *at);

/* "2026-11-14". CIVIL_OK, CIVIL_SYNTAX, CIVIL_IMPOSSIBLE or CIVIL_RANGE. */
enum civil_status civil_parse_date(const char *text, size_t n, struct civil_date *date);

/* Either: a date alone is the first second of that day in the zone. */
enum civil_status civil_parse_time_or_date(const char *text, size_t n,
                                           const struct civil_zone *zone, int64_t *at);

/* A time of day: "08:10" or "08:10:30", also "8:10". CIVIL_OK, CIVIL_SYNTAX or CIVIL_IMPOSSIBLE. */
enum civil_status civil_parse_clock(const char *text, size_t n, int *seconds_of_day);

/* Writing, into the caller's buffer, which is returned. */

#define CIVIL_TEXT_SIZE  26 /* "2026-11-14T15:30:00+01:00" */
#define CIVIL_DATE_SIZE  11 /* "2026-11-14" */
#define CIVIL_SHORT_SIZE 11 /* "Wed 25 Nov" */
#define CIVIL_CLOCK_SIZE 6  /* "08:10" */

/* RFC 3339 with the zone's offset, "Z" where that is 0. An offset that is not of whole minutes (as
 * before 1900 and a little after) is cut to them, and the clock with it: the instant stays right.
 */
char *civil_rfc3339(const struct civil_zone *zone, int64_t at, char text[CIVIL_TEXT_SIZE]);

/* "2026-11-14 15:30", for people: seconds are dropped, and a doubled hour is not marked. */
char *civil_minute(const struct civil_zone *zone, int64_t at, char text[CIVIL_TEXT_SIZE]);

/* The shortest text that civil_parse() reads back as the same instant in this zone: as
 * civil_minute(), with seconds when they are not 0, and RFC 3339 in the second pass of a doubled
 * hour and outside the years that are read. */
char *civil_exact(const struct civil_zone *zone, int64_t at, char text[CIVIL_TEXT_SIZE]);

/* "15:30" */
char *civil_clock(const struct civil_zone *zone, int64_t at, char text[CIVIL_CLOCK_SIZE]);

/* "2026-11-14" and "Sat 14 Nov", of a day that civil_day() gave. */
char *civil_date_text(int64_t day, char text[CIVIL_DATE_SIZE]);
char *civil_short_date(int64_t day, char text[CIVIL_SHORT_SIZE]);

#endif
