#include "check.h"
#include "cli.h"
#include "lint.h"
#include "report.h"
#include "schema.h"
#include "staged.h"
#include "survey.h"
#include "terminal.h"

#include <unistd.h>

struct run {
    struct cli cli;
    struct book book;
    struct check check;
    struct survey survey;
    struct staged staged;
    struct arena texts; /* of the file whose lines are shown */
    bool from_index, list_rules, errors_only;
    long jobs;
    const char *name, *schema;
    struct cli_texts levels;
};

/* The levels that --rule chooses hold over those of the cellar. */
static bool set_levels(struct run *run, struct diags *diags)
{
    for (size_t i = 0; i < run->levels.n; i++) {
        const char *why = lint_set(diags, str_of(run->levels.items[i]));
        if (why != NULL) {
            cli_say(&run->cli, "--rule: %s", why);
            return false;
        }
    }
    return true;
}

/* False: what is wrong was said. */
static bool begin(struct run *run, struct diags *diags)
{
    int64_t now;
    if (!cli_now(&run->cli, &run->book, &now) || !set_levels(run, diags))
        return false;
    check_begin(&run->check, run->book.cellar, diags, &run->cli.arena, now);
    return true;
}

static size_t processors(void)
{
    long n = sysconf(_SC_NPROCESSORS_ONLN);
    return n < 1 ? 1 : (size_t)n;
}

static bool check_book(struct run *run)
{
    struct cli *cli = &run->cli;
    cli->near = run->name;
    if (!cli_open_book(cli, &run->book) || !begin(run, &cli->diags))
        return false;
    run->survey.check = &run->check;
    run->survey.book = &run->book;
    run->survey.name = run->name;
    run->survey.threads = run->jobs > 0 ? (size_t)run->jobs : processors();
    if (cli_whole_book(cli))
        survey_book(&run->survey);
    else
        survey_files(&run->survey, (const char *const *)cli->operands, cli->operand_count);
    check_end(&run->check);
    return true;
}

/* Each book has levels of its own. */
static bool check_staged_book(struct run *run, size_t i)
{
    struct diags diags;
    diag_init(&diags, &run->cli.arena);
    if (staged_open(&run->staged, i, &run->book, &diags, cli_zone_folder())) {
        if (!begin(run, &diags))
            return false;
        staged_check(&run->staged, i, &run->check, &run->book, &run->survey.scratch);
        check_end(&run->check);
    }
    diag_append(&run->cli.diags, &diags);
    return true;
}

static bool check_staged(struct run *run)
{
    const char *why;
    if (!cli_whole_book(&run->cli) || run->cli.cellar != NULL || run->name != NULL) {
        cli_say(&run->cli, "--staged goes without FILE, -c and --name: it checks what is staged");
        return false;
    }
    if (!staged_read(&run->staged, &run->cli.arena, &run->cli.diags, &why)) {
        cli_say(&run->cli, "--staged: %s", why);
        return false;
    }
    for (size_t i = 0; i < run->staged.n; i++)
        if (!check_staged_book(run, i))
            return false;
    return true;
}

/* The file whose lines a finding shows: staged, from standard input, or as it lies there. */
static struct str read_text(void *context, struct str file)
{
    struct run *run = context;
    return run->from_index ? staged_text(&run->staged, file)
                           : survey_text(&run->survey, &run->texts, file);
}

static int write_findings(struct run *run)
{
    struct cli *cli = &run->cli;
    struct report report = {.out = cli->tsv ? stdout : cli_messages(cli),
                            .arena = &cli->arena,
                            .errors_only = run->errors_only,
                            .colour = terminal_takes_colour(),
                            .width = terminal_width(),
                            .text_of = read_text,
                            .context = run};
    diag_sort(&cli->diags);
    (cli->tsv ? report_tsv : report_text)(&report, &cli->diags);
    return cli->diags.errors > 0 ? CLI_FOUND : CLI_OK;
}

static int list_rules(struct run *run)
{
    struct report report = {.out = stdout, .arena = &run->cli.arena};
    if (!set_levels(run, &run->cli.diags))
        return CLI_TROUBLE;
    report_rules(&report, &run->cli.diags, run->cli.tsv);
    return CLI_OK;
}

static int write_schema(struct run *run)
{
    if (schema_write(stdout, str_of(run->schema)))
        return CLI_OK;
    cli_say(&run->cli, "--schema: write batch, cellar or plant, not \"%s\"",
            str_shown(&run->cli.arena, str_of(run->schema)));
    return CLI_TROUBLE;
}

static int do_work(struct run *run)
{
    if (run->schema != NULL)
        return write_schema(run);
    if (run->list_rules)
        return list_rules(run);
    bool done = run->from_index ? check_staged(run) : check_book(run);
    return done ? write_findings(run) : CLI_TROUBLE;
}

int main(int argc, char **argv)
{
    static struct run run;
    const struct cli_option options[] = {
        {0, "staged", NULL, "check what git would commit", CLI_FLAG, &run.from_index},
        {0, "name", "FILE", "the file that standard input stands for", CLI_TEXT, &run.name},
        {0, "rule", "NAME=LEVEL", "choose a rule's level: off, warning or error", CLI_TEXTS,
         &run.levels},
        {0, "rules", NULL, "list the rules", CLI_FLAG, &run.list_rules},
        {0, "schema", "KIND", "print the JSON Schema of batch, cellar or plant", CLI_TEXT,
         &run.schema},
        {'j', "jobs", "N", "threads for the whole book; else one a processor", CLI_NUMBER,
         &run.jobs},
        {0, "errors-only", NULL, "leave warnings out", CLI_FLAG, &run.errors_only},
    };
    const struct cli_program program = {
        .name = "gyle-validate",
        .operands = "[FILE...]",
        .summary = "finds every mistake in a gyle book, with line and column",
        .exits = "an error was found",
        .common = CLI_HAS_BOOK | CLI_HAS_FILES,
        .options = options,
        .option_count = sizeof options / sizeof options[0],
    };
    int status;
    if (cli_start(&run.cli, &program, argc, argv, &status) != 0)
        return status;
    arena_init(&run.survey.scratch, run.cli.arena.exhausted, run.cli.arena.context);
    arena_init(&run.texts, run.cli.arena.exhausted, run.cli.arena.context);
    status = do_work(&run);
    arena_free(&run.survey.scratch);
    arena_free(&run.texts);
    return cli_end(&run.cli, status);
}
