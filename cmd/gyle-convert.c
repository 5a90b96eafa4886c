/* gyle-convert: values in other units, and the figures that follow from others. */
#include "carbonation.h"
#include "cli.h"
#include "convert.h"
#include "lines.h"

#include <errno.h>
#include <math.h>
#include <stdlib.h>
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

/* A run: how to answer, and where the text in hand came from. */
struct run {
    struct cli *cli;
    struct convert convert;
    struct arena scratch; /* of one answer */
    bool has_cellar;      /* looked for, at least */
    struct str line;
    size_t number; /* of the line; 0: an operand */
};

static size_t column_of(const char *from, const char *to)
{
    size_t column = 1;
    for (; from < to; from++)
        column += ((unsigned char)*from & 0xC0) != 0x80;
    return column;
}

static void tell(void *context, enum figures_remark_level level, struct str part,
                 const char *message)
{
    static const char *const levels[] = {
        [FIGURES_NOTE] = "note", [FIGURES_CAUTION] = "caution", [FIGURES_ERROR] = "error"};
    struct run *run = context;
    fflush(stdout);
    if (run->number > 0)
        fprintf(stderr, "standard input:%zu:%zu: %s: %s\n", run->number,
                column_of(run->line.p, part.p), levels[level], message);
    else if (level == FIGURES_ERROR && convert_is_set(part))
        cli_say(run->cli, "%s: %s", str_shown(&run->scratch, part), message);
    else if (level == FIGURES_ERROR)
        cli_say(run->cli, "%s", message); /* it begins with the value */
    else
        cli_say(run->cli, "%s: %s", levels[level], message);
}

/* A set is read with the units and the altitude of the house, where there is a cellar file; one
 * that was named must be whole. */
static bool use_cellar(struct run *run)
{
    struct cli *cli = run->cli;
    struct book book;
    const char *looked;
    bool named = cli->cellar != NULL || getenv("GYLE_CELLAR") != NULL;
    run->has_cellar = true;
    if (!named && book_find(&cli->arena, NULL, NULL, &looked) == NULL)
        return true;
    cli->near = "-"; /* operands are no files */
    if (!cli_open_book(cli, &book)) {
        if (!named)
            cli_say(cli, "note: its units and altitude are not used");
        return !named;
    }
    memcpy(run->convert.house, book.cellar->house, sizeof run->convert.house);
    if (figure_is_exact(&book.cellar->altitude))
        run->convert.bar_atmosphere = carbonation_atmosphere(book.cellar->altitude.value);
    return true;
}

static int answer(struct run *run, struct str text)
{
    if (convert_is_set(text) && !run->has_cellar && !use_cellar(run))
        return CLI_TROUBLE;
    enum convert_status status = convert_text(&run->convert, text);
    if (status == CONVERT_MISUSED && run->number == 0)
        return CLI_TROUBLE;
    return status == CONVERT_OK ? CLI_OK : CLI_FOUND;
}

static int worse(int status, int other)
{
    return other > status ? other : status;
}

/* All operands are one set, or any number of values; "38" "F" is one value. */
static int answer_operands(struct run *run)
{
    struct cli *cli = run->cli;
    struct buf joined = buf_new(&cli->arena);
    for (size_t i = 0; i < cli->operand_count; i++)
        buf_printf(&joined, "%s%s", i == 0 ? "" : " ", cli->operands[i]);
    struct str rest = str_trim(buf_str(&joined));
    int status = CLI_OK;
    if (rest.n == 0)
        cli_say(cli, "an empty value (see %s -h)", PROGRAM.name);
    if (rest.n == 0)
        return CLI_TROUBLE;
    if (convert_is_set(rest))
        return answer(run, rest);
    while (str_trim(rest).n > 0)
        status = worse(status, answer(run, convert_next_value(&rest)));
    return status;
}

/* A line that holds nothing, or a value that cannot be told in --to's unit, is answered by an empty
 * line: so questions and answers stay side by side. */
static int answer_line(struct run *run)
{
    bool blank = str_trim(run->line).n == 0;
    int status = blank ? CLI_OK : answer(run, run->line);
    bool refused = status != CLI_OK && to_text != NULL && !convert_is_set(run->line);
    if (!run->convert.tsv && (blank || refused))
        putchar('\n');
    return status;
}

static int answer_lines(struct run *run)
{
    struct lines *lines = arena_raw(&run->cli->arena, sizeof *lines);
    enum lines_status got;
    int status = CLI_OK;
    lines_begin(lines, STDIN_FILENO);
    while ((got = lines_next(lines, &run->line)) <= LINES_TOO_LONG) {
        run->number = lines->number;
        if (got == LINES_TOO_LONG)
            tell(run, FIGURES_ERROR, run->line, "the line is too long");
        status = worse(status, got == LINES_TOO_LONG ? CLI_FOUND : answer_line(run));
        arena_reset(&run->scratch);
    }
    if (got == LINES_FAILED)
        cli_say(run->cli, "cannot read standard input: %s", strerror(errno));
    return got == LINES_FAILED ? CLI_TROUBLE : status;
}

/* Reads --to and --digits. */
static bool set_up(struct run *run)
{
    struct convert *convert = &run->convert;
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
    cli_say(run->cli, "--to: \"%s\" is not a unit%s%s%s", str_shown(&run->scratch, unit),
            nearest == NULL ? "" : "; did you mean ", nearest == NULL ? "" : nearest,
            nearest == NULL ? "" : "?");
    return false;
}

int main(int argc, char **argv)
{
    struct cli cli;
    int status;
    if (cli_start(&cli, &PROGRAM, argc, argv, &status) != 0)
        return status;
    struct run run = {.cli = &cli};
    arena_init(&run.scratch, cli.arena.exhausted, cli.arena.context);
    run.convert = (struct convert){.out = stdout,
                                   .arena = &run.scratch,
                                   .tsv = cli.tsv,
                                   .digits = -1,
                                   .bar_atmosphere = NAN,
                                   .tell = tell,
                                   .context = &run};
    bool reads =
        cli.operand_count == 0 || (cli.operand_count == 1 && strcmp(cli.operands[0], "-") == 0);
    status = CLI_TROUBLE;
    if (set_up(&run) && (cli.cellar == NULL || use_cellar(&run))) {
        convert_begin(&run.convert);
        status = reads ? answer_lines(&run) : answer_operands(&run);
    }
    arena_free(&run.scratch);
    return cli_end(&cli, status);
}
