/* gyle-anomaly: what is wrong in the tanks, and is it the meter? */
#include "anomaly.h"
#include "anomaly_text.h"
#include "cli.h"
#include "shelf.h"
#include "str.h"

#include <stdio.h>
#include <string.h>

static struct {
    const char *since, *level, *explain;
    struct cli_texts tanks;
    bool rules, brief;
} wanted;

static const struct cli_option OPTIONS[] = {
    {0, "since", "TIME", "also what has ended, and beer that has left, since then", CLI_TEXT,
     &wanted.since},
    {0, "level", "LEVEL", "leave out what is milder: note, warn, alarm", CLI_TEXT, &wanted.level},
    {0, "tank", "TANK", "of this tank only; may be given again", CLI_TEXTS, &wanted.tanks},
    {'s', "short", NULL, "one line for each finding", CLI_FLAG, &wanted.brief},
    {0, "rules", NULL, "print every rule and stop", CLI_FLAG, &wanted.rules},
    {0, "explain", "RULE", "print what one rule looks at and stop", CLI_TEXT, &wanted.explain},
};

static const struct cli_program PROGRAM = {
    .name = "gyle-anomaly",
    .operands = "[FILE...]",
    .summary = "what is wrong in the tanks, and is it the meter",
    .exits = "there is an alarm",
    .common = CLI_HAS_BOOK | CLI_HAS_FILES,
    .options = OPTIONS,
    .option_count = sizeof OPTIONS / sizeof OPTIONS[0],
};

static int explain(struct cli *cli)
{
    enum anomaly_rule rule = anomaly_find(str_of(wanted.explain));
    if (rule != ANOMALY_COUNT) {
        anomaly_write_rule(stdout, &cli->arena, rule);
        return CLI_OK;
    }
    const char *shown = str_shown(&cli->arena, str_of(wanted.explain));
    const char *nearest = anomaly_nearest(str_of(wanted.explain));
    if (nearest != NULL)
        cli_say(cli, "no rule \"%s\"; did you mean %s?", shown, nearest);
    else
        cli_say(cli, "no rule \"%s\"; --rules prints them all", shown);
    return CLI_TROUBLE;
}

/* ANOMALY_NOTE when none is asked for, ANOMALY_NONE for one that there is not. */
static enum anomaly_level level_asked(struct cli *cli)
{
    if (wanted.level == NULL)
        return ANOMALY_NOTE;
    for (int level = ANOMALY_NOTE; level <= ANOMALY_ALARM; level++)
        if (strcmp(wanted.level, ANOMALY_LEVELS[level]) == 0)
            return (enum anomaly_level)level;
    cli_say(cli, "--level: \"%s\" is none of note, warn, alarm",
            str_shown(&cli->arena, str_of(wanted.level)));
    return ANOMALY_NONE;
}

static bool tanks_known(struct cli *cli, const struct cellar *cellar)
{
    bool all = true;
    for (size_t i = 0; i < wanted.tanks.n; i++) {
        struct str name = str_of(wanted.tanks.items[i]);
        if (cellar_tank(cellar, name) != NULL)
            continue;
        const char *nearest = cellar_nearest_tank(cellar, &cli->arena, name);
        cli_say(cli, "--tank: no tank \"%s\" in the cellar file%s%s", str_shown(&cli->arena, name),
                nearest == NULL ? "" : "; did you mean ", nearest == NULL ? "" : nearest);
        all = false;
    }
    return all;
}

/* Meters, checks and rounds are told when no tank was asked for. */
static bool is_wanted(const struct anomaly_finding *finding, enum anomaly_level least)
{
    if (finding->level < least)
        return false;
    for (size_t i = 0; i < wanted.tanks.n; i++)
        if (str_is(finding->tank, wanted.tanks.items[i]))
            return true;
    return wanted.tanks.n == 0;
}

static struct anomaly_book book_of(struct cli *cli, const struct book *book,
                                   const struct shelf *shelf, int64_t now, int64_t since)
{
    const struct batch **batches =
        arena_array(&cli->arena, shelf->batches.n + 1, sizeof(struct batch *));
    bool *asked = arena_array(&cli->arena, shelf->batches.n + 1, sizeof *asked);
    for (size_t i = 0; i < shelf->batches.n; i++) {
        batches[i] = shelf->batches.items[i].batch;
        asked[i] = shelf->batches.items[i].asked;
    }
    return (struct anomaly_book){
        .arena = &cli->arena,
        .cellar = book->cellar,
        .batches = batches,
        .asked = asked,
        .batch_count = shelf->batches.n,
        .history = &shelf->history,
        .plants = shelf->plants.items,
        .plant_count = shelf->plants.n,
        .plants_asked = shelf->plants_wanted,
        .now = now,
        .since = since,
        .house_units = !cli->tsv,
    };
}

static int judge(struct cli *cli, struct book *book, int64_t now, int64_t since,
                 enum anomaly_level least)
{
    const struct shelf_request request = {
        .asked = {(const char **)cli->operands, cli->operand_count, cli->operand_count},
        .now = now,
        .since = since,
        .history = true};
    struct shelf shelf = shelf_load(book, &cli->arena, &request);
    struct anomaly_book all = book_of(cli, book, &shelf, now, since);
    struct anomaly_findings findings = anomaly_judge(&all);
    size_t alarms = 0, told = 0;
    for (size_t i = 0; i < findings.n; i++) {
        if (!is_wanted(&findings.items[i], least))
            continue;
        findings.items[told++] = findings.items[i];
        alarms += findings.items[i].level == ANOMALY_ALARM && findings.items[i].seen == NULL &&
                  !findings.items[i].ended;
    }
    findings.n = told;
    if (cli->tsv)
        anomaly_write_tsv(stdout, &all, &findings);
    else if (wanted.brief)
        anomaly_write_short(stdout, &all, &findings);
    else
        anomaly_write_text(stdout, &all, &findings);
    shelf_free(&shelf);
    cli_write_diags(cli);
    if (shelf.later > 0)
        cli_say(cli, "%zu later entr%s ignored", shelf.later,
                shelf.later == 1 ? "y was" : "ies were");
    return shelf.left_out > 0 || book->cellar_errors > 0 ? CLI_TROUBLE
           : alarms > 0                                  ? CLI_FOUND
                                                         : CLI_OK;
}

int main(int argc, char **argv)
{
    struct cli cli;
    struct book book;
    int64_t now = 0, since = 0;
    int status = 0;
    if (cli_start(&cli, &PROGRAM, argc, argv, &status) != 0)
        return status;
    if (wanted.rules) {
        anomaly_write_rules(stdout, &cli.arena, cli.tsv);
        return cli_end(&cli, CLI_OK);
    }
    if (wanted.explain != NULL)
        return cli_end(&cli, explain(&cli));
    enum anomaly_level least = level_asked(&cli);
    if (least == ANOMALY_NONE || !cli_open_book(&cli, &book) || !cli_now(&cli, &book, &now) ||
        !tanks_known(&cli, book.cellar))
        return cli_end(&cli, CLI_TROUBLE);
    since = now;
    if (wanted.since != NULL) {
        enum civil_status read =
            civil_parse_time_or_date(wanted.since, strlen(wanted.since), book.cellar->zone, &since);
        if (read != CIVIL_OK && read != CIVIL_FOLD) {
            cli_say(&cli, "--since \"%s\": %s", str_shown(&cli.arena, str_of(wanted.since)),
                    civil_status_text(read));
            return cli_end(&cli, CLI_TROUBLE);
        }
    }
    return cli_end(&cli, judge(&cli, &book, now, since, least));
}
