/*
 * The words and figures of a round sheet, as every kind of paper shows them: headings of the
 * blanks, figures in the house's units, what is in a tank in one line.
 */
#ifndef GYLE_SHEET_WORDS_H
#define GYLE_SHEET_WORDS_H

#include "sheet.h"

/* "2.2..2.8", "..1.0", "" without a limit. */
void sheet_write_expected(struct buf *buf, const struct range *range, enum quantity quantity,
                          const struct quantity_unit *unit);

/* The last figure of a cell; when it is older than the stop's last reading, with its day. */
void sheet_write_last(struct buf *buf, const struct sheet *sheet, const struct sheet_cell *cell,
                      enum quantity quantity, const struct quantity_unit *unit, int64_t newest);

/* The rows of the blanks for a tank: what each is for, what it was last, what is expected; below
 * them one writes. Nothing where a row has nothing to say. */
enum sheet_row { SHEET_HEADING, SHEET_LAST, SHEET_EXPECTED, SHEET_ROWS };
void sheet_write_cell(struct buf *buf, const struct sheet *sheet, const struct sheet_stop *stop,
                      int reads, enum sheet_row row);

/* Is that row left out, since the sheet is blank? */
bool sheet_lacks_row(const struct sheet *sheet, int row);

/* When the last reading was: its time of day when that was yesterday or today, else its day. */
void sheet_write_when(struct buf *buf, const struct sheet *sheet, int64_t at);

/* Of a stop with beer: "day 11, 58 hL, 12.1 to 2.4 P (forced)". */
void sheet_write_facts(struct buf *buf, const struct sheet *sheet, const struct sheet_stop *stop);

/* "empty since Sat 21 Nov, cleaned Sun 22 Nov"; of a stop that is not occupied. */
void sheet_write_empty(struct buf *buf, const struct sheet *sheet, const struct sheet_stop *stop);

/* Why there is nothing to write for a tank with beer in it. */
void sheet_write_why_not(struct buf *buf, const struct sheet_stop *stop);

/* "PH2 (handheld): last Mon 23 Nov 07:20, due every day". */
void sheet_write_meter(struct buf *buf, const struct sheet *sheet, const struct meter *meter);

#endif
