#include "cli.h"
#include "filled.h"
#include "ingest.h"
#include "outcome.h"

#include <string.h>

static const char *from_text;
static bool dry_run, correct;

static const struct cli_option OPTIONS[] = {
    {'n', "dry-run", NULL, "say what would be added, and write nothing", CLI_FLAG, &dry_run},
    {0, "from", "KIND", "what comes in, sheet or lines; else its first line tells", CLI_TEXT,
     &from_text},
    {0, "correct", NULL, "let another figure for a reading correct it", CLI_FLAG, &correct},
};

static const struct cli_program PROGRAM = {
    .name = "gyle-ingest",
    .operands = "[FILE...]",
    .summary = "add what was read on the round to the gyle book",
    .exits = "a line refused",
    .common = CLI_HAS_BOOK | CLI_HAS_FILES,
    .options = OPTIONS,
    .option_count = sizeof OPTIONS / sizeof OPTIONS[0],
};

static bool read_input(struct cli *cli, const struct ingest *ingest, const struct source *source,
                       struct entry_list *list)
{
    bool sheet =
        from_text != NULL ? strcmp(from_text, "sheet") == 0 : filled_is_sheet(source->text);
    if (!sheet && from_text == NULL && filled_is_other_sheet(source->text)) {
        cli_say(cli, "%s: the sheet was saved with commas: save it as text with tabs",
                str_shown(&cli->arena, source->name));
        return false;
    }
    struct buf unknown = buf_new(&cli->arena);
    if (sheet)
        filled_read(&cli->arena, ingest->roster, source, ingest->now, list, &unknown);
    else
        typed_read(&cli->arena, ingest->roster, source, ingest->now, list);
    if (unknown.n > 0)
        cli_say(cli, "note: columns passed over: %s", unknown.p);
    return true;
}

static int status_of(const struct ingest *ingest, const struct entry_list *list)
{
    int status = CLI_OK;
    for (size_t i = 0; i < list->n; i++)
        if (list->items[i]->state == ENTRY_REFUSED)
            status = CLI_FOUND;
    return ingest->trouble ? CLI_TROUBLE : status;
}

/* Everything that is done under the book's lock. */
static int add(struct cli *cli, struct book *book, const struct source *sources, size_t count)
{
    struct ingest ingest = {
        .arena = &cli->arena, .book = book, .dry_run = dry_run, .correct = correct};
    struct entry_list list = {NULL, 0, 0};
    if (!cli_now(cli, book, &ingest.now))
        return CLI_TROUBLE;
    ingest_begin(&ingest);
    diag_append(&cli->diags, &ingest.roster->diags);
    for (size_t i = 0; i < count; i++)
        if (!read_input(cli, &ingest, &sources[i], &list))
            return CLI_TROUBLE;
    ingest_run(&ingest, &list);
    cli_write_diags(cli);
    if (cli->tsv)
        outcome_tsv(stdout, &cli->arena, &list, book->cellar->zone);
    else
        outcome_text(stdout, &cli->arena, &list, book->cellar->zone, 80);
    return status_of(&ingest, &list);
}

static int run(struct cli *cli)
{
    enum { WAIT_SECONDS = 30 };
    struct book book;
    struct store_lock lock;
    const char *why = "";
    char *input = (char[]){"-"};
    char **names = cli->operand_count > 0 ? cli->operands : &input;
    size_t count = cli->operand_count > 0 ? cli->operand_count : 1;
    if (from_text != NULL && strcmp(from_text, "sheet") != 0 && strcmp(from_text, "lines") != 0) {
        cli_say(cli, "--from: write sheet or lines");
        return CLI_TROUBLE;
    }
    cli->near = "-"; /* the operands are no files of the book */
    if (!cli_open_book(cli, &book))
        return CLI_TROUBLE;
    struct source *sources = arena_array(&cli->arena, count, sizeof *sources);
    bool readable = true;
    for (size_t i = 0; i < count; i++)
        readable = file_read(&cli->arena, names[i], &sources[i], &cli->diags) && readable;
    cli_write_diags(cli);
    if (!readable)
        return CLI_TROUBLE;
    if (!store_lock(&lock, &cli->arena, book.folder, WAIT_SECONDS, &why)) {
        cli_say(cli, "%s", why);
        return CLI_TROUBLE;
    }
    int status = add(cli, &book, sources, count);
    store_unlock(&lock);
    return status;
}

int main(int argc, char **argv)
{
    struct cli cli;
    int status;
    if (cli_start(&cli, &PROGRAM, argc, argv, &status) != 0)
        return status;
    return cli_end(&cli, run(&cli));
}
