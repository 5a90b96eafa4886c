#include "civil.h"

#include "civil_zone.h"

#include <stdbool.h>
#include <stdio.h>
#include <string.h>

static const char *const status_texts[] = {
    [CIVIL_OK] = "",
    [CIVIL_FOLD] = "clocks go back that night and show this time twice: the first is taken",
    [CIVIL_GAP] = "clocks go forward that night and never show this time",
    [CIVIL_SYNTAX] = "not a time: write 2026-11-14 15:30, or 2026-11-14T15:30:00+01:00",
    [CIVIL_IMPOSSIBLE] = "there is no such date or time of day",
    [CIVIL_RANGE] = "the year is not within 1900 to 2200",
};

const char *civil_status_text(enum civil_status status)
{
    return status_texts[status];
}

/* The quotient rounded down, for a positive divisor. */
static int64_t floor_div(int64_t a, int64_t b)
{
    return a / b - (a % b < 0);
}

_Static_assert(CIVIL_FIRST_YEAR == 1900 && CIVIL_LAST_YEAR == 2200, "the text above names them");

/* The calendar. Years are counted from March, so that the leap day comes last, and in eras of 400
 * years, which are all of 146097 days. */

#define ERA_DAYS 146097
#define EPOCH    719468 /* days from 1 March of the year 0 to 1 January 1970 */

/* A day within the years 0 to 9999. */
static int64_t bound_day(int64_t day)
{
    const int64_t first = -719528, last = 2932896;

    return day < first ? first : day > last ? last : day;
}

int civil_days_in_month(int year, int month)
{
    static const int days[] = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};

    if (month < 1 || month > 12)
        return 0;
    if (month == 2 && year % 4 == 0 && (year % 100 != 0 || year % 400 == 0))
        return 29;
    return days[month - 1];
}

int64_t civil_day_of_date(struct civil_date date)
{
    int64_t year = (int64_t)date.year - (date.month <= 2);
    int64_t era = floor_div(year, 400);
    int64_t year_of_era = year - era * 400;
    int month = (date.month + 9) % 12;
    int64_t day_of_year = (153 * month + 2) / 5 + date.day - 1;

    return era * ERA_DAYS + year_of_era * 365 + year_of_era / 4 - year_of_era / 100 + day_of_year -
           EPOCH;
}

struct civil_date civil_date_of_day(int64_t day)
{
    int64_t shifted = bound_day(day) + EPOCH;
    int64_t era = floor_div(shifted, ERA_DAYS);
    int day_of_era = (int)(shifted - era * ERA_DAYS);
    int year_of_era =
        (day_of_era - day_of_era / 1460 + day_of_era / 36524 - day_of_era / 146096) / 365;
    int day_of_year = day_of_era - (365 * year_of_era + year_of_era / 4 - year_of_era / 100);
    int month = (5 * day_of_year + 2) / 153;
    struct civil_date date;

    date.day = day_of_year - (153 * month + 2) / 5 + 1;
    date.month = month < 10 ? month + 3 : month - 9;
    date.year = (int)(era * 400) + year_of_era + (date.month <= 2);
    return date;
}

int civil_weekday(int64_t day)
{
    /* 1970-01-01 was a Thursday. */
    int64_t from_monday = bound_day(day) + 3;

    return (int)(from_monday - 7 * floor_div(from_monday, 7)) + 1;
}

/* The wall clock. */

/* An instant whose local date is within them, whatever the offset. */
static int64_t bound_instant(int64_t at)
{
    const int64_t first = -719526 * (int64_t)CIVIL_DAY, last = 2932895 * (int64_t)CIVIL_DAY;

    return at < first ? first : at > last ? last : at;
}

static size_t find_span(const struct civil_zone *zone, int64_t at)
{
    size_t low = 0, high = zone->count;

    while (high - low > 1) {
        size_t middle = low + (high - low) / 2;

        if (zone->spans[middle].from <= at)
            low = middle;
        else
            high = middle;
    }
    return low;
}

/* What the clock shows, as seconds since 1970 if it showed UTC. */
static int64_t wall_seconds(const struct civil_zone *zone, int64_t at)
{
    return at + zone->spans[find_span(zone, at)].kind->offset;
}

/*
 * The first instant at which the clock shows wall. Only spans that are in force somewhere between
 * the highest and the lowest offset can show it. In a gap the first of them that begins with the
 * clock past it holds the moment of the jump.
 */
static enum civil_status find_wall(const struct civil_zone *zone, int64_t wall, int64_t *at)
{
    size_t i = find_span(zone, wall - zone->highest);
    bool found = false, jumped = false;

    for (; i < zone->count && zone->spans[i].from <= wall - zone->lowest; i++) {
        const struct civil_span *span = &zone->spans[i];
        int64_t candidate = wall - span->kind->offset;

        if (candidate < span->from) {
            if (!found && !jumped)
                *at = span->from;
            jumped = true;
        } else if (i + 1 == zone->count || candidate < span[1].from) {
            if (found)
                return CIVIL_FOLD;
            *at = candidate;
            found = true;
        }
    }
    return found ? CIVIL_OK : CIVIL_GAP;
}

void civil_local(const struct civil_zone *zone, int64_t at, struct civil_time *time)
{
    int64_t instant = bound_instant(at);
    const struct civil_kind *kind = zone->spans[find_span(zone, instant)].kind;
    int64_t day = floor_div(instant + kind->offset, CIVIL_DAY);
    int seconds = (int)(instant + kind->offset - day * CIVIL_DAY);
    struct civil_date date = civil_date_of_day(day);

    time->year = date.year;
    time->month = date.month;
    time->day = date.day;
    time->hour = seconds / CIVIL_HOUR;
    time->minute = seconds / CIVIL_MINUTE % 60;
    time->second = seconds % 60;
    time->weekday = civil_weekday(day);
    time->offset = kind->offset;
    time->abbreviation = kind->abbreviation;
}

int64_t civil_day(const struct civil_zone *zone, int64_t at)
{
    return floor_div(wall_seconds(zone, bound_instant(at)), CIVIL_DAY);
}

int64_t civil_day_start(const struct civil_zone *zone, int64_t day)
{
    int64_t at = 0;

    (void)find_wall(zone, bound_day(day) * CIVIL_DAY, &at);
    return at;
}

static enum civil_status check_date(struct civil_date date)
{
    if (date.day < 1 || date.day > civil_days_in_month(date.year, date.month))
        return CIVIL_IMPOSSIBLE;
    return date.year < CIVIL_FIRST_YEAR || date.year > CIVIL_LAST_YEAR ? CIVIL_RANGE : CIVIL_OK;
}

enum civil_status civil_instant(const struct civil_zone *zone, struct civil_date date,
                                int seconds_of_day, int64_t *at)
{
    enum civil_status status = check_date(date);

    if (status != CIVIL_OK)
        return status;
    if (seconds_of_day < 0 || seconds_of_day >= CIVIL_DAY)
        return CIVIL_IMPOSSIBLE;
    return find_wall(zone, civil_day_of_date(date) * CIVIL_DAY + seconds_of_day, at);
}

/* Reading: each of these takes its piece off the front of the text, or says no. */

struct text {
    const char *p, *end;
};

static bool take(struct text *in, char c)
{
    if (in->p == in->end || *in->p != c)
        return false;
    in->p++;
    return true;
}

static bool at_digit(const struct text *in)
{
    return in->p < in->end && *in->p >= '0' && *in->p <= '9';
}

static bool take_digits(struct text *in, int count, int *value)
{
    int n = 0;

    for (int i = 0; i < count; i++) {
        if (!at_digit(in))
            return false;
        n = n * 10 + (*in->p++ - '0');
    }
    *value = n;
    return true;
}

static bool take_date(struct text *in, struct civil_date *date)
{
    return take_digits(in, 4, &date->year) && take(in, '-') && take_digits(in, 2, &date->month) &&
           take(in, '-') && take_digits(in, 2, &date->day);
}

struct clock {
    int hour, minute, second;
};

/* :MM[:SS] */
static bool take_minutes(struct text *in, struct clock *clock)
{
    clock->second = 0;
    if (!take(in, ':') || !take_digits(in, 2, &clock->minute))
        return false;
    return !take(in, ':') || take_digits(in, 2, &clock->second);
}

static bool take_fraction(struct text *in)
{
    if (!take(in, '.'))
        return true;
    if (!at_digit(in))
        return false;
    while (at_digit(in))
        in->p++;
    return true;
}

/* Z, +HH:MM or -HH:MM, as seconds east. */
static bool take_offset(struct text *in, enum civil_status *status, int *offset)
{
    int sign = 1, hours, minutes;

    *offset = 0;
    if (take(in, 'Z') || take(in, 'z'))
        return true;
    if (take(in, '-'))
        sign = -1;
    else if (!take(in, '+'))
        return false;
    if (!take_digits(in, 2, &hours) || !take(in, ':') || !take_digits(in, 2, &minutes))
        return false;
    if (hours > 23 || minutes > 59)
        *status = CIVIL_IMPOSSIBLE;
    *offset = sign * (hours * CIVIL_HOUR + minutes * CIVIL_MINUTE);
    return true;
}

/* The leap second is the only 61st of a minute, and ends a day of UTC. */
static bool is_leap_second(int64_t at)
{
    return at == floor_div(at, CIVIL_DAY) * CIVIL_DAY;
}

enum civil_status civil_parse(const char *text, size_t n, const struct civil_zone *zone,
                              int64_t *at)
{
    struct text in = {text, text + n};
    struct civil_date date;
    struct clock clock;
    enum civil_status status, offset_status = CIVIL_OK;
    bool has_offset = false, has_seconds;
    int64_t wall, instant = 0;
    int offset;

    if (!take_date(&in, &date) || !(take(&in, 'T') || take(&in, ' ') || take(&in, 't')) ||
        !take_digits(&in, 2, &clock.hour))
        return CIVIL_SYNTAX;
    has_seconds = in.end - in.p > 3 && in.p[3] == ':';
    if (!take_minutes(&in, &clock) || (has_seconds && !take_fraction(&in)))
        return CIVIL_SYNTAX;
    if (in.p < in.end) {
        has_offset = true;
        if (!take_offset(&in, &offset_status, &offset) || in.p < in.end)
            return CIVIL_SYNTAX;
    }

    status = check_date(date);
    if (clock.hour > 23 || clock.minute > 59 || clock.second > 60 || offset_status != CIVIL_OK)
        status = CIVIL_IMPOSSIBLE;
    if (status != CIVIL_OK)
        return status;
    wall = civil_day_of_date(date) * CIVIL_DAY + clock.hour * CIVIL_HOUR +
           clock.minute * CIVIL_MINUTE + clock.second;
    if (has_offset)
        instant = wall - offset;
    else
        status = find_wall(zone, wall, &instant);
    if (clock.second == 60 && !is_leap_second(instant))
        return CIVIL_IMPOSSIBLE;
    *at = instant;
    return status;
}

enum civil_status civil_parse_date(const char *text, size_t n, struct civil_date *date)
{
    struct text in = {text, text + n};
    struct civil_date read;
    enum civil_status status;

    if (!take_date(&in, &read) || in.p < in.end)
        return CIVIL_SYNTAX;
    status = check_date(read);
    if (status == CIVIL_OK)
        *date = read;
    return status;
}

enum civil_status civil_parse_time_or_date(const char *text, size_t n,
                                           const struct civil_zone *zone, int64_t *at)
{
    struct civil_date date;
    enum civil_status status = civil_parse_date(text, n, &date);

    if (status == CIVIL_SYNTAX)
        return civil_parse(text, n, zone, at);
    if (status == CIVIL_OK)
        *at = civil_day_start(zone, civil_day_of_date(date));
    return status;
}

enum civil_status civil_parse_clock(const char *text, size_t n, int *seconds_of_day)
{
    struct text in = {text, text + n};
    struct clock clock;
    int hour_digits = n > 1 && text[1] == ':' ? 1 : 2;

    if (!take_digits(&in, hour_digits, &clock.hour) || !take_minutes(&in, &clock) || in.p < in.end)
        return CIVIL_SYNTAX;
    if (clock.hour > 23 || clock.minute > 59 || clock.second > 59)
        return CIVIL_IMPOSSIBLE;
    *seconds_of_day = clock.hour * CIVIL_HOUR + clock.minute * CIVIL_MINUTE + clock.second;
    return CIVIL_OK;
}

/* Writing. */

/* count digits of a value that has no more. */
static char *put_digits(char *p, int value, int count)
{
    for (int i = count - 1; i >= 0; i--, value /= 10)
        p[i] = (char)('0' + value % 10);
    return p + count;
}

static char *put_two(char *p, char before, int value)
{
    *p = before;
    return put_digits(p + 1, value, 2);
}

static char *put_date(char *p, int year, int month, int day)
{
    return put_two(put_two(put_digits(p, year, 4), '-', month), '-', day);
}

static char *put_minute(char *p, const struct civil_time *time)
{
    p = put_date(p, time->year, time->month, time->day);
    return put_two(put_two(p, ' ', time->hour), ':', time->minute);
}

char *civil_rfc3339(const struct civil_zone *zone, int64_t at, char text[CIVIL_TEXT_SIZE])
{
    struct civil_time time;
    int odd, minutes;
    char *p;

    civil_local(zone, at, &time);
    odd = time.offset % 60;
    minutes = (time.offset - odd) / 60;
    if (odd != 0) /* the clock of the offset without them */
        civil_local(civil_utc(), bound_instant(at) + time.offset - odd, &time);
    p = put_minute(text, &time);
    text[10] = 'T';
    p = put_two(p, ':', time.second);
    if (minutes == 0) {
        *p++ = 'Z';
    } else {
        p = put_two(p, minutes < 0 ? '-' : '+', (minutes < 0 ? -minutes : minutes) / 60);
        p = put_two(p, ':', (minutes < 0 ? -minutes : minutes) % 60);
    }
    *p = '\0';
    return text;
}

char *civil_minute(const struct civil_zone *zone, int64_t at, char text[CIVIL_TEXT_SIZE])
{
    struct civil_time time;

    civil_local(zone, at, &time);
    *put_minute(text, &time) = '\0';
    return text;
}

char *civil_exact(const struct civil_zone *zone, int64_t at, char text[CIVIL_TEXT_SIZE])
{
    struct civil_time time;
    struct civil_date date;
    int64_t back;
    enum civil_status status;
    char *p;

    civil_local(zone, at, &time);
    date = (struct civil_date){time.year, time.month, time.day};
    status = civil_instant(
        zone, date, time.hour * CIVIL_HOUR + time.minute * CIVIL_MINUTE + time.second, &back);
    if ((status != CIVIL_OK && status != CIVIL_FOLD) || back != at)
        return civil_rfc3339(zone, at, text);
    p = put_minute(text, &time);
    if (time.second != 0)
        p = put_two(p, ':', time.second);
    *p = '\0';
    return text;
}

char *civil_clock(const struct civil_zone *zone, int64_t at, char text[CIVIL_CLOCK_SIZE])
{
    struct civil_time time;

    civil_local(zone, at, &time);
    *put_two(put_digits(text, time.hour, 2), ':', time.minute) = '\0';
    return text;
}

char *civil_date_text(int64_t day, char text[CIVIL_DATE_SIZE])
{
    struct civil_date date = civil_date_of_day(day);

    *put_date(text, date.year, date.month, date.day) = '\0';
    return text;
}

char *civil_short_date(int64_t day, char text[CIVIL_SHORT_SIZE])
{
    static const char weekdays[] = "MonTueWedThuFriSatSun";
    static const char months[] = "JanFebMarAprMayJunJulAugSepOctNovDec";
    struct civil_date date = civil_date_of_day(day);

    /* The remainder is for the compiler: it then knows that two digits are enough. */
    (void)snprintf(text, CIVIL_SHORT_SIZE, "%.3s %u %.3s", weekdays + 3 * (civil_weekday(day) - 1),
                   (unsigned)date.day % 100, months + 3 * (date.month - 1));
    return text;
}
