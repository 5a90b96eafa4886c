/*
 * The round sheet on paper: roff for groff, with tbl's ruled boxes.
 *
 *     gyle-roundsheet --format roff | groff -t -Tpdf >round.pdf
 *
 * Black on white, nothing under 10 points, boxes of 8 mm to write in. Pages are laid out here, so
 * that none splits a tank and each knows how many there are.
 */
#ifndef GYLE_SHEET_ROFF_H
#define GYLE_SHEET_ROFF_H

#include "sheet.h"

#include <stdio.h>

struct sheet_paper {
    const char *name;
    int width, length; /* points */
};

/* The paper of that name, or NULL. */
const struct sheet_paper *sheet_paper_find(struct str name);

/* Errors of the output are left for ferror(). The second of several sheets goes on a new page. */
void sheet_roff_write(FILE *out, const struct sheet *sheet, const struct sheet_paper *paper,
                      bool is_first);

#endif
