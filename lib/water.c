#include "water.h"

#include <math.h>
#include <stdbool.h>

static bool in_range(double celsius)
{
    return celsius >= WATER_COLDEST && celsius <= WATER_WARMEST;
}

double water_density(double celsius)
{
    if (!in_range(celsius))
        return NAN;
    double from_densest = celsius - 3.983035;
    double fall = from_densest * from_densest * (celsius + 301.797);
    return 999.974950 * (1 - fall / (522528.9 * (celsius + 69.34881)));
}

double water_density_icumsa(double celsius)
{
    static const double a[] = {999.83952,     16.952577,    -7.9905127e-3,
                               -46.241757e-6, 105.84601e-9, -281.03006e-12};
    if (!in_range(celsius))
        return NAN;
    double t = celsius;
    double above = a[0] + t * (a[1] + t * (a[2] + t * (a[3] + t * (a[4] + t * a[5]))));
    return above / (1 + 16.887236e-3 * t);
}
