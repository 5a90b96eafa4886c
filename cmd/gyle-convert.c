/* gyle-convert: values in other units, and the figures that follow from others. */
#include "answer.h"
#include "carbonation.h"
#include "cli.h"

#include <errno.h>
#include <math.h>
#include <string.h>
#include <unistd.h>

static const char *to_text, *digits_text;

static const struct cli_option OPTIONS[] = {
    {0, "to", "UNIT", "answer in this unit only", CLI_TEXT, &to_text},
    {0, "digits", "N", "digits behind the point; else those of the input", CLI_TEXT, &digits_text},
};

static const struct cli_program PROGRAM = {
    .name = "gyle-convert",
    .operands = "[VALUE UNIT... | KEY=VALUE... | -]",
    .summary = "converts values, and tells all that follows from a set",
    .exits = "a value was refused",
    .common = CLI_HAS_CELLAR | CLI_HAS_TSV,
    .options = OPTIONS,
    .option_count = sizeof OPTIONS / sizeof OPTIONS[0],
};

/* A run: how to answer, and memory for one answer. */
struct run {
    struct cli *cli;
    struct answer answer;
    struct arena scratch;
};

static void tell(void *context, enum figures_remark_level level, size_t line, size_t column,
                 struct str part, const char *message)
{
    static const char *const levels[] = {
        [FIGURES_NOTE] = "note", [FIGURES_CAUTION] = "caution", [FIGURES_ERROR] = "error"};
    struct run *run = context;
    if (line > 0)
        fprintf(cli_messages(run->cli), "standard input:%zu:%zu: %s: %s\n", line, column,
                levels[level], message);
    else if (level == FIGURES_ERROR && convert_is_set(part))
        cli_say(run->cli, "%s: %s", str_shown(&run->scratch, part), message);
    else if (level == FIGURES_ERROR)
        cli_say(run->cli, "%s", message); /* it begins with the value */
    else
        cli_say(run->cli, "%s: %s", levels[level], message);
}

/* A set is read with the units and the altitude of the house, where there is a cellar file; one
 * that was named must be whole. */
static bool use_cellar(void *context)
{
    struct run *run = context;
    struct cli *cli = run->cli;
    struct convert *convert = &run->answer.convert;
    struct book book;
    const char *looked;
    bool named = cli_named_cellar(cli) != NULL;
    run->answer.met = true;
    if (!named && book_find(&cli->arena, NULL, NULL, &looked) == NULL)
        return true;
    cli->near = "-"; /* operands are no files */
    if (!cli_open_book(cli, &book)) {
        if (!named)
            cli_say(cli, "note: its units and altitude are not used");
        return !named;
    }
    memcpy(convert->house, book.cellar->house, sizeof convert->house);
    if (figure_is_exact(&book.cellar->altitude))
        convert->bar_atmosphere = carbonation_atmosphere(book.cellar->altitude.value);
    return true;
}

/* Reads --to and --digits. */
static bool set_up(struct run *run)
{
    struct convert *convert = &run->answer.convert;
    struct str unit = str_of(to_text);
    if (digits_text != NULL) {
        if (digits_text[0] < '0' || digits_text[0] > '9' || digits_text[1] != '\0') {
            cli_say(run->cli, "--digits: \"%s\" is not a whole number from 0 to 9",
                    str_shown(&run->scratch, str_of(digits_text)));
            return false;
        }
        convert->digits = digits_text[0] - '0';
    }
    if (to_text == NULL || convert_to(convert, unit))
        return true;
    const char *nearest = quantity_nearest_unit(unit);
    cli_say(run->cli, "--to: \"%s\" is not a unit%s", str_shown(&run->scratch, unit),
            str_meant(&run->scratch, nearest, ""));
    return false;
}

static int answer(struct run *run)
{
    static const int STATUS[] = {[ANSWER_OK] = CLI_OK,
                                 [ANSWER_REFUSED] = CLI_FOUND,
                                 [ANSWER_MISUSED] = CLI_TROUBLE,
                                 [ANSWER_UNREADABLE] = CLI_TROUBLE};
    struct cli *cli = run->cli;
    enum answer_status status;
    answer_begin(&run->answer);
    if (cli->operand_count > 1 || (cli->operand_count == 1 && strcmp(cli->operands[0], "-") != 0))
        return STATUS[answer_operands(&run->answer, cli->operands, cli->operand_count)];
    struct lines *lines = arena_raw(&cli->arena, sizeof *lines);
    lines_begin(lines, STDIN_FILENO);
    status = answer_lines(&run->answer, lines);
    if (status == ANSWER_UNREADABLE)
        cli_say(cli, "cannot read standard input: %s", strerror(errno));
    return STATUS[status];
}

int main(int argc, char **argv)
{
    struct cli cli;
    int status;
    if (cli_start(&cli, &PROGRAM, argc, argv, &status) != 0)
        return status;
    struct run run = {.cli = &cli};
    arena_init(&run.scratch, cli.arena.exhausted, cli.arena.context);
    run.answer = (struct answer){.convert = {.out = stdout,
                                             .arena = &run.scratch,
                                             .tsv = cli.tsv,
                                             .digits = -1,
                                             .bar_atmosphere = NAN},
                                 .meet_set = use_cellar,
                                 .tell = tell,
                                 .context = &run};
    bool ready = set_up(&run) && (cli.cellar == NULL || use_cellar(&run));
    status = ready ? answer(&run) : CLI_TROUBLE;
    arena_free(&run.scratch);
    return cli_end(&cli, status);
}
