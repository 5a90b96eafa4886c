/* gyle-readings: every reading, one row each, with what follows from it. */
#include "cli.h"
#include "derived.h"
#include "derived_file.h"
#include "month.h"
#include "shelf.h"
#include "trace.h"

#include <string.h>

static const char *columns_text, *summary_text, *month_text, *lot_text;

static const struct cli_option OPTIONS[] = {
    {0, "columns", "LIST", "only these columns, in this order: batch,at,ph", CLI_TEXT,
     &columns_text},
    {0, "summary", "month", "the volumes of a month instead", CLI_TEXT, &summary_text},
    {0, "month", "MONTH", "which one, as 2026-10; else that of now", CLI_TEXT, &month_text},
    {0, "lot", "CODE", "follow a lot back to its batch instead", CLI_TEXT, &lot_text},
};

static const struct cli_program PROGRAM = {
    .name = "gyle-readings",
    .operands = "[FILE...]",
    .summary = "writes every reading, with what follows from it",
    .exits = "volumes do not add up, no such lot",
    .common = CLI_HAS_BOOK | CLI_HAS_FILES,
    .options = OPTIONS,
    .option_count = sizeof OPTIONS / sizeof OPTIONS[0],
};

struct run {
    struct book book;
    struct arena arena; /* of one file, or of all that is kept */
    int64_t now;
    struct table table;
};

/* The columns asked for, or those that are usual. */
static bool choose(struct cli *cli, struct table *table)
{
    table->columns = DERIVED_COLUMNS;
    table->column_count = DERIVED_COLUMN_COUNT;
    if (columns_text == NULL && cli->tsv)
        return true;
    struct derived_choice choice =
        derived_choose(&cli->arena, str_of(columns_text != NULL ? columns_text : DERIVED_USUAL));
    table->columns = choice.columns;
    table->column_count = choice.count;
    if (choice.unknown.p == NULL)
        return true;
    cli_say(cli, "--columns: no column \"%s\"%s", str_shown(&cli->arena, choice.unknown),
            str_meant(&cli->arena, choice.nearest, ""));
    return false;
}

static int show_readings(struct cli *cli, struct run *run)
{
    struct derived_files rows = {
        .book = &run->book, .arena = &run->arena, .table = &run->table, .now = run->now};
    run->table.out = stdout;
    run->table.arena = &cli->arena;
    run->table.tsv = cli->tsv;
    run->table.width = 80;
    run->table.context = run->book.cellar;
    struct file_list files = cli_files(cli, &run->book);
    table_begin(&run->table);
    for (size_t i = 0; i < files.n; i++)
        derived_file(&rows, files.paths[i]);
    table_end(&run->table);
    cli_say_later(cli, rows.left_out.later);
    return cli_judged(&run->book, rows.left_out.files, false);
}

static struct shelf load_all(struct cli *cli, struct run *run)
{
    const struct shelf_request request = {
        .asked = cli_named_files(cli), .now = run->now, .since = INT64_MIN};
    struct shelf shelf = shelf_load(&run->book, &run->arena, &request);
    cli_say_later(cli, shelf.later);
    return shelf;
}

static int show_month(struct cli *cli, struct run *run)
{
    struct month month;
    const char *why = month_begin(&month, &cli->arena, run->book.cellar, month_text, run->now);
    if (why != NULL) {
        cli_say(cli, "--month: \"%s\" %s", str_shown(&cli->arena, str_of(month_text)), why);
        return CLI_TROUBLE;
    }
    struct shelf shelf = load_all(cli, run);
    size_t warnings = cli->diags.warnings;
    month_fill(&month, &shelf, &cli->diags);
    month_write(&month, stdout, cli->tsv);
    shelf_free(&shelf);
    return cli_judged(&run->book, shelf.left_out, cli->diags.warnings > warnings);
}

static int show_lot(struct cli *cli, struct run *run)
{
    struct shelf shelf = load_all(cli, run);
    struct trace trace = {run->book.cellar, &cli->arena, &shelf};
    struct str lot = str_of(lot_text);
    size_t found = trace_write(&trace, stdout, cli->tsv, lot);
    if (found == 0)
        cli_say(cli, "no lot \"%s\"%s", str_shown(&cli->arena, lot),
                str_meant(&cli->arena, trace_nearest(&trace, lot), ""));
    shelf_free(&shelf);
    return cli_judged(&run->book, shelf.left_out, found == 0);
}

/* One of the three things that it does. */
static bool check_options(struct cli *cli)
{
    const char *wrong = NULL;
    if (summary_text != NULL && strcmp(summary_text, "month") != 0)
        wrong = "--summary: the only one is month";
    else if (summary_text != NULL && lot_text != NULL)
        wrong = "--summary and --lot do not go together";
    else if (month_text != NULL && summary_text == NULL)
        wrong = "--month belongs to --summary month";
    else if (columns_text != NULL && (summary_text != NULL || lot_text != NULL))
        wrong = "--columns belongs to readings only";
    if (wrong != NULL)
        cli_say(cli, "%s (see %s -h)", wrong, PROGRAM.name);
    return wrong == NULL;
}

static int show(struct cli *cli)
{
    struct run run = {.now = 0};
    if (!check_options(cli) || !choose(cli, &run.table) || !cli_open_book(cli, &run.book) ||
        !cli_now(cli, &run.book, &run.now))
        return CLI_TROUBLE;
    arena_init(&run.arena, cli->arena.exhausted, cli->arena.context);
    int status = summary_text != NULL ? show_month(cli, &run)
                 : lot_text != NULL   ? show_lot(cli, &run)
                                      : show_readings(cli, &run);
    cli_write_diags(cli);
    arena_free(&run.arena);
    return status;
}

int main(int argc, char **argv)
{
    return cli_main(&PROGRAM, argc, argv, show);
}
