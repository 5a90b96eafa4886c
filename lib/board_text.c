#include "board.h"
#include "words.h"

#include <math.h>
#include <string.h>

static const struct board_row *row_of(const void *row)
{
    return row;
}

static const struct cellar *cellar_of(const struct table *table)
{
    return table->context;
}

static void get_tank(struct buf *cell, const void *row, const struct table *table)
{
    (void)table;
    buf_add(cell, row_of(row)->place->name);
}

static void get_kind(struct buf *cell, const void *row, const struct table *table)
{
    (void)table;
    const struct cellar_tank *tank = row_of(row)->place->tank;
    if (tank != NULL && tank->kind != TANK_UNKNOWN)
        buf_add(cell, str_of(CELLAR_TANK_KINDS[tank->kind - 1]));
}

/* A figure: in TSV the number in the library's unit, in text in the house's unit. */
static void add_figure(struct buf *cell, const struct table *table, enum quantity quantity,
                       const struct figure *figure, bool with_unit)
{
    if (figure == NULL || figure->state != FIGURE_SET)
        return;
    const struct quantity_unit *unit = table->tsv ? NULL : cellar_of(table)->house[quantity];
    if (unit == NULL)
        unit = quantity_library_unit(quantity);
    int decimals = unit == figure->unit ? figure->decimals : unit->decimals;
    if (figure->censor != 0)
        buf_char(cell, figure->censor < 0 ? '<' : '>');
    quantity_write_number(cell, quantity_from_library(unit, figure->value), decimals);
    if (with_unit && !table->tsv)
        buf_printf(cell, " %s", unit->name);
}

static void get_capacity(struct buf *cell, const void *row, const struct table *table)
{
    const struct cellar_tank *tank = row_of(row)->place->tank;
    add_figure(cell, table, QUANTITY_VOLUME, tank == NULL ? NULL : &tank->capacity, true);
}

static void get_fill(struct buf *cell, const void *row, const struct table *table)
{
    if (!isnan(row_of(row)->fill_percent))
        buf_printf(cell, table->tsv ? "%.0f" : "%.0f%%", row_of(row)->fill_percent);
}

static void get_batch(struct buf *cell, const void *row, const struct table *table)
{
    (void)table;
    if (row_of(row)->course != NULL)
        buf_add(cell, text_of(row_of(row)->course->batch->number));
}

static void get_beer(struct buf *cell, const void *row, const struct table *table)
{
    (void)table;
    if (row_of(row)->course != NULL)
        buf_add(cell, text_of(row_of(row)->course->batch->beer));
}

static void get_day(struct buf *cell, const void *row, const struct table *table)
{
    (void)table;
    if (row_of(row)->has_day)
        buf_printf(cell, "%lld", (long long)row_of(row)->day);
}

static void get_state(struct buf *cell, const void *row, const struct table *table)
{
    (void)table;
    buf_add(cell, str_of(row_of(row)->state));
}

static void get_verdict(struct buf *cell, const void *row, const struct table *table)
{
    (void)table;
    if (row_of(row)->course != NULL)
        buf_add(cell, str_of(FINISH_VERDICT[row_of(row)->outlook.finish.verdict].name));
}

static void get_temp(struct buf *cell, const void *row, const struct table *table)
{
    add_figure(cell, table, QUANTITY_TEMPERATURE, row_of(row)->temp, false);
}

static void get_pressure(struct buf *cell, const void *row, const struct table *table)
{
    add_figure(cell, table, QUANTITY_PRESSURE, row_of(row)->pressure, false);
}

static void add_unit(struct buf *title, const struct table *table, enum quantity quantity)
{
    const struct quantity_unit *unit = cellar_of(table)->house[quantity];
    if (!table->tsv)
        buf_add(title, str_of(unit != NULL ? unit->name : quantity_library_unit(quantity)->name));
}

static void temp_unit(struct buf *title, const struct table *table)
{
    add_unit(title, table, QUANTITY_TEMPERATURE);
}

static void pressure_unit(struct buf *title, const struct table *table)
{
    add_unit(title, table, QUANTITY_PRESSURE);
}

static void add_time(struct buf *cell, const struct table *table, bool has, int64_t at)
{
    char text[CIVIL_TEXT_SIZE];
    if (!has)
        return;
    if (table->tsv)
        buf_add(cell, str_of(civil_rfc3339(cellar_of(table)->zone, at, text)));
    else
        words_day(cell, cellar_of(table), at);
}

static bool has_free(const void *row)
{
    return row_of(row)->course != NULL && row_of(row)->outlook.free_source != OUTLOOK_UNKNOWN;
}

static void get_free_at(struct buf *cell, const void *row, const struct table *table)
{
    add_time(cell, table, has_free(row), row_of(row)->outlook.free_at);
}

static void get_free_early(struct buf *cell, const void *row, const struct table *table)
{
    add_time(cell, table, has_free(row) || row_of(row)->outlook.is_held,
             row_of(row)->outlook.free_early);
}

static void get_free_late(struct buf *cell, const void *row, const struct table *table)
{
    add_time(cell, table, has_free(row), row_of(row)->outlook.free_late);
}

static void get_free_source(struct buf *cell, const void *row, const struct table *table)
{
    static const char *const SOURCES[] = {[OUTLOOK_UNKNOWN] = "",
                                          [OUTLOOK_WRITTEN] = "written",
                                          [OUTLOOK_BY_BEER] = "beer",
                                          [OUTLOOK_BY_YEAST] = "yeast",
                                          [OUTLOOK_BY_KIND] = "tank kind"};
    (void)table;
    buf_add(cell, str_of(SOURCES[row_of(row)->outlook.free_source]));
}

/* "26..30 Nov", "28 Nov..2 Dec", "27 Nov". */
static void add_span(struct buf *cell, const struct cellar *cellar, int64_t early, int64_t late)
{
    struct buf first = buf_new(cell->arena), last = buf_new(cell->arena);
    words_day(&first, cellar, early);
    words_day(&last, cellar, late);
    const char *month = strchr(first.p, ' ');
    if (strcmp(first.p, last.p) == 0) {
        buf_add(cell, buf_str(&last));
        return;
    }
    if (strcmp(month, strchr(last.p, ' ')) == 0)
        first.n = (size_t)(month - first.p);
    buf_add(cell, buf_str(&first));
    buf_add(cell, STR(".."));
    buf_add(cell, buf_str(&last));
}

static void get_free(struct buf *cell, const void *row, const struct table *table)
{
    const struct outlook *outlook = &row_of(row)->outlook;
    if (row_of(row)->course == NULL)
        return;
    if (outlook->is_held) {
        words_day(cell, cellar_of(table), outlook->free_early);
        buf_add(cell, STR(".."));
    } else if (outlook->free_source == OUTLOOK_UNKNOWN)
        buf_char(cell, '?');
    else if (outlook->is_overdue)
        buf_add(cell, STR("any day"));
    else
        add_span(cell, cellar_of(table), outlook->free_early, outlook->free_late);
}

static void get_next(struct buf *cell, const void *row, const struct table *table)
{
    const struct board_row *it = row_of(row);
    struct str step = it->course == NULL ? STR("") : str_of(it->outlook.next.step);
    /* that a tank is read every day needs no words on a board */
    if (!table->tsv && it->course != NULL && it->outlook.next.kind == NEXT_READ)
        return;
    buf_add(cell, step);
    if (!table->tsv && it->course != NULL && it->outlook.next.has_at) {
        buf_add(cell, STR(", "));
        words_time(cell, cellar_of(table), it->outlook.next.at);
    }
}

static void get_next_at(struct buf *cell, const void *row, const struct table *table)
{
    add_time(cell, table, row_of(row)->course != NULL && row_of(row)->outlook.next.has_at,
             row_of(row)->outlook.next.at);
}

static void get_emptied(struct buf *cell, const void *row, const struct table *table)
{
    const struct occupancy_tank *place = row_of(row)->place;
    add_time(cell, table, row_of(row)->course == NULL && place->emptied != 0, place->emptied);
}

static void get_cleaned(struct buf *cell, const void *row, const struct table *table)
{
    const struct occupancy_tank *place = row_of(row)->place;
    add_time(cell, table, place->cleaned != 0, place->cleaned);
}

static void get_wanted_by(struct buf *cell, const void *row, const struct table *table)
{
    (void)table;
    const struct board_plan *wanted = row_of(row)->wanted;
    if (wanted != NULL)
        buf_add(cell, wanted->batch.n > 0 ? wanted->batch : wanted->beer);
}

static void get_wanted_at(struct buf *cell, const void *row, const struct table *table)
{
    const struct board_plan *wanted = row_of(row)->wanted;
    add_time(cell, table, wanted != NULL && wanted->has_at, wanted == NULL ? 0 : wanted->at);
}

static void get_clash(struct buf *cell, const void *row, const struct table *table)
{
    static const char *const CLASHES[] = {
        [BOARD_FITS] = "no",        [BOARD_TIGHT] = "tight", [BOARD_UNKNOWN] = "unknown",
        [BOARD_CLASH] = "clash",    [BOARD_TWICE] = "twice", [BOARD_TOO_MUCH] = "too much",
        [BOARD_NO_TANK] = "no tank"};
    (void)table;
    if (row_of(row)->wanted != NULL)
        buf_add(cell, str_of(CLASHES[row_of(row)->wanted->clash]));
}

static const struct table_column COLUMNS[] = {
    {"tank", NULL, 0, get_tank, NULL},
    {"kind", NULL, 0, get_kind, NULL},
    {"capacity_hL", NULL, 0, get_capacity, NULL},
    {"filled_pct", NULL, 0, get_fill, NULL},
    {"batch", NULL, 0, get_batch, NULL},
    {"beer", NULL, 0, get_beer, NULL},
    {"day", NULL, 0, get_day, NULL},
    {"state", NULL, 0, get_state, NULL},
    {"verdict", NULL, 0, get_verdict, NULL},
    {"temp_C", NULL, 0, get_temp, NULL},
    {"pressure_bar", NULL, 0, get_pressure, NULL},
    {"next", NULL, 0, get_next, NULL},
    {"next_at", NULL, 0, get_next_at, NULL},
    {"free_at", NULL, 0, get_free_at, NULL},
    {"free_early", NULL, 0, get_free_early, NULL},
    {"free_late", NULL, 0, get_free_late, NULL},
    {"free_source", NULL, 0, get_free_source, NULL},
    {"empty_since", NULL, 0, get_emptied, NULL},
    {"cleaned", NULL, 0, get_cleaned, NULL},
    {"wanted_by", NULL, 0, get_wanted_by, NULL},
    {"wanted_at", NULL, 0, get_wanted_at, NULL},
    {"clash", NULL, 0, get_clash, NULL},
};

static const struct table_column BEER_COLUMNS[] = {
    {NULL, "TANK", TABLE_SHRINK, get_tank, NULL},
    {NULL, "FULL", TABLE_RIGHT | TABLE_OPTIONAL, get_fill, NULL},
    {NULL, "BATCH", TABLE_SHRINK, get_batch, NULL},
    {NULL, "BEER", TABLE_SHRINK, get_beer, NULL},
    {NULL, "DAY", TABLE_RIGHT, get_day, NULL},
    {NULL, "STATE", 0, get_state, NULL},
    {NULL, "", TABLE_RIGHT | TABLE_OPTIONAL, get_temp, temp_unit},
    {NULL, "", TABLE_RIGHT | TABLE_OPTIONAL, get_pressure, pressure_unit},
    {NULL, "FREE", 0, get_free, NULL},
    {NULL, "NEXT", TABLE_WRAP | TABLE_OPTIONAL, get_next, NULL},
};

static const struct table_column EMPTY_COLUMNS[] = {
    {NULL, "TANK", TABLE_SHRINK, get_tank, NULL},
    {NULL, "KIND", 0, get_kind, NULL},
    {NULL, "HOLDS", TABLE_RIGHT | TABLE_OPTIONAL, get_capacity, NULL},
    {NULL, "STATE", 0, get_state, NULL},
    {NULL, "SINCE", TABLE_OPTIONAL, get_emptied, NULL},
    {NULL, "CLEANED", TABLE_OPTIONAL, get_cleaned, NULL},
};

#define COUNT(array) (sizeof(array) / sizeof(array)[0])

static struct table table_of(FILE *out, const struct board *board,
                             const struct table_column *columns, size_t count)
{
    return (struct table){.out = out,
                          .arena = board->arena,
                          .columns = columns,
                          .column_count = count,
                          .width = 80,
                          .context = board->occupancy->cellar};
}

void board_write_tsv(FILE *out, const struct board *board)
{
    struct table table = table_of(out, board, COLUMNS, COUNT(COLUMNS));
    table.tsv = true;
    table_begin(&table);
    for (size_t i = 0; i < board->rows.n; i++)
        table_row(&table, &board->rows.items[i]);
    table_end(&table);
}

/* "Fri 27 Nov  FV3  0423 Datum Stout: 0417 is in it, free about Sat 28 Nov". */
static void write_plan(FILE *out, const struct board *board, const struct board_plan *plan)
{
    char day[CIVIL_SHORT_SIZE];
    struct buf line = buf_new(board->arena);
    const struct cellar *cellar = board->occupancy->cellar;
    if (plan->has_at)
        buf_add(&line, str_of(civil_short_date(civil_day(cellar->zone, plan->at), day)));
    buf_pad(&line, ' ', line.n < 10 ? 12 - line.n : 2);
    size_t indent = line.n;
    str_escape(&line, plan->tank.n > 0 ? plan->tank : STR("?"), 20);
    buf_add(&line, STR("  "));
    str_escape(&line, plan->batch, 20);
    buf_add(&line, plan->batch.n > 0 && plan->beer.n > 0 ? STR(" ") : STR(""));
    str_escape(&line, plan->beer, 40);
    if (plan->words[0] != '\0')
        buf_printf(&line, ": %s, %s",
                   plan->clash >= BOARD_CLASH     ? "CLASH"
                   : plan->clash == BOARD_UNKNOWN ? "unsure"
                                                  : "tight",
                   plan->words);
    fwrite(line.p, 1, indent, out);
    table_wrap(out, indent, indent, 80, str_cut(buf_str(&line), indent, line.n));
}

static void write_plans(FILE *out, const struct board *board)
{
    if (board->plans.n == 0)
        return;
    fputs("\nPLANNED\n", out);
    for (size_t i = 0; i < board->plans.n; i++)
        write_plan(out, board, &board->plans.items[i]);
}

static void write_remarks(FILE *out, const struct board *board)
{
    const struct occupancy *occupancy = board->occupancy;
    struct buf line = buf_new(board->arena);
    for (size_t i = 0; i < occupancy->tanks.n; i++) {
        const struct occupancy_tank *tank = &occupancy->tanks.items[i];
        if (tank->tank == NULL)
            buf_printf(&line, "! %s is in walk:, but not among tanks:\n",
                       str_shown(board->arena, tank->name));
        if (tank->other != NULL)
            buf_printf(&line, "! the book has two batches in %s: %s and %s\n",
                       str_shown(board->arena, tank->name),
                       str_shown(board->arena, text_of(tank->other->batch->number)),
                       str_shown(board->arena, text_of(tank->course->batch->number)));
    }
    for (size_t i = 0; i < occupancy->strays.n; i++)
        buf_printf(&line, "! batch %s is in %s, which the cellar file does not declare\n",
                   str_shown(board->arena, text_of(occupancy->strays.items[i].batch->number)),
                   str_shown(board->arena, occupancy->strays.items[i].stay->tank));
    for (size_t i = 0; i < occupancy->lost.n; i++)
        buf_printf(&line, "! batch %s is in no tank: its file has no tanks:\n",
                   str_shown(board->arena, text_of(occupancy->lost.items[i]->number)));
    if (line.n > 0)
        fprintf(out, "\n%s", line.p);
}

static void write_heading(FILE *out, const struct board *board)
{
    const struct occupancy *occupancy = board->occupancy;
    const struct civil_zone *zone = occupancy->cellar->zone;
    char day[CIVIL_SHORT_SIZE], clock[CIVIL_CLOCK_SIZE];
    struct buf line = buf_new(board->arena);
    str_escape(&line, text_of(occupancy->cellar->name), 40);
    fprintf(out, "%s, %s %d, %s\n\n", line.p,
            civil_short_date(civil_day(zone, occupancy->now), day),
            civil_date_of_day(civil_day(zone, occupancy->now)).year,
            civil_clock(zone, occupancy->now, clock));
}

void board_write_text(FILE *out, const struct board *board)
{
    struct table beer = table_of(out, board, BEER_COLUMNS, COUNT(BEER_COLUMNS));
    struct table empty = table_of(out, board, EMPTY_COLUMNS, COUNT(EMPTY_COLUMNS));
    size_t with_beer = 0;
    write_heading(out, board);
    if (board->rows.n == 0)
        fputs("The cellar file lists no tanks.\n", out);
    table_begin(&beer);
    table_begin(&empty);
    for (size_t i = 0; i < board->rows.n; i++) {
        bool has_beer = board->rows.items[i].course != NULL;
        table_row(has_beer ? &beer : &empty, &board->rows.items[i]);
        with_beer += has_beer;
    }
    table_end(&beer);
    if (with_beer > 0 && with_beer < board->rows.n)
        putc('\n', out);
    table_end(&empty);
    write_plans(out, board);
    write_remarks(out, board);
}

/* The picture. */

enum { DAY_WIDTH = 4, NAME_WIDTH = 9 };

/* The first and the last civil day on which a tank may be free; INT64_MAX where nothing is known.
 */
static void free_days(const struct board *board, const struct board_row *row, int64_t *first,
                      int64_t *last)
{
    const struct civil_zone *zone = board->occupancy->cellar->zone;
    int64_t today = civil_day(zone, board->occupancy->now);
    *first = today;
    *last = row->course == NULL ? today : INT64_MAX;
    if (row->course == NULL || row->outlook.is_overdue)
        return;
    *first = today + 1;
    if (row->outlook.free_source == OUTLOOK_UNKNOWN && !row->outlook.is_held)
        return;
    *first = civil_day(zone, row->outlook.free_early) + 1;
    if (row->outlook.is_held)
        return;
    *last = civil_day(zone, row->outlook.free_late) + 1;
}

/* One day of a tank without a plan. */
static char sign_of(const struct board_row *row, int64_t day, int64_t first, int64_t last)
{
    if (day < first)
        return '=';
    if (day >= last)
        return '.';
    return row->outlook.free_source == OUTLOOK_UNKNOWN ? '?' : '-';
}

static const struct board_plan *plan_on(const struct board *board, const struct board_row *row,
                                        int64_t day)
{
    const struct civil_zone *zone = board->occupancy->cellar->zone;
    for (size_t i = 0; i < board->plans.n; i++) {
        const struct board_plan *plan = &board->plans.items[i];
        if (plan->has_at && civil_day(zone, plan->at) == day &&
            str_eq(plan->tank, row->place->name))
            return plan;
    }
    return NULL;
}

/* Writes over the columns of a line from one on, as far as they go: each holds a character, and the
 * one behind a wide character nothing. */
static void put_over(struct arena *arena, struct str *columns, size_t count, size_t at,
                     struct str text)
{
    struct buf shown = buf_new(arena);
    str_escape(&shown, text, 0);
    for (size_t i = 0, used = 0; i < shown.n; i += used) {
        size_t width = (size_t)str_char_width(str_char(shown.p + i, shown.n - i, &used));
        if (at + width > count)
            return;
        if (width > 0)
            columns[at] = (struct str){shown.p + i, used};
        if (width > 1)
            columns[at + 1] = STR("");
        at += width;
    }
}

static void write_days_of(FILE *out, const struct board *board, const struct board_row *row,
                          int64_t today, int days)
{
    static const char SIGNS[] = "=-.?+"; /* a column each */
    struct arena *arena = board->arena;
    size_t count = (size_t)days * DAY_WIDTH;
    struct str *columns = arena_array(arena, count, sizeof *columns);
    struct buf line = buf_new(arena);
    int64_t first, last;
    bool is_taken = false;
    free_days(board, row, &first, &last);
    for (size_t i = 0; i < count; i++) {
        int64_t day = today + (int64_t)(i / DAY_WIDTH);
        is_taken = is_taken || plan_on(board, row, day) != NULL;
        columns[i] =
            (struct str){strchr(SIGNS, is_taken ? '+' : sign_of(row, day, first, last)), 1};
    }
    if (row->course != NULL)
        put_over(arena, columns, count, 0, text_of(row->course->batch->number));
    for (size_t at = 0; at < count; at += DAY_WIDTH) {
        const struct board_plan *plan = plan_on(board, row, today + (int64_t)(at / DAY_WIDTH));
        if (plan == NULL)
            continue;
        put_over(arena, columns, count, at, plan->clash >= BOARD_UNKNOWN ? STR("!") : STR("+"));
        put_over(arena, columns, count, at + 1, plan->batch);
    }
    str_escape(&line, row->place->name, NAME_WIDTH - 1);
    buf_pad(&line, ' ', NAME_WIDTH - str_width(buf_str(&line)));
    for (size_t i = 0; i < count; i++)
        buf_add(&line, columns[i]);
    fprintf(out, "%s\n", line.p);
}

void board_write_days(FILE *out, const struct board *board, int days)
{
    static const char *const WEEKDAYS[] = {"", "Mo", "Tu", "We", "Th", "Fr", "Sa", "Su"};
    const struct civil_zone *zone = board->occupancy->cellar->zone;
    int64_t today = civil_day(zone, board->occupancy->now);
    write_heading(out, board);
    fprintf(out, "%*s", NAME_WIDTH, "");
    for (int64_t day = today; day < today + days; day++)
        fprintf(out, "%-*s", day + 1 < today + days ? DAY_WIDTH : 0, WEEKDAYS[civil_weekday(day)]);
    fprintf(out, "\n%*s", NAME_WIDTH, "");
    for (int64_t day = today; day < today + days; day++)
        fprintf(out, "%-*d", day + 1 < today + days ? DAY_WIDTH : 0, civil_date_of_day(day).day);
    putc('\n', out);
    for (size_t i = 0; i < board->rows.n; i++)
        write_days_of(out, board, &board->rows.items[i], today, days);
    fputs("\n= in use  - may be free  . free  ? nothing says  + planned  ! planned, but taken\n",
          out);
    write_plans(out, board);
    write_remarks(out, board);
}
