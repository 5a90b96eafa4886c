/* gyle-baseline: what each beer normally reads, from its finished batches. */
#include "baseline_text.h"
#include "cli.h"

static const struct cli_program PROGRAM = {
    .name = "gyle-baseline",
    .operands = "[FILE...]",
    .summary = "what each beer normally reads",
    .exits = "is not used",
    .common = CLI_HAS_BOOK | CLI_HAS_FILES,
    .options = NULL,
    .option_count = 0,
};

struct run {
    struct book book;
    struct arena arena; /* of one file */
    int64_t now;
    struct history history;
    struct str *beers; /* those to be shown */
    size_t beer_count, beer_capacity;
    struct book_left_out left_out;
};

static bool is_asked(const struct run *run, struct str beer)
{
    for (size_t i = 0; i < run->beer_count; i++)
        if (str_eq(run->beers[i], beer))
            return true;
    return false;
}

static void ask_for(struct cli *cli, struct run *run, struct str beer)
{
    if (is_asked(run, beer))
        return;
    if (run->beer_count == run->beer_capacity)
        run->beers = arena_grow(&cli->arena, run->beers, &run->beer_capacity, sizeof *run->beers);
    run->beers[run->beer_count++] = str_copy(&cli->arena, beer);
}

static void read_file(struct cli *cli, struct run *run, const char *path)
{
    const struct finish_context context = {
        .cellar = run->book.cellar, .arena = &run->arena, .now = run->now};
    struct book_file *file =
        book_load_settled(&run->book, &run->arena, path, run->now, &run->left_out);
    for (size_t i = 0; i < file->batches.n; i++) {
        ask_for(cli, run, text_of(file->batches.items[i]->beer));
        history_add_batch(&run->history, &context, file->batches.items[i]);
    }
    arena_reset(&run->arena);
}

static void show(struct cli *cli, struct run *run)
{
    struct baseline_text text = {stdout, &cli->arena, run->book.cellar, 80};
    struct baselines all = baselines_of(&run->history, &cli->arena);
    const struct baseline **asked = arena_array(&cli->arena, all.beers.n + 1, sizeof *asked);
    size_t n = 0;
    for (size_t i = 0; i < all.beers.n; i++)
        if (is_asked(run, all.beers.items[i].beer))
            asked[n++] = &all.beers.items[i];
    if (cli->tsv) {
        baseline_text_tsv(&text, asked, n);
        return;
    }
    for (size_t i = 0; i < n; i++) {
        if (i > 0)
            putchar('\n');
        baseline_text_beer(&text, asked[i]);
    }
    if (n == 0 && run->left_out.files == 0)
        puts("No finished batch yet.");
}

static int run_all(struct cli *cli)
{
    struct run run = {.now = 0};
    if (!cli_open_book(cli, &run.book) || !cli_now(cli, &run.book, &run.now))
        return CLI_TROUBLE;
    run.history.arena = &cli->arena;
    run.history.most = HISTORY_NEWEST;
    arena_init(&run.arena, cli->arena.exhausted, cli->arena.context);
    struct file_list files = cli_files(cli, &run.book);
    for (size_t i = 0; i < files.n; i++)
        read_file(cli, &run, files.paths[i]);
    if (!cli_whole_book(cli))
        history_read(&run.history, &run.book, &run.arena, run.now);
    show(cli, &run);
    cli_write_diags(cli);
    cli_say_later(cli, run.left_out.later);
    arena_free(&run.arena);
    return cli_judged(&run.book, run.left_out.files, false);
}

int main(int argc, char **argv)
{
    return cli_main(&PROGRAM, argc, argv, run_all);
}
