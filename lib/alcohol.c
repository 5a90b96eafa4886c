#include "alcohol.h"

#include "extract.h"

#include <math.h>
#include <string.h>

/* Real extract of apparent extract, and the term in the original that makes up the rest. */
static const double real_of_apparent = 0.8192;
static const double real_of_original = 0.1808;

/* What 100 g of wort lose per g of alcohol, over 100. */
static const double lost = (ALCOHOL_EXTRACT_USED - 1) / 100;

const struct alcohol_rule alcohol_rules[] = {
    {"nearest-0.1", 10, false},
    {"cut-0.1", 10, true},
    {"nearest-0.01", 100, false},
    {"cut-0.01", 100, true},
};
const size_t alcohol_rules_count = sizeof alcohol_rules / sizeof *alcohol_rules;

static bool is_original(double plato)
{
    return plato > 0 && plato <= ALCOHOL_HIGHEST_ORIGINAL;
}

static bool is_extract(double plato)
{
    return plato >= EXTRACT_LOWEST_PLATO && plato <= EXTRACT_HIGHEST_PLATO;
}

static bool is_percent(double percent)
{
    return percent >= 0 && percent <= 100;
}

/* A computed original may miss the end of the range by its last digits. */
static double original_or_nan(double plato)
{
    if (plato > ALCOHOL_HIGHEST_ORIGINAL && plato < ALCOHOL_HIGHEST_ORIGINAL + 1e-9)
        return ALCOHOL_HIGHEST_ORIGINAL;
    return is_original(plato) ? plato : NAN;
}

double alcohol_real_extract(double original_plato, double apparent_plato)
{
    if (!is_original(original_plato) || !is_extract(apparent_plato))
        return NAN;
    /* so written, nothing fermented is exactly the original */
    return apparent_plato + real_of_original * (original_plato - apparent_plato);
}

double alcohol_by_mass(double original_plato, double real_plato)
{
    if (!is_original(original_plato) || !is_extract(real_plato) || real_plato > original_plato)
        return NAN;
    return (original_plato - real_plato) / (ALCOHOL_EXTRACT_USED - lost * original_plato);
}

double alcohol_by_volume(double by_mass, double apparent_plato)
{
    if (!is_percent(by_mass))
        return NAN;
    double beer = extract_density_from_plato(apparent_plato);
    return by_mass * beer / alcohol_ethanol_density(100);
}

double alcohol_mass_from_volume(double by_volume, double apparent_plato)
{
    if (!is_percent(by_volume))
        return NAN;
    double beer = extract_density_from_plato(apparent_plato);
    return by_volume * alcohol_ethanol_density(100) / beer;
}

double alcohol_from_gravity(double original_plato, double apparent_plato)
{
    double real = alcohol_real_extract(original_plato, apparent_plato);
    return alcohol_by_volume(alcohol_by_mass(original_plato, real), apparent_plato);
}

double alcohol_original(double by_mass, double real_plato)
{
    if (!is_percent(by_mass) || !is_extract(real_plato))
        return NAN;
    return original_or_nan((ALCOHOL_EXTRACT_USED * by_mass + real_plato) / (1 + lost * by_mass));
}

double alcohol_original_from_apparent(double by_mass, double apparent_plato)
{
    if (!is_percent(by_mass) || !is_extract(apparent_plato))
        return NAN;
    double above = ALCOHOL_EXTRACT_USED * by_mass + real_of_apparent * apparent_plato;
    return original_or_nan(above / (1 + lost * by_mass - real_of_original));
}

double alcohol_apparent_fermentation(double original_plato, double apparent_plato)
{
    if (!is_original(original_plato) || !is_extract(apparent_plato))
        return NAN;
    return 100 * (original_plato - apparent_plato) / original_plato;
}

double alcohol_real_fermentation(double original_plato, double real_plato)
{
    if (!is_original(original_plato) || !is_extract(real_plato))
        return NAN;
    return 100 * (original_plato - real_plato) / original_plato / (1 - 0.005161 * real_plato);
}

double alcohol_kcal_100ml(double by_mass, double real_plato, double apparent_plato)
{
    if (!is_percent(by_mass) || !is_extract(real_plato))
        return NAN;
    return extract_sg_from_plato(apparent_plato) * (6.9 * by_mass + 4.0 * (real_plato - 0.1));
}

double alcohol_kcal_355ml(double by_mass, double real_plato, double apparent_plato)
{
    return 3.55 * alcohol_kcal_100ml(by_mass, real_plato, apparent_plato);
}

double alcohol_ethanol_density(double percent_mass)
{
    static const double a[] = {998.20123,   -192.9769495, 389.1238958, -1668.103923,
                               13522.15441, -88292.78388, 306287.4042, -613838.1234,
                               747017.2998, -547846.1354, 223446.0334, -39032.85426};
    if (!is_percent(percent_mass))
        return NAN;
    double p = percent_mass / 100, density = 0;
    for (size_t i = sizeof a / sizeof *a; i-- > 0;)
        density = density * p + a[i];
    return density;
}

const struct alcohol_rule *alcohol_rule_named(const char *name)
{
    for (size_t i = 0; i < alcohol_rules_count; i++)
        if (strcmp(alcohol_rules[i].name, name) == 0)
            return &alcohol_rules[i];
    return NULL;
}

double alcohol_declared(double by_volume, const struct alcohol_rule *rule)
{
    if (!is_percent(by_volume))
        return NAN;
    /* 4.05 and 4.35 are a little less than written in a double: they are meant as written */
    double steps = by_volume * rule->steps_per_percent + 1e-9;
    return floor(rule->cut ? steps : steps + 0.5) / rule->steps_per_percent;
}
