#include "sheet_tsv.h"

#include "tsv.h"

/* The name of a quantity's column: "gravity_P", "ph", "vdk_mg_L". */
static void write_name(struct buf *buf, const struct sheet *sheet, const char *key,
                       enum quantity quantity)
{
    const struct quantity_unit *unit = sheet_unit(sheet, quantity);
    buf_add(buf, str_of(key));
    if (unit == NULL)
        return;
    buf_char(buf, '_');
    for (const char *p = unit->name; *p != '\0'; p++)
        buf_char(buf, (char)(*p == '/' ? '_' : *p));
}

/* A forced sample is to be read somewhere. */
static bool has_forced(const struct sheet *sheet)
{
    for (size_t i = 0; i < sheet->stops.n; i++)
        if ((sheet->stops.items[i].due.tasks & DUE_FORCED_READ) != 0)
            return true;
    return false;
}

static void write_header(FILE *out, const struct sheet *sheet)
{
    fputs("date\ttime\ttank\tbatch\tbeer", out);
    struct buf name = buf_new(sheet->arena);
    for (size_t i = 0; i < SHEET_CELLS; i++) {
        if ((sheet->due >> SHEET_ORDER[i] & 1U) == 0)
            continue;
        name.n = 0;
        write_name(&name, sheet, BATCH_COLUMNS[SHEET_ORDER[i]].key,
                   BATCH_COLUMNS[SHEET_ORDER[i]].quantity);
        fprintf(out, "\t%s", name.p);
    }
    fputs("\tvalue\tgravity_meter\tph_meter\tby\tnote", out);
    if (has_forced(sheet)) {
        name.n = 0;
        write_name(&name, sheet, "forced", QUANTITY_GRAVITY);
        fprintf(out, "\t%s", name.p);
    }
    putc('\n', out);
}

static void write_row(FILE *out, const struct sheet *sheet, struct str tank, struct str batch,
                      struct str beer)
{
    char date[CIVIL_DATE_SIZE];
    fprintf(out, "%s\t\t", civil_date_text(sheet->today, date));
    tsv_write(out, tank);
    putc('\t', out);
    tsv_write(out, batch);
    putc('\t', out);
    tsv_write(out, beer);
    for (size_t i = 0; i < SHEET_CELLS; i++)
        if ((sheet->due >> SHEET_ORDER[i] & 1U) != 0)
            putc('\t', out);
    fputs("\t\t\t\t\t", out);
    fputs(has_forced(sheet) ? "\t\n" : "\n", out);
}

void sheet_tsv_write(FILE *out, const struct sheet *sheet, bool is_first)
{
    if (is_first)
        write_header(out, sheet);
    for (size_t i = 0; i < sheet->meters.n; i++)
        write_row(out, sheet, sheet->meters.items[i]->name, STR(""), STR(""));
    for (size_t i = 0; i < sheet->stops.n; i++) {
        const struct sheet_stop *stop = &sheet->stops.items[i];
        const struct batch *batch = stop->course == NULL ? NULL : stop->course->batch;
        if (stop->is_visited || (stop->due.tasks & DUE_FORCED_READ) != 0)
            write_row(out, sheet, stop->place->name, text_of(batch == NULL ? NULL : batch->number),
                      text_of(batch == NULL ? NULL : batch->beer));
    }
    for (size_t i = 0; i < sheet->checks.n; i++)
        if (sheet->checks.items[i].cell.is_due)
            write_row(out, sheet, sheet->checks.items[i].name, STR(""), STR(""));
}
