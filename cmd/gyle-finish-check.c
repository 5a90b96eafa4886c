/* gyle-finish-check: is it finished? One verdict for each batch and tank. */
#include "cli.h"
#include "verdicts.h"

#include <stdio.h>

static bool all, why;
static const char *baseline_path;

static const struct cli_option OPTIONS[] = {
    {'a', "all", NULL, "also batches that have left all tanks", CLI_FLAG, &all},
    {'w', "why", NULL, "explain each verdict, so that it can be checked by hand", CLI_FLAG, &why},
    {0, "baseline", "FILE", "what gyle-baseline -t wrote, for the earlier batches", CLI_TEXT,
     &baseline_path},
};

static const struct cli_program PROGRAM = {
    .name = "gyle-finish-check",
    .operands = "[FILE...]",
    .summary = "is it finished, and when",
    .exits = "a beer is stuck or below its limit",
    .common = CLI_HAS_BOOK | CLI_HAS_FILES,
    .options = OPTIONS,
    .option_count = sizeof OPTIONS / sizeof OPTIONS[0],
};

struct run {
    struct book book;
    struct arena arena; /* of the file at hand, and of those with rows that are open */
    struct finish_context context;
    struct verdicts verdicts;
    struct history history;
    struct book_left_out left_out;
};

static bool check_file(struct run *run, const char *path)
{
    bool open = false;
    struct book_file *file =
        book_load_settled(&run->book, &run->arena, path, run->context.now, &run->left_out);
    for (size_t i = 0; i < file->batches.n; i++) {
        const struct batch *batch = file->batches.items[i];
        if (batch->errors == 0)
            open = verdicts_add(&run->verdicts, &run->context, batch) || open;
    }
    return open;
}

static void show(struct cli *cli, struct run *run)
{
    struct table table = {.out = stdout,
                          .arena = &cli->arena,
                          .columns = VERDICT_COLUMNS,
                          .column_count = VERDICT_COLUMN_COUNT,
                          .tsv = cli->tsv,
                          .width = 80,
                          .context = run->book.cellar};
    verdicts_sort(&run->verdicts);
    table_begin(&table);
    for (size_t i = 0; i < run->verdicts.rows.n; i++)
        table_row(&table, &run->verdicts.rows.items[i]);
    table_end(&table);
    if (!cli->tsv && run->verdicts.rows.n == 0 && run->left_out.files == 0)
        puts("No beer in the tanks.");
}

static int check(struct cli *cli)
{
    struct run run = {.left_out = {0, 0}};
    if (!cli_open_book(cli, &run.book) || !cli_now(cli, &run.book, &run.context.now))
        return CLI_TROUBLE;
    bool whole_book = cli_whole_book(cli);
    arena_init(&run.arena, cli->arena.exhausted, cli->arena.context);
    run.context.cellar = run.book.cellar;
    run.context.arena = &run.arena;
    run.history.arena = run.verdicts.arena = &cli->arena;
    run.verdicts.history = &run.history;
    run.history.most = all || !whole_book ? 0 : HISTORY_MOST;
    run.verdicts.explain = why;
    run.verdicts.with_ended = all || !whole_book;
    struct baselines baselines;
    if (baseline_path != NULL) {
        if (!cli_baselines(cli, &run.book, baseline_path, &baselines, &run.history))
            return CLI_TROUBLE;
        run.verdicts.baselines = &baselines;
    }
    struct file_list files = cli_files(cli, &run.book);
    for (size_t i = 0; i < files.n; i++) {
        struct arena_mark before = arena_mark(&run.arena);
        if (!check_file(&run, files.paths[i]))
            arena_rewind(&run.arena, before);
    }
    if (!whole_book && baseline_path == NULL && run.verdicts.open > 0) {
        struct arena scratch;
        arena_init(&scratch, cli->arena.exhausted, cli->arena.context);
        history_read(&run.history, &run.book, &scratch, run.context.now);
        arena_free(&scratch);
    }
    verdicts_close(&run.verdicts, &run.context);
    show(cli, &run);
    cli_write_diags(cli);
    cli_say_later(cli, run.left_out.later);
    arena_free(&run.arena);
    return cli_judged(&run.book, run.left_out.files, run.verdicts.found > 0);
}

int main(int argc, char **argv)
{
    return cli_main(&PROGRAM, argc, argv, check);
}
