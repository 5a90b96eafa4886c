/* The calendar, reading and writing of times, and the wall clock of zones built here as bytes. */
#include "civil.h"
#include "one_arena.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cmocka.h>

#define COUNT(array) (sizeof(array) / sizeof *(array))

/* A TZif file put together in memory. */

struct file {
    unsigned char bytes[4096];
    size_t size;
};

static void put(struct file *file, int64_t value, int size)
{
    for (int shift = 8 * (size - 1); shift >= 0; shift -= 8)
        file->bytes[file->size++] = (unsigned char)((uint64_t)value >> shift & 0xff);
}

static void put_text(struct file *file, const char *text, size_t n)
{
    memcpy(file->bytes + file->size, text, n);
    file->size += n;
}

static void put_header(struct file *file, char version, int times, int types, int chars)
{
    put_text(file, "TZif", 4);
    put(file, version, 1);
    for (int i = 0; i < 15; i++)
        put(file, 0, 1);
    put(file, 0, 4);
    put(file, 0, 4);
    put(file, 0, 4);
    put(file, times, 4);
    put(file, types, 4);
    put(file, chars, 4);
}

/* An empty version 1 block, as in files that hold 64-bit times alone. */
static void put_empty_block(struct file *file)
{
    put_header(file, '2', 0, 1, 1);
    put(file, 0, 6);
    put(file, 0, 1);
}

/* A zone that is nothing but its rule. */
static const struct civil_zone *zone_of_rule(const char *rule, const char **why)
{
    struct file file = {.size = 0};

    put_empty_block(&file);
    put_header(&file, '3', 0, 1, 4);
    put(&file, 0, 6);
    put_text(&file, "LMT", 4);
    put_text(&file, "\n", 1);
    put_text(&file, rule, strlen(rule));
    put_text(&file, "\n", 1);
    return civil_zone_decode(&arena, file.bytes, file.size, why);
}

static const struct civil_zone *good_rule(const char *rule)
{
    const char *why;
    const struct civil_zone *zone = zone_of_rule(rule, &why);

    if (zone == NULL)
        fail_msg("%s: %s", rule, why);
    return zone;
}

/* Central Europe as it is now; every transition in these tests is of the rule. */
static const struct civil_zone *berlin(void)
{
    return good_rule("CET-1CEST,M3.5.0,M10.5.0/3");
}

static int64_t utc(const char *text)
{
    int64_t at = 0;

    if (civil_parse(text, strlen(text), civil_utc(), &at) != CIVIL_OK)
        fail_msg("%s is no time", text);
    return at;
}

static void same(const char *title, const char *text, const char *expected)
{
    if (strcmp(text, expected) != 0)
        fail_msg("%s: '%s', not '%s'", title, text, expected);
}

/* The calendar. */

/* Every day of the years 0 to 9999, counted on by hand. */
static void test_calendar_every_day(void **state)
{
    int64_t day = -719528;
    int weekday = 6; /* 0000-01-01 was a Saturday */

    (void)state;
    for (int year = 0; year <= 9999; year++) {
        bool leap = year % 4 == 0 && (year % 100 != 0 || year % 400 == 0);

        for (int month = 1; month <= 12; month++) {
            int length = month == 2                                              ? leap ? 29 : 28
                         : month == 4 || month == 6 || month == 9 || month == 11 ? 30
                                                                                 : 31;

            assert_int_equal(civil_days_in_month(year, month), length);
            for (int i = 1; i <= length; i++, day++) {
                struct civil_date date = civil_date_of_day(day);

                if (date.year != year || date.month != month || date.day != i ||
                    civil_day_of_date(date) != day || civil_weekday(day) != weekday)
                    fail_msg("%04d-%02d-%02d", year, month, i);
                weekday = weekday % 7 + 1;
            }
        }
    }
    assert_int_equal(day, 2932897);
    assert_int_equal(civil_days_in_month(2026, 0), 0);
    assert_int_equal(civil_days_in_month(2026, 13), 0);
}

/* Reading. */

static void test_parse(void **state)
{
    static const struct {
        const char *title, *text;
        enum civil_status status;
        const char *instant; /* in UTC, where there is one */
    } rows[] = {
        {"RFC 3339 in UTC", "2026-11-14T15:30:00Z", CIVIL_OK, "2026-11-14T15:30:00Z"},
        {"small letters", "2026-11-14t15:30:00z", CIVIL_OK, "2026-11-14T15:30:00Z"},
        {"east", "2026-11-14T15:30:00+01:00", CIVIL_OK, "2026-11-14T14:30:00Z"},
        {"west, over midnight", "2026-12-31T22:30:00-03:30", CIVIL_OK, "2027-01-01T02:00:00Z"},
        {"unknown offset is UTC", "2026-11-14T15:30:00-00:00", CIVIL_OK, "2026-11-14T15:30:00Z"},
        {"a fraction is dropped", "2026-11-14 15:30:00.999+01:00", CIVIL_OK,
         "2026-11-14T14:30:00Z"},
        {"a fraction before 1970 too", "1969-12-31T23:59:58.5Z", CIVIL_OK, "1969-12-31T23:59:58Z"},
        {"offset without seconds", "2026-11-14T15:30+01:00", CIVIL_OK, "2026-11-14T14:30:00Z"},
        {"a leap second", "2016-12-31T23:59:60Z", CIVIL_OK, "2017-01-01T00:00:00Z"},
        {"a leap second elsewhere", "2017-01-01T00:59:60+01:00", CIVIL_OK, "2017-01-01T00:00:00Z"},
        {"no leap second", "2016-12-31T22:59:60Z", CIVIL_IMPOSSIBLE, NULL},
        {"second 61", "2016-12-31T23:59:61Z", CIVIL_IMPOSSIBLE, NULL},
        {"local in winter", "2026-11-14 15:30", CIVIL_OK, "2026-11-14T14:30:00Z"},
        {"local in summer", "2026-07-14T15:30", CIVIL_OK, "2026-07-14T13:30:00Z"},
        {"local with seconds", "2026-11-14 15:30:20", CIVIL_OK, "2026-11-14T14:30:20Z"},
        {"local with a fraction", "2026-11-14 15:30:20.25", CIVIL_OK, "2026-11-14T14:30:20Z"},
        {"midnight", "2026-11-14 00:00", CIVIL_OK, "2026-11-13T23:00:00Z"},
        {"29 February", "2028-02-29 12:00", CIVIL_OK, "2028-02-29T11:00:00Z"},
        {"29 February of 2000", "2000-02-29 12:00", CIVIL_OK, "2000-02-29T11:00:00Z"},
        {"29 February of no leap year", "2026-02-29 12:00", CIVIL_IMPOSSIBLE, NULL},
        {"29 February of 2100", "2100-02-29T12:00:00Z", CIVIL_IMPOSSIBLE, NULL},
        {"30 February", "2026-02-30 12:00", CIVIL_IMPOSSIBLE, NULL},
        {"31 November", "2026-11-31 12:00", CIVIL_IMPOSSIBLE, NULL},
        {"day 0", "2026-11-00 12:00", CIVIL_IMPOSSIBLE, NULL},
        {"month 0", "2026-00-10 12:00", CIVIL_IMPOSSIBLE, NULL},
        {"month 13", "2026-13-10 12:00", CIVIL_IMPOSSIBLE, NULL},
        {"hour 24", "2026-11-14 24:00", CIVIL_IMPOSSIBLE, NULL},
        {"hour 25", "2026-11-14 25:00", CIVIL_IMPOSSIBLE, NULL},
        {"minute 60", "2026-11-14 15:60", CIVIL_IMPOSSIBLE, NULL},
        {"offset of a day", "2026-11-14T15:30:00+24:00", CIVIL_IMPOSSIBLE, NULL},
        {"offset of 60 minutes", "2026-11-14T15:30:00+01:60", CIVIL_IMPOSSIBLE, NULL},
        {"last second before the gap", "2026-03-29 01:59:59", CIVIL_OK, "2026-03-29T00:59:59Z"},
        {"gap begins", "2026-03-29 02:00", CIVIL_GAP, "2026-03-29T01:00:00Z"},
        {"gap ends", "2026-03-29 02:59:59", CIVIL_GAP, "2026-03-29T01:00:00Z"},
        {"first second after the gap", "2026-03-29 03:00", CIVIL_OK, "2026-03-29T01:00:00Z"},
        {"a skipped hour with its offset", "2026-03-29T02:30:00+01:00", CIVIL_OK,
         "2026-03-29T01:30:00Z"},
        {"last second before the fold", "2026-10-25 01:59:59", CIVIL_OK, "2026-10-24T23:59:59Z"},
        {"fold begins", "2026-10-25 02:00", CIVIL_FOLD, "2026-10-25T00:00:00Z"},
        {"fold ends", "2026-10-25 02:59:59", CIVIL_FOLD, "2026-10-25T00:59:59Z"},
        {"first second after the fold", "2026-10-25 03:00", CIVIL_OK, "2026-10-25T02:00:00Z"},
        {"a doubled hour with its offset", "2026-10-25T02:30:00+01:00", CIVIL_OK,
         "2026-10-25T01:30:00Z"},
        {"first year", "1900-01-01 01:00", CIVIL_OK, "1900-01-01T00:00:00Z"},
        {"before it", "1899-12-31 23:59", CIVIL_RANGE, NULL},
        {"last year", "2200-12-31T23:59:59Z", CIVIL_OK, "2200-12-31T23:59:59Z"},
        {"after it", "2201-01-01 00:00", CIVIL_RANGE, NULL},
        {"year 0", "0000-01-01 00:00", CIVIL_RANGE, NULL},
        {"nothing", "", CIVIL_SYNTAX, NULL},
        {"a date alone", "2026-11-14", CIVIL_SYNTAX, NULL},
        {"hour alone", "2026-11-14 15", CIVIL_SYNTAX, NULL},
        {"hour and colon", "2026-11-14 15:", CIVIL_SYNTAX, NULL},
        {"one digit of a minute", "2026-11-14 15:3", CIVIL_SYNTAX, NULL},
        {"one digit of an hour", "2026-11-14 8:10", CIVIL_SYNTAX, NULL},
        {"one digit of a second", "2026-11-14 15:30:2", CIVIL_SYNTAX, NULL},
        {"empty seconds", "2026-11-14 15:30:", CIVIL_SYNTAX, NULL},
        {"fraction of nothing", "2026-11-14 15:30:20.", CIVIL_SYNTAX, NULL},
        {"fraction of a minute", "2026-11-14 15:30.5", CIVIL_SYNTAX, NULL},
        {"decimal comma", "2026-11-14 15:30:20,5", CIVIL_SYNTAX, NULL},
        {"half an offset", "2026-11-14 15:30+01", CIVIL_SYNTAX, NULL},
        {"offset without its colon", "2026-11-14 15:30+0100", CIVIL_SYNTAX, NULL},
        {"a blank before the offset", "2026-11-14 15:30 +01:00", CIVIL_SYNTAX, NULL},
        {"a blank before", " 2026-11-14 15:30", CIVIL_SYNTAX, NULL},
        {"a blank after", "2026-11-14 15:30 ", CIVIL_SYNTAX, NULL},
        {"two blanks between", "2026-11-14  15:30", CIVIL_SYNTAX, NULL},
        {"slashes", "2026/11/14 15:30", CIVIL_SYNTAX, NULL},
        {"day first", "14-11-2026 15:30", CIVIL_SYNTAX, NULL},
        {"two digits of a year", "26-11-14 15:30", CIVIL_SYNTAX, NULL},
        {"a sign", "+2026-11-14 15:30", CIVIL_SYNTAX, NULL},
        {"letters", "2026-11-14 15:3o", CIVIL_SYNTAX, NULL},
        {"afternoon", "2026-11-14 03:30pm", CIVIL_SYNTAX, NULL},
        {"name of a zone", "2026-11-14 15:30 CET", CIVIL_SYNTAX, NULL},
    };
    const struct civil_zone *zone = berlin();

    (void)state;
    for (size_t i = 0; i < COUNT(rows); i++) {
        const int64_t untouched = 12345;
        int64_t at = untouched;
        int64_t expected = rows[i].instant != NULL ? utc(rows[i].instant) : untouched;
        enum civil_status status = civil_parse(rows[i].text, strlen(rows[i].text), zone, &at);

        if (status != rows[i].status || at != expected)
            fail_msg("%s: '%s' gives status %d, %lld; not %d, %lld", rows[i].title, rows[i].text,
                     (int)status, (long long)at, (int)rows[i].status, (long long)expected);
    }
}

static void test_parse_date(void **state)
{
    static const struct {
        const char *title, *text;
        enum civil_status status;
        int64_t day;
    } rows[] = {
        {"epoch", "1970-01-01", CIVIL_OK, 0},
        {"29 February", "2028-02-29", CIVIL_OK, 21243},
        {"31 December", "2026-12-31", CIVIL_OK, 20818},
        {"30 February", "2026-02-30", CIVIL_IMPOSSIBLE, 0},
        {"too late", "2201-01-01", CIVIL_RANGE, 0},
        {"too early", "1899-12-31", CIVIL_RANGE, 0},
        {"a time", "2026-11-14 15:30", CIVIL_SYNTAX, 0},
        {"a month", "2026-11", CIVIL_SYNTAX, 0},
        {"short", "2026-1-14", CIVIL_SYNTAX, 0},
        {"day first", "14.11.2026", CIVIL_SYNTAX, 0},
        {"nothing", "", CIVIL_SYNTAX, 0},
    };

    (void)state;
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct civil_date date = {1970, 1, 1};
        enum civil_status status = civil_parse_date(rows[i].text, strlen(rows[i].text), &date);

        if (status != rows[i].status || civil_day_of_date(date) != rows[i].day)
            fail_msg("%s: status %d, day %lld", rows[i].title, (int)status,
                     (long long)civil_day_of_date(date));
    }
}

static void test_parse_time_or_date(void **state)
{
    static const struct {
        const char *title, *text;
        enum civil_status status;
        const char *instant;
    } rows[] = {
        {"a date in winter", "2026-11-14", CIVIL_OK, "2026-11-13T23:00:00Z"},
        {"a date in summer", "2026-07-14", CIVIL_OK, "2026-07-13T22:00:00Z"},
        {"a time", "2026-11-14 15:30", CIVIL_OK, "2026-11-14T14:30:00Z"},
        {"a time in the gap", "2026-03-29 02:30", CIVIL_GAP, "2026-03-29T01:00:00Z"},
        {"no such date", "2026-02-30", CIVIL_IMPOSSIBLE, NULL},
        {"no such year", "0026-02-03", CIVIL_RANGE, NULL},
        {"neither", "yesterday", CIVIL_SYNTAX, NULL},
    };
    const struct civil_zone *zone = berlin();

    (void)state;
    for (size_t i = 0; i < COUNT(rows); i++) {
        int64_t at = 12345, expected = rows[i].instant != NULL ? utc(rows[i].instant) : 12345;
        enum civil_status status =
            civil_parse_time_or_date(rows[i].text, strlen(rows[i].text), zone, &at);

        if (status != rows[i].status || at != expected)
            fail_msg("%s: status %d, %lld", rows[i].title, (int)status, (long long)at);
    }
}

static void test_parse_clock(void **state)
{
    static const struct {
        const char *text;
        enum civil_status status;
        int seconds;
    } rows[] = {
        {"08:10", CIVIL_OK, 29400},
        {"8:10", CIVIL_OK, 29400},
        {"00:00", CIVIL_OK, 0},
        {"23:59:59", CIVIL_OK, 86399},
        {"24:00", CIVIL_IMPOSSIBLE, 0},
        {"08:60", CIVIL_IMPOSSIBLE, 0},
        {"08:10:60", CIVIL_IMPOSSIBLE, 0},
        {"08", CIVIL_SYNTAX, 0},
        {"0810", CIVIL_SYNTAX, 0},
        {"8:1", CIVIL_SYNTAX, 0},
        {"008:10", CIVIL_SYNTAX, 0},
        {"08:10 ", CIVIL_SYNTAX, 0},
        {"08.10", CIVIL_SYNTAX, 0},
        {":10", CIVIL_SYNTAX, 0},
        {"-8:10", CIVIL_SYNTAX, 0},
        {"", CIVIL_SYNTAX, 0},
    };

    (void)state;
    for (size_t i = 0; i < COUNT(rows); i++) {
        int seconds = 0;
        enum civil_status status = civil_parse_clock(rows[i].text, strlen(rows[i].text), &seconds);

        if (status != rows[i].status || seconds != rows[i].seconds)
            fail_msg("'%s': status %d, %d", rows[i].text, (int)status, seconds);
    }
}

/* The reader is given a length: it must not look behind it. */
static void test_parse_stops_at_the_end(void **state)
{
    const char *text = "2026-11-14T15:30:00.5+01:00";
    size_t n = strlen(text);
    int64_t at;

    (void)state;
    for (size_t i = 0; i <= n; i++) {
        /* An exact block, so that a sanitizer or valgrind sees a byte too many. */
        char *copy = malloc(i > 0 ? i : 1);
        bool whole = i == 16 || i == 19 || i == 21 || i == n;

        memcpy(copy, text, i);
        if ((civil_parse(copy, i, civil_utc(), &at) == CIVIL_OK) != whole)
            fail_msg("%.*s", (int)i, text);
        free(copy);
    }
}

static void test_status_texts(void **state)
{
    (void)state;
    assert_string_equal(civil_status_text(CIVIL_OK), "");
    for (int status = CIVIL_FOLD; status <= CIVIL_RANGE; status++)
        assert_true(strlen(civil_status_text((enum civil_status)status)) > 10);
}

/* Writing. */

static void test_write(void **state)
{
    static const struct {
        const char *title, *rule, *instant, *rfc3339, *minute, *exact, *clock, *date, *short_date;
    } rows[] = {
        {"UTC", "UTC0", "2026-11-14T15:30:00Z", "2026-11-14T15:30:00Z", "2026-11-14 15:30",
         "2026-11-14 15:30", "15:30", "2026-11-14", "Sat 14 Nov"},
        {"east, over the end of the year", "CET-1", "2026-12-31T23:05:00Z",
         "2027-01-01T00:05:00+01:00", "2027-01-01 00:05", "2027-01-01 00:05", "00:05", "2027-01-01",
         "Fri 1 Jan"},
        {"west, to 29 February", "NST3:30", "2028-03-01T03:29:59Z", "2028-02-29T23:59:59-03:30",
         "2028-02-29 23:59", "2028-02-29 23:59:59", "23:59", "2028-02-29", "Tue 29 Feb"},
        {"west of less than an hour", "<-0030>0:30", "2026-11-25T12:00:00Z",
         "2026-11-25T11:30:00-00:30", "2026-11-25 11:30", "2026-11-25 11:30", "11:30", "2026-11-25",
         "Wed 25 Nov"},
        {"an offset with seconds, east", "LMT-1:00:40", "2026-11-25T12:00:00Z",
         "2026-11-25T13:00:00+01:00", "2026-11-25 13:00", "2026-11-25 13:00:40", "13:00",
         "2026-11-25", "Wed 25 Nov"},
        {"an offset with seconds, west", "LMT0:25:21", "2026-11-25T12:00:00Z",
         "2026-11-25T11:35:00-00:25", "2026-11-25 11:34", "2026-11-25 11:34:39", "11:34",
         "2026-11-25", "Wed 25 Nov"},
        {"an offset of seconds alone", "LMT-0:00:30", "2026-11-25T12:00:00Z",
         "2026-11-25T12:00:00Z", "2026-11-25 12:00", "2026-11-25 12:00:30", "12:00", "2026-11-25",
         "Wed 25 Nov"},
        {"first pass of the doubled hour", "CET-1CEST,M3.5.0,M10.5.0/3", "2026-10-25T00:30:00Z",
         "2026-10-25T02:30:00+02:00", "2026-10-25 02:30", "2026-10-25 02:30", "02:30", "2026-10-25",
         "Sun 25 Oct"},
        {"second pass", "CET-1CEST,M3.5.0,M10.5.0/3", "2026-10-25T01:30:00Z",
         "2026-10-25T02:30:00+01:00", "2026-10-25 02:30", "2026-10-25T02:30:00+01:00", "02:30",
         "2026-10-25", "Sun 25 Oct"},
        {"before 1970", "UTC0", "1969-12-31T23:59:59Z", "1969-12-31T23:59:59Z", "1969-12-31 23:59",
         "1969-12-31 23:59:59", "23:59", "1969-12-31", "Wed 31 Dec"},
    };

    (void)state;
    for (size_t i = 0; i < COUNT(rows); i++) {
        const struct civil_zone *zone = good_rule(rows[i].rule);
        int64_t at = utc(rows[i].instant), back;
        int64_t day = civil_day(zone, at);
        char text[CIVIL_TEXT_SIZE], date[CIVIL_DATE_SIZE], short_date[CIVIL_SHORT_SIZE];
        char clock[CIVIL_CLOCK_SIZE];

        same(rows[i].title, civil_rfc3339(zone, at, text), rows[i].rfc3339);
        assert_int_equal(civil_parse(text, strlen(text), civil_utc(), &back), CIVIL_OK);
        assert_int_equal(back, at);
        same(rows[i].title, civil_minute(zone, at, text), rows[i].minute);
        same(rows[i].title, civil_exact(zone, at, text), rows[i].exact);
        same(rows[i].title, civil_clock(zone, at, clock), rows[i].clock);
        same(rows[i].title, civil_date_text(day, date), rows[i].date);
        same(rows[i].title, civil_short_date(day, short_date), rows[i].short_date);
    }
}

/* Any number is an instant or a day, and its text fits. */
static void test_write_extremes(void **state)
{
    const int64_t extremes[] = {INT64_MIN, INT64_MIN + 1, INT64_MAX - 1, INT64_MAX};
    const struct civil_zone *zones[] = {civil_utc(), good_rule("<+2459>-24:59"),
                                        good_rule("<-2459>24:59"), berlin()};

    (void)state;
    for (size_t z = 0; z < COUNT(zones); z++)
        for (size_t i = 0; i < COUNT(extremes); i++) {
            char text[CIVIL_TEXT_SIZE], clock[CIVIL_CLOCK_SIZE], date[CIVIL_DATE_SIZE];
            struct civil_time time;
            const char *year = extremes[i] < 0 ? "0000-01-" : "9999-12-";

            civil_local(zones[z], extremes[i], &time);
            assert_true(time.year == 0 || time.year == 9999);
            assert_memory_equal(civil_rfc3339(zones[z], extremes[i], text), year, 8);
            assert_memory_equal(civil_exact(zones[z], extremes[i], text), year, 8);
            assert_memory_equal(civil_minute(zones[z], extremes[i], text), year, 8);
            assert_memory_equal(civil_date_text(extremes[i], date), year, 8);
            assert_int_equal(strlen(civil_clock(zones[z], extremes[i], clock)), 5);
            assert_in_range(civil_weekday(extremes[i]), 1, 7);
            assert_true(civil_day_start(zones[z], extremes[i]) != 0);
        }
}

/* Rules. */

/* "+0100 CET" */
static const char *offset_text(const struct civil_zone *zone, const char *instant, char text[64])
{
    struct civil_time time;
    int size;

    civil_local(zone, utc(instant), &time);
    size = time.offset < 0 ? -time.offset : time.offset;
    (void)snprintf(text, 64, "%c%02d%02d %s", time.offset < 0 ? '-' : '+', size / 3600,
                   size / 60 % 60, time.abbreviation);
    return text;
}

/* At each instant the rule's change happens: the clock is read there and a second before. */
static void test_rules(void **state)
{
    static const struct {
        const char *title, *rule, *instant, *before, *after;
    } rows[] = {
        {"last Sunday", "CET-1CEST,M3.5.0,M10.5.0/3", "2026-03-29T01:00:00Z", "+0100 CET",
         "+0200 CEST"},
        {"last Sunday, back", "CET-1CEST,M3.5.0,M10.5.0/3", "2026-10-25T01:00:00Z", "+0200 CEST",
         "+0100 CET"},
        {"the same in the last year", "CET-1CEST,M3.5.0,M10.5.0/3", "2200-03-30T01:00:00Z",
         "+0100 CET", "+0200 CEST"},
        {"and in the first", "CET-1CEST,M3.5.0,M10.5.0/3", "1900-03-25T01:00:00Z", "+0100 CET",
         "+0200 CEST"},
        {"week 5 where it is the fourth", "AAA0BBB,M2.5.0,M10.1.0", "2026-02-22T02:00:00Z",
         "+0000 AAA", "+0100 BBB"},
        {"week 5 where there is a fifth", "AAA0BBB,M2.5.0,M10.1.0", "2032-02-29T02:00:00Z",
         "+0000 AAA", "+0100 BBB"},
        {"second Sunday", "EST5EDT,M3.2.0,M11.1.0", "2026-03-08T07:00:00Z", "-0500 EST",
         "-0400 EDT"},
        {"first Sunday, a month that begins with one", "EST5EDT,M3.2.0,M11.1.0",
         "2026-11-01T06:00:00Z", "-0400 EDT", "-0500 EST"},
        {"Saturday", "AAA0BBB,M3.1.6,M10.1.0", "2026-03-07T02:00:00Z", "+0000 AAA", "+0100 BBB"},
        {"south of the equator", "NZST-12NZDT,M9.5.0,M4.1.0/3", "2026-04-04T14:00:00Z",
         "+1300 NZDT", "+1200 NZST"},
        {"daylight time over the new year", "NZST-12NZDT,M9.5.0,M4.1.0/3", "2027-01-01T00:00:00Z",
         "+1300 NZDT", "+1300 NZDT"},
        {"half an hour", "<+1030>-10:30<+11>-11,M10.1.0,M4.1.0", "2026-10-03T15:30:00Z",
         "+1030 +1030", "+1100 +11"},
        {"winter time that is the daylight time", "IST-1GMT0,M10.5.0,M3.5.0/1",
         "2026-10-25T01:00:00Z", "+0100 IST", "+0000 GMT"},
        {"and its end", "IST-1GMT0,M10.5.0,M3.5.0/1", "2026-03-29T01:00:00Z", "+0000 GMT",
         "+0100 IST"},
        {"an hour on the day before", "<-02>2<-01>,M3.5.0/-1,M10.5.0/0", "2026-03-29T01:00:00Z",
         "-0200 -02", "-0100 -01"},
        {"two days after", "EET-2EEST,M3.4.4/50,M10.4.4/50", "2026-03-28T00:00:00Z", "+0200 EET",
         "+0300 EEST"},
        {"167 hours", "AAA0BBB,M3.1.0/167,M10.1.0/-167", "2026-03-07T23:00:00Z", "+0000 AAA",
         "+0100 BBB"},
        {"-167 hours", "AAA0BBB,M3.1.0/167,M10.1.0/-167", "2026-09-27T00:00:00Z", "+0100 BBB",
         "+0000 AAA"},
        {"minutes and seconds", "AAA0BBB,M3.1.0/1:02:03,M10.1.0", "2026-03-01T01:02:03Z",
         "+0000 AAA", "+0100 BBB"},
        {"J59 is 28 February", "AAA0BBB,J59/0,J300", "2028-02-28T00:00:00Z", "+0000 AAA",
         "+0100 BBB"},
        {"J60 is 1 March in a leap year", "AAA0BBB,J60/0,J300", "2028-03-01T00:00:00Z", "+0000 AAA",
         "+0100 BBB"},
        {"J60 is 1 March in another", "AAA0BBB,J60/0,J300", "2026-03-01T00:00:00Z", "+0000 AAA",
         "+0100 BBB"},
        {"J365 is 31 December", "AAA0BBB,J365/0,J300", "2028-12-31T00:00:00Z", "+0000 AAA",
         "+0100 BBB"},
        {"59 is 29 February", "AAA0BBB,59/0,300", "2028-02-29T00:00:00Z", "+0000 AAA", "+0100 BBB"},
        {"59 is 1 March", "AAA0BBB,59/0,300", "2026-03-01T00:00:00Z", "+0000 AAA", "+0100 BBB"},
        {"0 is 1 January", "AAA0BBB,0/0,300", "2026-01-01T00:00:00Z", "+0000 AAA", "+0100 BBB"},
        {"daylight time all year", "XXX3EDT4,0/0,J365/23", "2027-01-01T03:00:00Z", "-0400 EDT",
         "-0400 EDT"},
        {"and a second later", "XXX3EDT4,0/0,J365/23", "2027-01-01T03:00:01Z", "-0400 EDT",
         "-0400 EDT"},
        {"the same, overlapping", "EST5EDT,0/0,J365/26", "2027-01-01T05:00:00Z", "-0400 EDT",
         "-0400 EDT"},
        {"an overlap's other end", "EST5EDT,0/0,J365/26", "2027-01-01T06:00:00Z", "-0400 EDT",
         "-0400 EDT"},
        {"daylight time that never lasts", "AAA0BBB,J100,J100/3", "2026-04-10T02:00:00Z",
         "+0000 AAA", "+0000 AAA"},
        {"a rule without daylight time", "<+0545>-5:45", "2026-01-01T00:00:00Z", "+0545 +0545",
         "+0545 +0545"},
        {"the same before 1900", "<+0545>-5:45", "1900-01-01T00:00:01Z", "+0545 +0545",
         "+0545 +0545"},
        {"an offset with a plus", "AST+4", "2026-01-01T00:00:00Z", "-0400 AST", "-0400 AST"},
    };

    (void)state;
    for (size_t i = 0; i < COUNT(rows); i++) {
        const struct civil_zone *zone = good_rule(rows[i].rule);
        char before[CIVIL_TEXT_SIZE], text[64];

        (void)civil_rfc3339(civil_utc(), utc(rows[i].instant) - 1, before);
        same(rows[i].title, offset_text(zone, before, text), rows[i].before);
        same(rows[i].title, offset_text(zone, rows[i].instant, text), rows[i].after);
    }
}

static void test_bad_rules(void **state)
{
    static const char *const rules[] = {
        "E5",
        "EST",
        "EST5EDT",
        "EST25",
        "<+05-5",
        "<+0>-5",
        ":Europe/Dublin",
        "EST5EDT,M3.2.0",
        "EST5 ",
        "EST5EDT,M13.2.0,M11.1.0",
        "EST5EDT,M3.0.0,M11.1.0",
        "EST5EDT,M3.6.0,M11.1.0",
        "EST5EDT,M3.2.7,M11.1.0",
        "EST5EDT,M0.2.0,M11.1.0",
        "EST5EDT,J0,J300",
        "EST5EDT,J366,J300",
        "EST5EDT,366,300",
        "EST5EDT,M3.2.0/168,M11.1.0",
        "EST5EDT,M3.2.0/,M11.1.0",
        "EST5EDT,M3.2.0,M11.1.0,",
        "EST5EDT,M3.2.0,M11.1.0 ",
        "EST5:60",
        "EST5:",
        "EST5:00:60",
        "EST5EDT4:,M3.2.0,M11.1.0",
        "EST1000",
        "5EST",
        "EST5EDT,M3.2,M11.1.0",
    };
    const char *why;

    (void)state;
    for (size_t i = 0; i < COUNT(rules); i++)
        if (zone_of_rule(rules[i], &why) != NULL)
            fail_msg("%s was taken", rules[i]);
        else
            assert_string_equal(why, "its zone file ends with a rule that cannot be read");
}

/* Files. */

/* Two changes, and between them, before and after a kind of its own. */
static void put_changes(struct file *file, char version, int time_size, int64_t first,
                        int64_t second)
{
    put_header(file, version, 2, 3, 12);
    put(file, first, time_size);
    put(file, second, time_size);
    put(file, 1, 1);
    put(file, 2, 1);
    for (int kind = 0; kind < 3; kind++) {
        put(file, kind * 3600, 4);
        put(file, kind == 1, 1);
        put(file, 4 * kind, 1);
    }
    put_text(file, "AAA\0BBB\0CCC", 12);
}

static void test_files(void **state)
{
    static const struct {
        const char *title;
        int version;
        const char *rule;
        const char *times[5];
    } rows[] = {
        /* a second before 2000, 2000, before 2010, 2010, then July 2030 */
        {"version 1: the last change holds",
         1,
         NULL,
         {"+0000 AAA", "+0100 BBB", "+0100 BBB", "+0200 CCC", "+0200 CCC"}},
        {"version 2 without a rule",
         2,
         "",
         {"+0000 AAA", "+0100 BBB", "+0100 BBB", "+0200 CCC", "+0200 CCC"}},
        {"the rule goes on from the last change",
         2,
         "CCC-2DDD,M3.5.0,M10.5.0",
         {"+0000 AAA", "+0100 BBB", "+0100 BBB", "+0200 CCC", "+0300 DDD"}},
        {"a change of the rule at the last change",
         2,
         "CCC-2DDD,0/2,J300",
         {"+0000 AAA", "+0100 BBB", "+0100 BBB", "+0200 CCC", "+0300 DDD"}},
        {"daylight time all year from then on",
         3,
         "XXX3CCC-2,0/0,J365/29",
         {"+0000 AAA", "+0100 BBB", "+0100 BBB", "+0200 CCC", "+0200 CCC"}},
    };
    static const char *const instants[] = {"1999-12-31T23:59:59Z", "2000-01-01T00:00:00Z",
                                           "2009-12-31T23:59:59Z", "2010-01-01T00:00:00Z",
                                           "2030-07-01T00:00:00Z"};

    (void)state;
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct file file = {.size = 0};
        const struct civil_zone *zone;
        const char *why;
        char text[64];

        if (rows[i].version > 1)
            put_empty_block(&file);
        put_changes(&file, rows[i].version == 1 ? '\0' : (char)('0' + rows[i].version),
                    rows[i].version == 1 ? 4 : 8, utc(instants[1]), utc(instants[3]));
        if (rows[i].rule != NULL) {
            put_text(&file, "\n", 1);
            put_text(&file, rows[i].rule, strlen(rows[i].rule));
            put_text(&file, "\n", 1);
        }
        zone = civil_zone_decode(&arena, file.bytes, file.size, &why);
        if (zone == NULL)
            fail_msg("%s: %s", rows[i].title, why);
        for (size_t k = 0; k < COUNT(instants); k++)
            same(rows[i].title, offset_text(zone, instants[k], text), rows[i].times[k]);
        /* No part of the file may be missing. */
        for (size_t n = 0; n < file.size; n++)
            if (civil_zone_decode(&arena, file.bytes, n, &why) != NULL || why == NULL)
                fail_msg("%s, cut to %zu of %zu bytes, was taken", rows[i].title, n, file.size);
    }
}

/* One byte of a good version 1 file changed. */
static void test_bad_files(void **state)
{
    enum { ISUT = 23, ISSTD = 27, LEAPS = 31, TIMES = 35, TYPES = 39, CHARS = 43, DATA = 44 };
    static const struct {
        const char *title;
        size_t place;
        int value;
        const char *why;
    } rows[] = {
        {"magic", 0, 'X', "not a TZif file"},
        {"version 0x31", 4, '1', "not a TZif file"},
        {"version 2 without its block", 4, '2', "cut short"},
        {"a count of UT indicators", ISUT, 1, "do not fit"},
        {"a count of standard indicators", ISSTD, 1, "do not fit"},
        {"leap seconds", LEAPS, 1, "leap seconds"},
        {"a huge count of changes", TIMES - 3, 0xff, "cut short"},
        {"a huge count of kinds", TYPES - 3, 0x80, "cut short"},
        {"a huge count of letters", CHARS - 3, 0xff, "cut short"},
        {"no kinds", TYPES, 0, "do not fit"},
        {"no letters", CHARS, 0, "do not fit"},
        {"changes out of order", DATA, 0x7f, "out of order"},
        {"one change twice", DATA + 3, 2, "out of order"},
        {"a change to no kind", DATA + 8, 3, "names a kind"},
        {"an offset of days", DATA + 10, 0x01, "kind of local time that cannot be"},
        {"daylight neither 0 nor 1", DATA + 14, 2, "kind of local time that cannot be"},
        {"a name outside the letters", DATA + 15, 12, "kind of local time that cannot be"},
        {"a name without its end", DATA + 10 + 18 + 11, 'C', "kind of local time that cannot be"},
        {"a name that rings a bell", DATA + 10 + 18, 7, "kind of local time that cannot be"},
    };

    (void)state;
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct file file = {.size = 0};
        const char *why = NULL;

        put_changes(&file, '\0', 4, 1, 2);
        file.size += 16; /* what a wrong count takes for its own */
        assert_non_null(civil_zone_decode(&arena, file.bytes, file.size, &why));
        assert_null(why);
        file.bytes[rows[i].place] = (unsigned char)rows[i].value;
        if (civil_zone_decode(&arena, file.bytes, file.size, &why) != NULL)
            fail_msg("%s was taken", rows[i].title);
        if (strstr(why, rows[i].why) == NULL)
            fail_msg("%s: %s", rows[i].title, why);
    }
}

static void test_leap_seconds_are_refused(void **state)
{
    struct file file = {.size = 0};
    const char *why;

    (void)state;
    put_empty_block(&file);
    put_header(&file, '2', 0, 1, 4);
    file.bytes[file.size - 13] = 1;
    put(&file, 0, 6);
    put_text(&file, "UTC", 4);
    put(&file, 78796800, 8);
    put(&file, 1, 4);
    put_text(&file, "\nUTC0\n", 6);
    assert_null(civil_zone_decode(&arena, file.bytes, file.size, &why));
    assert_non_null(strstr(why, "leap seconds"));
}

static void test_sizes(void **state)
{
    static unsigned char large[(1 << 20) + 1];
    struct file file = {.size = 0};
    const char *why;

    (void)state;
    put_changes(&file, '\0', 4, 1, 2);
    memcpy(large, file.bytes, file.size);
    assert_non_null(civil_zone_decode(&arena, large, sizeof large - 1, &why));
    assert_null(civil_zone_decode(&arena, large, sizeof large, &why));
    assert_non_null(strstr(why, "over 1 MiB"));

    /* More kinds than one byte can number. */
    file.size = 0;
    put_header(&file, '\0', 0, 257, 4);
    file.size += (size_t)6 * 257 + 4;
    assert_null(civil_zone_decode(&arena, file.bytes, file.size, &why));
    assert_non_null(strstr(why, "do not fit"));
}

/* All that the first block can hold is passed over, whatever it says. */
static void test_first_block_is_skipped(void **state)
{
    struct file file = {.size = 0};
    size_t second;
    const char *why;
    char text[64];
    const struct civil_zone *zone;

    (void)state;
    put_header(&file, '2', 3, 2, 5);
    file.bytes[23] = file.bytes[27] = 2;
    file.bytes[31] = 1;
    for (int i = 0; i < 3 * 5 + 2 * 6 + 5 + 8 + 2 + 2; i++)
        put(&file, 0xee, 1);
    second = file.size;
    put_changes(&file, '2', 8, utc("2000-01-01T00:00:00Z"), utc("2010-01-01T00:00:00Z"));
    put_text(&file, "\nCCC-2\n", 7);
    zone = civil_zone_decode(&arena, file.bytes, file.size, &why);
    assert_non_null(zone);
    same("between", offset_text(zone, "2005-01-01T00:00:00Z", text), "+0100 BBB");

    file.bytes[second + 4] = 0;
    assert_null(civil_zone_decode(&arena, file.bytes, file.size, &why));
}

/* Forward by an hour, and half an hour later by another: the first jump skips the time. */
static void test_two_jumps(void **state)
{
    struct file file = {.size = 0};
    const struct civil_zone *zone;
    const char *why;
    int64_t at = 0;

    (void)state;
    put_changes(&file, '\0', 4, 0, 1800);
    zone = civil_zone_decode(&arena, file.bytes, file.size, &why);
    assert_non_null(zone);
    assert_int_equal(civil_parse("1970-01-01 00:30", 16, zone, &at), CIVIL_GAP);
    assert_int_equal(at, 0);
    assert_int_equal(civil_parse("1970-01-01 01:30", 16, zone, &at), CIVIL_GAP);
    assert_int_equal(at, 1800);
    assert_int_equal(civil_parse("1970-01-01 01:29", 16, zone, &at), CIVIL_OK);
    assert_int_equal(at, 29 * 60);
}

/* Names and folders. */

static void test_fixed_names(void **state)
{
    static const struct {
        const char *name;
        int offset;
        const char *abbreviation; /* NULL: refused */
    } rows[] = {
        {"UTC", 0, "UTC"},       {"+01:00", 3600, "+01:00"},  {"-03:30", -12600, "-03:30"},
        {"+00:00", 0, "+00:00"}, {"+23:59", 86340, "+23:59"}, {"-23:59", -86340, "-23:59"},
        {"+24:00", 0, NULL},     {"+01:60", 0, NULL},         {"+1:00", 0, NULL},
        {"+01", 0, NULL},        {"+0100", 0, NULL},          {"+01:0", 0, NULL},
        {"+001:0", 0, NULL},     {"+01:000", 0, NULL},        {"+01.00", 0, NULL},
        {"01:00", 0, NULL},      {"+01:00 ", 0, NULL},        {"++1:00", 0, NULL},
    };

    (void)state;
    for (size_t i = 0; i < COUNT(rows); i++) {
        const char *why = NULL;
        struct civil_time time;
        const struct civil_zone *zone =
            civil_zone_read(&arena, "/nowhere", rows[i].name, strlen(rows[i].name), &why);

        if ((zone != NULL) != (rows[i].abbreviation != NULL) || (zone == NULL) != (why != NULL))
            fail_msg("'%s': %s", rows[i].name, why != NULL ? why : "taken");
        if (zone == NULL)
            continue;
        civil_local(zone, 0, &time);
        assert_int_equal(time.offset, rows[i].offset);
        assert_string_equal(time.abbreviation, rows[i].abbreviation);
    }
}

/* A folder with one good zone, a pipe, a folder and a file that is too large; beside it a good zone
 * that no name may reach. */
static void test_names_in_a_folder(void **state)
{
    static const struct {
        const char *name, *why; /* NULL: taken */
    } rows[] = {
        {"Good", NULL},
        {"Sub/Good_2", NULL},
        {"Absent", "no such zone"},
        {"Good/Absent", "no such zone"},
        {"Sub", "folder or a device"},
        {"Pipe", "folder or a device"},
        {"Large", "over 1 MiB"},
        {"Empty", "not a TZif file"},
        {"Text", "not a TZif file"},
        {"../outside", "not the name of a zone"},
        {"Sub/../Good", "not the name of a zone"},
        {"./Good", "not the name of a zone"},
        {"/Good", "not the name of a zone"},
        {"Good/", "not the name of a zone"},
        {"Sub//Good_2", "not the name of a zone"},
        {"", "not the name of a zone"},
        {"/", "not the name of a zone"},
        {"Go od", "not the name of a zone"},
        {"Good\n", "not the name of a zone"},
        {"G\303\266d", "not the name of a zone"},
    };
    char folder[] = "/tmp/gyle-zones-XXXXXX", path[128];
    static const char *const made[] = {"z/Good", "z/Sub/Good_2", "z/Large", "z/Empty",
                                       "z/Text", "outside",      "z/Pipe"};
    struct file file = {.size = 0};
    char zones[64], long_name[300];
    const char *why;

    (void)state;
    put_changes(&file, '\0', 4, 1000000, 2000000);
    assert_non_null(mkdtemp(folder));
    (void)snprintf(zones, sizeof zones, "%s/z", folder);
    assert_int_equal(mkdir(zones, 0700), 0);
    (void)snprintf(path, sizeof path, "%s/z/Sub", folder);
    assert_int_equal(mkdir(path, 0700), 0);
    for (size_t i = 0; i < COUNT(made); i++) {
        FILE *out;

        (void)snprintf(path, sizeof path, "%s/%s", folder, made[i]);
        if (strcmp(made[i], "z/Pipe") == 0) {
            assert_int_equal(mkfifo(path, 0600), 0);
            continue;
        }
        out = fopen(path, "wb");
        assert_non_null(out);
        if (strcmp(made[i], "z/Text") == 0)
            (void)fputs("Europe/Dublin\n", out);
        else if (strcmp(made[i], "z/Empty") != 0)
            (void)fwrite(file.bytes, 1, file.size, out);
        if (strcmp(made[i], "z/Large") == 0) {
            (void)fseek(out, 1 << 20, SEEK_SET);
            (void)fputc(0, out);
        }
        assert_int_equal(fclose(out), 0);
    }

    for (size_t i = 0; i < COUNT(rows); i++) {
        const struct civil_zone *zone =
            civil_zone_read(&arena, zones, rows[i].name, strlen(rows[i].name), &why);

        if ((zone != NULL) != (rows[i].why == NULL) ||
            (zone == NULL && strstr(why, rows[i].why) == NULL))
            fail_msg("'%s': %s", rows[i].name, why != NULL ? why : "taken");
    }
    /* A NUL would end the path early. */
    assert_null(civil_zone_read(&arena, zones, "Good\0x", 6, &why));
    memset(long_name, 'A', sizeof long_name);
    assert_null(civil_zone_read(&arena, zones, long_name, sizeof long_name, &why));
    assert_non_null(strstr(why, "not the name of a zone"));

    assert_null(civil_zone_read(&arena, NULL, "No/Such_Zone", 12, &why));

    for (size_t i = 0; i < COUNT(made); i++) {
        (void)snprintf(path, sizeof path, "%s/%s", folder, made[i]);
        assert_int_equal(unlink(path), 0);
    }
    (void)snprintf(path, sizeof path, "%s/z/Sub", folder);
    assert_int_equal(rmdir(path), 0);
    assert_int_equal(rmdir(zones), 0);
    assert_int_equal(rmdir(folder), 0);
}

/* Days. */

static void test_days(void **state)
{
    /* Clocks go forward and back at midnight, as in Brazil until 2019. */
    static const char brazil[] = "<-03>3<-02>,M11.1.0/0,M2.3.0/0";
    static const struct {
        const char *title, *rule, *date, *start;
    } rows[] = {
        {"winter", "CET-1CEST,M3.5.0,M10.5.0/3", "2026-11-14", "2026-11-13T23:00:00Z"},
        {"summer", "CET-1CEST,M3.5.0,M10.5.0/3", "2026-07-14", "2026-07-13T22:00:00Z"},
        {"the short day", "CET-1CEST,M3.5.0,M10.5.0/3", "2026-03-29", "2026-03-28T23:00:00Z"},
        {"the day after", "CET-1CEST,M3.5.0,M10.5.0/3", "2026-03-30", "2026-03-29T22:00:00Z"},
        {"the long day", "CET-1CEST,M3.5.0,M10.5.0/3", "2026-10-25", "2026-10-24T22:00:00Z"},
        {"its day after", "CET-1CEST,M3.5.0,M10.5.0/3", "2026-10-26", "2026-10-25T23:00:00Z"},
        {"midnight is skipped", brazil, "2026-11-01", "2026-11-01T03:00:00Z"},
        {"the hour before midnight is doubled", brazil, "2026-02-15", "2026-02-15T03:00:00Z"},
        {"the day that holds it", brazil, "2026-02-14", "2026-02-14T02:00:00Z"},
        /* Back from 00:30 to 23:30: the day begins twice. */
        {"a day that begins twice", "AAA0BBB,M3.1.0,J300/0:30", "2026-10-27",
         "2026-10-26T23:00:00Z"},
        {"1970", "UTC0", "1970-01-01", "1970-01-01T00:00:00Z"},
    };

    (void)state;
    for (size_t i = 0; i < COUNT(rows); i++) {
        const struct civil_zone *zone = good_rule(rows[i].rule);
        struct civil_date date;
        int64_t start, day;

        assert_int_equal(civil_parse_date(rows[i].date, 10, &date), CIVIL_OK);
        day = civil_day_of_date(date);
        start = civil_day_start(zone, day);
        if (start != utc(rows[i].start) || civil_day(zone, start) != day ||
            civil_day(zone, start - 1) != day - 1)
            fail_msg("%s: %lld", rows[i].title, (long long)start);
    }
}

/* Samoa left out 30 December 2011: from -10:00 to +14:00 at midnight. */
static void test_a_skipped_day(void **state)
{
    struct file file = {.size = 0};
    const struct civil_zone *zone;
    const int64_t jump = 1325239200, thirtieth = 15338;
    const char *why;
    int64_t at = 0;

    (void)state;
    put_header(&file, '\0', 1, 2, 8);
    put(&file, jump, 4);
    put(&file, 1, 1);
    put(&file, -10 * 3600, 4);
    put(&file, 0x0100, 2);
    put(&file, 14 * 3600, 4);
    put(&file, 0x0104, 2);
    put_text(&file, "-10\0+14", 8);
    zone = civil_zone_decode(&arena, file.bytes, file.size, &why);
    assert_non_null(zone);
    assert_int_equal(civil_day(zone, jump - 1), thirtieth - 1);
    assert_int_equal(civil_day(zone, jump), thirtieth + 1);
    assert_int_equal(civil_day_start(zone, thirtieth), jump);
    assert_int_equal(civil_day_start(zone, thirtieth + 1), jump);
    assert_int_equal(civil_parse("2011-12-30 12:00", 16, zone, &at), CIVIL_GAP);
    assert_int_equal(at, jump);
    assert_int_equal(civil_parse("2011-12-31 00:00", 16, zone, &at), CIVIL_OK);
    assert_int_equal(at, jump);
}

static void test_instant(void **state)
{
    const struct civil_date day = {2026, 11, 14}, never = {2026, 2, 30}, far = {2300, 1, 1};
    const struct civil_zone *zone = berlin();
    int64_t at = 1;

    (void)state;
    assert_int_equal(civil_instant(zone, never, 0, &at), CIVIL_IMPOSSIBLE);
    assert_int_equal(civil_instant(zone, far, 0, &at), CIVIL_RANGE);
    assert_int_equal(civil_instant(zone, day, -1, &at), CIVIL_IMPOSSIBLE);
    assert_int_equal(civil_instant(zone, day, CIVIL_DAY, &at), CIVIL_IMPOSSIBLE);
    assert_int_equal(at, 1);
    assert_int_equal(civil_instant(zone, day, 8 * CIVIL_HOUR, &at), CIVIL_OK);
    assert_int_equal(at, utc("2026-11-14T07:00:00Z"));
}

#define ROW(test) cmocka_unit_test_setup_teardown(test, set_up, tear_down)

int main(void)
{
    const struct CMUnitTest tests[] = {
        ROW(test_calendar_every_day),
        ROW(test_parse),
        ROW(test_parse_date),
        ROW(test_parse_time_or_date),
        ROW(test_parse_clock),
        ROW(test_parse_stops_at_the_end),
        ROW(test_status_texts),
        ROW(test_write),
        ROW(test_write_extremes),
        ROW(test_rules),
        ROW(test_bad_rules),
        ROW(test_files),
        ROW(test_bad_files),
        ROW(test_leap_seconds_are_refused),
        ROW(test_sizes),
        ROW(test_first_block_is_skipped),
        ROW(test_two_jumps),
        ROW(test_fixed_names),
        ROW(test_names_in_a_folder),
        ROW(test_days),
        ROW(test_a_skipped_day),
        ROW(test_instant),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
