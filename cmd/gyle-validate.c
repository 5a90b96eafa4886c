#include "check.h"
#include "cli.h"
#include "report.h"

#include <sys/stat.h>

static const struct cli_program PROGRAM = {
    .name = "gyle-validate",
    .operands = "[FILE...]",
    .summary = "Finds every mistake in a gyle book, with line and column.",
    .exits = "an error was found",
    .common = CLI_HAS_BOOK,
};

struct run {
    struct cli cli;
    struct book book;
    struct check check;
    struct arena arena; /* of one file */
    struct stat *operands;
};

/* True when path is one of the operands. */
static bool is_operand(const struct run *run, const char *path)
{
    struct stat info;
    if (run->cli.operand_count == 0 || stat(path, &info) != 0)
        return false;
    for (size_t i = 0; i < run->cli.operand_count; i++)
        if (run->operands[i].st_ino == info.st_ino && run->operands[i].st_dev == info.st_dev)
            return true;
    return false;
}

static void check_path(struct run *run, const char *path, bool reported)
{
    arena_reset(&run->arena);
    struct book_file *file = book_load(&run->book, &run->arena, path);
    check_file(&run->check, &run->book, &run->arena, file, reported);
}

static void check_paths(struct run *run, struct file_list list, bool reported)
{
    for (size_t i = 0; i < list.n; i++)
        if (reported || !is_operand(run, list.paths[i]))
            check_path(run, list.paths[i], reported);
}

static void check_operands(struct run *run)
{
    struct cli *cli = &run->cli;
    run->operands = arena_array(&cli->arena, cli->operand_count, sizeof *run->operands);
    for (size_t i = 0; i < cli->operand_count; i++) {
        bool found = stat(cli->operands[i], &run->operands[i]) == 0;
        struct stat cellar;
        if (found && stat(run->book.cellar_path, &cellar) == 0 &&
            cellar.st_ino == run->operands[i].st_ino && cellar.st_dev == run->operands[i].st_dev)
            check_cellar(&run->check, run->book.cellar);
        else
            check_path(run, cli->operands[i], true);
    }
}

/* The rest of the book says what the operands may not contradict. */
static void check_rest(struct run *run)
{
    struct diags silent;
    struct arena arena;
    arena_init(&arena, run->cli.arena.exhausted, run->cli.arena.context);
    diag_init(&silent, &arena);
    for (size_t i = 0; i < RULE_COUNT; i++)
        silent.level[i] = DIAG_OFF;
    struct file_list list = book_batches(&run->book);
    struct book book = run->book;
    run->book.diags = run->check.diags = &silent;
    check_paths(run, list, false);
    run->book = book;
    run->check.diags = book.diags;
    arena_free(&arena);
}

static void write(struct run *run)
{
    struct diags *diags = &run->cli.diags;
    struct report report = {run->cli.tsv ? stdout : stderr, &run->cli.arena, false};
    diag_sort(diags);
    if (run->cli.tsv)
        report_tsv(&report, diags);
    else
        report_text(&report, diags);
}

static bool is_trouble(const struct diags *diags)
{
    for (size_t i = 0; i < diags->n; i++)
        if (diags->items[i].rule == RULE_UNREADABLE)
            return true;
    return false;
}

int main(int argc, char **argv)
{
    struct run run;
    int status;
    int64_t now;
    if (cli_start(&run.cli, &PROGRAM, argc, argv, &status) != 0)
        return status;
    struct diags *diags = &run.cli.diags;
    if (!cli_open_book(&run.cli, &run.book) || !cli_now(&run.cli, &run.book, &now))
        return cli_end(&run.cli, CLI_TROUBLE);
    arena_init(&run.arena, run.cli.arena.exhausted, run.cli.arena.context);
    check_begin(&run.check, run.book.cellar, diags, &run.cli.arena, now);
    if (run.cli.operand_count == 0) {
        check_cellar(&run.check, run.book.cellar);
        check_paths(&run, book_batches(&run.book), true);
        check_paths(&run, book_plants(&run.book), true);
    } else {
        run.check.replaces = true;
        check_operands(&run);
        check_rest(&run);
    }
    check_end(&run.check);
    write(&run);
    arena_free(&run.arena);
    status = is_trouble(diags) ? CLI_TROUBLE : diags->errors > 0 ? CLI_FOUND : CLI_OK;
    return cli_end(&run.cli, status);
}
