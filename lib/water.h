/*
 * The density of pure, air-free water at 1 atm, by two published equations that differ by less
 * than 0.004 kg/m3: one is the best figure for water itself, the other is the one that the
 * sucrose equation of extract.h was fitted with. Outside 0..40 C both give NAN.
 */
#ifndef GYLE_WATER_H
#define GYLE_WATER_H

#define WATER_COLDEST 0.0  /* C */
#define WATER_WARMEST 40.0 /* C */

/*
 * kg/m3 of water of the composition of sea water (SMOW).
 * Tanaka, Girard, Davis, Peuto and Bignell 2001, Metrologia 38:301.
 */
double water_density(double celsius);

/*
 * kg/m3 of water as the ICUMSA equation of sucrose solutions takes it.
 * Bettin and Spieweck, ITS-90, as printed in IP Standard Methods 1998, Appendix G; uncertainty
 * 0.006 kg/m3.
 */
double water_density_icumsa(double celsius);

#endif
