#include "phrase.h"

#include "civil.h"

#include <string.h>

#define COUNT(array) (sizeof(array) / sizeof(array)[0])

static const struct phrase_label LABELS[] = {
    {"gravity", READS_GRAVITY, NULL},
    {"grav", READS_GRAVITY, NULL},
    {"g", READS_GRAVITY, NULL},
    {"sg", READS_GRAVITY, "SG"},
    {"plato", READS_GRAVITY, "P"},
    {"brix", READS_GRAVITY, "Bx"},
    {"ph", READS_PH, NULL},
    {"temperature", READS_TEMP, NULL},
    {"temp", READS_TEMP, NULL},
    {"t", READS_TEMP, NULL},
    {"pressure", READS_PRESSURE, NULL},
    {"press", READS_PRESSURE, NULL},
    {"vdk", READS_VDK, NULL},
    {"diacetyl", READS_VDK, NULL},
    {"carbonation", READS_CARBONATION, NULL},
    {"carb", READS_CARBONATION, NULL},
    {"co2", READS_CARBONATION, NULL},
    {"oxygen", READS_OXYGEN, NULL},
    {"o2", READS_OXYGEN, NULL},
    {"do", READS_OXYGEN, NULL},
    {"alcohol", READS_ALCOHOL, NULL},
    {"alc", READS_ALCOHOL, NULL},
    {"abv", READS_ALCOHOL, NULL},
    {"cells", READS_CELLS, NULL},
    {"viability", READS_VIABILITY, NULL},
};

static const struct {
    const char *name, *unit;
} UNIT_WORDS[] = {
    {"plato", "P"},     {"degP", "P"},           {"deg P", "P"},         {"brix", "Bx"},
    {"degC", "C"},      {"celsius", "C"},        {"degF", "F"},          {"fahrenheit", "F"},
    {"bars", "bar"},    {"barg", "bar"},         {"psig", "psi"},        {"vols", "vol"},
    {"volumes", "vol"}, {"litres", "L"},         {"liters", "L"},        {"kilo", "kg"},
    {"kgs", "kg"},      {"lbs", "lb"},           {"pounds", "lb"},       {"bbls", "bbl"},
    {"barrels", "bbl"}, {"gals", "gal"},         {"gallons", "gal"},     {"ounces", "oz"},
    {"kilos", "kg"},    {"\xc2\xb5g/L", "ug/L"}, {"million/mL", "M/mL"}, {"million", "M/mL"},
};

static const struct phrase_event EVENTS[] = {
    {"pitch", EVENT_PITCH, false, "strain"},     {"pitched", EVENT_PITCH, true, "strain"},
    {"dry hop", EVENT_DRY_HOP, true, NULL},      {"dryhop", EVENT_DRY_HOP, true, NULL},
    {"dry-hop", EVENT_DRY_HOP, true, NULL},      {"dry hopped", EVENT_DRY_HOP, true, NULL},
    {"dry-hopped", EVENT_DRY_HOP, true, NULL},   {"dryhopped", EVENT_DRY_HOP, true, NULL},
    {"addition", EVENT_ADDITION, false, NULL},   {"added", EVENT_ADDITION, true, NULL},
    {"add", EVENT_ADDITION, false, NULL},        {"krausen", EVENT_KRAUSEN, false, NULL},
    {"krausened", EVENT_KRAUSEN, true, NULL},    {"rouse", EVENT_ROUSE, false, NULL},
    {"roused", EVENT_ROUSE, true, NULL},         {"close", EVENT_CLOSE, false, NULL},
    {"closed", EVENT_CLOSE, true, NULL},         {"vent", EVENT_VENT, false, NULL},
    {"vented", EVENT_VENT, true, NULL},          {"chill", EVENT_CHILL, false, NULL},
    {"chilled", EVENT_CHILL, true, NULL},        {"dump", EVENT_DUMP, false, NULL},
    {"dumped", EVENT_DUMP, true, NULL},          {"crop", EVENT_DUMP, false, NULL},
    {"cropped", EVENT_DUMP, true, NULL},         {"move", EVENT_MOVE, false, NULL},
    {"moved", EVENT_MOVE, false, NULL},          {"carbonate", EVENT_CARBONATE, false, NULL},
    {"carbonated", EVENT_CARBONATE, true, NULL}, {"sample", EVENT_SAMPLE, false, NULL},
    {"sampled", EVENT_SAMPLE, true, NULL},       {"package", EVENT_PACKAGE, false, NULL},
    {"packaged", EVENT_PACKAGE, true, NULL},     {"clean", EVENT_CLEAN, false, NULL},
    {"cleaned", EVENT_CLEAN, true, NULL},        {"hold", EVENT_HOLD, false, NULL},
    {"release", EVENT_RELEASE, false, NULL},     {"released", EVENT_RELEASE, true, NULL},
    {"discard", EVENT_DISCARD, false, NULL},     {"discarded", EVENT_DISCARD, true, NULL},
    {"dh", EVENT_DRY_HOP, false, NULL},          {"spund", EVENT_CLOSE, false, NULL},
    {"spunded", EVENT_CLOSE, true, NULL},        {"bunged", EVENT_CLOSE, true, NULL},
    {"capped", EVENT_CLOSE, true, NULL},         {"crash", EVENT_CHILL, false, NULL},
    {"crashed", EVENT_CHILL, true, NULL},        {"cold crash", EVENT_CHILL, true, NULL},
    {"cold crashed", EVENT_CHILL, true, NULL},   {"yeast dump", EVENT_DUMP, true, NULL},
    {"yeast dumped", EVENT_DUMP, true, NULL},    {"dropped yeast", EVENT_DUMP, true, NULL},
    {"dump yeast", EVENT_DUMP, true, NULL},      {"dumped yeast", EVENT_DUMP, true, NULL},
    {"cropped yeast", EVENT_DUMP, true, NULL},   {"crop yeast", EVENT_DUMP, true, NULL},
    {"transfer", EVENT_MOVE, false, NULL},       {"transferred", EVENT_MOVE, false, NULL},
    {"racked", EVENT_MOVE, false, NULL},         {"kegged", EVENT_PACKAGE, true, NULL},
    {"bottled", EVENT_PACKAGE, true, NULL},      {"canned", EVENT_PACKAGE, true, NULL},
    {"casked", EVENT_PACKAGE, true, NULL},       {"cip", EVENT_CLEAN, true, NULL},
};

static bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

static bool is_blank(char c)
{
    return c == ' ' || c == '\t';
}

static char lower(char c)
{
    return c >= 'A' && c <= 'Z' ? (char)(c - 'A' + 'a') : c;
}

static bool begins_nocase(struct str text, const char *name)
{
    size_t n = strlen(name);
    return text.n >= n && str_is_nocase(str_cut(text, 0, n), name);
}

/* A comma between two digits is a decimal comma, and someone has to say what was meant. */
static bool ends_word(struct str text, size_t i)
{
    char c = text.p[i];
    if (is_blank(c) || c == ';' || c == '|')
        return true;
    if (c != ',')
        return false;
    return !(i > 0 && is_digit(text.p[i - 1]) && i + 1 < text.n && is_digit(text.p[i + 1]));
}

struct str phrase_next(struct str *rest)
{
    size_t start = 0;
    while (start < rest->n && ends_word(*rest, start))
        start++;
    size_t end = start;
    while (end < rest->n && !ends_word(*rest, end))
        end++;
    struct str word = str_cut(*rest, start, end);
    *rest = str_cut(*rest, end, rest->n);
    return word;
}

const struct quantity_unit *phrase_unit(struct str name)
{
    const struct quantity_unit *unit = quantity_unit_find(name);
    if (str_starts(name, "\xc2\xb0"))
        name = str_cut(name, 2, name.n);
    for (size_t i = 0; unit == NULL && i < QUANTITY_UNIT_COUNT; i++)
        if (str_is_nocase(name, QUANTITY_UNITS[i].name))
            unit = &QUANTITY_UNITS[i];
    for (size_t i = 0; unit == NULL && i < COUNT(UNIT_WORDS); i++)
        if (str_is_nocase(name, UNIT_WORDS[i].name))
            unit = quantity_unit_find(str_of(UNIT_WORDS[i].unit));
    return unit;
}

bool phrase_is_other_unit(struct str name)
{
    static const char *const OTHERS[] = {"oe",    "oechsle", "kmw", "balling",
                                         "baume", "atm",     "hPa", "MPa"};
    if (str_starts(name, "\xc2\xb0"))
        name = str_cut(name, 2, name.n);
    for (size_t i = 0; i < COUNT(OTHERS); i++)
        if (str_is_nocase(name, OTHERS[i]))
            return true;
    return false;
}

/* What may stand right behind a label: nothing, = or :, or the figure itself. */
static bool may_follow(struct str word, size_t n)
{
    if (n == word.n || word.p[n] == '=' || word.p[n] == ':')
        return true;
    return n > 1 && (is_digit(word.p[n]) || strchr("<>~", word.p[n]) != NULL);
}

const struct phrase_label *phrase_label(struct str word, size_t *used)
{
    const struct phrase_label *best = NULL;
    *used = 0;
    for (size_t i = 0; i < COUNT(LABELS); i++) {
        size_t n = strlen(LABELS[i].name);
        if (n > *used && begins_nocase(word, LABELS[i].name) && may_follow(word, n)) {
            best = &LABELS[i];
            *used = n;
        }
    }
    return best;
}

unsigned char phrase_smell(struct str word)
{
    static const struct {
        const char *said, *word;
    } SAID[] = {{"passed", "pass"},  {"ok", "pass"},     {"negative", "pass"}, {"neg", "pass"},
                {"none", "pass"},    {"clean", "pass"},  {"clear", "pass"},    {"slight", "trace"},
                {"traces", "trace"}, {"failed", "fail"}, {"positive", "fail"}, {"pos", "fail"},
                {"bad", "fail"}};
    for (size_t i = 0; i < COUNT(SAID); i++)
        if (str_is_nocase(word, SAID[i].said))
            word = str_of(SAID[i].word);
    for (int i = 0; BATCH_VDK_WORDS[i] != NULL; i++)
        if (str_is_nocase(word, BATCH_VDK_WORDS[i]))
            return (unsigned char)(i + 1);
    return 0;
}

const struct phrase_event *phrase_event(struct str text, size_t *used)
{
    const struct phrase_event *best = NULL;
    *used = 0;
    for (size_t i = 0; i < COUNT(EVENTS); i++) {
        size_t n = strlen(EVENTS[i].name);
        if (n <= *used || !begins_nocase(text, EVENTS[i].name))
            continue;
        if (n < text.n && !is_blank(text.p[n]) && strchr(",;:.-\"", text.p[n]) == NULL)
            continue;
        best = &EVENTS[i];
        *used = n;
    }
    return best;
}

static bool is_passed(char c)
{
    return c == ' ' || c == '\t' || c == '-' || c == '_';
}

size_t phrase_name(struct str text, struct str name, bool *joined)
{
    size_t i = 0, k = 0;
    *joined = false;
    while (k < name.n) {
        if (is_passed(name.p[k]) && i > 0) {
            while (k < name.n && is_passed(name.p[k]))
                k++;
            while (i < text.n && is_passed(text.p[i]))
                i++;
            continue;
        }
        if (i > 0 && i < text.n && is_passed(text.p[i]) && !is_passed(name.p[k])) {
            *joined = true;
            i++;
            continue;
        }
        if (i == text.n || lower(text.p[i]) != lower(name.p[k]))
            return 0;
        i++;
        k++;
    }
    bool clock = i + 1 < text.n && text.p[i] == ':' && is_digit(text.p[i + 1]);
    if (i == text.n || is_blank(text.p[i]) || (strchr(":,;=", text.p[i]) != NULL && !clock))
        return i;
    return text.p[i] == '.' && (i + 1 == text.n || is_blank(text.p[i + 1])) ? i : 0;
}

struct str phrase_plain(struct arena *arena, struct str line)
{
    static const struct {
        uint32_t code;
        char plain;
    } PLAIN[] = {{0xA0, ' '},   {0x202F, ' '}, {0x2009, ' '}, {0x2212, '-'}, {0x2013, '-'},
                 {0x2014, '-'}, {0x201C, '"'}, {0x201D, '"'}, {0x201E, '"'}, {0x2033, '"'}};
    struct buf out = buf_new(arena);
    for (size_t i = 0, used = 0; i < line.n; i += used) {
        uint32_t code = str_char(line.p + i, line.n - i, &used);
        char plain = '\0';
        for (size_t k = 0; k < COUNT(PLAIN); k++)
            if (PLAIN[k].code == code)
                plain = PLAIN[k].plain;
        if (plain != '\0')
            buf_char(&out, plain);
        else
            buf_add(&out, str_cut(line, i, i + used));
    }
    return buf_str(&out);
}

/* What may end a time of day; then a point or an h may part its figures, and minutes may lack. */
static const char *const CLOCK_ENDS[] = {"am", "pm", "uhr", "h"};
enum { CLOCK_AM, CLOCK_PM, CLOCK_NO_END = COUNT(CLOCK_ENDS) };

static size_t clock_end(struct str *word)
{
    for (size_t i = 0; i < COUNT(CLOCK_ENDS); i++) {
        size_t n = strlen(CLOCK_ENDS[i]);
        if (word->n > n && str_is_nocase(str_cut(*word, word->n - n, word->n), CLOCK_ENDS[i])) {
            *word = str_cut(*word, 0, word->n - n);
            return i;
        }
    }
    return CLOCK_NO_END;
}

bool phrase_is_clock_end(struct str word)
{
    for (size_t i = 0; i < COUNT(CLOCK_ENDS); i++)
        if (str_is_nocase(word, CLOCK_ENDS[i]))
            return true;
    return false;
}

bool phrase_clock(struct str word, int *seconds)
{
    enum { LONGEST = 8 };
    char text[LONGEST + sizeof ":00"] = "";
    size_t end = clock_end(&word), n = 0, marks = 0;
    if (word.n > LONGEST)
        return false;
    for (; n < word.n; n++) {
        text[n] = word.p[n];
        if (lower(word.p[n]) == 'h' || (word.p[n] == '.' && end != CLOCK_NO_END))
            text[n] = ':';
        marks += text[n] == ':';
    }
    if (end != CLOCK_NO_END && marks == 0)
        for (const char *p = ":00"; *p != '\0'; p++)
            text[n++] = *p;
    if (civil_parse_clock(text, n, seconds) != CIVIL_OK)
        return false;
    if (end != CLOCK_AM && end != CLOCK_PM)
        return true;
    int hour = *seconds / CIVIL_HOUR, noon = 12;
    if (hour < 1 || hour > noon)
        return false;
    *seconds += (hour == noon ? -noon : 0) * CIVIL_HOUR + (end == CLOCK_PM ? noon : 0) * CIVIL_HOUR;
    return true;
}

bool phrase_like_clock(struct str word, int *seconds)
{
    enum { LONGEST = 5 };
    char text[LONGEST];
    const char *point = word.n > 0 ? memchr(word.p, '.', word.n) : NULL;
    size_t hours = point != NULL ? (size_t)(point - word.p) : word.n > 2 ? word.n - 2 : 0;
    size_t minutes = word.n - hours - (point != NULL);
    if (hours < 1 || hours > 2 || minutes != 2)
        return false;
    memcpy(text, word.p, hours);
    text[hours] = ':';
    memcpy(text + hours + 1, word.p + word.n - minutes, minutes);
    return civil_parse_clock(text, hours + 1 + minutes, seconds) == CIVIL_OK;
}

/* A name, or its first three letters. */
static bool is_name_or_short(struct str word, const char *const *names, size_t n)
{
    enum { SHORT = 3 };
    for (size_t i = 0; i < n; i++)
        if (str_is_nocase(word, names[i]) ||
            (word.n == SHORT &&
             begins_nocase(str_of(names[i]), (char[]){word.p[0], word.p[1], word.p[2], '\0'})))
            return true;
    return false;
}

static bool is_month(struct str word)
{
    static const char *const MONTHS[] = {"january",   "february", "march",    "april",
                                         "may",       "june",     "july",     "august",
                                         "september", "october",  "november", "december"};
    return is_name_or_short(word, MONTHS, COUNT(MONTHS));
}

static bool is_weekday(struct str word)
{
    static const char *const DAYS[] = {"monday", "tuesday",  "wednesday", "thursday",
                                       "friday", "saturday", "sunday"};
    return is_name_or_short(word, DAYS, COUNT(DAYS));
}

bool phrase_is_datelike(struct str word)
{
    size_t digits = 0, marks = 0;
    for (size_t i = 0; i < word.n; i++) {
        digits += is_digit(word.p[i]);
        marks += strchr("-/.", word.p[i]) != NULL && word.p[i] != '\0';
    }
    if (digits + marks != word.n)
        return false;
    return (marks == 2 && digits >= 3) ||
           (marks == 1 && digits >= 2 && memchr(word.p, '/', word.n) != NULL);
}

/* "25", "2026", "3rd" */
static bool is_day_number(struct str word)
{
    static const char *const ENDS[] = {"", "st", "nd", "rd", "th"};
    enum { LONGEST = 4 };
    size_t n = 0;
    while (n < word.n && is_digit(word.p[n]))
        n++;
    for (size_t i = 0; n > 0 && n <= LONGEST && i < COUNT(ENDS); i++)
        if (str_is_nocase(str_cut(word, n, word.n), ENDS[i]))
            return true;
    return false;
}

bool phrase_says_day(struct str line)
{
    enum { WORDS = 4 };
    bool month = false, number = false;
    for (int i = 0; i < WORDS; i++) {
        struct str word = phrase_next(&line);
        while (word.n > 0 && strchr(".:", word.p[word.n - 1]) != NULL)
            word.n--;
        if (word.n == 0)
            break;
        if (i == 0 && (is_weekday(word) || phrase_is_datelike(word)))
            return true;
        month = month || is_month(word);
        number = number || is_day_number(word);
    }
    return month && number;
}
