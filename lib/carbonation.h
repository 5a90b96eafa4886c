/*
 * Carbon dioxide: how much beer or water holds under a pressure, what fermentation will still
 * make, and what a closed tank comes to.
 *
 * Content is in g/L; a volume ("vol") is a litre of gas at 0 C and 1 atm in a litre of beer, of
 * 22.2605 L/mol, the real gas's molar volume: 1.9770 g/L. Pressures are in bar, gauge or
 * absolute as named; the atmosphere is an argument, since the tank's gauge starts from it.
 *
 * Every function gives what is there at equilibrium: beer at rest for long enough. Fresh from
 * fermentation it holds more. The gas is taken as pure carbon dioxide: its water vapour (0.9 kPa
 * at 5 C, 2.3 kPa at 20 C) is not taken off.
 *
 * Outside the range stated at each function: NAN.
 */
#ifndef GYLE_CARBONATION_H
#define GYLE_CARBONATION_H

#include <stddef.h>

#define CARBONATION_MOLAR_MASS   44.0095 /* g/mol */
#define CARBONATION_MOLAR_VOLUME 22.2605 /* L/mol at 0 C, 1 atm: real gas, IUPAC-NIST SRD 106 */

#define CARBONATION_SEA_LEVEL 1.01325 /* bar */

/* Where the laws of this module are used: pressures up to 10 bar absolute. */
#define CARBONATION_HIGHEST_BAR 10.0

/* vol and g/L, 0 and up. */
double carbonation_vol(double g_per_litre);
double carbonation_g_per_litre(double vol);

/* bar of the standard atmosphere at an altitude of -500..5000 m: ISO 2533:1975, coefficients
 * from memory. The weather moves it by 0.03 bar. */
double carbonation_atmosphere(double altitude_m);

/*
 * g/L in beer, -2..30 C, and the gauge pressure that keeps it (below 0: under the atmosphere's).
 * 10 p exp(-10.73797 + 2617.25 / T), p absolute: of the kind that MEBAK gives, coefficients from
 * memory. Its only check is a trade chart of 30..46 F (-1..8 C), within 0.09 vol; above that it
 * falls from 96 to 92 % of water's.
 */
double carbonation_beer(double celsius, double bar_gauge, double bar_atmosphere);
double carbonation_beer_pressure(double celsius, double g_per_litre, double bar_atmosphere);

/*
 * The same for water, 0..40 C. Carroll, Slupsky and Mather 1991, J. Phys. Chem. Ref. Data
 * 20:1201 (273..433 K, up to 1 MPa), with the fugacity of the gas by a second virial coefficient
 * after Tsonopoulos 1974 (coefficients from memory).
 */
double carbonation_water(double celsius, double bar_gauge, double bar_atmosphere);

/* Mole fraction in water under carbon dioxide of bar_co2 (absolute), which the above stand on. */
double carbonation_water_fraction(double celsius, double bar_co2);

/*
 * g in a litre of the beer as it is now that fermentation from one apparent extract to a lower
 * one makes, by Balling's balance (alcohol.h): 0.9565 g per 2.0665 g of extract, from memory.
 * 0 when nothing is left to ferment. About 2 vol per Plato.
 */
double carbonation_from_extract(double original_plato, double now_plato, double end_plato);

/* What 1 g of a sugar for priming gives. Balling's yield, carried over by molar mass. */
struct carbonation_sugar {
    const char *name;
    double g_co2;
};

/* The sugar of that name, or NULL. */
const struct carbonation_sugar *carbonation_sugar_named(const char *name);

/* g of the sugar per litre of beer from what it holds to what is wanted; NAN if it holds more. */
double carbonation_priming(double g_per_litre_now, double g_per_litre_wanted,
                           const struct carbonation_sugar *sugar);

/* Litres of wort per litre of beer, for wort that itself makes `g_per_litre_wort`. */
double carbonation_priming_wort(double g_per_litre_now, double g_per_litre_wanted,
                                double g_per_litre_wort);

/* A tank about to be closed, all valves shut, at one temperature from then on. */
struct carbonation_tank {
    double original_plato;
    double now_plato; /* apparent */
    double end_plato; /* apparent, where it will stop */
    double celsius;   /* -2..30 */
    double headspace; /* share of the tank that is gas, 0..0.95 */
    double bar_gauge; /* now */
    double bar_atmosphere;
};

/*
 * Gauge pressure that it comes to: what is still made is shared by beer (carbonation_beer) and
 * head space (ideal gas). INFINITY when that is more than CARBONATION_HIGHEST_BAR, so that any
 * test against a rated pressure fails it; NAN when an argument is out of range.
 */
double carbonation_closed_pressure(const struct carbonation_tank *tank);

/*
 * The apparent extract at which to close it, to end at `bar_gauge_wanted`; its own now_plato is
 * not read. NAN when even the whole original would not do, or the pressure is there already.
 */
double carbonation_closing_plato(const struct carbonation_tank *tank, double bar_gauge_wanted);

#endif
