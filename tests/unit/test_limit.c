#include "finish_book.h"

#include <math.h>

static const char BEERS[] = "  ale: {yeast: ale, terminal: 2.2..2.8 P}\n"
                            "  dry: {yeast: ale, terminal: ..1.0 P}\n"
                            "  bare: {yeast: ale}\n";

#define ORIGINAL        "original: 12.0 P\n"
#define FORCED(value)   ORIGINAL "forced: {gravity: " value "}\n"
#define EVENT(at, what) "events:\n  - {at: 2026-11-" at ", what: " what "}\n"

/* Ends and margin in P; NAN: that end is not known. */
static const struct row {
    const char *title, *beer, *keys;
    bool earlier; /* batches, that ended at 2..3 P */
    enum limit_source source;
    double low, high, margin;
    const char *why;
} ROWS[] = {
    {"nothing known", "bare", ORIGINAL, false, LIMIT_NONE, NAN, NAN, 0.3, ""},
    {"a forced value goes first", "ale", FORCED("2.4 P"), true, LIMIT_FORCED, 2.4, 2.4, 0.3,
     "lab: not told"},
    {"then the terminal", "ale", ORIGINAL, true, LIMIT_TERMINAL, 2.2, 2.8, 0.3,
     "between laboratories"},
    {"a terminal of one end", "dry", ORIGINAL, true, LIMIT_TERMINAL, NAN, 1.0, 0.3,
     "between laboratories"},
    {"then the earlier batches", "bare", ORIGINAL, true, LIMIT_BASELINE, 2.0, 3.0, 0.3,
     "between laboratories"},
    {"own laboratory: 0.4 % of 12 P, and 0.15 P: 0.2 P", "ale", FORCED("2.4 P, lab: own"), false,
     LIMIT_FORCED, 2.4, 2.4, 0.2, "own laboratory"},
    {"the full method is meant", "ale", FORCED("2.4 P, lab: own, method: full"), false,
     LIMIT_FORCED, 2.4, 2.4, 0.2, "own laboratory"},
    {"of 24 P: 0.246 P, still 0.2 P", "ale", "original: 24.0 P\nforced: {gravity: 5 P, lab: own}\n",
     false, LIMIT_FORCED, 5, 5, 0.2, "own laboratory"},
    {"the full method too", "ale",
     "original: 24.0 P\nforced: {gravity: 5 P, lab: own, method: full}\n", false, LIMIT_FORCED, 5,
     5, 0.2, "own laboratory"},
    {"of 26 P: 0.254 P, so 0.3 P", "ale", "original: 26.0 P\nforced: {gravity: 5 P, lab: own}\n",
     false, LIMIT_FORCED, 5, 5, 0.3, "own laboratory"},
    {"own, rapid: 0.3 % and 0.15 P, and 0.8 % lower", "ale",
     FORCED("2.4 P, lab: own, method: rapid"), false, LIMIT_FORCED, 2.304, 2.4, 0.2,
     "own laboratory; a rapid test ends short"},
    {"own, rapid, of 32 P: 0.246 P", "ale",
     "original: 32.0 P\nforced: {gravity: 5 P, lab: own, method: rapid}\n", false, LIMIT_FORCED,
     4.744, 5, 0.2, "own laboratory; a rapid test ends short"},
    {"another laboratory: 2.4 %", "ale", FORCED("2.4 P, lab: other"), false, LIMIT_FORCED, 2.4, 2.4,
     0.3, "another laboratory"},
    {"another one, of 10 P: 0.24 P", "ale",
     "original: 10.0 P\nforced: {gravity: 2.4 P, lab: other}\n", false, LIMIT_FORCED, 2.4, 2.4, 0.2,
     "another laboratory"},
    {"another one, the full method", "ale",
     "original: 10.0 P\nforced: {gravity: 2.4 P, lab: other, method: full}\n", false, LIMIT_FORCED,
     2.4, 2.4, 0.2, "another laboratory"},
    {"another one, rapid: 3.5 %", "ale", FORCED("2.4 P, lab: other, method: rapid"), false,
     LIMIT_FORCED, 2.304, 2.4, 0.4, "another laboratory; a rapid test ends short"},
    {"another one, rapid, of 9.6 P: 0.336 P", "ale",
     "original: 9.6 P\nforced: {gravity: 2.4 P, lab: other, method: rapid}\n", false, LIMIT_FORCED,
     2.3232, 2.4, 0.3, "another laboratory; a rapid test ends short"},
    {"rapid alone is lower, too", "ale", FORCED("2.4 P, method: rapid"), false, LIMIT_FORCED, 2.304,
     2.4, 0.3, "lab: not told"},
    {"a strong wort doubts more", "ale", "original: 20.0 P\nforced: {gravity: 5 P, lab: other}\n",
     false, LIMIT_FORCED, 5, 5, 0.5, "another laboratory"},
    {"no original: as for 12 P", "ale", "forced: {gravity: 2.4 P, lab: other}\n", false,
     LIMIT_FORCED, 2.4, 2.4, 0.3, "another laboratory"},
    {"of two flasks both ends, and the wider margin", "ale",
     ORIGINAL "forced: [{gravity: 2.3 P, lab: other}, {gravity: 2.6 P, lab: own}]\n", false,
     LIMIT_FORCED, 2.3, 2.6, 0.3, "another laboratory"},
    {"in whatever order", "ale",
     ORIGINAL "forced: [{gravity: 2.6 P, lab: own}, {gravity: 2.3 P, lab: other}]\n", false,
     LIMIT_FORCED, 2.3, 2.6, 0.3, "another laboratory"},
    {"of two with the same margin the first is named", "ale",
     ORIGINAL "forced: [{gravity: 2.4 P}, {gravity: 2.4 P, lab: other}]\n", false, LIMIT_FORCED,
     2.4, 2.4, 0.3, "lab: not told"},
    {"one read later is not known yet", "ale", FORCED("2.4 P, at: 2026-11-09 09:00"), false,
     LIMIT_TERMINAL, 2.2, 2.8, 0.3, "between laboratories"},
    {"one read at this moment is", "ale", FORCED("2.4 P, at: 2026-11-06 09:00"), false,
     LIMIT_FORCED, 2.4, 2.4, 0.3, "lab: not told"},
    {"off the end of its scale", "ale", FORCED("<2.4 P"), false, LIMIT_TERMINAL, 2.2, 2.8, 0.3,
     "between laboratories"},
    {"at 45 % of the original", "ale", FORCED("5.4 P"), false, LIMIT_FORCED, 5.4, 5.4, 0.3,
     "lab: not told"},
    {"over it: passed over", "ale", FORCED("5.5 P"), false, LIMIT_TERMINAL, 2.2, 2.8, 0.3,
     "between laboratories"},
    {"no original: nothing is half of it", "ale", "forced: {gravity: 5.5 P}\n", false, LIMIT_FORCED,
     5.5, 5.5, 0.3, "lab: not told"},
    {"before a dry hop: an upper end only", "ale",
     FORCED("2.4 P, at: 2026-11-03 09:00") EVENT("04 10:00", "dry hop"), false, LIMIT_FORCED, NAN,
     2.4, 0.3, "lab: not told"},
    {"before an addition", "ale",
     FORCED("2.4 P, at: 2026-11-03 09:00") EVENT("04 10:00", "addition"), false, LIMIT_FORCED, NAN,
     2.4, 0.3, "lab: not told"},
    {"before krausen", "ale", FORCED("2.4 P, at: 2026-11-03 09:00") EVENT("04 10:00", "krausen"),
     false, LIMIT_FORCED, NAN, 2.4, 0.3, "lab: not told"},
    {"no hour told: before whatever came", "ale", FORCED("2.4 P") EVENT("04 10:00", "dry hop"),
     false, LIMIT_FORCED, NAN, 2.4, 0.3, "lab: not told"},
    {"rousing adds nothing", "ale",
     FORCED("2.4 P, at: 2026-11-03 09:00") EVENT("04 10:00", "rouse"), false, LIMIT_FORCED, 2.4,
     2.4, 0.3, "lab: not told"},
    {"forced in the minute of the dry hop: not before it", "ale",
     FORCED("2.4 P, at: 2026-11-04 10:00") EVENT("04 10:00", "dry hop"), false, LIMIT_FORCED, 2.4,
     2.4, 0.3, "lab: not told"},
    {"roused after the dry hop", "ale",
     FORCED("2.4 P, at: 2026-11-03 09:00")
         EVENT("04 10:00", "dry hop") "  - {at: 2026-11-05 10:00, what: rouse}\n",
     false, LIMIT_FORCED, NAN, 2.4, 0.3, "lab: not told"},
    {"forced after the dry hop", "ale",
     FORCED("2.4 P, at: 2026-11-05 09:00") EVENT("04 10:00", "dry hop"), false, LIMIT_FORCED, 2.4,
     2.4, 0.3, "lab: not told"},
    {"forced before and after it: the later one", "ale",
     ORIGINAL "forced: [{gravity: 2.4 P, at: 2026-11-03 09:00, lab: other}, "
              "{gravity: 1.9 P, at: 2026-11-05 09:00, lab: own}]\n" EVENT("04 10:00", "dry hop"),
     false, LIMIT_FORCED, 1.9, 1.9, 0.2, "own laboratory"},
    {"the later one is passed over: the earlier", "ale",
     ORIGINAL "forced: [{gravity: 2.4 P, at: 2026-11-03 09:00}, "
              "{gravity: 6.0 P, at: 2026-11-05 09:00}]\n" EVENT("04 10:00", "dry hop"),
     false, LIMIT_FORCED, NAN, 2.4, 0.3, "lab: not told"},
};

static bool same(double a, double b)
{
    return (isnan(a) && isnan(b)) || fabs(a - b) < 1e-9;
}

static void limits(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof ROWS / sizeof ROWS[0]; i++) {
        const struct row *row = &ROWS[i];
        struct finish_book book;
        finish_book_begin(&book, BEERS);
        finish_book_batch(&book, row->beer, row->keys, "11.0", "", 5);
        const struct figure *original = &book.batch->used_original;
        struct limit limit =
            limit_of(book.batch, figure_is_exact(original) ? original->value : NAN,
                     (struct limit_baseline){2.0, 3.0, row->earlier}, book.context.now);
        if (limit.source != row->source || !same(limit.low_plato, row->low) ||
            !same(limit.high_plato, row->high) || !same(limit.margin_plato, row->margin) ||
            strcmp(limit.margin_why, row->why) != 0 ||
            limit.upper_only != (row->source == LIMIT_FORCED && isnan(row->low)))
            fail_msg("%s: %s %.3f..%.3f P, margin %.3f P (%s)", row->title,
                     LIMIT_SOURCES[limit.source], limit.low_plato, limit.high_plato,
                     limit.margin_plato, limit.margin_why);
        finish_book_end(&book);
    }
}

static void tells_what_was_passed_over(void **state)
{
    (void)state;
    struct finish_book book;
    finish_book_begin(&book, BEERS);
    finish_book_batch(&book, "bare",
                      ORIGINAL
                      "forced: [{gravity: 6.5 P, lab: other}, {gravity: 2.4 P, lab: own}]\n",
                      "11.0", "", 5);
    struct limit limit =
        limit_of(book.batch, 12, (struct limit_baseline){NAN, NAN, false}, book.context.now);
    assert_true(limit.forced_high);
    assert_float_equal(limit.passed_plato, 6.5, 1e-9);
    assert_float_equal(limit.high_plato, 2.4, 1e-9);
    assert_float_equal(limit.margin_plato, 0.2, 1e-9);
    finish_book_end(&book);
}

static void reached_and_under(void **state)
{
    (void)state;
    static const struct {
        double plato, extra;
        bool reached, under;
    } rows[] = {
        {2.9, 0.1, true, false},  {2.9, 0.0, false, false}, {2.8, 0.0, true, false},
        {3.0, 0.1, false, false}, {1.9, 0.0, true, false},  {1.8, 0.0, true, true},
        {2.8 + 1e-9, 0, true, 0}, {1.9 - 1e-9, 0, true, 0}, {2.81, 0, false, false},
    };
    struct limit limit = {.low_plato = 2.2, .high_plato = 2.8, .margin_plato = 0.3};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        if (limit_reached(&limit, rows[i].plato, rows[i].extra) != rows[i].reached ||
            limit_is_under(&limit, rows[i].plato) != rows[i].under)
            fail_msg("%.2f P and %.1f P", rows[i].plato, rows[i].extra);
    limit.low_plato = limit.high_plato = NAN;
    assert_false(limit_reached(&limit, 1, 0));
    assert_false(limit_is_under(&limit, -5));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(limits),
        cmocka_unit_test(tells_what_was_passed_over),
        cmocka_unit_test(reached_and_under),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
