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

/* Without files every meter; else those that the files read with, or calibrate. */
static bool is_asked(const struct shelf *shelf, const struct meter *meter)
{
    if (shelf->plants_wanted)
        return true;
    for (size_t i = 0; i < shelf->batches.n; i++) {
        const struct batch *batch = shelf->batches.items[i].batch;
        for (size_t k = 0; shelf->batches.items[i].asked && k < batch->course.n; k++)
            for (int reads = 0; reads < READS_COUNT; reads++)
                if (str_eq(text_of(batch->course.items[k]->meter[reads]), meter->name))
                    return true;
    }
    return false;
}

static struct meters meters_of(struct cli *cli, const struct book *book, const struct shelf *shelf,
                               int64_t now)
{
    struct batch_course *courses = NULL;
    size_t n = 0, capacity = 0;
    struct meters meters = meter_all(
        &cli->arena, book->cellar, (struct meter_logs){shelf->plants.items, shelf->plants.n}, now);
    for (size_t i = 0; i < shelf->batches.n; i++) {
        struct batch_courses all = batch_courses(shelf->batches.items[i].batch, &cli->arena, now);
        for (size_t k = 0; k < all.n; k++) {
            if (n == capacity)
                courses = arena_grow(&cli->arena, courses, &capacity, sizeof *courses);
            courses[n++] = all.items[k];
        }
    }
    meter_find_shifts(&meters, &cli->arena, book->cellar, courses, n);
    meter_find_pairs(&meters, &cli->arena, book->cellar, courses, n);
    return meters;
}

static int judge(struct cli *cli)
{
    struct book book;
    int64_t now;
    if (!cli_open_book(cli, &book) || !cli_now(cli, &book, &now))
        return CLI_TROUBLE;
    const struct shelf_request request = {.asked = cli_named_files(cli), .now = now, .since = now};
    struct shelf shelf = shelf_load(&book, &cli->arena, &request);
    struct meters meters = meters_of(cli, &book, &shelf, now);
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
        if (!is_asked(&shelf, &meters.items[i]))
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
    cli_say_later(cli, shelf.later, "ignored");
    return cli_judged(&book, shelf.left_out, refused);
}

int main(int argc, char **argv)
{
    return cli_main(&PROGRAM, argc, argv, judge);
}
