/*
 * The columns of gyle-meters: what the calibrations say of each meter, and the verdict.
 */
#ifndef GYLE_TRUST_TEXT_H
#define GYLE_TRUST_TEXT_H

#include "table.h"
#include "trust.h"

/* Rows are struct trust; the table's context is the cellar. */
extern const struct table_column TRUST_TEXT_COLUMNS[];
extern const size_t TRUST_TEXT_COUNT;

#endif
