/*
 * fits        Times fits of curves: a line for each, SHAPE READINGS MICROSECONDS SQUARES, the last
 *             the sum of squares left; "-" where the readings are too few for the shape.
 * fits data   The readings that were fitted: SHAPE READINGS, then hours, then Plato, each a line.
 *
 * The readings are those of a made-up course, with noise, on a scale of 0.1 P.
 */
#include "../unit/noise.h"
#include "curve.h"

#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>
#include <time.h>

enum { MOST = 150 };

static const struct {
    const char *name;
    enum curve_shape shape;
    double theta[CURVE_PARAMETERS];
} rows[] = {
    {"exponential", CURVE_EXPONENTIAL, {12, 2.5, 30, 0, 0, 0}},
    {"logistic", CURVE_LOGISTIC, {12, 2.5, 50, -2.4, 0, 0}},
    {"asymmetric", CURVE_ASYMMETRIC, {12, 2.5, 50, -2.4, 0.7, 0}},
    {"monod", CURVE_MONOD, {12, 2.5, 50, -2.4, -1.9, 1.8}},
};

static const size_t sizes[] = {8, 21, 150};

static void make_readings(size_t row, size_t n, double *hours, double *plato)
{
    struct noise noise = {row * 1000 + n};
    struct curve truth = {.shape = rows[row].shape};
    memcpy(truth.fit.theta, rows[row].theta, sizeof rows[row].theta);
    for (size_t i = 0; i < n; i++) {
        hours[i] = 160.0 * (double)i / (double)(n - 1);
        plato[i] = curve_plato(&truth, hours[i]) + 0.05 * noise_normal(&noise);
        plato[i] = round(10 * plato[i]) / 10;
    }
}

static double now_us(void)
{
    struct timespec t;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
    return 1e6 * (double)t.tv_sec + (double)t.tv_nsec / 1e3;
}

/* The least of ten rounds, each of many fits. NAN if a fit fails. */
static double time_fit(size_t row, size_t n, const double *hours, const double *plato, double *rss)
{
    enum { ROUNDS = 10, FITS = 200 };
    const struct curve_options options = {.noise_sd = 0.1, .noise_dof = 5};
    double best = INFINITY;
    for (int round = 0; round < ROUNDS; round++) {
        double start = now_us();
        for (int fit = 0; fit < FITS; fit++) {
            struct curve curve;
            if (curve_fit(rows[row].shape, hours, plato, n, &options, &curve) != FIT_CONVERGED)
                return NAN;
            *rss = curve.fit.rss;
        }
        best = fmin(best, (now_us() - start) / FITS);
    }
    return best;
}

static void print_values(const double *values, size_t n)
{
    for (size_t i = 0; i < n; i++)
        printf("%.6f%c", values[i], i + 1 < n ? ' ' : '\n');
}

int main(int argc, char **argv)
{
    int data = argc > 1 && strcmp(argv[1], "data") == 0;
    double hours[MOST], plato[MOST];
    for (size_t row = 0; row < sizeof rows / sizeof *rows; row++) {
        for (size_t i = 0; i < sizeof sizes / sizeof *sizes; i++) {
            make_readings(row, sizes[i], hours, plato);
            printf("%s %zu", rows[row].name, sizes[i]);
            if (data) {
                printf("\n");
                print_values(hours, sizes[i]);
                print_values(plato, sizes[i]);
            } else {
                double rss = NAN, us = time_fit(row, sizes[i], hours, plato, &rss);
                if (isnan(us))
                    printf(" - -\n");
                else
                    printf(" %.1f %.9g\n", us, rss);
            }
        }
    }
    return 0;
}
