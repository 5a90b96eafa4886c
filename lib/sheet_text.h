/*
 * The round sheet on paper: plain text for a line printer or a terminal. Each tank is a block that
 * no page break splits; above every blank there is an empty line to write in; the heading is
 * repeated on each page. Pages are parted by form feeds.
 */
#ifndef GYLE_SHEET_TEXT_H
#define GYLE_SHEET_TEXT_H

#include "sheet.h"

#include <stddef.h>
#include <stdio.h>

#define SHEET_TEXT_LINES_LEAST 24

struct sheet_text {
    size_t width; /* columns, at least 72 */
    size_t lines; /* of a page, at least SHEET_TEXT_LINES_LEAST; 0: one endless page */
};

/* Errors of the output are left for ferror(). */
void sheet_text_write(FILE *out, const struct sheet *sheet, struct sheet_text paper);

#endif
