/*
 * The library against other programs, where they are installed: python3 (oracle.py: the same
 * equations typed in again, in 40 digits) and GNU units. A missing program is a printed skip.
 */
#include "acidity.h"
#include "alcohol.h"
#include "carbonation.h"
#include "extract.h"
#include "quantity.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

static bool installed(const char *program)
{
    char command[64];
    snprintf(command, sizeof command, "command -v %s >/dev/null 2>&1", program);
    if (system(command) == 0)
        return true;
    printf("note: skipped %s: it is not installed\n", program);
    fflush(stdout);
    return false;
}

static FILE *output_of(const char *command)
{
    FILE *out = popen(command, "r");
    if (!out)
        fail_msg("%s: cannot be run", command);
    return out;
}

static void agrees(const char *title, double value, double expected, double relative)
{
    if (!(fabs(value - expected) <= relative * fmax(1, fabs(expected))))
        fail_msg("%s: %.15g here, %.15g there", title, value, expected);
}

static double plato(const double *a)
{
    return extract_plato_from_sg(a[0]);
}

static double density(const double *a)
{
    return extract_density_at(a[0], a[1]);
}

static double hydrometer(const double *a)
{
    return extract_hydrometer(a[0], a[1], a[2]);
}

static double fraction(const double *a)
{
    return carbonation_water_fraction(a[0], a[1]);
}

static double volume(const double *a)
{
    return alcohol_from_gravity(a[0], a[1]);
}

static void python_in_forty_digits(void **state)
{
    (void)state;
    static const struct {
        const char *name;
        double (*figure)(const double *);
    } figures[] = {{"plato", plato},
                   {"density", density},
                   {"hydrometer", hydrometer},
                   {"fraction", fraction},
                   {"volume", volume}};
    size_t seen[sizeof figures / sizeof *figures] = {0};
    if (!installed("python3"))
        return;
    FILE *out = output_of("python3 tests/reference/oracle.py");
    char line[256], name[32], arguments[128];
    double expected;
    while (fgets(line, sizeof line, out)) {
        if (sscanf(line, "%31[^\t]\t%127[^\t]\t%lf", name, arguments, &expected) != 3)
            fail_msg("not understood: %s", line);
        double a[3] = {0};
        sscanf(arguments, "%lf %lf %lf", &a[0], &a[1], &a[2]);
        for (size_t i = 0; i < sizeof figures / sizeof *figures; i++)
            if (strcmp(figures[i].name, name) == 0) {
                agrees(line, figures[i].figure(a), expected, 1e-12);
                seen[i]++;
            }
    }
    assert_int_equal(pclose(out), 0);
    for (size_t i = 0; i < sizeof figures / sizeof *figures; i++)
        if (seen[i] < 4)
            fail_msg("%s: only %zu rows", figures[i].name, seen[i]);
}

/* What GNU units makes of an expression. */
static double units(const char *from, const char *to)
{
    char command[160];
    snprintf(command, sizeof command, "units -t -o %%.17g '%s' '%s'", from, to);
    FILE *out = output_of(command);
    double value;
    if (fscanf(out, "%lf", &value) != 1)
        fail_msg("%s: no figure", command);
    if (pclose(out) != 0)
        fail_msg("%s: failed", command);
    return value;
}

/* Our units, and what GNU units calls them. Its own bbl is petroleum, its floz and gallon are
 * American, its beerbarrel is neither of ours. */
static const struct {
    const char *ours, *theirs;
} names[] = {
    {"mbar", "mbar"},
    {"kPa", "kPa"},
    {"psi", "psi"},
    {"L", "L"},
    {"mL", "mL"},
    {"m3", "m^3"},
    {"floz", "usfloz"},
    {"gal", "usgallon"},
    {"bbl", "31 usgallon"},
    {"impgal", "brgallon"},
    {"ukbbl", "36 brgallon"},
    {"bar", "bar"},
    {"hL", "hL"},
    {"C", "K"},
    {"kg", "kg"},
    {"g", "g"},
    {"oz", "oz"},
    {"lb", "lb"},
    {"h", "hour"},
    {"d", "day"},
    {"min", "min"},
    {"mg/L", "mg/L"},
    {"ug/L", "ug/L"},
    {"mV", "mV"},
    {"m", "m"},
};

/* The library's unit for each quantity, as GNU units calls it. */
static const char *const canonical[QUANTITY_COUNT] = {
    [QUANTITY_PRESSURE] = "bar", [QUANTITY_VOLUME] = "hL",     [QUANTITY_TEMPERATURE] = "K",
    [QUANTITY_VDK] = "mg/L",     [QUANTITY_OXYGEN] = "ug/L",   [QUANTITY_VOLTAGE] = "mV",
    [QUANTITY_MASS] = "kg",      [QUANTITY_DURATION] = "hour", [QUANTITY_LENGTH] = "m",
};

/* Units of which GNU units knows nothing, or that are offsets or other tests' business. */
static bool is_ours_alone(const char *unit)
{
    static const char *const alone[] = {"P", "SG",  "Bx",  "kg/m3", "F",   "K",  "vol",
                                        "%", "IBU", "g/L", "M/mL",  "ppm", "ppb"};
    for (size_t i = 0; i < sizeof alone / sizeof *alone; i++)
        if (strcmp(alone[i], unit) == 0)
            return true;
    return false;
}

static void every_unit_by_gnu_units(void **state)
{
    (void)state;
    if (!installed("units"))
        return;
    for (size_t i = 0; i < QUANTITY_UNIT_COUNT; i++) {
        const struct quantity_unit *unit = &QUANTITY_UNITS[i];
        const char *theirs = NULL, *to = canonical[unit->quantity];
        for (size_t k = 0; k < sizeof names / sizeof *names; k++)
            if (strcmp(names[k].ours, unit->name) == 0)
                theirs = names[k].theirs;
        if (is_ours_alone(unit->name))
            continue;
        if (!theirs || !to)
            fail_msg("%s: not checked against anything", unit->name);
        agrees(unit->name, unit->factor, units(theirs, to), 1e-14);
    }
}

/* Exact by definition: pound-force and inch, 231 cubic inches, 31 and 36 gallons. */
static void units_by_definition(void **state)
{
    (void)state;
    static const struct {
        const char *unit;
        double factor;
    } rows[] = {
        {"psi", 4.4482216152605 / (0.0254 * 0.0254) / 1e5},
        {"gal", 231 * 0.0254 * 0.0254 * 0.0254 * 10},
        {"bbl", 1.17347765304},
        {"impgal", 0.0454609},
        {"ukbbl", 1.6365924},
        {"floz", 231 * 0.0254 * 0.0254 * 0.0254 * 10 / 128},
        {"lb", 0.45359237},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        const struct quantity_unit *unit = quantity_unit_find(str_of(rows[i].unit));
        assert_non_null(unit);
        agrees(rows[i].unit, unit->factor, rows[i].factor, 1e-14);
    }
}

static void temperatures_by_gnu_units(void **state)
{
    (void)state;
    if (!installed("units"))
        return;
    static const struct {
        const char *unit;
        double written;
        const char *theirs;
    } rows[] = {
        {"F", 68, "tempF(68)"},   {"F", 60, "tempF(60)"},         {"F", 28.4, "tempF(28.4)"},
        {"F", -40, "tempF(-40)"}, {"K", 293.15, "tempK(293.15)"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        const struct quantity_unit *unit = quantity_unit_find(str_of(rows[i].unit));
        assert_non_null(unit);
        agrees(rows[i].theirs, unit->offset + unit->factor * rows[i].written,
               units(rows[i].theirs, "tempC"), 1e-12);
    }
}

/* R, the elementary charge and the rest as GNU units has them. */
static void electrode_slope_by_gnu_units(void **state)
{
    (void)state;
    if (!installed("units"))
        return;
    for (int celsius = 0; celsius <= 100; celsius += 25) {
        char expression[64];
        snprintf(expression, sizeof expression, "R %d.15 K ln(10)/(N_A e)", celsius + 273);
        agrees(expression, acidity_slope(celsius), units(expression, "mV"), 1e-8);
    }
}

/* One volume of gas, and the g/L that it is, must be the same everywhere. */
static void one_volume_is_one_volume(void **state)
{
    (void)state;
    const struct quantity_unit *unit = quantity_unit_find(str_of("g/L"));
    assert_non_null(unit);
    agrees("g/L", unit->factor, carbonation_vol(1), 1e-15);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(python_in_forty_digits),       cmocka_unit_test(every_unit_by_gnu_units),
        cmocka_unit_test(units_by_definition),          cmocka_unit_test(temperatures_by_gnu_units),
        cmocka_unit_test(electrode_slope_by_gnu_units), cmocka_unit_test(one_volume_is_one_volume),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
