/*
 * Two doubles at once, for sums over many readings: the compilers' vector types, which every
 * machine has, and the exponential and the logarithm on them. Header alone, so that the calls
 * disappear. Accuracy: about two units of the last digit, where the result is not subnormal.
 */
#ifndef GYLE_PAIR_H
#define GYLE_PAIR_H

#include <float.h>
#include <math.h>
#include <stdint.h>
#include <string.h>

/* Old x86 without vector registers passes these in another way than the new; no call leaves a file.
 */
#if defined(__GNUC__) && !defined(__clang__)
#pragma GCC diagnostic ignored "-Wpsabi"
#endif

typedef double pair __attribute__((vector_size(16)));
typedef int64_t pair_bits __attribute__((vector_size(16)));
typedef uint64_t pair_words __attribute__((vector_size(16))); /* which may run over */

static inline pair pair_of(double both)
{
    return (pair){both, both};
}

/* The two at `from`, which need not be aligned. */
static inline pair pair_load(const double *from)
{
    pair it;
    memcpy(&it, from, sizeof it);
    return it;
}

static inline void pair_store(double *to, pair it)
{
    memcpy(to, &it, sizeof it);
}

static inline double pair_sum(pair it)
{
    return it[0] + it[1];
}

/* a where a comparison held, else b. */
static inline pair pair_choose(pair_bits held, pair a, pair b)
{
    return (pair)((held & (pair_bits)a) | (~held & (pair_bits)b));
}

static inline pair pair_abs(pair x)
{
    return (pair)((pair_bits)x & INT64_MAX);
}

/* exp(x); beyond -700 and 700 that of these. NAN stays. Where the machine keeps more digits than a
 * double has, the steps below do not round as they must, and the C library's is taken. */
static inline pair pair_exp(pair x)
{
#if FLT_EVAL_METHOD == 0
    static const double log2_e = 0x1.71547652b82fep+0, round_up = 0x1.8p52;
    static const double ln2_high = 0x1.62e42fee00000p-1, ln2_low = 0x1.a39ef35793c76p-33;
    x = pair_choose(x > 700.0, pair_of(700), x);
    x = pair_choose(x < -700.0, pair_of(-700), x);
    /* x = k ln 2 + r: the low bits of `shifted` are k. */
    pair shifted = x * log2_e + round_up, k = shifted - round_up;
    pair r = (x - k * ln2_high) - k * ln2_low, r2 = r * r, r4 = r2 * r2;
    /* (exp r - 1 - r) / r^2 by Chebyshev, |r| up to 0.347: 2e-17 of exp r are left out. */
    pair third = (0x1.a019b90d2ae7ap-16 + r * 0x1.71de0dae63bb3p-19) +
                 r2 * (0x1.289185613a3d6p-22 + r * 0x1.af38a9b0ec855p-26);
    pair second = (0x1.5555555553d63p-5 + r * 0x1.11111111109b3p-7) +
                  r2 * (0x1.6c16c1788bd90p-10 + r * 0x1.a01a01a7c41d5p-13) + r4 * third;
    pair first = r2 * (0x1.0000000000001p-1 + r * 0x1.5555555555556p-3) + r4 * second;
    pair_words scale = ((pair_words)shifted << 52) + (UINT64_C(1023) << 52);
    return (1 + (r + first)) * (pair)scale;
#else
    return (pair){exp(fmin(fmax(x[0], -700), 700)), exp(fmin(fmax(x[1], -700), 700))};
#endif
}

/* log(x) of what is above 0, finite and not subnormal. */
static inline pair pair_log(pair x)
{
#if FLT_EVAL_METHOD == 0
    static const double ln2_high = 0x1.62e42fee00000p-1, ln2_low = 0x1.a39ef35793c76p-33;
    /* x = m 2^k with m from sqrt(1/2) to sqrt(2). */
    pair_bits exponent = ((pair_bits)x - INT64_C(0x3fe6a09e667f3bcd)) >> 52;
    pair m = (pair)((pair_words)x - ((pair_words)exponent << 52));
    /* A small integer as a double: in the low bits of 1.5 x 2^52. */
    pair k = (pair)(exponent + INT64_C(0x4338000000000000)) - 0x1.8p52;
    /* log m = 2 artanh t, (log m - 2 t) / t^3 by Chebyshev, |t| up to 0.172: 5e-18 of log m are
     * left out. */
    pair t = (m - 1) / (m + 1), t2 = t * t, t4 = t2 * t2;
    pair series =
        (0x1.5555555555558p-1 + t2 * 0x1.99999999952d7p-2) +
        t4 * (0x1.2492492df281ap-2 + t2 * 0x1.c71c62e3f11e6p-3) +
        t4 * t4 * (0x1.7462b51cb66b1p-3 + t2 * 0x1.39fe51a7c18f9p-3 + t4 * 0x1.2b5900de53b32p-3);
    return k * ln2_high + (2 * t + (t * t2 * series + k * ln2_low));
#else
    return (pair){log(x[0]), log(x[1])};
#endif
}

#endif
