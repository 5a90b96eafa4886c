#include "sheet_missed.h"

#include "tsv.h"

static bool was_read(const struct sheet *evening, const struct sheet_cell *cell)
{
    return cell->last_at != 0 && civil_day(evening->cellar->zone, cell->last_at) == evening->today;
}

/* The figures that are missing, by name; "all of it" when nothing was read. */
static void name_missing(struct buf *names, const struct sheet *evening,
                         const struct sheet_stop *due, const struct sheet_stop *done)
{
    size_t asked = 0, missing = 0;
    for (size_t i = 0; i < SHEET_CELLS; i++) {
        int reads = SHEET_ORDER[i];
        if (!due->cells[reads].is_due)
            continue;
        asked++;
        if (was_read(evening, &done->cells[reads]))
            continue;
        missing++;
        buf_printf(names, "%s%s", missing > 1 ? ", " : "", BATCH_COLUMNS[reads].key);
    }
    if (missing == asked && missing > 1) {
        names->n = 0;
        buf_add(names, STR("all of it"));
    }
}

struct writing {
    FILE *out;
    int64_t day;
    bool tsv;
};

static void write_row(void *context, struct str name, const struct batch *batch, struct str missing)
{
    const struct writing *writing = context;
    FILE *out = writing->out;
    char date[CIVIL_DATE_SIZE];
    struct str number = text_of(batch == NULL ? NULL : batch->number);
    struct str beer = text_of(batch == NULL ? NULL : batch->beer);
    if (!writing->tsv) {
        str_write_escaped(out, name);
        fputs(number.n > 0 ? "  " : "", out);
        str_write_escaped(out, number);
        fputs(beer.n > 0 ? " " : "", out);
        str_write_escaped(out, beer);
        fprintf(out, ": " STR_FMT "\n", STR_ARG(missing));
        return;
    }
    fprintf(out, "%s\t", civil_date_text(writing->day, date));
    tsv_write(out, name);
    putc('\t', out);
    tsv_write(out, number);
    putc('\t', out);
    tsv_write(out, beer);
    putc('\t', out);
    tsv_write(out, missing);
    putc('\n', out);
}

/* The same tank with the same beer in it in the evening, or NULL. */
static const struct sheet_stop *still_there(const struct sheet *evening,
                                            const struct sheet_stop *due)
{
    for (size_t i = 0; i < evening->stops.n; i++) {
        const struct sheet_stop *stop = &evening->stops.items[i];
        if (str_eq(stop->place->name, due->place->name) && stop->course != NULL &&
            str_eq(text_of(stop->course->batch->number), text_of(due->course->batch->number)))
            return stop;
    }
    return NULL;
}

int64_t sheet_missed_since(const struct cellar *cellar, int64_t now)
{
    return civil_day_start(cellar->zone, civil_day(cellar->zone, now) - 1);
}

struct sheet_missed sheet_missed_make(struct arena *arena, const struct occupancy *occupancy,
                                      const struct sheet_wish *wish)
{
    const struct cellar *cellar = occupancy->cellar;
    struct sheet_wish due = *wish;
    due.due_only = true;
    int64_t first = sheet_missed_since(cellar, occupancy->now);
    int64_t last = civil_day_start(cellar->zone, civil_day(cellar->zone, occupancy->now)) - 1;
    return (struct sheet_missed){sheet_make(arena, occupancy_at(occupancy, first), &due),
                                 sheet_make(arena, occupancy_at(occupancy, last), &due)};
}

void sheet_missed_each(const struct sheet_missed *missed,
                       void (*tell)(void *context, struct str name, const struct batch *batch,
                                    struct str missing),
                       void *context)
{
    const struct sheet *morning = missed->morning, *evening = missed->evening;
    struct buf names = buf_new(evening->arena);
    for (size_t i = 0; i < morning->stops.n; i++) {
        const struct sheet_stop *due = &morning->stops.items[i];
        const struct sheet_stop *done = due->is_visited ? still_there(evening, due) : NULL;
        if (done == NULL)
            continue;
        names.n = 0;
        name_missing(&names, evening, due, done);
        if (names.n > 0)
            tell(context, due->place->name, due->course->batch, buf_str(&names));
    }
    for (size_t i = 0; i < morning->checks.n; i++)
        if (morning->checks.items[i].cell.is_due &&
            !was_read(evening, &evening->checks.items[i].cell))
            tell(context, morning->checks.items[i].name, NULL, STR("not read"));
}

void sheet_missed_write(FILE *out, const struct sheet_missed *missed, bool tsv)
{
    struct writing writing = {out, missed->evening->today, tsv};
    if (tsv)
        fputs("date\ttank\tbatch\tbeer\tmissed\n", out);
    sheet_missed_each(missed, write_row, &writing);
}
