/*
 * Extract: what is dissolved in wort, in grams in 100 g, as the solution of sucrose of the same
 * density has it. Its scales are Plato (Brix too: both are taken as % by mass), SG and density.
 *
 * One equation stands behind all of them: ICUMSA SPS-4, the density of sucrose solutions (Bubnik,
 * Kadlec, Urban and Bruhns 1995, Sugar Technologists Manual, p. 164), with water by Bettin and
 * Spieweck (water.h). The inverse is solved to the last digits, so each pair of functions leads
 * there and back, and 0 P is exactly 1 SG.
 *
 * Range: -4..40 P (about 0.985..1.179 SG), 0..40 C; anything else gives NAN. Beer holds alcohol
 * and can be lighter than water; there is no sucrose below 0 P, where the scale is only a name
 * for a density. It is continued as the same polynomial (0.988 SG is -3.11 P), without a step
 * or a bend at 0; the cubics used in the trade do the same and agree within 0.005 P there.
 *
 * SG is apparent: weighed in air (of 1.2 kg/m3) against water of the same temperature. SG without
 * a temperature is 20/20: both at 20 C.
 */
#ifndef GYLE_EXTRACT_H
#define GYLE_EXTRACT_H

#define EXTRACT_LOWEST_PLATO  (-4.0)
#define EXTRACT_HIGHEST_PLATO 40.0

/* The temperatures that instruments are made for, in C. */
#define EXTRACT_20C 20.0
#define EXTRACT_60F (140.0 / 9.0)

/* SG 20/20 in air. */
double extract_sg_from_plato(double plato);
double extract_plato_from_sg(double sg);

/* kg/m3 at 20 C, in vacuum. */
double extract_density_from_plato(double plato);
double extract_plato_from_density(double kg_m3);

/* kg/m3 of a solution of `plato` at another temperature; and what solution has that density. */
double extract_density_at(double plato, double celsius);
double extract_plato_from_density_at(double kg_m3, double celsius);

/* SG in air at a temperature against water of that temperature: EXTRACT_60F gives SG 60/60 F. */
double extract_sg_at(double plato, double celsius);
double extract_plato_from_sg_at(double sg, double celsius);

/*
 * A hydrometer made for `reference_celsius` read `plato_read` in a sample of another temperature:
 * the extract of the sample. The density on the scale is that of the sample times
 * 1 + 25e-6 (sample - reference), the glass having grown (cubic expansion of glass by
 * ISO 1768:1975). A scale in SG is first read as Plato by extract_plato_from_sg_at(sg, reference).
 */
double extract_hydrometer(double plato_read, double sample_celsius, double reference_celsius);

/* The other way: what that hydrometer shows in a sample of `plato`. */
double extract_hydrometer_reading(double plato, double sample_celsius, double reference_celsius);

#endif
