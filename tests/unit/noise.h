/*
 * Random numbers for simulations in tests: the same ones on every machine. xorshift64* (Vigna
 * 2016); normal ones by the polar method of Marsaglia & Bray 1964.
 */
#ifndef GYLE_TESTS_NOISE_H
#define GYLE_TESTS_NOISE_H

#include <math.h>
#include <stdint.h>

struct noise {
    uint64_t state; /* any value but 0 */
};

/* Even on 0..1, both ends excluded. */
static inline double noise_even(struct noise *noise)
{
    uint64_t x = noise->state;
    x ^= x >> 12;
    x ^= x << 25;
    x ^= x >> 27;
    noise->state = x;
    return ((double)((x * UINT64_C(2685821657736338717)) >> 11) + 0.5) * 0x1p-53;
}

/* Normal, mean 0 and standard deviation 1. */
static inline double noise_normal(struct noise *noise)
{
    for (;;) {
        double u = 2 * noise_even(noise) - 1, v = 2 * noise_even(noise) - 1;
        double square = u * u + v * v;
        if (square < 1 && square > 0)
            return u * sqrt(-2 * log(square) / square);
    }
}

#endif
