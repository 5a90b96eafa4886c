/*
 * Curves fitted to real fermentations, against the fits of other programs (tables and sources in
 * tests/reference/fermentation). Series without a stated licence are read from $GYLE_SERIES.
 */
#include "curve.h"
#include "table.h"

/* A series as long as the longest there is. */
enum { MOST = 4096 };

struct series {
    size_t n;
    double hours[MOST], gravity[MOST];
};

/* The readings from hour 0 to `to`; false if the file is not to be had. */
static bool read_series(const char *name, double to, struct series *series)
{
    const char *folder =
        strncmp(name, "redwine", 7) == 0 ? "tests/reference/fermentation" : getenv("GYLE_SERIES");
    if (!folder)
        return false;
    char path[512];
    snprintf(path, sizeof path, "%s/%s.tsv", folder, name);
    struct table table = table_read(path);
    series->n = 0;
    for (size_t row = 0; row < table.rows; row++) {
        double hours = table_number(&table, row, "hours");
        double gravity = table_number(&table, row, "gravity");
        if (isnan(gravity) || !(hours >= 0 && hours <= to))
            continue;
        assert_true(series->n < MOST);
        series->hours[series->n] = hours;
        series->gravity[series->n++] = gravity;
    }
    table_free(&table);
    return true;
}

static double relative(double got, double expected)
{
    return fabs(got - expected) / fabs(expected);
}

static void logistic_as_fitted_by_r(void **state)
{
    (void)state;
    static struct series series;
    struct table table = table_read("tests/reference/fermentation/logistic_fits.tsv");
    size_t skipped = 0, compared = 0;
    double worst = 0;
    const struct curve_options options = {0};
    for (size_t row = 0; row < table.rows; row++) {
        const char *name = table_text(&table, row, "series");
        if (!read_series(name, table_number(&table, row, "to_h"), &series)) {
            skipped++;
            continue;
        }
        assert_true((double)series.n == table_number(&table, row, "n"));
        struct curve curve;
        enum fit_status status =
            curve_fit(CURVE_LOGISTIC, series.hours, series.gravity, series.n, &options, &curve);
        if (status != FIT_CONVERGED)
            fail_msg("%s: status %d", name, (int)status);
        const double *theta = curve.fit.theta;
        double rate = exp(theta[CURVE_LOG_RATE]);
        const struct {
            const char *head, *sd_head;
            double value, sd;
        } cells[] = {
            {"P0", "sd_P0", theta[CURVE_START], sqrt(curve.fit.covariance[0][0])},
            {"Pe", "sd_Pe", theta[CURVE_END], sqrt(curve.fit.covariance[1][1])},
            {"M_h", "sd_M", theta[CURVE_HALF], sqrt(curve.fit.covariance[2][2])},
            {"B_per_h", "sd_B", rate, rate * sqrt(curve.fit.covariance[3][3])},
        };
        for (size_t i = 0; i < sizeof cells / sizeof *cells; i++) {
            double sd = table_number(&table, row, cells[i].sd_head);
            double off = fabs(cells[i].value - table_number(&table, row, cells[i].head)) / sd;
            worst = fmax(worst, off);
            if (!(off <= 1e-4 && relative(cells[i].sd, sd) <= 1e-4))
                fail_msg("%s: %s %.8g, off by %.1e of its sd; sd %.8g", name, cells[i].head,
                         cells[i].value, off, cells[i].sd);
        }
        if (relative(curve.fit.residual_sd, table_number(&table, row, "residual_sd")) > 1e-6)
            fail_msg("%s: residual sd %.8g", name, curve.fit.residual_sd);
        compared++;
    }
    print_message("note: logistic against nls of R: %zu series, at most %.0e of an sd off\n",
                  compared, worst);
    if (skipped)
        print_message("note: skipped: %zu beer series, GYLE_SERIES names no folder\n", skipped);
    table_free(&table);
}

static void logistic_as_fitted_to_thinned_readings(void **state)
{
    (void)state;
    static struct series series;
    struct table table = table_read("tests/reference/fermentation/thinned_fits.tsv");
    /* Other readings of the same course: what leaving out every second one changes. */
    static const struct {
        const char *head;
        double limit;
    } limits[] = {{"P0", 0.1}, {"Pe", 0.06}, {"B_per_h", 0.002}, {"M_h", 0.35}};
    double worst = 0;
    for (size_t row = 0; row < table.rows; row++) {
        const char *name = table_text(&table, row, "series");
        if (!read_series(name, table_number(&table, row, "fitted_to_h"), &series)) {
            print_message("note: skipped: thinned fits, GYLE_SERIES names no folder\n");
            break;
        }
        struct curve curve;
        const struct curve_options options = {0};
        assert_int_equal(
            curve_fit(CURVE_LOGISTIC, series.hours, series.gravity, series.n, &options, &curve),
            FIT_CONVERGED);
        const double got[] = {curve.fit.theta[CURVE_START], curve.fit.theta[CURVE_END],
                              exp(curve.fit.theta[CURVE_LOG_RATE]), curve.fit.theta[CURVE_HALF]};
        for (size_t i = 0; i < 4; i++) {
            double off = fabs(got[i] - table_number(&table, row, limits[i].head));
            worst = fmax(worst, off / limits[i].limit);
            if (off > limits[i].limit)
                fail_msg("%s: %s %.4f", name, limits[i].head, got[i]);
        }
    }
    if (worst > 0)
        print_message("note: logistic against thinned fits: at most %.0f %% of the tolerance\n",
                      100 * worst);
    table_free(&table);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(logistic_as_fitted_by_r),
        cmocka_unit_test(logistic_as_fitted_to_thinned_readings),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
