#include "plot_earlier.h"

#include <math.h>

/* The row at an hour; before the first day's end gravity goes straight from the original on. */
static bool row_at(const struct baseline *baseline, enum baseline_figure figure, double hours,
                   struct baseline_row *row)
{
    if (baseline_at(baseline, figure, hours, row))
        return true;
    const struct baseline_row *from = baseline_row(baseline, BASELINE_WHOLE, BASELINE_ORIGINAL, 0);
    const struct baseline_row *to = baseline_row(baseline, BASELINE_DAY, figure, 1);
    if (figure != BASELINE_GRAVITY || from == NULL || to == NULL || !(hours >= 0 && hours < 24))
        return false;
    double share = hours / 24;
    row->median = from->median + share * (to->median - from->median);
    row->low = from->low + share * (to->low - from->low);
    row->high = from->high + share * (to->high - from->high);
    return true;
}

bool plot_earlier(const struct baseline *baseline, int reads, double day, struct plot_point *point)
{
    static const enum baseline_figure FIGURES[PLOT_QUANTITIES] = {
        [READS_GRAVITY] = BASELINE_GRAVITY,
        [READS_PH] = BASELINE_PH,
        [READS_TEMP] = BASELINE_TEMP,
        [READS_PRESSURE] = BASELINE_FIGURES,
    };
    struct baseline_row row;
    if (FIGURES[reads] == BASELINE_FIGURES || !row_at(baseline, FIGURES[reads], 24 * day, &row) ||
        !(row.low <= row.high))
        return false;
    *point = (struct plot_point){day, row.median, row.low, row.high};
    return true;
}
