/*
 * Figures inside sentences, in the units of the house: "2.4 P", or "1.009 SG" where the cellar
 * works so. Each appends to the buffer.
 */
#ifndef GYLE_WORDS_H
#define GYLE_WORDS_H

#include "cellar.h"
#include "str.h"

#include <stdint.h>

/* A value of a quantity, in the library's unit. */
void words_value(struct buf *buf, const struct cellar *cellar, enum quantity quantity,
                 double library);

/* A difference of gravity: how much `above_plato` more than `plato` is; never negative. */
void words_gravity_difference(struct buf *buf, const struct cellar *cellar, double plato,
                              double above_plato);

/* A limit that stands in the cellar file. */
void words_range(struct buf *buf, const struct cellar *cellar, enum quantity quantity,
                 const struct range *range);

/* low..high of a gravity, an open end left out where it is NAN; one figure where both are equal. */
void words_gravity_limit(struct buf *buf, const struct cellar *cellar, double low_plato,
                         double high_plato);

/* "20 Nov 07:51" in the cellar's zone. */
void words_time(struct buf *buf, const struct cellar *cellar, int64_t at);

/* "20 Nov". */
void words_day(struct buf *buf, const struct cellar *cellar, int64_t at);

#endif
