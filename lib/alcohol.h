/*
 * What gravity says of alcohol: Balling's balance of fermentation. Of 2.0665 g of extract that
 * ferment, 1 g becomes alcohol, 0.9565 g carbon dioxide and 0.11 g yeast; hence all the figures
 * below. Extract is in Plato (g in 100 g), alcohol by mass in g in 100 g, by volume in mL in
 * 100 mL at 20 C.
 *
 * Balling's coefficients, and those of the real degree of fermentation and of energy, are from
 * memory: no primary text was at hand. What supports them is measured beer: 34 brews of 9..21 P
 * (Tolman and Riley 1917) within 0.4 g in 100 g of alcohol. They are the coefficients that the
 * trade uses everywhere, for weak and strong wort alike; beyond 9..21 P nothing here proves them.
 *
 * Range: original above 0 and up to 30 P, apparent and real extract -4..40 P. Outside it, and
 * where the beer would have more extract than its wort (there is no alcohol to speak of), the
 * alcohol is NAN.
 */
#ifndef GYLE_ALCOHOL_H
#define GYLE_ALCOHOL_H

#include <stdbool.h>
#include <stddef.h>

#define ALCOHOL_HIGHEST_ORIGINAL 30.0 /* P */

/* Per g of alcohol, in g: Balling, from memory. */
#define ALCOHOL_EXTRACT_USED 2.0665
#define ALCOHOL_CO2_MADE     0.9565
#define ALCOHOL_YEAST_MADE   0.11

/*
 * Lines drawn in 27 CFR 7.26 (text before 2022) for malt drinks, in % by volume: below 0.5 "non
 * alcoholic", below 2.5 "low" or "reduced alcohol". Compare the figure itself, not the declared
 * one.
 */
#define ALCOHOL_NONE_BELOW_ABV 0.5
#define ALCOHOL_LOW_BELOW_ABV  2.5

/* Real extract, as if the alcohol were taken out: 0.1808 original + 0.8192 apparent. */
double alcohol_real_extract(double original_plato, double apparent_plato);

/* Alcohol by mass: (original - real) / (2.0665 - 0.010665 original). */
double alcohol_by_mass(double original_plato, double real_plato);

/* By mass to by volume and back: the beer's density, which is what `apparent_plato` says, against
 * that of ethanol, both at 20 C. By mass 0..100. */
double alcohol_by_volume(double by_mass, double apparent_plato);
double alcohol_mass_from_volume(double by_volume, double apparent_plato);

/* The usual way, original and present gravity to alcohol by volume, in one step. */
double alcohol_from_gravity(double original_plato, double apparent_plato);

/* What the wort was: from alcohol by mass and real extract (the reverse of alcohol_by_mass), or
 * from alcohol by mass and the apparent extract. */
double alcohol_original(double by_mass, double real_plato);
double alcohol_original_from_apparent(double by_mass, double apparent_plato);

/* Apparent degree of fermentation, %. Negative when the gravity is above the original. */
double alcohol_apparent_fermentation(double original_plato, double apparent_plato);

/* Real degree of fermentation, %: the share of the extract that is gone, of the wort's mass.
 * 100 (original - real) / original / (1 - 0.005161 real). */
double alcohol_real_fermentation(double original_plato, double real_plato);

/* Energy in kcal: SG (6.9 alcohol by mass + 4.0 (real - 0.1)), in 100 mL; and in 355 mL. */
double alcohol_kcal_100ml(double by_mass, double real_plato, double apparent_plato);
double alcohol_kcal_355ml(double by_mass, double real_plato, double apparent_plato);

/* kg/m3 at 20 C of ethanol and water with `percent_mass` (0..100) of ethanol. OIML R 22, 1975. */
double alcohol_ethanol_density(double percent_mass);

/*
 * How a strength is written on a label: rounded (half up) or cut to a step. Which of them the law
 * of a place wants is for its user to know; none is the default.
 */
struct alcohol_rule {
    const char *name;
    double steps_per_percent;
    bool cut;
};
extern const struct alcohol_rule alcohol_rules[];
extern const size_t alcohol_rules_count;

/* The rule of that name, or NULL. */
const struct alcohol_rule *alcohol_rule_named(const char *name);

/* `by_volume` as declared by the rule; NAN below 0 and above 100. */
double alcohol_declared(double by_volume, const struct alcohol_rule *rule);

#endif
