/* The calendar, reading and writing of times, and the wall clock of zones built here as bytes. */
#include "arena.h"
#include "civil.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#define COUNT(array) (sizeof(array) / sizeof *(array))

static struct arena arena;

static int set_up(void **state)
{
    (void)state;
    arena_init(&arena, NULL, NULL);
    return 0;
}

static int tear_down(void **state)
{
    (void)state;
    arena_free(&arena);
    return 0;
}

/* A TZif file put together in memory. */

struct file {
    unsigned char bytes[1024];
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

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_calendar_every_day),
        cmocka_unit_test_setup_teardown(test_parse, set_up, tear_down),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
