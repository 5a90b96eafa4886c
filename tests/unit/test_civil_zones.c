/*
 * The system's own zone files, against two other readers of them: the C library's localtime_r() and
 * Python's zoneinfo. Then the same files damaged.
 */
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
#include <time.h>

#include <cmocka.h>

#define COUNT(array) (sizeof(array) / sizeof *(array))

static const char *const names[] = {
    "Europe/Dublin",     /* winter time is the daylight time */
    "Europe/Berlin",     /* double summer time in 1945 */
    "Asia/Kathmandu",    /* +05:45 */
    "Asia/Gaza",         /* a rule of 50 hours after a Saturday, and changes to 2086 */
    "Africa/Casablanca", /* winter time in Ramadan alone, by changes to 2087 */
    "America/Nuuk",      /* the rule's hour lies on the day before */
    "America/Sao_Paulo", /* midnight skipped, until 2019 */
    "America/New_York",    "America/St_Johns", /* half hours, and at 00:01 until 2011 */
    "Australia/Lord_Howe",                     /* half an hour of daylight time */
    "Pacific/Apia",                            /* 30 December 2011 left out */
    "Pacific/Chatham",                         /* +12:45, south */
    "Etc/GMT+11",
};

/* NULL, and a note, where the system has not the file. */
static const struct civil_zone *system_zone(const char *name)
{
    const char *why;
    const struct civil_zone *zone = civil_zone_read(&arena, NULL, name, strlen(name), &why);

    if (zone == NULL)
        print_message("note: skipped %s: %s\n", name, why);
    return zone;
}

/* xorshift: the same numbers in every run. */
static uint64_t random_state;

static uint64_t next_random(void)
{
    random_state ^= random_state << 13;
    random_state ^= random_state >> 7;
    random_state ^= random_state << 17;
    return random_state;
}

#define YEAR_1900 (-INT64_C(2208902400)) /* a day later, for the offsets */
#define YEAR_2100 INT64_C(4102444800)

static int64_t random_instant(void)
{
    return YEAR_1900 + (int64_t)(next_random() % (uint64_t)(YEAR_2100 - YEAR_1900));
}

/* A C library that does not know the zone takes it for UTC, which then fails below. */
static void set_library_zone(const char *name)
{
    (void)setenv("TZ", name, 1);
    tzset();
}

static int64_t library_wall(int64_t at)
{
    time_t t = (time_t)at;
    struct tm tm;

    if (localtime_r(&t, &tm) == NULL)
        fail_msg("localtime_r(%lld)", (long long)at);
    return civil_day_of_date((struct civil_date){tm.tm_year + 1900, tm.tm_mon + 1, tm.tm_mday}) *
               CIVIL_DAY +
           tm.tm_hour * CIVIL_HOUR + tm.tm_min * CIVIL_MINUTE + tm.tm_sec;
}

static int64_t wall_of(const struct civil_time *time)
{
    return civil_day_of_date((struct civil_date){time->year, time->month, time->day}) * CIVIL_DAY +
           time->hour * CIVIL_HOUR + time->minute * CIVIL_MINUTE + time->second;
}

/* What must hold of any zone at any instant within the years. */
static void check_instant(const struct civil_zone *zone, const char *title, int64_t at)
{
    struct civil_time time;
    char text[CIVIL_TEXT_SIZE];
    int64_t day = civil_day(zone, at), start = civil_day_start(zone, day), back = 0;
    enum civil_status status;

    civil_local(zone, at, &time);
    if (wall_of(&time) != at + time.offset || day * CIVIL_DAY > wall_of(&time) ||
        (day + 1) * CIVIL_DAY <= wall_of(&time))
        fail_msg("%s: %lld: clock and offset differ", title, (long long)at);
    if (start > at || civil_day(zone, start) < day)
        fail_msg("%s: %lld: its day starts at %lld", title, (long long)at, (long long)start);
    civil_exact(zone, at, text);
    status = civil_parse(text, strlen(text), zone, &back);
    if ((status != CIVIL_OK && status != CIVIL_FOLD) || back != at)
        fail_msg("%s: %lld: '%s' is read as %lld, status %d", title, (long long)at, text,
                 (long long)back, (int)status);
    civil_rfc3339(zone, at, text);
    if (civil_parse(text, strlen(text), civil_utc(), &back) != CIVIL_OK || back != at)
        fail_msg("%s: %lld: '%s' is read as %lld", title, (long long)at, text, (long long)back);
}

static void test_against_the_library(void **state)
{
    (void)state;
    random_state = 1;
    for (size_t i = 0; i < COUNT(names); i++) {
        const struct civil_zone *zone = system_zone(names[i]);

        if (zone == NULL)
            continue;
        set_library_zone(names[i]);
        for (int k = 0; k < 4000; k++) {
            int64_t at = random_instant();
            struct civil_time time;

            civil_local(zone, at, &time);
            if (wall_of(&time) != library_wall(at))
                fail_msg("%s: %lld: offset %d, the library's %lld", names[i], (long long)at,
                         time.offset, (long long)(library_wall(at) - at));
            check_instant(zone, names[i], at);
        }
    }
}

/* Every quarter of an hour that the clock shows in a year is counted by the C library: none is a
 * gap, two are a fold, of which the first is meant. */
#define QUARTER     900
#define YEAR_LENGTH (400 * CIVIL_DAY / QUARTER)

static void check_year(const struct civil_zone *zone, const char *name, int year)
{
    static int64_t first[YEAR_LENGTH];
    static int count[YEAR_LENGTH];
    const int64_t begin = civil_day_of_date((struct civil_date){year, 1, 1}) * CIVIL_DAY;
    const int margin = 2 * CIVIL_DAY / QUARTER;

    memset(count, 0, sizeof count);
    for (int64_t at = begin; at < begin + (int64_t)YEAR_LENGTH * QUARTER; at += QUARTER) {
        int64_t place = (library_wall(at) - begin) / QUARTER;

        if (place >= 0 && place < YEAR_LENGTH && count[place]++ == 0)
            first[place] = at;
    }
    for (int i = margin; i < YEAR_LENGTH - margin; i++) {
        const enum civil_status statuses[] = {CIVIL_GAP, CIVIL_OK, CIVIL_FOLD};
        const int64_t wall = begin + (int64_t)i * QUARTER;
        int64_t day = wall / CIVIL_DAY, at = 0;
        enum civil_status status =
            civil_instant(zone, civil_date_of_day(day), (int)(wall % CIVIL_DAY), &at);

        if (status != statuses[count[i]] || (count[i] > 0 && at != first[i]))
            fail_msg("%s: day %lld, second %lld: status %d, %lld; the clock shows it %d times",
                     name, (long long)day, (long long)(wall % CIVIL_DAY), (int)status,
                     (long long)at, count[i]);
    }
}

static void test_gaps_and_folds(void **state)
{
    static const int years[] = {2011, 2026, 2090};

    (void)state;
    for (size_t i = 0; i < COUNT(names); i++) {
        const struct civil_zone *zone = system_zone(names[i]);

        if (zone == NULL)
            continue;
        set_library_zone(names[i]);
        for (size_t k = 0; k < COUNT(years); k++)
            check_year(zone, names[i], years[k]);
    }
}

/* Offsets and abbreviations too. */
static void test_against_python(void **state)
{
    static const char program[] =
        "import datetime, random, sys, zoneinfo\n"
        "random.seed(2)\n"
        "epoch = datetime.datetime(1970, 1, 1, tzinfo=datetime.timezone.utc)\n"
        "for name in sys.argv[1:]:\n"
        "    try: zone = zoneinfo.ZoneInfo(name)\n"
        "    except zoneinfo.ZoneInfoNotFoundError: continue\n"
        "    for i in range(2000):\n"
        "        at = random.randint(-2208902400, 7289568000)\n"
        "        local = (epoch + datetime.timedelta(seconds=at)).astimezone(zone)\n"
        "        print(name, at, local.strftime('%d %H:%M:%S'), local.isoweekday(),\n"
        "              int(local.utcoffset().total_seconds()), local.tzname())\n";
    char command[2048], line[256], last[64] = "";
    const struct civil_zone *zone = NULL;
    size_t length, lines = 0;
    FILE *in;

    (void)state;
    if (system("python3 -c 'import zoneinfo' >/dev/null 2>&1") != 0) {
        print_message("note: skipped: no python3 with zoneinfo\n");
        return;
    }
    length = (size_t)snprintf(command, sizeof command, "python3 -c \"%s\"", program);
    for (size_t i = 0; i < COUNT(names); i++)
        length += (size_t)snprintf(command + length, sizeof command - length, " %s", names[i]);
    assert_true(length < sizeof command);
    in = popen(command, "r");
    assert_non_null(in);
    while (fgets(line, sizeof line, in) != NULL) {
        char name[64], shown[160];
        struct civil_time time;
        long long at;

        assert_int_equal(sscanf(line, "%63s %lld", name, &at), 2);
        if (strcmp(name, last) != 0)
            zone = system_zone(name);
        strcpy(last, name);
        if (zone == NULL)
            continue;
        civil_local(zone, at, &time);
        (void)snprintf(shown, sizeof shown, "%s %lld %02d %02d:%02d:%02d %d %d %s\n", name, at,
                       time.day, time.hour, time.minute, time.second, time.weekday, time.offset,
                       time.abbreviation);
        if (strcmp(shown, line) != 0)
            fail_msg("%sis not python's\n%s", shown, line);
        lines++;
    }
    assert_int_equal(pclose(in), 0);
    if (lines == 0)
        print_message("note: skipped: python's zoneinfo has no zones\n");
}

/* Damage. */

static size_t read_system_file(const char *name, unsigned char *bytes, size_t size)
{
    char path[256];
    FILE *in;
    size_t n;

    (void)snprintf(path, sizeof path, "/usr/share/zoneinfo/%s", name);
    in = fopen(path, "rb");
    if (in == NULL) {
        print_message("note: skipped %s: no such file\n", path);
        return 0;
    }
    n = fread(bytes, 1, size, in);
    assert_true(n < size);
    (void)fclose(in);
    return n;
}

/* An exact copy, so that a sanitizer or valgrind sees a byte read behind it. */
static const struct civil_zone *decode_copy(const unsigned char *bytes, size_t n, const char **why)
{
    unsigned char *copy = malloc(n > 0 ? n : 1);
    const struct civil_zone *zone;

    memcpy(copy, bytes, n);
    zone = civil_zone_decode(&arena, copy, n, why);
    free(copy);
    if ((zone == NULL) != (*why != NULL))
        fail_msg("a zone and a reason, or neither");
    return zone;
}

/* A zone does not point into the bytes that it was read from, so it outlives the copy. */
static void test_damaged_files(void **state)
{
    static unsigned char bytes[65536], damaged[65536];
    const char *why;

    (void)state;
    random_state = 3;
    for (size_t i = 0; i < COUNT(names); i += 2) {
        size_t n = read_system_file(names[i], bytes, sizeof bytes);
        size_t refused = 0;

        for (size_t cut = 0; cut < n; cut++) {
            if (decode_copy(bytes, cut, &why) != NULL)
                fail_msg("%s, cut to %zu of %zu bytes, was taken", names[i], cut, n);
            arena_reset(&arena);
        }
        for (int k = 0; n > 0 && k < 1000; k++) {
            const struct civil_zone *zone;
            uint64_t changes = 1 + next_random() % 4;

            memcpy(damaged, bytes, n);
            for (uint64_t c = 0; c < changes; c++)
                damaged[next_random() % n] = (unsigned char)next_random();
            zone = decode_copy(damaged, n, &why);
            refused += zone == NULL;
            for (int c = 0; zone != NULL && c < 8; c++)
                check_instant(zone, names[i], random_instant());
            arena_reset(&arena);
        }
        if (n > 0 && (refused == 0 || refused == 1000))
            fail_msg("%s: %zu of 1000 damaged files were refused", names[i], refused);
    }
}

#define ROW(test) cmocka_unit_test_setup_teardown(test, set_up, tear_down)

int main(void)
{
    const struct CMUnitTest tests[] = {
        ROW(test_against_the_library),
        ROW(test_gaps_and_folds),
        ROW(test_against_python),
        ROW(test_damaged_files),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
