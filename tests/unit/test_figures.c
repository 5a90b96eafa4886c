/* Figures that follow from others: both tables are whole, values agree with the equations, and a
 * figure has the digits of what it came from. */
#include "acidity.h"
#include "alcohol.h"
#include "carbonation.h"
#include "equations.h"
#include "figures.h"
#include "figures_follow.h"
#include "one_arena.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

static void tables_are_whole(void **state)
{
    (void)state;
    for (int id = 1; id < FIGURES_COUNT; id++) {
        const struct figures_info *info = &FIGURES[id];
        if (info->name == NULL || info->help == NULL)
            fail_msg("figure %d has no row", id);
        if (info->given)
            assert_int_equal(figures_find(str_of(info->name)), id);
        if (info->unit != NULL && info->quantity != QUANTITY_NUMBER && info->unit[0] != '\0' &&
            quantity_unit_of(str_of(info->unit), info->quantity) == NULL)
            fail_msg("%s: no unit %s", info->name, info->unit);
    }
    for (size_t i = 0; i < FIGURES_FOLLOW_COUNT; i++)
        if (equations_named(FIGURES_FOLLOW[i].equation) == NULL)
            fail_msg("row %zu: no equation %s", i, FIGURES_FOLLOW[i].equation);
    assert_int_equal(figures_find(STR("nothing")), FIGURES_NONE);
    assert_string_equal(figures_nearest(STR("gravty")), "gravity");
}

static bool needs_figure(const struct figures_derivation *by, enum figures_id id)
{
    for (size_t i = 0; i < FIGURES_MOST_NEEDS && by->needs[i] != FIGURES_NONE; i++)
        if (by->needs[i] == (int)id)
            return true;
    return false;
}

/* Rows are tried once, in order, so what a row needs must not stand below it; but for the way round
 * (original from alcohol, alcohol from original), of which only one is ever taken. */
static void rows_are_in_order(void **state)
{
    (void)state;
    for (size_t i = 0; i < FIGURES_FOLLOW_COUNT; i++) {
        const struct figures_derivation *by = &FIGURES_FOLLOW[i];
        for (size_t k = i + 1; k < FIGURES_FOLLOW_COUNT; k++) {
            const struct figures_derivation *later = &FIGURES_FOLLOW[k];
            if (needs_figure(by, later->gives) && !needs_figure(later, by->gives))
                fail_msg("row %zu needs %s of row %zu", i, FIGURES[later->gives].name, k);
        }
    }
}

static void assumed_solutions_are_meant(void **state)
{
    (void)state;
    assert_string_equal(acidity_buffers[(size_t)FIGURES[FIGURES_BUFFER4].assumed].name,
                        "phthalate");
    assert_string_equal(acidity_buffers[(size_t)FIGURES[FIGURES_BUFFER7].assumed].name,
                        "technical-7");
}

/* Gives a set as "key=value key=value", without blanks in a value. */
static struct figures set_of(const char *text)
{
    struct figures set;
    struct str rest = str_of(text);
    figures_begin(&set);
    while (rest.p != NULL) {
        struct str value = str_split(&rest, ' '), key = str_split(&value, '=');
        const char *why = figures_give(&set, figures_find(key), value, &arena);
        if (why != NULL)
            fail_msg("%s: %s", text, why);
    }
    return set;
}

/* The figure as shown, "" when it is not. */
static const char *shown(const struct figures *set, enum figures_id id, int digits)
{
    struct buf buf = buf_new(&arena);
    if (!figures_is_shown(set, id))
        return "";
    const struct quantity_unit *unit = figures_unit(set, id, false);
    figures_write(&buf, set, id, unit, digits);
    buf_printf(&buf, " %s", figures_unit_name(id, unit));
    return str_copy(&arena, str_trim(buf_str(&buf))).p;
}

static void figures_follow_from_sets(void **state)
{
    static const struct {
        const char *set;
        enum figures_id id;
        int digits;
        const char *want;
    } rows[] = {
        /* Balling's balance, computed apart: README of tests/reference */
        {"original=12P gravity=2.5P", FIGURES_REAL_EXTRACT, 3, "4.218 P"},
        {"original=12P gravity=2.5P", FIGURES_ABW, 3, "4.015 %"},
        {"original=12P gravity=2.5P", FIGURES_ADF, 2, "79.17 %"},
        {"original=12P gravity=2.5P", FIGURES_RDF, 2, "66.30 %"},
        {"original=12P gravity=2.5P", FIGURES_ENERGY_355, 1, "158.3 kcal"},
        {"abw=4.015 real-extract=4.218P", FIGURES_ORIGINAL, 2, "12.00 P"},
        {"abw=4.015 gravity=2.5P", FIGURES_ORIGINAL, 2, "12.00 P"},
        /* digits */
        {"original=12.1P gravity=2.5P", FIGURES_REAL_EXTRACT, -1, "4.2 P"},
        {"original=12.1P gravity=2.5P", FIGURES_ABV, -1, "5.2 %"},
        {"original=12.10P gravity=2.50P", FIGURES_ABV, -1, "5.18 %"},
        {"original=1.049SG gravity=1.010SG", FIGURES_ORIGINAL, -1, "12.1 P"},
        /* the unit of what was given */
        {"temp=38F carbonation=2.50vol pressure=1psi", FIGURES_PRESSURE_TO_SET, -1, "10.9 psi"},
        {"temp=3.3C carbonation=2.50vol", FIGURES_PRESSURE_TO_SET, -1, "0.75 bar"},
        /* mountains: 0.3 bar less air, so 0.3 bar more on the gauge */
        {"temp=3.3C carbonation=2.50vol altitude=3000m", FIGURES_PRESSURE_TO_SET, 2, "1.06 bar"},
        /* what is given is not told again, but for a gravity on another scale */
        {"original=12P gravity=2.5P", FIGURES_ORIGINAL, -1, ""},
        {"temp=38F pressure=12psi", FIGURES_TEMP, -1, ""},
        /* what is assumed is told where it is used */
        {"refractometer=12.5Bx", FIGURES_FACTOR, -1, "1.04"},
        {"refractometer=12.5Bx", FIGURES_WORT_EXTRACT, -1, "12.0 P"},
        {"original=12P gravity=2.5P", FIGURES_ATMOSPHERE, -1, ""},
        {"mv7=-3mV mv4=172mV temp=20C", FIGURES_BUFFER7, -1, "technical-7"},
        {"buffer=7.00 temp=12C", FIGURES_BUFFER_PH, 2, "7.05"},
        /* 60 F and 20 C scales differ */
        {"hydrometer=1.0120SG temp=25C", FIGURES_GRAVITY, 2, "3.35 P"},
        {"hydrometer=1.0120SG temp=60F reference=60F", FIGURES_GRAVITY, 2, "3.06 P"},
        /* gravity above the original gives no alcohol */
        {"original=3P gravity=4P", FIGURES_ABV, -1, ""},
        {"original=3P gravity=4P", FIGURES_GRAVITY_SG, 3, "1.016 SG"},
        /* over 10 bar absolute */
        {"original=20P gravity=19P limit=3P temp=20C headspace=5% pressure=0bar",
         FIGURES_CLOSED_PRESSURE, -1, ">8.99 bar"},
        {"volume=58hL capacity=60hL", FIGURES_FILL, 1, "96.7 %"},
        {"volume=58.0hL packaged=54.6hL", FIGURES_LOSS, -1, "3.4 hL"},
        {"wort-ph=5.20 ph=4.20", FIGURES_HYDROGEN_RATIO, 1, "10.0"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct figures set = set_of(rows[i].set);
        figures_derive(&set);
        const char *got = shown(&set, rows[i].id, rows[i].digits);
        if (strcmp(got, rows[i].want) != 0)
            fail_msg("%s: %s is \"%s\", not \"%s\"", rows[i].set, FIGURES[rows[i].id].name, got,
                     rows[i].want);
    }
}

static void bad_values_are_refused(void **state)
{
    static const struct {
        const char *key, *value, *why;
    } rows[] = {
        {"original", "", "no value"},
        {"original", "12 bar", "not a unit of gravity"},
        {"original", "inf", "plain digits"},
        {"temp", "1000 C", "temperature can only lie in"},
        {"gravity", "<2.5 P", "off the end of a scale"},
        {"buffer", "5", "not a known buffer"},
        {"declare", "up", "not one of"},
        {"factor", "1.04 P", "P"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct figures set;
        figures_begin(&set);
        const char *why =
            figures_give(&set, figures_find(str_of(rows[i].key)), str_of(rows[i].value), &arena);
        if (why == NULL || strstr(why, rows[i].why) == NULL)
            fail_msg("%s=%s: %s", rows[i].key, rows[i].value, why == NULL ? "accepted" : why);
    }
    struct figures set = set_of("original=12P");
    assert_non_null(figures_give(&set, FIGURES_ORIGINAL, STR("12P"), &arena));
}

static void remarks_are_made(void **state)
{
    static const struct {
        const char *set;
        enum figures_remark_level level;
        const char *begins; /* NULL: there is none of that level */
    } rows[] = {
        {"original=3P gravity=4P", FIGURES_NOTE, "the gravity is above"},
        {"original=12P gravity=2.5P", FIGURES_CAUTION, NULL},
        {"temp=4C carbonation=2.5vol", FIGURES_CAUTION, "pressure: the tank's rated"},
        {"temp=20C carbonation=2.5vol rated=1bar", FIGURES_CAUTION, "that is above the rated"},
        {"ph=4.6 wort-ph=5.1", FIGURES_CAUTION, "pH at or above 4.6"},
        {"ph=4.59 wort-ph=5.1", FIGURES_CAUTION, NULL},
        {"original=3.0P gravity=2.5P", FIGURES_CAUTION, "alcohol below 0.5 %"},
        {"temp=60C pressure=1bar", FIGURES_ERROR, "carbonation: out of range"},
        {"temp=18C pressure=1bar wanted=1vol", FIGURES_NOTE, "priming-sucrose: the beer holds"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct figures set = set_of(rows[i].set);
        figures_derive(&set);
        struct figures_remarks remarks = figures_remarks(&set, &arena);
        const char *got = NULL;
        for (size_t k = 0; k < remarks.n && got == NULL; k++)
            if (remarks.items[k].level == rows[i].level)
                got = remarks.items[k].text;
        bool good = rows[i].begins == NULL ? got == NULL
                                           : got != NULL && strstr(got, rows[i].begins) == got;
        if (!good)
            fail_msg("%s: %s", rows[i].set, got == NULL ? "nothing said" : got);
    }
}

/* The last digit shown stands for no more than 5/4 of the step, and one fewer would. */
static void digits_fit_the_step(void **state)
{
    (void)state;
    for (double step = 2e-8; step < 50; step *= 1.07) {
        int digits = quantity_step_digits(step, -1);
        if (!(pow(10, -digits) <= 1.2501 * step || digits == 9 || digits == 0) ||
            (digits > 0 && !(pow(10, 1 - digits) > 1.2499 * step)))
            fail_msg("step %g: %d digits", step, digits);
    }
    assert_int_equal(quantity_step_digits(0, 3), 3);
    assert_int_equal(quantity_step_digits(0.1, 3), 1);
    assert_int_equal(quantity_step_digits(0.001, 0), 3);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(tables_are_whole),
        cmocka_unit_test(rows_are_in_order),
        cmocka_unit_test(assumed_solutions_are_meant),
        cmocka_unit_test(figures_follow_from_sets),
        cmocka_unit_test(bad_values_are_refused),
        cmocka_unit_test(remarks_are_made),
        cmocka_unit_test(digits_fit_the_step),
    };
    return cmocka_run_group_tests(tests, set_up, tear_down);
}
