#include "extract.h"

#include "water.h"

#include <math.h>
#include <stdbool.h>
#include <stddef.h>

enum { POWERS = 6 };

static const double air_kg_m3 = 1.2;
static const double glass_per_kelvin = 25e-6;

/* A figure computed from the end of the range may miss it by its last digits. */
static const double border_slack = 1e-9;

/* SPS-4: coefficients of w, w^2 ... (w = mass fraction) times x^0, x^1 ..., x = (t - 20) / 100. */
static const double sps4[POWERS][5] = {
    {385.1761, -46.2720, 59.7712, -47.2207, 18.3184},
    {135.3705, -7.1720, 7.2491, -21.6977, 12.3081},
    {40.9299, 1.1597, 12.3630, 27.6301, 0},
    {-3.9643, 5.1126, -35.4791, 0, 0},
    {13.4853, 17.5254, 0, 0, 0},
    {-17.2890, 0, 0, 0, 0},
};

/* The equation at one temperature: water, and what w, w^2 ... add to it. */
struct solution {
    double water;
    double of_power[POWERS];
};

static struct solution solution_at(double celsius)
{
    struct solution s = {.water = water_density_icumsa(celsius)};
    double x = (celsius - 20) / 100;
    for (size_t i = 0; i < POWERS; i++) {
        const double *k = sps4[i];
        s.of_power[i] = k[0] + x * (k[1] + x * (k[2] + x * (k[3] + x * k[4])));
    }
    return s;
}

/* kg/m3 above water. */
static double excess(const struct solution *s, double w)
{
    const double *k = s->of_power;
    return w * (k[0] + w * (k[1] + w * (k[2] + w * (k[3] + w * (k[4] + w * k[5])))));
}

static double excess_slope(const struct solution *s, double w)
{
    const double *k = s->of_power;
    return k[0] + w * (2 * k[1] + w * (3 * k[2] + w * (4 * k[3] + w * (5 * k[4] + w * 6 * k[5]))));
}

static bool plato_in_range(double plato)
{
    return plato >= EXTRACT_LOWEST_PLATO && plato <= EXTRACT_HIGHEST_PLATO;
}

static double plato_or_nan(double plato)
{
    if (plato_in_range(plato))
        return plato;
    if (plato_in_range(plato + border_slack))
        return EXTRACT_LOWEST_PLATO;
    if (plato_in_range(plato - border_slack))
        return EXTRACT_HIGHEST_PLATO;
    return NAN;
}

/* Newton's method; the first guess is within 0.3 % of the answer, so it is there in four steps. */
static double plato_from_excess(const struct solution *s, double kg_m3_above_water)
{
    if (!(kg_m3_above_water > -25 && kg_m3_above_water < 250)) /* NAN too */
        return NAN;
    double w = kg_m3_above_water / (s->of_power[0] + 0.36 * kg_m3_above_water);
    for (int i = 0; i < 8; i++) {
        double step = (excess(s, w) - kg_m3_above_water) / excess_slope(s, w);
        w -= step;
        if (fabs(step) < 1e-10) /* the next one would be of its square */
            break;
    }
    return plato_or_nan(100 * w);
}

double extract_density_at(double plato, double celsius)
{
    if (!plato_in_range(plato))
        return NAN;
    struct solution s = solution_at(celsius);
    return s.water + excess(&s, plato / 100);
}

double extract_plato_from_density_at(double kg_m3, double celsius)
{
    struct solution s = solution_at(celsius);
    return plato_from_excess(&s, kg_m3 - s.water);
}

double extract_sg_at(double plato, double celsius)
{
    if (!plato_in_range(plato))
        return NAN;
    struct solution s = solution_at(celsius);
    return 1 + excess(&s, plato / 100) / (s.water - air_kg_m3);
}

double extract_plato_from_sg_at(double sg, double celsius)
{
    struct solution s = solution_at(celsius);
    return plato_from_excess(&s, (sg - 1) * (s.water - air_kg_m3));
}

double extract_sg_from_plato(double plato)
{
    return extract_sg_at(plato, EXTRACT_20C);
}

double extract_plato_from_sg(double sg)
{
    return extract_plato_from_sg_at(sg, EXTRACT_20C);
}

double extract_density_from_plato(double plato)
{
    return extract_density_at(plato, EXTRACT_20C);
}

double extract_plato_from_density(double kg_m3)
{
    return extract_plato_from_density_at(kg_m3, EXTRACT_20C);
}

static double glass_growth(double sample_celsius, double reference_celsius)
{
    return 1 + glass_per_kelvin * (sample_celsius - reference_celsius);
}

double extract_hydrometer(double plato_read, double sample_celsius, double reference_celsius)
{
    double scale = extract_density_at(plato_read, reference_celsius);
    double density = scale / glass_growth(sample_celsius, reference_celsius);
    return extract_plato_from_density_at(density, sample_celsius);
}

double extract_hydrometer_reading(double plato, double sample_celsius, double reference_celsius)
{
    double density = extract_density_at(plato, sample_celsius);
    double scale = density * glass_growth(sample_celsius, reference_celsius);
    return extract_plato_from_density_at(scale, reference_celsius);
}
