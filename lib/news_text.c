#include "news.h"
#include "order.h"
#include "tsv.h"

enum { WIDTH = 72, INDENT = 5, SUBJECT_MOST = 64, MISTAKES_MOST = 8 };

static const struct {
    const char *name, *title;
    bool is_finding; /* the place has a line of its own, and the text stands below it */
} PARTS[NEWS_PARTS] = {
    [NEWS_METERS] = {"calibrate", "CALIBRATE FIRST", false},
    [NEWS_ALARMS] = {"alarm", "ALARMS", true},
    [NEWS_WARNINGS] = {"warn", "WARNINGS", true},
    [NEWS_TO_DO] = {"to do", "TO DO TODAY", false},
    [NEWS_FINISHED] = {"finished", "FINISHED SINCE YESTERDAY", false},
    [NEWS_WEEK] = {"week", "FINISHED THIS WEEK, BY THE FORECAST", false},
    [NEWS_PLANS] = {"plan", "PLANS AND TANKS", false},
    [NEWS_MISSED] = {"missed", "NOT READ YESTERDAY", false},
    [NEWS_BOOK] = {"book", "THE BOOK", false},
};

static const struct {
    const char *one, *many;
} COUNTS[NEWS_COUNTS] = {
    [NEWS_COUNT_ALARM] = {"alarm", "alarms"},
    [NEWS_COUNT_WARNING] = {"warning", "warnings"},
    [NEWS_COUNT_MISTAKE] = {"mistake in the book", "mistakes in the book"},
    [NEWS_COUNT_CHILL] = {"to chill", "to chill"},
    [NEWS_COUNT_VDK] = {"VDK to test", "VDK to test"},
    [NEWS_COUNT_CARBONATE] = {"to carbonate", "to carbonate"},
    [NEWS_COUNT_MOVE] = {"to move", "to move"},
    [NEWS_COUNT_PACKAGE] = {"to package", "to package"},
    [NEWS_COUNT_FINISHED] = {"just finished", "just finished"},
    [NEWS_COUNT_CALIBRATE] = {"to calibrate", "to calibrate"},
    [NEWS_COUNT_CLASH] = {"clash", "clashes"},
    [NEWS_COUNT_NOT_READ] = {"not read", "not read"},
    [NEWS_COUNT_OTHER] = {"to look at", "to look at"},
};

/* "5 alarms, 1 to chill", at most 64 columns before a "..."; "nothing to report". The gravest
 * first; what would make it too long is left to the text. */
static struct str subject_of(const struct news *news)
{
    struct buf text = buf_new(news->arena);
    for (int i = NEWS_COUNT_ALARM; i < NEWS_COUNTS; i++) {
        struct buf part = buf_new(news->arena);
        size_t n = news->counts[i];
        if (n == 0 || (i == NEWS_COUNT_OTHER && text.n > 0))
            continue;
        buf_printf(&part, "%s%zu %s", text.n > 0 ? ", " : "", n,
                   n == 1 ? COUNTS[i].one : COUNTS[i].many);
        if (text.n + part.n > SUBJECT_MOST) {
            buf_add(&text, STR(", ..."));
            break;
        }
        buf_add(&text, buf_str(&part));
    }
    return text.n > 0 ? buf_str(&text) : STR("nothing to report");
}

/* Lines. */

/* A word that the next one belongs to: a figure its unit, "pH" its figure, a weekday its date. */
static bool holds_next(struct str word)
{
    static const char *const NAMES[] = {"pH",  "day", "Mon", "Tue", "Wed",
                                        "Thu", "Fri", "Sat", "Sun", "about"};
    struct str bare = word;
    while (bare.n > 0 && (bare.p[0] == '(' || bare.p[0] == '"'))
        bare = str_cut(bare, 1, bare.n);
    for (size_t i = 0; i < sizeof NAMES / sizeof NAMES[0]; i++)
        if (str_is(bare, NAMES[i]))
            return true;
    return bare.n > 0 && bare.p[bare.n - 1] >= '0' && bare.p[bare.n - 1] <= '9' &&
           (bare.p[0] == '.' || bare.p[0] == '-' || bare.p[0] == '<' || bare.p[0] == '>' ||
            (bare.p[0] >= '0' && bare.p[0] <= '9'));
}

struct line {
    FILE *out;
    size_t at, indent; /* columns written; those below the first line */
    bool has_word;
};

static void begin_line(struct line *line)
{
    fprintf(line->out, "\n%*s", (int)line->indent, "");
    line->at = line->indent;
    line->has_word = false;
}

static void put_word(struct line *line, struct str word)
{
    size_t width = str_width(word);
    if (line->has_word && line->at + 1 + width > WIDTH)
        begin_line(line);
    if (line->has_word) {
        putc(' ', line->out);
        line->at++;
    }
    line->has_word = true;
    while (line->at + width > WIDTH) {
        struct str part = str_fit(word, WIDTH - line->at);
        if (part.n == 0) /* not one letter fits: cannot be with an indent this small */
            break;
        str_write_escaped(line->out, part);
        word = str_cut(word, part.n, word.n);
        width = str_width(word);
        begin_line(line);
        line->has_word = true;
    }
    str_write_escaped(line->out, word);
    line->at += width;
}

/* The next words of the text that stay together: most often one. */
static struct str take_words(struct str *rest)
{
    struct str words = STR("");
    for (;;) {
        struct str word = str_split(rest, ' ');
        if (word.n == 0 && rest->p != NULL)
            continue;
        size_t before = words.n;
        words = before == 0 ? word : (struct str){words.p, (size_t)(word.p + word.n - words.p)};
        if (rest->p == NULL || before > (size_t)WIDTH / 3 || !holds_next(word))
            return words;
    }
}

/* After `at` columns of a lead that is written already. */
static void write_words(FILE *out, size_t at, size_t indent, struct str text)
{
    struct line line = {out, at, indent, false};
    struct str rest = text;
    while (rest.p != NULL) {
        struct str words = take_words(&rest);
        if (words.n > 0)
            put_word(&line, words);
    }
    putc('\n', out);
}

static void write_below(FILE *out, const struct news *news, const char *lead, struct str text)
{
    struct buf whole = buf_new(news->arena);
    if (text.n == 0)
        return;
    buf_add(&whole, str_of(lead));
    buf_add(&whole, text);
    fprintf(out, "%*s", INDENT, "");
    write_words(out, INDENT, INDENT, buf_str(&whole));
}

/* Items. */

/* "0417 Chalkline Pale" */
static void add_batch(struct buf *text, const struct news_item *item)
{
    buf_add(text, item->batch);
    buf_add(text, item->batch.n > 0 && item->beer.n > 0 ? STR(" ") : STR(""));
    buf_add(text, item->beer);
}

static size_t write_place(FILE *out, const struct news *news, const struct news_item *item)
{
    struct buf place = buf_new(news->arena);
    str_escape(&place, str_fit(item->place, WIDTH / 2), 0);
    size_t width = str_width(buf_str(&place));
    fputs(place.p, out);
    return width;
}

static void write_finding(FILE *out, const struct news *news, const struct news_item *item)
{
    struct buf batch = buf_new(news->arena);
    size_t at = write_place(out, news, item);
    add_batch(&batch, item);
    if (batch.n > 0)
        at += (size_t)fprintf(out, "%*s", at < INDENT - 1 ? (int)(INDENT - at) : 1, "");
    write_words(out, at, INDENT, buf_str(&batch));
    write_below(out, news, "", item->text);
    write_below(out, news, "", item->more);
    write_below(out, news, "first: ", item->first);
    write_below(out, news, "CAUTION: ", item->caution);
}

static void write_line(FILE *out, const struct news *news, const struct news_item *item)
{
    struct buf text = buf_new(news->arena);
    size_t at = 0;
    if (item->part == NEWS_BOOK) {
        buf_add(&text, item->place);
        buf_add(&text, STR(": "));
    } else if (item->part == NEWS_WEEK) {
        char day[CIVIL_SHORT_SIZE];
        at = (size_t)fprintf(out, "%-10s  ",
                             civil_short_date(civil_day(news->cellar->zone, item->at), day));
        buf_add(&text, item->place);
        buf_add(&text, STR(" "));
    } else {
        at = write_place(out, news, item);
        at += (size_t)fprintf(out, "%*s", at < INDENT - 1 ? (int)(INDENT - at) : 1, "");
    }
    size_t before = text.n;
    add_batch(&text, item);
    if (text.n > before && item->text.n > 0)
        buf_add(&text, STR(": "));
    buf_add(&text, item->text);
    write_words(out, at, item->part == NEWS_WEEK ? at : INDENT, buf_str(&text));
    write_below(out, news, "CAUTION: ", item->caution);
}

static int compare_week(const void *left, const void *right)
{
    const struct news_item *a = *(const struct news_item *const *)left;
    const struct news_item *b = *(const struct news_item *const *)right;
    return order_of(a->at, b->at);
}

struct items {
    const struct news_item **items;
    size_t n;
};

/* Those of one part; what the week brings by time. */
static struct items items_of(const struct news *news, enum news_part part)
{
    struct items some = {NULL, 0};
    size_t n = 0;
    for (const struct news_item *item = news->first; item != NULL; item = item->next)
        n += item->part == part;
    some.items = arena_array(news->arena, n + 1, sizeof *some.items);
    for (const struct news_item *item = news->first; item != NULL; item = item->next)
        if (item->part == part)
            some.items[some.n++] = item;
    if (part == NEWS_WEEK)
        order_sort(some.items, n, sizeof *some.items, compare_week);
    return some;
}

static void write_part(FILE *out, const struct news *news, enum news_part part)
{
    struct items items = items_of(news, part);
    size_t most = part == NEWS_BOOK && items.n > MISTAKES_MOST ? MISTAKES_MOST : items.n;
    if (items.n > 0)
        fprintf(out, "\n%s\n", PARTS[part].title);
    for (size_t i = 0; i < most; i++)
        (PARTS[part].is_finding ? write_finding : write_line)(out, news, items.items[i]);
    if (most < items.n)
        fprintf(out, "and %zu more: gyle-validate tells them all\n", items.n - most);
}

void news_write_text(FILE *out, const struct news *news)
{
    const struct civil_zone *zone = news->cellar->zone;
    char day[CIVIL_SHORT_SIZE], clock[CIVIL_CLOCK_SIZE];
    int64_t today = civil_day(zone, news->now);
    struct buf name = buf_new(news->arena);
    str_escape(&name, text_of(news->cellar->name), 40);
    fprintf(out, STR_FMT "\n%s%s%s %d, %s\n", STR_ARG(subject_of(news)), name.p,
            name.n > 0 ? ", " : "", civil_short_date(today, day), civil_date_of_day(today).year,
            civil_clock(zone, news->now, clock));
    for (int part = 0; part < NEWS_PARTS; part++)
        write_part(out, news, (enum news_part)part);
}

void news_write_tsv(FILE *out, const struct news *news)
{
    char at[CIVIL_TEXT_SIZE];
    fputs("part\tplace\tbatch\tbeer\tat\ttext\tmore\tfirst\tcaution\n", out);
    for (int part = 0; part < NEWS_PARTS; part++) {
        struct items items = items_of(news, (enum news_part)part);
        for (size_t i = 0; i < items.n; i++) {
            const struct news_item *item = items.items[i];
            const struct str cells[] = {
                str_of(PARTS[part].name),
                item->place,
                item->batch,
                item->beer,
                str_of(item->at == 0 ? "" : civil_rfc3339(news->cellar->zone, item->at, at)),
                item->text,
                item->more,
                item->first,
                item->caution};
            for (size_t k = 0; k < sizeof cells / sizeof cells[0]; k++) {
                fputs(k > 0 ? "\t" : "", out);
                tsv_write(out, cells[k]);
            }
            putc('\n', out);
        }
    }
}
