/* gyle-anomaly: what is wrong in the tanks, and is it the meter? */
#include "anomaly.h"
#include "anomaly_text.h"
#include "cli.h"
#include "shelf.h"
#include "str.h"

#include <stdio.h>

static struct {
    const char *since, *level, *explain;
    struct cli_texts tanks;
    bool rules, brief;
} wanted;

static const struct cli_option OPTIONS[] = {
    {0, "since", "TIME", "also what has ended, and beer that has left, since then", CLI_TEXT,
     &wanted.since},
    {0, "level", "LEVEL", "leave out what is milder: note, warn, alarm", CLI_TEXT, &wanted.level},
    {0, "tank", "TANK", "of this tank only; may be repeated", CLI_TEXTS, &wanted.tanks},
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
    cli_say(cli, "no rule \"%s\"%s", shown,
            str_meant(&cli->arena, nearest, "; --rules prints them all"));
    return CLI_TROUBLE;
}

/* ANOMALY_NOTE when none is asked for, ANOMALY_NONE for one that there is not. */
static enum anomaly_level level_asked(struct cli *cli)
{
    if (wanted.level == NULL)
        return ANOMALY_NOTE;
    enum anomaly_level level = anomaly_level_of(str_of(wanted.level));
    if (level == ANOMALY_NONE)
        cli_say(cli, "--level: \"%s\" is none of note, warn, alarm",
                str_shown(&cli->arena, str_of(wanted.level)));
    return level;
}

static void write_findings(const struct cli *cli, const struct anomaly_book *book,
                           const struct anomaly_findings *findings)
{
    if (cli->tsv)
        anomaly_write_tsv(stdout, book, findings);
    else if (wanted.brief)
        anomaly_write_short(stdout, book, findings);
    else
        anomaly_write_text(stdout, book, findings);
}

static int judge(struct cli *cli, struct book *book, int64_t now, int64_t since,
                 enum anomaly_level least)
{
    const struct shelf_request request = {
        .asked = cli_named_files(cli), .now = now, .since = since, .history = true};
    struct shelf shelf = shelf_load(book, &cli->arena, &request);
    struct anomaly_book judged = anomaly_book_of(book, &shelf, &cli->arena, now, since);
    judged.house_units = !cli->tsv;
    struct anomaly_findings findings = anomaly_judge(&judged);
    anomaly_keep(&findings, least, wanted.tanks.items, wanted.tanks.n);
    write_findings(cli, &judged, &findings);
    bool alarm = false;
    for (size_t i = 0; i < findings.n; i++)
        alarm |= anomaly_is_alarm(&findings.items[i]);
    shelf_free(&shelf);
    cli_write_diags(cli);
    cli_say_later(cli, shelf.later);
    return cli_judged(book, shelf.left_out, alarm);
}

static int run(struct cli *cli)
{
    struct book book;
    int64_t now, since;
    if (wanted.rules) {
        anomaly_write_rules(stdout, &cli->arena, cli->tsv);
        return CLI_OK;
    }
    if (wanted.explain != NULL)
        return explain(cli);
    enum anomaly_level least = level_asked(cli);
    if (least == ANOMALY_NONE || !cli_open_book(cli, &book) || !cli_now(cli, &book, &now) ||
        !cli_has_tanks(cli, book.cellar, &wanted.tanks))
        return CLI_TROUBLE;
    since = now;
    if (wanted.since != NULL && !cli_moment(cli, &book, "--since", wanted.since, &since))
        return CLI_TROUBLE;
    return judge(cli, &book, now, since, least);
}

int main(int argc, char **argv)
{
    return cli_main(&PROGRAM, argc, argv, run);
}
