/*
 * Findings and rules as text for people (at most 72 columns, to be read in a mail) or as TSV.
 * Errors of the output are left for ferror().
 */
#ifndef GYLE_ANOMALY_TEXT_H
#define GYLE_ANOMALY_TEXT_H

#include "anomaly.h"

#include <stdio.h>

enum { ANOMALY_WIDTH = 72 };

/* A row for each finding, in the order given. */
void anomaly_write_tsv(FILE *out, const struct anomaly_book *book,
                       const struct anomaly_findings *findings);

/* Grouped: the meters, then the tanks (those with an alarm first) in walking order, then the
 * plant. What was acknowledged takes one line. */
void anomaly_write_text(FILE *out, const struct anomaly_book *book,
                        const struct anomaly_findings *findings);

/* One line each, the gravest first. */
void anomaly_write_short(FILE *out, const struct anomaly_book *book,
                         const struct anomaly_findings *findings);

/* One rule at length, and all of them as a list. */
void anomaly_write_rule(FILE *out, struct arena *arena, enum anomaly_rule rule);
void anomaly_write_rules(FILE *out, struct arena *arena, bool tsv);

#endif
