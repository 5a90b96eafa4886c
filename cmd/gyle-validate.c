/* gyle-validate: every mistake in a gyle book, with its place. */
#include "cli.h"
#include "crew.h"
#include "lint.h"
#include "report.h"
#include "schema.h"
#include "survey.h"
#include "terminal.h"

struct run {
    struct cli cli;
    struct survey survey;
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

static bool opened(void *context, const struct book *book, int64_t *now)
{
    struct run *run = context;
    return cli_now(&run->cli, book, now) && set_levels(run, book->diags);
}

static bool check_book(struct run *run)
{
    struct cli *cli = &run->cli;
    struct book book;
    cli->near = run->name;
    if (!cli_open_book(cli, &book))
        return false;
    return cli_whole_book(cli)
               ? survey_book(&run->survey, &book)
               : survey_files(&run->survey, &book, (const char *const *)cli->operands,
                              cli->operand_count);
}

static bool check_staged(struct run *run)
{
    struct cli *cli = &run->cli;
    const char *why;
    if (!cli_whole_book(cli) || cli->cellar != NULL || run->name != NULL) {
        cli_say(cli, "--staged goes without FILE, -c and --name: it checks what is staged");
        return false;
    }
    if (survey_staged(&run->survey, &cli->diags, cli_zone_folder(), &why))
        return true;
    if (why != NULL)
        cli_say(cli, "--staged: %s", why);
    return false;
}

static int write_findings(struct run *run)
{
    struct cli *cli = &run->cli;
    struct report report = {.out = cli->tsv ? stdout : cli_messages(cli),
                            .arena = &cli->arena,
                            .errors_only = run->errors_only,
                            .colour = terminal_takes_colour(),
                            .width = terminal_width(),
                            .text_of = survey_text,
                            .context = &run->survey};
    diag_sort(&cli->diags);
    (cli->tsv ? report_tsv : report_text)(&report, &cli->diags);
    return cli->diags.errors > 0 ? CLI_FOUND : CLI_OK;
}

/* What is in the book. */
static int check(struct run *run)
{
    struct survey *survey = &run->survey;
    survey->name = run->name;
    survey->threads = run->jobs > 0 ? (size_t)run->jobs : crew_processors();
    survey->opened = opened;
    survey->context = run;
    survey_begin(survey, &run->cli.arena);
    bool done = run->from_index ? check_staged(run) : check_book(run);
    int status = done ? write_findings(run) : CLI_TROUBLE;
    survey_end(survey);
    return status;
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
    return run->list_rules ? list_rules(run) : check(run);
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
    return cli_end(&run.cli, do_work(&run));
}
