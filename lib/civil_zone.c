/* Zones: names, files, the TZif format of RFC 9636 and its footer rule. */
#include "civil_zone.h"

#include "civil.h"

#include <errno.h>
#include <fcntl.h>
#include <stdbool.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#define FILE_LIMIT ((size_t)1 << 20)

static const char *const system_folders[] = {"/usr/share/zoneinfo", "/usr/lib/zoneinfo",
                                             "/usr/share/lib/zoneinfo", "/etc/zoneinfo"};

/* Bytes read from front to back: the rest of a file, or of its rule. */
struct bytes {
    const unsigned char *p, *end;
};

static size_t left(const struct bytes *in)
{
    return (size_t)(in->end - in->p);
}

static bool next_is(struct bytes *in, char c)
{
    if (in->p == in->end || *in->p != (unsigned char)c)
        return false;
    in->p++;
    return true;
}

static bool is_digit(int c)
{
    return c >= '0' && c <= '9';
}

static bool is_alpha(int c)
{
    return (c >= 'A' && c <= 'Z') || (c >= 'a' && c <= 'z');
}

/* The footer rule: a POSIX TZ string with the extensions of RFC 9636, section 3.3.2. */

struct rule_day {
    char form; /* 'M': month, week, day of the week; 'J': 1..365, 'n': 0..365, a day of the year */
    int month, week, day;
    int seconds; /* wall clock, from that day's midnight; may lie some days off */
};

struct rule {
    struct civil_kind standard, daylight;
    bool has_daylight;
    struct rule_day start, end; /* of daylight time */
};

static bool rule_number(struct bytes *in, int lowest, int highest, int *value)
{
    const unsigned char *start = in->p;
    int n = 0;

    while (in->p < in->end && is_digit(*in->p) && in->p - start < 3)
        n = n * 10 + (*in->p++ - '0');
    *value = n;
    return in->p > start && n >= lowest && n <= highest;
}

/* [+-]hh[:mm[:ss]] */
static bool rule_time(struct bytes *in, int highest_hour, int *seconds)
{
    int sign = 1, hours, minutes = 0, rest = 0;

    if (next_is(in, '-'))
        sign = -1;
    else
        (void)next_is(in, '+');
    if (!rule_number(in, 0, highest_hour, &hours))
        return false;
    if (next_is(in, ':')) {
        if (!rule_number(in, 0, 59, &minutes))
            return false;
        if (next_is(in, ':') && !rule_number(in, 0, 59, &rest))
            return false;
    }
    *seconds = sign * (hours * CIVIL_HOUR + minutes * CIVIL_MINUTE + rest);
    return true;
}

/* GMT or <+0545>: at least three characters. */
static bool rule_name(struct bytes *in, struct arena *arena, const char **name)
{
    bool quoted = next_is(in, '<');
    const unsigned char *start = in->p;

    while (in->p < in->end &&
           (is_alpha(*in->p) || (quoted && (is_digit(*in->p) || *in->p == '+' || *in->p == '-'))))
        in->p++;
    if (in->p - start < 3)
        return false;
    *name = arena_copy(arena, (const char *)start, (size_t)(in->p - start));
    return !quoted || next_is(in, '>');
}

/* Mm.w.d, Jn or n, and /time */
static bool rule_day(struct bytes *in, struct rule_day *day)
{
    bool good;

    if (next_is(in, 'M')) {
        day->form = 'M';
        good = rule_number(in, 1, 12, &day->month) && next_is(in, '.') &&
               rule_number(in, 1, 5, &day->week) && next_is(in, '.') &&
               rule_number(in, 0, 6, &day->day);
    } else if (next_is(in, 'J')) {
        day->form = 'J';
        good = rule_number(in, 1, 365, &day->day);
    } else {
        day->form = 'n';
        good = rule_number(in, 0, 365, &day->day);
    }
    day->seconds = 2 * CIVIL_HOUR;
    if (good && next_is(in, '/'))
        good = rule_time(in, 167, &day->seconds);
    return good;
}

/* POSIX counts offsets west of Greenwich. A rule of daylight time must say when. */
static bool rule_parse(struct bytes in, struct arena *arena, struct rule *rule)
{
    int west;

    if (!rule_name(&in, arena, &rule->standard.abbreviation) || !rule_time(&in, 24, &west))
        return false;
    rule->standard.offset = -west;
    rule->has_daylight = left(&in) > 0;
    if (!rule->has_daylight)
        return true;
    if (!rule_name(&in, arena, &rule->daylight.abbreviation))
        return false;
    rule->daylight.offset = rule->standard.offset + CIVIL_HOUR;
    if (left(&in) > 0 && *in.p != ',') {
        if (!rule_time(&in, 24, &west))
            return false;
        rule->daylight.offset = -west;
    }
    return next_is(&in, ',') && rule_day(&in, &rule->start) && next_is(&in, ',') &&
           rule_day(&in, &rule->end) && left(&in) == 0;
}

/* The wall clock's moment in that year, in seconds since 1970 as if the clock showed UTC. */
static int64_t rule_moment(const struct rule_day *rule, int year)
{
    int64_t day;

    if (rule->form == 'M') {
        int64_t first = civil_day_of_date((struct civil_date){year, rule->month, 1});
        int64_t month_end = first + civil_days_in_month(year, rule->month);
        int first_weekday = civil_weekday(first) % 7; /* Sunday 0, as the rule counts */

        day = first + (rule->day - first_weekday + 7) % 7 + 7 * (rule->week - 1);
        while (day >= month_end) /* week 5 is the last one */
            day -= 7;
    } else {
        day = civil_day_of_date((struct civil_date){year, 1, 1}) + rule->day;
        /* J60 is 1 March in every year. */
        if (rule->form == 'J' && !(rule->day >= 60 && civil_days_in_month(year, 2) == 29))
            day--;
    }
    return day * CIVIL_DAY + rule->seconds;
}

/* Spans being collected; there is room for all that may come. */
struct list {
    struct civil_span *spans;
    size_t count;
};

/*
 * Adds a change that the rule makes, in turn to and from daylight time. One that comes no later
 * than the change before it leaves no time for that one, and together they change nothing: this is
 * how rules spell daylight time all year round.
 */
static void rule_change(struct list *list, size_t base, int64_t from, const struct civil_kind *kind)
{
    if (list->count > base && from <= list->spans[list->count - 1].from)
        list->count--;
    else
        list->spans[list->count++] = (struct civil_span){from, kind};
}

/* Most changes a rule can make from the year before the first to the year after the last. */
#define RULE_CHANGES (2 * (size_t)(CIVIL_LAST_YEAR - CIVIL_FIRST_YEAR + 3))

/* Carries the list on, from the file's last change, by the rule. */
static void rule_extend(struct list *list, const struct rule *rule)
{
    size_t base = list->count, keep = base, drop = base;
    int64_t last = list->spans[base - 1].from;

    if (!rule->has_daylight) {
        /* Only a file without changes has none to end with. */
        if (base == 1)
            list->spans[0].kind = &rule->standard;
        return;
    }
    for (int year = CIVIL_FIRST_YEAR - 1; year <= CIVIL_LAST_YEAR + 1; year++) {
        int64_t start = rule_moment(&rule->start, year) - rule->standard.offset;
        int64_t end = rule_moment(&rule->end, year) - rule->daylight.offset;

        if (start <= end)
            rule_change(list, base, start, &rule->daylight);
        rule_change(list, base, end, &rule->standard);
        if (start > end)
            rule_change(list, base, start, &rule->daylight);
    }
    if (base == 1)
        list->spans[0].kind = &rule->standard;
    while (drop < list->count && list->spans[drop].from <= last)
        drop++;
    while (drop < list->count)
        list->spans[keep++] = list->spans[drop++];
    list->count = keep;
}

/* The file: a header and data with 32-bit times, then from version 2 on the same with 64-bit times
 * and the footer. */

struct header {
    int version;
    uint64_t isut, isstd, leaps, times, types, chars;
};

#define HEADER_SIZE 44

static int64_t big_endian(const unsigned char *p, int size)
{
    uint64_t value = p[0] & 0x80 ? UINT64_MAX : 0;

    for (int i = 0; i < size; i++)
        value = value << 8 | p[i];
    return (int64_t)value;
}

static bool read_header(struct bytes *in, struct header *header)
{
    const unsigned char *p = in->p;
    uint64_t *const counts[] = {&header->isut,  &header->isstd, &header->leaps,
                                &header->times, &header->types, &header->chars};

    if (left(in) < HEADER_SIZE || memcmp(p, "TZif", 4) != 0)
        return false;
    if (p[4] != 0 && !(p[4] >= '2' && p[4] <= '9'))
        return false;
    header->version = p[4] == 0 ? 1 : p[4] - '0';
    for (size_t i = 0; i < 6; i++)
        *counts[i] = (uint64_t)big_endian(p + 20 + 4 * i, 4) & UINT32_MAX;
    in->p += HEADER_SIZE;
    return true;
}

static uint64_t data_size(const struct header *header, uint64_t time_size)
{
    return header->times * (time_size + 1) + header->types * 6 + header->chars +
           header->leaps * (time_size + 4) + header->isstd + header->isut;
}

/* The kinds of local time; NULL if one is out of range. */
static const struct civil_kind *read_kinds(struct arena *arena, const struct header *header,
                                           const unsigned char *types, const unsigned char *chars)
{
    size_t count = (size_t)header->types;
    struct civil_kind *kinds = arena_array(arena, count, sizeof *kinds);
    const char *names = arena_copy(arena, (const char *)chars, (size_t)header->chars);

    for (size_t i = 0; i < count; i++, types += 6) {
        int64_t offset = big_endian(types, 4);

        /* The bounds are those of RFC 9636, section 3.2. */
        if (offset <= -25 * CIVIL_HOUR || offset >= 26 * CIVIL_HOUR || types[4] > 1 ||
            types[5] >= header->chars)
            return NULL;
        kinds[i].offset = (int)offset;
        kinds[i].abbreviation = names + types[5];
        for (const char *p = kinds[i].abbreviation; *p != '\0'; p++)
            if (*p < ' ' || *p > '~')
                return NULL;
        if (memchr(chars + types[5], '\0', (size_t)header->chars - types[5]) == NULL)
            return NULL;
    }
    return kinds;
}

/* The data block at in, whose size has been checked. Before the first change the first kind holds
 * (RFC 9636, section 3.2). */
static const char *read_data(struct arena *arena, struct bytes *in, const struct header *header,
                             int time_size, struct list *list)
{
    size_t count = (size_t)header->times;
    const unsigned char *times = in->p;
    const unsigned char *indices = times + count * (size_t)time_size;
    const unsigned char *types = indices + count;
    const struct civil_kind *kinds = read_kinds(arena, header, types, types + header->types * 6);
    int64_t before = 0;

    if (kinds == NULL)
        return "its zone file has a kind of local time that cannot be";
    list->spans = arena_array(arena, 1 + count + RULE_CHANGES, sizeof *list->spans);
    list->spans[list->count++] = (struct civil_span){INT64_MIN, kinds};
    for (size_t i = 0; i < count; i++) {
        int64_t at = big_endian(times + i * (size_t)time_size, time_size);

        if (i > 0 && at <= before)
            return "its zone file has changes out of order";
        if (indices[i] >= header->types)
            return "its zone file names a kind of local time it has not";
        before = at;
        list->spans[list->count++] = (struct civil_span){at, &kinds[indices[i]]};
    }
    return NULL;
}

static const char *check_counts(const struct bytes *in, const struct header *header,
                                uint64_t time_size)
{
    if (data_size(header, time_size) > left(in))
        return "its zone file is cut short";
    /* A kind of local time, and the start of its name, are each given by one byte. */
    if (header->types == 0 || header->types > 256 || header->chars == 0 || header->chars > 512 ||
        (header->isut != 0 && header->isut != header->types) ||
        (header->isstd != 0 && header->isstd != header->types))
        return "its zone file has counts that do not fit together";
    if (header->leaps != 0)
        return "its zone file counts leap seconds; take the zone without right/";
    return NULL;
}

/* A line between two newlines; nothing in it means no rule. */
static const char *read_footer(struct arena *arena, struct bytes in, struct list *list)
{
    const unsigned char *end;
    struct rule *rule = arena_alloc(arena, sizeof *rule);

    if (!next_is(&in, '\n') || (end = memchr(in.p, '\n', left(&in))) == NULL)
        return "its zone file is cut short";
    if (end == in.p)
        return NULL;
    if (!rule_parse((struct bytes){in.p, end}, arena, rule))
        return "its zone file ends with a rule that cannot be read";
    rule_extend(list, rule);
    return NULL;
}

static const struct civil_zone *make_zone(struct arena *arena, const struct list *list)
{
    struct civil_zone *zone = arena_alloc(arena, sizeof *zone);

    zone->spans = list->spans;
    zone->count = list->count;
    zone->lowest = zone->highest = list->spans[0].kind->offset;
    for (size_t i = 1; i < list->count; i++) {
        int offset = list->spans[i].kind->offset;

        if (offset < zone->lowest)
            zone->lowest = offset;
        if (offset > zone->highest)
            zone->highest = offset;
    }
    return zone;
}

const struct civil_zone *civil_zone_decode(struct arena *arena, const void *bytes, size_t size,
                                           const char **why)
{
    struct bytes in = {bytes, (const unsigned char *)bytes + size};
    struct header header;
    struct list list = {NULL, 0};
    int time_size = 4;

    *why = "its zone file is over 1 MiB";
    if (size > FILE_LIMIT)
        return NULL;
    *why = "its zone file is not a TZif file";
    if (!read_header(&in, &header))
        return NULL;
    if (header.version > 1) {
        *why = "its zone file is cut short";
        if (data_size(&header, 4) > left(&in))
            return NULL;
        in.p += data_size(&header, 4);
        if (!read_header(&in, &header) || header.version < 2)
            return NULL;
        time_size = 8;
    }
    *why = check_counts(&in, &header, (uint64_t)time_size);
    if (*why == NULL)
        *why = read_data(arena, &in, &header, time_size, &list);
    in.p += *why == NULL ? data_size(&header, (uint64_t)time_size) : 0;
    if (*why == NULL && header.version > 1)
        *why = read_footer(arena, in, &list);
    return *why == NULL ? make_zone(arena, &list) : NULL;
}

/* Names. */

const struct civil_zone *civil_utc(void)
{
    static const struct civil_kind kind = {0, "UTC"};
    static const struct civil_span span = {INT64_MIN, &kind};
    static const struct civil_zone zone = {&span, 1, 0, 0};

    return &zone;
}

static const struct civil_zone *fixed_zone(struct arena *arena, const char *name, size_t n,
                                           const char **why)
{
    struct bytes in = {(const unsigned char *)name + 1, (const unsigned char *)name + n};
    struct civil_kind *kind = arena_alloc(arena, sizeof *kind);
    struct list list = {arena_alloc(arena, sizeof *list.spans), 1};
    int hours, minutes;

    *why = "an offset is written as +01:00, from -23:59 to +23:59";
    if (n != 6 || !rule_number(&in, 0, 23, &hours) || !next_is(&in, ':') ||
        !rule_number(&in, 0, 59, &minutes) || left(&in) > 0 || name[3] != ':')
        return NULL;
    *why = NULL;
    kind->offset = hours * CIVIL_HOUR + minutes * CIVIL_MINUTE;
    if (name[0] == '-')
        kind->offset = -kind->offset;
    kind->abbreviation = arena_copy(arena, name, n);
    list.spans[0] = (struct civil_span){INT64_MIN, kind};
    return make_zone(arena, &list);
}

/* [A-Za-z0-9_+-]+(/[A-Za-z0-9_+-]+)*, so that no name leads out of the folder. */
static bool name_is_safe(const char *name, size_t n)
{
    bool part = false;

    for (size_t i = 0; i < n; i++) {
        unsigned char c = (unsigned char)name[i];

        if (c == '/' && part)
            part = false;
        else if (is_alpha(c) || is_digit(c) || c == '_' || c == '+' || c == '-')
            part = true;
        else
            return false;
    }
    return part;
}

/* The whole file at path, of at most FILE_LIMIT bytes; NULL and a reason. */
static const unsigned char *read_file(struct arena *arena, const char *path, size_t *size,
                                      const char **why, bool *absent)
{
    /* Not to wait for a writer, should the name be that of a pipe. */
    int fd = open(path, O_RDONLY | O_NONBLOCK | O_NOCTTY | O_CLOEXEC);
    unsigned char *bytes = NULL;
    struct stat status;
    ssize_t got = 0;

    *why = "its zone file cannot be read";
    *absent = fd < 0 && (errno == ENOENT || errno == ENOTDIR);
    if (fd < 0)
        return NULL;
    *size = 0;
    if (fstat(fd, &status) != 0 || !S_ISREG(status.st_mode)) {
        *why = "not a zone file but a folder or a device";
    } else if (status.st_size > (off_t)FILE_LIMIT) {
        *why = "its zone file is over 1 MiB";
    } else {
        bytes = arena_alloc(arena, (size_t)status.st_size + 1);
        while (*size < (size_t)status.st_size) {
            got = read(fd, bytes + *size, (size_t)status.st_size - *size);
            if (got == 0 || (got < 0 && errno != EINTR))
                break;
            *size += got > 0 ? (size_t)got : 0;
        }
        if (got < 0)
            bytes = NULL;
    }
    (void)close(fd);
    return bytes;
}

/* *absent is set when there is no such file. */
static const struct civil_zone *zone_in_folder(struct arena *arena, const char *folder,
                                               const char *name, size_t n, const char **why,
                                               bool *absent)
{
    char path[4096];
    const unsigned char *bytes;
    size_t size;
    int length = snprintf(path, sizeof path, "%s/%.*s", folder, (int)n, name);

    *absent = false;
    *why = "the path of its zone file is too long";
    if (length < 0 || (size_t)length >= sizeof path)
        return NULL;
    bytes = read_file(arena, path, &size, why, absent);
    return bytes == NULL ? NULL : civil_zone_decode(arena, bytes, size, why);
}

static const struct civil_zone *zone_of_system(struct arena *arena, const char *name, size_t n,
                                               const char **why)
{
    bool any_folder = false;

    for (size_t i = 0; i < sizeof system_folders / sizeof *system_folders; i++) {
        bool absent;
        const struct civil_zone *zone =
            zone_in_folder(arena, system_folders[i], name, n, why, &absent);

        if (!absent)
            return zone;
        any_folder = any_folder || access(system_folders[i], F_OK) == 0;
    }
    *why = any_folder ? "there is no such zone; names are like Europe/Dublin, UTC or +01:00"
                      : "this system has no zone files (package tzdata); UTC and +01:00 need none";
    return NULL;
}

const struct civil_zone *civil_zone_read(struct arena *arena, const char *folder, const char *name,
                                         size_t name_len, const char **why)
{
    const struct civil_zone *zone;
    bool absent;

    *why = NULL;
    if (name_len == 3 && memcmp(name, "UTC", 3) == 0)
        return civil_utc();
    if (name_len > 1 && (name[0] == '+' || name[0] == '-') && is_digit((unsigned char)name[1]))
        return fixed_zone(arena, name, name_len, why);
    *why = "not the name of a zone; names are like Europe/Dublin, UTC or +01:00";
    if (name_len > 255 || !name_is_safe(name, name_len))
        return NULL;
    if (folder == NULL || folder[0] == '\0')
        return zone_of_system(arena, name, name_len, why);
    zone = zone_in_folder(arena, folder, name, name_len, why, &absent);
    if (absent)
        *why = "there is no such zone in the zone folder";
    return zone;
}
