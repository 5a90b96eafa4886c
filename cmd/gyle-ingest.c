#include "cli.h"
#include "enter.h"
#include "intake.h"
#include "outcome.h"

static const char *from_text, *reject_path;
static bool dry_run, correct, ask, make_commit;

static const struct cli_option OPTIONS[] = {
    {'n', "dry-run", NULL, "say what would be added, and write nothing", CLI_FLAG, &dry_run},
    {0, "from", "KIND", "sheet, lines or an import; else its first line tells", CLI_TEXT,
     &from_text},
    {0, "correct", NULL, "let another figure for a reading correct it", CLI_FLAG, &correct},
    {0, "ask", NULL, "ask on the terminal about what is unlikely", CLI_FLAG, &ask},
    {0, "reject", "REJECTS", "write there what was refused, to be mended", CLI_TEXT, &reject_path},
    {0, "commit", NULL, "make a git commit of what was added", CLI_FLAG, &make_commit},
};

static const struct cli_program PROGRAM = {
    .name = "gyle-ingest",
    .operands = "[FILE...]",
    .summary = "adds what was read on the round to the gyle book",
    .exits = "a line refused",
    .common = CLI_HAS_BOOK | CLI_HAS_FILES,
    .options = OPTIONS,
    .option_count = sizeof OPTIONS / sizeof OPTIONS[0],
};

static bool read_sources(struct cli *cli, struct enter *enter)
{
    static char input[] = "-", *only_input = input;
    bool none = cli_whole_book(cli), readable = true;
    char **names = none ? &only_input : cli->operands;
    size_t n = none ? 1 : cli->operand_count;
    struct source *sources = arena_array(&cli->arena, n, sizeof *sources);
    for (size_t i = 0; i < n; i++)
        readable = file_read(&cli->arena, names[i], &sources[i], &cli->diags) && readable;
    enter->sources = sources;
    enter->source_count = n;
    return readable;
}

static void tell(struct cli *cli, const struct enter *enter)
{
    const struct civil_zone *zone = enter->book->cellar->zone;
    for (size_t i = 0; i < enter->says.n; i++)
        cli_say(cli, "%s", enter->says.items[i]);
    diag_append(&cli->diags, &enter->diags);
    cli_write_diags(cli);
    if (enter->judged && cli->tsv)
        outcome_tsv(stdout, &cli->arena, &enter->list, zone);
    else if (enter->judged)
        outcome_text(stdout, &cli->arena, &enter->list, zone, 80);
}

static int run(struct cli *cli)
{
    struct book book;
    struct enter enter = {.arena = &cli->arena,
                          .book = &book,
                          .dry_run = dry_run,
                          .correct = correct,
                          .ask = ask,
                          .commit = make_commit,
                          .from = str_of(from_text == NULL ? "" : from_text),
                          .reject_path = reject_path};
    cli->near = "-"; /* the operands are no files of the book */
    if (!cli_open_book(cli, &book) || !cli_now(cli, &book, &enter.now))
        return CLI_TROUBLE;
    const char *why = intake_check_kind(book.cellar, &cli->arena, enter.from);
    if (from_text != NULL && why != NULL) {
        cli_say(cli, "--from: %s", why);
        return CLI_TROUBLE;
    }
    if (!read_sources(cli, &enter)) {
        cli_write_diags(cli);
        return CLI_TROUBLE;
    }
    bool good = enter_book(&enter);
    tell(cli, &enter);
    return !good ? CLI_TROUBLE : outcome_has_refused(&enter.list) ? CLI_FOUND : CLI_OK;
}

int main(int argc, char **argv)
{
    return cli_main(&PROGRAM, argc, argv, run);
}
