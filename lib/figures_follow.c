#include "figures_follow.h"

#include "acidity.h"
#include "alcohol.h"
#include "carbonation.h"
#include "extract.h"
#include "refractometer.h"
#include "volumes.h"

#include <math.h>

static double same(const double *x)
{
    return x[0];
}

static double hydrometer(const double *x)
{
    return extract_hydrometer(x[0], x[1], x[2]);
}

static double hydrometer_sg(const double *x)
{
    return extract_hydrometer(extract_plato_from_sg_at(x[0], x[2]), x[1], x[2]);
}

static double refractometer_of_wort(const double *x)
{
    return refractometer_wort(x[0], x[1]);
}

static double refractometer_of_beer(const double *x)
{
    return refractometer_beer(x[0], x[1], x[2]);
}

static double mass_from_volume(const double *x)
{
    return alcohol_mass_from_volume(x[0], x[1]);
}

static double original(const double *x)
{
    return alcohol_original(x[0], x[1]);
}

static double original_from_apparent(const double *x)
{
    return alcohol_original_from_apparent(x[0], x[1]);
}

static double real_extract(const double *x)
{
    return alcohol_real_extract(x[0], x[1]);
}

static double by_mass(const double *x)
{
    return alcohol_by_mass(x[0], x[1]);
}

static double by_volume(const double *x)
{
    return alcohol_by_volume(x[0], x[1]);
}

static double apparent_fermentation(const double *x)
{
    return alcohol_apparent_fermentation(x[0], x[1]);
}

static double real_fermentation(const double *x)
{
    return alcohol_real_fermentation(x[0], x[1]);
}

static double kcal_100ml(const double *x)
{
    return alcohol_kcal_100ml(x[0], x[1], x[2]);
}

static double kcal_355ml(const double *x)
{
    return alcohol_kcal_355ml(x[0], x[1], x[2]);
}

static double declared(const double *x)
{
    return alcohol_declared(x[0], &alcohol_rules[(size_t)x[1]]);
}

static double atmosphere(const double *x)
{
    return carbonation_atmosphere(x[0]);
}

static double at_rest(const double *x)
{
    return carbonation_vol(carbonation_beer(x[0], x[1], x[2]));
}

static double water_at_rest(const double *x)
{
    return carbonation_vol(carbonation_water(x[0], x[1], x[2]));
}

static double pressure_for(const double *x)
{
    return carbonation_beer_pressure(x[0], carbonation_g_per_litre(x[1]), x[2]);
}

static double vol_to_come(const double *x)
{
    return carbonation_vol(carbonation_from_extract(x[0], x[1], x[2]));
}

static double headspace(const double *x)
{
    return 100 * volumes_headspace(x[0], x[1]);
}

/* limit, temp, headspace, pressure, atmosphere; original and gravity apart. */
static struct carbonation_tank tank(const double *x)
{
    return (struct carbonation_tank){.end_plato = x[0],
                                     .celsius = x[1],
                                     .headspace = x[2] / 100,
                                     .bar_gauge = x[3],
                                     .bar_atmosphere = x[4]};
}

static double closed_pressure(const double *x)
{
    struct carbonation_tank it = tank(x + 2);
    it.original_plato = x[0];
    it.now_plato = x[1];
    return carbonation_closed_pressure(&it);
}

static double closing_gravity(const double *x)
{
    struct carbonation_tank it = tank(x + 2);
    it.original_plato = x[0];
    return carbonation_closing_plato(&it, x[1]);
}

static double priming(const double *x, const char *sugar)
{
    return carbonation_priming(carbonation_g_per_litre(x[0]), carbonation_g_per_litre(x[1]),
                               carbonation_sugar_named(sugar));
}

static double sucrose(const double *x)
{
    return priming(x, "sucrose");
}

static double glucose(const double *x)
{
    return priming(x, "glucose");
}

static double glucose_monohydrate(const double *x)
{
    return priming(x, "glucose-monohydrate");
}

static double wort_for_priming(const double *x)
{
    double makes = carbonation_from_extract(x[2], x[2], x[3]);
    return 1000 * carbonation_priming_wort(carbonation_g_per_litre(x[0]),
                                           carbonation_g_per_litre(x[1]), makes);
}

static double fill(const double *x)
{
    return volumes_fill_percent(x[0], x[1]);
}

static double volume_cold(const double *x)
{
    return volumes_at(x[0], x[1], x[2], x[3]);
}

static double loss(const double *x)
{
    return volumes_loss(x[0], x[1]);
}

static double loss_percent(const double *x)
{
    return volumes_loss_percent(x[0], x[1]);
}

static double extract_kg(const double *x)
{
    return volumes_extract_kg(x[0], x[1]);
}

static double original_with(const double *x)
{
    return volumes_plato_with(x[0], x[1], x[2]);
}

static double buffer(const double *x)
{
    return acidity_buffer_ph(&acidity_buffers[(size_t)x[0]], x[1]);
}

static double perfect_slope(const double *x)
{
    return acidity_slope(x[0]);
}

/* mV in the buffers of 4 and 7, those buffers, temp. */
static struct acidity_calibration calibration(const double *x)
{
    double ph4 = acidity_buffer_ph(&acidity_buffers[(size_t)x[2]], x[4]);
    double ph7 = acidity_buffer_ph(&acidity_buffers[(size_t)x[3]], x[4]);
    return acidity_calibrate(ph4, x[0], ph7, x[1], x[4]);
}

static double slope(const double *x)
{
    return calibration(x).slope_percent;
}

static double offset(const double *x)
{
    return calibration(x).offset_mv;
}

static double ph_of_mv(const double *x)
{
    struct acidity_calibration by = {x[1], x[2]};
    return acidity_ph(&by, x[0], x[3]);
}

static double hydrogen_ratio(const double *x)
{
    return acidity_hydrogen_ratio(x[0], x[1]);
}

#define F(name) FIGURES_##name
#define HELD    "the beer holds as much already: nothing to add"
#define SWAPPED                                                                                    \
    "no electrode gives that: the mV must be higher in the buffer of 4, and the two buffers at "   \
    "least 1 pH apart"

const struct figures_derivation FIGURES_FOLLOW[] = {
    {F(WORT_EXTRACT),
     0,
     "refractometer-wort",
     refractometer_of_wort,
     {F(REFRACTOMETER), F(FACTOR)},
     NULL},
    {F(GRAVITY), 0, "hydrometer", hydrometer, {F(HYDROMETER), F(TEMP), F(REFERENCE)}, NULL},
    {F(GRAVITY), 0, "hydrometer", hydrometer_sg, {F(HYDROMETER_SG), F(TEMP), F(REFERENCE)}, NULL},
    {F(GRAVITY),
     0,
     "refractometer-beer",
     refractometer_of_beer,
     {F(REFRACTOMETER), F(FACTOR), F(ORIGINAL) | FIGURES_AS_GIVEN},
     NULL},

    {F(ABW),
     0,
     "alcohol-by-volume",
     mass_from_volume,
     {F(ABV) | FIGURES_AS_GIVEN, F(GRAVITY)},
     NULL},
    {F(ORIGINAL), 0, "original", original, {F(ABW), F(REAL_EXTRACT) | FIGURES_AS_GIVEN}, NULL},
    {F(ORIGINAL), 0, "original", original_from_apparent, {F(ABW), F(GRAVITY)}, NULL},
    {F(ORIGINAL_SG), 0, "sg", same, {F(ORIGINAL)}, NULL},
    {F(ORIGINAL_DENSITY), 0, "sucrose", same, {F(ORIGINAL)}, NULL},
    {F(GRAVITY_SG), 0, "sg", same, {F(GRAVITY)}, NULL},
    {F(GRAVITY_DENSITY), 0, "sucrose", same, {F(GRAVITY)}, NULL},
    {F(LIMIT_SG), 0, "sg", same, {F(LIMIT)}, NULL},
    {F(REAL_EXTRACT),
     FIGURES_FERMENTED,
     "real-extract",
     real_extract,
     {F(ORIGINAL), F(GRAVITY)},
     NULL},
    {F(ABW), FIGURES_FERMENTED, "alcohol-by-mass", by_mass, {F(ORIGINAL), F(REAL_EXTRACT)}, NULL},
    {F(ABV), FIGURES_FERMENTED, "alcohol-by-volume", by_volume, {F(ABW), F(GRAVITY)}, NULL},
    {F(ADF),
     FIGURES_FERMENTED,
     "apparent-fermentation",
     apparent_fermentation,
     {F(ORIGINAL), F(GRAVITY)},
     NULL},
    {F(RDF),
     FIGURES_FERMENTED,
     "real-fermentation",
     real_fermentation,
     {F(ORIGINAL), F(REAL_EXTRACT)},
     NULL},
    {F(ENERGY), 0, "energy", kcal_100ml, {F(ABW), F(REAL_EXTRACT), F(GRAVITY)}, NULL},
    {F(ENERGY_355), 0, "energy", kcal_355ml, {F(ABW), F(REAL_EXTRACT), F(GRAVITY)}, NULL},
    {F(DECLARED), 0, "alcohol-by-volume", declared, {F(ABV), F(DECLARE)}, NULL},

    {F(ATMOSPHERE), 0, "atmosphere", atmosphere, {F(ALTITUDE)}, NULL},
    {F(CARBONATION), 0, "co2-beer", at_rest, {F(TEMP), F(PRESSURE), F(ATMOSPHERE)}, NULL},
    {F(CARBONATION_MASS), 0, "co2-volume", same, {F(CARBONATION)}, NULL},
    {F(WATER_CARBONATION),
     FIGURES_QUIET,
     "co2-water",
     water_at_rest,
     {F(TEMP), F(PRESSURE) | FIGURES_AS_GIVEN, F(ATMOSPHERE)},
     NULL},
    {F(PRESSURE_TO_SET), 0, "co2-beer", pressure_for, {F(TEMP), F(WANTED), F(ATMOSPHERE)}, NULL},
    {F(PRESSURE_TO_SET),
     0,
     "co2-beer",
     pressure_for,
     {F(TEMP), F(CARBONATION) | FIGURES_AS_GIVEN, F(ATMOSPHERE)},
     NULL},

    {F(HEADSPACE),
     0,
     "closed-tank",
     headspace,
     {F(VOLUME), F(CAPACITY)},
     "the volume is over the capacity"},
    {F(TO_COME),
     FIGURES_FERMENTED,
     "co2-from-extract",
     vol_to_come,
     {F(ORIGINAL), F(GRAVITY), F(LIMIT)},
     NULL},
    {F(CLOSED_PRESSURE),
     FIGURES_FERMENTED,
     "closed-tank",
     closed_pressure,
     {F(ORIGINAL), F(GRAVITY), F(LIMIT), F(TEMP), F(HEADSPACE), F(PRESSURE), F(ATMOSPHERE)},
     NULL},
    {F(CLOSING_GRAVITY),
     FIGURES_MAY_FAIL,
     "closed-tank",
     closing_gravity,
     {F(ORIGINAL), F(PRESSURE_TO_SET), F(LIMIT), F(TEMP), F(HEADSPACE), F(PRESSURE), F(ATMOSPHERE)},
     "no gravity ends there: the pressure is above it already, or all the extract would not do"},
    {F(PRIMING_SUCROSE), FIGURES_MAY_FAIL, "priming", sucrose, {F(CARBONATION), F(WANTED)}, HELD},
    {F(PRIMING_GLUCOSE), FIGURES_QUIET, "priming", glucose, {F(CARBONATION), F(WANTED)}, HELD},
    {F(PRIMING_MONOHYDRATE),
     FIGURES_QUIET,
     "priming",
     glucose_monohydrate,
     {F(CARBONATION), F(WANTED)},
     HELD},
    {F(PRIMING_WORT),
     FIGURES_QUIET,
     "priming",
     wort_for_priming,
     {F(CARBONATION), F(WANTED), F(ORIGINAL), F(LIMIT)},
     HELD},

    {F(FILL), 0, "contraction", fill, {F(VOLUME), F(CAPACITY)}, NULL},
    {F(VOLUME_COLD),
     0,
     "contraction",
     volume_cold,
     {F(VOLUME), F(GRAVITY), F(TEMP), F(COLD)},
     NULL},
    {F(LOSS), 0, "contraction", loss, {F(VOLUME), F(PACKAGED)}, NULL},
    {F(LOSS_PERCENT), 0, "contraction", loss_percent, {F(VOLUME), F(PACKAGED)}, NULL},
    {F(EXTRACT_MASS), 0, "mixing", extract_kg, {F(VOLUME), F(ORIGINAL)}, NULL},
    {F(ORIGINAL_WITH),
     0,
     "mixing",
     original_with,
     {F(VOLUME), F(ORIGINAL) | FIGURES_AS_GIVEN, F(EXTRACT)},
     NULL},

    {F(BUFFER_PH), 0, "buffers", buffer, {F(BUFFER), F(TEMP)}, NULL},
    {F(PERFECT_SLOPE), 0, "electrode-slope", perfect_slope, {F(TEMP), F(BUFFER)}, NULL},
    {F(PERFECT_SLOPE), 0, "electrode-slope", perfect_slope, {F(TEMP), F(MV7), F(MV4)}, NULL},
    {F(SLOPE),
     0,
     "electrode-ph",
     slope,
     {F(MV4), F(MV7), F(BUFFER4), F(BUFFER7), F(TEMP)},
     SWAPPED},
    {F(OFFSET),
     FIGURES_QUIET,
     "electrode-ph",
     offset,
     {F(MV4), F(MV7), F(BUFFER4), F(BUFFER7), F(TEMP)},
     SWAPPED},
    {F(PH), 0, "electrode-ph", ph_of_mv, {F(MV), F(SLOPE), F(OFFSET), F(TEMP)}, NULL},
    {F(HYDROGEN_RATIO), 0, "hydrogen-ratio", hydrogen_ratio, {F(WORT_PH), F(PH)}, NULL},
};
const size_t FIGURES_FOLLOW_COUNT = sizeof FIGURES_FOLLOW / sizeof FIGURES_FOLLOW[0];

bool figures_needs(const struct figures *set, const struct figures_derivation *by, double *needs)
{
    for (size_t i = 0; i < FIGURES_MOST_NEEDS && by->needs[i] != FIGURES_NONE; i++) {
        int id = by->needs[i] & ~FIGURES_AS_GIVEN;
        bool as_given = (by->needs[i] & FIGURES_AS_GIVEN) != 0;
        int state = set->state[id];
        if (state == FIGURES_UNKNOWN && !isnan(set->assumed[id]))
            needs[i] = set->assumed[id];
        else if (state == FIGURES_GIVEN || (state == FIGURES_DERIVED && !as_given) ||
                 state == FIGURES_ASSUMED)
            needs[i] = set->value[id];
        else
            return false;
    }
    return true;
}
