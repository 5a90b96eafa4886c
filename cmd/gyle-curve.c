/* gyle-curve: gravity, pH, temperature and pressure against days, as a chart. */
#include "cli.h"
#include "pick.h"
#include "plot.h"
#include "plot_svg.h"
#include "plot_text.h"
#include "plot_tsv.h"
#include "terminal.h"

#include <stdio.h>

static struct cli_texts numbers, tanks, quantities;
static const char *baseline_path;
static bool compare, ascii, svg;

static const struct cli_option OPTIONS[] = {
    {'b', "batch", "NUMBER", "this batch; may be repeated", CLI_TEXTS, &numbers},
    {0, "tank", "TANK", "what is in this tank; may be repeated", CLI_TEXTS, &tanks},
    {'q', "quantity", "NAME", "gravity, ph, temp or pressure alone; may be repeated", CLI_TEXTS,
     &quantities},
    {'m', "compare", NULL, "all batches on the same axes", CLI_FLAG, &compare},
    {0, "baseline", "FILE", "what gyle-baseline -t wrote, for the earlier batches", CLI_TEXT,
     &baseline_path},
    {0, "svg", NULL, "a picture, as SVG", CLI_FLAG, &svg},
    {0, "ascii", NULL, "plain ASCII, whatever the terminal can show", CLI_FLAG, &ascii},
};

static const struct cli_program PROGRAM = {
    .name = "gyle-curve",
    .operands = "[FILE...]",
    .summary = "gravity, pH, temperature and pressure against days, as a chart",
    .exits = "no batch had a reading to draw",
    .common = CLI_HAS_BOOK | CLI_HAS_FILES,
    .options = OPTIONS,
    .option_count = sizeof OPTIONS / sizeof OPTIONS[0],
};

struct run {
    struct cli *cli;
    struct book book;
    struct finish_context context;
    struct shelf shelf;
    struct pick pick;
    struct baselines baselines; /* of --baseline */
    struct history history;
    bool shown[PLOT_QUANTITIES];
};

static bool choose_quantities(struct run *run)
{
    const char *unknown = plot_choose(run->shown, quantities.items, quantities.n);
    if (unknown != NULL)
        cli_say(run->cli, "--quantity: \"%s\" is none of gravity, ph, temp, pressure",
                str_shown(&run->cli->arena, str_of(unknown)));
    return unknown == NULL;
}

/* Do the numbers that were asked for exist? */
static bool has_numbers(const struct run *run)
{
    const char *number = pick_missing_number(&run->pick, &run->shelf);
    if (number != NULL)
        cli_say(run->cli, "--batch: no batch \"%s\" here",
                str_shown(&run->cli->arena, str_of(number)));
    return number == NULL;
}

static void write_text(const struct run *run, const struct plot *plot)
{
    struct plot_text text = {.out = stdout,
                             .arena = &run->cli->arena,
                             .ascii = ascii || !terminal_takes_utf8(),
                             .width = PLOT_TEXT_WIDTH,
                             .height = PLOT_TEXT_HEIGHT};
    if (plot->batches.n == 0 && run->shelf.left_out == 0)
        puts(tanks.n + numbers.n > 0 || !cli_whole_book(run->cli) ? "Nothing to draw."
                                                                  : "No beer in the tanks.");
    (compare ? plot_text_write : plot_text_write_each)(&text, plot);
}

static int draw(struct run *run)
{
    struct cli *cli = run->cli;
    bool whole = cli_whole_book(cli);
    run->pick = (struct pick){{numbers.items, numbers.n}, {tanks.items, tanks.n}, !whole};
    run->shelf = pick_load(&run->pick, &run->book, &cli->arena, cli_named_files(cli),
                           run->context.now, baseline_path == NULL);
    if (baseline_path == NULL)
        run->history = run->shelf.history;
    if (!has_numbers(run))
        return CLI_TROUBLE;
    struct batch_courses courses = pick_courses(&run->pick, &run->shelf, run->book.cellar,
                                                run->context.now, whole, &cli->arena);
    if (compare && courses.n > PLOT_MOST_BATCHES) {
        cli_say(cli, "%zu batches are too many for the same axes; at most %d", courses.n,
                PLOT_MOST_BATCHES);
        return CLI_TROUBLE;
    }
    struct plot plot =
        plot_make(&run->context, &run->history, baseline_path == NULL ? NULL : &run->baselines,
                  &courses, run->shown);
    if (cli->tsv)
        plot_tsv_write(stdout, &cli->arena, &plot);
    else if (svg)
        plot_svg_write(stdout, &cli->arena, &plot, compare);
    else
        write_text(run, &plot);
    cli_say_later(cli, pick_later(&courses));
    return cli_judged(&run->book, run->shelf.left_out, courses.n > 0 && !plot_has_any(&plot));
}

static int run_all(struct cli *cli)
{
    struct run run = {.cli = cli, .history.arena = &cli->arena};
    if (!choose_quantities(&run) || !cli_open_book(cli, &run.book) ||
        !cli_now(cli, &run.book, &run.context.now) || !cli_has_tanks(cli, run.book.cellar, &tanks))
        return CLI_TROUBLE;
    if (baseline_path != NULL &&
        !cli_baselines(cli, &run.book, baseline_path, &run.baselines, &run.history))
        return CLI_TROUBLE;
    run.context.cellar = run.book.cellar;
    run.context.arena = &cli->arena;
    int status = draw(&run);
    shelf_free(&run.shelf);
    cli_write_diags(cli);
    return status;
}

int main(int argc, char **argv)
{
    return cli_main(&PROGRAM, argc, argv, run_all);
}
