#include "refractometer.h"

#include "alcohol.h"
#include "extract.h"

#include <math.h>

double refractometer_wort(double brix_read, double wort_factor)
{
    if (!(brix_read >= 0 && brix_read <= EXTRACT_HIGHEST_PLATO))
        return NAN;
    if (!(wort_factor >= 0.9 && wort_factor <= 1.2))
        return NAN;
    double plato = brix_read / wort_factor;
    return plato <= EXTRACT_HIGHEST_PLATO ? plato : NAN;
}

double refractometer_beer(double brix_read, double wort_factor, double original_plato)
{
    double read = refractometer_wort(brix_read, wort_factor);
    /* per Plato fermented: alcohol by mass, and what it adds to the reading */
    double alcohol = alcohol_by_mass(original_plato, 0) / original_plato;
    double shown = REFRACTOMETER_ALCOHOL_SHARE * alcohol;
    if (isnan(read) || isnan(alcohol))
        return NAN;
    if (read >= original_plato)
        return read;
    double real = (read - shown * original_plato) / (1 - shown);
    /* real extract is linear in the apparent one */
    double at_none = alcohol_real_extract(original_plato, 0);
    double per_plato = alcohol_real_extract(original_plato, 1) - at_none;
    double apparent = (real - at_none) / per_plato;
    return apparent >= EXTRACT_LOWEST_PLATO ? apparent : NAN;
}
