/* gyle-roundsheet: today's sheet, to print or to type into. */
#include "cli.h"
#include "sheet.h"
#include "sheet_text.h"
#include "sheet_tsv.h"

#include <stdio.h>

static const struct cli_program PROGRAM = {
    .name = "gyle-roundsheet",
    .operands = "[FILE...]",
    .summary = "today's round: every tank, what is due, where to write it",
    .exits = "is not used",
    .common = CLI_HAS_BOOK | CLI_HAS_FILES,
};

/* Adds a file's documents; false when one of them has an error and is left out. */
static bool add_file(struct sheet *sheet, const struct book *book, struct arena *arena,
                     const char *path, size_t *later)
{
    arena_reset(arena);
    struct book_file *file = book_load(book, arena, path);
    bool good = file->errors == 0;
    for (size_t i = 0; i < file->plants.n; i++)
        if (file->plants.items[i]->errors == 0)
            sheet_add_plant(sheet, file->plants.items[i]);
    for (size_t i = 0; i < file->batches.n; i++) {
        struct batch *batch = file->batches.items[i];
        if (batch->errors == 0)
            book_settle(book, arena, batch, sheet->now);
        if (batch->errors == 0)
            sheet_add_batch(sheet, batch, arena);
        good = good && batch->errors == 0;
        *later += batch->later;
    }
    return good;
}

int main(int argc, char **argv)
{
    struct cli cli;
    struct book book = {0};
    int64_t now;
    int status;
    if (cli_start(&cli, &PROGRAM, argc, argv, &status) != 0)
        return status;
    if (!cli_open_book(&cli, &book) || !cli_now(&cli, &book, &now))
        return cli_end(&cli, CLI_TROUBLE);
    struct arena arena;
    arena_init(&arena, cli.arena.exhausted, cli.arena.context);
    struct sheet *sheet = sheet_new(&cli.arena, book.cellar, now);
    sheet->is_part = !cli_whole_book(&cli);
    struct file_list plants = book_plants(&book), files = cli_files(&cli, &book);
    bool good = book.cellar_errors == 0;
    size_t later = 0;
    for (size_t i = 0; i < plants.n; i++)
        good = add_file(sheet, &book, &arena, plants.paths[i], &later) && good;
    for (size_t i = 0; i < files.n; i++)
        good = add_file(sheet, &book, &arena, files.paths[i], &later) && good;
    arena_free(&arena);
    sheet_finish(sheet);
    if (cli.tsv)
        sheet_tsv_write(stdout, sheet);
    else
        sheet_text_write(stdout, sheet, (struct sheet_text){80, 60});
    cli_write_diags(&cli);
    if (later > 0)
        cli_say(&cli, "%zu later %s not looked at", later,
                later == 1 ? "entry was" : "entries were");
    return cli_end(&cli, good ? CLI_OK : CLI_TROUBLE);
}
