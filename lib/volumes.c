#include "volumes.h"

#include "extract.h"

#include <math.h>
#include <stdbool.h>

static const double coldest = -3, warmest = 40; /* C */
static const double litres_per_hl = 100;

static bool is_volume(double hl)
{
    return hl >= 0 && isfinite(hl);
}

static double mass_kg(double hl, double plato)
{
    return hl * litres_per_hl * extract_density_from_plato(plato) / 1000;
}

static double extract_or_nan(double plato)
{
    return plato >= EXTRACT_LOWEST_PLATO && plato <= EXTRACT_HIGHEST_PLATO ? plato : NAN;
}

static double density(double plato, double celsius)
{
    if (!(celsius >= coldest && celsius <= warmest))
        return NAN;
    return extract_density_at(plato, fmax(celsius, 0));
}

double volumes_fill_percent(double hl, double capacity_hl)
{
    if (!is_volume(hl) || !is_volume(capacity_hl) || capacity_hl == 0)
        return NAN;
    return 100 * hl / capacity_hl;
}

double volumes_headspace(double hl, double capacity_hl)
{
    double full = volumes_fill_percent(hl, capacity_hl) / 100;
    return full <= 1 ? 1 - full : NAN;
}

double volumes_at(double hl, double plato, double from_celsius, double to_celsius)
{
    if (!is_volume(hl))
        return NAN;
    return hl * density(plato, from_celsius) / density(plato, to_celsius);
}

double volumes_loss(double hl_before, double hl_after)
{
    if (!is_volume(hl_before) || !is_volume(hl_after))
        return NAN;
    return hl_before - hl_after;
}

double volumes_loss_percent(double hl_before, double hl_after)
{
    if (hl_before == 0)
        return NAN;
    return 100 * volumes_loss(hl_before, hl_after) / hl_before;
}

double volumes_extract_kg(double hl, double plato)
{
    if (!is_volume(hl))
        return NAN;
    return mass_kg(hl, plato) * plato / 100;
}

double volumes_mixed_plato(const double *hl, const double *plato, size_t count)
{
    double mass = 0, extract = 0;
    for (size_t i = 0; i < count; i++) {
        mass += is_volume(hl[i]) ? mass_kg(hl[i], plato[i]) : NAN;
        extract += volumes_extract_kg(hl[i], plato[i]);
    }
    return mass > 0 ? 100 * extract / mass : NAN;
}

double volumes_plato_with(double hl, double plato, double kg)
{
    if (!is_volume(hl) || hl == 0 || !(kg >= 0))
        return NAN;
    return extract_or_nan(100 * (volumes_extract_kg(hl, plato) + kg) / (mass_kg(hl, plato) + kg));
}
