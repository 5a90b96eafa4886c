/* gyle-readings: every reading, one row each, with what follows from it. */
#include "cli.h"
#include "derived.h"

static const char *columns_text;

static const struct cli_option OPTIONS[] = {
    {0, "columns", "LIST", "only these columns, in this order: batch,at,ph", CLI_TEXT,
     &columns_text},
};

static const struct cli_program PROGRAM = {
    .name = "gyle-readings",
    .operands = "[FILE...]",
    .summary = "writes every reading, with what follows from it",
    .exits = "(not used)",
    .common = CLI_HAS_BOOK | CLI_HAS_FILES,
    .options = OPTIONS,
    .option_count = sizeof OPTIONS / sizeof OPTIONS[0],
};

struct run {
    struct book book;
    struct arena arena; /* of one file */
    int64_t now;
    double bar_atmosphere;
    struct table table;
    size_t later, broken;
};

static void show_batch(struct run *run, struct batch *batch)
{
    struct derived_batch of = derived_begin(batch, run->book.cellar, run->bar_atmosphere, run->now);
    for (size_t i = 0; i < batch->course.n; i++) {
        struct derived row = derived_of(&of, batch->course.items[i], i < batch->first);
        table_row(&run->table, &row);
    }
}

static void show_file(struct run *run, const char *path)
{
    struct book_file *file = book_load(&run->book, &run->arena, path);
    size_t errors = run->book.diags->errors;
    for (size_t i = 0; i < file->batches.n; i++) {
        struct batch *batch = file->batches.items[i];
        book_settle(&run->book, &run->arena, batch, run->now);
        run->later += batch->later;
        if (batch->errors == 0)
            show_batch(run, batch);
    }
    run->broken += file->errors > 0 || run->book.diags->errors > errors;
    arena_reset(&run->arena);
}

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
    cli_say(cli, "--columns: no column \"%s\"%s%s%s", str_shown(&cli->arena, choice.unknown),
            choice.nearest == NULL ? "" : "; did you mean ",
            choice.nearest == NULL ? "" : choice.nearest, choice.nearest == NULL ? "" : "?");
    return false;
}

static int show(struct cli *cli)
{
    struct run run = {.later = 0};
    if (!choose(cli, &run.table) || !cli_open_book(cli, &run.book) ||
        !cli_now(cli, &run.book, &run.now))
        return CLI_TROUBLE;
    run.bar_atmosphere = derived_atmosphere(run.book.cellar);
    run.table.out = stdout;
    run.table.arena = &cli->arena;
    run.table.tsv = cli->tsv;
    run.table.width = 80;
    run.table.context = run.book.cellar;
    arena_init(&run.arena, cli->arena.exhausted, cli->arena.context);
    struct file_list files = cli_files(cli, &run.book);
    table_begin(&run.table);
    for (size_t i = 0; i < files.n; i++)
        show_file(&run, files.paths[i]);
    table_end(&run.table);
    cli_write_diags(cli);
    if (run.later > 0)
        cli_say(cli, "%zu later %s not looked at", run.later,
                run.later == 1 ? "entry was" : "entries were");
    arena_free(&run.arena);
    return run.broken > 0 || run.book.cellar_errors > 0 ? CLI_TROUBLE : CLI_OK;
}

int main(int argc, char **argv)
{
    struct cli cli;
    int status;
    if (cli_start(&cli, &PROGRAM, argc, argv, &status) != 0)
        return status;
    return cli_end(&cli, show(&cli));
}
