#include "ask.h"
#include "cli.h"
#include "commit.h"
#include "ingest.h"
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
    .summary = "add what was read on the round to the gyle book",
    .exits = "a line refused",
    .common = CLI_HAS_BOOK | CLI_HAS_FILES,
    .options = OPTIONS,
    .option_count = sizeof OPTIONS / sizeof OPTIONS[0],
};

struct run {
    struct cli cli;
    struct book book;
    struct ingest ingest;
    struct entry_list list;
    struct source *sources;
    size_t source_count;
};

static bool trouble(struct run *run, const char *why)
{
    if (why != NULL)
        cli_say(&run->cli, "%s", why);
    return why != NULL;
}

/* Reads the book and what comes in, and judges it. */
static bool judge(struct run *run, struct entry_list *list, bool write,
                  const struct entry_list *asked)
{
    struct cli *cli = &run->cli;
    run->ingest.dry_run = !write;
    if (trouble(run, ingest_begin(&run->ingest)))
        return false;
    for (size_t i = 0; i < run->source_count; i++) {
        const struct source *source = &run->sources[i];
        struct buf notes = buf_new(&cli->arena);
        const char *why = intake_read(&run->ingest, str_of(from_text), source, list, &notes);
        if (why != NULL || (notes.n > 0 && asked == NULL))
            cli_say(cli, "%s: %s", str_shown(&cli->arena, source->name),
                    why != NULL ? why : notes.p);
        if (why != NULL)
            return false;
    }
    if (asked != NULL)
        ask_apply(asked, list);
    ingest_run(&run->ingest, list);
    return true;
}

/* What would be added is judged once before the lock is taken: a person may take long to answer. */
static bool ask_first(struct run *run, struct entry_list *asked)
{
    FILE *terminal = fopen("/dev/tty", "r+");
    if (terminal == NULL) {
        trouble(run, "--ask needs a terminal");
        return false;
    }
    bool read = judge(run, asked, false, NULL);
    if (read)
        ask_unlikely(terminal, terminal, &run->cli.arena, asked, run->book.cellar->zone);
    fclose(terminal);
    return read;
}

static bool write_rejects(struct run *run)
{
    struct arena *arena = &run->cli.arena;
    struct store_file file;
    const char *why = NULL;
    struct str text = outcome_rejects(arena, &run->list);
    if (store_read(&file, arena, reject_path, &why) && (text.n > 0 || file.exists) &&
        store_write(&file, arena, text, &why) == STORE_DONE)
        store_sync(&file, arena, &why);
    return !trouble(run, why);
}

/* Everything that is done under the book's lock. */
static int add(struct run *run, const struct entry_list *asked)
{
    struct cli *cli = &run->cli;
    struct commit commit;
    const char *why = NULL;
    if (make_commit && !commit_begin(&commit, &cli->arena, run->book.folder, &why))
        return trouble(run, why) ? CLI_TROUBLE : CLI_OK;
    if (!judge(run, &run->list, !dry_run, asked))
        return CLI_TROUBLE;
    diag_append(&cli->diags, &run->ingest.roster->diags);
    cli_write_diags(cli);
    bool good = (reject_path == NULL || dry_run || write_rejects(run)) && !run->ingest.trouble;
    if (cli->tsv)
        outcome_tsv(stdout, &cli->arena, &run->list, run->book.cellar->zone);
    else
        outcome_text(stdout, &cli->arena, &run->list, run->book.cellar->zone, 80);
    if (make_commit)
        commit_added(&commit, run->ingest.written.items, run->ingest.written.n, &run->list,
                     run->book.cellar->zone, &why);
    if (trouble(run, why) || !good)
        return CLI_TROUBLE;
    return outcome_has_refused(&run->list) ? CLI_FOUND : CLI_OK;
}

static bool read_sources(struct run *run)
{
    static char input[] = "-", *only_input = input;
    struct cli *cli = &run->cli;
    bool none = cli_whole_book(cli), readable = true;
    char **names = none ? &only_input : cli->operands;
    run->source_count = none ? 1 : cli->operand_count;
    run->sources = arena_array(&cli->arena, run->source_count, sizeof *run->sources);
    for (size_t i = 0; i < run->source_count; i++)
        readable = file_read(&cli->arena, names[i], &run->sources[i], &cli->diags) && readable;
    return readable;
}

static int run_all(struct run *run)
{
    enum { WAIT_SECONDS = 60 };
    struct cli *cli = &run->cli;
    struct entry_list asked = {NULL, 0, 0};
    struct store_lock lock;
    const char *why = NULL;
    cli->near = "-"; /* the operands are no files of the book */
    if (!cli_open_book(cli, &run->book) || !cli_now(cli, &run->book, &run->ingest.now))
        return CLI_TROUBLE;
    run->ingest.arena = &cli->arena;
    run->ingest.book = &run->book;
    run->ingest.correct = correct;
    if (from_text != NULL)
        why = intake_check_kind(run->book.cellar, &cli->arena, str_of(from_text));
    if (why != NULL) {
        cli_say(cli, "--from: %s", why);
        return CLI_TROUBLE;
    }
    if (!read_sources(run)) {
        cli_write_diags(cli);
        return CLI_TROUBLE;
    }
    if (ask && !ask_first(run, &asked))
        return CLI_TROUBLE;
    if (!store_lock(&lock, &cli->arena, run->book.folder, WAIT_SECONDS, &why)) {
        trouble(run, why);
        return CLI_TROUBLE;
    }
    int status = add(run, ask ? &asked : NULL);
    store_unlock(&lock);
    return status;
}

int main(int argc, char **argv)
{
    struct run run = {.list = {NULL, 0, 0}};
    int status;
    if (cli_start(&run.cli, &PROGRAM, argc, argv, &status) != 0)
        return status;
    return cli_end(&run.cli, run_all(&run));
}
