/* gyle-meters: which meter can be trusted today, and why. */
#include "cli.h"
#include "shelf.h"
#include "trust_text.h"

#include <stdio.h>

static const struct cli_program PROGRAM = {
    .name = "gyle-meters",
    .operands = "[FILE...]",
    .summary = "which meter can be trusted today, and why",
    .exits = "a meter should not be used",
    .common = CLI_HAS_BOOK | CLI_HAS_FILES,
    .options = NULL,
    .option_count = 0,
};

static int judge(struct cli *cli)
{
    struct book book;
    int64_t now;
    if (!cli_open_book(cli, &book) || !cli_now(cli, &book, &now))
        return CLI_TROUBLE;
    const struct shelf_request request = {.asked = cli_named_files(cli), .now = now, .since = now};
    struct shelf shelf = shelf_load(&book, &cli->arena, &request);
    struct batch_courses courses = shelf_courses(&shelf, &cli->arena, now);
    struct meters meters =
        trust_meters(&cli->arena, book.cellar,
                     (struct meter_logs){shelf.plants.items, shelf.plants.n}, &courses, now);
    struct table table = {.out = stdout,
                          .arena = &cli->arena,
                          .columns = TRUST_TEXT_COLUMNS,
                          .column_count = TRUST_TEXT_COUNT,
                          .tsv = cli->tsv,
                          .width = 80,
                          .context = book.cellar};
    bool refused = false;
    table_begin(&table);
    for (size_t i = 0; i < meters.n; i++) {
        if (!shelf_asks_for_meter(&shelf, meters.items[i].name))
            continue;
        struct trust trust = trust_judge(&meters, &meters.items[i], &cli->arena, book.cellar, now);
        refused |= trust.verdict == TRUST_NO;
        table_row(&table, &trust);
    }
    table_end(&table);
    if (meters.n == 0 && !cli->tsv)
        printf("The cellar file lists no meters.\n");
    shelf_free(&shelf);
    cli_write_diags(cli);
    cli_say_later(cli, shelf.later);
    return cli_judged(&book, shelf.left_out, refused);
}

int main(int argc, char **argv)
{
    return cli_main(&PROGRAM, argc, argv, judge);
}
