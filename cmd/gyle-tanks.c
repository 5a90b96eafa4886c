/* gyle-tanks: what is in which tank, and when is it free. */
#include "board.h"
#include "cli.h"

#include <stdio.h>

enum { DAYS_MOST = 17 }; /* what 80 columns hold */

static long days;

static const struct cli_option OPTIONS[] = {
    {'d', "days", "N", "a picture of the next N days, 1 to 17", CLI_NUMBER, &days},
};

static const struct cli_program PROGRAM = {
    .name = "gyle-tanks",
    .operands = "[FILE...]",
    .summary = "what is in which tank, in which state, and when it should be free",
    .exits = "a planned batch finds its tank taken",
    .common = CLI_HAS_BOOK | CLI_HAS_FILES,
    .options = OPTIONS,
    .option_count = sizeof OPTIONS / sizeof OPTIONS[0],
};

static int run(struct cli *cli)
{
    struct book book = {0};
    int64_t now;
    if (days > DAYS_MOST) {
        cli_say(cli, "--days: at most %d", DAYS_MOST);
        return CLI_TROUBLE;
    }
    if (!cli_open_book(cli, &book) || !cli_now(cli, &book, &now))
        return CLI_TROUBLE;
    struct occupancy *occupancy = occupancy_read(
        &book, &cli->arena,
        &(struct occupancy_request){cli_files(cli, &book), cli_whole_book(cli), now, now});
    struct board *board = board_make(&cli->arena, occupancy);
    if (cli->tsv)
        board_write_tsv(stdout, board);
    else if (days > 0)
        board_write_days(stdout, board, (int)days);
    else
        board_write_text(stdout, board);
    cli_write_diags(cli);
    if (occupancy->later > 0)
        cli_say(cli, "%zu later %s not looked at", occupancy->later,
                occupancy->later == 1 ? "entry was" : "entries were");
    bool good = occupancy->left_out == 0 && book.cellar_errors == 0;
    size_t clashes = board->clashes;
    occupancy_free(occupancy);
    return !good ? CLI_TROUBLE : clashes > 0 ? CLI_FOUND : CLI_OK;
}

int main(int argc, char **argv)
{
    struct cli cli;
    int status;
    if (cli_start(&cli, &PROGRAM, argc, argv, &status) != 0)
        return status;
    return cli_end(&cli, run(&cli));
}
