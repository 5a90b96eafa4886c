/*
 * The brewing arithmetic against every row of the published tables beside this file. Each check
 * prints its worst row; every row must lie within the tolerance, and the worst must agree with
 * what lib/equations.c (and so the manual) says of it.
 */
#include "acidity.h"
#include "alcohol.h"
#include "carbonation.h"
#include "equations.h"
#include "extract.h"
#include "table.h"
#include "water.h"

#include <stdbool.h>

/* The 1901 litre, in which older tables have their g/mL: 0.999972 kg of water at its densest. */
static const double old_millilitre = 0.999972;

struct check {
    const char *equation; /* its name in the table of equations */
    const char *against;  /* and how the check of it begins; NULL where the rows were computed from
                           * the same equation and only show that it was copied right */
    const char *file;
    const char *rows; /* "column=beginning": those rows; two of them with a blank between */
    double (*residual)(const struct table *, size_t); /* computed - published */
    double tolerance;                                 /* of every row */
    const char *printed; /* or half of the last digit in this column, when not NULL */
};

/* The temperature of a row; the one of the densest water where none is given. */
static double celsius(const struct table *t, size_t row)
{
    double celsius = table_number(t, row, "t_C");
    return isnan(celsius) ? 3.983035 : celsius;
}

static double water(const struct table *t, size_t row)
{
    return water_density(celsius(t, row)) - table_number(t, row, "density");
}

static double water_old(const struct table *t, size_t row)
{
    return water_density(celsius(t, row)) - 1000 * old_millilitre * table_number(t, row, "density");
}

static double water_icumsa(const struct table *t, size_t row)
{
    return water_density_icumsa(celsius(t, row)) - table_number(t, row, "density");
}

static double water_pair(const struct table *t, size_t row)
{
    return water_density_icumsa(celsius(t, row)) - water_density(celsius(t, row));
}

static double sucrose(const struct table *t, size_t row)
{
    double plato = table_number(t, row, "mass_pct");
    return extract_density_at(plato, celsius(t, row)) - table_number(t, row, "rho_kg_m3");
}

static double sucrose_old(const struct table *t, size_t row)
{
    double plato = table_number(t, row, "mass_pct");
    return extract_density_at(plato, celsius(t, row)) -
           old_millilitre * table_number(t, row, "rho_kg_m3");
}

/* Plato that the table's density gives, less the table's own. */
static double plato_old(const struct table *t, size_t row)
{
    double density = old_millilitre * table_number(t, row, "rho_kg_m3");
    return extract_plato_from_density_at(density, celsius(t, row)) -
           table_number(t, row, "mass_pct");
}

static double sg_icumsa(const struct table *t, size_t row)
{
    return extract_sg_from_plato(table_number(t, row, "degP")) -
           table_number(t, row, "sg_icumsa_air");
}

static double plato_of(const struct table *t, size_t row, const char *column)
{
    return extract_plato_from_sg(table_number(t, row, column)) - table_number(t, row, "degP");
}

static double plato_nbs(const struct table *t, size_t row)
{
    return plato_of(t, row, "sg_nbs440_cubic_air");
}

static double plato_asbc(const struct table *t, size_t row)
{
    return plato_of(t, row, "sg_asbc_cubic_air");
}

static double plato_buhl(const struct table *t, size_t row)
{
    return plato_of(t, row, "sg_buhl_cubic_air");
}

/* The table prints 60 F as 15.56 C. */
static double reference(const struct table *t, size_t row)
{
    return table_number(t, row, "hydrometer_ref_C") < 18 ? EXTRACT_60F : EXTRACT_20C;
}

static double hydrometer(const struct table *t, size_t row)
{
    double read = table_number(t, row, "reading_degP");
    return extract_hydrometer(read, celsius(t, row), reference(t, row)) -
           table_number(t, row, "true_degP");
}

static double hydrometer_reading(const struct table *t, size_t row)
{
    double plato = table_number(t, row, "true_degP");
    return extract_hydrometer_reading(plato, celsius(t, row), reference(t, row)) -
           table_number(t, row, "reading_degP");
}

/* The table's SG is of densities in vacuum. */
static double hydrometer_sg(const struct table *t, size_t row)
{
    double read = table_number(t, row, "reading_degP") + hydrometer_reading(t, row);
    double scale = extract_density_at(read, reference(t, row));
    return scale / water_density_icumsa(reference(t, row)) -
           table_number(t, row, "sg_reading_ref_ref");
}

static double ethanol(const struct table *t, size_t row)
{
    return alcohol_ethanol_density(table_number(t, row, "mass_pct")) -
           table_number(t, row, "rho_kg_m3");
}

/* Beers of 1917: SG 60/60 F of wort and beer, alcohol in g per 100 mL. */
static double usda_original(const struct table *t, size_t row)
{
    return extract_plato_from_sg_at(table_number(t, row, "wort_sg_60F_60F"), EXTRACT_60F);
}

static double usda_apparent(const struct table *t, size_t row)
{
    return extract_plato_from_sg_at(table_number(t, row, "beer_sg_60F_60F"), EXTRACT_60F);
}

static double usda_by_mass(const struct table *t, size_t row)
{
    double kg_per_litre = extract_density_at(usda_apparent(t, row), EXTRACT_60F) / 1000;
    return table_number(t, row, "alcohol_g_100mL") / kg_per_litre;
}

static double usda_alcohol(const struct table *t, size_t row)
{
    double original = usda_original(t, row);
    double real = alcohol_real_extract(original, usda_apparent(t, row));
    return alcohol_by_mass(original, real) - usda_by_mass(t, row);
}

/* The wort by the beer's alcohol and extract, both as measured (their extract is by a table of
 * malt extract that gives some 2 % more than sucrose), less the wort by its own SG. */
static double usda_wort(const struct table *t, size_t row)
{
    double kg_per_litre = extract_density_at(usda_apparent(t, row), EXTRACT_60F) / 1000;
    double real = table_number(t, row, "extract_g_100mL") / kg_per_litre;
    return alcohol_original(usda_by_mass(t, row), real) - usda_original(t, row);
}

static double cutaia_alcohol(const struct table *t, size_t row)
{
    double original = table_number(t, row, "OE_degP");
    double real = alcohol_real_extract(original, table_number(t, row, "AE_degP"));
    return alcohol_by_mass(original, real) - table_number(t, row, "alcohol_pct_w_w");
}

static double cutaia_original(const struct table *t, size_t row)
{
    return alcohol_original(table_number(t, row, "alcohol_pct_w_w"),
                            table_number(t, row, "RE_degP")) -
           table_number(t, row, "OE_degP");
}

static double cutaia_real(const struct table *t, size_t row)
{
    return alcohol_real_extract(table_number(t, row, "OE_degP"), table_number(t, row, "AE_degP")) -
           table_number(t, row, "RE_degP");
}

static double co2_fraction(const struct table *t, size_t row)
{
    double bar = table_number(t, row, "p_CO2_kPa") / 100;
    return 1000 * carbonation_water_fraction(celsius(t, row), bar) - table_number(t, row, "value");
}

/* In % of the measured volume of gas in a volume of water. */
static double co2_bunsen(const struct table *t, size_t row)
{
    double vol = carbonation_vol(carbonation_water(celsius(t, row), 0, CARBONATION_SEA_LEVEL));
    return 100 * (vol / table_number(t, row, "value") - 1);
}

static double co2_chart(const struct table *t, size_t row)
{
    double celsius = (table_number(t, row, "t_F") - 32) / 1.8;
    double bar_gauge = table_number(t, row, "psig") * 0.0689475729;
    return carbonation_vol(carbonation_beer(celsius, bar_gauge, CARBONATION_SEA_LEVEL)) -
           table_number(t, row, "vols_CO2");
}

/* The table's names of the buffers, and ours. */
static double buffer(const struct table *t, size_t row)
{
    static const char *const names[][2] = {
        {"phthalate_0.05", "phthalate"},
        {"phosphate_0.025+0.025", "phosphate"},
        {"carbonate_0.025+0.025", "carbonate"},
        {"borax_0.01", "borax"},
        {"US_technical_4.00", "technical-4"},
        {"US_technical_7.00", "technical-7"},
        {"US_technical_10.01", "technical-10"},
        {"NIST_4.01", "phthalate"},
        {"NIST_6.86", "phosphate"},
        {"NIST_9.18", "borax"},
    };
    for (size_t i = 0; i < sizeof names / sizeof *names; i++)
        if (strcmp(names[i][0], table_text(t, row, "buffer")) == 0)
            return acidity_buffer_ph(acidity_buffer_named(names[i][1]), celsius(t, row)) -
                   table_number(t, row, "pH");
    return NAN;
}

static double slope(const struct table *t, size_t row)
{
    return acidity_slope(celsius(t, row)) - table_number(t, row, "slope_mV_per_pH");
}

#define WATER      "tests/reference/water_density.tsv"
#define SUCROSE    "tests/reference/sucrose_density.tsv"
#define SCALES     "tests/reference/plato_sg2020.tsv"
#define HYDROMETER "tests/reference/hydrometer_correction.tsv"
#define ETHANOL    "tests/reference/ethanol_density.tsv"
#define USDA       "tests/reference/beers_usda493.tsv"
#define CUTAIA     "tests/reference/beers_cutaia2009.tsv"
#define CO2_WATER  "tests/reference/co2_water.tsv"
#define CO2_BEER   "tests/reference/co2_chart_beer.tsv"
#define BUFFERS    "tests/reference/ph_buffers.tsv"
#define SLOPES     "tests/reference/nernst_slope.tsv"

static const struct check checks[] = {
    {"water", NULL, WATER, "source=Tanaka", water, 0, "density"},
    {"water", "IAPWS-95", WATER, "source=IAPWS-95", water, 0.0013, NULL},
    {"water", "water measured", WATER, "kind=measured", water, 0.0012, NULL},
    {"water", "CRC", WATER, "source=CRC", water_old, 0.008, NULL},
    {"water-icumsa", "IP Standard", WATER, "source=IP", water_icumsa, 0, "density"},
    {"water-icumsa", "Tanaka", WATER, "source=Tanaka", water_pair, 0.004, NULL},
    {"sucrose", NULL, SUCROSE, "kind=computed", sucrose, 0, "rho_kg_m3"},
    {"sucrose", "CRC", SUCROSE, "source=CRC", sucrose, 0.08, NULL},
    {"sucrose", "Plato", SUCROSE, "source=Plato", sucrose_old, 0.15, NULL},
    {"sg", NULL, SCALES, "kind=computed", sg_icumsa, 0, "sg_icumsa_air"},
    {"sg", "NBS", SCALES, "kind=computed", plato_nbs, 0.02, NULL},
    {"sg", "ASBC", SCALES, "kind=computed", plato_asbc, 0.02, NULL},
    {"sg", "Buhl", SCALES, "kind=computed", plato_buhl, 0.02, NULL},
    {"sg", "Plato", SUCROSE, "source=Plato", plato_old, 0.03, NULL},
    {"hydrometer", NULL, HYDROMETER, "kind=computed", hydrometer_reading, 0, "reading_degP"},
    {"hydrometer", NULL, HYDROMETER, "kind=computed", hydrometer_sg, 0, "sg_reading_ref_ref"},
    {"hydrometer", NULL, HYDROMETER, "kind=computed", hydrometer, 0.00052, NULL},
    {"ethanol", NULL, ETHANOL, "kind=computed", ethanol, 0, "rho_kg_m3"},
    {"ethanol", "CRC", ETHANOL, "source=CRC", ethanol, 0.11, NULL},
    {"alcohol-by-mass", "USDA", USDA, "source=Tolman", usda_alcohol, 0.4, NULL},
    {"alcohol-by-mass", "Cutaia", CUTAIA, "statistic=mean", cutaia_alcohol, 0.15, NULL},
    {"original", "USDA", USDA, "source=Tolman", usda_wort, 0.6, NULL},
    {"original", "Cutaia", CUTAIA, "statistic=mean", cutaia_original, 0.25, NULL},
    {"real-extract", "Cutaia", CUTAIA, "statistic=mean", cutaia_real, 0.2, NULL},
    {"co2-water", "CRC", CO2_WATER, "quantity=1000x", co2_fraction, 0.0018, NULL},
    {"co2-water", "Murray", CO2_WATER, "source=Murray", co2_bunsen, 2.2, NULL},
    {"co2-water", "Gerecke", CO2_WATER, "source=Gerecke", co2_bunsen, 3, NULL},
    {"co2-beer", "a trade", CO2_BEER, "kind=table", co2_chart, 0.09, NULL},
    {"phthalate", NULL, BUFFERS, "source=Hetzer", buffer, 0, "pH"},
    {"phthalate", "JIS", BUFFERS, "source=JIS buffer=phthalate", buffer, 0.0065, NULL},
    {"phthalate", "NIST", BUFFERS, "buffer=NIST_4", buffer, 0.0105, NULL},
    {"phthalate", "IUPAC", BUFFERS, "source=IUPAC buffer=phthalate", buffer, 0.0105, NULL},
    {"buffers", NULL, BUFFERS, "source=JIS buffer=phosphate", buffer, 0, "pH"},
    {"buffers", NULL, BUFFERS, "source=JIS buffer=carbonate", buffer, 0, "pH"},
    {"buffers", NULL, BUFFERS, "buffer=US_technical", buffer, 0, "pH"},
    {"buffers", NULL, BUFFERS, "source=IUPAC buffer=borax", buffer, 0, "pH"},
    {"buffers", "NIST", BUFFERS, "buffer=NIST_6", buffer, 0, "pH"},
    {"buffers", "NIST", BUFFERS, "buffer=NIST_9", buffer, 0, "pH"},
    {"buffers", "IUPAC", BUFFERS, "source=IUPAC buffer=phosphate", buffer, 0.0055, NULL},
    {"electrode-slope", NULL, SLOPES, "kind=computed", slope, 0, "slope_mV_per_pH"},
    {"electrode-slope", NULL, SLOPES, "kind=rounded", slope, 0, "slope_mV_per_pH"},
    {"electrode-slope", "USP", SLOPES, "source=USP", slope, 0, "slope_mV_per_pH"},
};
static const size_t checks_count = sizeof checks / sizeof *checks;

/* What was measured of one entry in the table of equations, of all its checks. */
static double measured_of[64][EQUATION_CHECKS];

static bool selected(const struct table *t, size_t row, const char *conditions)
{
    for (const char *at = conditions; *at;) {
        size_t length = strcspn(at, " ");
        const char *equals = strchr(at, '=');
        char column[32] = "";
        memcpy(column, at, (size_t)(equals - at));
        size_t begins = length - (size_t)(equals - at) - 1;
        if (strncmp(table_text(t, row, column), equals + 1, begins) != 0)
            return false;
        at += length + (at[length] == ' ');
    }
    return true;
}

struct outcome {
    size_t rows, worst_row;
    double worst, mean;
};

/* Every row within the tolerance; what the rows came to. */
static struct outcome run(const struct check *check, const struct table *t)
{
    struct outcome o = {0, 0, 0, 0};
    double sum = 0;
    for (size_t row = 0; row < t->rows; row++) {
        if (!selected(t, row, check->rows))
            continue;
        double off = check->residual(t, row), tolerance = check->tolerance;
        if (check->printed)
            tolerance = table_half_digit(table_text(t, row, check->printed));
        /* the published digit itself may have been rounded from the middle of two */
        if (!(fabs(off) <= tolerance * 1.002))
            fail_msg("%s:%zu: %s is off by %g, more than %g", t->path, t->lines[row],
                     check->equation, off, tolerance);
        if (fabs(off) >= fabs(o.worst)) {
            o.worst = off;
            o.worst_row = row;
        }
        sum += off;
        o.rows++;
    }
    if (!o.rows)
        fail_msg("%s: no row with %s", t->path, check->rows);
    o.mean = sum / (double)o.rows;
    return o;
}

/* Where the check stands in the table of equations; a check that is not in it fails. */
static void entry_of(const struct check *check, size_t *equation, size_t *at)
{
    const struct equation *e = equations_named(check->equation);
    if (!e)
        fail_msg("no equation is named %s", check->equation);
    *equation = (size_t)(e - equations);
    for (*at = 0; *at < EQUATION_CHECKS && e->checks[*at].against; ++*at)
        if (strncmp(e->checks[*at].against, check->against, strlen(check->against)) == 0)
            return;
    fail_msg("%s: nothing against %s in the table of equations", e->name, check->against);
}

static void every_row_of_every_table(void **state)
{
    (void)state;
    for (size_t i = 0; i < checks_count; i++) {
        const struct check *check = &checks[i];
        struct table t = table_read(check->file);
        struct outcome o = run(check, &t);
        printf("note: %s, %s: %zu rows, mean %+.2g, worst %+.2g at %s:%zu\n", check->equation,
               check->against ? check->against : "as computed", o.rows, o.mean, o.worst,
               strrchr(t.path, '/') + 1, t.lines[o.worst_row]);
        fflush(stdout);
        if (check->against) {
            size_t equation, at;
            entry_of(check, &equation, &at);
            measured_of[equation][at] = fmax(measured_of[equation][at], fabs(o.worst));
        }
        table_free(&t);
    }
}

/* The table of equations states what was measured: no less, and not idly more. */
static void the_stated_errors_are_true(void **state)
{
    (void)state;
    assert_true(equations_count <= sizeof measured_of / sizeof *measured_of);
    for (size_t i = 0; i < equations_count; i++) {
        const struct equation_check *stated = equations[i].checks;
        for (size_t k = 0; k < EQUATION_CHECKS && stated[k].against; k++)
            if (!(measured_of[i][k] <= stated[k].worst && 2 * measured_of[i][k] > stated[k].worst))
                fail_msg("%s against %s: %g is stated, %g measured", equations[i].name,
                         stated[k].against, stated[k].worst, measured_of[i][k]);
    }
}

static double mean_of(const char *file, double (*residual)(const struct table *, size_t))
{
    struct table t = table_read(file);
    double sum = 0;
    for (size_t row = 0; row < t.rows; row++)
        sum += residual(&t, row);
    sum /= (double)t.rows;
    table_free(&t);
    return sum;
}

/* Single beers scatter; the series as a whole must not lean. */
static void means_of_measured_series(void **state)
{
    (void)state;
    static const struct {
        const char *title, *file;
        double (*residual)(const struct table *, size_t);
        double most;
    } rows[] = {
        {"alcohol of beers, % by mass", USDA, usda_alcohol, 0.15},
        {"original of beers, P", USDA, usda_wort, 0.15},
        {"chart of carbon dioxide, vol", CO2_BEER, co2_chart, 0.04},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        double mean = mean_of(rows[i].file, rows[i].residual);
        if (!(fabs(mean) <= rows[i].most))
            fail_msg("%s: mean %g", rows[i].title, mean);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_row_of_every_table),
        cmocka_unit_test(the_stated_errors_are_true),
        cmocka_unit_test(means_of_measured_series),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
