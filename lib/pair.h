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
    /* Taylor to r^13, |r| up to 0.347: 4e-18 are left out. */
    pair third = (1 / 40320.0 + r * (1 / 362880.0)) + r2 * (1 / 3628800.0 + r * (1 / 39916800.0)) +
                 r4 * (1 / 479001600.0 + r * (1 / 6227020800.0));
    pair second = (1 / 24.0 + r * (1 / 120.0)) + r2 * (1 / 720.0 + r * (1 / 5040.0)) + r4 * third;
    pair first = r2 * (0.5 + r * (1 / 6.0)) + r4 * second;
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
    /* log m = 2 artanh t, |t| up to 0.172: 3e-17 are left out. */
    pair t = (m - 1) / (m + 1), t2 = t * t, t4 = t2 * t2;
    pair series = (2 / 3.0 + t2 * (2 / 5.0)) + t4 * (2 / 7.0 + t2 * (2 / 9.0)) +
                  t4 * t4 *
                      ((2 / 11.0 + t2 * (2 / 13.0)) + t4 * (2 / 15.0 + t2 * (2 / 17.0)) +
                       t4 * t4 * (2 / 19.0 + t2 * (2 / 21.0)));
    return k * ln2_high + (2 * t + (t * t2 * series + k * ln2_low));
#else
    return (pair){log(x[0]), log(x[1])};
#endif
}

#endif
