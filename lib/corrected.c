#include "corrected.h"

#include "extract.h"
#include "refractometer.h"

#include <math.h>

const char *const CORRECTED_NAMES[] = {
    [CORRECTED_NOT] = "",
    [CORRECTED_HYDROMETER] = "hydrometer",
    [CORRECTED_REFRACTOMETER] = "refractometer",
};

/* Plato on the scale of a hydrometer: one in SG holds for the temperature that it is made for. */
static double on_scale(const struct figure *figure, double reference_celsius)
{
    if (figure->unit != NULL && str_is(str_of(figure->unit->name), "SG"))
        return extract_plato_from_sg_at(figure->written, reference_celsius);
    return figure->value;
}

struct corrected corrected_gravity(const struct figure *figure, const struct cellar_meter *meter,
                                   double celsius, double original_plato)
{
    struct corrected as_read = {figure->value, CORRECTED_NOT};
    if (meter == NULL)
        return as_read;
    if (meter->kind == METER_REFRACTOMETER) {
        double factor =
            figure_is_exact(&meter->factor) ? meter->factor.value : REFRACTOMETER_WORT_FACTOR;
        double plato = original_plato == 0
                           ? refractometer_wort(figure->value, factor)
                           : refractometer_beer(figure->value, factor, original_plato);
        return (struct corrected){plato, CORRECTED_REFRACTOMETER};
    }
    if (meter->kind != METER_HYDROMETER || !figure_is_exact(&meter->reference) || isnan(celsius))
        return as_read;
    double reference = meter->reference.value;
    return (struct corrected){extract_hydrometer(on_scale(figure, reference), celsius, reference),
                              CORRECTED_HYDROMETER};
}

double corrected_to_compare(const struct figure *figure, const struct cellar_meter *meter,
                            const struct figure *original)
{
    if (meter == NULL || meter->kind != METER_REFRACTOMETER)
        return figure->value;
    double original_plato = figure_is_exact(original) ? original->value : (double)NAN;
    return corrected_gravity(figure, meter, NAN, original_plato).plato;
}
