/* gyle-tanks: what is in which tank, and when is it free. */
#include "board.h"
#include "cli.h"
#include "news.h"

#include <stdio.h>

enum { DAYS_MOST = 17 }; /* what 80 columns hold */

static long days = -1; /* not asked for */
static bool news;

static const struct cli_option OPTIONS[] = {
    {'d', "days", "N", "a picture of the next N days, 1 to 17", CLI_NUMBER, &days},
    {0, "news", NULL, "what is wrong, what to do today, what is coming", CLI_FLAG, &news},
};

static const struct cli_program PROGRAM = {
    .name = "gyle-tanks",
    .operands = "[FILE...]",
    .summary = "what is in which tank, in which state, and when it should be free",
    .exits = "a plan clashes, or the news is bad",
    .common = CLI_HAS_BOOK | CLI_HAS_FILES,
    .options = OPTIONS,
    .option_count = sizeof OPTIONS / sizeof OPTIONS[0],
};

/* True when something is wrong. */
static bool show_board(const struct cli *cli, const struct board *board)
{
    if (cli->tsv)
        board_write_tsv(stdout, board);
    else if (days > 0)
        board_write_days(stdout, board, (int)days);
    else
        board_write_text(stdout, board);
    return board->clashes > 0;
}

/* The same; what is wrong in the book is part of the news. */
static bool show_news(struct cli *cli, const struct book *book, const struct occupancy *occupancy)
{
    const struct news *all = news_make(&cli->arena, book, occupancy, &cli->diags);
    (cli->tsv ? news_write_tsv : news_write_text)(stdout, all);
    return all->found;
}

static int run(struct cli *cli)
{
    struct book book = {0};
    struct occupancy_request request = {.whole = cli_whole_book(cli)};
    if (news && days >= 0) {
        cli_say(cli, "--news goes without --days");
        return CLI_TROUBLE;
    }
    if (days == 0 || days > DAYS_MOST) {
        cli_say(cli, "--days: 1 to %d", DAYS_MOST);
        return CLI_TROUBLE;
    }
    if (!cli_open_book(cli, &book) || !cli_now(cli, &book, &request.now))
        return CLI_TROUBLE;
    request.asked = cli_files(cli, &book);
    request.since = news ? news_since(book.cellar, request.now) : request.now;
    struct occupancy *occupancy = occupancy_read(&book, &cli->arena, &request);
    bool found = news ? show_news(cli, &book, occupancy)
                      : show_board(cli, board_make(&cli->arena, occupancy));
    if (!news) {
        cli_write_diags(cli);
        cli_say_later(cli, occupancy->later);
    }
    int status = cli_judged(&book, occupancy->left_out, found);
    occupancy_free(occupancy);
    return status;
}

int main(int argc, char **argv)
{
    return cli_main(&PROGRAM, argc, argv, run);
}
