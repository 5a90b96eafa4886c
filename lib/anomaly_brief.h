/*
 * A finding in one line, for those who hold a sheet or read the morning's news: what was read, on
 * which day when that is not the last one, and what was expected; and the first thing to do.
 */
#ifndef GYLE_ANOMALY_BRIEF_H
#define GYLE_ANOMALY_BRIEF_H

#include "anomaly.h"
#include "cellar.h"
#include "str.h"

/* Appends "pH 4.98, 20 Nov, expected below pH 4.91 (unconfirmed)". */
void anomaly_brief(struct buf *text, const struct cellar *cellar, int64_t now,
                   const struct anomaly_finding *finding);

/* What to do first: all of it for an alarm, the first clause else. */
struct str anomaly_brief_first(const struct anomaly_finding *finding);

#endif
