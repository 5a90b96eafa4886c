#include "equations.h"

#include <string.h>

#define BALLING      "Balling, coefficients from memory"
#define BALLING_USED "0..30 P, checked 9..21 P"

const struct equation equations[] = {
    {
        .name = "water",
        .gives = "density of water, kg/m3",
        .form = "999.974950 (1 - (t - 3.983035)^2 (t + 301.797) / (522528.9 (t + 69.34881)))",
        .source = "Tanaka et al. 2001, Metrologia 38:301",
        .range = "0..40 C",
        .status = EQUATION_CONFIRMED,
        .checks = {{"IAPWS-95", 0.0013, "kg/m3"},
                   {"water measured at 4 C and 16 C, uncertainty 0.0008", 0.0010, "kg/m3"},
                   {"CRC Handbook, an older edition, 5 decimals of g/mL", 0.0075, "kg/m3"}},
    },
    {
        .name = "water-icumsa",
        .gives = "density of water under the equation of sucrose, kg/m3",
        .form = "(999.83952 + 16.952577 t - 7.9905127e-3 t^2 - 46.241757e-6 t^3 + "
                "105.84601e-9 t^4 - 281.03006e-12 t^5) / (1 + 16.887236e-3 t)",
        .source = "Bettin and Spieweck, ITS-90, in IP Standard Methods 1998, Appendix G",
        .range = "0..40 C",
        .status = EQUATION_CONFIRMED,
        .checks = {{"IP Standard Methods 1998, the row of 0 C", 0.0005, "kg/m3"},
                   {"Tanaka et al. 2001", 0.0039, "kg/m3"}},
    },
    {
        .name = "sucrose",
        .gives = "density of a solution of w g of sucrose in 1 g, kg/m3; P = 100 w, Bx = P",
        .form =
            "water-icumsa + b w + x c w + x^2 d w + x^3 e w + x^4 f w, x = (t - 20) / 100, each "
            "a polynomial in w from w^1: b 385.1761 135.3705 40.9299 -3.9643 13.4853 -17.2890; "
            "c -46.2720 -7.1720 1.1597 5.1126 17.5254; d 59.7712 7.2491 12.3630 -35.4791; "
            "e -47.2207 -21.6977 27.6301; f 18.3184 12.3081",
        .source = "ICUMSA SPS-4, in Bubnik et al. 1995, Sugar Technologists Manual, p. 164",
        .range = "-4..40 P (below 0 the same polynomial, as a scale of density), 0..40 C",
        .status = EQUATION_CONFIRMED,
        .checks = {{"CRC Handbook, 102nd ed., 0.5..30 %, 20 C, rounded to 0.1", 0.08, "kg/m3"},
                   {"Plato's normal table, 0..34 %, 15 C and 20 C", 0.13, "kg/m3"}},
    },
    {
        .name = "sg",
        .gives = "SG in air at t against water at t (20/20 unless said), and Plato from it",
        .form = "(sucrose - 1.2) / (water-icumsa - 1.2); solved for w by Newton's method",
        .source = "the equation of sucrose, air of 1.2 kg/m3",
        .range = "-4..40 P, about 0.985..1.179 SG",
        .status = EQUATION_DERIVED,
        .checks = {{"NBS C440 by the cubic fitted to it, 0..30 P", 0.019, "P"},
                   {"ASBC cubic (coefficients from memory), 0..30 P", 0.013, "P"},
                   {"Buhl's cubic, 0..30 P", 0.013, "P"},
                   {"Plato's normal table, 0..34 P, 15 C and 20 C", 0.027, "P"}},
    },
    {
        .name = "hydrometer",
        .gives = "extract of a sample that is not at the hydrometer's temperature t_ref",
        .form = "sucrose at t = (sucrose at t_ref of the P read) / (1 + 25e-6 (t - t_ref))",
        .source = "the equation of sucrose; cubic expansion of glass by ISO 1768:1975",
        .range = "-4..40 P, 0..40 C, t_ref 20 C or 60 F or any of 0..40 C",
        .status = EQUATION_DERIVED,
    },
    {
        .name = "refractometer-wort",
        .gives = "extract of unfermented wort",
        .form = "Bx / factor; factor 1.04 unless given",
        .source = "common practice, from memory; find the factor against a hydrometer",
        .range = "0..40 Bx, factor 0.9..1.2",
        .status = EQUATION_FROM_MEMORY,
    },
    {
        .name = "refractometer-beer",
        .gives = "apparent extract of beer whose original is known",
        .form = "AE such that Bx / factor = RE + 0.44 A",
        .source = "refractive indices of weak solutions, from memory; about 0.3 P at 4 % alcohol",
        .range = "0..40 Bx, original 0..30 P",
        .status = EQUATION_FROM_MEMORY,
    },
    {
        .name = "real-extract",
        .gives = "real extract, P",
        .form = "0.1808 OE + 0.8192 AE",
        .source = BALLING,
        .range = BALLING_USED,
        .status = EQUATION_FROM_MEMORY,
        .checks = {{"Cutaia et al. 2009, means of series of beers, calculated there", 0.19, "P"}},
    },
    {
        .name = "alcohol-by-mass",
        .gives = "alcohol, g in 100 g",
        .form = "(OE - RE) / (2.0665 - 0.010665 OE)",
        .source = BALLING,
        .range = BALLING_USED,
        .status = EQUATION_FROM_MEMORY,
        .checks = {{"USDA Bulletin 493, 1917, measured beers", 0.38, "% w/w"},
                   {"Cutaia et al. 2009, means of series of beers", 0.11, "% w/w"}},
    },
    {
        .name = "ethanol",
        .gives = "density of p g of ethanol in 1 g with water, 20 C, kg/m3",
        .form = "998.20123 - 192.9769495 p + 389.1238958 p^2 - 1668.103923 p^3 + 13522.15441 p^4 - "
                "88292.78388 p^5 + 306287.4042 p^6 - 613838.1234 p^7 + 747017.2998 p^8 - "
                "547846.1354 p^9 + 223446.0334 p^10 - 39032.85426 p^11",
        .source = "OIML R 22, 1975",
        .range = "0..100 % by mass",
        .status = EQUATION_CONFIRMED,
        .checks = {{"CRC Handbook, 102nd ed., 0.5..20 %, rounded to 0.1", 0.11, "kg/m3"}},
    },
    {
        .name = "alcohol-by-volume",
        .gives = "alcohol, mL in 100 mL at 20 C",
        .form = "A (sucrose at 20 C of AE) / 789.239, which is ethanol of p = 1",
        .source = "the equations of sucrose and ethanol",
        .range = BALLING_USED,
        .status = EQUATION_DERIVED,
    },
    {
        .name = "original",
        .gives = "original extract from alcohol and real extract, P",
        .form = "100 (2.0665 A + RE) / (100 + 1.0665 A)",
        .source = BALLING,
        .range = BALLING_USED,
        .status = EQUATION_FROM_MEMORY,
        .checks = {{"Cutaia et al. 2009, means of series of beers", 0.24, "P"},
                   {"USDA Bulletin 493, 1917, measured beers and their worts", 0.6, "P"}},
    },
    {
        .name = "apparent-fermentation",
        .gives = "apparent degree of fermentation, %",
        .form = "100 (OE - AE) / OE",
        .source = "definition",
        .range = "original 0..30 P",
        .status = EQUATION_DERIVED,
    },
    {
        .name = "real-fermentation",
        .gives = "real degree of fermentation, %",
        .form = "100 (OE - RE) / OE / (1 - 0.005161 RE)",
        .source = BALLING,
        .range = BALLING_USED,
        .status = EQUATION_FROM_MEMORY,
    },
    {
        .name = "energy",
        .gives = "energy, kcal in 100 mL; in 355 mL times 3.55",
        .form = "SG (6.9 A + 4.0 (RE - 0.1))",
        .source = "coefficients from memory",
        .range = BALLING_USED,
        .status = EQUATION_FROM_MEMORY,
    },
    {
        .name = "co2-volume",
        .gives = "vol of carbon dioxide (litres at 0 C and 1 atm in a litre) from g/L",
        .form = "22.2605 / 44.0095 g/L, or g/L / 1.9770",
        .source = "molar volume of the real gas as in IUPAC-NIST SRD 106",
        .range = "0 and up",
        .status = EQUATION_CONFIRMED,
    },
    {
        .name = "co2-beer",
        .gives = "carbon dioxide in beer at rest, g/L, and the pressure from it",
        .form = "10 p exp(-10.73797 + 2617.25 / T)",
        .source = "of the kind that MEBAK gives, coefficients from memory",
        .range = "-2..30 C, up to 10 bar absolute; checked 30..46 F",
        .status = EQUATION_FROM_MEMORY,
        .checks = {{"a trade magazine's chart, 1994, 30..46 F", 0.09, "vol"}},
    },
    {
        .name = "co2-water",
        .gives = "mole fraction x of carbon dioxide in water, and g/L from it",
        .form = "x = phi p / H, p and H in MPa, ln H = -6.8346 + 1.2817e4/T - 3.7668e6/T^2 + "
                "2.997e8/T^3; ln phi = B p / (R T), B the second virial coefficient",
        .source = "Carroll, Slupsky and Mather 1991, J. Phys. Chem. Ref. Data 20:1201; B after "
                  "Tsonopoulos 1974, from memory",
        .range = "0..40 C, up to 10 bar absolute",
        .status = EQUATION_FROM_MEMORY,
        .checks = {{"CRC Handbook, p. 8-90, 0..40 C, 5..100 kPa", 0.0018, "of 1000 x"},
                   {"Murray and Riley 1971, measured", 2.1, "%"},
                   {"Gerecke 1969, measured", 2.9, "%"}},
    },
    {
        .name = "atmosphere",
        .gives = "pressure of the standard atmosphere at h metres, bar",
        .form = "1.01325 (1 - 0.0065 h / 288.15)^5.25588",
        .source = "ISO 2533:1975, coefficients from memory",
        .range = "-500..5000 m",
        .status = EQUATION_FROM_MEMORY,
    },
    {
        .name = "co2-from-extract",
        .gives = "carbon dioxide that the extract still to ferment makes, g/L of beer",
        .form = "0.9565 / 2.0665 per g fermented, (OE - RE) / (1 - 0.005161 RE) g of 100 g of wort",
        .source = BALLING,
        .range = BALLING_USED,
        .status = EQUATION_FROM_MEMORY,
    },
    {
        .name = "closed-tank",
        .gives = "gauge pressure that a closed tank comes to, bar",
        .form = "p_now + co2-from-extract / (co2-beer per bar + head space per beer, times "
                "100 44.0095 / (R T))",
        .source = "ideal gas over the equation of beer, one temperature",
        .range = "-2..30 C, head space 0..95 %, up to 10 bar absolute",
        .status = EQUATION_DERIVED,
    },
    {
        .name = "priming",
        .gives = "sugar to reach a carbonation, g/L",
        .form = "(wanted - present) / yield; yield 0.4629 sucrose, 0.4397 glucose, 0.3997 glucose "
                "monohydrate",
        .source = BALLING "; carried over by molar mass",
        .range = "0 and up",
        .status = EQUATION_FROM_MEMORY,
    },
    {
        .name = "phthalate",
        .gives = "pH of potassium hydrogen phthalate, 0.05 mol/kg",
        .form = "2073.44 / T - 13.3270 + 0.045199 T - 3.4846e-5 T^2",
        .source = "Hetzer et al. 1977, J. Res. Natl. Bur. Stand. 81A:21",
        .range = "0..60 C",
        .status = EQUATION_CONFIRMED,
        .checks = {{"JIS Z 8802, table", 0.0065, "pH"},
                   {"NIST buffers, instrument manual, table", 0.0102, "pH"},
                   {"IUPAC 2002, from memory", 0.0102, "pH"}},
    },
    {
        .name = "buffers",
        .gives = "pH of the other buffers",
        .form = "straight between the printed rows, every 5 C",
        .source = "JIS Z 8802; American technical buffers of an instrument manual; borax and the "
                  "buffer of 7.01 from memory",
        .range = "0..40 C, technical buffers 0..50 C",
        .status = EQUATION_CONFIRMED,
        .checks = {{"NIST buffers, instrument manual, table", 0.0051, "pH"},
                   {"IUPAC 2002, from memory", 0.0051, "pH"}},
    },
    {
        .name = "electrode-slope",
        .gives = "slope of a perfect electrode, mV/pH",
        .form = "1000 R T ln 10 / F",
        .source = "Nernst; exact constants of the SI, 2019",
        .range = "0..100 C",
        .status = EQUATION_CONFIRMED,
        .checks = {{"USP, 25 C", 0.0010, "mV/pH"}},
    },
    {
        .name = "electrode-ph",
        .gives = "pH from mV, by two buffers",
        .form = "7 - (mV - offset) / (slope % / 100 electrode-slope)",
        .source = "straight line through two buffers, turned about pH 7 with temperature",
        .range = "pH 0..14, 0..100 C, buffers 1 pH apart or more",
        .status = EQUATION_DERIVED,
    },
    {
        .name = "hydrogen-ratio",
        .gives = "how many times the hydrogen ions",
        .form = "10^(pH from - pH to)",
        .source = "definition of pH",
        .range = "pH 0..14",
        .status = EQUATION_DERIVED,
    },
    {
        .name = "contraction",
        .gives = "volume at another temperature",
        .form = "V (sucrose at t1) / (sucrose at t2)",
        .source = "the equation of sucrose; the alcohol's own contraction is left out",
        .range = "-3..40 C (below 0 as at 0)",
        .status = EQUATION_DERIVED,
    },
    {
        .name = "mixing",
        .gives = "extract of brews mixed, P",
        .form = "100 (sum of extract) / (sum of mass), mass = V (sucrose at 20 C)",
        .source = "balance of mass",
        .range = "-4..40 P",
        .status = EQUATION_DERIVED,
    },
};
const size_t equations_count = sizeof equations / sizeof *equations;

const struct equation *equations_named(const char *name)
{
    for (size_t i = 0; i < equations_count; i++)
        if (strcmp(equations[i].name, name) == 0)
            return &equations[i];
    return NULL;
}

const char *equations_status(enum equation_status status)
{
    static const char *const names[] = {"confirmed", "from memory", "derived"};
    return names[status];
}
