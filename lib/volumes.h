/*
 * Volumes: how full a tank is, what beer shrinks to when it is cooled, what is lost on the way,
 * and the extract in a volume, which is what adds up when brews are mixed.
 *
 * Volumes are in hL (those of one call could be in any one unit, but for the kg of extract). A
 * volume is 0 or more and finite; outside the stated range: NAN.
 */
#ifndef GYLE_VOLUMES_H
#define GYLE_VOLUMES_H

#include <stddef.h>

/* % of the capacity that is full; above 100 when the tank holds more than it should. */
double volumes_fill_percent(double hl, double capacity_hl);

/* The share of the capacity that is gas, 0..1; NAN when the tank is over full. */
double volumes_headspace(double hl, double capacity_hl);

/*
 * The volume of wort or beer at another temperature, -3..40 C: that of a sucrose solution of the
 * same gravity (extract.h). Below 0 C it is taken as at 0 C. Alcohol makes beer shrink a little
 * more than that, of the order of 0.1 % in 20 K: not corrected, since no table of it was at hand.
 */
double volumes_at(double hl, double plato, double from_celsius, double to_celsius);

/* What is lost between two volumes, and as % of the first; negative when the second is larger. */
double volumes_loss(double hl_before, double hl_after);
double volumes_loss_percent(double hl_before, double hl_after);

/* kg of extract in wort measured at 20 C. */
double volumes_extract_kg(double hl, double plato);

/* Plato of brews mixed: the extract of all over the mass of all. NAN when there is no volume. */
double volumes_mixed_plato(const double *hl, const double *plato, size_t count);

/* Plato after `kg` of pure extract (sugar) went into a wort. */
double volumes_plato_with(double hl, double plato, double kg);

#endif
