#include "carbonation.h"

#include "alcohol.h"
#include "extract.h"
#include "water.h"

#include <math.h>
#include <stdbool.h>
#include <string.h>

static const double kelvin = 273.15;
static const double gas_j_mol_k = 8.31446261815324;
static const double water_g_mol = 18.01528;

/* g of carbon dioxide per g of extract fermented. */
#define YIELD (ALCOHOL_CO2_MADE / ALCOHOL_EXTRACT_USED)

/* g/mol. Extract is reckoned as disaccharide; glucose already holds the water that splits one. */
#define DISACCHARIDE  342.30
#define GLUCOSE       180.156
#define GLUCOSE_WATER 198.171

static const struct carbonation_sugar SUGARS[] = {
    {"sucrose", YIELD},
    {"glucose", YIELD *DISACCHARIDE / (2 * GLUCOSE)},
    {"glucose-monohydrate", YIELD *DISACCHARIDE / (2 * GLUCOSE_WATER)},
};

static bool is_content(double g_per_litre)
{
    return g_per_litre >= 0 && isfinite(g_per_litre);
}

static bool is_pressure(double bar_absolute)
{
    return bar_absolute >= 0 && bar_absolute <= CARBONATION_HIGHEST_BAR;
}

double carbonation_vol(double g_per_litre)
{
    if (!is_content(g_per_litre))
        return NAN;
    return g_per_litre * CARBONATION_MOLAR_VOLUME / CARBONATION_MOLAR_MASS;
}

double carbonation_g_per_litre(double vol)
{
    if (!is_content(vol))
        return NAN;
    return vol * CARBONATION_MOLAR_MASS / CARBONATION_MOLAR_VOLUME;
}

double carbonation_atmosphere(double altitude_m)
{
    if (!(altitude_m >= -500 && altitude_m <= 5000))
        return NAN;
    return CARBONATION_SEA_LEVEL * pow(1 - 0.0065 * altitude_m / 288.15, 5.25588);
}

/* g/L in beer per bar. */
static double beer_per_bar(double celsius)
{
    if (!(celsius >= -2 && celsius <= 30))
        return NAN;
    return 10 * exp(-10.73797 + 2617.25 / (celsius + kelvin));
}

/* Absolute to gauge, if within the range. */
static double gauge_or_nan(double bar_absolute, double bar_atmosphere)
{
    return is_pressure(bar_absolute) ? bar_absolute - bar_atmosphere : NAN;
}

double carbonation_beer(double celsius, double bar_gauge, double bar_atmosphere)
{
    double bar_absolute = bar_gauge + bar_atmosphere;
    return is_pressure(bar_absolute) ? beer_per_bar(celsius) * bar_absolute : NAN;
}

double carbonation_beer_pressure(double celsius, double g_per_litre, double bar_atmosphere)
{
    return gauge_or_nan(g_per_litre / beer_per_bar(celsius), bar_atmosphere);
}

/* Henry's constant of carbon dioxide in water, MPa. */
static double henry(double t)
{
    return exp(-6.8346 + 1.2817e4 / t - 3.7668e6 / (t * t) + 2.997e8 / (t * t * t));
}

/* ln of the fugacity coefficient per MPa: second virial coefficient over R T. */
static double ln_fugacity_per_mpa(double t)
{
    const double critical_k = 304.13, critical_mpa = 7.3773, acentric = 0.2239;
    double r = critical_k / t, r2 = r * r, r3 = r2 * r, r8 = r3 * r3 * r2;
    double simple = 0.1445 - 0.330 * r - 0.1385 * r2 - 0.0121 * r3 - 0.000607 * r8;
    double shape = 0.0637 + 0.331 * r2 - 0.423 * r3 - 0.008 * r8;
    return (simple + acentric * shape) * critical_k / (critical_mpa * t);
}

static bool is_water(double celsius)
{
    return celsius >= WATER_COLDEST && celsius <= WATER_WARMEST;
}

double carbonation_water_fraction(double celsius, double bar_co2)
{
    if (!is_water(celsius) || !is_pressure(bar_co2))
        return NAN;
    double t = celsius + kelvin, mpa = bar_co2 / 10;
    return mpa * exp(ln_fugacity_per_mpa(t) * mpa) / henry(t);
}

/* mol of water in a litre. */
static double water_mol(double celsius)
{
    return water_density(celsius) / water_g_mol;
}

double carbonation_water(double celsius, double bar_gauge, double bar_atmosphere)
{
    double x = carbonation_water_fraction(celsius, bar_gauge + bar_atmosphere);
    return x / (1 - x) * water_mol(celsius) * CARBONATION_MOLAR_MASS;
}

/* g of extract fermented of 100 g of wort, at an apparent extract. */
static double fermented(double original_plato, double apparent_plato)
{
    double real = alcohol_real_extract(original_plato, apparent_plato);
    double alcohol = alcohol_by_mass(original_plato, real);
    double mass = 100 / (1 + (ALCOHOL_EXTRACT_USED - 1) / 100 * alcohol);
    return ALCOHOL_EXTRACT_USED * alcohol / 100 * mass;
}

double carbonation_from_extract(double original_plato, double now_plato, double end_plato)
{
    double gone = fermented(original_plato, now_plato);
    double will_be = fermented(original_plato, end_plato);
    double mass = 100 - (1 - 1 / ALCOHOL_EXTRACT_USED) * gone;
    double beer = extract_density_from_plato(now_plato); /* g in a litre */
    double made = YIELD * (will_be - gone) / mass * beer;
    return made < 0 ? 0 : made;
}

const struct carbonation_sugar *carbonation_sugar_named(const char *name)
{
    for (size_t i = 0; i < sizeof SUGARS / sizeof *SUGARS; i++)
        if (strcmp(SUGARS[i].name, name) == 0)
            return &SUGARS[i];
    return NULL;
}

/* What is missing, or NAN when more is there already. */
static double missing(double now, double wanted)
{
    return is_content(now) && is_content(wanted) && wanted >= now ? wanted - now : NAN;
}

double carbonation_priming(double g_per_litre_now, double g_per_litre_wanted,
                           const struct carbonation_sugar *sugar)
{
    return missing(g_per_litre_now, g_per_litre_wanted) / sugar->g_co2;
}

double carbonation_priming_wort(double g_per_litre_now, double g_per_litre_wanted,
                                double g_per_litre_wort)
{
    if (!(g_per_litre_wort > g_per_litre_wanted))
        return NAN;
    return missing(g_per_litre_now, g_per_litre_wanted) / (g_per_litre_wort - g_per_litre_wanted);
}

/* g per litre of beer that one more bar holds, in the beer and in the head space together. */
static double held_per_bar(const struct carbonation_tank *tank)
{
    double h = tank->headspace;
    if (!(h >= 0 && h <= 0.95))
        return NAN;
    /* Pa of a bar times m3 of a litre: 100 J */
    double gas = 100 * CARBONATION_MOLAR_MASS / (gas_j_mol_k * (tank->celsius + kelvin));
    return beer_per_bar(tank->celsius) + gas * h / (1 - h);
}

double carbonation_closed_pressure(const struct carbonation_tank *tank)
{
    if (!is_pressure(tank->bar_gauge + tank->bar_atmosphere))
        return NAN;
    double made = carbonation_from_extract(tank->original_plato, tank->now_plato, tank->end_plato);
    double bar_gauge = tank->bar_gauge + made / held_per_bar(tank);
    return bar_gauge + tank->bar_atmosphere > CARBONATION_HIGHEST_BAR ? INFINITY : bar_gauge;
}

double carbonation_closing_plato(const struct carbonation_tank *tank, double bar_gauge_wanted)
{
    struct carbonation_tank trial = *tank;
    if (!is_pressure(bar_gauge_wanted + tank->bar_atmosphere) ||
        !(bar_gauge_wanted > tank->bar_gauge))
        return NAN;
    double low = tank->end_plato, high = tank->original_plato;
    trial.now_plato = high;
    if (!(carbonation_closed_pressure(&trial) >= bar_gauge_wanted))
        return NAN;
    /* it rises with the gravity: halve down to the last digits */
    while (high - low > 1e-12) {
        trial.now_plato = low + (high - low) / 2;
        if (carbonation_closed_pressure(&trial) < bar_gauge_wanted)
            low = trial.now_plato;
        else
            high = trial.now_plato;
    }
    return high;
}
