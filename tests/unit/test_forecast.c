#include "finish_book.h"
#include "forecast.h"
#include "words.h"

#include <math.h>

static const char BEERS[] = "  ale: {yeast: ale, terminal: 2.2..2.6 P}\n"
                            "  pale: {yeast: ale, terminal: 2.2..2.6 P}\n"
                            "  bare: {yeast: ale}\n"
                            "  wild: {yeast: wild, terminal: 2.2..2.6 P}\n"
                            "  most: {yeast: ale, terminal: ..2.6 P}\n"
                            "  least: {yeast: ale, terminal: 2.2.. P}\n"
                            "  one: {yeast: ale, terminal: 2.2..2.6 P, steady: 1}\n"
                            "  three: {yeast: ale, terminal: 2.2..2.6 P, steady: 3}\n"
                            "  five: {yeast: ale, terminal: 2.2..2.6 P, steady: 5}\n";

#define ORIGINAL "original: 12.4 P\n"
#define FORCED   ORIGINAL "forced: {gravity: 2.4 P}\n"

enum { MOST = 6, POINTS = 11 };

/* Earlier courses that fall straight to 2.4 P in so many hours; read at each tenth. */
struct earlier {
    struct history history;
    struct history_batch batches[MOST];
    double hours[MOST][POINTS], left[MOST][POINTS];
};

static void add_earlier(struct earlier *earlier, const char *beer, int yeast, double hours)
{
    size_t n = earlier->history.batches.n++;
    for (size_t k = 0; k < POINTS; k++) {
        earlier->left[n][k] = k + 1 < POINTS ? 1 - (double)k / 10 : 0.01;
        earlier->hours[n][k] = hours * (1 - earlier->left[n][k]) / 0.99;
    }
    earlier->batches[n] = (struct history_batch){.number = STR("0"),
                                                 .beer = str_of(beer),
                                                 .yeast = yeast,
                                                 .zero = FINISH_BOOK_PITCH - 10,
                                                 .original_plato = 12.4,
                                                 .end_plato = 2.4,
                                                 .end_hours = hours};
    earlier->batches[n].course =
        (struct remain_course){earlier->hours[n], earlier->left[n], POINTS, hours};
    earlier->history.batches.items = earlier->batches;
}

/* So many of the beer that took these hours each, then as many of another beer of its yeast. */
static struct earlier *earlier_of(const char *beer, size_t own, size_t kind, double hours)
{
    static struct earlier earlier;
    memset(&earlier, 0, sizeof earlier);
    for (size_t k = 0; k < own + kind; k++)
        add_earlier(&earlier, k < own ? beer : "pale", YEAST_ALE, hours);
    return &earlier;
}

/* One batch, judged, and foretold by the earlier ones. The book is open until scene_end(). */
struct scene {
    struct finish_book book;
    struct finish finish;
    struct forecast forecast;
};

static void scene_play(struct scene *scene, const char *beer, const char *keys, const char *days,
                       int now_day, const struct earlier *earlier)
{
    finish_book_begin(&scene->book, BEERS);
    finish_book_batch(&scene->book, beer, keys, days, "", now_day);
    scene->finish = finish_book_judge(&scene->book);
    scene->forecast = forecast_of(&scene->book.context, &scene->finish, &earlier->history);
}

/* After the last reading, in days. */
static double scene_days(const struct scene *scene, int64_t at)
{
    return (double)(at - scene->finish.last->at) / CIVIL_DAY;
}

static void scene_end(struct scene *scene)
{
    finish_book_end(&scene->book);
}

/* Which earlier batches tell: so many of the beer, of its yeast, of another yeast. */
static const struct row {
    const char *title, *beer, *keys, *days;
    int now_day;
    size_t own, kind, other;
    enum forecast_source source;
    size_t batches;
    const char *why_not;
} ROWS[] = {
    {"three of its own", "ale", ORIGINAL, "9.0 6.0", 2, 3, 2, 0, FORECAST_BEER, 3, ""},
    {"two of its own join those of the yeast", "ale", ORIGINAL, "9.0 6.0", 2, 2, 2, 0,
     FORECAST_YEAST, 4, ""},
    {"two of its own, and no other", "ale", ORIGINAL, "9.0 6.0", 2, 2, 0, 2, FORECAST_BEER, 2, ""},
    {"one of its own, and no other", "ale", ORIGINAL, "9.0 6.0", 2, 1, 0, 0, FORECAST_BEER, 1, ""},
    {"one of its yeast", "ale", ORIGINAL, "9.0 6.0", 2, 0, 1, 0, FORECAST_YEAST, 1, ""},
    {"none of its own", "ale", ORIGINAL, "9.0 6.0", 2, 0, 2, 2, FORECAST_YEAST, 2, ""},
    {"none at all", "ale", ORIGINAL, "9.0 6.0", 2, 0, 0, 2, FORECAST_GENERIC, 0, ""},
    {"a wild beer asks its own only", "wild", ORIGINAL, "9.0 6.0", 2, 0, 0, 0, FORECAST_NONE, 0,
     "wild and sour beers are foretold by their own earlier batches only"},
    {"no limit", "bare", ORIGINAL, "9.0 6.0", 2, 0, 2, 0, FORECAST_NONE, 0, "no limit is known"},
    {"no original", "ale", "", "9.0 6.0", 2, 3, 0, 0, FORECAST_NONE, 0, "no original is known"},
    {"hardly begun", "ale", ORIGINAL, "12.0 11.0", 2, 3, 0, 0, FORECAST_NONE, 0,
     "it is too early to tell"},
    {"just 15 % gone", "ale", FORCED, "12.0 10.9", 2, 3, 0, 0, FORECAST_BEER, 3, ""},
    {"begun", "ale", ORIGINAL, "12.0 10.8", 2, 3, 0, 0, FORECAST_BEER, 3, ""},
    {"not started", "ale", ORIGINAL, "12.4 12.4", 2, 3, 0, 0, FORECAST_NONE, 0,
     "it has not started"},
    {"stuck", "ale", ORIGINAL, "9.0 6.0 5.0 5.0 5.0", 5, 3, 0, 0, FORECAST_NONE, 0, "it is stuck"},
    {"finished", "ale", ORIGINAL, "9.0 6.0 2.4 2.4 2.4", 5, 3, 0, 0, FORECAST_NONE, 0,
     "it is finished"},
    {"there, and not yet finished", "ale", ORIGINAL, "9.0 6.0 2.4", 3, 3, 0, 0, FORECAST_BEER, 3,
     ""},
};

static void sources(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof ROWS / sizeof ROWS[0]; i++) {
        const struct row *row = &ROWS[i];
        struct earlier *earlier = earlier_of(row->beer, row->own, row->kind, 90);
        struct scene scene;
        for (size_t k = 0; k < row->other; k++)
            add_earlier(earlier, "other", YEAST_LAGER, 300);
        scene_play(&scene, row->beer, row->keys, row->days, row->now_day, earlier);
        const struct forecast *forecast = &scene.forecast;
        struct buf text = buf_new(&scene.book.arena);
        forecast_explain(&scene.book.context, forecast, &text);
        if (forecast->source != row->source || strcmp(forecast->why_not, row->why_not) != 0 ||
            forecast->batches != row->batches || strstr(text.p, "nan") != NULL)
            fail_msg("%s: source %d, %zu batches: %s%s", row->title, (int)forecast->source,
                     forecast->batches, forecast->why_not, text.p);
        scene_end(&scene);
    }
}

/* Straight courses of 100 h: at 41 h (3 Nov 08:00) half is gone, so 0.49 / 0.99 of 100 h are left;
 * this one took 41 h for what they do in 50.5 h. */
static void tells_the_hour(void **state)
{
    (void)state;
    struct scene scene;
    scene_play(&scene, "ale", FORCED, "9.4 7.4", 2, earlier_of("ale", 3, 0, 100));
    const struct forecast *forecast = &scene.forecast;
    double hours = 24 * scene_days(&scene, forecast->end_at);
    assert_int_equal(forecast->source, FORECAST_BEER);
    assert_float_equal(forecast->end_plato, 2.4, 1e-9);
    assert_true(forecast->speed > 1);
    if (hours < 40 || hours > 49.5)
        fail_msg("%.2f h left", hours);
    assert_true(forecast->early_at < forecast->end_at && forecast->end_at < forecast->late_at);
    assert_true(forecast->early_at > scene.finish.last->at);
    /* At its end within two days, so the first reading there is the second one, or the third. */
    assert_float_equal(scene_days(&scene, forecast->finish_at), ceil(hours / 24) + 1, 0);
    scene_end(&scene);
}

/* Read at the end: the crossing of 2.5 P lies between two readings, and is told. */
static void tells_when_it_came(void **state)
{
    (void)state;
    struct scene scene;
    scene_play(&scene, "ale", FORCED, "9.4 5.4 2.4", 3, earlier_of("ale", 0, 0, 0));
    const struct forecast *forecast = &scene.forecast;
    assert_true(forecast->is_there);
    assert_float_equal(scene_days(&scene, forecast->late_at), 0, 0);
    assert_float_equal(scene_days(&scene, forecast->early_at), -1, 0);
    assert_true(forecast->end_at > forecast->early_at && forecast->end_at < forecast->late_at);
    assert_float_equal(scene_days(&scene, forecast->finish_at), 1, 0);
    assert_true(isnan(forecast->speed));
    scene_end(&scene);
}

/* Where it is taken to end. */
static void tells_the_end(void **state)
{
    (void)state;
    static const struct {
        const char *title, *beer, *keys, *days;
        size_t own, kind;
        double ends[MOST]; /* of those earlier batches, in that order */
        double end;
    } ENDS[] = {
        {"the middle of its range", "ale", ORIGINAL, "9.0 6.0", 0, 0, {0}, 2.4},
        {"the end of a range that has one", "most", ORIGINAL, "9.0 6.0", 0, 0, {0}, 2.6},
        {"the other one", "least", ORIGINAL, "9.0 6.0", 0, 0, {0}, 2.2},
        {"where three of its own ended, by their median",
         "ale",
         ORIGINAL,
         "9.0 6.0",
         3,
         0,
         {2.6, 2.5, 2.3},
         2.5},
        {"two do not say it", "ale", ORIGINAL, "9.0 6.0", 2, 0, {2.5, 2.5}, 2.4},
        {"nor do those of other beers",
         "ale",
         ORIGINAL,
         "9.0 6.0",
         0,
         4,
         {2.5, 2.5, 2.5, 2.5},
         2.4},
        {"without a range three of its own do", "bare", ORIGINAL, "9.0 6.0", 3, 0, {3, 3, 3}, 3.0},
        {"far above the range: its margin of 0.3 P is the bound",
         "ale",
         ORIGINAL,
         "9.0 6.0",
         3,
         0,
         {3.5, 3.5, 3.5},
         2.9},
        {"far below it", "ale", ORIGINAL, "9.0 6.0", 3, 0, {1.5, 1.5, 1.5}, 1.9},
        {"a forced value says more than they do",
         "ale",
         FORCED,
         "9.0 6.0",
         3,
         0,
         {2.6, 2.6, 2.6},
         2.4},
        {"where it is, if that is lower", "ale", ORIGINAL, "9.0 6.0 2.2", 0, 0, {0}, 2.2},
    };
    for (size_t i = 0; i < sizeof ENDS / sizeof ENDS[0]; i++) {
        struct earlier *earlier = earlier_of(ENDS[i].beer, ENDS[i].own, ENDS[i].kind, 90);
        struct scene scene;
        for (size_t k = 0; k < ENDS[i].own + ENDS[i].kind; k++)
            earlier->batches[k].end_plato = ENDS[i].ends[k];
        scene_play(&scene, ENDS[i].beer, ENDS[i].keys, ENDS[i].days, 5, earlier);
        if (!(fabs(scene.forecast.end_plato - ENDS[i].end) < 1e-9))
            fail_msg("%s: %g P %s", ENDS[i].title, scene.forecast.end_plato,
                     scene.forecast.why_not);
        scene_end(&scene);
    }
}

/* What is handed to remain.h: the readings that can be judged by, the pitch first, and the noise:
 * 0.05 P of a reading with 0.05 P of a forced value, or 0.15 P of a range. */
static void hands_over_the_course(void **state)
{
    (void)state;
    static const struct level {
        size_t own, kind;
        double share, prior_sd, slowest;
    } OWN = {3, 0, REMAIN_OWN_SHARE, REMAIN_OWN_SD, REMAIN_SLOWEST},
      KIND = {0, 2, REMAIN_KIND_SHARE, REMAIN_KIND_SD, REMAIN_SLOWEST},
      USUAL = {0, 0, REMAIN_GENERIC_SHARE, REMAIN_GENERIC_SD, REMAIN_GENERIC_SLOWEST};
    static const struct {
        const char *title, *keys, *days;
        double hours[4], left[4];
        size_t n;
        double end_sd;
        const struct level *level;
    } COURSES[] = {
        {"of its own", FORCED, "9.4 7.4", {0, 17, 41}, {1, 0.7, 0.5}, 3, 0.05, &OWN},
        {"of its yeast, to the middle of a range",
         ORIGINAL,
         "9.4 7.4",
         {0, 17, 41},
         {1, 0.7, 0.5},
         3,
         0.15,
         &KIND},
        {"of a usual ale", FORCED, "9.4 7.4", {0, 17, 41}, {1, 0.7, 0.5}, 3, 0.05, &USUAL},
        {"of the pitch and one reading", FORCED, "9.4", {0, 17}, {1, 0.7}, 2, 0.05, &OWN},
        {"a spike is left out", FORCED, "9.4 12.0 7.4", {0, 17, 65}, {1, 0.7, 0.5}, 3, 0.05, &OWN},
        {"of two meters at one minute the first counts",
         FORCED,
         "9.4 7.4\n  - {at: 2026-11-03 08:00, gravity: 7.2 P, gravity-meter: DM1}\n",
         {0, 17, 41},
         {1, 0.7, 0.5},
         3,
         0.05,
         &OWN},
        {"one read with the pitch counts as the pitch",
         FORCED,
         "9.4 7.4\n  - {at: 2026-11-01 15:00, gravity: 12.2 P}\n",
         {0, 17, 41},
         {1, 0.7, 0.5},
         3,
         0.05,
         &OWN},
        {"one read half an hour later does not",
         FORCED,
         "9.4 7.4\n  - {at: 2026-11-01 15:30, gravity: 11.9 P}\n",
         {0, 0.5, 17, 41},
         {1, 0.95, 0.7, 0.5},
         4,
         0.05,
         &OWN},
        {"what was read before sugar was added belongs to another beer",
         FORCED "events: [{at: 2026-11-02 12:00, what: addition}]\n",
         "8.0 9.4 7.4",
         {0, 41, 65},
         {1, 0.7, 0.5},
         3,
         0.05,
         &OWN},
    };
    for (size_t i = 0; i < sizeof COURSES / sizeof COURSES[0]; i++) {
        const struct level *level = COURSES[i].level;
        struct remain_course courses[MOST] = {REMAIN_GENERIC};
        struct earlier *earlier = earlier_of("ale", 0, 0, 0);
        size_t n = level->own + level->kind;
        for (size_t k = 0; k < n; k++) {
            add_earlier(earlier, k < level->own ? "ale" : "pale", YEAST_ALE, 90 + 10 * (double)k);
            courses[k] = earlier->batches[k].course;
        }
        struct scene scene;
        scene_play(&scene, "ale", COURSES[i].keys, COURSES[i].days, 4, earlier);
        const struct forecast *forecast = &scene.forecast;
        const struct remain_course now = {COURSES[i].hours, COURSES[i].left, COURSES[i].n, NAN};
        const struct remain_options options = {.share = level->share,
                                               .prior_sd = level->prior_sd,
                                               .slowest = level->slowest,
                                               .noise_left = hypot(0.05, COURSES[i].end_sd) / 10,
                                               .confidence = 0.8};
        struct remain remain;
        double work[4 * MOST], last = now.hours[now.n - 1];
        assert_true(remain_estimate(&now, courses, n == 0 ? 1 : n, &options, work, &remain));
        const double hours[] = {remain.hours, remain.early, remain.late};
        const int64_t told[] = {forecast->end_at, forecast->early_at, forecast->late_at};
        for (size_t k = 0; k < 3; k++) {
            double after = (double)(told[k] - FINISH_BOOK_PITCH) / CIVIL_HOUR - last;
            if (!(fabs(after - hours[k]) < 1.01 / 60))
                fail_msg("%s: %zu: after %.3f h, not %.3f %s", COURSES[i].title, k, after, hours[k],
                         forecast->why_not);
        }
        if (!(fabs(forecast->speed - remain.speed) < 1e-9) || forecast->batches != n)
            fail_msg("%s: speed %g of %zu", COURSES[i].title, forecast->speed, forecast->batches);
        scene_end(&scene);
    }
}

/* At its end already: between which readings it came there, and how many daily readings more it
 * needs. Hours after the pitch. */
static void tells_what_is_missing(void **state)
{
    (void)state;
    static const struct {
        const char *title, *beer, *events, *days;
        double early, late;
        int days_more;
    } THERE[] = {
        {"two are needed, one is there", "ale", "", "9.4 5.4 2.4", 41, 65, 1},
        {"three of five are there", "five", "", "9.4 2.4 2.4 2.4", 17, 41, 2},
        {"it came by the first reading", "five", "", "2.4 2.4", 0, 17, 3},
        {"its last two may not count yet: nineteen hours apart", "ale", "",
         "9.4 5.4\n  - {at: 2026-11-04 12:00, gravity: 2.4 P}\n"
         "  - {at: 2026-11-05 07:00, gravity: 2.4 P}\n",
         41, 69, 1},
        {"hops since: two are needed anew", "ale",
         "events: [{at: 2026-11-04 08:30, what: dry hop}]\n", "9.4 5.4 2.4", 41, 65, 2},
        {"hops before the last: one is there", "ale",
         "events: [{at: 2026-11-04 07:30, what: dry hop}]\n", "9.4 5.4 2.4", 41, 65, 1},
    };
    for (size_t i = 0; i < sizeof THERE / sizeof THERE[0]; i++) {
        struct scene scene;
        char keys[128];
        snprintf(keys, sizeof keys, "%s%s", ORIGINAL, THERE[i].events);
        scene_play(&scene, THERE[i].beer, keys, THERE[i].days, 5, earlier_of("ale", 0, 0, 0));
        const struct forecast *forecast = &scene.forecast;
        double early = (double)(forecast->early_at - FINISH_BOOK_PITCH) / CIVIL_HOUR;
        double late = (double)(forecast->late_at - FINISH_BOOK_PITCH) / CIVIL_HOUR;
        double more = scene_days(&scene, forecast->finish_at);
        if (!forecast->is_there || early != THERE[i].early || late != THERE[i].late)
            fail_msg("%s: %s%g..%g h", THERE[i].title, forecast->why_not, early, late);
        if (forecast->end_at <= forecast->early_at || forecast->end_at > forecast->late_at)
            fail_msg("%s: not between them", THERE[i].title);
        if (more != THERE[i].days_more)
            fail_msg("%s: %g days more", THERE[i].title, more);
        scene_end(&scene);
    }
}

/* Half gone after 41 h, as fast as three of 82 h: 41 h more, so that the second reading from now
 * is the first at its end. */
static void counts_the_days(void **state)
{
    (void)state;
    static const struct {
        const char *beer;
        int days_more;
    } DAYS[] = {{"one", 2}, {"ale", 3}, {"three", 4}, {"five", 6}};
    for (size_t i = 0; i < sizeof DAYS / sizeof DAYS[0]; i++) {
        struct scene scene;
        scene_play(&scene, DAYS[i].beer, FORCED, "9.4 7.4", 2, earlier_of(DAYS[i].beer, 3, 0, 82));
        double more = scene_days(&scene, scene.forecast.finish_at);
        if (more != DAYS[i].days_more)
            fail_msg("%s: %g days more", DAYS[i].beer, more);
        scene_end(&scene);
    }
}

/* The sentence, word for word; times stand in it as the forecast has them. */
static void explains(void **state)
{
    (void)state;
    static const struct {
        const char *title, *beer, *days;
        size_t own, kind;
        const char *begin, *told_by;
    } WORDS[] = {
        {"three of its own", "ale", "9.0 6.0", 3, 0, " It should come within 0.1 P of 2.4 P about ",
         ", told by 3 earlier batches of this beer"},
        {"one of its own", "ale", "9.0 6.0", 1, 0, " It should come within 0.1 P of 2.4 P about ",
         ", told by 1 earlier batch of this beer"},
        {"two of its yeast", "ale", "9.0 6.0", 0, 2, " It should come within 0.1 P of 2.4 P about ",
         ", told by 2 earlier batches of this kind of yeast"},
        {"none", "ale", "9.0 6.0", 0, 0, " It should come within 0.1 P of 2.4 P about ",
         ", told by a usual warm ale; there is no earlier batch of its kind"},
        {"there", "ale", "9.0 6.0 2.4", 3, 0, " It came within 0.1 P of its end about ", NULL},
        {"no forecast", "bare", "9.0 6.0", 0, 0, " No forecast: no limit is known.", NULL},
    };
    for (size_t i = 0; i < sizeof WORDS / sizeof WORDS[0]; i++) {
        struct scene scene;
        scene_play(&scene, WORDS[i].beer, ORIGINAL, WORDS[i].days, 3,
                   earlier_of("ale", WORDS[i].own, WORDS[i].kind, 90));
        const struct forecast *forecast = &scene.forecast;
        const struct cellar *cellar = scene.book.context.cellar;
        struct buf text = buf_new(&scene.book.arena), wanted = buf_new(&scene.book.arena);
        forecast_explain(&scene.book.context, forecast, &text);
        buf_printf(&wanted, "%s", WORDS[i].begin);
        if (forecast->source != FORECAST_NONE) {
            words_time(&wanted, cellar, forecast->end_at);
            if (WORDS[i].told_by != NULL) {
                buf_printf(&wanted, ", in 8 of 10 cases from ");
                words_time(&wanted, cellar, forecast->early_at);
                buf_printf(&wanted, " to ");
                words_time(&wanted, cellar, forecast->late_at);
                buf_printf(&wanted, "%s", WORDS[i].told_by);
            }
            buf_printf(&wanted, "; it can count as finished with the reading of ");
            words_time(&wanted, cellar, forecast->finish_at);
            buf_printf(&wanted, ".");
        }
        if (strcmp(text.p, wanted.p) != 0)
            fail_msg("%s:%s", WORDS[i].title, text.p);
        scene_end(&scene);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(sources),
        cmocka_unit_test(tells_the_hour),
        cmocka_unit_test(tells_when_it_came),
        cmocka_unit_test(tells_the_end),
        cmocka_unit_test(hands_over_the_course),
        cmocka_unit_test(tells_what_is_missing),
        cmocka_unit_test(counts_the_days),
        cmocka_unit_test(explains),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
