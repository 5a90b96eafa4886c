/* gyle-roundsheet: today's sheet, to print or to type into. */
#include "cli.h"
#include "sheet.h"
#include "sheet_missed.h"
#include "sheet_roff.h"
#include "sheet_text.h"
#include "sheet_tsv.h"
#include "sheet_wish.h"

#include <stdio.h>

static struct {
    const char *tanks, *columns, *format, *paper;
    long lines;
    bool wide, blank, missed;
} wanted = {.format = "text", .paper = "a4", .lines = 60};

static const struct cli_option OPTIONS[] = {
    {0, "tanks", "LIST", "only these tanks, due or not: FV1,FV2", CLI_TEXT, &wanted.tanks},
    {0, "columns", "LIST", "blanks for these, due or not: gravity,ph,temp", CLI_TEXT,
     &wanted.columns},
    {0, "format", "NAME", "text, tsv (as -t) or roff (for groff -t)", CLI_TEXT, &wanted.format},
    {0, "paper", "NAME", "of roff: a4 or letter", CLI_TEXT, &wanted.paper},
    {0, "lines", "N", "of a page of text, 60 unless told; 0: no pages", CLI_NUMBER, &wanted.lines},
    {0, "wide", NULL, "132 columns instead of 80", CLI_FLAG, &wanted.wide},
    {0, "blank", NULL, "seven days of empty sheets, to write the book later", CLI_FLAG,
     &wanted.blank},
    {0, "missed", NULL, "what was due yesterday and was not read", CLI_FLAG, &wanted.missed},
};

static const struct cli_program PROGRAM = {
    .name = "gyle-roundsheet",
    .operands = "[FILE...]",
    .summary = "today's round: every tank, what is due, where to write it",
    .exits = "is not used",
    .common = CLI_HAS_BOOK | CLI_HAS_FILES,
    .options = OPTIONS,
    .option_count = sizeof OPTIONS / sizeof OPTIONS[0],
};

enum format { FORMAT_TEXT, FORMAT_TSV, FORMAT_ROFF };
static const char *const FORMATS[] = {"text", "tsv", "roff", NULL};

/* What the options ask for; false: what is wrong was said. */
static bool take_tanks(struct cli *cli, const struct cellar *cellar, struct sheet_wish *wish)
{
    struct str unknown;
    return sheet_wish_tanks(wish, &cli->arena, cellar, wanted.tanks, &unknown) ||
           cli_has_tank(cli, cellar, "--tanks", unknown);
}

static bool take_columns(struct cli *cli, struct sheet_wish *wish)
{
    struct str unknown;
    if (sheet_wish_columns(wish, wanted.columns, &unknown))
        return true;
    cli_say(cli,
            "--columns: \"%s\" is none of gravity, ph, temp, pressure, vdk, carbonation, oxygen",
            str_shown(&cli->arena, unknown));
    return false;
}

static bool take_wishes(struct cli *cli, const struct cellar *cellar, struct sheet_wish *wish,
                        enum format *format, const struct sheet_paper **paper)
{
    int word = keys_word(str_of(wanted.format), FORMATS);
    *paper = sheet_paper_find(str_of(wanted.paper));
    wish->blank = wanted.blank;
    if (word == 0)
        cli_say(cli, "--format: \"%s\" is none of text, tsv, roff",
                str_shown(&cli->arena, str_of(wanted.format)));
    if (*paper == NULL)
        cli_say(cli, "--paper: \"%s\" is neither a4 nor letter",
                str_shown(&cli->arena, str_of(wanted.paper)));
    if (wanted.lines != 0 && wanted.lines < SHEET_TEXT_LINES_LEAST)
        cli_say(cli, "--lines: a page has at least %d lines", SHEET_TEXT_LINES_LEAST);
    if (word == 0 || *paper == NULL || (wanted.lines != 0 && wanted.lines < SHEET_TEXT_LINES_LEAST))
        return false;
    *format = cli->tsv ? FORMAT_TSV : (enum format)(word - 1);
    return (wanted.tanks == NULL || take_tanks(cli, cellar, wish)) &&
           (wanted.columns == NULL || take_columns(cli, wish));
}

static void print(const struct sheet *sheet, enum format format, const struct sheet_paper *paper,
                  bool is_first)
{
    switch (format) {
    case FORMAT_TEXT:
        if (!is_first && wanted.lines > 0)
            putchar('\f');
        sheet_text_write(stdout, sheet,
                         (struct sheet_text){wanted.wide ? 132 : 80, (size_t)wanted.lines});
        break;
    case FORMAT_TSV:
        sheet_tsv_write(stdout, sheet, is_first);
        break;
    case FORMAT_ROFF:
        sheet_roff_write(stdout, sheet, paper, is_first);
        break;
    }
}

static void print_days(struct cli *cli, const struct occupancy *occupancy, struct sheet_wish *wish,
                       enum format format, const struct sheet_paper *paper)
{
    for (int day = 0; day < (wish->blank ? 7 : 1); day++) {
        wish->days_ahead = day;
        print(sheet_make(&cli->arena, occupancy, wish), format, paper, day == 0);
    }
}

static int run(struct cli *cli)
{
    struct book book = {0};
    struct sheet_wish wish = {0};
    enum format format;
    const struct sheet_paper *paper;
    struct occupancy_request request = {.whole = cli_whole_book(cli)};
    if (wanted.blank && wanted.missed) {
        cli_say(cli, "--missed goes without --blank");
        return CLI_TROUBLE;
    }
    if (!cli_open_book(cli, &book) || !cli_now(cli, &book, &request.now) ||
        !take_wishes(cli, book.cellar, &wish, &format, &paper))
        return CLI_TROUBLE;
    request.asked = cli_files(cli, &book);
    request.since = wanted.missed ? sheet_missed_since(book.cellar, request.now) : request.now;
    struct occupancy *occupancy = occupancy_read(&book, &cli->arena, &request);
    if (wanted.missed) {
        struct sheet_missed missed = sheet_missed_make(&cli->arena, occupancy, &wish);
        sheet_missed_write(stdout, &missed, cli->tsv);
    } else {
        print_days(cli, occupancy, &wish, format, paper);
    }
    cli_write_diags(cli);
    cli_say_later(cli, occupancy->later);
    int status = cli_judged(&book, occupancy->left_out, false);
    occupancy_free(occupancy);
    return status;
}

int main(int argc, char **argv)
{
    return cli_main(&PROGRAM, argc, argv, run);
}
